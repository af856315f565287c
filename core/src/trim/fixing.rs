//! Nails or screws along a trim.
//!
//! Every piece has a fixing at the end distance from either end. At a lap the last fixing of the piece below and the
//! first of the piece above are driven through both; where the lap is twice the end distance they are one. Between these
//! the line is divided into equal spaces, as few as the widest spacing allows, so no fixing comes as near to a lap as to
//! split what it should hold, unless it holds both pieces. On a mitred end the distance is measured from the short point,
//! where every line of the trim is still there.
//!
//! Where the job asks for denser fixings in the edge and corner zones of the wind ([`WindFixing`](super::WindFixing)), a
//! zone begins and ends with a fixing, or at the nearest fixing that makes it larger where a lap is in the way.

use crate::job::Job;
use crate::length::Length;
use crate::system::Fixing;

use super::clear::Laps;
use super::result::{MarkedPiece, RoofTrims, TrimRun};
use super::zone::Frame;
use crate::roof::Outline;

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
    spaced_line(run, laps, fixing, &[])
}

/// A stretch of a run, from the start of its cut length, with a spacing of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SpacedZone {
    pub from: Length,
    pub to: Length,
    pub spacing: Length,
}

fn spaced_line(run: &TrimRun, laps: &[(Length, Length)], fixing: &Fixing, zones: &[SpacedZone]) -> Vec<Length> {
    if !run.cut_length.is_positive() {
        return Vec::new();
    }
    let begin = run.start.gain - run.start.short;
    let end = run.cut_length - (run.end.gain - run.end.short);
    let (first, last) = (begin + fixing.end_distance, end - fixing.end_distance);
    if first >= last {
        return vec![(begin + end) / 2];
    }
    let at_laps = laps.iter().flat_map(|&(from, to)| [to - fixing.end_distance, from + fixing.end_distance]);
    // A fixing beside a lap would hold one piece alone too near to its end.
    let beside =
        |at: Length| laps.iter().any(|&(from, to)| from - fixing.end_distance < at && at < to + fixing.end_distance);
    let borders = zones.iter().flat_map(|zone| [zone.from, zone.to]).filter(|&at| !beside(at));
    let inside = at_laps.chain(borders).filter(|&at| first < at && at < last);
    let mut fixed: Vec<Length> = inside.chain([first, last]).collect();
    fixed.sort_unstable();
    fixed.dedup();
    let mut line = vec![first];
    for pair in fixed.windows(2) {
        let gap = pair[1] - pair[0];
        let over = zones.iter().filter(|zone| zone.from < pair[1] && pair[0] < zone.to);
        let widest = over.map(|zone| zone.spacing).fold(fixing.spacing, Length::min);
        let spaces = spaces(gap, widest);
        line.extend((1..=spaces).map(|i| pair[0] + part(gap, i, spaces)));
    }
    line
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

/// The fixings of one line on one piece of a run: where, from the piece's own start, and when each is driven, from 0.
///
/// ```
/// use upstand::{Job, Length, plan, trim};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [2946, 0], [2946, 2946], [0, 2946]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// let plan = plan(&job)?;
/// let piece = &plan.cut_lists[0].bars[0].pieces[0];
/// let fixings = trim::piece_fixings(&plan.roofs[0].trims.runs[piece.run], piece);
/// assert_eq!((fixings.len(), fixings[0]), (20, (Length::from_mm(137), 0)));
/// // The one in the middle comes second.
/// assert_eq!(fixings[10].1, 1);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn piece_fixings(run: &TrimRun, piece: &MarkedPiece) -> Vec<(Length, usize)> {
    let end = piece.start_along + piece.length;
    let inside = run.fixing_line.iter().filter(|&&at| piece.start_along <= at && at <= end);
    let mut fixings: Vec<(Length, usize)> = inside.map(|&at| (at - piece.start_along, 0)).collect();
    for (turn, index) in fixing_order(fixings.len()).into_iter().enumerate() {
        fixings[index].1 = turn;
    }
    fixings
}

/// Sets out the fixings of all runs, and the beads of adhesive in their laps.
pub(super) fn set_out_fixings(job: &Job, outlines: &[Outline], roofs: &mut [RoofTrims], laps: &Laps) {
    for (roof, (trims, outline)) in roofs.iter_mut().zip(outlines).enumerate() {
        let wind = job.preferences.wind.as_ref();
        let windy = wind.and_then(|wind| Some((Frame::around(&outline.rings[0])?, wind)));
        for (i, run) in trims.runs.iter_mut().enumerate() {
            let trim = job.system.trims.of(run.kind);
            let lines = u64::from(trim.fixing_lines);
            let laps = laps.get(&(roof, i)).map_or(&[][..], Vec::as_slice);
            let zones = windy.as_ref().map_or_else(Vec::new, |(frame, wind)| frame.zones(run, wind));
            let line = spaced_line(run, laps, &job.system.fixing, &zones);
            if trim.lap.is_positive() {
                run.beads = laps.iter().flat_map(|&lap| beads(lap, job.system.adhesive.beads_per_lap)).collect();
            }
            run.fixings = lines * line.len() as u64;
            run.fixing_line = if lines == 0 { Vec::new() } else { line };
        }
    }
}

