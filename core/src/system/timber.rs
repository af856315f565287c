//! What holds trims: battens, fixings, adhesive.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::trim::BarSold;
use crate::length::Length;
use crate::money::Money;

/// Battens behind trims: cut with butt joints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Batten {
    /// Lengths sold.
    pub bars: Vec<BarSold>,
    /// How far it stands out from the outline.
    pub thickness: Length,
    /// Its height.
    pub height: Length,
    /// Width of the saw cut.
    pub kerf: Length,
    /// Least length of a piece.
    pub least_piece: Length,
    /// Least distance of a joint from a joint of the trim in front.
    pub joint_clear: Length,
    /// Allowance as a fraction of the net length.
    pub allowance: f64,
}

/// Nails or screws through trims.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Fixing {
    /// Widest spacing along a line.
    pub spacing: Length,
    /// Closest spacing along a line.
    pub least_spacing: Length,
    /// Distance of the first and last from the end of a piece.
    pub end_distance: Length,
    /// How many in a pack.
    pub pack: u32,
    /// Price of one pack, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// Allowance as a fraction of the net number.
    pub allowance: f64,
}

/// Adhesive in cartridges: one bead along bonded faces, several across each lap.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Adhesive {
    /// Diameter of the bead.
    pub bead: Length,
    /// Beads across each lap, each as long as the section's girth.
    pub beads_per_lap: u32,
    /// Volume of one cartridge in millilitres.
    pub cartridge_ml: f64,
    /// Price of one cartridge, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// Allowance as a fraction of the net volume.
    pub allowance: f64,
}
