//! Plane geometry of the tests' own: nothing here calls the library.
//!
//! Rings are lists of integer points in micrometres. What can be decided in integers is; measures are `f64` in
//! micrometres, taken from a local origin so that large coordinates cost no digits.

use upstand::geometry::Point;

/// A point in micrometres.
pub type P = (i64, i64);

/// The points of a ring of the library's, as integers.
pub fn ring(points: &[Point]) -> Vec<P> {
    points.iter().map(|p| (p.x.um(), p.y.um())).collect()
}

/// The point of the library's with these micrometres.
pub fn point(p: P) -> Point {
    Point { x: upstand::Length::from_um(p.0), y: upstand::Length::from_um(p.1) }
}

/// Twice the signed area of the triangle `a b c`: positive where it runs counter-clockwise.
pub fn cross(a: P, b: P, c: P) -> i128 {
    let (abx, aby) = (i128::from(b.0) - i128::from(a.0), i128::from(b.1) - i128::from(a.1));
    let (acx, acy) = (i128::from(c.0) - i128::from(a.0), i128::from(c.1) - i128::from(a.1));
    abx * acy - aby * acx
}

/// Twice the signed area of a ring, in square micrometres: exact.
pub fn area2(ring: &[P]) -> i128 {
    let Some(&first) = ring.first() else { return 0 };
    ring.windows(2).map(|pair| cross(first, pair[0], pair[1])).sum()
}

/// Area in square metres of a ring, without sign.
pub fn area_m2(ring: &[P]) -> f64 {
    area2(ring).unsigned_abs() as f64 / 2e12
}

