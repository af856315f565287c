//! Nails or screws along a trim.
//!
//! Every piece has a fixing at the end distance from either end. At a lap the last fixing of the piece below and the
//! first of the piece above are driven through both; where the lap is twice the end distance they are one. Between these
//! the line is divided into equal spaces, as few as the widest spacing allows. No fixing lies within the end distance of
//! the end of a lap, unless it goes through both pieces at that distance from their ends. On a mitred end the distance is
//! measured from the short point, where every line of the trim is still there; where a notch or the slit of a return takes
//! away what a line goes through, from there.
//!
//! Where the job asks for denser fixings in the edge and corner zones of the wind ([`WindFixing`](super::WindFixing)), a
//! zone begins and ends with a fixing, or at the nearest fixing that makes it larger where a lap is in the way.

use crate::finding::{Finding, Grade};
use crate::job::Job;
use crate::length::Length;
use crate::roof::Outline;
use crate::system::{Fixing, Leg};

use super::clear::{BareRuns, Laps};
use super::result::{MarkedPiece, PieceEnd, RoofTrims, TrimRun};
use super::set_out::edge_path;
use super::zone::Frame;

/// Where the fixings of one line go along a run whose laps (begin, end) are given in order, all measured from the start
/// of the run's cut length. A run too short for two fixings gets one in its middle; one with nothing to cut gets none.
///
/// ```
/// use upstand::system::Fixing;
/// use upstand::{Job, Length, plan, trim};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [2946, 0], [2946, 2946], [0, 2946]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// let run = &plan(&job)?.roofs[0].trims.runs[0];
/// assert_eq!(run.cut_length, Length::from_mm(3000));
/// // Mitres take 112 mm off either end of the deck flange; 25 mm on there is the first fixing, then 19 equal spaces.
/// let line = trim::fixing_line(run, &[], &job.system.fixing);
/// assert_eq!((line[0], line[19], line.len()), (Length::from_mm(137), Length::from_mm(2863), 20));
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn fixing_line(run: &TrimRun, laps: &[(Length, Length)], fixing: &Fixing) -> Vec<Length> {
    spaced_line(run, Along { laps, ..Along::default() }, fixing)
}

/// A stretch of a run, from the start of its cut length, with a spacing of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SpacedZone {
    pub from: Length,
    pub to: Length,
    pub spacing: Length,
}

/// What a line of fixings has to do with, beside its ends and its spacing.
#[derive(Clone, Copy, Default)]
struct Along<'a> {
    laps: &'a [(Length, Length)],
    /// Stretches where a line would miss the trim.
    bare: &'a [(Length, Length)],
    zones: &'a [SpacedZone],
}

fn spaced_line(run: &TrimRun, along: Along<'_>, fixing: &Fixing) -> Vec<Length> {
    if !run.cut_length.is_positive() {
        return Vec::new();
    }
    let distance = fixing.end_distance;
    let (mut begin, mut end) = (run.start.gain - run.start.short, run.cut_length - (run.end.gain - run.end.short));
    let mut bare = along.bare.to_vec();
    bare.sort_unstable();
    for &(from, to) in &bare {
        begin = if from <= begin { begin.max(to) } else { begin };
    }
    for &(from, to) in bare.iter().rev() {
        end = if to >= end { end.min(from) } else { end };
    }
    let (first, last) = (begin + distance, end - distance);
    if first >= last {
        return if begin < end || bare.is_empty() { vec![(begin + end) / 2] } else { Vec::new() };
    }
    bare.retain(|&(from, to)| begin < from && to < end);
    // Beside a lap a fixing would hold one piece alone too near to the end of the other; beside a gap it would split the
    // trim.
    let at_laps = along.laps.iter().flat_map(|&(from, to)| [from, to]).map(|at| (at - distance, at + distance));
    let at_gaps = bare.iter().map(|&(from, to)| (from - distance, to + distance));
    let clear: Vec<(Length, Length)> = at_laps.chain(at_gaps.clone()).collect();
    let is_clear = |at: Length| !clear.iter().any(|&(from, to)| from < at && at < to);
    let missed = |at: Length| at_gaps.clone().any(|(from, to)| from < at && at < to);
    let through_both = along.laps.iter().flat_map(|&(from, to)| [to - distance, from + distance]);
    let borders = along.zones.iter().flat_map(|zone| [zone.from, zone.to]).filter(|&at| is_clear(at));
    let beside_gaps = at_gaps.clone().flat_map(|(from, to)| [from, to]);
    let inside = through_both.chain(beside_gaps).chain(borders).filter(|&at| first < at && at < last && !missed(at));
    let mut fixed: Vec<Length> = inside.chain([first, last]).collect();
    fixed.sort_unstable();
    fixed.dedup();
    let mut line = vec![first];
    for pair in fixed.windows(2) {
        let widest = |from: Length, to: Length| {
            let over = along.zones.iter().filter(|zone| zone.from < to && from < zone.to);
            over.map(|zone| zone.spacing).fold(fixing.spacing, Length::min)
        };
        let filled = equal_spaces(pair[0], pair[1], widest(pair[0], pair[1]));
        if filled.iter().rev().skip(1).all(|&at| is_clear(at)) {
            line.extend(filled);
            continue;
        }
        // Spaces begin and end where the clear stretch does.
        let edges = clear.iter().flat_map(|&(from, to)| [from, to]).filter(|&at| pair[0] < at && at < pair[1]);
        let mut parts: Vec<Length> = edges.filter(|&at| is_clear(at)).chain([pair[0], pair[1]]).collect();
        parts.sort_unstable();
        parts.dedup();
        for part in parts.windows(2) {
            let within = clear.iter().any(|&(from, to)| from <= part[0] && part[1] <= to);
            let spacing = if within { part[1] - part[0] } else { widest(part[0], part[1]) };
            line.extend(equal_spaces(part[0], part[1], spacing));
        }
    }
    line
}

