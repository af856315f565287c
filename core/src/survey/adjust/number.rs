//! The network as equations between numbered points.

use std::collections::{BTreeMap, BTreeSet};

use super::{MOST, Measurement, Network, Precision};
use crate::error::{Code, Error};

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
    pub(super) holes: Vec<Vec<usize>>,
    pub(super) equations: Vec<Equation>,
    pub(super) fixed: Vec<Option<Xy>>,
    pub(super) sketch: Vec<Option<Xy>>,
}

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// From a nanometre, or the like in degrees, to far beyond any tape: what keeps the equations solvable.
fn is_deviation(sd: f64) -> bool {
    (1e-6..=1e9).contains(&sd)
}

impl Network {
    /// Numbers the points: the outline's in its order, then those of holes, then others as they are first named.
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
        let Precision { tape, offset, angle_deg } = &self.precision;
        for (field, sd) in [("tape", tape.mm()), ("offset", offset.mm()), ("angle_deg", *angle_deg)] {
            if !is_deviation(sd) {
                let what = format!("{sd}: a standard deviation is more than zero");
                problems.push(Error::new(Code::BadMeasurement, format!("/precision/{field}"), what));
            }
        }
        let mut outline = Vec::new();
        let mut used = BTreeSet::new();
        let mut once = |point: usize, name: &str, path: String| {
            if !used.insert(point) {
                let what = format!("point {name:?} stands twice in the outline or its holes");
                problems.push(Error::new(Code::BadMeasurement, path, what));
            }
        };
        for (i, name) in self.outline.iter().enumerate() {
            let point = number(name);
            once(point, name, format!("/outline/{i}"));
            outline.push(point);
        }
        let mut holes = Vec::new();
        for (i, hole) in self.holes.iter().enumerate() {
            let points: Vec<usize> = hole.iter().map(&mut number).collect();
            let path = |k: usize| format!("/holes/{i}/{k}");
            points.iter().zip(hole).enumerate().for_each(|(k, (&point, name))| once(point, name, path(k)));
            holes.push(points);
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
        let pipes = self.pipes.iter().map(|pipe| &pipe.point);
        for point in self.outlets.iter().map(|outlet| &outlet.point).chain(pipes) {
            number(point);
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
        Ok(Numbered { names, outline, holes, equations, fixed, sketch })
    }

    fn equation(&self, measurement: &Measurement, points: &[usize]) -> Result<Equation, String> {
        let Precision { tape, offset, angle_deg } = &self.precision;
        let own_sd = measurement.sd();
        if let Some(sd) = own_sd.filter(|&sd| !is_deviation(sd)) {
            return Err(format!("{}: {sd}, but a standard deviation is more than zero", measurement.label()));
        }
        let or = |usual: f64| own_sd.unwrap_or(usual);
        let (shape, value, sd) = match measurement {
            Measurement::Distance { length, .. } => {
                if !length.is_positive() {
                    return Err(format!("{}: {length} is no distance: more than zero is needed", measurement.label()));
                }
                (Shape::Distance(points[0], points[1]), length.mm(), or(tape.mm()))
            }
            Measurement::Offset { length, .. } => {
                (Shape::Offset(points[0], points[1], points[2]), length.mm(), or(offset.mm()))
            }
            Measurement::InLine { .. } => (Shape::Offset(points[0], points[1], points[2]), 0.0, or(offset.mm())),
            Measurement::Angle { degrees, .. } => {
                if !(0.0..=360.0).contains(degrees) {
                    return Err(format!("{}: {degrees} is not from 0 to 360 degrees", measurement.label()));
                }
                let shape = Shape::Angle(points[0], points[1], points[2]);
                (shape, degrees * DEGREE, or(*angle_deg) * DEGREE)
            }
            Measurement::RightAngle { .. } => {
                let shape = Shape::Square(points[0], points[1], points[2]);
                (shape, 90.0 * DEGREE, or(*angle_deg) * DEGREE)
            }
        };
        Ok(Equation { shape, value, sd })
    }
}
