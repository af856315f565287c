//! Glass mat: strips, laps, rolls, tape and patches.

mod result;

pub use result::{PatchPlace, RoofMat, Seam, Strip, StripPiece};
