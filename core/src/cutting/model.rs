//! A problem reduced to what decides it: alike runs merged, kerf and trim-off folded into lengths, and the order
//! of the objective folded into one integer weight.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::error::{Code, Error};

use super::problem::{Minimise, Problem};
use super::weights::Weights;

/// A problem in whole micrometres.
pub(super) struct Model {
    /// Kinds of bar that can be used at all.
    pub(super) kinds: Vec<Kind>,
    /// Kinds of run, alike ones merged, in a canonical order.
    pub(super) items: Vec<Item>,
    /// Least overlap at a joint.
    pub(super) lap: i64,
    /// Lost between two pieces of one bar.
    pub(super) kerf: i64,
    /// What a joint weighs.
    pub(super) joint_weight: u64,
}

/// One kind of bar.
pub(super) struct Kind {
    /// Index into the problem's bars.
    pub(super) bar: usize,
    /// Usable length after trim-off.
    pub(super) usable: i64,
    /// Cost as reported.
    pub(super) cost: u64,
    /// What one bar weighs.
    pub(super) weight: u64,
    /// How many there are.
    pub(super) available: Option<u64>,
}

/// Alike runs.
pub(super) struct Item {
    pub(super) length: i64,
    pub(super) count: u64,
    /// Which runs of the problem, and how many of each.
    pub(super) runs: Vec<(usize, u64)>,
    pub(super) site: Site,
}

/// What the site asks of a joined run.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Site {
    /// Most joints in the run.
    pub(super) most_joints: u32,
    pub(super) least_piece: i64,
    /// Stretches in which a whole lap must lie: sorted, disjoint, each at least a lap long.
    pub(super) windows: Vec<(i64, i64)>,
}

/// What makes runs alike: longest first.
type Class = (Reverse<i64>, Site);

impl Model {
    /// Reduces a problem that has passed its check.
    ///
    /// # Errors
    /// [`Code::Overflow`] where costs are too large to be compared in one integer.
    pub(super) fn new(problem: &Problem) -> Result<Self, Error> {
        let rules = &problem.rules;
        let (lap, kerf) = (rules.lap.um(), rules.kerf.um());
        let mut classes: BTreeMap<Class, Vec<(usize, u64)>> = BTreeMap::new();
        for (at, run) in problem.runs.iter().enumerate() {
            let site = site_of(problem, at);
            classes.entry((Reverse(run.length.um()), site)).or_default().push((at, run.quantity));
        }
        let items = classes
            .into_iter()
            .map(|((length, site), runs)| {
                let count = runs.iter().map(|&(_, quantity)| quantity).sum();
                Item { length: length.0, count, runs, site }
            })
            .collect();
        let kinds = problem.bars.iter().enumerate();
        let kinds = kinds.map(|(bar, offer)| Kind {
            bar,
            usable: (offer.length - rules.trim_off * 2).um(),
            cost: problem.cost_of(bar),
            weight: 0,
            available: offer.available,
        });
        let kinds = kinds.filter(|kind| kind.usable > 0 && kind.available != Some(0)).collect();
        let mut model = Model { kinds, items, lap, kerf, joint_weight: 0 };
        model.weigh(problem)?;
        Ok(model)
    }

    /// Folds the objective into weights: comparing sums of weights is comparing answers.
    fn weigh(&mut self, problem: &Problem) -> Result<(), Error> {
        let weights = Weights::of(problem);
        let Some(weights) = weights else {
            let path = if problem.minimise == Minimise::Cost { "/rules/joint_cost" } else { "/bars" };
            return Err(Error::new(
                Code::Overflow,
                path,
                "costs are too large to be added up: divide all of them by a common factor",
            ));
        };
        self.joint_weight = weights.joint;
        for kind in &mut self.kinds {
            kind.weight = weights.bars[kind.bar];
        }
        Ok(())
    }

    /// A run's length as it counts in a chain: with one kerf.
    pub(super) fn item_size(&self, item: usize) -> u64 {
        (self.items[item].length + self.kerf).unsigned_abs()
    }

    /// Whether every run must be made in one piece.
    pub(super) fn all_whole(&self) -> bool {
        self.items.iter().all(|item| item.site.most_joints == 0)
    }
}

/// The rules for one run of the problem, with its forbidden stretches turned into windows.
fn site_of(problem: &Problem, run: usize) -> Site {
    let (rules, run) = (&problem.rules, &problem.runs[run]);
    let most_joints = if run.may_join { rules.most_joints.unwrap_or(u32::MAX) } else { 0 };
    if most_joints == 0 {
        return Site::default();
    }
    let lap = rules.lap.um();
    let clear = run.clear.unwrap_or(rules.clear).um();
    let mut forbidden: Vec<(i64, i64)> = run.forbidden.iter().map(|&(from, to)| (from.um(), to.um())).collect();
    forbidden.retain(|(from, to)| from < to);
    forbidden.sort_unstable();
    let (mut from, end) = (clear, run.length.um() - clear);
    let mut windows = Vec::new();
    for (start, stop) in forbidden {
        if start.min(end) - from >= lap {
            windows.push((from, start.min(end)));
        }
        from = from.max(stop);
    }
    if end - from >= lap {
        windows.push((from, end));
    }
    if windows.is_empty() {
        return Site::default();
    }
    Site { most_joints, least_piece: run.least_piece.unwrap_or(rules.least_piece).um(), windows }
}
