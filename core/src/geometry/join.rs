//! A polygon that reaches over a side which it shares with another.

use super::frame::Frame;
use super::overlay::{self, Node, Path, left_of};
use super::point::Point;
use super::ring::{Polygon, Ring};

/// What two polygons share: the edge between two of their corners, the same micrometres in both. The first lies to its left.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SharedEdge {
    pub(crate) from: Point,
    pub(crate) to: Point,
}

/// `upper` together with what it reaches of `lower` over their shared edge: the part of `lower` at that edge that lies within
/// `width` to the edge's right, from `before` behind its start to `beyond` past its end, in micrometres. `None` where that is not one
/// polygon.
///
/// The edge is never cut anew: the window ends on its two corners, so that both parts join on the same points and no crack or
/// overlap is left between them. O(n log n).
pub(crate) fn reach_over(
    upper: &Polygon,
    lower: &Polygon,
    edge: SharedEdge,
    width: f64,
    (before, beyond): (f64, f64),
) -> Option<Polygon> {
    let around = [upper, lower].iter().flat_map(|polygon| polygon.outer.points().iter().copied()).collect();
    let frame = Frame::around(&Polygon::from(Ring::new(around)))?;
    let (from, to) = (frame.node(edge.from), frame.node(edge.to));
    let way = super::point::Vector::between(edge.from, edge.to);
    let (along, length) = (way.unit(), way.length());
    let corner = |ahead: f64, left: f64| {
        frame.node_near(edge.from, (ahead * along.0 - left * along.1, ahead * along.1 + left * along.0))
    };
    // A roof over the edge keeps the window's border away from it.
    let window = vec![
        corner(-before, -width),
        corner(length + beyond, -width),
        corner(length + beyond, 0.0),
        to,
        corner(length / 2.0, width),
        from,
        corner(-before, 0.0),
    ];
    let parts = overlay::intersection(&frame.paths(&lower.oriented()), &[window]);
    let lap = parts.into_iter().find(|part| part.first().is_some_and(|outer| runs_along(outer, from, to)))?;
    let mut paths = frame.paths(&upper.oriented());
    paths.extend(lap);
    let mut joined = frame.settle(overlay::normalise(&paths));
    if joined.len() == 1 { joined.pop() } else { None }
}

/// Twice the area in square micrometres that two polygons share; nothing where they are too far apart to tell. O(n log n).
pub(crate) fn shared_double_area(one: &Polygon, other: &Polygon) -> i128 {
    shared_parts(one, other).iter().map(Polygon::double_area).sum()
}

/// What two polygons share.
pub(crate) fn shared_parts(one: &Polygon, other: &Polygon) -> Vec<Polygon> {
    let around = [one, other].iter().flat_map(|polygon| polygon.outer.points().iter().copied()).collect();
    let Some(frame) = Frame::around(&Polygon::from(Ring::new(around))) else { return Vec::new() };
    let shared = overlay::intersection(&frame.paths(&one.oriented()), &frame.paths(&other.oriented()));
    frame.settle(shared)
}

/// Whether an edge of a path runs through the middle of a segment, along it.
fn runs_along(path: &Path, from: Node, to: Node) -> bool {
    let middle = (from.0 + (to.0 - from.0) / 2, from.1 + (to.1 - from.1) / 2);
    let next = path.iter().cycle().skip(1);
    path.iter().zip(next).any(|(&a, &b)| {
        let size = (b.0 - a.0).abs().max((b.1 - a.1).abs());
        let within = |c: i64, a: i64, b: i64| c >= a.min(b) - 2 && c <= a.max(b) + 2;
        size > 0
            && within(middle.0, a.0, b.0)
            && within(middle.1, a.1, b.1)
            && left_of(a, b, middle).unsigned_abs() <= 4 * size.unsigned_abs() as u128
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::from(Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect()))
    }

    /// An L: the arm above the edge from (1000, 500) to (0, 500) reaches over the arm below it, and past the inner corner.
    #[test]
    fn a_lap_passes_the_inner_corner() {
        let lower = polygon(&[(0, 0), (3000, 0), (3000, 500), (1000, 500), (0, 500)]);
        let upper = polygon(&[(0, 500), (1000, 500), (1000, 2000), (0, 2000)]);
        let edge = SharedEdge { from: Point::from_mm(0, 500), to: Point::from_mm(1000, 500) };
        let joined = reach_over(&upper, &lower, edge, 50_000.0, (50_000.0, 50_000.0)).expect("one polygon");
        assert_eq!(joined, polygon(&[(0, 450), (1050, 450), (1050, 500), (1000, 500), (1000, 2000), (0, 2000)]));
        assert!(reach_over(&upper, &polygon(&[(0, 0), (9, 0), (9, 9)]), edge, 50_000.0, (0.0, 0.0)).is_none());
    }

    /// Two squares a corner into one another share a square, and two side by side nothing.
    #[test]
    fn what_polygons_share() {
        let at = |x: i64, y: i64| polygon(&[(x, y), (x + 100, y), (x + 100, y + 100), (x, y + 100)]);
        assert_eq!(shared_double_area(&at(0, 0), &at(70, 80)), 2 * 30_000 * 20_000);
        assert_eq!(shared_double_area(&at(0, 0), &at(100, 0)), 0);
    }

    /// The shared corner in the side of the outline is a rounded one, and nothing lies along an axis: still one polygon.
    #[test]
    fn rounded_corners_join_without_a_crack() {
        for skew in 1..200 {
            let at = |x: i64, y: i64| Point::from_um(x * 1000 - y * skew, y * 1000 + x * skew * 3 / 7);
            let (corner, end) = (at(1000, 500), at(0, 500));
            let end = Point { x: end.x + Length::from_um(skew % 3 - 1), ..end };
            let ring = |points: Vec<Point>| Polygon::from(Ring::new(points));
            let lower = ring(vec![at(0, 0), at(3000, 0), at(3000, 507), corner, end]);
            let upper = ring(vec![end, corner, at(1010, 2000), at(-5, 2000)]);
            let joined = reach_over(&upper, &lower, SharedEdge { from: end, to: corner }, 5e4, (5e4, 5e4));
            let joined = joined.unwrap_or_else(|| panic!("cracked at {skew}"));
            let both = (lower.double_area() + upper.double_area()) as f64;
            let area = joined.double_area() as f64;
            assert!(area > upper.double_area() as f64 * 1.03 && area < both, "{skew}");
        }
    }
}
