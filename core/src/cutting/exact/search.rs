//! The order of work: heuristics, bounds, relaxation, dives, branching; first for cost, then for ties.

use std::collections::{BTreeMap, BTreeSet};

use super::bounds::{self, Aim, Prices};
use super::branch;
use super::cover::{self, Ended};
use super::dive::{self, Dive};
use super::few;
use super::fill::{self, Rest, Values};
use super::knapsack::Thorough;
use super::listing::{self, Ask};
use super::meter::Meter;
use super::reduce::{Core, Cut};
use super::relax::{self, Column, Pricing, State};
use super::{Certificate, Instance, Outcome, Pattern, Refusal};
use crate::cutting::budget::Budget;

/// Most kinds of item for which the relaxation is solved; beyond, the answer is that of the heuristics.
const MOST_ROWS: usize = 1_500;

/// Most patterns that are listed, and the steps that may take.
const MOST_LISTED: usize = 100_000;
const LISTING_STEPS: u64 = 200_000_000;

/// A search for one aim: what is best so far and what is known of it.
pub(super) struct Search<'a> {
    pub(super) core: &'a Core,
    pub(super) aim: Aim,
    pub(super) meter: Meter<'a>,
    accept: &'a mut dyn FnMut(&Pattern) -> bool,
    /// Patterns that the caller refused.
    pub(super) forbidden: BTreeSet<(u32, Vec<(u32, u64)>)>,
    judged: BTreeMap<(u32, Vec<(u32, u64)>), bool>,
    best: Option<Vec<Cut>>,
    bound: u64,
    prices: Prices,
    /// Columns of the root relaxation, for the second aim.
    pool: Vec<Column>,
    /// Those of its basis, to start from.
    basis: Vec<Column>,
}

