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
//! A blunder in a measurement that nothing checks (`r` near 0) cannot be found by any computation: below `r` of a thousandth
//! no residual is standardised, for what it would take to stand out no tape is off by. Two blunders can
//! hide each other. Of 400 random roofs of 4 to 9 corners, measured half as often again as needed by a tape of 3 mm, with one
//! reading wrong by 50 to 150 mm, all 400 raised the alarm and 394 named the wrong reading (some among others that nothing tells
//! apart); of the same roofs without a blunder 8 named one (`bindings-py/tests/test_oracle_survey.py`). Beyond [`CLASH`] no
//! outline is given at all. Cost: about (points x band^2) per iteration; a domestic roof takes well under a millisecond.

mod equation;
mod number;
mod solve;
mod start;
mod statistics;

pub use super::adjusted::{Adjusted, AdjustedPoint, CRITICAL, Residual, Side, Suspect};
pub use super::network::{Known, MOST, MeasuredOutlet, Measurement, Network, Precision};

use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;
use crate::wire::Tag;
use number::{Numbered, Shape, Xy};
use solve::{Covariance, Normal, Unknowns};

/// No tape is off by a hundred standard deviations (300 mm): beyond it measurements clash, and no outline is given.
pub const CLASH: f64 = 100.0;

/// Below this redundancy nothing checks a measurement: what would stand out, [`CRITICAL`] standard deviations over the root of
/// the redundancy, is more than [`CLASH`] of them.
const UNCHECKED: f64 = (CRITICAL / CLASH) * (CRITICAL / CLASH);

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
    Solution::of(network)?.report()
}

/// A network and the positions that fit it best.
pub(crate) struct Solution<'a> {
    network: &'a Network,
    numbered: Numbered,
    unknowns: Unknowns,
    at: Vec<Xy>,
    sum_of_squares: f64,
    /// None where nothing moves.
    normal: Option<Normal>,
}

impl<'a> Solution<'a> {
    /// Errors as for [`adjust`], but for those that [`Solution::report`] finds.
    pub(crate) fn of(network: &'a Network) -> Result<Self, Error> {
        let numbered = network.number()?;
        let unknowns = Unknowns::new(&numbered);
        let mut minima: Vec<(f64, Vec<Xy>)> = Vec::new();
        for mut at in start::begin(&numbered)? {
            solve::level(&numbered, &mut at);
            let value = solve::descend(&numbered, &unknowns, &mut at)?;
            // The most plausible start already fits within chance: no other minimum could be told from it.
            let settled = minima.is_empty()
                && value <= start::chance(numbered.equations.len())
                && start::faults(&numbered, &at) == (0, 0);
            minima.push((value, at));
            if settled {
                break;
            }
        }
        // Minima that fit alike (a point mirrored in a line of others) are told apart by the outline and the sketch. The
        // order of the starts is that of their plausibility: a later one must be better by more than rounding.
        let least = minima.iter().map(|(value, _)| *value).fold(f64::INFINITY, f64::min);
        let alike = least + start::chance(numbered.equations.len());
        minima.retain(|(value, _)| *value <= alike);
        let best =
            minima.into_iter().map(|(value, at)| (start::faults(&numbered, &at), value, at)).reduce(|best, next| {
                let better = next.0 < best.0 || next.0 == best.0 && next.1 < best.1 * (1.0 - 1e-9) - 1e-9;
                if better { next } else { best }
            });
        let (_, sum_of_squares, at) = best.expect("there is at least one start");
        let normal = if unknowns.count == 0 { None } else { Some(Normal::new(&numbered, &unknowns, &at)?) };
        Ok(Solution { network, numbered, unknowns, at, sum_of_squares, normal })
    }

