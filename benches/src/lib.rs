//! Instance generators shared by the benchmarks.

pub mod cutting;
