use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::geometry::Point;
use crate::length::Length;

/// What was found on site. Everything may be left out; what is missing is said in a finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Survey {
    /// What lies on the deck now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub covering: Option<Covering>,
    /// Thickness of new boards that will be laid over the deck as it was measured; 0 for none.
    pub overlay: Length,
    /// Moisture readings of the deck.
    pub moisture: Vec<MoistureReading>,
    /// Surface temperature of the deck at the time of work, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_c: Option<f64>,
    /// Temperature of the air at the time of work, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_c: Option<f64>,
    /// Relative humidity of the air at the time of work, in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humidity_percent: Option<f64>,
}

/// What lies on the deck before work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Covering {
    /// New or bare boards.
    Bare,
    /// Bituminous felt.
    Felt,
    /// Mastic asphalt.
    Asphalt,
    /// A loose or bonded plastic or rubber sheet.
    SinglePly,
    /// An older liquid-applied or laminated membrane.
    Liquid,
    /// Metal sheet.
    Metal,
    /// Concrete or screed.
    Concrete,
    /// Anything else.
    Other,
}

impl Covering {
    /// Whether the covering, or the layers usually found with it, may hold asbestos.
    pub const fn may_hide_asbestos(self) -> bool {
        matches!(self, Covering::Felt | Covering::Asphalt | Covering::Other)
    }
}

/// One moisture reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoistureReading {
    /// Moisture in percent of dry mass.
    pub percent: f64,
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
}
