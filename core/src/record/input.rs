use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::calendar::Moment;
use crate::error::{Code, Error};
use crate::job::Job;
use crate::wire::{self, Document};

/// What was really done. Document kind `upstand/record/1`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The kind of document.
    #[schemars(schema_with = "record_tag")]
    pub schema: wire::Tag<Record>,
    /// The job as it was planned.
    pub job: Job,
    /// Readings of weather and deck.
    #[serde(default)]
    pub readings: Vec<Reading>,
    /// Mixes, each with its hardener.
    #[serde(default)]
    pub mixes: Vec<MixDone>,
    /// Coats, each with its times.
    #[serde(default)]
    pub coats: Vec<CoatDone>,
    /// What else should be known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
}

/// One reading. What was not read is left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// When.
    pub at: Moment,
    /// On which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Temperature of the air in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_c: Option<f64>,
    /// Relative humidity of the air in percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub humidity_percent: Option<f64>,
    /// Temperature of the surface in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_c: Option<f64>,
    /// Moisture of the deck in percent of dry mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_percent: Option<f64>,
}

/// One mix.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MixDone {
    /// When the hardener went in.
    pub at: Moment,
    /// Which layer, by its `material` in the system.
    pub layer: String,
    /// On which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Mass of the layer, without hardener, in kilograms.
    pub mass_kg: f64,
    /// Hardener in grams.
    pub hardener_g: f64,
    /// Temperature of the surface that was read for it, in degrees Celsius.
    pub surface_c: f64,
    /// When it was used up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub used_up: Option<Moment>,
}

/// One coat.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoatDone {
    /// Which layer, by its `material` in the system.
    pub layer: String,
    /// On which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// When it was begun.
    pub begun: Moment,
    /// When it was done.
    pub done: Moment,
    /// Whether rain or dew fell on it before the next coat.
    #[serde(default)]
    pub wetted: bool,
}

impl Document for Record {
    const SCHEMA: &'static str = "upstand/record/1";
}

fn record_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Record>()
}

/// Most readings, mixes and coats of one record, each.
const MOST_ENTRIES: usize = 100_000;

impl Record {
    /// Reads a record from JSON text.
    ///
    /// # Errors
    /// As for [`Job::from_json`].
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::record::Record;
    ///
    /// let job = r#"{"schema": "upstand/job/1", "roofs": []}"#;
    /// assert!(Record::from_json(&format!(r#"{{"schema": "upstand/record/1", "job": {job}}}"#)).is_ok());
    /// let error = Record::from_json(r#"{"schema": "upstand/record/1"}"#).unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::MissingField, "/job"));
    /// ```
    pub fn from_json(text: &str) -> Result<Record, Error> {
        wire::read(text)
    }

    /// Reads a record from a JSON value that is already in memory.
    ///
    /// # Errors
    /// As for [`Job::from_json`].
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::record::Record;
    ///
    /// let job = json!({"schema": "upstand/job/1", "roofs": []});
    /// assert!(Record::from_value(json!({"schema": "upstand/record/1", "job": job})).is_ok());
    /// assert!(Record::from_value(json!({"schema": "upstand/job/1"})).is_err());
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Record, Error> {
        wire::read_value(value)
    }

    /// The record as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }

    /// Everything that cannot be: entries that contradict themselves, or name a roof or layer that the job does not have.
    /// The job's own problems come first, with paths below `/job`.
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::record::Record;
    ///
    /// let problems = Record::default().check();
    /// assert_eq!((problems[0].code(), problems[0].path()), (Code::NoRoofs, "/job/roofs"));
    /// ```
    pub fn check(&self) -> Vec<Error> {
        let mut problems: Vec<Error> = self.job.check().into_iter().map(|error| error.under("/job")).collect();
        for (field, count) in
            [("readings", self.readings.len()), ("mixes", self.mixes.len()), ("coats", self.coats.len())]
        {
            if count > MOST_ENTRIES {
                let message = format!("{count} entries: at most {MOST_ENTRIES} are taken");
                problems.push(Error::new(Code::TooMany, format!("/{field}"), message));
            }
        }
        let mut entries = Entries { record: self, problems };
        self.readings.iter().enumerate().for_each(|(i, reading)| entries.reading(&format!("/readings/{i}"), reading));
        self.mixes.iter().enumerate().for_each(|(i, mix)| entries.mix(&format!("/mixes/{i}"), mix));
        self.coats.iter().enumerate().for_each(|(i, coat)| entries.coat(&format!("/coats/{i}"), coat));
        entries.problems
    }
}

struct Entries<'a> {
    record: &'a Record,
    problems: Vec<Error>,
}

impl Entries<'_> {
    fn reading(&mut self, path: &str, reading: &Reading) {
        self.roof(path, reading.roof);
        let values = [
            ("air_c", reading.air_c, (-40.0, 50.0)),
            ("humidity_percent", reading.humidity_percent, (1.0, 100.0)),
            ("surface_c", reading.surface_c, (-60.0, 100.0)),
            ("moisture_percent", reading.moisture_percent, (0.0, 100.0)),
        ];
        for (field, value, range) in values {
            if let Some(value) = value {
                self.number(&format!("{path}/{field}"), value, range);
            }
        }
    }

    fn mix(&mut self, path: &str, mix: &MixDone) {
        self.roof(path, mix.roof);
        self.layer(path, &mix.layer);
        self.number(&format!("{path}/mass_kg"), mix.mass_kg, (0.001, 10_000.0));
        self.number(&format!("{path}/hardener_g"), mix.hardener_g, (0.0, 1e7));
        self.number(&format!("{path}/surface_c"), mix.surface_c, (-60.0, 100.0));
        if let Some(used_up) = mix.used_up.filter(|&used_up| used_up < mix.at) {
            let message = format!("used up at {used_up}, before it was mixed at {}", mix.at);
            self.problems.push(Error::new(Code::BadReading, format!("{path}/used_up"), message));
        }
    }

    fn coat(&mut self, path: &str, coat: &CoatDone) {
        self.roof(path, coat.roof);
        self.layer(path, &coat.layer);
        if coat.done < coat.begun {
            let message = format!("done at {}, before it was begun at {}", coat.done, coat.begun);
            self.problems.push(Error::new(Code::BadReading, format!("{path}/done"), message));
        }
    }

    fn roof(&mut self, path: &str, roof: usize) {
        let count = self.record.job.roofs.len();
        if roof >= count {
            let message = format!("there is no roof {roof}: the job has {count} (counted from 0)");
            self.problems.push(Error::new(Code::NoSuchPlace, format!("{path}/roof"), message));
        }
    }

    fn layer(&mut self, path: &str, layer: &str) {
        if !self.record.job.system.layers.iter().any(|of_system| of_system.material == layer) {
            let message = format!("the system has no layer with the material name {layer:?}");
            self.problems.push(Error::new(Code::NoSuchPlace, format!("{path}/layer"), message));
        }
    }

    fn number(&mut self, path: &str, value: f64, (least, most): (f64, f64)) {
        if !value.is_finite() {
            self.problems.push(Error::new(Code::NonFinite, path, format!("{value} is not a reading")));
        } else if value < least || value > most {
            let message = format!("{value} cannot be: from {least} to {most}");
            self.problems.push(Error::new(Code::BadReading, path, message));
        }
    }
}
