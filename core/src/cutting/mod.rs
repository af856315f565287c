//! Cutting to length, with laps: which bars to buy and how to cut them.
//!
//! Knows nothing of roofs: [`Problem`] in, [`Answer`] out.

mod answer;
mod problem;

pub use answer::{Answer, Bound, Chain, CutBar, Piece, Proof, Status};
pub use problem::{Bar, Effort, Minimise, Problem, Rules, Run};
