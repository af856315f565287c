//! Glass mat: seam lines, strips, rolls, tape and patches.
//!
//! The deck flange of a trim ends at its *seam line*: the outline moved inward by the flange of each edge's own trim.
//! Tape covers the seam lines. The mat covers what lies inside them, or runs onto the flanges as far as the system says.
//!
//! Mat is laid in *strips* of the roll's width, parallel to a direction, from the low edge upward. Each strip laps over
//! the one below it, so that water runs over the laps. Strips are set out with the least lap; the last one is ripped to
//! the width that is left. Where that would be a sliver, either the laps are widened or the last two strips are ripped,
//! whichever takes less mat: what is left beside ripped strips serves for other narrow pieces and for patches. Notches, necks
//! and holes cut a strip into *pieces*; a piece runs across a gap up to a limit, and what lies in the gap is cut out.
//!
//! # Methods
//!
//! **Zones of seam and mat** are [insets](crate::geometry::inset()) of the outline with a distance per edge.
//!
//! **Direction**: that of the drip edge (the strips then lie along the gutter and the first one at it), that of a given
//! edge, an angle, or the best one. For a convex deck some direction of an edge needs the fewest strips, because the least width of
//! a convex region is found across one of its edges (H. Freeman and R. Shapira, Communications of the ACM 18 (1975),
//! 409-413; M. Houle and G. Toussaint, IEEE PAMI 10 (1988), 761-765). So all directions of edges are compared, by the
//! length of mat that they take off the roll; and for each, all places where the first strip can begin at which the length
//! can be least.
//!
//! **Place of the first strip**: the length off the roll is piecewise linear in it between *events*, where an edge of a strip
//! passes a corner, one end of a stretch overtakes another, or a gap becomes as short as a piece runs across. The length is
//! followed from event to event and is exact at all of them, so no grid of places does better (a test compares). For a deck of
//! n corners with e events at which a strip meets k edges this takes O(n log n + e k) steps.
//!
//! **Effort** is counted, never timed: on large decks directions and places are compared as far as a budget of visits of edges by
//! strips lasts, those first that are best from the low edge. Cutting the chosen strips and the inset take about O(n log n) for n corners.
//!
//! A deck with inner corners may be laid in *zones*, each in its own direction, where that takes less. Pieces narrower than
//! the roll are cut from beside one another. Where rolls of several widths are on offer, the job is laid out in each, and the
//! cheapest rolls are taken.
//!
//! With a finer lap a deck takes no more strips across from its low edge, and no more length where all strips are as long. Where
//! they differ in length it may take more: the steps of a finer lap may miss shoulders of the deck that those of a wider lap meet.
//! Of two pieces that lap, the upper one has a torn edge and the lower one a
//! straight one, and no piece lies over one that is laid after it.

mod choose;
mod deck;
mod direction;
mod end_lap;
mod fall;
mod glass;
mod lap;
mod layer;
mod list;
mod near;
mod nest;
mod patch;
mod profile;
mod result;
mod roll;
mod row;
mod split;
mod tape;
mod zone;

pub use layer::{LaidOut, MOST_STRIPS, check, lay_out};
pub use result::{
    Collar, EdgeFinish, LapKind, LayerAreas, MatLap, MatZone, PatchPlace, PatchShape, PieceEdges, RoofMat, Seam,
    Sleeve, Strip, StripPiece, TapePiece, TapePlace,
};
pub use row::{Row, rows};

#[cfg(test)]
mod detail_tests;
#[cfg(test)]
mod law_tests;
