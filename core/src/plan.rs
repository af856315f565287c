//! The plan: all that the library works out for a job. Document kind `upstand/plan/1`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::Error;
use crate::finding::Finding;
use crate::geometry::Point;
use crate::mat::RoofMat;
use crate::roof::{Kind, Outlet};
use crate::takeoff::TakeoffLine;
use crate::trim::{CutList, RoofTrims};
use crate::wire::{self, Document};

/// All that the library works out for a job.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The kind of document.
    #[schemars(schema_with = "plan_tag")]
    pub schema: wire::Tag<Plan>,
    /// The job's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The roofs in the job's order.
    pub roofs: Vec<RoofPlan>,
    /// How to cut trims and battens.
    pub cut_lists: Vec<CutList>,
    /// What to order.
    pub takeoff: Vec<TakeoffLine>,
    /// What the checks found, gravest first.
    pub findings: Vec<Finding>,
    /// Cautions that belong to the work as a whole.
    pub cautions: Vec<String>,
}

/// One roof of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoofPlan {
    /// Its name: as given, or `roof 1` and so on.
    pub name: String,
    /// Its rings, the outer one counter-clockwise first, then the holes clockwise.
    pub rings: Vec<PlanRing>,
    /// Its outlets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<Outlet>,
    /// Area inside the outline, less the holes, in square metres.
    pub area_m2: f64,
    /// Corners and runs.
    pub trims: RoofTrims,
    /// Reinforcement.
    pub mat: RoofMat,
}

/// One ring of a roof as planned: in its normal direction, with the kind of every edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanRing {
    /// The points.
    pub points: Vec<Point>,
    /// The kind of the edge from each point to the next.
    pub kinds: Vec<Kind>,
}

impl Document for Plan {
    const SCHEMA: &'static str = "upstand/plan/1";
}

fn plan_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Plan>()
}

impl Plan {
    /// Reads a plan from JSON text. Errors as for [`Job::from_json`](crate::Job::from_json).
    ///
    /// ```
    /// use upstand::{Code, Plan};
    ///
    /// let text = Plan::default().to_json();
    /// assert_eq!(Plan::from_json(&text).unwrap(), Plan::default());
    /// assert_eq!(Plan::from_json("{}").unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_json(text: &str) -> Result<Plan, Error> {
        wire::read(text)
    }

    /// The plan as canonical JSON text: the same bytes for the same job on every platform and from every language.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}
