//! Exact search over listed patterns: closes what is open when an answer can use only few patterns.
//!
//! Once all patterns that a sought answer could use are listed (`listing`), the question is whether some of them hold every item
//! exactly as often as asked, at no more than the value sought. All rows and columns are then known, so that every node is the same
//! program (`program`) with other columns closed, and a branch is a few dual pivots away from its parent. Subset-row cuts (Jepsen,
//! Petersen, Spoorendonk and Pisinger 2008) are added at the root: of three items, at most one pattern can hold two or more.
//! Branching is Ryan and Foster's on pairs of items that are wanted once, else on a pattern being used once more or never again.
//!
//! # Proof
//! A node is cut off for one of two reasons. An item is left that no open pattern holds. Or integer multipliers of the rows, summed
//! up, ask of the patterns a total that is below zero, where no open pattern gives less than zero (a lemma of Farkas):
//! what rounding has put below zero is first made good from the row that limits the value. Both are exact.

mod cuts;
mod dive;

use std::collections::BTreeMap;

use super::listing::Uses;
use super::program::{Program, Verdict};
use super::reduce::Cut;
use super::search::Search;

/// Rounds of cuts at the root.
const CUT_ROUNDS: usize = 12;
/// Patterns of each item that the first program holds.
const WORKING: usize = 10;
/// What the greatest multiplier becomes in the integer check.
const SCALE: f64 = (1_u64 << 40) as f64;

/// Of the items `rows`, only one pattern can hold two or more; `counted` are the patterns that do.
struct Triple {
    rows: [u32; 3],
    counted: Vec<u32>,
}

#[derive(Clone)]
struct Node {
    /// Patterns that may be used from here on.
    open: Vec<bool>,
    /// How often each item is still wanted.
    left: Vec<u64>,
    /// Patterns taken, with their numbers, and what they add.
    taken: Vec<(u32, u64)>,
    value: u64,
    /// For each cut, whether a pattern that it counts may still be used.
    room: Vec<i64>,
    basis: Vec<u32>,
}

/// What is known of a node.
enum Seen {
    /// Nothing that is sought is below.
    Cut,
    /// Patterns with their levels.
    Open(Vec<(u32, f64)>),
    /// The effort is spent, or rounding left it undecided.
    Unclear,
}

struct Cover {
    listed: Vec<(u32, Uses)>,
    /// Patterns by item.
    holding: Vec<Vec<u32>>,
    /// What each pattern adds to the aim.
    value: Vec<u64>,
    cuts: Vec<Triple>,
    program: Program,
    /// Patterns that take part in the program; others come in when they are missed.
    working: Vec<bool>,
    /// An answer of no more than this is sought.
    most: u64,
    unit: f64,
}

/// How a search ended.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Ended {
    /// An answer was offered, or there is none.
    Settled,
    /// There is none, as the program without cuts shows already.
    AtRoot,
    /// Undecided.
    Open,
}

/// Seeks an answer of at most `most` made of `listed` patterns (stock, uses), which are all that it could use.
pub(super) fn run(search: &mut Search<'_>, listed: Vec<(u32, Uses)>, most: u64) -> Ended {
    let kinds = search.core.count.len();
    let value: Vec<u64> = listed.iter().map(|c| search.aim.value[c.0 as usize]).collect();
    let unit = value.iter().copied().max().unwrap_or(1).max(1) as f64;
    let mut holding = vec![Vec::new(); kinds];
    let columns = listed.iter().map(|(_, uses)| uses.iter().map(|&(i, n)| (i, n as f64)).collect()).collect();
    for (at, (_, uses)) in listed.iter().enumerate() {
        uses.iter().for_each(|u| holding[u.0 as usize].push(at as u32));
    }
    let mut program = Program::new(kinds, columns);
    // Row `kinds` limits the value.
    program.limit(&value.iter().enumerate().map(|(at, &v)| (at as u32, v as f64 / unit)).collect::<Vec<_>>());
    let root = Node {
        open: vec![true; listed.len()],
        left: search.core.count.clone(),
        taken: Vec::new(),
        value: 0,
        room: Vec::new(),
        basis: Vec::new(),
    };
    // Some patterns for each item, from all over the list.
    let mut working = vec![false; listed.len()];
    for held in &holding {
        (0..WORKING.min(held.len()))
            .for_each(|k| working[held[k * held.len() / WORKING.min(held.len())] as usize] = true);
    }
    let mut cover = Cover { listed, holding, value, cuts: Vec::new(), program, working, most, unit };
    cover.settle(search, root)
}

