//! The pattern relaxation of a state of the search, by column generation (Gilmore and Gomory 1961, 1963).
//!
//! Duals become integer prices, shrunk by some parts in 10^9 so that rounding cannot leave a known pattern above its
//! threshold. Pricing is exact in integers: when it finds nothing, the prices prove the bound.

use super::bounds::{Aim, Prices};
use super::knapsack::{self, Allowed, Load, Target, Thorough};
use super::lp::Lp;
use super::meter::Meter;
use super::reduce::Core;

/// A pattern on the items of a [`State`].
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column {
    pub(super) stock: u32,
    pub(super) uses: Vec<(u32, u64)>,
}

/// What is left to cut, and under which limits.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub(super) length: Vec<u64>,
    pub(super) count: Vec<u64>,
    /// For each item, the items that must not share a stock with it.
    pub(super) apart: Vec<Vec<u32>>,
    /// For each stock, the items that must not be cut from it.
    pub(super) banned: Vec<Vec<u32>>,
    /// What is left of each supply.
    pub(super) supply: Vec<u64>,
    pub(super) cost_limit: Option<u64>,
}

impl State {
    pub(super) fn root(core: &Core, aim: &Aim) -> Self {
        State {
            length: core.length.clone(),
            count: core.count.clone(),
            apart: vec![Vec::new(); core.length.len()],
            banned: vec![Vec::new(); core.stocks.len()],
            supply: core.limits(),
            cost_limit: aim.cost_limit,
        }
    }

    /// Whether no item of the pattern is used more often than it is wanted, and its stock is still there.
    pub(super) fn admits(&self, core: &Core, column: &Column) -> bool {
        !column.uses.is_empty()
            && column.uses.iter().all(|&(i, n)| n <= self.count[i as usize])
            && core.room(column.stock as usize, &self.supply) > 0
    }

    pub(super) fn is_banned(&self, item: u32, stock: u32) -> bool {
        self.banned[stock as usize].contains(&item)
    }

    pub(super) fn is_done(&self) -> bool {
        self.count.iter().all(|&c| c == 0)
    }
}

/// How patterns are searched for.
#[derive(Clone, Copy)]
pub(super) struct Pricing<'a> {
    /// Which patterns may be used; `None` for all.
    pub(super) allowed: Option<Allowed<'a>>,
    pub(super) thorough: Thorough,
    /// Columns need not be sought once the fractional solution is worth no more than this.
    pub(super) enough: f64,
}

/// A solved relaxation.
pub(super) struct Relaxed {
    /// Columns of the pool in the solution, with their levels, all above zero.
    pub(super) levels: Vec<(usize, f64)>,
    /// The columns of the final basis, to start the next from.
    pub(super) basis: Vec<usize>,
    /// The proof of `bound`, if pricing ended.
    pub(super) prices: Option<Prices>,
    /// No completion of the state adds less than this to the aim.
    pub(super) bound: u64,
    /// The aim of the fractional solution: no bound, but near it.
    pub(super) value: f64,
    /// Ended because the solution was worth no more than was asked.
    pub(super) enough: bool,
    /// The fractional solution leaves demand unmet: no completion may exist.
    pub(super) short: bool,
}

/// Greatest price of one stock.
const WHOLE: u64 = 1 << 40;

