//! Whether an answer is what it says it is, in integer arithmetic, without the solver.
//!
//! Nothing here is shared with the search: the definitions of the [module's page](super) are written down a second
//! time, so that an error in one does not hide in the other.

use std::collections::BTreeMap;

use crate::length::Length;

use super::answer::{Answer, Chain, Piece};
use super::check_proof::check_proof;
use super::problem::{Problem, Run};

/// One thing in an answer that is not so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// JSON Pointer into the answer.
    pub place: String,
    /// One sentence with the value and what it should be.
    pub message: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.place, self.message)
    }
}

/// Checks an answer against its problem: every piece, rule and total, its bounds and their proof.
///
/// Takes time proportional to the pieces written in the answer, not to how often chains are made alike. Where
/// lengths alone do not verify the prices, all sums of runs in a chain are gone through: for one kind of bar at most
/// as many as it has units of the lengths' common measure, for each kind of run. What a finished search closed beyond the prices is
/// taken on trust, and so is its number of nodes: [`Proof::nodes`](super::Proof::nodes) is then not 0.
///
/// # Errors
/// Every fault found.
///
/// ```
/// use upstand::{Length, cutting::{self, Bar, Effort, Problem, Run}};
///
/// let problem = Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![Run::of(Length::from_mm(900), 7)]);
/// let mut answer = cutting::solve(&problem, &Effort::default())?;
/// assert!(cutting::check(&problem, &answer).is_ok());
/// answer.bar_count += 1;
/// assert_eq!(cutting::check(&problem, &answer).unwrap_err()[0].place, "/bar_count");
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn check(problem: &Problem, answer: &Answer) -> Result<(), Vec<Fault>> {
    if let Some(error) = problem.check().first() {
        return Err(vec![Fault { place: String::new(), message: format!("the problem itself is wrong: {error}") }]);
    }
    let mut check = Check { problem, faults: Vec::new() };
    check.chains(answer);
    check.totals(answer);
    if check.faults.is_empty() {
        check_proof(problem, answer, &mut check.faults);
    }
    if check.faults.is_empty() { Ok(()) } else { Err(check.faults) }
}

struct Check<'a> {
    problem: &'a Problem,
    faults: Vec<Fault>,
}

/// A piece and where it stands in the answer.
type Placed<'a> = (&'a Piece, String);