impl Cover {
    fn done(&self, search: &Search<'_>) -> bool {
        search.best_value() <= self.most
    }

    fn settle(&mut self, search: &mut Search<'_>, mut root: Node) -> Ended {
        let mut levels = match self.relax(search, &mut root) {
            Seen::Cut => return Ended::AtRoot,
            Seen::Open(levels) => levels,
            Seen::Unclear => return Ended::Open,
        };
        for _ in 0..CUT_ROUNDS {
            if !self.separate(search, &mut root, &levels) {
                break;
            }
            levels = match self.relax(search, &mut root) {
                Seen::Cut => return Ended::Settled,
                Seen::Open(levels) => levels,
                Seen::Unclear => return Ended::Open,
            };
        }
        if self.branch(search, root, levels) { Ended::Settled } else { Ended::Open }
    }

    /// Depth first; the branch in which two items share a pattern comes first. Dives from the root get half of the nodes, as
    /// packings that exist are mostly found by them. Returns whether the search was completed.
    fn branch(&mut self, search: &mut Search<'_>, mut root: Node, levels: Vec<(u32, f64)>) -> bool {
        let begun = search.meter.nodes();
        let mut stack = vec![root.clone()];
        let mut dives = 0_u64;
        let mut dived = 0_u64;
        if self.dive(search, root.clone(), levels, dives) {
            return true;
        }
        dived += search.meter.nodes() - begun;
        while let Some(mut node) = stack.pop() {
            if 2 * dived <= search.meter.nodes() - begun {
                dives += 1;
                let before = search.meter.nodes();
                // Other costs, another fractional solution to dive from.
                self.program.draw_costs();
                if let Seen::Open(levels) = self.relax(search, &mut root)
                    && self.dive(search, root.clone(), levels, dives)
                {
                    return true;
                }
                dived += search.meter.nodes() - before;
            }
            if self.done(search) {
                return true;
            }
            if !search.meter.enter() {
                return false;
            }
            let levels = match self.relax(search, &mut node) {
                Seen::Cut => continue,
                Seen::Open(levels) => levels,
                Seen::Unclear => return false,
            };
            let refused = search.forbidden.len();
            let part = |l: &&(u32, f64)| (l.1 - (l.1 + 0.5).floor()).abs() >= 1.0e-5;
            let open = levels.iter().find(part).map(|l| l.0);
            if open.is_none() {
                let more = levels.iter().map(|l| (l.0, (l.1 + 0.5) as u64));
                let all: Vec<(u32, u64)> = node.taken.iter().copied().chain(more).collect();
                if self.offer(search, &all) && self.done(search) {
                    return true;
                }
                if search.forbidden.len() > refused {
                    return false;
                }
            }
            if let Some((i, j)) = self.pair(&node, &levels, &search.core.length) {
                let (mut apart, mut together) = (node.clone(), node);
                for &p in &self.holding[i as usize] {
                    let side = if self.holds(p, j) { &mut apart } else { &mut together };
                    side.open[p as usize] = false;
                }
                for &p in &self.holding[j as usize] {
                    if !self.holds(p, i) {
                        together.open[p as usize] = false;
                    }
                }
                stack.push(apart);
                stack.push(together);
            } else if let Some(p) = open {
                let mut never = node.clone();
                never.open[p as usize] = false;
                stack.push(never);
                self.take(&mut node, p, 1);
                stack.push(node);
            } else {
                return false;
            }
        }
        true
    }

    fn holds(&self, pattern: u32, item: u32) -> bool {
        self.listed[pattern as usize].1.iter().any(|u| u.0 == item)
    }

