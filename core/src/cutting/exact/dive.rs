//! Diving: fix patterns of the fractional solution, solve what is left again with new columns, until nothing is left.
//!
//! The whole parts of the levels are fixed first, then the most nearly whole pattern is rounded up. A few
//! discrepancies from that choice are allowed near the top (limited discrepancy search; Sadykov, Vanderbeck, Pessoa,
//! Tahiri and Uchoa 2019, Primal heuristics for branch and price).

use super::fill::{self, Rest};
use super::knapsack::Thorough;
use super::reduce::Cut;
use super::relax::{self, Column, Pricing, State};
use super::search::Search;

/// Most levels of the dive at which another choice is tried.
const DEEPEST_CHOICE: usize = 4;

/// One dive and what it has fixed so far.
pub(super) struct Dive {
    pub(super) state: State,
    pub(super) pool: Vec<Column>,
    pub(super) basis: Vec<usize>,
    pub(super) fixed: Vec<Cut>,
    pub(super) fixed_value: u64,
}

impl Dive {
    /// Fixes `times` of `column`.
    fn fix(&mut self, search: &Search<'_>, column: &Column, times: u64) {
        let s = column.stock as usize;
        for &(i, n) in &column.uses {
            self.state.count[i as usize] -= n * times;
        }
        search.core.draw(s, times, &mut self.state.supply);
        if let Some(limit) = &mut self.state.cost_limit {
            *limit -= search.core.stocks[s].cost * times;
        }
        self.fixed_value += search.aim.value[s] * times;
        self.fixed.push(Cut { stock: column.stock, uses: column.uses.clone(), times });
    }

    /// Most times `column` may be fixed.
    fn room(&self, search: &Search<'_>, column: &Column) -> u64 {
        let s = column.stock as usize;
        let items = column.uses.iter().map(|&(i, n)| self.state.count[i as usize] / n).min().unwrap_or(0);
        let supply = search.core.room(s, &self.state.supply);
        let cost = search.core.stocks[s].cost;
        let budget = self.state.cost_limit.and_then(|limit| limit.checked_div(cost)).unwrap_or(u64::MAX);
        items.min(supply).min(budget)
    }

    /// Completes what is fixed by the greedy heuristic and offers it.
    fn complete(&self, search: &mut Search<'_>) {
        let rest = Rest {
            core: search.core,
            length: &self.state.length,
            count: &self.state.count,
            supply: &self.state.supply,
            cost_limit: self.state.cost_limit,
        };
        if let Some(more) = fill::greedy(&rest, false, false, &mut search.meter) {
            let mut cuts = self.fixed.clone();
            cuts.extend(more);
            search.offer(cuts);
        }
    }
}

/// Dives from `dive`; offers every answer found. `choices` is the number of discrepancies still allowed.
/// Returns true once the search is over (nothing better can exist, or the effort is spent).
pub(super) fn run(search: &mut Search<'_>, mut dive: Dive, depth: usize, mut choices: usize) -> bool {
    let mut shunned: Vec<Column> = Vec::new();
    loop {
        if search.closed() {
            return true;
        }
        if !search.meter.enter() {
            return true;
        }
        let forbidden = &search.forbidden;
        let shun = |stock: u32, uses: &[(u32, u64)]| {
            !shunned.iter().any(|c| c.stock == stock && c.uses == uses) && !forbidden.contains(&(stock, uses.to_vec()))
        };
        let free = shunned.is_empty() && forbidden.is_empty();
        let allowed: Option<super::knapsack::Allowed<'_>> = if free { None } else { Some(&shun) };
        let relaxed = relax::relax(
            search.core,
            &search.aim,
            &dive.state,
            &mut dive.pool,
            &dive.basis,
            Pricing { allowed, thorough: Thorough::Quick, enough: f64::MIN },
            &mut search.meter,
        );
        // No proof is wanted here: the value of the fractional solution tells well enough whether to go on.
        let hope = dive.fixed_value.saturating_add((relaxed.value - 1.0e-4).max(0.0).ceil() as u64);
        if relaxed.short || hope >= search.best_value() || search.meter.spent() {
            return search.meter.spent();
        }
        dive.basis = relaxed.basis;
        let mut levels: Vec<(usize, f64)> = relaxed.levels;
        // Most nearly whole first; among equals the fuller pattern, then the order of finding.
        let filled = |pool: &[Column], at: usize, state: &State| -> u64 {
            pool[at].uses.iter().map(|&(i, n)| state.length[i as usize] * n).sum()
        };
        let before = dive.fixed.len();
        for &mut (at, ref mut x) in &mut levels {
            let whole = (*x + 1.0e-5) as u64;
            let column = dive.pool[at].clone();
            let times = whole.min(dive.room(search, &column));
            if times > 0 {
                if !search.accepts(column.stock, &column.uses) {
                    continue;
                }
                dive.fix(search, &column, times);
            }
            *x -= whole as f64;
        }
        let any_whole = dive.fixed.len() > before;
        if dive.state.is_done() {
            let cuts = dive.fixed.clone();
            search.offer(cuts);
            return search.closed();
        }
        if any_whole {
            dive.complete(search);
            if search.closed() {
                return true;
            }
        }
        levels.retain(|&(at, x)| x > 1.0e-5 && dive.room(search, &dive.pool[at]) > 0);
        let key =
            |&(at, x): &(usize, f64)| ((x * 1.0e6) as u64, filled(&dive.pool, at, &dive.state), std::cmp::Reverse(at));
        levels.sort_by_key(|l| std::cmp::Reverse(key(l)));
        let mut picked = None;
        for &(at, _) in &levels {
            let column = dive.pool[at].clone();
            if search.accepts(column.stock, &column.uses) {
                picked = Some(column);
                break;
            }
            dive.pool[at].uses.clear();
        }
        let Some(column) = picked else {
            if any_whole {
                shunned.clear();
                continue;
            }
            return false;
        };
        if depth < DEEPEST_CHOICE && choices > 0 {
            // Follow the first choice to its end, then come back and shun it.
            let mut child = Dive {
                state: dive.state.clone(),
                pool: dive.pool.clone(),
                basis: dive.basis.clone(),
                fixed: dive.fixed.clone(),
                fixed_value: dive.fixed_value,
            };
            child.fix(search, &column, 1);
            child.complete(search);
            if run(search, child, depth + 1, choices) {
                return true;
            }
            choices -= 1;
            for c in &mut dive.pool {
                if *c == column {
                    c.uses.clear();
                }
            }
            shunned.push(column);
        } else {
            dive.fix(search, &column, 1);
            dive.complete(search);
            shunned.clear();
        }
    }
}