/// Solves the relaxation of `state`; columns found are added to `pool`.
pub(super) fn relax(
    core: &Core,
    aim: &Aim,
    state: &State,
    pool: &mut Vec<Column>,
    start: &[usize],
    pricing: Pricing<'_>,
    meter: &mut Meter<'_>,
) -> Relaxed {
    let Pricing { allowed, thorough, enough } = pricing;
    let kinds = state.length.len();
    // Rows: items still wanted, supplies, the limit on cost.
    let mut row_of = vec![u32::MAX; kinds];
    let mut rhs = Vec::new();
    let mut sense = Vec::new();
    for (row, i) in row_of.iter_mut().zip(0..kinds) {
        if state.count[i] > 0 {
            *row = rhs.len() as u32;
            rhs.push(state.count[i] as f64);
            sense.push(true);
        }
    }
    let first_supply = rhs.len() as u32;
    for &left in &state.supply {
        rhs.push(left as f64);
        sense.push(false);
    }
    let dearest = core.stocks.iter().map(|s| s.cost).max().unwrap_or(1).max(1) as f64;
    let cost_row = state.cost_limit.map(|limit| {
        rhs.push(limit as f64 / dearest);
        sense.push(false);
        rhs.len() as u32 - 1
    });
    let unit = aim.value.iter().copied().max().unwrap_or(1).max(1);
    let widest = core.stocks.iter().map(|s| s.length).max().unwrap_or(0);
    let most: Vec<u64> = (0..kinds)
        .map(|i| {
            let alone = if state.apart[i].contains(&(i as u32)) { 1 } else { u64::MAX };
            state.count[i].min(widest / state.length[i].max(1)).min(alone)
        })
        .collect();
    // Prices of what one stock can hold must add up in 64 bits, also while artificial costs are in the duals.
    let at_once: u64 = (widest / state.length.iter().copied().min().unwrap_or(1).max(1)).min(most.iter().sum()).max(1);
    let dearest_price = (1_u64 << 61) / at_once;
    let whole = WHOLE.min(dearest_price >> 14).max(1);
    let scale = (whole / unit).max(1);
    let mut lp = Lp::new(&rhs, &sense);
    let mut lp_of = vec![usize::MAX; pool.len()];
    let mut pool_of = vec![usize::MAX; rhs.len()];
    let entries = |column: &Column| {
        let mut entries: Vec<(u32, f64)> = column
            .uses
            .iter()
            .filter(|&&(i, _)| row_of[i as usize] != u32::MAX)
            .map(|&(i, n)| (row_of[i as usize], n as f64))
            .collect();
        let s = column.stock as usize;
        entries.extend(core.draws[s].iter().map(|&(k, n)| (first_supply + k as u32, n as f64)));
        if let Some(row) = cost_row {
            entries.push((row, core.stocks[s].cost as f64 / dearest));
        }
        (entries, aim.value[s] as f64 / unit as f64)
    };
    for (at, column) in pool.iter().enumerate() {
        if state.admits(core, column) {
            let (e, cost) = entries(column);
            lp_of[at] = lp.add(e, cost);
            pool_of.resize(lp_of[at] + 1, usize::MAX);
            pool_of[lp_of[at]] = at;
        }
    }
    let first: Vec<usize> = start.iter().map(|&at| lp_of[at]).filter(|&c| c != usize::MAX).collect();
    lp.start(&first);

    let want = (kinds / 4).clamp(8, 60);
    let mut shrink = 4.0e-9;
    let mut prices = None;
    let mut bound = 0;
    let mut is_enough = false;

    loop {
        lp.solve();
        meter.spend(lp.take_work());
        if meter.spent() {
            break;
        }
        if lp.value() * unit as f64 <= enough {
            is_enough = true;
            break;
        }
        let dual = lp.duals();
        let to_price = |y: f64| -> u64 {
            let p = (y * (1.0 - shrink) - shrink * 0.05) * unit as f64 * scale as f64;
            if p <= 0.0 { 0 } else { (p as u64).min(dearest_price) }
        };
        let item: Vec<u64> =
            (0..kinds).map(|i| if row_of[i] == u32::MAX { 0 } else { to_price(dual[row_of[i] as usize]) }).collect();
        let limit_price = |row: u32| -> u64 {
            let y = -dual[row as usize];
            if y <= 1.0e-12 { 0 } else { (y * unit as f64 * scale as f64) as u64 + 1 }
        };
        let supply: Vec<u64> = (0..state.supply.len()).map(|k| limit_price(first_supply + k as u32)).collect();
        let cost = cost_row.map_or(0, |row| {
            let y = -dual[row as usize];
            if y <= 1.0e-12 { 0 } else { (y * unit as f64 * scale as f64 / dearest) as u64 + 1 }
        });
        let targets: Vec<Target> = (0..core.stocks.len())
            .filter(|&s| core.room(s, &state.supply) > 0)
            .map(|s| Target {
                stock: s as u32,
                capacity: core.stocks[s].length,
                threshold: core.draws[s].iter().fold(
                    (aim.value[s].saturating_mul(scale)).saturating_add(cost.saturating_mul(core.stocks[s].cost)),
                    |sum, &(k, n)| sum.saturating_add(supply[k].saturating_mul(n)),
                ),
            })
            .collect();
        let load =
            Load { length: &state.length, most: &most, price: &item, apart: &state.apart, banned: &state.banned };
        let mut haul = knapsack::search(&load, &targets, want, Thorough::Quick, allowed, meter);
        if haul.finds.is_empty() && !haul.complete && thorough == Thorough::Complete {
            haul = knapsack::search(&load, &targets, want, Thorough::Complete, allowed, meter);
        }
        if haul.finds.is_empty() {
            if haul.complete {
                let proof = Prices { item, scale, supply, cost };
                bound = proof.bound(&state.count, &state.supply, state.cost_limit.unwrap_or(0));
                prices = Some(proof);
            }
            break;
        }
        let mut fresh = false;
        for find in haul.finds {
            let column = Column { stock: find.stock, uses: find.uses };
            // Only a column that the program already holds can be found again; then rounding is to blame.
            let (e, cost) = entries(&column);
            let rounding = find.excess <= whole >> 20;
            let known = rounding && lp_of.iter().zip(pool.iter()).any(|(&c, p)| c != usize::MAX && *p == column);
            if known {
                continue;
            }
            fresh = true;
            let at = lp.add(e, cost);
            pool_of.resize(at + 1, usize::MAX);
            pool_of[at] = pool.len();
            lp_of.push(at);
            pool.push(column);
        }
        if !fresh {
            shrink *= 10.0;
            if shrink > 1.0e-3 {
                break;
            }
        }
    }
    let proper = |c: usize| pool_of.get(c).copied().filter(|&at| at != usize::MAX);
    let levels = lp.levels().filter(|&(_, x)| x > 1.0e-6).filter_map(|(c, x)| proper(c).map(|at| (at, x))).collect();
    let basis = lp.levels().filter_map(|(c, _)| proper(c)).collect();
    let value = lp.value() * unit as f64;
    Relaxed { levels, basis, prices, bound, value, enough: is_enough, short: lp.shortfall() > 1.0e-4 }
}
