//! Branch and price: closes what bounds and heuristics leave open.
//!
//! A node says of two items either that some stock holds one of each, and glues one copy of each into a new item, or
//! that no stock holds both, and keeps them apart (Ryan and Foster 1981; Vance 1998; for counts above one as in
//! da Silva and Schouery, arXiv 2308.03595). One of the two holds in every answer, so nothing is lost. Where all pairs
//! are settled and only the choice of stock is not, an item is tied to a stock or banned from it in the same way.
//! Gluing shrinks the problem and leaves pricing a plain knapsack; keeping apart is obeyed by the knapsack's search.
//!
//! *Refused patterns.* Every item of a node is made of original items in one way, so that each of its patterns is one of the
//! original items, and pricing leaves out those that were refused, with all items in view, as a pattern may be refused
//! without an item of no price and accepted with it. What remains holds every answer, for answers are exact covers by
//! accepted patterns, and branching parts the exact covers whatever is refused: the bound of a node holds and a finished
//! search has seen every answer. A whole solution that is refused leaves the node with fewer patterns, or is branched on; where
//! neither can be, the search says that it is not complete.

use std::collections::BTreeMap;

use super::knapsack::Thorough;
use super::reduce::Cut;
use super::relax::{self, Column, Pricing, Relaxed, State};
use super::search::Search;

/// Most columns that a node inherits, as a multiple of its kinds of item.
const KEPT: usize = 6;

/// What one copy of a glued item is made of: original items, ascending.
type Made = Vec<(u32, u64)>;

struct Node {
    state: State,
    /// For each item of the state, what its copies are made of, with their numbers.
    parts: Vec<Vec<(Made, u64)>>,
    pool: Vec<Column>,
    basis: Vec<usize>,
}

/// Searches below `state`. Returns whether the search was completed, so that nothing better than the best exists.
pub(super) fn run(search: &mut Search<'_>, state: State, pool: Vec<Column>, basis: Vec<usize>) -> bool {
    let parts = state.count.iter().enumerate().map(|(i, &c)| vec![(vec![(i as u32, 1)], c)]).collect();
    let mut stack = vec![Node { state, parts, pool, basis }];
    let mut complete = true;
    while let Some(mut node) = stack.pop() {
        if search.closed() {
            return true;
        }
        if !search.meter.enter() {
            return false;
        }
        let relaxed = node.relax(search);
        if relaxed.bound >= search.cutoff() {
            continue;
        }
        if relaxed.prices.is_none() && !relaxed.enough {
            return false;
        }
        node.basis.clone_from(&relaxed.basis);
        let whole = relaxed.levels.iter().all(|&(_, x)| (x - (x + 0.5).floor()).abs() < 1.0e-5);
        let refused = search.forbidden.len();
        if whole && !relaxed.short {
            let cuts = node.cuts(&relaxed.levels);
            let taken = cuts.and_then(|cuts| node.expand(&cuts)).is_some_and(|cuts| search.offer(cuts));
            if relaxed.bound >= search.cutoff() {
                continue;
            }
            if taken || search.forbidden.len() > refused {
                // The same node again, now with less to gain, or without what has been refused.
                stack.push(node);
                continue;
            }
        }
        let (first, second) = match node.pair(&relaxed.levels) {
            Some((i, j)) => {
                let apart = node.apart(i, j);
                (node.together(search, i, j), apart)
            }
            None => match node.choice(search, &relaxed.levels) {
                Some((i, s)) => {
                    let banned = node.banned(i, s);
                    (Some(node.tied(search, i, s)), banned)
                }
                None => {
                    complete = false;
                    continue;
                }
            },
        };
        stack.push(second);
        stack.extend(first);
    }
    complete
}

impl Node {
    fn relax(&mut self, search: &mut Search<'_>) -> Relaxed {
        let forbidden = &search.forbidden;
        let parts = &self.parts;
        let may = |stock: u32, uses: &[(u32, u64)]| match original(parts, uses) {
            Some(uses) => !forbidden.contains(&(stock, uses)),
            None => true,
        };
        let allowed: Option<super::knapsack::Allowed<'_>> = if forbidden.is_empty() { None } else { Some(&may) };
        if allowed.is_some() {
            for column in &mut self.pool {
                if !may(column.stock, &column.uses) {
                    column.uses.clear();
                }
            }
        }
        let enough = search.cutoff().saturating_sub(1) as f64 + 1.0e-6;
        let pricing = Pricing { allowed, thorough: Thorough::Complete, enough };
        relax::relax(search.core, &search.aim, &self.state, &mut self.pool, &self.basis, pricing, &mut search.meter)
    }

