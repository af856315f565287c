//! Setting out: from outlines to corners, runs and cut lists.

use std::collections::BTreeMap;

use crate::error::{Code, Error};
use crate::finding::Finding;
use crate::job::Job;
use crate::length::Length;
use crate::roof::{Bend, Kind, Outline, OutlineRing, Stretch, Vertex};
use crate::system::{EndCut, Section};

use super::clear::{Bare, BareRuns};
use super::corner::{Meeting, Side, meet};
use super::cut::{check_cutting, cut_lists};
use super::finding::{mitre_limit, pointed_run, short_run, short_wall_leg, wind_zones};
use super::notch::{Body, Notch, notches};
use super::over::over;
use super::result::{Corner, CutList, End, RoofTrims, RunEnd, TrimRun, Turn};
use super::template::{EndTemplate, Templates};

/// What the trim stage works out for a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetOut {
    /// Corners and runs, roof by roof.
    pub roofs: Vec<RoofTrims>,
    /// How to cut trims and battens, over all roofs.
    pub cut_lists: Vec<CutList>,
    /// How to mark and cut mitred ends, over all roofs.
    pub templates: Vec<EndTemplate>,
    /// What a person has to look at.
    pub findings: Vec<Finding>,
}

/// Sets out the trims of all roofs of a job and cuts them from common stock. `outlines` are the job's roofs, analysed.
///
/// Linear in the number of points, beside the cutting. What a person has to look at:
///
/// | code | grade | when |
/// |---|---|---|
/// | `mitre_limit` | caution | a corner is too sharp to mitre or to butt by rule |
/// | `short_run` | caution | a run is taken up whole by its neighbours' trims |
/// | `pointed_run` | note | the mitres of a run's two ends meet before the trim's edge |
/// | `short_wall_leg` | caution | the leg of the wall trim at the wall is shorter than that on the deck |
/// | `wind_zones` | caution | fixings are denser in zones of the wind |
/// | `fixings_close` | note | fixings come closer than the system's least spacing |
/// | `uncuttable_run` | refuse | no lengths on offer make a run |
/// | `joint_not_clear` | note | joints could not be kept clear of what they should be |
///
/// # Errors
/// [`NoCornerRule`](crate::Code::NoCornerRule) where the corner table has no row for two edges that meet, and what
/// [`cutting::solve`](crate::cutting::solve) refuses of sizes in the system or in the preferences, with their place.
///
/// ```
/// use upstand::roof::Outline;
/// use upstand::system::Limits;
/// use upstand::{Code, Job, Length, trim};
///
/// let mut job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// let outlines = [Outline::new(&job.roofs[0], &job.system.limits, "/roofs/0")?];
/// let set_out = trim::set_out(&job, &outlines)?;
/// // The drip's face stands 27 mm out: each end runs 27 mm past its square corner.
/// assert_eq!(set_out.roofs[0].runs[0].cut_length, Length::from_mm(6054));
/// // 20 216 mm in four runs: seven bars of 3 m.
/// assert_eq!(set_out.cut_lists[0].bar_count, 7);
///
/// job.system.corners.clear();
/// assert_eq!(trim::set_out(&job, &outlines).unwrap_err().code(), Code::NoCornerRule);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn set_out(job: &Job, outlines: &[Outline]) -> Result<SetOut, Error> {
    Error::from_problems(job.system.check())?;
    Error::from_problems(check_preferences(job))?;
    let drafted = Drafted::of(job, outlines);
    Error::from_problems(drafted.problems.clone())?;
    cut(job, outlines, drafted)
}

/// Sets out the rest of what was drafted without problems for the same trims, outlines and preferences.
pub(crate) fn cut(job: &Job, outlines: &[Outline], drafted: Drafted) -> Result<SetOut, Error> {
    let Drafted { mut roofs, templates, mut findings, bare, .. } = drafted;
    findings.extend(wind_zones(job));
    findings.extend(short_wall_leg(job, &roofs));
    let (cut_lists, more) = cut_lists(job, outlines, &mut roofs, &bare)?;
    findings.extend(more);
    Ok(SetOut { roofs, cut_lists, templates: templates.into_sorted(), findings })
}

/// Everything that keeps the trims of these outlines from being set out: what [`System::check`](crate::System::check) finds, or
/// else corners for which the corner table has no row, and sizes in the system or in the preferences that leave nothing to cut.
pub fn check(job: &Job, outlines: &[Outline]) -> Vec<Error> {
    draft(job, outlines).problems
}

/// The trims of these outlines before they are cut, with everything that [`check`] finds.
pub(crate) fn draft(job: &Job, outlines: &[Outline]) -> Drafted {
    let problems = job.system.check();
    if !problems.is_empty() {
        return Drafted { problems, ..Drafted::default() };
    }
    let mut drafted = Drafted::of(job, outlines);
    drafted.problems.extend(check_preferences(job));
    let sound = drafted.problems.is_empty();
    let roofs = if sound { drafted.roofs.as_slice() } else { &[] };
    let more = check_cutting(job, outlines, roofs, &drafted.bare);
    drafted.problems.extend(more);
    drafted
}

