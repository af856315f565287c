//! From the tape to the outline: least-squares adjustment of measurements between named points.
//!
//! # Problem
//! Sides, diagonals, offsets, angles and statements ("this corner is square", "this point is in line with that wall")
//! tie named points together. There are more of them than needed, and none is exact. [`adjust`] finds the positions that
//! fit best, says how sure each is, and which measurement most likely is a blunder.
//!
//! # Method
//! Each measurement `l` of standard deviation `s` is an equation `f(positions) = l`. The positions minimise the sum of
//! `((l - f) / s)^2` (Gauss-Newton on the sparse normal equations `N = A'PA`). A beam of triangulations gives several
//! places to begin ([`Network::sketch`] and the outline's sense resolve mirror images); the lowest minimum wins, so that a second
//! stationary point is not taken for the answer. Without fixed points the first point of the outline is the origin and the
//! second lies on +x: standard deviations are relative to that side.
//!
//! With `a` the measurement's row of `A` and `q = a N^-1 a' / s^2`, its *redundancy number* is `r = 1 - q`: the share of
//! an error in it that shows in its own residual `v`. The standardised residual is `w = v / (s sqrt(r))`. The largest
//! `|w|` beyond [`CRITICAL`] names the most likely blunder, of size `v / r` (data snooping, after Baarda). Where several
//! are equally large, nothing can tell them apart, and all are named. The sum of squares is held against the
//! chi-square limit of its degrees of freedom (global test, 95 %).
//!
//! Sources: Mikhail & Gracie, *Analysis and Adjustment of Survey Measurements*; Ghilani, *Adjustment Computations*; Baarda,
//! *A Testing Procedure for Use in Geodetic Networks* (1968) (from memory).
//!
//! # Limits
//! A blunder in a measurement that nothing checks (`r` near 0) cannot be found by any computation. Two blunders can
//! hide each other. Cost: about (points x band^2) per iteration; a domestic roof takes well under a millisecond.

mod equation;
mod network;
mod solve;
mod start;
mod statistics;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use network::{Known, MOST, Measurement, Network, Precision};

use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;
use network::{Numbered, Shape, Xy};
use solve::{Covariance, Unknowns};

/// Standardised residuals beyond this are suspect: the two-sided 99.9 % point of the normal distribution.
pub const CRITICAL: f64 = 3.29;

/// The adjusted network.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Adjusted {
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

/// Below this redundancy nothing checks a measurement.
const UNCHECKED: f64 = 1e-6;

/// Finds the positions that fit the measurements best.
///
/// # Errors
/// [`Code::BadMeasurement`] for values and names that make no sense (all at once), [`Code::TooMany`],
/// [`Code::FloatingPoint`] where the measurements do not hold a point, [`Code::Clash`] where they cannot be met at all.
///
/// ```
/// use upstand::Code;
/// use upstand::survey::adjust::{Network, adjust};
///
/// // A rectangle with one diagonal more than needed.
/// let text = r#"{"outline": ["A", "B", "C", "D"], "measurements": [
///     {"distance": {"from": "A", "to": "B", "length": 6000}}, {"distance": {"from": "B", "to": "C", "length": 4003}},
///     {"distance": {"from": "C", "to": "D", "length": 5998}}, {"distance": {"from": "D", "to": "A", "length": 4001}},
///     {"distance": {"from": "A", "to": "C", "length": 7215}}, {"distance": {"from": "B", "to": "D", "length": 7208}}]}"#;
/// let mut network: Network = serde_json::from_str(text).unwrap();
/// let adjusted = adjust(&network).unwrap();
/// assert_eq!(adjusted.degrees_of_freedom, 1);
/// assert!(adjusted.suspects.is_empty());
///
/// // Without diagonals the outline is a linkage: it has no shape.
/// network.measurements.truncate(4);
/// assert_eq!(adjust(&network).unwrap_err().code(), Code::FloatingPoint);
/// ```
pub fn adjust(network: &Network) -> Result<Adjusted, Error> {
    let numbered = network.number()?;
    let unknowns = Unknowns::new(&numbered);
    let mut best: Option<(f64, Vec<Xy>)> = None;
    for mut at in start::begin(&numbered)? {
        solve::level(&numbered, &mut at);
        let value = solve::descend(&numbered, &unknowns, &mut at)?;
        // The order of the starts is that of their plausibility: a later one must be better by more than rounding.
        if best.as_ref().is_none_or(|(least, _)| value < least * (1.0 - 1e-9) - 1e-9) {
            best = Some((value, at));
        }
    }
    let (sum_of_squares, at) = best.expect("there is at least one start");
    report(network, &numbered, &unknowns, sum_of_squares, &at)
}