    /// How many open patterns hold each item.
    fn ways(&self, node: &Node) -> Vec<u32> {
        let mut ways = vec![0_u32; node.left.len()];
        for (column, _) in self.listed.iter().zip(&node.open).filter(|c| *c.1) {
            column.1.iter().for_each(|u| ways[u.0 as usize] += 1);
        }
        ways
    }

    /// Makes patterns that cover everything an answer.
    fn offer(&self, search: &mut Search<'_>, taken: &[(u32, u64)]) -> bool {
        let mut left = search.core.count.clone();
        let mut times: BTreeMap<u32, u64> = BTreeMap::new();
        for &(pattern, number) in taken {
            *times.entry(pattern).or_default() += number;
            for &(i, n) in &self.listed[pattern as usize].1 {
                let Some(rest) = left[i as usize].checked_sub(n * number) else { return false };
                left[i as usize] = rest;
            }
        }
        let cut = |(&pattern, &times): (&u32, &u64)| {
            let (stock, uses) = &self.listed[pattern as usize];
            Cut { stock: *stock, uses: uses.clone(), times }
        };
        left.iter().all(|&l| l == 0) && search.offer(times.iter().map(cut).collect())
    }

    /// Takes a pattern: what it makes is no longer wanted, and what holds more than is wanted is closed.
    fn take(&self, node: &mut Node, pattern: u32, times: u64) {
        let uses = &self.listed[pattern as usize].1;
        let times = uses.iter().map(|&(i, n)| node.left[i as usize] / n).min().unwrap_or(0).min(times);
        node.taken.push((pattern, times));
        node.value += self.value[pattern as usize] * times;
        for &(i, n) in uses {
            node.left[i as usize] -= n * times;
        }
        for &(i, _) in uses {
            let left = node.left[i as usize];
            for &p in &self.holding[i as usize] {
                let open = &mut node.open[p as usize];
                *open = *open && self.listed[p as usize].1.iter().all(|u| u.0 != i || u.1 <= left);
            }
        }
        for (room, cut) in node.room.iter_mut().zip(&self.cuts) {
            if cut.counted.binary_search(&pattern).is_ok() {
                *room -= times as i64;
            }
        }
    }

    /// Takes what must be taken. Returns false where an item has no pattern left.
    fn propagate(&self, search: &mut Search<'_>, node: &mut Node) -> bool {
        loop {
            let ways = self.ways(node);
            search.meter.spend(4 * self.listed.len() as u64);
            let mut any = false;
            for (i, &ways) in ways.iter().enumerate() {
                match (node.left[i], ways) {
                    (0, _) => {}
                    (_, 0) => return false,
                    (1, 1) => {
                        // Another may have been taken since the ways were counted.
                        let mut open = self.holding[i].iter().copied().filter(|&p| node.open[p as usize]);
                        let Some(pattern) = open.next() else { return false };
                        self.take(node, pattern, 1);
                        any = true;
                    }
                    _ => {}
                }
            }
            if node.value > self.most || node.room.iter().any(|&r| r < 0) {
                return false;
            }
            if !any {
                return true;
            }
        }
    }

    /// Solves the program of a node.
    fn relax(&mut self, search: &mut Search<'_>, node: &mut Node) -> Seen {
        node.room.resize(self.cuts.len(), 1);
        if !self.propagate(search, node) {
            return Seen::Cut;
        }
        if node.left.iter().all(|&l| l == 0) {
            return Seen::Open(Vec::new());
        }
        let right: Vec<f64> = node
            .left
            .iter()
            .map(|&l| l as f64)
            .chain([(self.most - node.value) as f64 / self.unit])
            .chain(node.room.iter().map(|&r| r as f64))
            .collect();
        loop {
            let open: Vec<bool> =
                node.open.iter().zip(&self.working).map(|(&open, &working)| open && working).collect();
            self.program.load(&open, &right, &node.basis);
            let verdict = self.program.solve(20 * right.len() + 1000);
            search.meter.spend(self.program.take_work());
            if search.meter.spent() {
                return Seen::Unclear;
            }
            match verdict {
                Verdict::Met(levels) => {
                    node.basis = self.program.basis().to_vec();
                    return Seen::Open(levels);
                }
                Verdict::Unmet(multipliers) => {
                    search.meter.spend(8 * self.listed.len() as u64);
                    match self.refute(node, &multipliers) {
                        None => return Seen::Cut,
                        Some(missed) if missed.is_empty() => return Seen::Unclear,
                        Some(missed) => missed.iter().for_each(|&p| self.working[p as usize] = true),
                    }
                    node.basis = self.program.basis().to_vec();
                }
                Verdict::Unclear => return Seen::Unclear,
            }
        }
    }