/// Preferences about trims that make no sense.
fn check_preferences(job: &Job) -> Vec<Error> {
    let mut problems = Vec::new();
    let mut add = |step: &str, message: String| {
        problems.push(Error::new(Code::OutOfRange, format!("/preferences/{step}"), message));
    };
    if let Some(degrees) = job.preferences.weather_from_deg.filter(|degrees| !(-360.0..=360.0).contains(degrees)) {
        add("weather_from_deg", format!("{degrees} is no direction: from -360 to 360 degrees"));
    }
    if let Some(wind) = &job.preferences.wind {
        let (least, most) = (Length::from_mm(10), Length::from_mm(1_000_000));
        for (step, value) in [("height", wind.height), ("edge", wind.edge), ("corner", wind.corner)] {
            if value < least || value > most {
                add(&format!("wind/{step}"), format!("{value} is out of range: from {least} to {most}"));
            }
        }
    }
    problems
}

fn no_rule(ring: &OutlineRing, path: &str, (before, after): (&Stretch, &Stretch), vertex: &Vertex) -> Error {
    let edge =
        |edge: usize, kind: Kind| format!("edge {} ({})", ring.given_edge(edge % ring.points.len()), kind.word());
    let message = format!(
        "the corner table has no row for the corner that turns by {} degrees from {} to {}",
        vertex.plan.degrees(),
        edge(before.first + before.edges - 1, before.kind),
        edge(after.first, after.kind)
    );
    Error::new(Code::NoCornerRule, format!("{path}/points/{}", ring.given_point(vertex.point)), message)
}

/// Where a ring stands in the job.
pub(super) fn ring_path(roof: usize, ring: usize) -> String {
    match ring {
        0 => format!("/roofs/{roof}/outer"),
        _ => format!("/roofs/{roof}/holes/{}", ring - 1),
    }
}

/// Where a run's first edge stands in the job.
pub(super) fn edge_path(outline: &Outline, roof: usize, run: &TrimRun) -> String {
    let given = outline.rings[run.ring].given_edge(run.first_edge);
    format!("{}/points/{given}", ring_path(roof, run.ring))
}

/// Numbers the runs of each kind through all roofs of a job.
#[derive(Default)]
struct Marks([u32; Kind::ALL.len()]);

impl Marks {
    fn next(&mut self, kind: Kind) -> String {
        let count = &mut self.0[kind as usize];
        *count += 1;
        format!("{}{count}", kind.letter())
    }
}

/// The trims of all roofs before they are cut to length.
#[derive(Default)]
pub(crate) struct Drafted {
    roofs: Vec<RoofTrims>,
    templates: Templates,
    findings: Vec<Finding>,
    bare: BareRuns,
    /// What keeps them from being cut: corners for which the table has no row; from [`draft`], all that [`check`] names.
    pub problems: Vec<Error>,
}

impl Drafted {
    fn of(job: &Job, outlines: &[Outline]) -> Self {
        let mut draft = Draft::of(job);
        for (i, outline) in outlines.iter().enumerate() {
            let mut trims = RoofTrims::default();
            for (r, ring) in outline.rings.iter().enumerate() {
                draft.ring(ring, (i, r), &mut trims);
            }
            draft.drafted.roofs.push(trims);
        }
        draft.drafted
    }
}

/// What grows as ring after ring is set out.
struct Draft<'a> {
    job: &'a Job,
    marks: Marks,
    /// Notches worked out before: a roof has many corners alike.
    notched: BTreeMap<NotchKey, Vec<Notch>>,
    drafted: Drafted,
}

/// What the notches of a corner follow from.
type NotchKey = (Kind, Kind, [u64; 2], [(EndCut, Length); 2], Side);

impl<'a> Draft<'a> {
    fn of(job: &'a Job) -> Self {
        Draft { job, marks: Marks::default(), notched: BTreeMap::new(), drafted: Drafted::default() }
    }

    /// What comes off the end of one trim of a corner: nothing unless it is the one that is cut back, or bent round.
    fn notches(&mut self, kinds: (Kind, Kind), bend: Bend, meeting: &Meeting, side: Side) -> Vec<Notch> {
        let ends = (&meeting.before, &meeting.after);
        let returns = if side == Side::Before { ends.0 } else { ends.1 }.cut == EndCut::Return;
        if meeting.turn == Turn::Straight || meeting.too_sharp || (side != meeting.cut_back && !returns) {
            return Vec::new();
        }
        let trims = &self.job.system.trims;
        let bits = [bend.sin.to_bits(), bend.cos.to_bits()];
        let cuts = [(ends.0.cut, ends.0.gain), (ends.1.cut, ends.1.gain)];
        let key = (kinds.0, kinds.1, bits, cuts, side);
        let found = self.notched.entry(key).or_insert_with(|| {
            let sections = (&trims.of(kinds.0).section, &trims.of(kinds.1).section);
            let lift = |at: Side, below: &Section| {
                if meeting.upper == at { below.thickness } else { Length::ZERO }
            };
            let before = Body { section: sections.0, end: ends.0, lift: lift(Side::Before, sections.1) };
            let after = Body { section: sections.1, end: ends.1, lift: lift(Side::After, sections.0) };
            match side {
                Side::Before => notches(before, after, bend),
                Side::After => notches(after, before, bend),
            }
        });
        found.clone()
    }

