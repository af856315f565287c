//! Falls: the plane that levels lie in, and whether water finds its way out.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Survey;
use crate::finding::{Finding, Grade};
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::{Boundary, Kind, Roof};
use crate::system::System;

/// The plane through levels, by least squares.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fall {
    /// Drop per run along the steepest line: 0.0125 is 1:80.
    pub gradient: f64,
    /// Unit vector down the steepest line; (0, 0) where the plane is level.
    pub downhill: (f64, f64),
    /// The farthest that a level lies off the plane, in millimetres.
    pub deviation_mm: f64,
}

/// The fall of a deck through points with levels; `None` where fewer than three do not lie in one line.
///
/// Linear in their number. Heights are taken as exact: the plane is the one with the least sum of squared vertical
/// distances, from the normal equations about the centroid.
///
/// ```
/// use upstand::{Length, survey};
///
/// let mm = |x, y, z| ((Length::from_mm(x), Length::from_mm(y)).into(), Length::from_mm(z));
/// // 40 mm over 3.2 m is 1:80.
/// let fall = survey::fall(&[mm(0, 0, 0), mm(5000, 0, 0), mm(5000, 3200, 40), mm(0, 3200, 40)]).unwrap();
/// assert_eq!((fall.gradient, fall.downhill), (0.0125, (0.0, -1.0)));
/// assert_eq!(survey::fall(&[mm(0, 0, 0), mm(1000, 0, 5), mm(2000, 0, 9)]), None);
/// ```
pub fn fall(levels: &[(Point, Length)]) -> Option<Fall> {
    let &(origin, datum) = levels.first()?;
    // Differences of micrometres are exact in f64 up to 9e15 um, far beyond the library's limits.
    let from_first = |&(at, level): &(Point, Length)| {
        let mm = |a: Length, b: Length| a.um().saturating_sub(b.um()) as f64 / 1_000.0;
        (mm(at.x, origin.x), mm(at.y, origin.y), mm(level, datum))
    };
    let n = levels.len() as f64;
    let (sx, sy, sz) = levels.iter().map(from_first).fold((0.0, 0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1, s.2 + p.2));
    let centred = |p: &(Point, Length)| {
        let (x, y, z) = from_first(p);
        (x - sx / n, y - sy / n, z - sz / n)
    };
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (x, y, z) in levels.iter().map(centred) {
        (xx, xy, yy, xz, yz) = (xx + x * x, xy + x * y, yy + y * y, xz + x * z, yz + y * z);
    }
    let determinant = xx * yy - xy * xy;
    // In line to a millionth of the extent squared.
    if determinant <= 1e-12 * (xx + yy) * (xx + yy) {
        return None;
    }
    let (along_x, along_y) = ((xz * yy - yz * xy) / determinant, (yz * xx - xz * xy) / determinant);
    let gradient = (along_x * along_x + along_y * along_y).sqrt();
    let downhill = if gradient > 1e-12 { (-along_x / gradient, -along_y / gradient) } else { (0.0, 0.0) };
    let off = |(x, y, z): (f64, f64, f64)| (z - along_x * x - along_y * y).abs();
    let deviation = levels.iter().map(centred).map(off).fold(0.0, f64::max);
    let digits = |value: f64, per_unit: f64| (value * per_unit).round() / per_unit + 0.0;
    Some(Fall {
        gradient: digits(gradient, 1e9),
        downhill: (digits(downhill.0, 1e9), digits(downhill.1, 1e9)),
        deviation_mm: digits(deviation, 1e3),
    })
}

const FALL_BASIS: &str = "system limit; finished falls of at least 1:80, so that 1:40 is designed (BS 6229:2018, as summarised \
    by warranty guides)";
const CLASS_BASIS: &str = "BS 6229:2018, as summarised by a warranty body's policy";

/// What a fall is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FallClass {
    /// Between level and 1:80: water stands wherever the deck is not true.
    ZeroFall,
    /// From 1:80 to 10 degrees.
    FlatRoof,
    /// Steeper than a flat roof.
    Pitched,
}

impl FallClass {
    /// The class of a finished fall, as drop per run (BS 6229:2018, as summarised by warranty guides).
    ///
    /// ```
    /// use upstand::survey::FallClass;
    ///
    /// assert_eq!(FallClass::of(0.0125), FallClass::FlatRoof);
    /// assert_eq!(FallClass::of(0.0124), FallClass::ZeroFall);
    /// ```
    pub fn of(fall: f64) -> FallClass {
        if fall < 0.0125 - 1e-9 {
            FallClass::ZeroFall
        } else if fall <= STEEPEST {
            FallClass::FlatRoof
        } else {
            FallClass::Pitched
        }
    }
}

