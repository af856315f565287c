//! A problem reduced to what decides it: alike runs merged, kerf and trim-off folded into lengths, long runs
//! shortened by whole bars, and the objective as two aims.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::error::{Code, Error};
use crate::length::Length;

use super::problem::{Minimise, Problem};

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
    /// The greatest length that measures everything: cuts are made at its multiples.
    pub(super) step: i64,
    /// What one joint adds to each aim.
    pub(super) joint: Aims,
}

/// What is made least: the first, and among equals the second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Aims {
    pub(super) first: u64,
    pub(super) second: u64,
}

/// One kind of bar.
pub(super) struct Kind {
    /// Index into the problem's bars.
    pub(super) bar: usize,
    /// Usable length after trim-off.
    pub(super) usable: i64,
    /// What one bar adds to each aim.
    pub(super) aims: Aims,
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
    /// Whole bars taken off the run, each with its joint; see [`Model::size`].
    pub(super) peeled: u64,
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
    pub(super) fn new(problem: &Problem) -> Self {
        let rules = &problem.rules;
        let (lap, kerf) = (rules.lap.um(), rules.kerf.um());
        let kinds = problem.bars.iter().enumerate().map(|(bar, offer)| Kind {
            bar,
            usable: (offer.length - rules.trim_off * 2).um(),
            aims: match problem.minimise {
                Minimise::Bars | Minimise::Cost => Aims { first: problem.cost_of(bar), second: 0 },
                Minimise::Joints => Aims { first: 0, second: problem.cost_of(bar) },
            },
            available: offer.available,
        });
        let kinds: Vec<Kind> = kinds.filter(|kind| kind.usable > 0 && kind.available != Some(0)).collect();
        let joint = match problem.minimise {
            Minimise::Bars => Aims { first: 0, second: 1 },
            Minimise::Cost => Aims { first: rules.joint_cost, second: 1 },
            Minimise::Joints => Aims { first: 1, second: 0 },
        };
        let mut classes: BTreeMap<Class, Vec<(usize, u64)>> = BTreeMap::new();
        for (at, run) in problem.runs.iter().enumerate() {
            classes.entry((Reverse(run.length.um()), site_of(problem, at))).or_default().push((at, run.quantity));
        }
        let items = classes.into_iter().map(|((Reverse(length), site), runs)| {
            let count = runs.iter().map(|&(_, quantity)| quantity).sum();
            let peeled = match &kinds[..] {
                [only] if site.most_joints > 0 && length > only.usable && only.usable > lap => {
                    (length - only.usable).unsigned_abs().div_ceil((only.usable - lap).unsigned_abs())
                }
                _ => 0,
            };
            Item { length, count, runs, site, peeled }
        });
        let items: Vec<Item> = items.collect();
        let sizes = items.iter().flat_map(|item| {
            let windows = item.site.windows.iter().flat_map(|&(from, to)| [from, to]);
            windows.chain([item.length, item.site.least_piece])
        });
        let sizes = sizes.chain(kinds.iter().map(|kind| kind.usable)).chain([lap, kerf]);
        let step = sizes.fold(0, |step, size| gcd(step, size.unsigned_abs()));
        let step = i64::try_from(step.max(1)).unwrap_or(1);
        Model { kinds, items, lap, kerf, step, joint }
    }

    /// How much of a chain a run takes: its length and one kerf.
    ///
    /// Where there is one kind of bar, a run of more than a bar is shortened by as many bars less a lap as leave it no
    /// longer than a bar and longer than a lap. A chain of `b` bars holds the run exactly when a chain of that
    /// many bars less holds what is left of it, so nothing is lost, and no chain needs to be long.
    pub(super) fn size(&self, item: usize) -> u64 {
        let Item { length, peeled, .. } = self.items[item];
        let bar = self.kinds.first().map_or(0, |kind| kind.usable - self.lap);
        (length + self.kerf).unsigned_abs() - if peeled > 0 { peeled * bar.unsigned_abs() } else { 0 }
    }

    /// What the whole bars taken off long runs, with their joints, add to the aims.
    pub(super) fn peeled(&self) -> Aims {
        let Some(kind) = self.kinds.first() else { return Aims::default() };
        let bars = self.peeled_bars();
        Aims {
            first: bars * (kind.aims.first + self.joint.first),
            second: bars * (kind.aims.second + self.joint.second),
        }
    }

