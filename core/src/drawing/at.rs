use std::ops::{Add, Mul, Neg, Sub};

/// A position or a displacement on paper, in millimetres: x to the right, y up.
///
/// Only `+`, `-`, `*`, `/` and the square root are ever applied to it, so that a drawing is the same bytes everywhere.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct At {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

impl At {
    /// A position.
    pub const fn new(x: f64, y: f64) -> Self {
        At { x, y }
    }

    /// Dot product.
    pub fn dot(self, other: At) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Cross product: positive where `other` lies to the left of `self`.
    pub fn cross(self, other: At) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Distance from the origin.
    pub fn norm(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The displacement of length 1 in this direction; to the right where this one has no length.
    #[must_use]
    pub fn unit(self) -> At {
        let norm = self.norm();
        if norm > 0.0 { self * (1.0 / norm) } else { At::new(1.0, 0.0) }
    }

    /// Turned to the right by a quarter.
    #[must_use]
    pub fn right(self) -> At {
        At::new(self.y, -self.x)
    }

    /// Turned to the left by a quarter.
    #[must_use]
    pub fn left(self) -> At {
        At::new(-self.y, self.x)
    }
}

impl Add for At {
    type Output = At;
    fn add(self, other: At) -> At {
        At::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for At {
    type Output = At;
    fn sub(self, other: At) -> At {
        At::new(self.x - other.x, self.y - other.y)
    }
}

impl Neg for At {
    type Output = At;
    fn neg(self) -> At {
        At::new(-self.x, -self.y)
    }
}

impl Mul<f64> for At {
    type Output = At;
    fn mul(self, times: f64) -> At {
        At::new(self.x * times, self.y * times)
    }
}
