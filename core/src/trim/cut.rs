//! Cut lists of trims and battens over all roofs of a job.

use crate::cutting::{self, Answer, Bar, Effort, Problem, Rules, Run};
use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::job::Job;
use crate::length::Length;
use crate::roof::{Kind, Outline};
use crate::system::BarSold;

use super::batten::battens;
use super::fixing::fixings_on_line;
use super::result::{BarSource, CutList, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims};
use super::set_out::edge_path;

/// One run to cut: a trim's or a batten's.
pub(super) struct Wanted {
    pub roof: usize,
    pub run: usize,
    pub length: Length,
    pub start: PieceEnd,
    pub end: PieceEnd,
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
) -> Result<(Vec<CutList>, Vec<Finding>), Error> {
    let mut lists = Vec::new();
    let mut findings = Vec::new();
    for kind in Kind::ALL {
        let wanted = wanted(roofs, kind);
        if let Some(list) = trim_order(job, kind).cut(job, outlines, roofs, wanted, &mut findings)? {
            mark_joints(roofs, &list);
            lists.push(list);
        }
    }
    count_fixings(job, roofs, &lists);
    lists.extend(batten_order(job).cut(job, outlines, roofs, battens(job, outlines, roofs), &mut findings)?);
    Ok((lists, findings))
}

/// Sizes in the system, the stock or the preferences that cannot be cut with.
pub(super) fn check_cutting(job: &Job) -> Vec<Error> {
    let orders = Kind::ALL.map(|kind| trim_order(job, kind)).into_iter().chain([batten_order(job)]);
    orders
        .flat_map(|order| order.problem(job).check().iter().map(|error| order.place(error)).collect::<Vec<_>>())
        .collect()
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
fn wanted(roofs: &[RoofTrims], kind: Kind) -> Vec<Wanted> {
    let mut wanted = Vec::new();
    for (roof, trims) in roofs.iter().enumerate() {
        for (i, run) in trims.runs.iter().enumerate().filter(|(_, run)| run.kind == kind) {
            if run.cut_length.is_positive() {
                let (start, end) = (PieceEnd::of(&run.start), PieceEnd::of(&run.end));
                wanted.push(Wanted { roof, run: i, length: run.cut_length, start, end });
            }
        }
    }
    wanted
}

impl Order<'_> {
    /// Cuts the runs wanted. A run that cannot be cut is left out and named in a finding. `None` if none is left.
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
            problem.runs = wanted.iter().map(|one| Run::of(one.length, 1)).collect();
            match cutting::solve(&problem, &effort) {
                Ok(answer) => return Ok(Some(self.list(&problem, &answer, &wanted, roofs))),
                Err(error) => {
                    let uncuttable = uncuttable_runs(&error);
                    if uncuttable.is_empty() {
                        return Err(self.place(&error));
                    }
                    for &i in &uncuttable {
                        if let Some(one) = wanted.get(i) {
                            findings.push(self.uncuttable(one, outlines, roofs));
                        }
                    }
                    let mut at = 0..;
                    wanted.retain(|_| at.next().is_some_and(|i| !uncuttable.contains(&i)));
                }
            }
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

    fn list(&self, problem: &Problem, answer: &Answer, wanted: &[Wanted], roofs: &[RoofTrims]) -> CutList {
        let mut bars = Vec::new();
        for chain in &answer.chains {
            for cut in &chain.bars {
                bars.push(self.bar(problem, cut, bars.len() as u64 + 1, wanted, roofs));
            }
        }
        fill_in_laps(&mut bars);
        let bought = bars.iter().filter(|bar| bar.source == BarSource::Bought).count() as u64;
        let mut offcuts: Vec<Offcut> = bars
            .iter()
            .filter(|bar| bar.offcut.is_positive() && bar.offcut >= self.rules.least_useful)
            .map(|bar| Offcut { bar: bar.number, length: bar.offcut })
            .collect();
        offcuts.sort_by_key(|offcut| (-offcut.length, offcut.bar));
        let dearest = problem.bars.iter().filter_map(|bar| bar.cost).max().unwrap_or(0).max(1);
        CutList {
            material: self.material,
            bar_count: bars.len() as u64,
            bought,
            joint_count: answer.joint_count,
            status: answer.status,
            bound: answer.bound.cost.div_ceil(dearest),
            bars,
            offcuts,
        }
    }

    fn bar(
        &self,
        problem: &Problem,
        cut: &cutting::CutBar,
        number: u64,
        wanted: &[Wanted],
        roofs: &[RoofTrims],
    ) -> MarkedBar {
        let mut at = self.rules.trim_off;
        let mut pieces = Vec::new();
        for piece in &cut.pieces {
            let one = &wanted[piece.run];
            let run = &roofs[one.roof].runs[one.run];
            let last = piece.part + 1 == piece.parts;
            let mark = if piece.parts == 1 { run.mark.clone() } else { format!("{}{}", run.mark, letters(piece.part)) };
            // The overlap with a neighbour is filled in once all pieces of the run are known.
            let lap = |over| PieceEnd::Lap { length: Length::ZERO, over };
            pieces.push(MarkedPiece {
                mark,
                roof: one.roof,
                run: one.run,
                at,
                start_along: piece.start,
                length: piece.length,
                start: if piece.part == 0 { one.start.clone() } else { lap(true) },
                end: if last { one.end.clone() } else { lap(false) },
            });
            at += piece.length + self.rules.kerf;
        }
        let available = problem.bars[cut.bar].available;
        MarkedBar {
            number,
            length: problem.bars[cut.bar].length,
            source: if available.is_some() { BarSource::OnHand } else { BarSource::Bought },
            pieces,
            offcut: cut.offcut,
        }
    }

    /// The error as seen from the job.
    fn place(&self, error: &Error) -> Error {
        let path = match error.path() {
            "/rules/least_piece" if self.material != Material::Batten => "/preferences/least_piece".to_string(),
            "/rules/clear" => "/preferences/joint_clear".to_string(),
            "/rules/least_useful" => "/preferences/least_useful".to_string(),
            path => match path.strip_prefix("/rules") {
                Some(rule) => format!("{}{rule}", self.path),
                None if path.starts_with("/bars") => format!("{}/bars", self.path),
                None => "/roofs".to_string(),
            },
        };
        Error::new(error.code(), path, error.message())
    }

    fn uncuttable(&self, one: &Wanted, outlines: &[Outline], roofs: &[RoofTrims]) -> Finding {
        let run = &roofs[one.roof].runs[one.run];
        let what = if self.material == Material::Batten { "The batten of run" } else { "Run" };
        Finding {
            grade: Grade::Refuse,
            code: "uncuttable_run".into(),
            place: edge_path(&outlines[one.roof], one.roof, run),
            value: Some(one.length.mm()),
            limit: None,
            unit: Some("mm".into()),
            basis: "the lengths sold or on hand, the lap, the least piece and the clear distance".into(),
            text: format!(
                "{what} {} of {} cannot be cut from the lengths on offer under these rules, so the cut list leaves it \
                 out. Offer longer lengths, or allow shorter pieces.",
                run.mark, one.length
            ),
        }
    }
}