    /// Whether the multipliers prove in integers that the open patterns cannot meet the rows of the node: `None` if they do, else
    /// patterns beside the program that stand against it, the strongest first.
    fn refute(&self, node: &Node, multipliers: &[f64]) -> Option<Vec<u32>> {
        let greatest = multipliers.iter().fold(0.0_f64, |most, m| most.max(m.abs()));
        if !(greatest > 0.0 && greatest.is_finite()) {
            return Some(Vec::new());
        }
        let whole = |m: f64| (m / greatest * SCALE) as i128;
        let items = node.left.len();
        let price: Vec<i128> = multipliers[..items].iter().map(|&m| whole(m)).collect();
        let mut limit = whole(multipliers[items] / self.unit).max(0);
        let fine: Vec<i128> = multipliers[items + 1..].iter().map(|&m| whole(m).max(0)).collect();
        let mut sums: Vec<i128> = self
            .listed
            .iter()
            .zip(&self.value)
            .map(|((_, uses), &v)| {
                uses.iter().map(|&(i, n)| price[i as usize] * i128::from(n)).sum::<i128>() + limit * i128::from(v)
            })
            .collect();
        for (cut, &fine) in self.cuts.iter().zip(&fine).filter(|c| *c.1 != 0) {
            cut.counted.iter().for_each(|&p| sums[p as usize] += fine);
        }
        let mut missing = 0;
        for (at, &sum) in sums.iter().enumerate() {
            if node.open[at] && sum < 0 {
                let value = i128::from(self.value[at]);
                if value == 0 {
                    return Some(Vec::new());
                }
                missing = missing.max((-sum + value - 1) / value);
            }
        }
        limit += missing;
        let asked: i128 = price.iter().zip(&node.left).map(|(p, &l)| p * i128::from(l)).sum::<i128>()
            + limit * i128::from(self.most - node.value)
            + fine.iter().zip(&node.room).map(|(p, &r)| p * i128::from(r)).sum::<i128>();
        if asked < 0 {
            return None;
        }
        let mut missed: Vec<u32> = (0..sums.len())
            .filter(|&at| node.open[at] && !self.working[at] && sums[at] < 0)
            .map(|at| at as u32)
            .collect();
        missed.sort_by_key(|&at| (sums[at as usize], at));
        missed.truncate(100 + node.left.len() / 2);
        Some(missed)
    }

    /// The pair of items, both wanted once, to branch on: nearest to being together in some patterns and not in others, the longer
    /// the better.
    fn pair(&self, node: &Node, levels: &[(u32, f64)], length: &[u64]) -> Option<(u32, u32)> {
        let mut shared: BTreeMap<(u32, u32), f64> = BTreeMap::new();
        for &(c, x) in levels.iter().filter(|l| l.1 < 1.0 - 1.0e-5) {
            let uses = &self.listed[c as usize].1;
            for (k, &(i, _)) in uses.iter().enumerate().filter(|u| node.left[u.1.0 as usize] == 1) {
                for &(j, _) in uses[k + 1..].iter().filter(|u| node.left[u.0 as usize] == 1) {
                    *shared.entry((i, j)).or_default() += x;
                }
            }
        }
        let score = |&(i, j): &(u32, u32), x: f64| {
            let near = 1000 - ((x - 0.6).abs() * 1000.0) as u64;
            (near / 100, length[i as usize] + length[j as usize], near)
        };
        shared
            .iter()
            .filter(|s| *s.1 > 1.0e-5 && *s.1 < 1.0 - 1.0e-5)
            .max_by(|a, b| score(a.0, *a.1).cmp(&score(b.0, *b.1)).then_with(|| b.0.cmp(a.0)))
            .map(|(&pair, _)| pair)
    }
}
