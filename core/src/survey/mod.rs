//! The survey: what was read on site, and whether the roof may be covered.
//!
//! [`check`] says which readings cannot be true: errors. [`inspect`] holds the true ones against the system's limits:
//! findings. A finding reports a reading against a limit; it never says that a roof is safe, dry or sound beyond that.

#[cfg(feature = "adjust")]
pub mod adjust;
#[cfg(not(feature = "adjust"))]
#[path = "unadjusted.rs"]
mod adjust;
mod adjusted;
mod check;
mod covering;
mod deck;
mod fall;
pub mod imperial;
mod input;
mod inspect;
pub mod levels;
mod measured;
mod network;
pub mod traverse;

pub use adjusted::{Adjusted, AdjustedPoint, CRITICAL, Residual, Side, Suspect};
use check::MOST_LEVELS;
pub use check::check;
pub use fall::{Fall, FallClass, fall};
pub use input::{Board, Boards, BondTest, Coat, Covering, Defect, DefectKind, LevelReading, MoistureReading, Survey};
pub use inspect::inspect;
pub(crate) use measured::Surveyed;
pub use measured::{COVERAGE, Measured, RunUncertainty};
pub use network::{Known, MOST, MeasuredOutlet, MeasuredPipe, Measurement, Network, Precision};

#[cfg(test)]
mod law_tests;
