//! Whether a problem makes sense: all that is wrong with it, in the order of the document.

use crate::error::{Code, Error};
use crate::length::Length;

use super::problem::{Problem, Run};

/// Most kinds of run in one problem.
pub const MOST_RUNS: usize = 200_000;
/// Most kinds of bar in one problem.
pub const MOST_BARS: usize = 1_000;
/// Most pieces in one bar, or in one run.
pub const MOST_PIECES: u64 = 100_000;
/// Most runs of all kinds together.
pub const MOST_QUANTITY: u64 = 1_000_000_000_000;

impl Problem {
    /// Everything wrong with the problem, in the order of the document; empty if [`solve`](super::solve) will take it.
    ///
    /// Linear in the size of the problem. A problem that passes may still be refused by `solve` as
    /// [`Code::Uncuttable`] where the bars on hand do not suffice.
    ///
    /// ```
    /// use upstand::{Length, cutting::{Bar, Problem, Run}};
    ///
    /// let good = Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![Run::of(Length::from_mm(4200), 2)]);
    /// assert!(good.check().is_empty());
    /// let bad = Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![Run::of(Length::from_mm(-1), 2)]);
    /// assert_eq!(bad.check()[0].path(), "/runs/0/length");
    /// ```
    pub fn check(&self) -> Vec<Error> {
        let mut problems = Vec::new();
        if self.bars.len() > MOST_BARS {
            return vec![too_many("/bars", self.bars.len(), MOST_BARS, "kinds of bar")];
        }
        if self.runs.len() > MOST_RUNS {
            return vec![too_many("/runs", self.runs.len(), MOST_RUNS, "kinds of run")];
        }
        self.check_bars(&mut problems);
        self.check_rules(&mut problems);
        for (at, run) in self.runs.iter().enumerate() {
            check_run(run, &format!("/runs/{at}"), &mut problems);
        }
        if problems.is_empty() && !self.bars.is_empty() {
            self.check_totals(&mut problems);
        }
        if problems.is_empty() {
            self.check_costs(&mut problems);
        }
        problems
    }

    fn check_bars(&self, problems: &mut Vec<Error>) {
        if self.bars.is_empty() && !self.runs.is_empty() {
            problems.push(Error::new(Code::Uncuttable, "/bars", "no bar is on offer: at least one kind is needed"));
        }
        let priced = self.bars.iter().filter(|bar| bar.cost.is_some()).count();
        for (at, bar) in self.bars.iter().enumerate() {
            if !in_range(bar.length) {
                let message =
                    format!("a bar of {} cannot be cut: more than 0 and at most {}", bar.length, Length::LIMIT);
                problems.push(Error::new(Code::BadBar, format!("/bars/{at}/length"), message));
            }
            if bar.cost.is_none() && priced > 0 {
                let message = "this bar has no cost but others have: give every kind a cost, or none";
                problems.push(Error::new(Code::BadBar, format!("/bars/{at}/cost"), message));
            }
        }
    }

    fn check_rules(&self, problems: &mut Vec<Error>) {
        let rules = &self.rules;
        let longest = self.bars.iter().map(|bar| bar.length).max().unwrap_or(Length::LIMIT);
        let loss = [
            ("lap", rules.lap, 1),
            ("kerf", rules.kerf, 1),
            ("trim_off", rules.trim_off, 2),
            ("least_piece", rules.least_piece, 1),
            ("clear", rules.clear, 0),
            ("least_useful", rules.least_useful, 0),
        ];
        for (name, value, times) in loss {
            if value.is_negative() || value > Length::LIMIT {
                let message = format!("{name} is {value}: it must be 0 or more, and at most {}", Length::LIMIT);
                problems.push(Error::new(Code::BadCutRule, format!("/rules/{name}"), message));
            } else if times > 0 && longest.is_positive() && value * times >= longest {
                let message = format!("{name} is {value}, which leaves nothing of the longest bar ({longest})");
                problems.push(Error::new(Code::BadCutRule, format!("/rules/{name}"), message));
            }
        }
        if problems.is_empty() && !self.bars.is_empty() && rules.lap >= longest - rules.trim_off * 2 {
            let message = format!("lap is {}, which leaves nothing of the longest bar after trim-off", rules.lap);
            problems.push(Error::new(Code::BadCutRule, "/rules/lap", message));
        }
    }

