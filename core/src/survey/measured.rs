//! Roofs that are given by measurements: their outlines, and how far their runs are in doubt.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::adjust::Solution;
use super::inspect::capital;
use super::{Adjusted, Measurement, Network};
use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::geometry::Point;
use crate::roof::{Boundary, Outlet, Outline, Pipe, Roof};
use crate::system::System;
use crate::trim::RoofTrims;

/// Coverage factor of the uncertainties that are given: two standard deviations, about 95 % (JCGM 100:2008, from memory).
pub const COVERAGE: f64 = 2.0;
/// Below this redundancy number hardly anything of an error shows.
const HARDLY_CHECKED: f64 = 0.05;

const ADJUSTMENT_BASIS: &str =
    "least-squares adjustment; standardised residual against 3.29 (Baarda 1968, from memory)";

/// How a measured roof came out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Positions, residuals, suspects.
    pub adjusted: Adjusted,
    /// How far the length of every run is in doubt, in the order of the runs.
    pub runs: Vec<RunUncertainty>,
}

/// How far the length of one run is in doubt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunUncertainty {
    /// The run's mark.
    pub mark: String,
    /// Two standard deviations of its length, in millimetres, as far as the measurements' own precision goes.
    pub uncertainty_mm: f64,
}

/// The roofs of a job with every outline in coordinates.
pub(crate) struct Surveyed<'a> {
    pub(crate) roofs: Cow<'a, [Roof]>,
    /// The adjustment of each measured roof.
    adjustments: Vec<Option<(Solution<'a>, Adjusted)>>,
    /// What is wrong with measurements; such roofs are left without an outline.
    pub(crate) problems: Vec<(usize, Error)>,
}

impl<'a> Surveyed<'a> {
    pub(crate) fn of(roofs: &'a [Roof]) -> Self {
        let mut surveyed = Surveyed { roofs: Cow::Borrowed(roofs), adjustments: Vec::new(), problems: Vec::new() };
        for (i, roof) in roofs.iter().enumerate() {
            let adjustment = roof.measured.as_ref().and_then(|network| match adjust(roof, network) {
                Ok(adjustment) => {
                    surveyed.roofs.to_mut()[i] = outlined(roof, network, &adjustment);
                    Some(adjustment)
                }
                Err(error) => {
                    let path = format!("/roofs/{i}");
                    surveyed.problems.extend(error.problems().map(|problem| (i, problem.clone().under(&path))));
                    None
                }
            });
            surveyed.adjustments.push(adjustment);
        }
        surveyed
    }

    /// What the adjustment of roof `i` says, and how far its runs are in doubt; nothing for a roof in coordinates.
    pub(crate) fn inspect(
        &self,
        i: usize,
        outline: &Outline,
        trims: &RoofTrims,
        system: &System,
        findings: &mut Vec<Finding>,
    ) -> Option<Measured> {
        let (solution, adjusted) = self.adjustments.get(i)?.as_ref()?;
        let place = format!("/roofs/{i}/measured");
        inspect_adjusted(adjusted, &place, findings);
        let mut runs = Vec::with_capacity(trims.runs.len());
        for run in &trims.runs {
            let ring = &outline.rings[run.ring];
            let end = |edge: usize| {
                let points = solution.ring(run.ring)?;
                points.get(ring.given_point(edge % ring.points.len())).copied()
            };
            // The corners of a hole that is given by coordinates are not in doubt.
            let (Some(from), Some(to)) = (end(run.first_edge), end(run.first_edge + run.edge_count)) else { continue };
            // What is told is what is held against the limit.
            let uncertainty_mm = tenth(COVERAGE * solution.sd_mm(from, to));
            runs.push(RunUncertainty { mark: run.mark.clone(), uncertainty_mm });
            let limit = system.limits.run_uncertainty.mm();
            if uncertainty_mm > limit {
                let (from, to) = (&adjusted.points[from].point, &adjusted.points[to].point);
                let text = format!(
                    "Run {} +/-{:.0} mm: exceeds the lap allowance of {limit} mm. Measure {from}-{to} ({}) {} before it is \
                     cut.",
                    run.mark,
                    uncertainty_mm.ceil(),
                    run.line_length,
                    if is_measured(self.network(i), from, to) { "again" } else { "by tape" },
                );
                let basis = "system limit; two standard deviations of the adjusted length";
                findings.push(Finding::new(Grade::Caution, "run_uncertain", place.clone(), basis, text).measured(
                    uncertainty_mm,
                    limit,
                    "mm",
                ));
            }
        }
        Some(Measured { adjusted: adjusted.clone(), runs })
    }

    fn network(&self, i: usize) -> Option<&Network> {
        self.adjustments.get(i)?.as_ref().map(|(solution, _)| solution.network())
    }
}

fn is_measured(network: Option<&Network>, one: &str, other: &str) -> bool {
    network.is_some_and(|network| {
        network.measurements.iter().any(|measurement| {
            matches!(measurement, Measurement::Distance { from, to, .. }
                if (from.as_str(), to.as_str()) == (one, other) || (from.as_str(), to.as_str()) == (other, one))
        })
    })
}

