//! Trims: what every edge gets, how its ends are cut, how it is fixed.
//!
//! From analysed outlines ([`Outline`](crate::roof::Outline)) to what a joiner needs, in the order of his work:
//!
//! 1. every corner is looked up in the system's corner table, or in the job's choice for it: its two ends are mitred in
//!    the plane that bisects the corner, or one runs through, square or parallel to the other, and the other stops against
//!    it;
//! 2. every straight stretch of one kind becomes a [`TrimRun`]: its length along the outline, lengthened or shortened by
//!    what its ends gain, from furthest point to furthest point, and rounded up once to the cutting increment;
//! 3. the runs of each kind, over all roofs, and the battens behind them are cut from common stock
//!    ([`cutting`](crate::cutting)), with joints clear of corners, of outlets and of one another: [`CutList`];
//! 4. fixings are set out along each run ([`fixing_line`]), denser in the zones of the wind if the job asks for it
//!    ([`WindFixing`]), and beads of adhesive across its laps;
//! 5. ends that are mitred, notched or returned are developed, to be marked across the flat ([`EndTemplate`]); what would
//!    clash where a trim stops against another comes off as a [`Notch`].
//!
//! [`raised_corner`] follows one corner from section to template.
//!
//! The lines of a trim are measured outward from the outline, so one formula serves outer corners, where outward lines
//! gain, and inner ones, where they lose. Trims along a falling deck are measured and mitred in the plane that the two
//! edges of the corner span, in which the deck beside the corner lies.
//!
//! How well ends meet is measured on bodies in space that share no code with what is here, on 10,000 random roofs with
//! random sections and choices (`tests/trims.rs`; figures in `benches/README.md`): what rounding to the micrometre leaves.
//! `bindings-py/tests/test_oracle_trims_bodies.py` measures the same, laps and returns, by linear programming.
//!
//! Lengths are exact to the micrometre but for what square roots leave: a cut length is within 2 um of the true one
//! before it is rounded up, and exact where edges are parallel to the axes and corners are square.

mod batten;
mod clear;
mod corner;
mod cut;
mod development;
mod end;
mod finding;
#[cfg(test)]
mod finding_tests;
mod fixing;
#[cfg(test)]
mod law_tests;
mod marking;
mod mitre;
mod notch;
mod over;
mod result;
mod set_out;
#[cfg(test)]
mod space_tests;
mod template;
mod zone;

#[doc = include_str!("../../docs/raised_corner.md")]
#[doc = include_str!("../../docs/raised_corner.svg")]
pub mod raised_corner {}

pub use development::{Development, FacetCut, develop};
pub use fixing::{PieceFixing, fixing_line, fixing_order, piece_fixings};
pub(crate) use marking::letters;
pub use mitre::{Mitre, MitreCorner, MitredEnd, mitre};
pub use notch::Notch;
pub use result::{
    BarSource, Corner, CutList, End, Hand, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims, RunEnd,
    TrimRun, Turn,
};
pub(crate) use set_out::{Drafted, cut, draft};
pub use set_out::{SetOut, check, set_out};
pub use template::EndTemplate;
pub use zone::{WindFixing, WindZones};
