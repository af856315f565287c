//! What a band sees: how far its points get before a side of the polygon stops them.
//!
//! Seen along the ways of its points, a part of a band is a strip of ways side by side, and each side of the polygon that
//! enters it stops the ways that it crosses. What is left is the region under the lower envelope of these sides. Sides of
//! a valid polygon do not cross, so their order along the ways never changes while a sweep passes over them.

use super::corner::{Way, inner, left};
use crate::geometry::overlay::{Node, Path};

/// Along which ways a part is swept.
#[derive(Clone, Copy)]
pub(super) enum Sight {
    /// Parallel, to the left of this direction along the edge.
    Along(Way),
    /// From the corner, the first node of the part, and between the directions left of this one and this one.
    From(Way),
}

impl Sight {
    /// Coordinates in which the ways run straight up: lines stay lines. `None` for the corner itself.
    fn unfold(self, origin: Node, at: Way) -> Option<Way> {
        let at = (at.0 - origin.0 as f64, at.1 - origin.1 as f64);
        match self {
            Sight::Along(along) => Some((inner(at, along), inner(at, left(along)))),
            Sight::From(along) => {
                let (x, y) = (inner(at, along), inner(at, left(along)));
                (y.abs() > 0.0).then(|| (x / y, -1.0 / y))
            }
        }
    }

    fn fold(self, origin: Node, (x, y): Way) -> Node {
        let (along, x, y) = match self {
            Sight::Along(along) => (along, x, y),
            Sight::From(along) => (along, -x / y, -1.0 / y),
        };
        let up = left(along);
        let place = (x * along.0 + y * up.0, x * along.1 + y * up.1);
        (origin.0 + place.0.round() as i64, origin.1 + place.1.round() as i64)
    }

    /// The nodes of the part that lie where the ways begin.
    fn base(self) -> usize {
        match self {
            Sight::Along(_) => 2,
            Sight::From(_) => 1,
        }
    }
}

/// A segment that stops ways, its left end first.
#[derive(Clone, Copy)]
struct Stop {
    from: Way,
    to: Way,
}

impl Stop {
    fn new(a: Way, b: Way) -> Option<Stop> {
        let (from, to) = if a.0 < b.0 { (a, b) } else { (b, a) };
        (from.0 < to.0).then_some(Stop { from, to })
    }

    fn height(&self, x: f64) -> f64 {
        let part = ((x - self.from.0) / (self.to.0 - self.from.0)).clamp(0.0, 1.0);
        self.from.1 + (self.to.1 - self.from.1) * part
    }
}

/// The part of a convex path that its points reach, given the sides of the polygon that enter it, cut to the path.
pub(super) fn seen(path: &Path, sight: Sight, sides: &[(Way, Way)]) -> Path {
    let origin = path[0];
    let unfold = |node: Node| sight.unfold(origin, (node.0 as f64, node.1 as f64));
    // The part's own border stops what nothing else does: its upper edges, which run backward.
    let border = path.iter().zip(path.iter().cycle().skip(1)).filter_map(|(&a, &b)| Some((unfold(a)?, unfold(b)?)));
    let mut stops: Vec<Stop> = border.filter(|(a, b)| a.0 > b.0).filter_map(|(a, b)| Stop::new(a, b)).collect();
    let width = stops.iter().fold(None, |width: Option<(f64, f64)>, stop| {
        let (low, high) = width.unwrap_or((stop.from.0, stop.to.0));
        Some((low.min(stop.from.0), high.max(stop.to.0)))
    });
    let Some((first, last)) = width else { return path.clone() };
    stops.extend(sides.iter().filter_map(|&(a, b)| {
        let within = |at: Way| (at.0.clamp(first, last), at.1);
        Stop::new(within(sight.unfold(origin, a)?), within(sight.unfold(origin, b)?))
    }));
    let mut seen: Path = path[..sight.base()].to_vec();
    // From the end of the base back to its start.
    for piece in envelope(stops).into_iter().rev() {
        for at in [piece.to, piece.from] {
            let node = sight.fold(origin, at);
            if seen.last() != Some(&node) {
                seen.push(node);
            }
        }
    }
    seen
}

/// The lowest of the stops at every place, as pieces from left to right.
fn envelope(stops: Vec<Stop>) -> Vec<Stop> {
    let mut begins: Vec<usize> = (0..stops.len()).collect();
    begins.sort_by(|&a, &b| stops[a].from.0.total_cmp(&stops[b].from.0));
    let mut places: Vec<f64> = stops.iter().flat_map(|stop| [stop.from.0, stop.to.0]).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| a.total_cmp(b).is_eq());
    let mut begins = begins.into_iter().peekable();
    // The stops above the present place, lowest first.
    let mut open: Vec<usize> = Vec::new();
    let mut pieces: Vec<(usize, Stop)> = Vec::new();
    for pair in places.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let middle = from + (to - from) / 2.0;
        open.retain(|&i| stops[i].to.0 > from);
        while let Some(next) = begins.next_if(|&i| stops[i].from.0 <= from) {
            let height = stops[next].height(middle);
            let at = open.partition_point(|&i| stops[i].height(middle) < height);
            open.insert(at, next);
        }
        let Some(&lowest) = open.first() else { continue };
        let end = (to, stops[lowest].height(to));
        match pieces.last_mut() {
            Some((stop, piece)) if *stop == lowest => piece.to = end,
            _ => pieces.push((lowest, Stop { from: (from, stops[lowest].height(from)), to: end })),
        }
    }
    pieces.into_iter().map(|(_, piece)| piece).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lower_envelope_steps_down_and_up() {
        let stop = |a: Way, b: Way| Stop { from: a, to: b };
        let stops = vec![stop((0.0, 9.0), (10.0, 9.0)), stop((2.0, 4.0), (6.0, 8.0)), stop((4.0, 1.0), (5.0, 1.0))];
        let pieces: Vec<(Way, Way)> = envelope(stops).iter().map(|piece| (piece.from, piece.to)).collect();
        let expected = [
            ((0.0, 9.0), (2.0, 9.0)),
            ((2.0, 4.0), (4.0, 6.0)),
            ((4.0, 1.0), (5.0, 1.0)),
            ((5.0, 7.0), (6.0, 8.0)),
            ((6.0, 9.0), (10.0, 9.0)),
        ];
        assert_eq!(pieces, expected);
    }

    #[test]
    fn a_wing_sees_past_a_side_on_both_hands() {
        // A wing of 100 by 100 around the corner (0, 0); a side crosses the diagonal way half way.
        let path = vec![(0, 0), (100, 100), (0, 100)];
        let seen = seen(&path, Sight::From((1.0, 0.0)), &[((30.0, 60.0), (50.0, 60.0))]);
        assert_eq!(seen, [(0, 0), (100, 100), (83, 100), (50, 60), (30, 60), (50, 100), (0, 100)]);
    }
}
