//! The roof: its outline, the kinds of its edges, and how its straight stretches turn into one another.

mod bend;
mod check;
mod input;
mod kind;
mod outline;

pub use bend::Bend;
pub use input::{Boundary, CornerChoice, Outlet, Pipe, Roof, UpstandRoom, WallAbove};
pub(crate) use input::{Penetration, PenetrationKind};
pub use kind::Kind;
pub use outline::{
    Choice, MOST_HOLES, MOST_OUTLETS, MOST_PIPES, MOST_SPOT_LEVELS, Outline, OutlineRing, Stretch, Vertex,
};