impl Search<'_> {
    fn value(&self, cuts: &[Cut]) -> u64 {
        cuts.iter().map(|c| self.aim.value[c.stock as usize] * c.times).sum()
    }

    /// The aim of the best answer, or `u64::MAX`.
    pub(super) fn best_value(&self) -> u64 {
        self.best.as_ref().map_or(u64::MAX, |cuts| self.value(cuts))
    }

    /// What an answer must stay below to be of interest; without an answer, just above the worst that one could be.
    pub(super) fn cutoff(&self) -> u64 {
        let count: u64 = self.core.count.iter().sum();
        let worst = count.saturating_mul(self.aim.value.iter().copied().max().unwrap_or(0));
        self.best_value().min(worst.saturating_add(1))
    }

    /// Nothing better than the best can exist.
    pub(super) fn closed(&self) -> bool {
        self.best_value() <= self.bound
    }

    pub(super) fn accepts(&mut self, stock: u32, uses: &[(u32, u64)]) -> bool {
        let key = (stock, uses.to_vec());
        if let Some(&verdict) = self.judged.get(&key) {
            return verdict;
        }
        let verdict = (self.accept)(&self.core.representative(stock, uses));
        if !verdict {
            self.forbidden.insert(key.clone());
        }
        self.judged.insert(key, verdict);
        verdict
    }

    /// Takes an exact cover as the best answer if it is better and its patterns are accepted.
    pub(super) fn offer(&mut self, mut cuts: Vec<Cut>) -> bool {
        // What a pattern holds may fit a stock that adds less.
        self.cheapen(&mut cuts);
        let rank = |cuts: &[Cut]| {
            let tie: u64 = cuts.iter().map(|c| self.core.stocks[c.stock as usize].tie * c.times).sum();
            let cost: u64 = cuts.iter().map(|c| self.core.stocks[c.stock as usize].cost * c.times).sum();
            (self.value(cuts), cost, tie)
        };
        let key = rank(&cuts);
        if self.aim.cost_limit.is_some_and(|limit| key.1 > limit) {
            return false;
        }
        if self.best.as_ref().is_some_and(|best| key >= rank(best)) {
            return false;
        }
        // All verdicts are asked for, so that one offer refuses as much as it can.
        let mut fine = true;
        for cut in &cuts {
            fine &= self.accepts(cut.stock, &cut.uses);
        }
        if fine {
            self.best = Some(cuts);
            if self.aim.cost_limit.is_none() {
                self.meter.budget().reach(key.1);
            }
        }
        fine
    }

    fn cheapen(&self, cuts: &mut [Cut]) {
        if self.core.stocks.len() == 1 {
            return;
        }
        let mut left = self.core.limits();
        cuts.iter().for_each(|c| self.core.draw(c.stock as usize, c.times, &mut left));
        for cut in cuts {
            let filled: u64 = cut.uses.iter().map(|&(i, n)| self.core.length[i as usize] * n).sum();
            let now = cut.stock as usize;
            let key = |s: usize| (self.core.stocks[s].cost, self.core.stocks[s].tie);
            let fit = (0..self.core.stocks.len())
                .filter(|&s| self.core.stocks[s].length >= filled && key(s) < key(now))
                .filter(|&s| self.core.room(s, &left) >= cut.times)
                .filter(|&s| !self.forbidden.contains(&(s as u32, cut.uses.clone())))
                .min_by_key(|&s| key(s));
            if let Some(s) = fit {
                self.core.draws[now].iter().for_each(|&(k, n)| left[k] += n * cut.times);
                self.core.draw(s, cut.times, &mut left);
                cut.stock = s as u32;
            }
        }
    }

    fn raise(&mut self, bound: u64, prices: Prices) {
        if bound > self.bound || self.prices.scale == 0 {
            self.bound = bound;
            self.prices = prices;
            if self.aim.cost_limit.is_none() {
                self.meter.budget().raise(bound);
            }
        }
    }

    fn heuristics(&mut self, rounds: u64) {
        let core = self.core;
        let limits = core.limits();
        let rest =
            Rest { core, length: &core.length, count: &core.count, supply: &limits, cost_limit: self.aim.cost_limit };
        let few = core.length.len().saturating_mul(core.stocks.len()) <= 2_000_000;
        // The second aim begins with what the first has found.
        let tries: &[bool] = if self.best.is_some() { &[] } else { &[true, false] };
        for &cheap in tries {
            let needed = self.best.is_none();
            if (cheap || (few && core.stocks.len() > 1))
                && let Some(cuts) = fill::greedy(&rest, cheap, needed, &mut self.meter)
            {
                self.offer(cuts);
            }
        }
        if self.closed() || core.length.len() > MOST_ROWS || core.stocks.len() > 20 {
            return;
        }
        let mut values = Values::new(&core.length);
        for round in 0..rounds {
            if self.closed() || self.meter.spent() {
                return;
            }
            if let Some(cuts) = fill::corrected(&rest, &mut values, round, &mut self.meter) {
                self.offer(cuts);
            }
        }
    }

    /// Bounds that need no relaxation.
    fn cheap_bounds(&mut self) {
        let core = self.core;
        let (prices, held) = match core.stocks.as_slice() {
            [only] => {
                let (prices, whole) = bounds::step_prices(&core.length, &core.count, only.length);
                (prices, vec![whole])
            }
            stocks => (core.length.clone(), stocks.iter().map(|s| s.length).collect()),
        };
        if let Some(proof) = bounds::certify(core, &self.aim, prices, &held) {
            let bound = proof.bound(&core.count, &core.limits(), 0);
            self.raise(bound, proof);
        }
    }

    /// The patterns that an answer at the bound could use, if they are few.
    fn list(&mut self) -> Option<Vec<(u32, listing::Uses)>> {
        let core = self.core;
        let [stock] = core.stocks.as_slice() else { return None };
        let (unit, target) = (self.aim.value[0], self.bound);
        if !core.supplies.is_empty() || self.aim.cost_limit.is_some() || unit == 0 || self.closed() {
            return None;
        }
        let total: u64 = core.length.iter().zip(&core.count).map(|(l, c)| l * c).sum();
        let waste = (target / unit).checked_mul(stock.length)?.checked_sub(total)?;
        let gain: u128 = self.prices.item.iter().zip(&core.count).map(|(&p, &c)| u128::from(p) * u128::from(c)).sum();
        let slack = (u128::from(self.prices.scale) * u128::from(target)).checked_sub(gain)?;
        let slack = u64::try_from(slack).ok()?;
        let ask = Ask {
            length: &core.length,
            count: &core.count,
            price: &self.prices.item,
            capacity: stock.length,
            least_price: (self.prices.scale * unit).saturating_sub(slack),
            least_length: stock.length.saturating_sub(waste),
            most: MOST_LISTED,
            most_steps: LISTING_STEPS.min(self.meter.left() / 32),
        };
        let listed = listing::list(&ask, &mut self.meter)?;
        Some(listed.into_iter().map(|uses| (0, uses)).collect())
    }

    /// Whether an answer at the bound has hardly any waste in all.
    fn is_tight(&self) -> bool {
        let core = self.core;
        let [stock] = core.stocks.as_slice() else { return false };
        let total: u64 = core.length.iter().zip(&core.count).map(|(l, c)| l * c).sum();
        let bars = self.bound.checked_div(self.aim.value[0]).unwrap_or(0);
        bars.saturating_mul(stock.length).saturating_sub(total) <= stock.length / 1000
    }

    /// Searches for an answer at the bound among all patterns that it could use. Where there is none, the bound rises; `early`,
    /// not where the relaxation will show it too, which then gives a certificate. Returns whether that closes the search.
    fn cover(&mut self, early: bool) -> bool {
        let target = self.bound;
        let Some(listed) = self.list() else { return false };
        let refused = self.forbidden.len();
        let ended = cover::run(self, listed, target);
        let none = ended == Ended::Settled || (ended == Ended::AtRoot && !early);
        if none && self.forbidden.len() == refused && self.best_value() > target {
            self.bound = target + self.aim.value[0];
        }
        self.closed()
    }

    /// The search proper. Returns whether it is complete.
    fn run(&mut self, rounds: u64) -> bool {
        if self.core.length.is_empty() {
            self.best = Some(Vec::new());
            return true;
        }
        self.cheap_bounds();
        self.heuristics(rounds);
        if self.closed() {
            return true;
        }
        if self.core.length.len() > MOST_ROWS || self.meter.spent() {
            return false;
        }
        // Where hardly any waste is possible, the lengths are prices enough.
        if self.is_tight() && self.cover(true) {
            return true;
        }
        let state = State::root(self.core, &self.aim);
        let mut pool: Vec<Column> = std::mem::take(&mut self.pool);
        if pool.is_empty() {
            pool = few::patterns(self.core);
        }
        if let Some(best) = &self.best {
            let columns = || best.iter().map(|c| Column { stock: c.stock, uses: c.uses.clone() });
            if self.basis.is_empty() {
                self.basis = columns().collect();
            }
            pool.extend(columns());
        }
        pool.sort();
        pool.dedup();
        let start: Vec<usize> = self.basis.iter().filter_map(|column| pool.binary_search(column).ok()).collect();
        let relaxed = relax::relax(
            self.core,
            &self.aim,
            &state,
            &mut pool,
            &start,
            Pricing { allowed: None, thorough: Thorough::Complete, enough: f64::MIN },
            &mut self.meter,
        );
        self.pool.clone_from(&pool);
        self.basis = relaxed.basis.iter().map(|&at| pool[at].clone()).collect();
        if let Some(prices) = relaxed.prices {
            self.raise(relaxed.bound, prices);
        }
        if self.closed() {
            return true;
        }
        let dive = Dive {
            state: state.clone(),
            pool: pool.clone(),
            basis: relaxed.basis.clone(),
            fixed: Vec::new(),
            fixed_value: 0,
        };
        dive::run(self, dive, 0, 3);
        if self.closed() || self.cover(false) {
            return true;
        }
        branch::run(self, state, pool, relaxed.basis)
    }
}

