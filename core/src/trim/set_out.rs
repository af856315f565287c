//! Setting out: from outlines to corners, runs and cut lists.

use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::job::Job;
use crate::length::Length;
use crate::roof::{Bend, Kind, Outline, OutlineRing};

use super::corner::meet;
use super::cut::{check_cutting, cut_lists};
use super::result::{Corner, CutList, RoofTrims, TrimRun};

/// What the trim stage works out for a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetOut {
    /// Corners and runs, roof by roof.
    pub roofs: Vec<RoofTrims>,
    /// How to cut trims and battens, over all roofs.
    pub cut_lists: Vec<CutList>,
    /// What a person has to look at.
    pub findings: Vec<Finding>,
}

/// Sets out the trims of all roofs of a job and cuts them from common stock. `outlines` are the job's roofs, analysed.
///
/// Linear in the number of points, beside the cutting.
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
    let mut marks = Marks::default();
    let mut out = SetOut::default();
    for (i, outline) in outlines.iter().enumerate() {
        let mut trims = RoofTrims::default();
        for (r, ring) in outline.rings.iter().enumerate() {
            let path = ring_path(i, r);
            set_out_ring(job, ring, r, &path, &mut marks, &mut trims, &mut out.findings)?;
        }
        out.roofs.push(trims);
    }
    let (cut_lists, findings) = cut_lists(job, outlines, &mut out.roofs)?;
    out.cut_lists = cut_lists;
    out.findings.extend(findings);
    Ok(out)
}

/// Everything that keeps the trims of these outlines from being set out: corners for which the corner table has no
/// row, and sizes in the system or in the preferences that leave nothing to cut.
pub fn check(job: &Job, outlines: &[Outline]) -> Vec<Error> {
    let mut problems = Vec::new();
    for (i, outline) in outlines.iter().enumerate() {
        for (r, ring) in outline.rings.iter().enumerate() {
            let count = ring.stretches.len();
            for (k, (stretch, vertex)) in ring.stretches.iter().zip(&ring.vertices).enumerate() {
                let before = &ring.stretches[(k + count - 1) % count];
                if meet(&job.system, before.kind, stretch.kind, vertex).is_none() {
                    let place = format!("{}/points/{}", ring_path(i, r), ring.given_point(stretch.first));
                    problems.push(no_rule(place, before.kind, stretch.kind, vertex.plan));
                }
            }
        }
    }
    problems.extend(check_cutting(job));
    problems
}

fn no_rule(place: String, before: Kind, after: Kind, bend: Bend) -> Error {
    let message = format!(
        "the corner table has no row for a corner that turns by {} degrees from {} to {}",
        bend.degrees(),
        before.word(),
        after.word()
    );
    Error::new(Code::NoCornerRule, place, message)
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

fn set_out_ring(
    job: &Job,
    ring: &OutlineRing,
    ring_index: usize,
    path: &str,
    marks: &mut Marks,
    trims: &mut RoofTrims,
    findings: &mut Vec<Finding>,
) -> Result<(), Error> {
    let count = ring.stretches.len();
    // At least the grid, so that a system that was not checked does no harm.
    let increment = job.system.cutting_increment.max(Length::from_um(1));
    let first_run = trims.runs.len();
    let mut meetings = Vec::with_capacity(count);
    for (k, (stretch, vertex)) in ring.stretches.iter().zip(&ring.vertices).enumerate() {
        let before = &ring.stretches[(k + count - 1) % count];
        let place = format!("{path}/points/{}", ring.given_point(stretch.first));
        let Some(meeting) = meet(&job.system, before.kind, stretch.kind, vertex) else {
            return Err(no_rule(place, before.kind, stretch.kind, vertex.plan));
        };
        if meeting.too_sharp {
            findings.push(mitre_limit(&place, vertex.plan.degrees(), job.system.limits.sharpest_mitre_deg));
        }
        trims.corners.push(Corner {
            ring: ring_index,
            point: stretch.first,
            at: ring.points[stretch.first],
            turn: meeting.turn,
            turn_deg: vertex.plan.degrees(),
            before: first_run + (k + count - 1) % count,
            after: first_run + k,
            patches: meeting.patches,
        });
        meetings.push(meeting);
    }
    for (k, stretch) in ring.stretches.iter().enumerate() {
        let start = meetings[k].after.clone();
        let end = meetings[(k + 1) % count].before.clone();
        let n = ring.points.len();
        let mut run = TrimRun {
            mark: marks.next(stretch.kind),
            kind: stretch.kind,
            ring: ring_index,
            first_edge: stretch.first,
            edge_count: stretch.edges,
            from: ring.points[stretch.first],
            to: ring.points[(stretch.first + stretch.edges) % n],
            line_length: stretch.length,
            cut_length: (stretch.length + start.gain + end.gain).round_up(increment),
            start,
            end,
            joints: Vec::new(),
            fixings: 0,
            fixing_line: Vec::new(),
        };
        if !run.cut_length.is_positive() {
            findings.push(short_run(path, ring.given_edge(stretch.first), &run));
            run.cut_length = Length::ZERO;
        }
        trims.runs.push(run);
    }
    Ok(())
}

fn mitre_limit(place: &str, turn: f64, sharpest: f64) -> Finding {
    let interior = 180.0 - turn;
    let sharp = interior.min(360.0 - interior);
    Finding {
        grade: Grade::Caution,
        code: "mitre_limit".into(),
        place: place.into(),
        value: Some(sharp),
        limit: Some(sharpest),
        unit: Some("deg".into()),
        basis: "the system's sharpest mitre".into(),
        text: format!(
            "The corner of {sharp} degrees is too sharp to mitre or to butt by rule: both trims are listed square, ending \
             at the corner. Fit it by hand, and look whether the outline is right."
        ),
    }
}

fn short_run(path: &str, edge: usize, run: &TrimRun) -> Finding {
    Finding {
        grade: Grade::Caution,
        code: "short_run".into(),
        place: format!("{path}/points/{edge}"),
        value: Some(run.line_length.mm()),
        limit: None,
        unit: Some("mm".into()),
        basis: "what the trims of the neighbouring edges take from its length".into(),
        text: format!(
            "Run {} along an edge of {} is taken up whole by its neighbours' trims: no piece is cut for it. Cover the \
             place with what meets there.",
            run.mark, run.line_length
        ),
    }
}
