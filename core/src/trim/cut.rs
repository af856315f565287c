//! Cut lists of trims and battens over all roofs of a job.

use crate::cutting::{self, Bar, Effort, Problem, Rules, Run};
use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::job::Job;
use crate::length::Length;
use crate::roof::{Kind, Outline};
use crate::system::BarSold;

use super::batten::battens;
use super::clear::{BareRuns, Laps, clear_of_corners, clear_of_notches, clear_of_penetrations, laps};
use super::fixing::set_out_fixings;
use super::marking::{mark_joints, marked_list};
use super::result::{CutList, Material, PieceEnd, RoofTrims};
use super::set_out::edge_path;

/// One run to cut: a trim's or a batten's.
pub(super) struct Wanted {
    pub roof: usize,
    pub run: usize,
    pub length: Length,
    pub start: PieceEnd,
    pub end: PieceEnd,
    /// Stretches in which no joint should lie.
    pub clear: Vec<(Length, Length)>,
}

/// What a cut list is made from.
struct Order<'a> {
    material: Material,
    /// Where the material stands in the job.
    path: String,
    sold: &'a [BarSold],
    on_hand: Vec<(Length, u32)>,
    rules: Rules,
}

/// Cuts all trims and battens; writes joints and fixings into the runs.
pub(super) fn cut_lists(
    job: &Job,
    outlines: &[Outline],
    roofs: &mut [RoofTrims],
    bare: &BareRuns,
) -> Result<(Vec<CutList>, Vec<Finding>), Error> {
    let mut lists = Vec::new();
    let mut findings = Vec::new();
    for kind in Kind::ALL {
        let wanted = wanted(job, roofs, bare, kind);
        if let Some(list) = trim_order(job, kind).cut(job, outlines, roofs, wanted, &mut findings)? {
            mark_joints(roofs, &list);
            lists.push(list);
        }
    }
    let laps = laps(&lists);
    findings.extend(set_out_fixings(job, outlines, roofs, &laps, bare));
    let battens = battens(job, outlines, roofs, &laps);
    lists.extend(batten_order(job).cut(job, outlines, roofs, battens, &mut findings)?);
    Ok((lists, findings))
}

/// Sizes in the system, the stock or the preferences that cannot be cut with, and runs, of which `roofs` may have none,
/// that cannot be counted. One preference governs all trims and is named once.
pub(super) fn check_cutting(job: &Job, outlines: &[Outline], roofs: &[RoofTrims], bare: &BareRuns) -> Vec<Error> {
    let trims = Kind::ALL.map(|kind| (trim_order(job, kind), wanted(job, roofs, bare, kind)));
    let battens = (batten_order(job), battens(job, outlines, roofs, &Laps::new()));
    let mut problems: Vec<Error> = Vec::new();
    for (order, wanted) in trims.into_iter().chain([battens]) {
        let mut problem = order.problem(job);
        problem.runs = runs(&wanted);
        for error in problem.check() {
            // Without a bar to cut it from a run is left out of its list, and a finding says so.
            let place = order.run_place(&error, outlines, roofs, &wanted);
            let error = order.place(&error, place);
            let known = problems.iter().any(|known| (known.code(), known.path()) == (error.code(), error.path()));
            if error.code() != Code::Uncuttable && !known {
                problems.push(error);
            }
        }
    }
    problems
}

/// The runs of a problem.
fn runs(wanted: &[Wanted]) -> Vec<Run> {
    wanted.iter().map(|one| Run { forbidden: one.clear.clone(), ..Run::of(one.length, 1) }).collect()
}

fn trim_order(job: &Job, kind: Kind) -> Order<'_> {
    let trim = job.system.trims.of(kind);
    Order {
        material: material(kind),
        path: format!("/system/trims/{}", kind.word()),
        sold: &trim.bars,
        on_hand: job.stock.trims.iter().filter(|on| on.kind == kind).map(|on| (on.length, on.count)).collect(),
        rules: Rules {
            lap: trim.lap,
            least_piece: job.preferences.least_piece,
            clear: job.preferences.joint_clear,
            least_useful: job.preferences.least_useful,
            ..Rules::default()
        },
    }
}

fn batten_order(job: &Job) -> Order<'_> {
    let batten = &job.system.batten;
    Order {
        material: Material::Batten,
        path: "/system/batten".into(),
        sold: &batten.bars,
        on_hand: job.stock.battens.iter().map(|on| (on.length, on.count)).collect(),
        rules: Rules {
            kerf: batten.kerf,
            least_piece: batten.least_piece,
            least_useful: job.preferences.least_useful,
            ..Rules::default()
        },
    }
}

fn material(kind: Kind) -> Material {
    match kind {
        Kind::Drip => Material::Drip,
        Kind::Abutment => Material::Abutment,
        Kind::OpenSide => Material::OpenSide,
    }
}

/// The runs of one kind that leave something to cut.
fn wanted(job: &Job, roofs: &[RoofTrims], bare: &BareRuns, kind: Kind) -> Vec<Wanted> {
    let mut wanted = Vec::new();
    for (roof, trims) in roofs.iter().enumerate() {
        for (i, run) in trims.runs.iter().enumerate().filter(|(_, run)| run.kind == kind) {
            if run.cut_length.is_positive() {
                let (start, end) = (PieceEnd::of(&run.start), PieceEnd::of(&run.end));
                let mut clear = clear_of_penetrations(job, roof, run);
                clear.extend(clear_of_corners(job, run).into_iter().filter(|(from, to)| from < to));
                clear.extend(bare.get(&(roof, i)).into_iter().flat_map(|bare| clear_of_notches(job, bare, run)));
                wanted.push(Wanted { roof, run: i, length: run.cut_length, start, end, clear });
            }
        }
    }
    wanted
}