/// The fixings after the one at `from` up to the one at `to`, in equal spaces.
fn equal_spaces(from: Length, to: Length, widest: Length) -> Vec<Length> {
    let gap = to - from;
    let spaces = spaces(gap, widest);
    (1..=spaces).map(|i| from + part(gap, i, spaces)).collect()
}

/// The fewest equal spaces no wider than `widest`.
fn spaces(gap: Length, widest: Length) -> i64 {
    let widest = widest.max(Length::from_um(1));
    gap / widest + i64::from((gap % widest).is_positive())
}

/// `gap * i / of`, without overflow.
fn part(gap: Length, i: i64, of: i64) -> Length {
    let um = i128::from(gap.um()) * i128::from(i) / i128::from(of.max(1));
    Length::from_um(i64::try_from(um).unwrap_or(i64::MAX))
}

/// The order in which the fixings of one piece are driven: one end, the middle, the other end, then the rest from the
/// first (common practice, no source). Indices into the fixings of the piece.
///
/// ```
/// assert_eq!(upstand::trim::fixing_order(6), [0, 3, 5, 1, 2, 4]);
/// ```
pub fn fixing_order(count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::with_capacity(count);
    if count > 0 {
        for i in [0, count / 2, count - 1] {
            if !order.contains(&i) {
                order.push(i);
            }
        }
    }
    let set: Vec<usize> = order.clone();
    order.extend((0..count).filter(|i| !set.contains(i)));
    order
}

/// One fixing on a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceFixing {
    /// Where, from the piece's start.
    pub at: Length,
    /// The leg that it goes through.
    pub leg: Leg,
    /// When it is driven: from 0 among the fixings of the piece, leg after leg.
    pub turn: usize,
    /// Whether it lies in a lap and goes through both pieces, and so is driven when the upper one lies.
    pub both: bool,
}

/// The fixings of one piece of a run, leg after leg and from the piece's start: where, through which leg, and when each is
/// driven (see [`fixing_order`]). A fixing through both pieces of a lap is in the list of either.
///
/// ```
/// use upstand::system::Leg;
/// use upstand::{Job, Length, plan, trim};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [2946, 0], [2946, 2946], [0, 2946]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// let plan = plan(&job)?;
/// let piece = &plan.cut_lists[0].bars[0].pieces[0];
/// let fixings = trim::piece_fixings(&plan.roofs[0].trims.runs[piece.run], piece);
/// let first = trim::PieceFixing { at: Length::from_mm(137), leg: Leg::DeckFlange, turn: 0, both: false };
/// assert_eq!((fixings.len(), fixings[0]), (20, first));
/// // The one in the middle comes second.
/// assert_eq!(fixings[10].turn, 1);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn piece_fixings(run: &TrimRun, piece: &MarkedPiece) -> Vec<PieceFixing> {
    let end = piece.start_along + piece.length;
    let inside = run.fixing_line.iter().filter(|&&at| piece.start_along <= at && at <= end);
    let line: Vec<Length> = inside.map(|&at| at - piece.start_along).collect();
    let order = fixing_order(line.len());
    let lap = |end: &PieceEnd| if let PieceEnd::Lap { length, .. } = end { *length } else { Length::ZERO };
    let (start_lap, end_lap) = (lap(&piece.start), lap(&piece.end));
    let both = |at: Length| at < start_lap || piece.length - at < end_lap;
    let mut fixings = Vec::with_capacity(line.len() * run.fixing_legs.len());
    for (nth, &leg) in run.fixing_legs.iter().enumerate() {
        let first = fixings.len();
        fixings.extend(line.iter().map(|&at| PieceFixing { at, leg, turn: 0, both: both(at) }));
        for (turn, &index) in order.iter().enumerate() {
            fixings[first + index].turn = nth * line.len() + turn;
        }
    }
    fixings
}

