//! Flat-roof detailing geometry (under construction).

pub mod cutting;
pub mod error;
pub mod finding;
pub mod length;

pub use error::{Code, Error};
pub use finding::{Finding, Grade};
pub use length::Length;