/// See [`super::solve`].
pub(super) fn solve(
    instance: &Instance,
    budget: &Budget<'_>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    let core = Core::new(instance)?;
    let mut search = Search {
        core: &core,
        aim: Aim::cost(&core),
        meter: Meter::new(budget),
        accept,
        forbidden: BTreeSet::new(),
        judged: BTreeMap::new(),
        best: None,
        bound: 0,
        prices: Prices::default(),
        pool: Vec::new(),
        basis: Vec::new(),
    };
    let rounds = 20;
    let cost_proven = search.run(rounds);
    if search.best.is_none() {
        let short = cost_proven || search.bound >= search.cutoff() || supply_is_short(&core);
        return Err(if short { Refusal::Short } else { Refusal::NotFound });
    }
    let cost = search.best_value();
    let bound = search.bound.min(cost);
    let prices = std::mem::take(&mut search.prices);
    let certificate = prices.certificate(&core, instance, 0);
    let bound = if cost_proven { cost } else { bound };

    // The second aim, among answers of no more cost.
    let mut tie_certificate: Option<Certificate> = None;
    let mut tie_bound = 0;
    let mut tie_proven = true;
    if core.stocks.iter().any(|s| s.tie > 0) {
        search.aim = Aim::tie(&core, cost);
        search.bound = 0;
        tie_proven = search.run(0);
        let tie = search.best_value();
        tie_bound = if tie_proven { tie } else { search.bound.min(tie) };
        tie_certificate = Some(search.prices.certificate(&core, instance, cost));
    }
    let nodes = search.meter.nodes();
    let cuts = search.best.take().unwrap_or_default();
    let total = |f: fn(&super::Stock) -> u64| cuts.iter().map(|c| f(&core.stocks[c.stock as usize]) * c.times).sum();
    let (cost, tie) = (total(|s| s.cost), total(|s| s.tie));
    Ok(Outcome {
        patterns: core.restore(&cuts),
        cost,
        tie,
        bound,
        tie_bound,
        certificate,
        tie_certificate,
        cost_proven,
        proven: cost_proven && tie_proven,
        nodes,
    })
}

