//! Where joints must not lie, measured from the start of a run's cut length.

use std::collections::BTreeMap;

use crate::geometry::unit;
use crate::job::Job;
use crate::length::Length;

use super::end::nearest;
use super::notch::Notch;
use super::result::{CutList, End, PieceEnd, RunEnd, TrimRun};

/// Stretches of a run beside outlets and pipes: of those that come as near to its deck flange as the clear distance, as long as
/// the outlet is wide and the clear distance on either side.
///
/// Measured in plan and along the line from the run's start to its end; falls are too small to matter here.
pub(super) fn clear_of_penetrations(job: &Job, roof: usize, run: &TrimRun) -> Vec<(Length, Length)> {
    let clear = job.preferences.joint_clear;
    let Some((x, y)) = unit(run.from, run.to) else { return Vec::new() };
    let seam = -job.system.trims.of(run.kind).section.seam();
    let mut stretches = Vec::new();
    for outlet in job.roofs[roof].penetrations() {
        let (dx, dy) = ((outlet.at.x - run.from.x).um() as f64, (outlet.at.y - run.from.y).um() as f64);
        let (along, inward) = (nearest(dx * x + dy * y), nearest(dy * x - dx * y));
        let radius = outlet.diameter / 2;
        let (from, to) = (along - radius - clear, along + radius + clear);
        let beside = inward.is_positive() && inward - radius < seam + clear;
        if beside && to.is_positive() && from < run.line_length {
            stretches.push(outward((from + run.start.gain, to + run.start.gain), job.system.cutting_increment));
        }
    }
    stretches
}

/// Stretches at the ends of a run: up to the clear distance inside its corners, and where a mitre leaves less than the whole
/// section.
pub(super) fn clear_of_corners(job: &Job, run: &TrimRun) -> [(Length, Length); 2] {
    let inside = |end: &End| end.gain + job.preferences.joint_clear.max(-end.short);
    let (start, end) = (inside(&run.start), run.cut_length - inside(&run.end));
    let increment = job.system.cutting_increment;
    [outward((Length::ZERO, start), increment), outward((end, run.cut_length), increment)]
}

/// What is cut off the ends of a run besides their cuts, as stretches from the start of its cut length.
#[derive(Clone, Debug, Default)]
pub(super) struct Bare {
    /// Where a line of fixings would miss the trim.
    pub at_lines: Vec<(Length, Length)>,
    /// Where any of the trim is missing.
    pub anywhere: Vec<(Length, Length)>,
}

impl Bare {
    /// Adds what the notches of one end take; `lines` are the facets and girths of the lines of fixings.
    pub(super) fn add(&mut self, run: &TrimRun, end: RunEnd, notches: &[Notch], lines: &[(usize, Length)]) {
        let along_run = |(from, to): (Length, Length)| match end {
            RunEnd::Start => (run.start.gain - to, run.start.gain - from),
            RunEnd::End => (run.cut_length - run.end.gain + from, run.cut_length - run.end.gain + to),
        };
        self.anywhere.extend(notches.iter().filter_map(Notch::along).map(along_run));
        for notch in notches {
            let lines = lines.iter().filter(|(facet, _)| *facet == notch.facet);
            self.at_lines.extend(lines.filter_map(|&(_, girth)| notch.across(girth)).map(along_run));
        }
    }
}

/// Stretches of a run where any of the trim is missing. What rounding may have added to a notch does not move a joint.
pub(super) fn clear_of_notches(job: &Job, bare: &Bare, run: &TrimRun) -> Vec<(Length, Length)> {
    let rounding = Length::from_um(10);
    let within =
        |&(from, to): &(Length, Length)| ((from + rounding).max(Length::ZERO), (to - rounding).min(run.cut_length));
    let stretches = bare.anywhere.iter().map(within).filter(|(from, to)| from < to);
    stretches.map(|stretch| outward(stretch, job.system.cutting_increment)).collect()
}

/// What is bare of every run, by roof and run.
pub(super) type BareRuns = BTreeMap<(usize, usize), Bare>;

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
    let increment = job.system.cutting_increment;
    laps.iter().map(|&(from, to)| outward((from + moved - clear, to + moved + clear), increment)).collect()
}

/// The stretch widened to whole cutting increments, so that a joint beside it is where a tape has a line.
fn outward((from, to): (Length, Length), increment: Length) -> (Length, Length) {
    let step = increment.max(Length::from_um(1));
    (-((-from).round_up(step)), to.round_up(step))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_widen_to_whole_increments() {
        let um = Length::from_um;
        let widened = |from, to| outward((um(from), um(to)), Length::from_mm(1));
        assert_eq!(widened(1_249_171, 1_499_171), (um(1_249_000), um(1_500_000)));
        assert_eq!(widened(-500, 2_000), (um(-1_000), um(2_000)));
    }
}