    fn check_totals(&self, problems: &mut Vec<Error>) {
        let mut quantity = 0_u64;
        let mut length = 0_i128;
        let (lap, kerf) = (self.rules.lap, self.rules.kerf);
        let longest = self.bars.iter().map(|bar| bar.length - self.rules.trim_off * 2).max().unwrap_or(Length::ZERO);
        for (at, run) in self.runs.iter().enumerate() {
            quantity = quantity.saturating_add(run.quantity);
            let each = i128::from(run.length.um()) + i128::from(self.rules.kerf.um());
            length = length.saturating_add(i128::from(run.quantity).saturating_mul(each));
            let many = (longest + kerf) / (run.length + kerf) > MOST_PIECES as i64;
            if many || (run.length > longest && (run.length - lap) / (longest - lap) >= MOST_PIECES as i64) {
                let message =
                    format!("{} in bars of {longest}: at most {MOST_PIECES} pieces in a bar or a run", run.length);
                problems.push(Error::new(Code::Overflow, format!("/runs/{at}/length"), message));
                return;
            }
            if quantity > MOST_QUANTITY || length > i128::from(i64::MAX / 8) {
                let message = format!(
                    "{} of {} is more than the library adds up: at most {MOST_QUANTITY} runs and 10^9 km in all",
                    run.quantity, run.length
                );
                problems.push(Error::new(Code::Overflow, format!("/runs/{at}/quantity"), message));
                return;
            }
        }
    }

    /// Whether no answer can cost more than is added up: in one, each bar and joint holds a piece of its own, and of the
    /// shortest bars that advance a run at all there are not more than twice as many as cover every run one by one.
    fn check_costs(&self, problems: &mut Vec<Error>) {
        let rules = &self.rules;
        let advances = self.bars.iter().map(|bar| (bar.length - rules.trim_off * 2 - rules.lap).um());
        let advance = i128::from(advances.filter(|&advance| advance > 0).min().unwrap_or(1));
        let pieces =
            |run: &Run| (2 + 2 * i128::from(run.length.um()) / advance).unsigned_abs() * u128::from(run.quantity);
        let pieces: u128 = self.runs.iter().map(pieces).fold(0, u128::saturating_add);
        let costs = (0..self.bars.len()).map(|bar| (format!("/bars/{bar}/cost"), self.cost_of(bar)));
        for (path, cost) in costs.chain([("/rules/joint_cost".to_owned(), rules.joint_cost)]) {
            if pieces.saturating_mul(cost.into()) >= 1 << 61 {
                let message = format!(
                    "a cost of {cost} for up to {pieces} pieces is more than the library adds up: divide all costs"
                );
                problems.push(Error::new(Code::Overflow, path, message));
            }
        }
    }
}

fn check_run(run: &Run, path: &str, problems: &mut Vec<Error>) {
    if !in_range(run.length) {
        let message = format!("a run of {} cannot be made: more than 0 and at most {}", run.length, Length::LIMIT);
        problems.push(Error::new(Code::BadRun, format!("{path}/length"), message));
    }
    if run.quantity == 0 {
        problems.push(Error::new(Code::BadRun, format!("{path}/quantity"), "a run is wanted 0 times: at least 1"));
    }
    for (name, value) in [("least_piece", run.least_piece), ("clear", run.clear)] {
        if let Some(value) = value.filter(|value| value.is_negative() || *value > Length::LIMIT) {
            let message = format!("{name} is {value}: it must be 0 or more, and at most {}", Length::LIMIT);
            problems.push(Error::new(Code::BadCutRule, format!("{path}/{name}"), message));
        }
    }
    for (at, &(from, to)) in run.forbidden.iter().enumerate() {
        if from > to || from.abs() > Length::LIMIT || to.abs() > Length::LIMIT {
            let message =
                format!("no lap from {from} to {to}: the stretch must run forwards and lie within {}", Length::LIMIT);
            problems.push(Error::new(Code::BadRun, format!("{path}/forbidden/{at}"), message));
        }
    }
}

fn in_range(length: Length) -> bool {
    length.is_positive() && length <= Length::LIMIT
}

fn too_many(path: &str, count: usize, most: usize, what: &str) -> Error {
    Error::new(Code::TooManyRuns, path, format!("{count} {what}: at most {most}"))
}