    /// Whether there are only so many of some kind among these bars.
    pub(super) fn limits(&self, bars: &[u32]) -> bool {
        self.kinds.iter().zip(bars).any(|(kind, &count)| count > 0 && kind.available.is_some())
    }

    /// How many whole bars are taken off long runs.
    pub(super) fn peeled_bars(&self) -> u64 {
        self.items.iter().map(|item| item.peeled * item.count).sum()
    }

    /// What every answer's aims are whole multiples of.
    pub(super) fn unit(&self) -> Aims {
        let parts = || self.kinds.iter().map(|kind| kind.aims).chain([self.joint]);
        let measure = |aim: fn(Aims) -> u64| parts().map(aim).fold(0, gcd).max(1);
        Aims { first: measure(|aims| aims.first), second: measure(|aims| aims.second) }
    }

    /// The runs that cannot be made even alone from as many bars of the longest kind as they may take.
    pub(super) fn uncuttable(&self) -> Vec<Error> {
        let longest = self.kinds.iter().map(|kind| kind.usable).max().unwrap_or(0);
        let mut problems: Vec<(usize, Error)> = Vec::new();
        for item in self.items.iter().filter(|item| !item.site.can_make(item.length, longest, self.lap)) {
            for &(run, _) in &item.runs {
                let (length, bar) = (Length::from_um(item.length), Length::from_um(longest));
                let message = if item.site.most_joints == 0 {
                    format!("a run of {length} must be made in one piece: the longest bar gives {bar}")
                } else {
                    format!("a run of {length} cannot be joined from bars of {bar} under the rules for its joints")
                };
                problems.push((run, Error::new(Code::Uncuttable, format!("/runs/{run}/length"), message)));
            }
        }
        problems.sort_by_key(|&(run, _)| run);
        problems.into_iter().map(|(_, problem)| problem).collect()
    }

    /// Whether every run must be made in one piece.
    pub(super) fn all_whole(&self) -> bool {
        self.items.iter().all(|item| item.site.most_joints == 0)
    }

    /// Whether the site asks for more than that pieces fit.
    pub(super) fn bound_by_site(&self) -> bool {
        let free = |item: &Item| {
            let Site { most_joints, least_piece, windows } = &item.site;
            *most_joints == u32::MAX && *least_piece <= self.lap + 1 && windows[..] == [(0, item.length)]
        };
        !self.all_whole() && !self.items.iter().all(free)
    }
}

impl Site {
    /// Whether a run can be made alone from bars that each give `bar`.
    ///
    /// Goes from joint to joint with the stretch of each window in which a lap can end. Such a stretch may have
    /// gaps where several windows lead to it, which are overlooked: "no" is certain, "yes" is not.
    fn can_make(&self, length: i64, bar: i64, lap: i64) -> bool {
        if length <= bar {
            return true;
        }
        let least = self.least_piece.max(lap + 1);
        if self.most_joints == 0 || bar < least {
            return false;
        }
        if self.windows[..] == [(0, length)] && self.most_joints == u32::MAX {
            return true;
        }
        // Where the first piece can end, by window.
        let within = |from: i64, to: i64, window: (i64, i64)| (from.max(window.0 + lap), to.min(window.1));
        let mut ends: Vec<(i64, i64)> = self.windows.iter().map(|&window| within(least, bar, window)).collect();
        for _ in 0..self.most_joints {
            let starts: Vec<(i64, i64)> = ends
                .iter()
                .zip(&self.windows)
                .filter(|(end, _)| end.0 <= end.1)
                .map(|(end, window)| (window.0, end.1 - lap))
                .collect();
            if starts.iter().any(|&(from, to)| length - to <= bar && length - from >= least) {
                return true;
            }
            let mut next = ends.clone();
            for (end, &window) in next.iter_mut().zip(&self.windows) {
                for &(from, to) in &starts {
                    let reached = within(from + least, to + bar, window);
                    if reached.0 <= reached.1 {
                        *end = if end.0 <= end.1 { (end.0.min(reached.0), end.1.max(reached.1)) } else { reached };
                    }
                }
            }
            if next == ends {
                return false;
            }
            ends = next;
        }
        false
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

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
