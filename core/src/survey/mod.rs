//! The survey: what was read on site, and whether the roof may be covered.
//!
//! [`check`] says which readings cannot be true: errors. [`inspect`] holds the true ones against the system's limits:
//! findings. A finding reports a reading against a limit; it never says that a roof is safe, dry or sound beyond that.

#[cfg(feature = "adjust")]
pub mod adjust;
mod check;
mod deck;
mod fall;
pub mod imperial;
mod input;
mod inspect;
pub mod traverse;

pub use check::check;
pub use fall::{Fall, fall};
pub use input::{Board, Boards, Coat, Covering, LevelReading, MoistureReading, Survey};
pub use inspect::inspect;

#[cfg(test)]
mod law_tests;
