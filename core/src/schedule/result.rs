use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::calendar::Moment;
use crate::roof::Kind;
use crate::system::Stage;
use crate::wet::Place;

/// What is done when: the earliest times that hours, weather and windows allow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Schedule {
    /// People at work.
    pub crew: u32,
    /// When the first task begins.
    pub begun: Moment,
    /// When the last task ends.
    pub done: Moment,
    /// Whether every order of the sections was tried, so that none ends earlier. With more sections than that allows,
    /// some good orders were.
    pub all_orders: bool,
    /// The tasks in the order in which the crew does them.
    pub tasks: Vec<Task>,
}

/// One task.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// Its number in the order of work, from 1.
    pub number: u64,
    /// What is done.
    pub name: String,
    /// Which stage it belongs to.
    pub stage: Stage,
    /// Which trims are fixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<Kind>,
    /// Which layer is laid, by its `material` in the system.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// Where.
    pub places: Vec<Place>,
    /// How much there is to do.
    pub amount: f64,
    /// Unit of the amount.
    pub unit: String,
    /// Minutes of work of the whole crew.
    pub work_min: u64,
    /// When it begins.
    pub begin: Moment,
    /// When it ends.
    pub end: Moment,
    /// When it is worked on: one spell for wet work, more where nights or rain interrupt dry work.
    pub spells: Vec<Spell>,
    /// It may not begin before: what lies below has to cure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_before: Option<Moment>,
    /// It may not begin after: what lies below would have to be cleaned first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_after: Option<Moment>,
    /// Rain does it no harm from then on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub safe_from: Option<Moment>,
    /// Coldest and warmest surface forecast while it is done, in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_c: Option<(f64, f64)>,
    /// What may hurt while it is done.
    pub cautions: Vec<String>,
}

/// A spell of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spell {
    /// From.
    pub from: Moment,
    /// To.
    pub to: Moment,
}
