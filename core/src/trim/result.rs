//! What the trim stage says: corners, runs and cut lists, as they stand in a plan.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::cutting::Status;
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::Kind;
use crate::system::{Closing, EndCut, Leg};

/// The corners and runs of one roof.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoofTrims {
    /// Every corner, ring by ring.
    pub corners: Vec<Corner>,
    /// Every run, ring by ring.
    pub runs: Vec<TrimRun>,
}

/// Which way the outline turns at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Turn {
    /// The corner points out of the roof.
    Outer,
    /// The corner points into the roof.
    Inner,
    /// The edges are in line; the kind changes.
    Straight,
}

/// Where two runs meet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Which ring: 0 the outer boundary, then the holes.
    pub ring: usize,
    /// Which point of the plan's ring.
    pub point: usize,
    /// Where.
    pub at: Point,
    /// Which way it turns.
    pub turn: Turn,
    /// By how much, in degrees: positive at outer corners.
    pub turn_deg: f64,
    /// Index of the run that ends here.
    pub before: usize,
    /// Index of the run that begins here.
    pub after: usize,
    /// Patches that lie on it.
    pub patches: u32,
}

/// One continuous stretch of one trim along the roof, from corner to corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TrimRun {
    /// Its mark on drawings: the kind's letter and a number, such as `D2`.
    pub mark: String,
    /// The kind of its edge.
    pub kind: Kind,
    /// Which ring it lies on: 0 the outer boundary, then the holes.
    pub ring: usize,
    /// Its first edge in the plan's ring.
    pub first_edge: usize,
    /// How many edges it has: more than one where points lie in line.
    pub edge_count: usize,
    /// Where it begins; the roof lies to its left.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// Length along the outline.
    pub line_length: Length,
    /// Length from furthest point to furthest point, rounded up to the cutting increment; 0 where nothing is left to cut.
    pub cut_length: Length,
    /// How it begins.
    pub start: End,
    /// How it ends.
    pub end: End,
    /// Joints: where each lap begins, measured from the start of the cut length.
    pub joints: Vec<Length>,
    /// Which end's piece lies over the other at every joint.
    #[serde(default, skip_serializing_if = "is_end")]
    pub over: RunEnd,
    /// Beads of adhesive across its laps, measured from the start of the cut length; each is as long as the section's
    /// girth.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub beads: Vec<Length>,
    /// Number of fixings along it, in all lines.
    pub fixings: u64,
    /// Where the fixings of one line go, measured from the start of the cut length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fixing_line: Vec<Length>,
    /// Through which leg each line of fixings goes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fixing_legs: Vec<Leg>,
}

fn is_end(end: &RunEnd) -> bool {
    *end == RunEnd::End
}

/// An end of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RunEnd {
    /// Where it begins.
    Start,
    /// Where it ends.
    #[default]
    End,
}

/// One end of a run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct End {
    /// How it is cut.
    pub cut: EndCut,
    /// Angle of the cut from square, in degrees; 0 for a square cut.
    pub angle_deg: f64,
    /// Which side of the trim, seen from above and looking along it from start to end, is the longer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// How far its longest line runs beyond the corner; negative where the end stops short of it.
    pub gain: Length,
    /// How far its shortest line runs beyond the corner: the same where it is cut square.
    pub short: Length,
    /// What closes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closing: Option<Closing>,
}

impl RoofTrims {
    /// Corners that are seen, and so get a square of tissue.
    pub(crate) fn visible_corners(&self) -> u64 {
        let seen = |corner: &&Corner| corner.turn != Turn::Straight && corner.patches > 0;
        self.corners.iter().filter(seen).count() as u64
    }
}

/// A side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// The side of the roof.
    Left,
    /// The outer side.
    Right,
}

/// What a cut list is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    /// Drip trim.
    Drip,
    /// Wall trim.
    Abutment,
    /// Raised trim.
    OpenSide,
    /// Batten.
    Batten,
    /// Glass mat.
    Mat,
    /// Glass tape.
    Tape,
}

/// How to cut all runs of one material, over all roofs of the job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutList {
    /// What is cut.
    pub material: Material,
    /// Bars used.
    pub bar_count: u64,
    /// Of which are bought; the others are on hand.
    pub bought: u64,
    /// Laps (or butt joints) in all: pieces less runs.
    pub joint_count: u64,
    /// Whether it is proven best.
    pub status: Status,
    /// No cut list of these runs buys fewer bars.
    pub bound: u64,
    /// The bars, in the order of cutting.
    pub bars: Vec<MarkedBar>,
    /// What is left over and worth keeping, longest first.
    pub offcuts: Vec<Offcut>,
}

/// One bar and its pieces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkedBar {
    /// Its number within the cut list, from 1.
    pub number: u64,
    /// Its length.
    pub length: Length,
    /// Where it comes from.
    pub source: BarSource,
    /// Its pieces, from its start.
    pub pieces: Vec<MarkedPiece>,
    /// What is left at its end.
    pub offcut: Length,
}

/// Where a bar comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BarSource {
    /// To be bought.
    Bought,
    /// On hand.
    OnHand,
}

/// One piece of one run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkedPiece {
    /// Its mark: the run's mark, with a small letter where the run has several pieces, such as `D2b`.
    pub mark: String,
    /// Which roof, from 0.
    pub roof: usize,
    /// Index of its run within the roof; of mat, of its strip; of tape, of the piece of tape.
    pub run: usize,
    /// Where it begins in the bar.
    pub at: Length,
    /// Where it begins along its run.
    pub start_along: Length,
    /// Its cut length.
    pub length: Length,
    /// How it begins.
    pub start: PieceEnd,
    /// How it ends.
    pub end: PieceEnd,
}

/// One end of a piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PieceEnd {
    /// Square across.
    Square,
    /// Cut at an angle: a mitre, or on the skew.
    Mitre {
        /// Angle from square, in degrees.
        angle_deg: f64,
        /// Which side is the longer.
        hand: Hand,
    },
    /// Square across, lapping with the neighbouring piece by this length; 0 where they butt.
    Lap {
        /// Overlap.
        length: Length,
        /// Whether this piece lies over the other.
        over: bool,
    },
}

impl PieceEnd {
    /// The end of a piece that is the end of its run.
    pub(super) fn of(end: &End) -> PieceEnd {
        match end.hand {
            Some(hand) if matches!(end.cut, EndCut::Mitre | EndCut::Skew) => {
                PieceEnd::Mitre { angle_deg: end.angle_deg, hand }
            }
            _ => PieceEnd::Square,
        }
    }
}

/// An offcut worth keeping.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Offcut {
    /// Number of the bar it comes from.
    pub bar: u64,
    /// Its length.
    pub length: Length,
}
