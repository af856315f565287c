//! Primer, resin, top coat and hardener: rates by mass, packs, and the hardener table.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::money::Money;

/// A liquid applied at a rate by area.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Liquid {
    /// Name printed on sheets.
    pub name: String,
    /// Kilograms per square metre.
    pub rate_kg_m2: f64,
    /// Allowance as a fraction of the net mass.
    pub allowance: f64,
    /// Packs sold.
    pub packs: Vec<Pack>,
}

/// One size of pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pack {
    /// Net mass in kilograms.
    pub mass_kg: f64,
    /// Price in the job's money, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}

/// Laminating resin: what the glass takes up, by its mass.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Resin {
    /// Name printed on sheets.
    pub name: String,
    /// Kilograms of resin per kilogram of glass mat, tape and patches.
    pub resin_to_glass: f64,
    /// Allowance as a fraction of the net mass.
    pub allowance: f64,
    /// Packs sold.
    pub packs: Vec<Pack>,
}

/// Hardener: a table of surface-temperature bands. Outside the table there is no dose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hardener {
    /// Name printed on sheets.
    pub name: String,
    /// The bands, from cold to warm, without overlap.
    pub bands: Vec<DoseBand>,
    /// Allowance as a fraction of the net mass.
    pub allowance: f64,
    /// Packs sold.
    pub packs: Vec<Pack>,
}

/// One band of the hardener table: from `from_c` (included) to `to_c` (included).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DoseBand {
    /// Coldest surface temperature of the band in degrees Celsius.
    pub from_c: f64,
    /// Warmest surface temperature of the band in degrees Celsius.
    pub to_c: f64,
    /// Mass of hardener as sold per mass of resin.
    pub fraction: f64,
}
