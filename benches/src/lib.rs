//! Instance generators shared by the benchmarks.
