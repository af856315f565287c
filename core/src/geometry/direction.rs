//! Directions and turns. Unit vectors and half-turn tangents come from `sqrt` and the four operations alone, which
//! IEEE 754 rounds in the same way everywhere; angles, for people to read, come from the `libm` crate.

use super::point::{Point, Vector, cross, dot};

/// Unit vector from `from` towards `to`; `None` where the points coincide.
///
/// ```
/// use upstand::geometry::{Point, unit};
///
/// assert_eq!(unit(Point::from_mm(0, 0), Point::from_mm(30, 40)), Some((0.6, 0.8)));
/// assert_eq!(unit(Point::from_mm(1, 1), Point::from_mm(1, 1)), None);
/// ```
pub fn unit(from: Point, to: Point) -> Option<(f64, f64)> {
    (from != to).then(|| Vector::between(from, to).unit())
}

/// Tangent of half the turn at `at`, on the way from `before` to `after`: positive for a left turn, as at the outer
/// corners of a counter-clockwise outline. Infinite where the way turns straight back.
///
/// The tangent is sin / (1 + cos) of the turn, with no trigonometric function in it.
///
/// ```
/// use upstand::geometry::{Point, tan_half_turn};
///
/// let square_corner = tan_half_turn(Point::from_mm(0, 0), Point::from_mm(10, 0), Point::from_mm(10, 10));
/// assert_eq!(square_corner, 1.0);
/// ```
pub fn tan_half_turn(before: Point, at: Point, after: Point) -> f64 {
    let (a, b) = (Vector::between(before, at), Vector::between(at, after));
    let (sine, cosine, lengths) = (cross(a, b) as f64, dot(a, b) as f64, a.length() * b.length());
    if cosine >= 0.0 {
        sine / (lengths + cosine)
    } else {
        // The same ratio by (1 - cos) / sin, which does not cancel for turns beyond a right angle.
        (lengths - cosine) / sine
    }
}

/// Turn at `at` in degrees, in (-180, 180]: positive for a left turn. The turns of a simple counter-clockwise ring
/// add up to 360.
pub fn turn_deg(before: Point, at: Point, after: Point) -> f64 {
    let (a, b) = (Vector::between(before, at), Vector::between(at, after));
    libm::atan2(cross(a, b) as f64, dot(a, b) as f64) * (180.0 / std::f64::consts::PI)
}

/// Interior angle at `at` in degrees, in [0, 360), of a ring whose inside lies to the left.
pub fn interior_angle_deg(before: Point, at: Point, after: Point) -> f64 {
    180.0 - turn_deg(before, at, after)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    /// tan(delta / 2) for interior angles theta, delta = 180 - theta: the closed formula, evaluated to six places.
    #[test]
    fn half_turn_tangents_agree_with_the_table() {
        let table = [
            (60.0, 1.732051),
            (90.0, 1.0),
            (100.0, 0.839100),
            (120.0, 0.577350),
            (135.0, 0.414214),
            (150.0, 0.267949),
            (225.0, -0.414214),
            (270.0, -1.0),
        ];
        for (interior, expected) in table {
            let turn: f64 = (180.0 - interior) * std::f64::consts::PI / 180.0;
            let leg = 1e9;
            let after = Point::from_um((leg * libm::cos(turn)) as i64, (leg * libm::sin(turn)) as i64);
            let before = Point::from_mm(-5_000, 0);
            close(tan_half_turn(before, Point::from_mm(0, 0), after), expected, 1e-6);
            close(interior_angle_deg(before, Point::from_mm(0, 0), after), interior, 1e-6);
        }
    }

    #[test]
    fn a_straight_way_does_not_turn_and_a_way_back_turns_without_limit() {
        let at = |x| Point::from_mm(x, 0);
        close(tan_half_turn(at(0), at(5), at(9)), 0.0, 0.0);
        assert!(tan_half_turn(at(0), at(5), at(1)).is_infinite());
    }
}
