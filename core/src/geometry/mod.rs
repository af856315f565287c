//! Exact plan geometry on the micrometre grid: points, rings, validity, turns, insets and strips.
//!
//! Plan coordinates run x to the right and y up. A [`Polygon`] is one outer [`Ring`] and its holes; in its normal
//! direction the outer ring runs counter-clockwise and the holes clockwise, so the inside lies to the left of every
//! edge. Edge `i` of a ring joins point `i` to the next.
//!
//! Every predicate (which side, inside or outside, crossing or not) is decided in whole numbers, so it has one
//! answer on every platform. [`check`](check()) finds all that is wrong with a polygon. [`inset()`] refuses what it finds;
//! areas, sides and strips of a polygon that does not pass mean nothing, but no function panics on one.

mod boxes;
mod check;
mod direction;
mod frame;
mod inset;
mod join;
mod overlay;
mod point;
mod ring;
mod slab;

pub use check::{RingLimits, check};
pub use direction::{interior_angle_deg, tan_half_turn, turn_deg, unit};
pub use inset::{MITRE_LIMIT, inset};
pub use point::Point;
pub use ring::{Polygon, Ring, Side};
pub use slab::{Slab, clip};

pub(crate) use join::{SharedEdge, reach_over, shared_double_area, shared_parts};
pub(crate) use point::{Vector, cross, dot, orient};
pub(crate) use ring::turns_back;