/// Sets out the fixings of all runs, and the beads of adhesive in their laps. A note names each run on which fixings come
/// closer than they should.
pub(super) fn set_out_fixings(
    job: &Job,
    outlines: &[Outline],
    roofs: &mut [RoofTrims],
    laps: &Laps,
    bare: &BareRuns,
) -> Vec<Finding> {
    let fixing = &job.system.fixing;
    let mut findings = Vec::new();
    for (roof, (trims, outline)) in roofs.iter_mut().zip(outlines).enumerate() {
        let wind = job.preferences.wind.as_ref();
        let windy = wind.and_then(|wind| Some((Frame::around(&outline.rings[0])?, wind)));
        for (i, run) in trims.runs.iter_mut().enumerate() {
            let trim = job.system.trims.of(run.kind);
            let laps = laps.get(&(roof, i)).map_or(&[][..], Vec::as_slice);
            let zones = windy.as_ref().map_or_else(Vec::new, |(frame, wind)| frame.zones(run, wind));
            let bare = bare.get(&(roof, i)).map_or(&[][..], |bare| bare.at_lines.as_slice());
            let line = spaced_line(run, Along { laps, bare, zones: &zones }, fixing);
            if trim.lap.is_positive() {
                run.beads = laps.iter().flat_map(|&lap| beads(lap, job.system.adhesive.beads_per_lap)).collect();
            }
            let lines = run.fixing_legs.len();
            run.fixings = (lines * line.len()) as u64;
            if lines > 0 {
                // Denser spacing in the zones of the wind was asked for.
                let close = closest(&line, laps, fixing).filter(|_| zones.is_empty());
                findings.extend(close.map(|close| fixings_close(edge_path(outline, roof, run), run, close, fixing)));
                run.fixing_line = line;
            }
        }
    }
    findings
}

/// The closest spacing on a line that is under the least, where no lap makes it so.
fn closest(line: &[Length], laps: &[(Length, Length)], fixing: &Fixing) -> Option<Length> {
    let at_one_lap = |pair: &[Length]| {
        let mut around = laps.iter().map(|&(from, to)| (from - fixing.end_distance, to + fixing.end_distance));
        around.any(|(from, to)| from <= pair[0] && pair[1] <= to)
    };
    let spaces = line.windows(2).filter(|pair| !at_one_lap(pair)).map(|pair| pair[1] - pair[0]);
    spaces.min().filter(|&closest| closest < fixing.least_spacing)
}

fn fixings_close(place: String, run: &TrimRun, close: Length, fixing: &Fixing) -> Finding {
    Finding {
        grade: Grade::Note,
        code: "fixings_close".into(),
        place,
        value: Some(close.mm()),
        limit: Some(fixing.least_spacing.mm()),
        unit: Some("mm".into()),
        basis: "the system's closest spacing of fixings".into(),
        text: format!(
            "On run {} some fixings are only {close} apart: there one space would be wider than {}, and two are closer \
             than {}. Keep to the marks, or leave one out where the material splits.",
            run.mark, fixing.spacing, fixing.least_spacing
        ),
    }
}

/// Beads across a lap, in the middles of as many equal parts of it: two leave room for a fixing between them.
fn beads((from, to): (Length, Length), count: u32) -> impl Iterator<Item = Length> {
    let count = i64::from(count);
    (0..count).map(move |i| from + part(to - from, 2 * i + 1, 2 * count))
}

#[cfg(test)]
#[path = "fixing_tests.rs"]
mod tests;