    fn ring(&mut self, ring: &OutlineRing, at: (usize, usize), trims: &mut RoofTrims) {
        let (path, (roof, index)) = (ring_path(at.0, at.1), at);
        let Some(meetings) = self.corners(ring, index, &path, trims) else { return };
        let count = ring.stretches.len();
        for (k, stretch) in ring.stretches.iter().enumerate() {
            let next = (k + 1) % count;
            let run = self.run(ring, index, stretch, meetings[k].after.clone(), meetings[next].before.clone());
            let trim = self.job.system.trims.of(run.kind);
            let section = &trim.section;
            let (start_bend, end_bend) = (ring.vertices[k].laid, ring.vertices[next].laid);
            if run.cut_length.is_positive() {
                let kind = |k: usize| ring.stretches[k % count].kind;
                let (first, last) = ((kind(k + count - 1), run.kind), (run.kind, kind(next)));
                let mut bare = Bare::default();
                let off = self.notches(first, start_bend, &meetings[k], Side::After);
                self.drafted.templates.add(
                    section,
                    start_bend,
                    (&run.start, &off),
                    (run.kind, RunEnd::Start),
                    &run.mark,
                );
                let lines = if off.is_empty() { Vec::new() } else { trim.line_places() };
                bare.add(&run, RunEnd::Start, &off, &lines);
                let off = self.notches(last, end_bend, &meetings[next], Side::Before);
                self.drafted.templates.add(section, end_bend, (&run.end, &off), (run.kind, RunEnd::End), &run.mark);
                let lines = if off.is_empty() { Vec::new() } else { trim.line_places() };
                bare.add(&run, RunEnd::End, &off, &lines);
                if !bare.anywhere.is_empty() {
                    self.drafted.bare.insert((roof, trims.runs.len()), bare);
                }
            }
            let place = || format!("{path}/points/{}", ring.given_edge(stretch.first));
            if !run.cut_length.is_positive() {
                self.drafted.findings.push(short_run(place(), &run));
            } else if (run.line_length + run.start.short + run.end.short).is_negative() {
                self.drafted.findings.push(pointed_run(place(), &run));
            }
            trims.runs.push(run);
        }
    }

    /// Adds the ring's corners; says what the trims do at each. `None`, and a problem for each, where the table has no row.
    fn corners(&mut self, ring: &OutlineRing, index: usize, path: &str, trims: &mut RoofTrims) -> Option<Vec<Meeting>> {
        let (count, first_run) = (ring.stretches.len(), trims.runs.len());
        let mut meetings = Vec::with_capacity(count);
        for (k, (stretch, vertex)) in ring.stretches.iter().zip(&ring.vertices).enumerate() {
            let before = (k + count - 1) % count;
            let arrives = &ring.stretches[before];
            let Some(meeting) = meet(&self.job.system, arrives.kind, stretch.kind, vertex) else {
                self.drafted.problems.push(no_rule(ring, path, (arrives, stretch), vertex));
                continue;
            };
            let turn_deg = vertex.plan.degrees();
            if meeting.too_sharp {
                let place = format!("{path}/points/{}", ring.given_point(vertex.point));
                self.drafted.findings.push(mitre_limit(place, turn_deg, self.job.system.limits.sharpest_mitre_deg));
            }
            trims.corners.push(Corner {
                ring: index,
                point: vertex.point,
                at: ring.points[vertex.point],
                turn: meeting.turn,
                turn_deg,
                before: first_run + before,
                after: first_run + k,
                patches: meeting.patches,
            });
            meetings.push(meeting);
        }
        (meetings.len() == count).then_some(meetings)
    }

    fn run(&mut self, ring: &OutlineRing, index: usize, stretch: &Stretch, start: End, end: End) -> TrimRun {
        let n = ring.points.len();
        // At least the grid, so that a system that was not checked does no harm.
        let increment = self.job.system.cutting_increment.max(Length::from_um(1));
        let cut_length = (stretch.length + start.gain + end.gain).round_up(increment);
        let mut run = TrimRun {
            mark: self.marks.next(stretch.kind),
            kind: stretch.kind,
            ring: index,
            first_edge: stretch.first,
            edge_count: stretch.edges,
            from: ring.points[stretch.first],
            to: ring.points[(stretch.first + stretch.edges) % n],
            line_length: stretch.length,
            cut_length: cut_length.max(Length::ZERO),
            start,
            end,
            joints: Vec::new(),
            over: RunEnd::End,
            beads: Vec::new(),
            fixings: 0,
            fixing_line: Vec::new(),
            fixing_legs: self.job.system.trims.of(stretch.kind).lines(),
        };
        run.over = over(ring, &run, self.job.preferences.weather_from_deg);
        run
    }
}