/// The edges of a ring.
pub fn edges(ring: &[P]) -> impl Iterator<Item = (P, P)> + '_ {
    (0..ring.len()).map(move |i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// Vector from `a` to `b`.
pub fn vector(a: P, b: P) -> (f64, f64) {
    ((b.0 - a.0) as f64, (b.1 - a.1) as f64)
}

/// Distance of two points.
pub fn distance(a: P, b: P) -> f64 {
    let (x, y) = vector(a, b);
    x.hypot(y)
}

/// Length of a closed ring.
pub fn perimeter(ring: &[P]) -> f64 {
    edges(ring).map(|(a, b)| distance(a, b)).sum()
}

/// Angle in degrees by which the direction `a -> b` turns into `b -> c`: positive to the left.
pub fn turn_deg(a: P, b: P, c: P) -> f64 {
    let ((ux, uy), (vx, vy)) = (vector(a, b), vector(b, c));
    (ux * vy - uy * vx).atan2(ux * vx + uy * vy).to_degrees()
}

/// Distance of a point (real coordinates) from the segment `a b`.
pub fn distance_to_segment(p: (f64, f64), a: P, b: P) -> f64 {
    let (dx, dy) = vector(a, b);
    let (px, py) = (p.0 - a.0 as f64, p.1 - a.1 as f64);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 { ((px * dx + py * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
    (px - t * dx).hypot(py - t * dy)
}

/// Distance of a point from the nearest edge of any of the rings.
pub fn distance_to_rings(p: (f64, f64), rings: &[Vec<P>]) -> f64 {
    rings.iter().flat_map(|ring| edges(ring)).map(|(a, b)| distance_to_segment(p, a, b)).fold(f64::INFINITY, f64::min)
}

/// Whether a point lies inside the rings taken together by the even-odd rule.
pub fn inside(p: (f64, f64), rings: &[Vec<P>]) -> bool {
    let mut odd = false;
    for (a, b) in rings.iter().flat_map(|ring| edges(ring)) {
        let (ay, by) = (a.1 as f64, b.1 as f64);
        if (ay > p.1) != (by > p.1) {
            let x = a.0 as f64 + (p.1 - ay) / (by - ay) * (b.0 - a.0) as f64;
            odd ^= x > p.0;
        }
    }
    odd
}

/// Whether two segments have a point in common: exact.
pub fn segments_meet(a: (P, P), b: (P, P)) -> bool {
    let side = |s: (P, P), p: P| cross(s.0, s.1, p).signum();
    let (d1, d2) = (side(a, b.0), side(a, b.1));
    let (d3, d4) = (side(b, a.0), side(b, a.1));
    if d1 != d2 && d3 != d4 && d1 * d2 <= 0 && d3 * d4 <= 0 {
        return true;
    }
    let on = |s: (P, P), p: P, side: i128| {
        side == 0
            && (s.0.0.min(s.1.0)..=s.0.0.max(s.1.0)).contains(&p.0)
            && (s.0.1.min(s.1.1)..=s.0.1.max(s.1.1)).contains(&p.1)
    };
    on(a, b.0, d1) || on(a, b.1, d2) || on(b, a.0, d3) || on(b, a.1, d4)
}

/// Whether a ring is simple: at least three points, no edge meets another but its neighbours in their shared point.
/// Quadratic.
pub fn simple(ring: &[P]) -> bool {
    let n = ring.len();
    if n < 3 || area2(ring) == 0 {
        return false;
    }
    let all: Vec<(P, P)> = edges(ring).collect();
    for i in 0..n {
        if all[i].0 == all[i].1 {
            return false;
        }
        // Neighbours meet in one point unless they fold back.
        let next = all[(i + 1) % n];
        let ((ux, uy), (vx, vy)) = (vector(all[i].0, all[i].1), vector(next.0, next.1));
        if cross(all[i].0, all[i].1, next.1) == 0 && ux * vx + uy * vy < 0.0 {
            return false;
        }
        for j in i + 2..n {
            if (i != 0 || j != n - 1) && segments_meet(all[i], all[j]) {
                return false;
            }
        }
    }
    true
}

/// A frame turned so that its first axis runs along a direction: `along` and `across` in micrometres.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// A point near what is measured.
    pub origin: P,
    /// Unit vector of the first axis.
    pub along: (f64, f64),
}

impl Frame {
    /// Coordinates of a point in the frame.
    pub fn of(&self, p: P) -> (f64, f64) {
        let (x, y) = vector(self.origin, p);
        (x * self.along.0 + y * self.along.1, -x * self.along.1 + y * self.along.0)
    }

    /// Rings in the frame.
    pub fn rings(&self, rings: &[Vec<P>]) -> Vec<Vec<(f64, f64)>> {
        rings.iter().map(|ring| ring.iter().map(|&p| self.of(p)).collect()).collect()
    }
}

/// Where a line at height `across` runs inside rings given in a frame: intervals along it, even-odd, in order.
pub fn intervals(rings: &[Vec<(f64, f64)>], across: f64) -> Vec<(f64, f64)> {
    let mut cuts = Vec::new();
    for ring in rings {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            if (a.1 > across) != (b.1 > across) {
                cuts.push(a.0 + (across - a.1) / (b.1 - a.1) * (b.0 - a.0));
            }
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

/// How far the ends of [`intervals`] may lie off when the points of the rings are rounded to a micrometre: much where an
/// edge runs almost along the line.
pub fn slack(rings: &[Vec<(f64, f64)>], across: f64) -> f64 {
    let mut slack = 0.0;
    for ring in rings {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            if (a.1 > across) != (b.1 > across) {
                slack += 2.0 * (1.0 + ((b.0 - a.0) / (b.1 - a.1)).abs());
            }
        }
    }
    slack
}

/// Merges intervals that overlap or touch.
pub fn merge(mut all: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<(f64, f64)> = Vec::new();
    for (from, to) in all {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// What two lists of intervals have in common.
pub fn common(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let both = a.iter().flat_map(|a| b.iter().map(move |b| (a.0.max(b.0), a.1.min(b.1))));
    both.filter(|part| part.0 < part.1).collect()
}

/// Length of `of` that no interval of `by` (merged, in order) covers.
pub fn uncovered(of: &[(f64, f64)], by: &[(f64, f64)]) -> f64 {
    let covered: f64 = common(of, by).iter().map(|part| part.1 - part.0).sum();
    of.iter().map(|a| a.1 - a.0).sum::<f64>() - covered
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn area_by_coordinates_and_turns_of_a_square() {
        let square = [(0, 0), (1000, 0), (1000, 1000), (0, 1000)];
        assert_eq!(area2(&square), 2_000_000);
        assert!((turn_deg(square[0], square[1], square[2]) - 90.0).abs() < 1e-12);
        assert!(simple(&square));
        assert!(!simple(&[(0, 0), (1000, 1000), (1000, 0), (0, 1000)]), "a bow-tie is not simple");
        assert!(!simple(&[(0, 0), (1000, 0), (500, 0), (500, 900)]), "a spike is not simple");
    }

    #[test]
    fn lines_through_a_square_with_a_hole() {
        let frame = Frame { origin: (0, 0), along: (1.0, 0.0) };
        let rings =
            [vec![(0, 0), (1000, 0), (1000, 1000), (0, 1000)], vec![(400, 400), (400, 600), (600, 600), (600, 400)]];
        let rings = frame.rings(&rings);
        assert_eq!(intervals(&rings, 500.0), [(0.0, 400.0), (600.0, 1000.0)]);
        assert_eq!(intervals(&rings, 100.0), [(0.0, 1000.0)]);
        assert!((uncovered(&[(0.0, 10.0)], &merge(vec![(4.0, 6.0), (-1.0, 5.0)])) - 4.0).abs() < 1e-12);
    }
}