/// The runs that an error says no bar can make.
fn uncuttable_runs(error: &Error) -> Vec<usize> {
    let named = error.problems().map(|problem| {
        let run = problem.path().strip_prefix("/runs/")?.split('/').next()?.parse().ok()?;
        (problem.code() == Code::Uncuttable).then_some(run)
    });
    // If anything else is wrong too, it is no matter of single runs.
    named.collect::<Option<Vec<usize>>>().unwrap_or_default()
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// a, b, ... z, aa, ab, ...
pub(crate) fn letters(mut n: u32) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + (n % 26) as u8));
        if n < 26 {
            break;
        }
        n = n / 26 - 1;
    }
    letters.iter().rev().collect()
}

/// Writes into each pair of neighbouring pieces how far they overlap.
fn fill_in_laps(bars: &mut [MarkedBar]) {
    let mut places: Vec<(usize, usize, Length, usize, usize)> = Vec::new();
    for (b, bar) in bars.iter().enumerate() {
        places.extend(bar.pieces.iter().enumerate().map(|(p, piece)| (piece.roof, piece.run, piece.start_along, b, p)));
    }
    places.sort_unstable();
    for pair in places.windows(2) {
        let ((roof, run, _, b0, p0), (next_roof, next_run, begins, b1, p1)) = (pair[0], pair[1]);
        if (roof, run) != (next_roof, next_run) {
            continue;
        }
        let before = &mut bars[b0].pieces[p0];
        let overlap = before.start_along + before.length - begins;
        before.end = PieceEnd::Lap { length: overlap, over: false };
        bars[b1].pieces[p1].start = PieceEnd::Lap { length: overlap, over: true };
    }
}

fn mark_joints(roofs: &mut [RoofTrims], list: &CutList) {
    for piece in list.bars.iter().flat_map(|bar| &bar.pieces) {
        if piece.start_along.is_positive() {
            roofs[piece.roof].runs[piece.run].joints.push(piece.start_along);
        }
    }
    for run in roofs.iter_mut().flat_map(|roof| &mut roof.runs) {
        run.joints.sort_unstable();
    }
}

/// Counts the fixings of every run: piece by piece, or as one piece where the run could not be cut.
fn count_fixings(job: &Job, roofs: &mut [RoofTrims], lists: &[CutList]) {
    let lines = |kind| u64::from(job.system.trims.of(kind).fixing_lines);
    for piece in lists.iter().flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces) {
        let run = &mut roofs[piece.roof].runs[piece.run];
        run.fixings += lines(run.kind) * fixings_on_line(piece.length, &job.system.fixing);
    }
    for run in roofs.iter_mut().flat_map(|roof| &mut roof.runs) {
        if run.fixings == 0 && run.cut_length.is_positive() {
            run.fixings = lines(run.kind) * fixings_on_line(run.cut_length, &job.system.fixing);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let written: Vec<String> = [0, 1, 25, 26, 27, 51, 52, 701, 702].map(letters).to_vec();
        assert_eq!(written, ["a", "b", "z", "aa", "ab", "az", "ba", "zz", "aaa"]);
    }
}
