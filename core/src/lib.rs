//! Flat-roof detailing geometry (under construction).

pub mod alternative;
mod amount;
pub mod calendar;
pub mod caution;
pub mod cutting;
pub mod drawing;
pub mod error;
pub mod finding;
pub mod geometry;
pub mod job;
pub mod length;
pub mod mat;
pub mod money;
pub mod plan;
pub mod record;
pub mod roof;
pub mod schedule;
pub mod survey;
pub mod system;
pub mod takeoff;
pub mod trim;
pub mod wet;
pub mod wire;

pub use error::{Code, Error};
pub use finding::{Finding, Grade};
pub use job::Job;
pub use length::Length;
pub use money::Money;
pub use plan::{Plan, plan};
pub use roof::{Kind, Roof};
pub use system::System;