/// What the levels and the ways out for water say.
pub(super) fn inspect(roofs: &[Roof], system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    for (i, roof) in roofs.iter().enumerate() {
        let place = format!("/roofs/{i}");
        ways_out(roof, &place, findings);
        let mut levels: Vec<(Point, Length)> = Vec::new();
        for ring in std::iter::once(&roof.outer).chain(&roof.holes) {
            levels.extend(ring.points.iter().copied().zip(ring.levels.iter().copied()));
        }
        let inner = survey.levels.iter().filter(|reading| reading.roof == i);
        levels.extend(inner.map(|reading| (reading.at, reading.level)));
        if let Some(fall) = fall(&levels) {
            let limits = system.limits_in_force();
            let limit = if survey.levels_designed { limits.design_fall } else { limits.fall };
            if limit < 0.0125 && FallClass::of(fall.gradient) == FallClass::ZeroFall && !survey.levels_designed {
                let text = "This is a zero-fall roof: the standard chosen lets it pass, but whoever warrants it and the supplier \
                            have to agree, and nowhere may it fall backward.";
                findings.push(Finding::new(
                    Grade::Note,
                    "zero_fall",
                    format!("{place}/outer/levels"),
                    system.basis(CLASS_BASIS),
                    text,
                ));
            }
            inspect_plane(fall, limit, system, &format!("{place}/outer/levels"), findings);
        }
        low_side(roof, &place, findings);
    }
}

fn inspect_plane(fall: Fall, limit: f64, system: &System, place: &str, findings: &mut Vec<Finding>) {
    let limits = &system.limits;
    if fall.deviation_mm > limits.plane_deviation.mm() {
        findings.push(
            Finding::new(
                Grade::Note,
                "not_one_plane",
                place,
                "system limit",
                "The levels do not lie in one plane, so no fall is given. Look at each slope by itself.",
            )
            .measured(fall.deviation_mm, limits.plane_deviation.mm(), "mm"),
        );
    } else if fall.gradient < limit - 1e-9 {
        findings.push(
            Finding::new(
                Grade::Caution,
                "fall",
                place,
                system.basis(FALL_BASIS),
                match ratio(fall.gradient) {
                    Some(ratio) => format!(
                        "The deck falls 1:{ratio}; water will stand on it. At least 1:{} is wanted.",
                        least(limit)
                    ),
                    None => {
                        format!("The deck is level; water will stand on it. At least 1:{} is wanted.", least(limit))
                    }
                },
            )
            .measured(fall.gradient * 100.0, limit * 100.0, "%"),
        );
    } else if fall.gradient > STEEPEST {
        findings.push(
            Finding::new(
                Grade::Caution,
                "not_flat",
                place,
                "flat roofs pitch at 10 degrees at most (scope of BS 6229:2018, as summarised)",
                "The deck is steeper than a flat roof. Resin may run off before it gels: ask the supplier.",
            )
            .measured(hundredth(fall.gradient * 100.0), hundredth(STEEPEST * 100.0), "%"),
        );
    }
}

/// The tangent of 10 degrees.
const STEEPEST: f64 = 0.176_326_980_708;

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// The run for a drop of one, to a tenth; `None` where it is longer than a kilometre for a metre.
fn ratio(gradient: f64) -> Option<f64> {
    (gradient > 1e-3).then(|| (10.0 / gradient).round() / 10.0)
}

fn least(gradient: f64) -> f64 {
    ratio(gradient).unwrap_or(1_000.0)
}

/// Whether water has a way out at all, and a second one.
fn ways_out(roof: &Roof, place: &str, findings: &mut Vec<Finding>) {
    if roof.outer.kinds.contains(&Kind::Drip) || roof.outer.kinds.is_empty() {
        return;
    }
    let (grade, code, basis, text) = match roof.outlets.len() {
        0 => (
            Grade::Refuse,
            "no_way_out",
            "the job's own edge kinds and outlets",
            "No edge is a drip and there is no outlet: water cannot leave this roof.",
        ),
        1 => (
            Grade::Caution,
            "one_way_out",
            "overflow against a blocked outlet: NHBC Standards 2021, 7.1.5",
            "One outlet and no drip: if it blocks, the roof fills. Add a second outlet or an overflow.",
        ),
        _ => return,
    };
    findings.push(Finding::new(grade, code, place, basis, text));
}

/// Whether the lowest corner of the outline is at a drip. An outlet anywhere may drain it.
fn low_side(roof: &Roof, place: &str, findings: &mut Vec<Finding>) {
    let Boundary { points, kinds, levels, .. } = &roof.outer;
    let (Some(&lowest), Some(&highest)) = (levels.iter().min(), levels.iter().max()) else { return };
    if !roof.outlets.is_empty() || lowest == highest || kinds.len() != levels.len() || kinds.len() != points.len() {
        return;
    }
    let drains = |i: usize| kinds[i] == Kind::Drip || kinds[(i + kinds.len() - 1) % kinds.len()] == Kind::Drip;
    let low = || levels.iter().enumerate().filter(|&(_, &level)| level == lowest).map(|(i, _)| i);
    let Some(first) = low().next().filter(|_| !low().any(drains)) else { return };
    findings.push(Finding::new(
        Grade::Caution,
        "low_side_closed",
        format!("{place}/outer/levels/{first}"),
        "the job's own levels and edge kinds",
        "The lowest corner of this roof is not at a drip, so water gathers there. Check the levels and the edges, or set \
         an outlet.",
    ));
}

#[cfg(test)]
#[path = "fall_tests.rs"]
mod tests;
