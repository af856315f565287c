//! Instance generators shared by the benchmarks, and how they print what they measured.

pub mod cutting;
mod table;

pub use table::{Table, Times};
