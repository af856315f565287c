//! Trims: what every edge gets, how its ends are cut, how it is fixed.

mod batten;
mod clear;
mod corner;
mod cut;
mod development;
mod end;
mod fixing;
#[cfg(test)]
mod law_tests;
mod marking;
mod result;
mod set_out;
#[cfg(test)]
mod space_tests;
mod template;

pub use development::{Development, FacetCut, develop};
pub use fixing::{fixing_line, fixing_order};
pub(crate) use marking::letters;
pub use result::{
    BarSource, Corner, CutList, End, Hand, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims, TrimRun, Turn,
};
pub use set_out::{SetOut, check, set_out};
pub use template::{EndTemplate, RunEnd};
