use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// A point in plan: `[x, y]` on the wire.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(from = "(Length, Length)", into = "(Length, Length)")]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Up.
    pub y: Length,
}

impl From<(Length, Length)> for Point {
    fn from((x, y): (Length, Length)) -> Self {
        Point { x, y }
    }
}

impl From<Point> for (Length, Length) {
    fn from(point: Point) -> Self {
        (point.x, point.y)
    }
}

impl Point {
    /// The point at `x`, `y` whole millimetres.
    pub const fn from_mm(x: i64, y: i64) -> Self {
        Point { x: Length::from_mm(x), y: Length::from_mm(y) }
    }

    /// The point at `x`, `y` micrometres.
    pub const fn from_um(x: i64, y: i64) -> Self {
        Point { x: Length::from_um(x), y: Length::from_um(y) }
    }

    /// Distance to `other`, rounded to the nearest micrometre: exactly, by an integer square root.
    ///
    /// ```
    /// use upstand::{Length, geometry::Point};
    ///
    /// assert_eq!(Point::from_mm(0, 0).distance(Point::from_mm(3000, 4000)), Length::from_mm(5000));
    /// ```
    pub fn distance(self, other: Point) -> Length {
        let square = Vector::between(self, other).square();
        let floor = match u64::try_from(square) {
            Ok(small) => u128::from(small.isqrt()),
            Err(_) => square.isqrt(),
        };
        // The square of (floor + 1/2) lies strictly between floor^2 + floor and floor^2 + floor + 1.
        let nearest = if square - floor * floor > floor { floor + 1 } else { floor };
        Length::from_um(i64::try_from(nearest).unwrap_or(i64::MAX))
    }
}

/// The way from one point to another, in micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Vector {
    pub(crate) x: i64,
    pub(crate) y: i64,
}

impl Vector {
    /// Saturates far outside [`Length::LIMIT`], where only the absence of panics matters.
    pub(crate) fn between(from: Point, to: Point) -> Self {
        Vector { x: to.x.um().saturating_sub(from.x.um()), y: to.y.um().saturating_sub(from.y.um()) }
    }

    /// Square of the length.
    pub(crate) fn square(self) -> u128 {
        let square = |c: i64| u128::from(c.unsigned_abs()) * u128::from(c.unsigned_abs());
        square(self.x) + square(self.y)
    }

    /// Length, correct to a few units in the last place.
    pub(crate) fn length(self) -> f64 {
        let (x, y) = (self.x as f64, self.y as f64);
        (x * x + y * y).sqrt()
    }

    /// Unit vector; zero for no way at all.
    pub(crate) fn unit(self) -> (f64, f64) {
        let length = self.length();
        if length > 0.0 { (self.x as f64 / length, self.y as f64 / length) } else { (0.0, 0.0) }
    }
}

/// Twice the area of the triangle that `a` and `b` span: positive where `b` lies to the left of `a`.
pub(crate) fn cross(a: Vector, b: Vector) -> i128 {
    (i128::from(a.x) * i128::from(b.y)).saturating_sub(i128::from(a.y) * i128::from(b.x))
}

/// The inner product: negative where `a` and `b` point against each other.
pub(crate) fn dot(a: Vector, b: Vector) -> i128 {
    (i128::from(a.x) * i128::from(b.x)).saturating_add(i128::from(a.y) * i128::from(b.y))
}

/// Positive where `c` lies to the left of the line from `a` to `b`, zero on it.
pub(crate) fn orient(a: Point, b: Point, c: Point) -> i128 {
    cross(Vector::between(a, b), Vector::between(a, c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_round_to_the_nearest_micrometre() {
        for (x, y, um) in [(1, 1, 1), (1, 2, 2), (2, 2, 3), (3, 4, 5), (1_000_000, 1, 1_000_000)] {
            assert_eq!(Point::from_um(0, 0).distance(Point::from_um(x, y)), Length::from_um(um));
        }
        let far = Point { x: Length::LIMIT, y: Length::LIMIT };
        assert_eq!(Point::from_um(0, 0).distance(far), Length::from_um(1_414_213_562_373));
    }

    #[test]
    fn the_largest_coordinates_do_not_overflow() {
        let low = Point::from_um(i64::MIN, i64::MIN);
        let high = Point::from_um(i64::MAX, i64::MAX);
        assert!(low.distance(high).is_positive());
        assert!(orient(low, high, Point::from_um(i64::MIN, i64::MAX)) > 0);
    }
}