    /// The whole levels as patterns that cover the demand exactly; `None` if they do not cover it.
    fn cuts(&self, levels: &[(usize, f64)]) -> Option<Vec<Cut>> {
        let mut left = self.state.count.clone();
        let mut cuts = Vec::new();
        for &(at, x) in levels {
            let column = &self.pool[at];
            for _ in 0..(x + 0.5) as u64 {
                let mut uses = column.uses.clone();
                // What is made too often is left out.
                uses.iter_mut().for_each(|u| u.1 = u.1.min(left[u.0 as usize]));
                uses.retain(|u| u.1 > 0);
                if uses.is_empty() {
                    continue;
                }
                let times = uses.iter().map(|u| left[u.0 as usize] / u.1).min().unwrap_or(1).min(1);
                uses.iter().for_each(|u| left[u.0 as usize] -= u.1 * times);
                cuts.push(Cut { stock: column.stock, uses, times });
            }
        }
        left.iter().all(|&l| l == 0).then_some(cuts)
    }

    /// Patterns of this node's items as patterns of the original ones.
    fn expand(&self, cuts: &[Cut]) -> Option<Vec<Cut>> {
        let mut parts = self.parts.clone();
        let mut merged: BTreeMap<(u32, Made), u64> = BTreeMap::new();
        for cut in cuts {
            for _ in 0..cut.times {
                let mut made: BTreeMap<u32, u64> = BTreeMap::new();
                for &(i, n) in &cut.uses {
                    let mut need = n;
                    while need > 0 {
                        let (copy, left) = parts[i as usize].last_mut()?;
                        let taken = need.min(*left);
                        copy.iter().for_each(|&(o, m)| *made.entry(o).or_default() += m * taken);
                        need -= taken;
                        *left -= taken;
                        if *left == 0 {
                            parts[i as usize].pop();
                        }
                    }
                }
                *merged.entry((cut.stock, made.into_iter().collect())).or_default() += 1;
            }
        }
        Some(merged.into_iter().map(|((stock, uses), times)| Cut { stock, uses, times }).collect())
    }

    /// The pair to branch on: near half together, the longer the better.
    fn pair(&self, levels: &[(usize, f64)]) -> Option<(u32, u32)> {
        let mut shared: BTreeMap<(u32, u32), f64> = BTreeMap::new();
        for &(at, x) in levels {
            let uses = &self.pool[at].uses;
            for (k, &(i, n)) in uses.iter().enumerate() {
                if n > 1 {
                    *shared.entry((i, i)).or_default() += x;
                }
                for &(j, _) in &uses[k + 1..] {
                    *shared.entry((i, j)).or_default() += x;
                }
            }
        }
        let length = &self.state.length;
        let score = |&(i, j): &(u32, u32), x: f64| {
            let part = x - x.floor();
            let clear = part > 1.0e-5 && part < 1.0 - 1.0e-5;
            let near = if clear { 1000 - ((part - 0.7).abs() * 1000.0) as u64 } else { 0 };
            // Coarse steps, so that length decides among pairs about as near.
            (near / 100, length[i as usize] + length[j as usize], near)
        };
        shared
            .iter()
            .max_by(|a, b| score(a.0, *a.1).cmp(&score(b.0, *b.1)).then_with(|| b.0.cmp(a.0)))
            .map(|(&pair, _)| pair)
    }

    /// An item and a stock of which it is open whether the one is cut from the other.
    fn choice(&self, search: &Search<'_>, levels: &[(usize, f64)]) -> Option<(u32, u32)> {
        let mut drawn: BTreeMap<(u32, u32), f64> = BTreeMap::new();
        for &(at, x) in levels {
            self.pool[at].uses.iter().for_each(|u| *drawn.entry((u.0, self.pool[at].stock)).or_default() += x);
        }
        let open = |x: f64| x - x.floor() > 1.0e-5 && x - x.floor() < 1.0 - 1.0e-5;
        drawn.into_iter().find(|&((i, s), x)| open(x) && self.may_tie(search, i, s)).map(|(key, _)| key)
    }

    fn may_tie(&self, search: &Search<'_>, i: u32, s: u32) -> bool {
        self.state.length[i as usize] <= search.core.stocks[s as usize].length && !self.state.is_banned(i, s)
    }

    /// Adds an item of one copy, made of what is given.
    fn push(&mut self, length: u64, made: Made, apart: Vec<u32>) -> u32 {
        let new = self.state.length.len() as u32;
        self.state.length.push(length);
        self.state.count.push(1);
        for &other in &apart {
            self.state.apart[other as usize].push(new);
        }
        self.state.apart.push(apart);
        self.parts.push(vec![(made, 1)]);
        new
    }

    /// Takes one copy of `i` and says what it is made of.
    fn take(&mut self, i: u32) -> Made {
        self.state.count[i as usize] -= 1;
        let parts = &mut self.parts[i as usize];
        let Some((made, left)) = parts.last_mut() else { return Vec::new() };
        let made = made.clone();
        *left -= 1;
        if *left == 0 {
            parts.pop();
        }
        made
    }

