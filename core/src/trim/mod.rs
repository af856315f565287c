//! Trims: what every edge gets, how its ends are cut, how it is fixed.

mod result;

pub use result::{
    BarSource, Corner, CutList, End, Hand, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims, TrimRun, Turn,
};
