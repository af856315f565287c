//! Laying out a chain: which piece of which run is cut from which bar.
//!
//! By the theorem of the [module's page](super) a chain that holds its runs by length can always be laid out where
//! the site asks for nothing: fill one bar after another and cut where a bar ends. Rules of the site (least piece,
//! windows for laps, most joints, runs in one piece) may forbid that, and then any layout will do: runs in any order,
//! bars cut short, laps made longer, a bar that holds parts of three runs, even two runs that share two bars.
//!
//! [`along`] tries layouts along a line, which is quick and nearly always enough. [`tree`] then goes through all
//! layouts, by number of joints, as far as its budget reaches: a chain is called impossible only when none is left.

mod along;
mod flow;
#[cfg(test)]
mod tests;
mod tree;

use super::model::Site;

/// Runs to be cut from bars that are joined to one another.
pub(super) struct Task<'a> {
    /// What each bar holds, with one kerf: a piece takes its length and a kerf. Alike bars stand together.
    pub(super) bars: Vec<i64>,
    /// The runs, alike ones together.
    pub(super) runs: Vec<Demand<'a>>,
    pub(super) lap: i64,
    pub(super) kerf: i64,
    /// Measures all of these: cuts are made at its multiples.
    pub(super) step: i64,
}

/// One run.
#[derive(Clone, Copy)]
pub(super) struct Demand<'a> {
    pub(super) length: i64,
    pub(super) site: &'a Site,
    /// Runs with the same number are interchangeable.
    pub(super) alike: usize,
}

/// One piece as laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Laid {
    /// Place of the run among the task's runs.
    pub(super) slot: usize,
    pub(super) part: u32,
    pub(super) start: i64,
    pub(super) length: i64,
}

/// Per bar of the task its pieces.
pub(super) type Cut = Vec<Vec<Laid>>;

/// What is known of a task.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    Laid(Cut),
    /// No layout exists.
    Impossible,
    /// The budget ran out before a layout was found or all were excluded.
    Undecided,
}

/// Steps of search spent on one chain, as a rule and on its layouts along a line.
const BUDGET: u32 = 6_000;
const BUDGET_ALONG: u32 = 2_000;

/// Bars and runs beyond which a chain is laid out in the plainest way only.
const LARGE: usize = 400;

impl Task<'_> {
    /// Length to spare when the bars are joined by `joints` joints; negative if the runs do not fit.
    fn spare(&self, joints: u64) -> i64 {
        let room: i64 = self.bars.iter().sum();
        let need: i64 = self.runs.iter().map(|run| run.length + self.kerf).sum();
        let lost = i64::try_from(joints).unwrap_or(i64::MAX).saturating_mul(self.lap + self.kerf);
        (room - need).saturating_sub(lost)
    }

    /// A layout with at most `most` joints, the fewest first.
    pub(super) fn lay_out(&self, most: u64) -> Verdict {
        let mut budget = BUDGET;
        self.lay_out_within(most, &mut budget)
    }

    /// As [`Task::lay_out`], with so many steps; says how many are left.
    pub(super) fn lay_out_within(&self, most: u64, budget: &mut u32) -> Verdict {
        if self.spare(0) < 0 {
            return Verdict::Impossible;
        }
        if let [room] = self.bars[..]
            && self.runs.iter().map(|run| run.length + self.kerf).sum::<i64>() <= room
        {
            let whole = |(slot, run): (usize, &Demand<'_>)| Laid { slot, part: 0, start: 0, length: run.length };
            return Verdict::Laid(vec![self.runs.iter().enumerate().map(whole).collect()]);
        }
        let tied = self.bars.len() as u64 - 1;
        if tied <= most
            && let Some(cut) = along::plain(self)
        {
            return Verdict::Laid(cut);
        }
        if self.bars.len() + self.runs.len() > LARGE {
            return Verdict::Undecided;
        }
        if tied <= most
            && let Some(cut) = along::along(self, BUDGET_ALONG)
        {
            return Verdict::Laid(cut);
        }
        let mut joints = self.runs.iter().map(|run| self.least_parts(run) - 1).sum::<u64>();
        let mut open = false;
        while joints <= most && self.spare(joints) >= 0 {
            if *budget == 0 {
                return Verdict::Undecided;
            }
            match tree::tree(self, joints, budget) {
                Verdict::Impossible => {}
                Verdict::Undecided => open = true,
                laid @ Verdict::Laid(_) => return laid,
            }
            joints += 1;
        }
        if open { Verdict::Undecided } else { Verdict::Impossible }
    }

    /// Fewest pieces in which a run can be made from these bars.
    fn least_parts(&self, run: &Demand<'_>) -> u64 {
        let reach = self.bars.iter().max().copied().unwrap_or(0) - self.kerf;
        let over = run.length - reach;
        if over <= 0 {
            1
        } else if reach <= self.lap {
            u64::from(u32::MAX)
        } else {
            1 + over.unsigned_abs().div_ceil((reach - self.lap).unsigned_abs())
        }
    }

    /// The least that a piece of a joined run may be: longer than a lap, or it would lie wholly on its neighbour. If there
    /// is a layout with cuts anywhere, there is one at multiples of the step, or one with fewer joints: where all bounds are
    /// multiples, a flow has a solution in multiples, and a piece that comes out as long as the lap is not needed.
    fn least_piece(&self, run: &Demand<'_>) -> i64 {
        run.site.least_piece.max(self.lap + self.step)
    }
}
