//! Where joints must not lie, measured from the start of a run's cut length.

use std::collections::BTreeMap;

use crate::geometry::unit;
use crate::job::Job;
use crate::length::Length;

use super::end::nearest;
use super::result::{CutList, PieceEnd, TrimRun};

/// Stretches of a run beside outlets: of those that come as near to its deck flange as the clear distance, as long as the
/// outlet is wide and the clear distance on either side.
///
/// Measured in plan and along the line from the run's start to its end; falls are too small to matter here.
pub(super) fn clear_of_outlets(job: &Job, roof: usize, run: &TrimRun) -> Vec<(Length, Length)> {
    let clear = job.preferences.joint_clear;
    let Some((x, y)) = unit(run.from, run.to) else { return Vec::new() };
    let seam = -job.system.trims.of(run.kind).section.seam();
    let mut stretches = Vec::new();
    for outlet in &job.roofs[roof].outlets {
        let (dx, dy) = ((outlet.at.x - run.from.x).um() as f64, (outlet.at.y - run.from.y).um() as f64);
        let (along, inward) = (nearest(dx * x + dy * y), nearest(dy * x - dx * y));
        let radius = outlet.diameter / 2;
        let (from, to) = (along - radius - clear, along + radius + clear);
        let beside = inward.is_positive() && inward - radius < seam + clear;
        if beside && to.is_positive() && from < run.line_length {
            stretches.push((from + run.start.gain, to + run.start.gain));
        }
    }
    stretches
}

/// Stretches of a batten behind the laps of the trim in front of it, measured from the batten's start, which lies `gain`
/// beyond the corner.
pub(super) fn clear_of_laps(
    job: &Job,
    laps: &[(Length, Length)],
    run: &TrimRun,
    gain: Length,
) -> Vec<(Length, Length)> {
    let clear = job.system.batten.joint_clear;
    let moved = gain - run.start.gain;
    laps.iter().map(|&(from, to)| (from + moved - clear, to + moved + clear)).collect()
}

/// The laps of every joined run, by roof and run, from the start of its cut length, in order.
pub(super) type Laps = BTreeMap<(usize, usize), Vec<(Length, Length)>>;

pub(super) fn laps(lists: &[CutList]) -> Laps {
    let mut laps = Laps::new();
    for piece in lists.iter().flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces) {
        if let PieceEnd::Lap { length, .. } = piece.start {
            let lap = (piece.start_along, piece.start_along + length);
            laps.entry((piece.roof, piece.run)).or_default().push(lap);
        }
    }
    laps.values_mut().for_each(|laps| laps.sort_unstable());
    laps
}
