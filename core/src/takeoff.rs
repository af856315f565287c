//! The take-off: every material with its inputs, net amount, allowance and whole packs to buy.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One material to order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TakeoffLine {
    /// Stable name, such as `drip`, `mat` or `resin`.
    pub material: String,
    /// Name printed on the order, from the system.
    pub name: String,
    /// Unit of the amounts: `bar`, `m`, `m2`, `kg`, `piece`, `ml`.
    pub unit: String,
    /// How the net amount is computed, in words and symbols.
    pub formula: String,
    /// The numbers that go into it.
    pub inputs: Vec<Input>,
    /// What the work takes.
    pub net: f64,
    /// Added for waste and residue.
    pub allowance: f64,
    /// Whole packs to buy that cover net and allowance together.
    pub packs: Vec<PackCount>,
}

/// One number that goes into an amount.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

/// So many packs of one size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackCount {
    /// Content of one pack, in the line's unit.
    pub size: f64,
    /// How many.
    pub count: u64,
}