    /// One copy of each glued into one item; `None` if that fits nothing.
    fn together(mut self, search: &Search<'_>, i: u32, j: u32) -> Option<Self> {
        let length = self.state.length[i as usize] + self.state.length[j as usize];
        let (one, two) = (self.take(i), self.take(j));
        let mut made: BTreeMap<u32, u64> = BTreeMap::new();
        one.into_iter().chain(two).for_each(|(o, n)| *made.entry(o).or_default() += n);
        let mut apart = self.state.apart[i as usize].clone();
        apart.extend(&self.state.apart[j as usize]);
        apart.sort_unstable();
        apart.dedup();
        let fits = (0..search.core.stocks.len()).any(|s| {
            search.core.stocks[s].length >= length
                && !self.state.is_banned(i, s as u32)
                && !self.state.is_banned(j, s as u32)
        });
        if !fits {
            return None;
        }
        let new = self.push(length, made.into_iter().collect(), apart);
        for banned in &mut self.state.banned {
            if banned.contains(&i) || banned.contains(&j) {
                banned.push(new);
            }
        }
        // Patterns with both now hold the new item; others lose what is used up.
        for column in &mut self.pool {
            let has = |k: u32| column.uses.iter().find(|u| u.0 == k).map_or(0, |u| u.1);
            let both = if i == j { has(i) > 1 } else { has(i) > 0 && has(j) > 0 };
            if both {
                for k in [i, j] {
                    column.uses.iter_mut().filter(|u| u.0 == k).for_each(|u| u.1 -= 1);
                }
                column.uses.push((new, 1));
            }
        }
        self.tidy();
        Some(self)
    }

    /// No stock holds both.
    fn apart(&self, i: u32, j: u32) -> Self {
        let mut node = Node {
            state: self.state.clone(),
            parts: self.parts.clone(),
            pool: self.pool.clone(),
            basis: self.basis.clone(),
        };
        node.state.apart[i as usize].push(j);
        if i != j {
            node.state.apart[j as usize].push(i);
        }
        for column in &mut node.pool {
            let has = |k: u32| column.uses.iter().any(|u| u.0 == k);
            if i == j {
                column.uses.iter_mut().filter(|u| u.0 == i).for_each(|u| u.1 = 1);
            } else if has(i) && has(j) {
                column.uses.retain(|u| u.0 != j);
            }
        }
        node.tidy();
        node
    }

    /// One copy of `i` is cut from stock `s`.
    fn tied(mut self, search: &Search<'_>, i: u32, s: u32) -> Self {
        let made = self.take(i);
        let new = self.push(self.state.length[i as usize], made, self.state.apart[i as usize].clone());
        for (other, banned) in self.state.banned.iter_mut().enumerate().take(search.core.stocks.len()) {
            if other as u32 != s {
                banned.push(new);
            }
        }
        for at in 0..self.pool.len() {
            if self.pool[at].stock == s && self.pool[at].uses.iter().any(|u| u.0 == i) {
                let mut column = self.pool[at].clone();
                column.uses.iter_mut().filter(|u| u.0 == i).for_each(|u| u.1 -= 1);
                column.uses.push((new, 1));
                self.pool.push(column);
            }
        }
        self.tidy();
        self
    }

    /// No copy of `i` is cut from stock `s`.
    fn banned(&self, i: u32, s: u32) -> Self {
        let mut node = Node {
            state: self.state.clone(),
            parts: self.parts.clone(),
            pool: self.pool.clone(),
            basis: self.basis.clone(),
        };
        node.state.banned[s as usize].push(i);
        node.pool.iter_mut().filter(|c| c.stock == s).for_each(|c| c.uses.retain(|u| u.0 != i));
        node.tidy();
        node
    }

    /// Makes the pool's patterns proper again and drops repeated and surplus ones; the basis comes first.
    fn tidy(&mut self) {
        let mut order: Vec<usize> = self.basis.clone();
        let mut basic = vec![false; self.pool.len()];
        self.basis.iter().for_each(|&at| basic[at] = true);
        order.extend((0..self.pool.len()).rev().filter(|&at| !basic[at]));
        let mut seen: BTreeMap<Column, ()> = BTreeMap::new();
        let mut pool = Vec::new();
        let mut basis = Vec::new();
        let most = KEPT * self.state.length.len() + 100;
        for at in order {
            let mut column = self.pool[at].clone();
            for u in &mut column.uses {
                u.1 = u.1.min(self.state.count[u.0 as usize]);
            }
            column.uses.retain(|u| u.1 > 0);
            column.uses.sort_unstable();
            if column.uses.is_empty() || pool.len() >= most || seen.insert(column.clone(), ()).is_some() {
                continue;
            }
            if basic[at] {
                basis.push(pool.len());
            }
            pool.push(column);
        }
        self.pool = pool;
        self.basis = basis;
    }
}

/// What a pattern of glued items is made of, if its items are each made in one way.
fn original(parts: &[Vec<(Made, u64)>], uses: &[(u32, u64)]) -> Option<Made> {
    let mut made: BTreeMap<u32, u64> = BTreeMap::new();
    for &(i, n) in uses {
        let [(copy, _)] = parts[i as usize].as_slice() else { return None };
        copy.iter().for_each(|&(o, m)| *made.entry(o).or_default() += m * n);
    }
    Some(made.into_iter().collect())
}
