//! The job: all that is known before planning. Document kind `upstand/job/1`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::alternative::Alternative;
use crate::cutting::Minimise;
use crate::error::Error;
use crate::length::Length;
use crate::roof::{Kind, Roof};
use crate::schedule::Programme;
use crate::survey::Survey;
use crate::system::{Finish, System};
use crate::takeoff::{MaterialOnHand, PackPrice};
use crate::trim::WindFixing;
use crate::wire::{self, Document};

/// All that is known before planning.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// The kind of document.
    #[serde(default)]
    #[schemars(schema_with = "job_tag")]
    pub schema: wire::Tag<Job>,
    /// Name printed on sheets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The roofs; they share stock and are cut together.
    pub roofs: Vec<Roof>,
    /// Materials and rules; by default the demonstration system.
    #[serde(default)]
    pub system: System,
    /// Bars and offcuts on hand.
    #[serde(default)]
    pub stock: Stock,
    /// What the contractor prefers.
    #[serde(default)]
    pub preferences: Preferences,
    /// What was found on site.
    #[serde(default)]
    pub survey: Survey,
    /// Prices of the day, in place of the system's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prices: Vec<PackPrice>,
    /// Alternatives that the plan compares, each planned anew; 8 at most.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Alternative>,
    /// When the work may be done: with it the plan has a schedule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub programme: Option<Programme>,
}

/// Bars and offcuts on hand: used before any is bought.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Stock {
    /// Bars of trim.
    pub trims: Vec<TrimOnHand>,
    /// Battens.
    pub battens: Vec<OnHand>,
    /// Liquids, glass, fixings and adhesive.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<MaterialOnHand>,
}

/// Bars of one trim on hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TrimOnHand {
    /// Which trim.
    pub kind: Kind,
    /// Length of each.
    pub length: Length,
    /// How many.
    pub count: u32,
}

/// Lengths on hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OnHand {
    /// Length of each.
    pub length: Length,
    /// How many.
    pub count: u32,
}

/// What the contractor prefers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Preferences {
    /// What the cut lists make least.
    pub minimise: Minimise,
    /// Whether top coats are thin or smooth.
    #[serde(skip_serializing_if = "is_default")]
    pub finish: Finish,
    /// Least length of a piece of a joined run.
    pub least_piece: Length,
    /// Least distance of a joint from either end of its run, and from outlets and pipes beside it.
    pub joint_clear: Length,
    /// Where the prevailing weather comes from, in degrees counter-clockwise from the x axis: along level edges the pieces
    /// nearer to it lie over the others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weather_from_deg: Option<f64>,
    /// Denser fixings in the wind's edge and corner zones; by default the same everywhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<WindFixing>,
    /// Shortest offcut worth keeping.
    pub least_useful: Length,
    /// Search nodes that each cut list may take. A list that is not proven best within them says so; the bound on work keeps
    /// the plan of the largest building to seconds.
    pub nodes: u64,
}

fn is_default(finish: &Finish) -> bool {
    *finish == Finish::default()
}

impl Default for Preferences {
    fn default() -> Self {
        Preferences {
            minimise: Minimise::default(),
            finish: Finish::default(),
            least_piece: Length::from_mm(300),
            joint_clear: Length::from_mm(150),
            weather_from_deg: None,
            wind: None,
            least_useful: Length::from_mm(300),
            nodes: 100,
        }
    }
}

impl Document for Job {
    const SCHEMA: &'static str = "upstand/job/1";
}

fn job_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Job>()
}

impl Job {
    /// Reads a job from JSON text.
    ///
    /// # Errors
    /// [`Code::BadJson`](crate::Code::BadJson), [`WrongSchema`](crate::Code::WrongSchema),
    /// [`UnknownField`](crate::Code::UnknownField), [`MissingField`](crate::Code::MissingField),
    /// [`BadValue`](crate::Code::BadValue) and number errors, with the place. Whether the roof makes sense is
    /// [`Job::check`]'s to say.
    ///
    /// ```
    /// use upstand::{Code, Job};
    ///
    /// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": []}"#).unwrap();
    /// assert!(job.roofs.is_empty());
    /// let error = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [], "rooves": 1}"#).unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::UnknownField, "/rooves"));
    /// ```
    pub fn from_json(text: &str) -> Result<Job, Error> {
        wire::read(text)
    }

    /// Reads a job from a JSON value that is already in memory: what bindings build from their own objects.
    ///
    /// # Errors
    /// As for [`Job::from_json`].
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::{Code, Job};
    ///
    /// assert!(Job::from_value(json!({"schema": "upstand/job/1", "roofs": []})).is_ok());
    /// assert_eq!(Job::from_value(json!([])).unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Job, Error> {
        wire::read_value(value)
    }

    /// The job as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}
