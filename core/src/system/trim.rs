//! Preformed trims: their sections and the lengths they are sold in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::section::Section;
use crate::length::Length;
use crate::money::Money;
use crate::roof::Kind;

/// The trim for each kind of edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Trims {
    /// Where water leaves.
    pub drip: Trim,
    /// Where water stops at a wall or kerb.
    pub abutment: Trim,
    /// Where water is held back.
    pub open_side: Trim,
}

impl Trims {
    /// The trim of an edge of this kind.
    pub fn of(&self, kind: Kind) -> &Trim {
        match kind {
            Kind::Drip => &self.drip,
            Kind::Abutment => &self.abutment,
            Kind::OpenSide => &self.open_side,
        }
    }
}

/// One preformed trim.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Trim {
    /// Name printed on sheets.
    pub name: String,
    /// Its cross-section.
    pub section: Section,
    /// Lengths sold.
    pub bars: Vec<BarSold>,
    /// Least overlap of two lengths of one run; 0 means that lengths butt.
    pub lap: Length,
    /// Whether a batten stands behind its face.
    pub battened: bool,
    /// Whether its face is glued to the batten by a continuous bead.
    pub bonded: bool,
    /// Number of lines of fixings along it.
    pub fixing_lines: u32,
    /// Whether its upper edge is covered by a flashing.
    pub flashed: bool,
    /// How far the mat runs over the seam onto the deck flange.
    #[serde(default)]
    pub mat_onto: Length,
}

/// One length in which a trim is sold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BarSold {
    /// Length of the bar.
    pub length: Length,
    /// Price of one bar in the job's money, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}