impl Check<'_> {
    fn fault(&mut self, place: impl Into<String>, message: impl Into<String>) {
        self.faults.push(Fault { place: place.into(), message: message.into() });
    }

    fn chains(&mut self, answer: &Answer) {
        let mut made = vec![0_u128; self.problem.runs.len()];
        let mut used = vec![0_u128; self.problem.bars.len()];
        for (at, chain) in answer.chains.iter().enumerate() {
            let place = format!("/chains/{at}");
            if chain.times == 0 || chain.bars.is_empty() {
                self.fault(&place, "a chain that is made 0 times, or without bars");
            }
            for (bar, count) in self.bars(chain, &place) {
                used[bar] += u128::from(chain.times) * u128::from(count);
            }
            for (run, copies) in self.runs(chain, &place) {
                made[run] += u128::from(chain.times) * u128::from(copies);
            }
        }
        for (at, run) in self.problem.runs.iter().enumerate() {
            if made[at] != u128::from(run.quantity) {
                let message = format!("run {at} is made {} times: {} are wanted", made[at], run.quantity);
                self.fault("/chains", message);
            }
        }
        for (at, bar) in self.problem.bars.iter().enumerate() {
            if let Some(have) = bar.available.filter(|&have| used[at] > u128::from(have)) {
                self.fault("/chains", format!("bar {at} is used {} times: there are {have}", used[at]));
            }
        }
    }

    /// Checks each bar of a chain alone; says which bars it uses, and how many.
    fn bars(&mut self, chain: &Chain, place: &str) -> BTreeMap<usize, u64> {
        let mut used = BTreeMap::new();
        for (at, bar) in chain.bars.iter().enumerate() {
            let place = format!("{place}/bars/{at}");
            let Some(offer) = self.problem.bars.get(bar.bar) else {
                self.fault(format!("{place}/bar"), format!("there is no bar {}", bar.bar));
                continue;
            };
            *used.entry(bar.bar).or_default() += 1;
            if bar.pieces.is_empty() {
                self.fault(format!("{place}/pieces"), "a bar from which nothing is cut");
            }
            let kerf = i128::from(self.problem.rules.kerf.um());
            let usable = i128::from(offer.length.um()) - 2 * i128::from(self.problem.rules.trim_off.um());
            let cut: i128 = bar.pieces.iter().map(|piece| i128::from(piece.length.um()) + kerf).sum();
            if cut > usable + kerf {
                let message = format!("the pieces and cuts take {} um: the bar gives {usable} um", cut - kerf);
                self.fault(format!("{place}/pieces"), message);
            }
            let offcut = (usable - cut).max(0);
            if i128::from(bar.offcut.um()) != offcut {
                self.fault(format!("{place}/offcut"), format!("{} is left, not {}", offcut, bar.offcut.um()));
            }
        }
        used
    }

    /// Checks each run that a chain makes; says how many copies of each.
    fn runs(&mut self, chain: &Chain, place: &str) -> BTreeMap<usize, u64> {
        let mut copies: BTreeMap<(usize, u64), Vec<Placed<'_>>> = BTreeMap::new();
        for (at, bar) in chain.bars.iter().enumerate() {
            for (piece_at, piece) in bar.pieces.iter().enumerate() {
                let place = format!("{place}/bars/{at}/pieces/{piece_at}");
                copies.entry((piece.run, piece.copy)).or_default().push((piece, place));
            }
        }
        let mut made = BTreeMap::new();
        for ((run, copy), mut pieces) in copies {
            let Some(rules) = self.problem.runs.get(run) else {
                self.fault(format!("{}/run", pieces[0].1), format!("there is no run {run}"));
                continue;
            };
            let count: &mut u64 = made.entry(run).or_default();
            if copy != *count {
                let message = format!("copies of a run count up from 0 within a chain: {copy} follows {count} others");
                self.fault(format!("{}/copy", pieces[0].1), message);
            }
            *count += 1;
            pieces.sort_by_key(|(piece, _)| piece.part);
            self.parts(rules, &pieces);
        }
        made
    }

    /// Checks one run's pieces, in the order of their parts.
    fn parts(&mut self, run: &Run, pieces: &[Placed<'_>]) {
        let rules = &self.problem.rules;
        let parts = pieces.len();
        let most = if run.may_join { rules.most_joints.map_or(u64::MAX, u64::from) } else { 0 };
        if parts as u64 - 1 > most {
            let message = format!("a run in {parts} pieces: at most {most} joints are allowed");
            self.fault(format!("{}/parts", pieces[0].1), message);
        }
        let least = run.least_piece.unwrap_or(rules.least_piece);
        let mut reached = Length::ZERO;
        for (at, (piece, place)) in pieces.iter().enumerate() {
            if piece.part as usize != at || piece.parts as usize != parts {
                let message = format!("part {} of {}: it is part {at} of {parts}", piece.part, piece.parts);
                self.fault(format!("{place}/part"), message);
            }
            if !piece.length.is_positive() || piece.length > Length::LIMIT || piece.start.abs() > Length::LIMIT {
                self.fault(format!("{place}/length"), format!("a piece of {} from {}", piece.length, piece.start));
                return;
            }
            if parts > 1 && piece.length < least {
                self.fault(format!("{place}/length"), format!("a piece of {}: at least {least}", piece.length));
            }
            let end = piece.start + piece.length;
            if at == 0 && piece.start != Length::ZERO {
                self.fault(format!("{place}/start"), format!("the run begins at {}: it must begin at 0", piece.start));
            }
            if at > 0 {
                self.lap(run, piece.start, reached, place);
                if piece.start <= pieces[at - 1].0.start || end <= reached {
                    self.fault(format!("{place}/length"), "a piece that lies wholly on its neighbour");
                }
            }
            reached = end;
        }
        if reached != run.length {
            self.fault(&pieces[parts - 1].1, format!("the run ends at {reached}: it must end at {}", run.length));
        }
    }

    /// Checks the lap from where one piece starts to where the one before it ends.
    fn lap(&mut self, run: &Run, from: Length, to: Length, place: &str) {
        let rules = &self.problem.rules;
        if to - from < rules.lap {
            self.fault(format!("{place}/start"), format!("a lap of {}: at least {}", to - from, rules.lap));
        }
        let clear = run.clear.unwrap_or(rules.clear);
        if from < clear || run.length - to < clear {
            let message = format!("the lap from {from} to {to} is closer than {clear} to an end of its run");
            self.fault(format!("{place}/start"), message);
        }
        for &(start, stop) in &run.forbidden {
            if start < stop && from < stop && to > start {
                let message = format!("the lap from {from} to {to} lies where none may: {start} to {stop}");
                self.fault(format!("{place}/start"), message);
            }
        }
    }

    fn totals(&mut self, answer: &Answer) {
        let (mut bars, mut pieces, mut cost) = (0_u128, 0_u128, 0_u128);
        for chain in &answer.chains {
            let times = u128::from(chain.times);
            bars += times * chain.bars.len() as u128;
            for bar in &chain.bars {
                pieces += times * bar.pieces.len() as u128;
                cost = cost.saturating_add(times * u128::from(self.cost(bar.bar)));
            }
        }
        let runs: u128 = self.problem.runs.iter().map(|run| u128::from(run.quantity)).sum();
        let said = [
            ("bar_count", answer.bar_count, bars),
            ("joint_count", answer.joint_count, pieces.saturating_sub(runs)),
            ("cost", answer.cost, cost),
        ];
        for (name, said, is) in said {
            if u128::from(said) != is {
                self.fault(format!("/{name}"), format!("{said} is said: it is {is}"));
            }
        }
    }

    fn cost(&self, bar: usize) -> u64 {
        let counted = self.problem.bars.len() == 1;
        let by_length = |length: Length| if counted { 1 } else { length.um().unsigned_abs() };
        self.problem.bars.get(bar).map_or(0, |bar| bar.cost.unwrap_or_else(|| by_length(bar.length)))
    }
}
