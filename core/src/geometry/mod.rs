//! Points and rings.

mod point;

pub use point::Point;
