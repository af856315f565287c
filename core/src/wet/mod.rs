//! Wet work: how much hardener, when, in what weather.

mod dose;

pub use dose::{dose, inspect};
