//! The corner table: what each trim does where two edges meet.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::roof::Kind;

/// Whether a corner points out of the roof or into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CornerShape {
    /// The roof turns around the inside of the corner (interior angle under 180 degrees).
    Outer,
    /// The corner points into the roof (interior angle over 180 degrees).
    Inner,
}

/// One row of the corner table. The order of the two kinds does not matter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerRule {
    /// The two kinds of edge that meet.
    pub kinds: (Kind, Kind),
    /// Which way the corner points.
    pub shape: CornerShape,
    /// What the trims of the two edges do, in the order of `kinds`.
    pub ends: (EndRule, EndRule),
    /// How many patches lie on the corner.
    pub patches: u32,
}

/// What one trim does at a corner.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndRule {
    /// How the end is cut.
    pub cut: EndCut,
    /// For a square cut: which line of the other trim the end reaches. A mitre follows from the angle.
    #[serde(default)]
    pub reach: Reach,
    /// Added to the reach: more is longer.
    #[serde(default)]
    pub gain: Length,
}

/// How the end of a trim is cut at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EndCut {
    /// In the plane that bisects the corner.
    Mitre,
    /// Square across.
    Square,
}

/// A line of the other trim, parallel to its edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// The outline itself.
    #[default]
    Outline,
    /// The other trim's outermost line.
    Outermost,
    /// The foot of the other trim's deck flange, where its rise begins.
    Foot,
    /// The inner edge of the other trim's deck flange.
    Seam,
}
