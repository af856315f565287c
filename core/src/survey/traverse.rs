//! A traverse: lengths and directions in order round the roof, closed by the compass rule.
//!
//! Who walks the edge with a tape and a compass or protractor has no diagonals to adjust; the walk does not come back quite
//! to its beginning. The compass rule (Bowditch) shares the misclosure over the legs in proportion to their lengths.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;

/// One leg of a traverse.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// Its length.
    pub length: Length,
    /// Its direction in degrees: clockwise from +y, as a compass reads it (an azimuth).
    pub azimuth_deg: f64,
}

/// A closed traverse after adjustment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Closed {
    /// The corners, beginning with the start.
    pub points: Vec<Point>,
    /// How far the walk ended from its beginning, in millimetres: in x and in y.
    pub misclosure_mm: (f64, f64),
    /// Length walked, in millimetres.
    pub walked_mm: f64,
    /// The misclosure's distance as a part of the length walked: 1 in this many; none where it closes exactly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_in: Option<f64>,
}

/// How well a traverse has to close.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClosureLimit {
    /// The misclosure may be 1 in this many of the length walked.
    pub one_in: f64,
    /// The angles' misclosure may be this many seconds of arc for one corner; it grows with the root of their number.
    pub seconds: f64,
}

impl ClosureLimit {
    /// 1 in 10 000, and 10 seconds (WAC 332-130-090, a state's rule for land surveys).
    pub const ONE_IN_10_000: ClosureLimit = ClosureLimit { one_in: 10_000.0, seconds: 10.0 };
    /// 1 in 5 000, and 30 seconds (the same rule).
    pub const ONE_IN_5_000: ClosureLimit = ClosureLimit { one_in: 5_000.0, seconds: 30.0 };
    /// For a tape on a roof: 1 in 1 000 (from memory), and half a degree as a protractor reads it (this project's own).
    pub const TAPE: ClosureLimit = ClosureLimit { one_in: 1_000.0, seconds: 1_800.0 };

    /// How far the angles of a ring of `corners` may miss, in seconds of arc.
    ///
    /// ```
    /// use upstand::survey::traverse::ClosureLimit;
    ///
    /// assert_eq!(ClosureLimit::ONE_IN_10_000.angles_seconds(4), 20.0);
    /// ```
    pub fn angles_seconds(&self, corners: usize) -> f64 {
        self.seconds * (corners as f64).sqrt()
    }

    /// Whether a traverse closes within the limit.
    pub fn allows(&self, closed: &Closed) -> bool {
        closed.one_in.is_none_or(|one_in| one_in >= self.one_in)
    }
}

/// How far turns miss a full turn to the left, in degrees: what is left to share out, or to measure again.
///
/// ```
/// use upstand::survey::traverse::angular_misclosure_deg;
///
/// assert_eq!(angular_misclosure_deg(&[90.0, 90.5, 89.0, 90.0]), -0.5);
/// ```
pub fn angular_misclosure_deg(turns: &[f64]) -> f64 {
    turns.iter().sum::<f64>() - 360.0
}

/// Directions of legs whose turns were taken instead: `first_deg` is the azimuth of the first leg, each turn the change
/// of direction at the next corner, positive to the left (outer corners of a roof walked with the roof on the left).
///
/// ```
/// use upstand::Length;
/// use upstand::survey::traverse::from_turns;
///
/// let legs = from_turns(90.0, &[(Length::from_mm(6000), 90.0), (Length::from_mm(4000), 90.0)]);
/// assert!((legs[1].azimuth_deg - 0.0).abs() < 1e-12);
/// ```
pub fn from_turns(first_deg: f64, legs: &[(Length, f64)]) -> Vec<Leg> {
    let mut azimuth_deg = first_deg;
    legs.iter()
        .map(|&(length, turn)| {
            let leg = Leg { length, azimuth_deg };
            azimuth_deg -= turn;
            leg
        })
        .collect()
}

