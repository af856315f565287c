//! What closes open ends of trims.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::trim::BarSold;
use crate::length::Length;
use crate::money::Money;

/// What closes the open end of a trim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Closing {
    /// A piece of the flat closing strip.
    Strip,
    /// A preformed end cap.
    Cap,
}

/// The two closing pieces.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ClosingPieces {
    /// The flat strip, cut from bars.
    pub strip: ClosingStrip,
    /// The cap, counted.
    pub cap: EndCap,
}

/// A flat strip of which pieces of one length close ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ClosingStrip {
    /// Name printed on sheets.
    pub name: String,
    /// Lengths sold.
    pub bars: Vec<BarSold>,
    /// Its width.
    pub width: Length,
    /// Length of the piece that closes one end.
    pub piece: Length,
}

/// A preformed cap on the end of a trim.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct EndCap {
    /// Name printed on sheets.
    pub name: String,
    /// How many in a pack.
    pub pack: u32,
    /// Price of one pack, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}
