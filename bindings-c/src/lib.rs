//! C interface of upstand: opaque handles, JSON documents and plain arrays. The header `include/upstand.h` is
//! generated from this crate and is its documentation; a test compares the two.
//!
//! Rules of the interface, the same for every function:
//!
//! - A function that can fail returns a status, 0 for success, and takes a context first, which keeps what went wrong.
//! - Outputs come last and are written only on success.
//! - Texts are copied into the caller's buffer; nothing returned points into a handle.
//! - No panic crosses the border: one function, `guard` in `context.rs`, catches it and reports status 2.
//!
//! This crate converts and forwards. It holds no rule of the trade.

#![warn(clippy::undocumented_unsafe_blocks, unsafe_op_in_unsafe_fn)]

mod argument;
mod context;
mod cut_list;
mod cutting;
mod mitre;
mod piece;
mod plan;
mod record;
mod run;
mod status;
mod survey;
mod version;

pub use context::*;
pub use cut_list::*;
pub use cutting::*;
pub use mitre::*;
pub use piece::*;
pub use plan::*;
pub use record::*;
pub use run::*;
pub use status::*;
pub use survey::*;
pub use version::*;