fn inspect_adjusted(adjusted: &Adjusted, place: &str, findings: &mut Vec<Finding>) {
    for suspect in &adjusted.suspects {
        let standardised = adjusted.residuals[suspect.index].standardised.unwrap_or(0.0).abs();
        let text = format!("{}. Nothing is cut to this outline before that is cleared.", capital(&suspect.text));
        findings.push(
            Finding::new(
                Grade::Refuse,
                "measurement_suspect",
                format!("{place}/measurements/{}", suspect.index),
                ADJUSTMENT_BASIS,
                text,
            )
            .measured(tenth(standardised), super::CRITICAL, "standard deviations"),
        );
    }
    let Some(limit) = adjusted.limit else {
        findings.push(Finding::new(
            Grade::Caution,
            "outline_unchecked",
            place,
            "redundancy of the measurements: none",
            "There are just enough measurements for the outline, so none checks another and a misread one would not show. \
             Measure at least one diagonal more.",
        ));
        return;
    };
    if adjusted.sum_of_squares > limit && adjusted.suspects.is_empty() {
        findings.push(
            Finding::new(
                Grade::Caution,
                "measurements_disagree",
                place,
                "global test of the adjustment: chi-square, 95 %",
                "The measurements disagree by more than their precision allows, and no single one stands out. Measure the \
                 diagonals again, or state a poorer precision.",
            )
            .measured(tenth(adjusted.sum_of_squares), tenth(limit), "sum of squares"),
        );
    }
    let unchecked: Vec<&str> = adjusted
        .residuals
        .iter()
        .filter(|residual| residual.redundancy < HARDLY_CHECKED)
        .map(|residual| residual.measurement.as_str())
        .collect();
    if let Some((first, rest)) = unchecked.split_first() {
        let others = if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) };
        let text = format!(
            "Hardly anything checks {first}{others}: an error there would not show. A further diagonal or tie would check it."
        );
        let basis = "redundancy number of a measurement: under a twentieth of an error shows";
        findings.push(Finding::new(Grade::Note, "measurement_unchecked", place, basis, text));
    }
}

/// A roof's network, adjusted, if it makes an outline.
fn adjust<'a>(roof: &Roof, network: &'a Network) -> Result<(Solution<'a>, Adjusted), Error> {
    let mut problems = Vec::new();
    let twice = |path: String| {
        let message = "the points follow from the measurements: leave them out, or leave the measurements out";
        Error::new(Code::BadMeasurement, path, message)
    };
    if !roof.outer.points.is_empty() {
        problems.push(twice("/outer/points".into()));
    }
    if network.outline.len() < 3 {
        let message = format!("{} points make no outline: name at least 3", network.outline.len());
        problems.push(Error::new(Code::TooFewPoints, "/measured/outline", message));
    }
    if !network.holes.is_empty() {
        if !roof.holes.is_empty() && roof.holes.len() != network.holes.len() {
            let message = format!("{} measured holes for {} holes of the roof", network.holes.len(), roof.holes.len());
            problems.push(Error::new(Code::BadMeasurement, "/measured/holes", message));
        }
        let given = roof.holes.iter().enumerate().filter(|(_, hole)| !hole.points.is_empty());
        problems.extend(given.map(|(i, _)| twice(format!("/holes/{i}/points"))));
    }
    Error::from_problems(problems)?;
    let within = |error: Error| error.under("/measured");
    let solution = Solution::of(network).map_err(within)?;
    let adjusted = solution.report().map_err(within)?;
    Ok((solution, adjusted))
}

/// The roof with its adjusted outline.
fn outlined(roof: &Roof, network: &Network, (solution, adjusted): &(Solution<'_>, Adjusted)) -> Roof {
    let ring = |ring: usize| -> Vec<Point> {
        solution.ring(ring).unwrap_or_default().iter().map(|&point| adjusted.points[point].at).collect()
    };
    let mut outlined = Roof { measured: None, ..roof.clone() };
    outlined.outer.points = ring(0);
    if outlined.holes.is_empty() {
        outlined.holes = vec![Boundary::default(); network.holes.len()];
    }
    for (i, hole) in outlined.holes.iter_mut().enumerate().take(network.holes.len()) {
        hole.points = ring(i + 1);
    }
    let place = |point: &str| Some(adjusted.points.get(solution.point(point)?)?.at);
    outlined.outlets.extend(
        network
            .outlets
            .iter()
            .filter_map(|outlet| Some(Outlet { at: place(&outlet.point)?, diameter: outlet.diameter })),
    );
    outlined.pipes.extend(network.pipes.iter().filter_map(|pipe| {
        let at = place(&pipe.point)?;
        Some(Pipe { name: pipe.name.clone(), at, diameter: pipe.diameter, height: pipe.height })
    }));
    outlined
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(all(test, feature = "adjust"))]
#[path = "measured_tests.rs"]
mod tests;
