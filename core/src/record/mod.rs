//! The record: what was really done, held against the plan, the hardener's table and the windows between layers.
//!
//! A record is written on site: readings of the weather and the deck, every mix with its hardener and times, every coat. It
//! carries the job that it belongs to, so that it can be checked years later. [`Record::report`] answers with a hand-over
//! report: amounts and times as planned and as done, and findings. People sign it, not the library; and what a
//! supplier promises, only the supplier can say.

mod input;
mod inspect;
mod report;
mod text;

pub use input::{CoatDone, MixDone, Reading, Record};
pub use report::{CoatReport, LayerReport, Report};

#[cfg(test)]
mod tests;