/// Closes a traverse by the compass rule.
///
/// Source: Ghilani & Wolf, *Elementary Surveying*, traverse chapter.
///
/// # Errors
/// [`Code::BadMeasurement`] for fewer than three legs, lengths of nothing and directions that are no numbers.
///
/// ```
/// use upstand::survey::traverse::{Leg, close, from_turns};
/// use upstand::geometry::Point;
/// use upstand::{Code, Length};
///
/// let mm = Length::from_mm;
/// let legs = from_turns(90.0, &[(mm(6000), 90.0), (mm(4000), 90.0), (mm(6010), 90.0), (mm(4000), 90.0)]);
/// let closed = close(Point::default(), &legs).unwrap();
/// assert!((closed.misclosure_mm.0 + 10.0).abs() < 1e-6);
/// assert!((closed.points[1].x.mm() - 6003.0).abs() < 0.01);
///
/// assert_eq!(close(Point::default(), &legs[..2]).unwrap_err().code(), Code::BadMeasurement);
/// ```
pub fn close(start: Point, legs: &[Leg]) -> Result<Closed, Error> {
    let mut problems = Vec::new();
    if legs.len() < 3 {
        problems.push(Error::new(Code::BadMeasurement, "", format!("{} legs close nothing: at least 3", legs.len())));
    }
    for (i, leg) in legs.iter().enumerate() {
        if !leg.length.is_positive() || !leg.azimuth_deg.is_finite() {
            let what = format!("{} at {} degrees is no leg", leg.length, leg.azimuth_deg);
            problems.push(Error::new(Code::BadMeasurement, format!("/{i}"), what));
        }
    }
    Error::from_problems(problems)?;
    let steps: Vec<(f64, f64)> = legs
        .iter()
        .map(|leg| {
            let (sin, cos) = libm::sincos(leg.azimuth_deg * (std::f64::consts::PI / 180.0));
            (leg.length.mm() * sin, leg.length.mm() * cos)
        })
        .collect();
    let walked: f64 = legs.iter().map(|leg| leg.length.mm()).sum();
    let (miss_x, miss_y) = steps.iter().fold((0.0, 0.0), |sum: (f64, f64), step| (sum.0 + step.0, sum.1 + step.1));
    let mut points = vec![start];
    let (mut x, mut y) = (start.x.mm(), start.y.mm());
    for (leg, step) in legs.iter().zip(&steps).take(legs.len() - 1) {
        let share = leg.length.mm() / walked;
        x += step.0 - miss_x * share;
        y += step.1 - miss_y * share;
        points.push(Point { x: Length::try_from_mm_f64(x)?, y: Length::try_from_mm_f64(y)? });
    }
    let miss = (miss_x * miss_x + miss_y * miss_y).sqrt();
    let one_in = (miss > 0.0).then(|| walked / miss);
    Ok(Closed { points, misclosure_mm: (miss_x, miss_y), walked_mm: walked, one_in })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Units of the sources stand for metres here, so that a micrometre is their sixth decimal.
    fn walk(legs: &[(f64, f64)]) -> (Closed, f64) {
        let legs: Vec<Leg> = legs
            .iter()
            .map(|&(length, azimuth_deg)| Leg {
                length: Length::try_from_mm_f64(length * 1_000.0).expect("a length"),
                azimuth_deg,
            })
            .collect();
        let closed = close(Point::default(), &legs).expect("a traverse");
        let n = closed.points.len();
        let twice: f64 = (0..n)
            .map(|i| {
                let (a, b) = (closed.points[i], closed.points[(i + 1) % n]);
                a.x.m() * b.y.m() - a.y.m() * b.x.m()
            })
            .sum();
        (closed, twice.abs() / 2.0)
    }

    /// Steps between the adjusted corners: (departure, latitude).
    fn steps(closed: &Closed) -> Vec<(f64, f64)> {
        let n = closed.points.len();
        (0..n)
            .map(|i| {
                let (a, b) = (closed.points[i], closed.points[(i + 1) % n]);
                (b.x.m() - a.x.m(), b.y.m() - a.y.m())
            })
            .collect()
    }

    fn near(value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
    }

    /// Ghilani & Wolf, Elementary Surveying, traverse chapter (five legs; adjusted values recomputed, book rounds).
    #[test]
    fn textbook_traverse() {
        let dms = |d: f64, m: f64, s: f64| d + m / 60.0 + s / 3600.0;
        let (closed, area) = walk(&[
            (647.25, dms(126.0, 55.0, 17.0)),
            (203.03, dms(178.0, 18.0, 58.0)),
            (720.35, dms(15.0, 31.0, 54.0)),
            (610.24, dms(284.0, 35.0, 20.0)),
            (285.13, dms(206.0, 9.0, 42.0)),
        ]);
        near(closed.misclosure_mm.0 / 1e3, 0.026, 1e-3);
        near(closed.misclosure_mm.1 / 1e3, 0.076, 1e-3);
        near(closed.walked_mm / 1e3, 2466.00, 1e-6);
        near(closed.one_in.expect("it does not close"), 30_741.0, 30_741.0 * 0.01);
        let adjusted =
            [(517.444, -388.835), (5.964, -202.949), (192.881, 694.022), (-590.571, 153.690), (-125.718, -255.928)];
        for (step, expected) in steps(&closed).iter().zip(adjusted) {
            near(step.0, expected.0, 1e-3);
            near(step.1, expected.1, 1e-3);
        }
        near(area, 272_585.4, 0.1);
    }

    /// A worked sheet of sample traverse computations, printed to four decimals (six legs).
    #[test]
    fn worked_sheet_traverse() {
        let (closed, area) = walk(&[
            (495.85, 5.5),
            (850.62, 46.0 + 2.0 / 60.0),
            (855.45, 180.0 - (67.0 + 38.0 / 60.0)),
            (1020.87, 180.0 - (12.0 + 25.0 / 60.0)),
            (1117.26, 180.0 + 83.0 + 44.0 / 60.0),
            (660.08, 360.0 - (55.0 + 9.0 / 60.0)),
        ]);
        near(closed.misclosure_mm.1 / 1e3, 16.8171, 1e-4);
        near(closed.misclosure_mm.0 / 1e3, 18.0737, 1e-4);
        near(closed.one_in.expect("it does not close"), 200.0, 5.0);
        let latitudes = [491.8995, 587.6733, -328.4036, -1000.4252, -125.7134, 374.9694];
        let departures = [45.7328, 609.1538, 788.0003, 215.8168, -1114.6225, -544.0812];
        for ((step, latitude), departure) in steps(&closed).iter().zip(latitudes).zip(departures) {
            near(step.1, latitude, 1e-4);
            near(step.0, departure, 1e-4);
        }
        near(area, 1_715_250.049_4, 0.01);
    }

    /// A second worked sheet (four legs).
    #[test]
    fn small_worked_sheet_traverse() {
        let (closed, area) =
            walk(&[(80.40, 76.0), (46.30, 180.0 - 36.0), (72.80, 180.0 + 61.0), (68.00, 360.0 - 38.0)]);
        near(closed.misclosure_mm.0 / 1e3, -0.311, 1e-3);
        near(closed.misclosure_mm.1 / 1e3, 0.284, 1e-3);
        for (step, latitude) in steps(&closed).iter().zip([19.3653, -37.506, -35.371, 53.5126]) {
            near(step.1, latitude, 1e-3);
        }
        near(area, 4169.14, 0.01);
    }
}