impl Order<'_> {
    /// Cuts the runs wanted. Where a run cannot be cut with its joints clear of what they should be clear of, they may
    /// lie anywhere; a run that cannot be cut even so is left out. A finding names either. `None` if no run is left.
    fn cut(
        &self,
        job: &Job,
        outlines: &[Outline],
        roofs: &[RoofTrims],
        mut wanted: Vec<Wanted>,
        findings: &mut Vec<Finding>,
    ) -> Result<Option<CutList>, Error> {
        let mut problem = self.problem(job);
        let effort = Effort { nodes: job.preferences.nodes, time: None };
        while !wanted.is_empty() {
            problem.runs = runs(&wanted);
            let error = match cutting::solve(&problem, &effort) {
                Ok(answer) => return Ok(Some(marked_list(self.material, &problem, &answer, &wanted, roofs))),
                Err(error) => error,
            };
            let uncuttable = uncuttable_runs(&error, wanted.len());
            if uncuttable.is_empty() {
                return Err(self.place(&error, self.run_place(&error, outlines, roofs, &wanted)));
            }
            let mut i = 0..;
            wanted.retain_mut(|one| {
                if !i.next().is_some_and(|i| uncuttable.contains(&i)) {
                    return true;
                }
                let run = &roofs[one.roof].runs[one.run];
                let place = edge_path(&outlines[one.roof], one.roof, run);
                if one.clear.is_empty() {
                    findings.push(self.uncuttable(one, &run.mark, place));
                    return false;
                }
                findings.push(self.joint_not_clear(&run.mark, place));
                one.clear.clear();
                true
            });
        }
        Ok(None)
    }

    fn problem(&self, job: &Job) -> Problem {
        let priced = self.sold.iter().all(|sold| sold.price.is_some());
        // Without prices for all, a bar costs its length, in the greatest unit that measures all lengths sold.
        let unit = self.sold.iter().fold(0, |unit, sold| gcd(unit, sold.length.um().unsigned_abs())).max(1);
        let cost = |sold: &BarSold| match sold.price {
            Some(price) if priced => price.parts(),
            _ => sold.length.um().unsigned_abs() / unit,
        };
        let on_hand = self.on_hand.iter().filter(|(_, count)| *count > 0);
        let mut bars: Vec<Bar> =
            on_hand.map(|&(length, count)| Bar { length, cost: Some(0), available: Some(u64::from(count)) }).collect();
        bars.extend(self.sold.iter().map(|sold| Bar { length: sold.length, cost: Some(cost(sold)), available: None }));
        Problem { bars, runs: Vec::new(), rules: self.rules.clone(), minimise: job.preferences.minimise }
    }

    /// Where the run that an error is about stands in the job.
    fn run_place(&self, error: &Error, outlines: &[Outline], roofs: &[RoofTrims], wanted: &[Wanted]) -> Option<String> {
        let one = wanted.get(named_run(error)?)?;
        Some(edge_path(&outlines[one.roof], one.roof, &roofs[one.roof].runs[one.run]))
    }

    /// The error as seen from the job.
    fn place(&self, error: &Error, run: Option<String>) -> Error {
        let path = match error.path() {
            "/rules/least_piece" if self.material != Material::Batten => "/preferences/least_piece".to_string(),
            "/rules/clear" => "/preferences/joint_clear".to_string(),
            "/rules/least_useful" => "/preferences/least_useful".to_string(),
            path => match path.strip_prefix("/rules") {
                Some(rule) => format!("{}{rule}", self.path),
                None if path.starts_with("/bars") => format!("{}/bars", self.path),
                None => run.unwrap_or_else(|| "/roofs".to_string()),
            },
        };
        Error::new(error.code(), path, error.message())
    }

    /// The run as a sentence names it.
    fn subject(&self, mark: &str) -> String {
        let what = if self.material == Material::Batten { "The batten of run" } else { "Run" };
        format!("{what} {mark}")
    }

    fn uncuttable(&self, one: &Wanted, mark: &str, place: String) -> Finding {
        Finding {
            grade: Grade::Refuse,
            code: "uncuttable_run".into(),
            place,
            value: Some(one.length.mm()),
            limit: None,
            unit: Some("mm".into()),
            basis: "the lengths sold or on hand, the lap, the least piece and the clear distance".into(),
            text: format!(
                "{} of {} cannot be cut from the lengths on offer under these rules, so the cut list leaves it out. \
                 Offer longer lengths, or allow shorter pieces.",
                self.subject(mark),
                one.length
            ),
        }
    }

    fn joint_not_clear(&self, mark: &str, place: String) -> Finding {
        let (from, basis) = match self.material {
            Material::Batten => ("the joints of the trim in front of it", "the batten's joint clearance"),
            _ => ("the outlets and pipes beside it", "the joint clearance in the preferences"),
        };
        Finding {
            grade: Grade::Note,
            code: "joint_not_clear".into(),
            place,
            value: None,
            limit: None,
            unit: None,
            basis: basis.into(),
            text: format!(
                "{} cannot be cut with all its joints clear of {from}: they are placed without regard to that. Look at \
                 them on the drawing before cutting.",
                self.subject(mark)
            ),
        }
    }
}

/// The runs, of `count`, that an error says no bars can make: all of them where it blames the bars.
fn uncuttable_runs(error: &Error, count: usize) -> Vec<usize> {
    if error.problems().any(|problem| problem.code() != Code::Uncuttable) {
        return Vec::new();
    }
    let named: Vec<usize> = error.problems().filter_map(named_run).collect();
    if named.is_empty() { (0..count).collect() } else { named }
}

/// The run that an error is about.
fn named_run(error: &Error) -> Option<usize> {
    error.path().strip_prefix("/runs/")?.split('/').next()?.parse().ok()
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