/// Beads across a lap, in the middles of as many equal parts of it: two leave room for a fixing between them.
fn beads((from, to): (Length, Length), count: u32) -> impl Iterator<Item = Length> {
    let count = i64::from(count);
    (0..count).map(move |i| from + part(to - from, 2 * i + 1, 2 * count))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::roof::Kind;
    use crate::trim::end::square;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn run(length: i64) -> TrimRun {
        TrimRun {
            mark: "D1".into(),
            kind: Kind::Drip,
            ring: 0,
            first_edge: 0,
            edge_count: 1,
            from: Point::from_mm(0, 0),
            to: Point::from_mm(length, 0),
            line_length: mm(length),
            cut_length: mm(length),
            start: square(Length::ZERO),
            end: square(Length::ZERO),
            joints: Vec::new(),
            over: Default::default(),
            beads: Vec::new(),
            fixings: 0,
            fixing_line: Vec::new(),
        }
    }

    #[test]
    fn one_more_fixing_than_spaces() {
        // Closed formula: ceil(length / spacing) + 1.
        for (length, spacing, count) in
            [(3000, 150, 21), (3000, 100, 31), (2400, 150, 17), (3000, 300, 11), (2950, 150, 21)]
        {
            let fixing = Fixing { spacing: mm(spacing), ..Fixing::default() };
            assert_eq!(fixing_line(&run(length + 50), &[], &fixing).len(), count);
        }
        assert_eq!(fixing_line(&run(50), &[], &Fixing::default()), [mm(25)]);
        assert_eq!(fixing_line(&run(0), &[], &Fixing::default()), []);
    }

    #[test]
    fn laps_are_held_by_fixings_through_both_pieces() {
        let fixing = Fixing::default();
        // A lap of twice the end distance has one fixing in its middle; a longer one has two; a butt joint has one on
        // either side.
        for (lap, at) in
            [((2950, 3000), vec![2975]), ((2900, 3000), vec![2925, 2975]), ((3000, 3000), vec![2975, 3025])]
        {
            let line = fixing_line(&run(5000), &[(mm(lap.0), mm(lap.1))], &fixing);
            let near: Vec<Length> = line.iter().copied().filter(|&x| mm(2880) < x && x < mm(3060)).collect();
            assert_eq!(near, at.into_iter().map(mm).collect::<Vec<_>>());
            assert!(line.windows(2).all(|pair| pair[0] < pair[1] && pair[1] - pair[0] <= fixing.spacing));
            assert_eq!((line[0], line[line.len() - 1]), (mm(25), mm(4975)));
        }
    }

    #[test]
    fn zones_have_spacings_of_their_own() {
        let zone = |from, to, spacing| SpacedZone { from: mm(from), to: mm(to), spacing: mm(spacing) };
        let fixing = Fixing::default();
        let line = spaced_line(&run(5000), &[(mm(2950), mm(3000))], &fixing, &[zone(0, 1000, 100), zone(0, 625, 50)]);
        let gaps = |from: i64, to: i64| {
            let inside: Vec<Length> = line.iter().copied().filter(|&at| mm(from) <= at && at <= mm(to)).collect();
            inside.windows(2).map(|pair| pair[1] - pair[0]).max()
        };
        assert_eq!((gaps(0, 625), gaps(625, 1000)), (Some(mm(50)), Some(um(93_750))));
        assert!(gaps(1000, 5000) > Some(mm(140)) && gaps(1000, 5000) <= Some(mm(150)));
        // A border beside the lap is no place for a fixing: the gap before the lap is denser instead.
        let line = spaced_line(&run(5000), &[(mm(2950), mm(3000))], &fixing, &[zone(2940, 5000, 100)]);
        assert!(!line.contains(&mm(2940)) && line.contains(&mm(2975)));
        assert!(line.windows(2).filter(|pair| pair[1] > mm(2900)).all(|pair| pair[1] - pair[0] <= mm(100)));
    }

    #[test]
    fn beads_leave_room_for_the_fixing_between_them() {
        assert_eq!(beads((mm(2950), mm(3000)), 2).collect::<Vec<_>>(), [um(2_962_500), um(2_987_500)]);
        assert_eq!(beads((mm(0), mm(60)), 1).collect::<Vec<_>>(), [mm(30)]);
        assert_eq!(beads((mm(0), mm(60)), 0).count(), 0);
    }

    fn um(um: i64) -> Length {
        Length::from_um(um)
    }

    #[test]
    fn the_middle_is_driven_second() {
        assert!(fixing_order(0).is_empty());
        assert_eq!(fixing_order(1), [0]);
        assert_eq!(fixing_order(2), [0, 1]);
        assert_eq!(fixing_order(5), [0, 2, 4, 1, 3]);
    }
}