    pub(crate) fn network(&self) -> &'a Network {
        self.network
    }

    pub(crate) fn report(&self) -> Result<Adjusted, Error> {
        let Solution { network, numbered, unknowns, at, .. } = self;
        let covariance = Covariance::new(numbered, unknowns, self.normal.as_ref());
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
        let mut residuals = Vec::with_capacity(numbered.equations.len());
        let mut sizes = Vec::with_capacity(numbered.equations.len());
        let mut worst: Vec<(f64, usize)> = Vec::new();
        for (index, (equation, measurement)) in numbered.equations.iter().zip(&network.measurements).enumerate() {
            let terms: Vec<(usize, f64)> = solve::row(equation, unknowns, at).iter().flatten().copied().collect();
            let redundancy = (1.0 - covariance.variance(&terms)).clamp(0.0, 1.0);
            let misfit = equation.misfit(at);
            let checked = redundancy > UNCHECKED;
            let standardised = checked.then(|| misfit / (equation.sd * redundancy.sqrt()));
            let unit = unit(equation.shape);
            worst.push((misfit.abs() / equation.sd, index));
            sizes.push(standardised.map(|w| (w, misfit * unit / redundancy)));
            residuals.push(Residual {
                measurement: measurement.label(),
                residual: round(misfit * unit),
                redundancy: round(redundancy),
                standardised: standardised.map(round),
            });
        }
        let suspects = suspects(network, numbered, &sizes);
        // Circles that miss each other leave their point on the line between their centres, where nothing holds it
        // sideways: that is a contradiction, not a lack of measurements.
        worst.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let most = if floating.is_empty() { CLASH } else { CRITICAL };
        if worst.first().is_some_and(|&(size, _)| size > most) {
            return Err(clash(&worst, &residuals, &suspects));
        }
        if !floating.is_empty() {
            let text = format!(
                "the measurements do not hold point {}: it can move without any of them changing; measure a diagonal or \
                 an offset more",
                floating.join(", ")
            );
            return Err(Error::new(Code::FloatingPoint, "/measurements", text));
        }
        let degrees_of_freedom = numbered.equations.len().saturating_sub(unknowns.count);
        let limit = (degrees_of_freedom > 0).then(|| round(statistics::chi_square_limit(0.95, degrees_of_freedom)));
        let (sides, sum_of_squares) = (self.sides()?, round(self.sum_of_squares));
        let schema = Tag::default();
        Ok(Adjusted { schema, points, sides, residuals, degrees_of_freedom, sum_of_squares, limit, suspects })
    }

    fn sides(&self) -> Result<Vec<Side>, Error> {
        let Numbered { names, outline, .. } = &self.numbered;
        let next = outline.iter().cycle().skip(1);
        let pairs = outline.iter().zip(next).filter(|_| outline.len() > 1);
        pairs
            .map(|(&from, &to)| {
                let length = Length::try_from_mm_f64(-distance(from, to).misfit(&self.at))?;
                let (from_name, to_name) = (names[from].clone(), names[to].clone());
                Ok(Side { from: from_name, to: to_name, length, sd_mm: self.sd_mm(from, to) })
            })
            .collect()
    }

    /// Standard deviation of the distance of two points, in millimetres: `sqrt(a N^-1 a')` with the distance's row `a`.
    /// Points are counted as in the report.
    pub(crate) fn sd_mm(&self, from: usize, to: usize) -> f64 {
        let Some(normal) = &self.normal else { return 0.0 };
        let mut row = vec![0.0; self.unknowns.count];
        let terms = solve::row(&distance(from, to), &self.unknowns, &self.at);
        for &(column, slope) in terms.iter().flatten() {
            row[column] += slope;
        }
        let solved = normal.solve(row.clone());
        let variance: f64 = row.iter().zip(&solved).map(|(a, b)| a * b).sum();
        round(variance.max(0.0).sqrt())
    }

    /// The points of a ring, counted as in the report: 0 is the outline, then the holes.
    pub(crate) fn ring(&self, ring: usize) -> Option<&[usize]> {
        let Numbered { outline, holes, .. } = &self.numbered;
        if ring == 0 { Some(outline) } else { holes.get(ring - 1).map(Vec::as_slice) }
    }

    /// The number of a point in the report.
    pub(crate) fn point(&self, name: &str) -> Option<usize> {
        self.numbered.names.iter().position(|known| known == name)
    }
}

/// The distance of two points as an equation of unit weight.
fn distance(from: usize, to: usize) -> number::Equation {
    number::Equation { shape: Shape::Distance(from, to), value: 0.0, sd: 1.0 }
}

/// Why no positions come near the measurements; `worst` are their misfits in standard deviations, the largest first.
fn clash(worst: &[(f64, usize)], residuals: &[Residual], suspects: &[Suspect]) -> Error {
    let most = worst.first().map_or(0.0, |&(size, _)| size);
    let named: Vec<&str> = worst
        .iter()
        .take_while(|&&(size, _)| size >= most / 4.0)
        .take(6)
        .map(|&(_, index)| residuals[index].measurement.as_str())
        .collect();
    let likely: String = suspects.iter().take(3).map(|suspect| format!("; {}", suspect.text)).collect();
    let first = suspects.first().map_or_else(|| worst.first().map_or(0, |&(_, index)| index), |suspect| suspect.index);
    let text = format!("the measurements clash, no positions come near {}{likely}", named.join(", "));
    Error::new(Code::Clash, format!("/measurements/{first}"), text)
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
            let label = match &network.measurements[index] {
                Measurement::Distance { from, to, .. } => format!("{} {from}-{to}", network.kind_of_distance(from, to)),
                other => other.label(),
            };
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
