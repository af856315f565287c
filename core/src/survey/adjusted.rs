//! What an adjustment says: positions, residuals, and what is probably wrong.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::Error;
use crate::geometry::Point;
use crate::length::Length;
use crate::wire::{self, Document};

/// Standardised residuals beyond this are suspect: the two-sided 99.9 % point of the normal distribution.
pub const CRITICAL: f64 = 3.29;

/// The adjusted network: a part of a plan, or a document of its own (`upstand/adjusted/1`).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Adjusted {
    /// The kind of document.
    #[serde(default)]
    #[schemars(schema_with = "adjusted_tag")]
    pub schema: wire::Tag<Adjusted>,
    /// Every point, the outline's first and in its order.
    pub points: Vec<AdjustedPoint>,
    /// The sides of the outline with their uncertainty.
    pub sides: Vec<Side>,
    /// Every measurement, in the order given.
    pub residuals: Vec<Residual>,
    /// Measurements more than needed.
    pub degrees_of_freedom: usize,
    /// Sum of squared standardised residuals.
    pub sum_of_squares: f64,
    /// Its limit at 95 %; none without redundancy.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// The most likely blunders: one, several that cannot be told apart, or none.
    pub suspects: Vec<Suspect>,
}

/// One adjusted point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AdjustedPoint {
    /// Its name.
    pub point: String,
    /// Where it is, on the micrometre grid.
    pub at: Point,
    /// Standard deviation in x, in millimetres.
    pub sd_x_mm: f64,
    /// Standard deviation in y, in millimetres.
    pub sd_y_mm: f64,
    /// Longer half-axis of its standard error ellipse, in millimetres.
    pub major_mm: f64,
    /// Shorter half-axis, in millimetres.
    pub minor_mm: f64,
    /// Direction of the longer half-axis, in degrees from +x towards +y.
    pub major_deg: f64,
}

/// One side of the outline after adjustment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Side {
    /// From this point.
    pub from: String,
    /// To this point.
    pub to: String,
    /// Adjusted length.
    pub length: Length,
    /// Standard deviation of the length, in millimetres.
    pub sd_mm: f64,
}

/// What one measurement says after adjustment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Residual {
    /// Which, in words.
    pub measurement: String,
    /// Measured less adjusted, in millimetres or degrees.
    pub residual: f64,
    /// Share of an error in it that would show in its residual: 0 unchecked, 1 fully checked.
    pub redundancy: f64,
    /// Residual over its own standard deviation; none where nothing checks the measurement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standardised: Option<f64>,
}

/// A measurement that is probably wrong.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Suspect {
    /// Index into the measurements.
    pub index: usize,
    /// By how much it is probably wrong, in millimetres or degrees: positive reads too much.
    pub blunder: f64,
    /// The same for people.
    pub text: String,
}

impl Document for Adjusted {
    const SCHEMA: &'static str = "upstand/adjusted/1";
}

fn adjusted_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Adjusted>()
}

impl Adjusted {
    /// Reads a result from JSON text.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json).
    ///
    /// ```
    /// use upstand::Code;
    /// use upstand::survey::Adjusted;
    ///
    /// assert!(Adjusted::from_json(&Adjusted::default().to_json()).is_ok());
    /// assert_eq!(Adjusted::from_json("{}").unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_json(text: &str) -> Result<Adjusted, Error> {
        wire::read(text)
    }

    /// The result as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}
