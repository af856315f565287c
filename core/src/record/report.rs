use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Record, inspect};
use crate::calendar::Moment;
use crate::error::Error;
use crate::finding::Finding;
use crate::plan::{Plan, plan};
use crate::wire::{self, Document};

/// The hand-over report of a record. Document kind `upstand/report/1`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// The kind of document.
    #[schemars(schema_with = "report_tag")]
    pub schema: wire::Tag<Report>,
    /// The job's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The roofs' names.
    pub roofs: Vec<String>,
    /// Every layer of the system that the plan needs or the record names.
    pub layers: Vec<LayerReport>,
    /// Every coat, in the record's order.
    pub coats: Vec<CoatReport>,
    /// What the check found, gravest first. Places are JSON Pointers into the record.
    pub findings: Vec<Finding>,
    /// Remarks of the record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
    /// What the report says and what it does not.
    pub statement: String,
}

/// One layer as planned and as done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LayerReport {
    /// Its `material` in the system.
    pub layer: String,
    /// Its printed name.
    pub name: String,
    /// What the plan needs without allowance, in kilograms.
    pub planned_kg: f64,
    /// What was mixed, in kilograms.
    pub mixed_kg: f64,
    /// Hardener in it, in kilograms.
    pub hardener_kg: f64,
    /// Number of mixes.
    pub mixes: u64,
}

/// One coat as planned and as done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoatReport {
    /// Its layer's printed name.
    pub name: String,
    /// On which roof, from 0.
    pub roof: usize,
    /// When it was begun.
    pub begun: Moment,
    /// When it was done.
    pub done: Moment,
    /// When the schedule had this layer begin there, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<Moment>,
}

const STATEMENT: &str = "This report holds what was written down against the plan of the job, the hardener's table and the \
    limits of its system. What was not written down it does not know. It is no warranty: what the makers of the materials \
    promise, only they can say, and their data sheets and the local rules win over it.";

impl Document for Report {
    const SCHEMA: &'static str = "upstand/report/1";
}

fn report_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Report>()
}

impl Report {
    /// Reads a report from JSON text.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json).
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::record::Report;
    ///
    /// assert_eq!(Report::from_json(&Report::default().to_json()).unwrap(), Report::default());
    /// assert_eq!(Report::from_json("{}").unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_json(text: &str) -> Result<Report, Error> {
        wire::read(text)
    }

    /// The report as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}

impl Record {
    /// Holds the record against its job's plan.
    ///
    /// | finding | grade | when |
    /// |---|---|---|
    /// | `mix_off_table` | refuse | a mix was made at a surface temperature that the hardener's table does not have |
    /// | `mix_underdosed` | refuse | a mix has less hardener than its surface temperature asks for |
    /// | `mix_overdosed` | caution | a mix has more than any band of the table, or than the hardener's largest fraction |
    /// | `mix_too_large` | caution | a mix is larger than the layer's largest |
    /// | `mix_outlived` | caution | a mix was used after its pot life |
    /// | `mix_without_coat` | caution | no coat of its layer was being laid when a mix was made |
    /// | `coat_order`, `coat_too_early`, `coat_too_late`, `coat_missing`, `coat_wetted` | as in [`wet`](crate::wet) | windows |
    /// | `coat_without_reading` | caution | surface, air and humidity were not read in the two hours before a coat was done |
    /// | `dew_point`, `humidity` | refuse | a reading around a coat was beyond the system's limits |
    /// | `deck_moisture` | refuse | a reading of the deck was beyond the limit |
    /// | `layer_not_recorded` | caution | the plan needs a layer of which the record has no coat on a roof |
    /// | `less_than_planned` | caution | less was mixed of a layer than the plan needs without allowance |
    ///
    /// Readings and coats of one roof are compared pairwise; all else is linear.
    ///
    /// # Errors
    /// Everything that [`Record::check`] finds, in one error that carries all problems.
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::record::Record;
    ///
    /// let record = Record::from_json(r#"{"schema": "upstand/record/1",
    ///     "job": {"schema": "upstand/job/1", "roofs": [{"outer": {
    ///         "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]},
    ///     "mixes": [{"at": "2027-05-03T13:05", "layer": "resin", "mass_kg": 2, "hardener_g": 30, "surface_c": 12}]}"#)?;
    /// let report = record.report()?;
    /// // At 12 degrees 2 kg take 40 g.
    /// assert_eq!((report.findings[0].code.as_str(), report.findings[0].place.as_str()), ("mix_underdosed", "/mixes/0"));
    /// assert_eq!(Record::default().report().unwrap_err().code(), Code::NoRoofs);
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn report(&self) -> Result<Report, Error> {
        let problems = self.check();
        if !problems.is_empty() {
            return Error::from_problems(problems).map(|()| Report::default());
        }
        let plan = plan(&self.job).map_err(|error| error.under("/job"))?;
        let layers = self.layers(&plan);
        let mut findings = inspect::findings(self, &layers);
        findings.sort_by_key(|finding| finding.grade);
        Ok(Report {
            schema: wire::Tag::default(),
            name: self.job.name.clone(),
            roofs: plan.roofs.iter().map(|roof| roof.name.clone()).collect(),
            coats: self.coats(&plan),
            layers,
            findings,
            remarks: self.remarks.clone(),
            statement: STATEMENT.into(),
        })
    }

    fn layers(&self, plan: &Plan) -> Vec<LayerReport> {
        // The empty sum is -0: nothing added makes it 0.
        let thousandth = |value: f64| (value * 1_000.0).round() / 1_000.0 + 0.0;
        let of_layer = |layer: &crate::system::Layer| {
            let mixes = || self.mixes.iter().filter(|mix| mix.layer == layer.material);
            let planned = plan.takeoff.iter().find(|line| line.material == layer.material);
            LayerReport {
                layer: layer.material.clone(),
                name: layer.name.clone(),
                planned_kg: planned.map_or(0.0, |line| line.net),
                mixed_kg: thousandth(mixes().map(|mix| mix.mass_kg).sum()),
                hardener_kg: thousandth(mixes().map(|mix| mix.hardener_g / 1_000.0).sum()),
                mixes: mixes().count() as u64,
            }
        };
        let layers = self.job.system.layers.iter().map(of_layer);
        layers.filter(|layer| layer.planned_kg > 0.0 || layer.mixes > 0).collect()
    }

    fn coats(&self, plan: &Plan) -> Vec<CoatReport> {
        let report = |coat: &super::CoatDone| {
            let tasks = plan.schedule.iter().flat_map(|schedule| &schedule.tasks);
            let here = |task: &&crate::schedule::Task| {
                task.layer.as_ref() == Some(&coat.layer) && task.places.iter().any(|place| place.roof == coat.roof)
            };
            let layer = self.job.system.layers.iter().find(|layer| layer.material == coat.layer);
            CoatReport {
                name: layer.map(|layer| layer.name.clone()).unwrap_or_default(),
                roof: coat.roof,
                begun: coat.begun,
                done: coat.done,
                planned: tasks.filter(here).map(|task| task.begin).min(),
            }
        };
        self.coats.iter().map(report).collect()
    }
}
