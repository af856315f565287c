//! The roof: its outline, the kinds of its edges, and what meets at its corners.

mod input;
mod kind;

pub use input::{Boundary, Outlet, Roof, UpstandRoom};
pub use kind::Kind;
