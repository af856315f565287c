//! What the mat stage says, as it stands in a plan.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::geometry::Point;
use crate::length::Length;

/// The reinforcement of one roof.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoofMat {
    /// The seam lines between trims and deck: rings, outer ones counter-clockwise, those around holes clockwise.
    pub seams: Vec<Seam>,
    /// Area inside the seam lines in square metres.
    pub area_m2: f64,
    /// Area of the deck that no trim covers, in square metres: what is primed.
    pub bare_deck_m2: f64,
    /// Unit vector along the strips.
    pub direction: (f64, f64),
    /// Lap of neighbouring strips as laid: at least the system's.
    pub lap: Length,
    /// The strips in laying order, from the low edge.
    pub strips: Vec<Strip>,
    /// Area of all pieces in square metres: laps count twice.
    pub laid_m2: f64,
    /// Length of tape along all seams.
    pub tape: Length,
    /// Patches at corners and trim joints.
    pub patches: Vec<PatchPlace>,
}

/// One closed seam line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seam {
    /// Its points.
    pub points: Vec<Point>,
    /// Its length.
    pub length: Length,
}

/// One strip of mat across the roof; necks, notches and kerbs may cut it into several pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Its number in laying order, from 1.
    pub number: u64,
    /// Its pieces along the strip.
    pub pieces: Vec<StripPiece>,
}

/// One piece of mat as cut from the roll.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripPiece {
    /// Its mark: the strip's number, with a small letter where the strip has several pieces, such as `3b`.
    pub mark: String,
    /// Length off the roll.
    pub length: Length,
    /// Width off the roll: the roll's, or less where it is ripped.
    pub width: Length,
    /// Number of the roll it comes from, from 1.
    pub roll: u64,
    /// Its outline as laid, outer ring first, then cut-outs.
    pub outline: Vec<Vec<Point>>,
    /// Area as laid in square metres.
    pub area_m2: f64,
}

/// Where patches lie.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PatchPlace {
    /// Centre.
    pub at: Point,
    /// How many, one over the other.
    pub layers: u32,
    /// Whether it is at a corner (or at a trim joint).
    pub corner: bool,
}
