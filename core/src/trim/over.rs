//! Which piece lies over the other at the joints of a run.
//!
//! Along an edge that falls, the upper piece lies over the lower, so that water runs over the joint and not into it.
//! Along a level edge the piece nearer to the prevailing weather lies over the other, so that the edge that shows looks
//! away from it; without a direction, the piece nearer to the run's end.

use crate::geometry::unit;
use crate::length::Length;
use crate::roof::OutlineRing;

use super::result::{RunEnd, TrimRun};

/// The end whose piece lies over. `weather_from_deg` is where the weather comes from, counter-clockwise from the x axis.
pub(super) fn over(ring: &OutlineRing, run: &TrimRun, weather_from_deg: Option<f64>) -> RunEnd {
    let n = ring.points.len();
    let level = |i: usize| ring.levels.get(i % n).copied().unwrap_or_default();
    let rise = level(run.first_edge + run.edge_count) - level(run.first_edge);
    if rise != Length::ZERO {
        return if rise.is_positive() { RunEnd::End } else { RunEnd::Start };
    }
    let Some((degrees, (x, y))) = weather_from_deg.zip(unit(run.from, run.to)) else { return RunEnd::End };
    let from = degrees.to_radians();
    let toward = x * libm::cos(from) + y * libm::sin(from);
    // Across the run neither end is nearer.
    if toward < -1e-9 { RunEnd::Start } else { RunEnd::End }
}
