//! Cutting to length, with laps: which bars to buy and how to cut them.
//!
//! Knows nothing of roofs: [`Problem`] in, [`Answer`] out.

mod answer;
mod assemble;
mod check;
mod check_proof;
mod dual;
#[doc(hidden)]
pub mod exact;
mod layout;
mod model;
mod problem;
mod prove;
mod search;
mod solve;
mod stock;
mod supply;
mod validate;

pub use answer::{Answer, Bound, Chain, CutBar, Piece, Prices, Proof, Status};
pub use check::{Fault, check};
pub use problem::{Bar, Effort, Minimise, Problem, Rules, Run};
pub use solve::solve;
pub use validate::{MOST_BARS, MOST_QUANTITY, MOST_RUNS};
