//! What was measured: named points and measurements between them.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;

/// Tape measurements of a roof, before adjustment.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Network {
    /// The outline's points in order, counter-clockwise seen from above (walk it with the roof on your left).
    #[serde(default)]
    pub outline: Vec<String>,
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

    fn names(&self) -> Vec<&String> {
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

/// A position in millimetres.
pub(super) type Xy = (f64, f64);

/// One equation: a function of a few points that ought to equal a value.
#[derive(Clone, Copy, Debug)]
pub(super) enum Shape {
    Distance(usize, usize),
    /// Signed distance of the first point from the line of the other two.
    Offset(usize, usize, usize),
    /// Angle at the first point from the second to the third, in radians.
    Angle(usize, usize, usize),
    /// As `Angle`, but either way round.
    Square(usize, usize, usize),
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Equation {
    pub(super) shape: Shape,
    /// Millimetres or radians.
    pub(super) value: f64,
    /// Standard deviation in the same unit.
    pub(super) sd: f64,
}

/// The network with names replaced by numbers.
#[derive(Debug)]
pub(super) struct Numbered {
    pub(super) names: Vec<String>,
    pub(super) outline: Vec<usize>,
    pub(super) equations: Vec<Equation>,
    pub(super) fixed: Vec<Option<Xy>>,
    pub(super) sketch: Vec<Option<Xy>>,
}

const DEGREE: f64 = std::f64::consts::PI / 180.0;

impl Network {
    /// Numbers the points: the outline's in its order, then others as they are first named.
    pub(super) fn number(&self) -> Result<Numbered, Error> {
        if self.measurements.len() > MOST {
            let many = self.measurements.len();
            return Err(Error::new(Code::TooMany, "/measurements", format!("{many} measurements: at most {MOST}")));
        }
        let mut names: Vec<String> = Vec::new();
        let mut index: BTreeMap<String, usize> = BTreeMap::new();
        let mut number = |name: &String| -> usize {
            *index.entry(name.clone()).or_insert_with(|| {
                names.push(name.clone());
                names.len() - 1
            })
        };
        let mut problems = Vec::new();
        let mut outline = Vec::new();
        for (i, name) in self.outline.iter().enumerate() {
            let point = number(name);
            if outline.contains(&point) {
                let what = format!("point {name:?} stands twice in the outline");
                problems.push(Error::new(Code::BadMeasurement, format!("/outline/{i}"), what));
            }
            outline.push(point);
        }
        let mut equations = Vec::new();
        for (i, measurement) in self.measurements.iter().enumerate() {
            let path = format!("/measurements/{i}");
            let mut all: Vec<usize> = measurement.names().into_iter().map(&mut number).collect();
            match self.equation(measurement, &all) {
                Ok(equation) => equations.push(equation),
                Err(what) => problems.push(Error::new(Code::BadMeasurement, path.clone(), what)),
            }
            all.sort_unstable();
            if all.windows(2).any(|pair| pair[0] == pair[1]) {
                let what = format!("{}: the points must differ", measurement.label());
                problems.push(Error::new(Code::BadMeasurement, path, what));
            }
        }
        let mut places = [Vec::new(), Vec::new()];
        for (list, given) in places.iter_mut().zip([&self.fixed, &self.sketch]) {
            for known in given {
                list.push((number(&known.point), (known.at.x.mm(), known.at.y.mm())));
            }
        }
        if names.len() < 2 {
            problems.push(Error::new(Code::BadMeasurement, "/measurements", "a network has at least two points"));
        }
        if names.len() > MOST {
            problems.push(Error::new(Code::TooMany, "", format!("{} points: at most {MOST}", names.len())));
        }
        Error::from_problems(problems)?;
        let spread = |list: &[(usize, Xy)]| {
            let mut all = vec![None; names.len()];
            for &(point, at) in list {
                all[point] = Some(at);
            }
            all
        };
        let (fixed, sketch) = (spread(&places[0]), spread(&places[1]));
        Ok(Numbered { names, outline, equations, fixed, sketch })
    }

    fn equation(&self, measurement: &Measurement, points: &[usize]) -> Result<Equation, String> {
        let Precision { tape, offset, angle_deg } = &self.precision;
        let (shape, value, sd) = match measurement {
            Measurement::Distance { length, sd, .. } => {
                if !length.is_positive() {
                    return Err(format!("{}: {length} is no distance: more than zero is needed", measurement.label()));
                }
                (Shape::Distance(points[0], points[1]), length.mm(), sd.unwrap_or(tape.mm()))
            }
            Measurement::Offset { length, sd, .. } => {
                (Shape::Offset(points[0], points[1], points[2]), length.mm(), sd.unwrap_or(offset.mm()))
            }
            Measurement::InLine { sd, .. } => {
                (Shape::Offset(points[0], points[1], points[2]), 0.0, sd.unwrap_or(offset.mm()))
            }
            Measurement::Angle { degrees, sd, .. } => {
                if !(0.0..=360.0).contains(degrees) {
                    return Err(format!("{}: {degrees} is not from 0 to 360 degrees", measurement.label()));
                }
                let shape = Shape::Angle(points[0], points[1], points[2]);
                (shape, degrees * DEGREE, sd.unwrap_or(*angle_deg) * DEGREE)
            }
            Measurement::RightAngle { sd, .. } => {
                let shape = Shape::Square(points[0], points[1], points[2]);
                (shape, 90.0 * DEGREE, sd.unwrap_or(*angle_deg) * DEGREE)
            }
        };
        if !(sd.is_finite() && sd > 0.0) {
            return Err(format!("{}: a standard deviation is more than zero", measurement.label()));
        }
        Ok(Equation { shape, value, sd })
    }
}
