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
    /// Unit vector along the strips, of the first zone where there are several.
    pub direction: (f64, f64),
    /// Lap of neighbouring strips as laid, in the first zone where there are several: at least the system's.
    pub lap: Length,
    /// The zones in laying order, where the deck is laid in several, each in its own direction.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<MatZone>,
    /// The strips in laying order: from the low edge, zone by zone.
    pub strips: Vec<Strip>,
    /// Which piece laps over which. No piece laps over one that is laid after it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub laps: Vec<MatLap>,
    /// Length of mat off the rolls for all pieces: those cut from beside others take none.
    #[serde(default)]
    pub off_roll: Length,
    /// Area of all pieces in square metres: laps count twice.
    pub laid_m2: f64,
    /// Areas layer by layer.
    #[serde(default)]
    pub areas: LayerAreas,
    /// Length of tape along all seams.
    pub tape: Length,
    /// The tape as it is torn from the rolls: along the seams, then up the trim joints.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tape_pieces: Vec<TapePiece>,
    /// Patches at corners and trim joints.
    pub patches: Vec<PatchPlace>,
    /// Collars around outlets, then around pipes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub collars: Vec<Collar>,
    /// How many patches what is left beside ripped pieces is enough for: these take no length off the roll.
    #[serde(default, skip_serializing_if = "is_none_of")]
    pub patches_from_offcuts: u64,
}

/// Areas in square metres: what is primed and what is wetted, layer by layer, laps and further layers counted again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LayerAreas {
    /// The deck that no trim covers.
    pub bare_deck: f64,
    /// All pieces of mat.
    pub mat: f64,
    /// Tape along seams and up trim joints, with its laps.
    pub tape: f64,
    /// Patches, all layers.
    pub patches: f64,
    /// Collars, all layers, without their holes, and sleeves.
    pub collars: f64,
    /// Squares of tissue over visible corners.
    pub tissue: f64,
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
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Its number in laying order, from 1.
    pub number: u64,
    /// Index of its zone, 0 where there is only one.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub zone: usize,
    /// Its pieces along the strip.
    pub pieces: Vec<StripPiece>,
}

fn is_none_of(count: &u64) -> bool {
    *count == 0
}

fn is_zero(number: &usize) -> bool {
    *number == 0
}

/// A part of the deck whose strips run in one direction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MatZone {
    /// What its strips cover, their laps over zones laid before included: rings, outer ones counter-clockwise.
    pub outline: Vec<Vec<Point>>,
    /// Unit vector along its strips.
    pub direction: (f64, f64),
    /// Lap of its neighbouring strips as laid.
    pub lap: Length,
}

/// Two pieces that lap.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MatLap {
    /// Mark of the piece that lies over the other.
    pub over: String,
    /// Mark of the piece that lies under it.
    pub under: String,
    /// Where they meet.
    pub kind: LapKind,
    /// How far one reaches over the other.
    pub width: Length,
    /// How long the lap is: as long as one of full width that covers as much, where its ends are slanting.
    pub length: Length,
}

/// Where pieces of mat meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LapKind {
    /// Along the sides of neighbouring strips.
    Side,
    /// End over end within a strip.
    End,
    /// Where a zone meets another.
    Zone,
}

/// How an edge of a piece is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EdgeFinish {
    /// The roll's own edge, straight.
    Factory,
    /// Torn, so that its fibres feather out: every edge that laps over another piece, and whatever follows the outline.
    #[default]
    Torn,
    /// Cut straight along a batten: an edge that another piece laps over, where the roll's own edge is not to be had.
    Cut,
}

/// The four edges of a piece, as seen along the strip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceEdges {
    /// To the right along the strip: the low side.
    pub low: EdgeFinish,
    /// To the left.
    pub high: EdgeFinish,
    /// Where it begins.
    pub start: EdgeFinish,
    /// Where it ends.
    pub end: EdgeFinish,
}

/// One piece of mat as cut from the roll.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    /// Mark of the wider piece, of this roof or another, from beside which it is cut: it takes no length of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<String>,
    /// How its edges are made.
    #[serde(default)]
    pub edges: PieceEdges,
    /// Its outline as laid, outer ring first, then cut-outs.
    pub outline: Vec<Vec<Point>>,
    /// Area as laid in square metres.
    pub area_m2: f64,
}

/// One piece of tape.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TapePiece {
    /// Its mark: `T1` and so on, with a small letter where a stretch comes in several pieces.
    pub mark: String,
    /// What it covers.
    pub on: TapePlace,
    /// Its length.
    pub length: Length,
    /// Number of the roll it comes from, from 1.
    pub roll: u64,
}

/// What a piece of tape covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TapePlace {
    /// A straight stretch of a seam, with its lap onto the next.
    Seam {
        /// Index of the seam.
        seam: usize,
        /// Its edge: from this point to the next.
        edge: usize,
    },
    /// A trim joint, over the whole girth of the trim.
    Joint {
        /// Index of the run.
        run: usize,
        /// Index of its joint.
        joint: usize,
    },
}

/// A collar of mat around an outlet or a pipe: a square with a hole, and around a pipe a sleeve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Collar {
    /// Its centre.
    pub at: Point,
    /// Diameter of its hole.
    pub hole: Length,
    /// Side of the square.
    pub side: Length,
    /// How many, one over the other.
    pub layers: u32,
    /// What goes up around a pipe, in as many layers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sleeve: Option<Sleeve>,
}

/// A rectangle of mat around a pipe, its lower edge at the deck.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sleeve {
    /// Around the pipe: its girth and a lap.
    pub length: Length,
    /// How far up.
    pub height: Length,
}

/// How a square patch is shaped so that it lies flat.
///
/// Around a corner of trims with upright or hanging faces, the faces and the deck have less than a full turn of surface at an
/// outer corner and more at an inner one. A square slit once from an edge to its middle then overlaps itself, or opens, by the
/// turn of the corner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PatchShape {
    /// Whole, over a joint or a change of trims in a straight edge.
    #[default]
    Square,
    /// Slit once to its middle; the slit's edges lap by the turn of the corner.
    Lapped,
    /// Slit once to its middle; the slit opens by the turn of the corner, and the next layer is turned to cover it.
    Opened,
}

/// Where patches lie.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PatchPlace {
    /// Centre.
    pub at: Point,
    /// How many, one over the other.
    pub layers: u32,
    /// Whether it is at a corner (or at a trim joint).
    pub corner: bool,
    /// How each is shaped.
    #[serde(default)]
    pub shape: PatchShape,
}