/// See [`super::solve_within`].
pub(super) fn solve_within(
    instance: &Instance,
    most: u64,
    budget: &Budget<'_>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    let core = Core::new(instance)?;
    let mut search = Search {
        core: &core,
        aim: Aim::tie(&core, most),
        meter: Meter::new(budget),
        accept,
        forbidden: BTreeSet::new(),
        judged: BTreeMap::new(),
        best: None,
        bound: 0,
        prices: Prices::default(),
        pool: Vec::new(),
        basis: Vec::new(),
    };
    let proven = search.run(20);
    let cuts = search.best.take().ok_or(Refusal::NotFound)?;
    let total = |f: fn(&super::Stock) -> u64| cuts.iter().map(|c| f(&core.stocks[c.stock as usize]) * c.times).sum();
    let (cost, tie): (u64, u64) = (total(|s| s.cost), total(|s| s.tie));
    Ok(Outcome {
        patterns: core.restore(&cuts),
        cost,
        tie,
        bound: 0,
        tie_bound: if proven { tie } else { search.bound.min(tie) },
        certificate: Certificate::default(),
        tie_certificate: Some(search.prices.certificate(&core, instance, most)),
        cost_proven: false,
        proven,
        nodes: search.meter.nodes(),
    })
}

/// Whether the material that is there is less than what is wanted.
fn supply_is_short(core: &Core) -> bool {
    let wanted: u128 = core.length.iter().zip(&core.count).map(|(&l, &c)| u128::from(l) * u128::from(c)).sum();
    if core.draws.iter().any(Vec::is_empty) {
        return false;
    }
    // Every stock draws on some supply, whose units then hold its length.
    let held = core.supplies.iter().map(|supply| {
        let drawing = core.stocks.iter().zip(&supply.draws).filter(|&(_, &n)| n > 0);
        let each = drawing.map(|(s, &n)| (u128::from(s.length) * u128::from(supply.limit)).div_ceil(u128::from(n)));
        each.max().unwrap_or(0)
    });
    held.sum::<u128>() < wanted
}
