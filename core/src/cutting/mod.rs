//! Cutting to length, with laps: which bars to buy and how to cut them.
//!
//! Knows nothing of roofs: [`Problem`] in, [`Answer`] out.

mod answer;
mod check;
mod engine;
#[doc(hidden)]
pub mod exact;
mod layout;
mod model;
mod problem;
mod solve;
mod stock;
mod validate;
mod weights;

pub use answer::{Answer, Bound, Chain, CutBar, Piece, Proof, Status};
pub use check::{Fault, check};
pub use problem::{Bar, Effort, Minimise, Problem, Rules, Run};
pub use solve::solve;
pub use validate::{MOST_BARS, MOST_QUANTITY, MOST_RUNS};
