//! How an outline turns at a point, without trigonometry.

use crate::geometry::{Vector, cross, dot};

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
    pub(crate) fn between(a: Vector, b: Vector) -> Self {
        let (cross, dot) = (cross(a, b), dot(a, b));
        if dot == 0 {
            return Bend { sin: if cross < 0 { -1.0 } else { 1.0 }, cos: 0.0 };
        }
        if cross == 0 {
            return Bend { sin: 0.0, cos: if dot < 0 { -1.0 } else { 1.0 } };
        }
        let (cross, dot) = (cross as f64, dot as f64);
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

#[cfg(test)]
mod tests {
    use super::*;

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
            let b = Vector { x: (libm::cos(turn) * far).round() as i64, y: (libm::sin(turn) * far).round() as i64 };
            let bend = Bend::between(Vector { x: 1_000_000, y: 0 }, b);
            assert!((bend.tan_half() - tan).abs() < 1e-6, "{interior}: {}", bend.tan_half());
            assert!((bend.degrees() - (180.0 - interior)).abs() < 1e-6);
        }
    }

    #[test]
    fn right_angles_are_exact_in_any_direction() {
        for (x, y) in [(3, 4), (1_000_003, 7), (99_999_999_999, 1_234_567_891)] {
            let a = Vector { x, y };
            let left = Vector { x: -y * 13, y: x * 13 };
            assert_eq!(Bend::between(a, left), Bend { sin: 1.0, cos: 0.0 });
            let right = Vector { x: y * 7, y: -x * 7 };
            assert!((Bend::between(a, right).tan_half() + 1.0).abs() < f64::EPSILON);
        }
    }
}
