//! How an outline turns at a point, without trigonometry.

use crate::geometry::{Point, Vector};
use crate::length::Length;

/// A direction in space, in micrometres. Level directions have `rise` 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Direction {
    pub plan: Vector,
    pub rise: i64,
}

impl Direction {
    pub(super) fn between(from: (Point, Length), to: (Point, Length)) -> Self {
        let rise = to.1.um().saturating_sub(from.1.um());
        Direction { plan: Vector::between(from.0, to.0), rise }
    }

    pub(super) fn level(self) -> Self {
        Direction { rise: 0, ..self }
    }

    pub(super) fn plus(self, next: Direction) -> Self {
        let plan = Vector { x: self.plan.x.saturating_add(next.plan.x), y: self.plan.y.saturating_add(next.plan.y) };
        Direction { plan, rise: self.rise.saturating_add(next.rise) }
    }

    /// The length, to the nearest micrometre.
    pub(super) fn length(self) -> Length {
        let rise = u128::from(self.rise.unsigned_abs());
        let square = self.plan.square().saturating_add(rise * rise);
        let floor = square.isqrt();
        let nearest = if square - floor * floor > floor { floor + 1 } else { floor };
        Length::from_um(i64::try_from(nearest).unwrap_or(i64::MAX))
    }

    /// The cross product, as (x, y, z): z is positive where `next` turns to the left in plan.
    fn cross(self, next: Direction) -> (i128, i128, i128) {
        let (ax, ay, az) = (i128::from(self.plan.x), i128::from(self.plan.y), i128::from(self.rise));
        let (bx, by, bz) = (i128::from(next.plan.x), i128::from(next.plan.y), i128::from(next.rise));
        let minus = |p: i128, q: i128| p.saturating_sub(q);
        (minus(ay * bz, az * by), minus(az * bx, ax * bz), minus(ax * by, ay * bx))
    }

    fn dot(self, next: Direction) -> i128 {
        let product = |a: i64, b: i64| i128::from(a) * i128::from(b);
        let plan = product(self.plan.x, next.plan.x).saturating_add(product(self.plan.y, next.plan.y));
        plan.saturating_add(product(self.rise, next.rise))
    }

    /// Whether `next` goes on exactly in line.
    pub(super) fn in_line(self, next: Direction) -> bool {
        self.cross(next) == (0, 0, 0) && self.dot(next) > 0
    }
}

/// The turn from one direction to the next: sine and cosine of the angle, positive to the left.
///
/// Right angles are exact: sine 1 or -1, cosine 0, tangent of the half 1 or -1. Other values carry the rounding of a
/// few floating-point operations, the same on every platform.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Sine of the turn.
    pub sin: f64,
    /// Cosine of the turn.
    pub cos: f64,
}

impl Bend {
    /// The turn, in the plane of both directions, positive where it is to the left in plan.
    pub(super) fn between(before: Direction, after: Direction) -> Self {
        let ((x, y, z), dot) = (before.cross(after), before.dot(after));
        if dot == 0 {
            return Bend { sin: if z < 0 { -1.0 } else { 1.0 }, cos: 0.0 };
        }
        // A level turn has no other part, and the square root of its square would only round.
        let cross = if (x, y) == (0, 0) { z as f64 } else { signed_length((x as f64, y as f64, z as f64)) };
        if cross.abs() < 0.5 {
            return Bend { sin: 0.0, cos: if dot < 0 { -1.0 } else { 1.0 } };
        }
        Bend::of_products(cross, dot as f64)
    }

    /// The turn between two directions in space, from their cross product and their inner product.
    pub(crate) fn of_directions(cross: (f64, f64, f64), dot: f64) -> Self {
        Bend::of_products(signed_length(cross), dot)
    }

    fn of_products(cross: f64, dot: f64) -> Self {
        let length = (cross * cross + dot * dot).sqrt();
        Bend { sin: cross / length, cos: dot / length }
    }

    /// Tangent of half the turn: `sin / (1 + cos)`, infinite for a full reversal.
    ///
    /// ```
    /// use upstand::roof::Bend;
    ///
    /// let square = Bend { sin: 1.0, cos: 0.0 };
    /// assert_eq!(square.tan_half(), 1.0);
    /// ```
    pub fn tan_half(self) -> f64 {
        // Two forms of the half-angle formula: each is used where it does not cancel.
        if self.cos >= 0.0 { self.sin / (1.0 + self.cos) } else { (1.0 - self.cos) / self.sin }
    }

    /// The turn in degrees, rounded to a millionth: for people and for limits, never for cutting.
    pub fn degrees(self) -> f64 {
        let degrees = libm::atan2(self.sin, self.cos).to_degrees();
        (degrees * 1e6).round() / 1e6
    }

    /// Whether the turn is less than an angle whose tangent is given.
    pub(crate) fn within(self, tan: f64) -> bool {
        self.cos > 0.0 && (self.sin == 0.0 || self.sin.abs() < tan * self.cos)
    }
}

/// The length of a cross product, negative where it turns to the right in plan.
fn signed_length((x, y, z): (f64, f64, f64)) -> f64 {
    (x * x + y * y + z * z).sqrt().copysign(z)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(x: i64, y: i64) -> Direction {
        Direction { plan: Vector { x, y }, rise: 0 }
    }

    #[test]
    fn half_tangents_of_common_corners() {
        // Closed formula: interior angle theta, turn 180 - theta, tan(turn / 2) = cot(theta / 2).
        let cases: [(f64, f64); 9] = [
            (60.0, 1.732_051),
            (90.0, 1.0),
            (100.0, 0.839_100),
            (120.0, 0.577_350),
            (135.0, 0.414_214),
            (150.0, 0.267_949),
            (180.0, 0.0),
            (225.0, -0.414_214),
            (270.0, -1.0),
        ];
        for (interior, tan) in cases {
            let turn = (180.0 - interior).to_radians();
            let far = 1e9;
            let b = level((libm::cos(turn) * far).round() as i64, (libm::sin(turn) * far).round() as i64);
            let bend = Bend::between(level(1_000_000, 0), b);
            assert!((bend.tan_half() - tan).abs() < 1e-6, "{interior}: {}", bend.tan_half());
            assert!((bend.degrees() - (180.0 - interior)).abs() < 1e-6);
        }
    }

    #[test]
    fn right_angles_are_exact_in_any_direction() {
        for (x, y) in [(3, 4), (1_000_003, 7), (99_999_999_999, 1_234_567_891)] {
            let a = level(x, y);
            let left = level(-y * 13, x * 13);
            assert_eq!(Bend::between(a, left), Bend { sin: 1.0, cos: 0.0 });
            let right = level(y * 7, -x * 7);
            assert!((Bend::between(a, right).tan_half() + 1.0).abs() < f64::EPSILON);
        }
    }
}