fn report(
    network: &Network,
    numbered: &Numbered,
    unknowns: &Unknowns,
    sum_of_squares: f64,
    at: &[Xy],
) -> Result<Adjusted, Error> {
    let covariance = Covariance::new(numbered, unknowns, at)?;
    let mut points = Vec::with_capacity(at.len());
    let mut floating = Vec::new();
    for (point, name) in numbered.names.iter().enumerate() {
        let [x, y] = unknowns.columns[point];
        let (xx, xy, yy) = (covariance.of(x, x).max(0.0), covariance.of(x, y), covariance.of(y, y).max(0.0));
        if xx.max(yy) > covariance.floating {
            floating.push(name.clone());
        }
        let (major, minor, direction) = statistics::ellipse(xx, xy, yy);
        points.push(AdjustedPoint {
            point: name.clone(),
            at: Point { x: Length::try_from_mm_f64(at[point].0)?, y: Length::try_from_mm_f64(at[point].1)? },
            sd_x_mm: round(xx.sqrt()),
            sd_y_mm: round(yy.sqrt()),
            major_mm: round(major),
            minor_mm: round(minor),
            major_deg: round(direction),
        });
    }
    if !floating.is_empty() {
        let text = format!(
            "the measurements do not hold point {}: it can move without any of them changing; measure a diagonal or an offset more",
            floating.join(", ")
        );
        return Err(Error::new(Code::FloatingPoint, "/measurements", text));
    }

    let mut residuals = Vec::with_capacity(numbered.equations.len());
    let mut sizes = Vec::with_capacity(numbered.equations.len());
    for (equation, measurement) in numbered.equations.iter().zip(&network.measurements) {
        let terms: Vec<(usize, f64)> = solve::row(equation, unknowns, at).iter().flatten().copied().collect();
        let redundancy = (1.0 - covariance.variance(&terms)).clamp(0.0, 1.0);
        let misfit = equation.misfit(at);
        let checked = redundancy > UNCHECKED;
        let standardised = checked.then(|| misfit / (equation.sd * redundancy.sqrt()));
        let unit = unit(equation.shape);
        sizes.push(standardised.map(|w| (w, misfit * unit / redundancy)));
        residuals.push(Residual {
            measurement: measurement.label(),
            residual: round(misfit * unit),
            redundancy: round(redundancy),
            standardised: standardised.map(round),
        });
    }
    let degrees_of_freedom = numbered.equations.len().saturating_sub(unknowns.count);
    let limit = (degrees_of_freedom > 0).then(|| round(statistics::chi_square_limit(0.95, degrees_of_freedom)));
    let sides = sides(numbered, unknowns, at, &covariance)?;
    let suspects = suspects(network, numbered, &sizes);
    let sum_of_squares = round(sum_of_squares);
    Ok(Adjusted { points, sides, residuals, degrees_of_freedom, sum_of_squares, limit, suspects })
}

fn sides(numbered: &Numbered, unknowns: &Unknowns, at: &[Xy], covariance: &Covariance) -> Result<Vec<Side>, Error> {
    let n = numbered.outline.len();
    if n < 2 {
        return Ok(Vec::new());
    }
    (0..n)
        .map(|i| {
            let (from, to) = (numbered.outline[i], numbered.outline[(i + 1) % n]);
            let side = network::Equation { shape: Shape::Distance(from, to), value: 0.0, sd: 1.0 };
            let terms: Vec<(usize, f64)> = solve::row(&side, unknowns, at).iter().flatten().copied().collect();
            Ok(Side {
                from: numbered.names[from].clone(),
                to: numbered.names[to].clone(),
                length: Length::try_from_mm_f64(-side.misfit(at))?,
                sd_mm: round(covariance.variance(&terms).max(0.0).sqrt()),
            })
        })
        .collect()
}

/// Degrees for angles, millimetres for the rest.
fn unit(shape: Shape) -> f64 {
    match shape {
        Shape::Distance(..) | Shape::Offset(..) => 1.0,
        Shape::Angle(..) | Shape::Square(..) => 180.0 / std::f64::consts::PI,
    }
}

fn suspects(network: &Network, numbered: &Numbered, sizes: &[Option<(f64, f64)>]) -> Vec<Suspect> {
    let largest = sizes.iter().flatten().map(|(w, _)| w.abs()).fold(0.0, f64::max);
    if largest <= CRITICAL {
        return Vec::new();
    }
    // Within a thousandth the residuals are one and the same contradiction: nothing tells its sources apart.
    let alike: Vec<(usize, f64)> = sizes
        .iter()
        .enumerate()
        .filter_map(|(i, size)| size.filter(|(w, _)| w.abs() >= largest * 0.999).map(|(_, blunder)| (i, blunder)))
        .collect();
    let several = alike.len() > 1;
    alike
        .into_iter()
        .map(|(index, blunder)| {
            let label = network.measurements[index].label();
            let amount = match numbered.equations[index].shape {
                Shape::Distance(..) if blunder > 0.0 => format!("reads about {:.0} mm long", blunder),
                Shape::Distance(..) => format!("reads about {:.0} mm short", -blunder),
                Shape::Offset(..) => format!("is off by about {:.0} mm", blunder.abs()),
                Shape::Angle(..) | Shape::Square(..) => format!("is off by about {:.1} degrees", blunder.abs()),
            };
            let rest = if several { ", or another of those listed: measure them again" } else { ": measure it again" };
            Suspect { index, blunder: round(blunder), text: format!("{label} {amount}{rest}") }
        })
        .collect()
}

/// Six decimals: what is reported does not carry rounding noise.
fn round(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    // No negative zero on the wire.
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests;
