use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::money::Money;
use crate::roof::Kind;

/// A stage of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// The deck is made ready.
    Preparation,
    /// Trims are fixed.
    Trims,
    /// A liquid layer over an area: primer, top coat.
    Coat,
    /// Tape and patches in resin.
    Details,
    /// Mat in resin.
    Laminate,
    /// A layer that has stood too long or got wet is made fit for the next one.
    Cleaning,
}

/// How fast work goes, in what order trims are fixed, and what rain does to it.
///
/// Rates are what one person does in an hour; a crew does so many times more. They are inventions: put in your own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Work {
    /// Square metres of roof that are made ready.
    pub preparation_m2: f64,
    /// Metres of trim that are cut and fixed, with their battens.
    pub trim_m: f64,
    /// Joints of trims that are bedded and fixed, beside the metres.
    pub joints: f64,
    /// What an hour of one person costs, in the job's money, if labour is to be reckoned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub person_hour: Option<Money>,
    /// The order in which trims are fixed, by their kinds.
    pub trim_order: [Kind; 3],
    /// Metres of tape that are laid.
    pub tape_m: f64,
    /// Patches that are laid.
    pub patches: f64,
    /// Square metres of a layer that does not say how fast it is laid.
    pub coat_m2: f64,
    /// Most rain in an hour, in millimetres, that work on the roof goes on in.
    pub rain_mm: f64,
    /// Minutes after rain before the deck is dry enough for wet work.
    pub drying_min: u32,
}

impl Default for Work {
    fn default() -> Self {
        Work {
            preparation_m2: 8.0,
            trim_m: 8.0,
            joints: 12.0,
            person_hour: None,
            // Drip trims, then wall trims, then raised trims: common practice.
            trim_order: [Kind::Drip, Kind::Abutment, Kind::OpenSide],
            tape_m: 30.0,
            patches: 60.0,
            coat_m2: 15.0,
            rain_mm: 0.0,
            drying_min: 120,
        }
    }
}
