//! What was measured: named points and measurements between them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::Error;
use crate::geometry::Point;
use crate::length::Length;
use crate::wire::{self, Document};

/// Tape measurements of a roof, before adjustment: a part of a job, or a document of its own (`upstand/network/1`).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Network {
    /// The kind of document; may be left out within a job.
    #[serde(default)]
    #[schemars(schema_with = "network_tag")]
    pub schema: wire::Tag<Network>,
    /// The outline's points in order, counter-clockwise seen from above (walk it with the roof on your left).
    #[serde(default)]
    pub outline: Vec<String>,
    /// The points of each hole, in order. Left out, the holes of the roof are given by coordinates.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<String>>,
    /// Outlets at measured points; they come after the roof's own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<MeasuredOutlet>,
    /// Pipes at measured points; they come after the roof's own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pipes: Vec<MeasuredPipe>,
    /// What was measured.
    pub measurements: Vec<Measurement>,
    /// Points whose position is known and stays.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fixed: Vec<Known>,
    /// Rough positions off a sketch: they help to begin, and decide which side of a line a point lies on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sketch: Vec<Known>,
    /// How good measurements are that do not say.
    #[serde(default)]
    pub precision: Precision,
}

/// An outlet whose centre is a measured point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredOutlet {
    /// Its centre.
    pub point: String,
    /// Its diameter.
    pub diameter: Length,
}

/// A pipe whose centre is a measured point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredPipe {
    /// Name printed on drawings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Its centre.
    pub point: String,
    /// Its outer diameter.
    pub diameter: Length,
    /// How far it stands above the deck as it is before work, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
}

/// A point and its position.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Known {
    /// Its name.
    pub point: String,
    /// Where it is.
    pub at: Point,
}

/// Standard deviations of measurements that do not say their own. The defaults are this project's, for a steel tape on
/// a domestic roof.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Precision {
    /// Of a length by tape.
    pub tape: Length,
    /// Of an offset from a line, and of the statement that a point lies on a line.
    pub offset: Length,
    /// Of an angle in degrees, and of the statement that a corner is square.
    pub angle_deg: f64,
}

impl Default for Precision {
    fn default() -> Self {
        Precision { tape: Length::from_mm(3), offset: Length::from_mm(5), angle_deg: 0.2 }
    }
}

/// One measurement. `sd` is its standard deviation: millimetres for lengths, degrees for angles.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Measurement {
    /// The distance of two points: a side, a diagonal, a tie.
    Distance {
        /// From here.
        from: String,
        /// To here.
        to: String,
        /// As read.
        length: Length,
        /// Standard deviation in millimetres.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sd: Option<f64>,
    },
    /// The distance of a point from a line, positive to the left of the way along it.
    Offset {
        /// The point.
        point: String,
        /// The line begins here.
        from: String,
        /// The line runs to here.
        to: String,
        /// As read.
        length: Length,
        /// Standard deviation in millimetres.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sd: Option<f64>,
    },
    /// The angle at a point, counter-clockwise from one direction to another.
    Angle {
        /// The corner.
        at: String,
        /// Towards here first.
        from: String,
        /// Towards here then.
        to: String,
        /// As read, in degrees.
        degrees: f64,
        /// Standard deviation in degrees.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sd: Option<f64>,
    },
    /// The corner is square, on whichever side.
    RightAngle {
        /// The corner.
        at: String,
        /// One arm.
        from: String,
        /// The other arm.
        to: String,
        /// Standard deviation in degrees.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sd: Option<f64>,
    },
    /// A point lies on a line, such as a wall's.
    InLine {
        /// The point.
        point: String,
        /// The line begins here.
        from: String,
        /// The line runs to here.
        to: String,
        /// Standard deviation in millimetres.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sd: Option<f64>,
    },
}

impl Network {
    /// What a distance is on the outline or a hole: a side, a diagonal, or just a distance.
    pub(crate) fn kind_of_distance(&self, from: &str, to: &str) -> &'static str {
        for ring in std::iter::once(&self.outline).chain(&self.holes) {
            let at = |name: &str| ring.iter().position(|point| point == name);
            let (Some(a), Some(b)) = (at(from), at(to)) else { continue };
            let apart = a.abs_diff(b);
            return if apart == 1 || apart + 1 == ring.len() { "side" } else { "diagonal" };
        }
        "distance"
    }
}

impl Measurement {
    /// What it is, for people: `distance B-D`, `angle at C from B to D`.
    pub fn label(&self) -> String {
        match self {
            Measurement::Distance { from, to, .. } => format!("distance {from}-{to}"),
            Measurement::Offset { point, from, to, .. } => format!("offset of {point} from line {from}-{to}"),
            Measurement::Angle { at, from, to, .. } => format!("angle at {at} from {from} to {to}"),
            Measurement::RightAngle { at, from, to, .. } => format!("right angle at {at} between {from} and {to}"),
            Measurement::InLine { point, from, to, .. } => format!("{point} in line with {from}-{to}"),
        }
    }

    /// Its own standard deviation, if it has one.
    pub fn sd(&self) -> Option<f64> {
        match self {
            Measurement::Distance { sd, .. }
            | Measurement::Offset { sd, .. }
            | Measurement::Angle { sd, .. }
            | Measurement::RightAngle { sd, .. }
            | Measurement::InLine { sd, .. } => *sd,
        }
    }

    /// The points that it speaks of.
    pub fn names(&self) -> Vec<&String> {
        match self {
            Measurement::Distance { from, to, .. } => vec![from, to],
            Measurement::Offset { point, from, to, .. } | Measurement::InLine { point, from, to, .. } => {
                vec![point, from, to]
            }
            Measurement::Angle { at, from, to, .. } | Measurement::RightAngle { at, from, to, .. } => {
                vec![at, from, to]
            }
        }
    }
}

/// The most points or measurements that are taken on.
pub const MOST: usize = 20_000;

impl Document for Network {
    const SCHEMA: &'static str = "upstand/network/1";
}

fn network_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Network>()
}

impl Network {
    /// Reads a network from JSON text.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json).
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::survey::Network;
    ///
    /// let text = r#"{"schema": "upstand/network/1", "outline": ["A", "B", "C"], "measurements": [
    ///     {"distance": {"from": "A", "to": "B", "length": 4000}}]}"#;
    /// assert_eq!(Network::from_json(text).unwrap().measurements.len(), 1);
    /// let error = Network::from_json(&text.replace("4000", "\"4 m\"")).unwrap_err();
    /// assert_eq!(error.code(), Code::BadValue);
    /// assert!(error.path().starts_with("/measurements/0/distance"));
    /// ```
    pub fn from_json(text: &str) -> Result<Network, Error> {
        wire::read(text)
    }

    /// Reads a network from a JSON value that is already in memory.
    ///
    /// # Errors
    /// As for [`Network::from_json`].
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::Code;
    /// use upstand::survey::Network;
    ///
    /// assert!(Network::from_value(json!({"schema": "upstand/network/1", "measurements": []})).is_ok());
    /// assert_eq!(Network::from_value(json!({})).unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Network, Error> {
        wire::read_value(value)
    }

    /// The network as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}
