//! Trims: what every edge gets, how its ends are cut, how it is fixed.

mod batten;
mod corner;
mod cut;
mod end;
mod fixing;
#[cfg(test)]
mod law_tests;
mod result;
mod section;
mod set_out;

pub use fixing::fixings_on_line;
pub use result::{
    BarSource, Corner, CutList, End, Hand, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims, TrimRun, Turn,
};
pub use set_out::{SetOut, check, set_out};
