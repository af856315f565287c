//! Bars of which there are only so many, when several kinds of chain draw on them.
//!
//! The engine limits each kind of chain by itself. Where its answer draws more bars of a kind than there are, the
//! search branches on how often one chain is made: less often than now, or at least that often, which leaves less
//! for the others. Each branch lowers a limit or raises a floor, so that the search ends.

use super::budget::Budget;
use super::exact::{self, Instance, Outcome, Pattern, Refusal};
use super::model::Model;
use super::stock::Offer;

/// Most branches looked at.
const MOST: u32 = 24;

/// The best answer that was found.
pub(super) struct Solved {
    pub(super) outcome: Outcome,
    /// Whether every branch was gone through.
    pub(super) complete: bool,
}

/// Why there is no answer.
pub(super) enum NoAnswer {
    /// The bars on hand do not suffice.
    Short,
    /// None was found within the effort.
    Found,
}

/// The engine's best answer that the bars on hand allow, if there is one.
pub(super) fn solve(
    model: &Model,
    offer: &Offer,
    mut instance: Instance,
    budget: &Budget<'_>,
    within: Option<u64>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Solved, NoAnswer> {
    let limited = model.kinds.iter().any(|kind| kind.available.is_some());
    let mut engine = |instance: &Instance, spent: u64| {
        // One budget for all branches, of which none may take more than half of what is left.
        let left = budget.nodes.saturating_sub(spent);
        let part = budget.with_nodes(if spent == 0 { left } else { left / 2 });
        let part = if limited { part.quiet() } else { part };
        match within {
            Some(most) => exact::solve_within(instance, most, &part, accept),
            None => exact::solve_on(instance, &part, accept),
        }
    };
    // How often each kind of chain is made.
    let made = |outcome: &Outcome| {
        let mut made = vec![0_u64; offer.stocks.len()];
        outcome.patterns.iter().for_each(|pattern| made[pattern.stock] += pattern.times);
        made
    };
    // What is made least, in order.
    let value = |outcome: &Outcome| match within {
        Some(_) => (outcome.tie, outcome.cost),
        None => (outcome.cost, outcome.tie),
    };
    if !limited {
        let outcome = engine(&instance, 0).map_err(|_| NoAnswer::Found)?;
        return Ok(Solved { outcome, complete: true });
    }
    let mut limits: Vec<Limit> = (0..model.kinds.len()).filter_map(|kind| limit(model, offer, kind)).collect();
    limits.retain(|limit| !limit.draws.is_empty());
    let mut best: Option<Outcome> = None;
    let mut root: Option<Outcome> = None;
    let mut complete = true;
    let most: Vec<Option<u64>> = instance.stocks.iter().map(|stock| stock.supply).collect();
    let mut open = vec![Node { most, least: vec![0; instance.stocks.len()] }];
    let (mut calls, mut nodes) = (0, 0);
    while let Some(node) = open.pop() {
        if calls == MOST {
            complete = false;
            break;
        }
        calls += 1;
        for (stock, &most) in instance.stocks.iter_mut().zip(&node.most) {
            stock.supply = most;
        }
        let outcome = match engine(&instance, nodes) {
            Ok(outcome) => outcome,
            Err(Refusal::Short | Refusal::TooLong(_)) => continue,
            Err(_) => {
                complete = false;
                continue;
            }
        };
        nodes += outcome.nodes;
        complete &= outcome.proven;
        let hopeless = best.as_ref().is_some_and(|best| outcome.proven && value(best) <= value(&outcome));
        let made_now = made(&outcome);
        let over = limits.iter().find(|limit| !limit.allows(&made_now));
        if root.is_none() {
            root = Some(outcome.clone());
            if over.is_some() {
                // No chain but single bars on hand: seldom best, but always possible.
                for (stock, offered) in instance.stocks.iter_mut().zip(&offer.stocks) {
                    let bars: u32 = offered.bars.iter().sum();
                    if bars > 1 && stock.supply.is_some() {
                        stock.supply = Some(0);
                    }
                }
                let plain = engine(&instance, nodes).ok();
                calls += 1;
                nodes += plain.as_ref().map_or(0, |plain| plain.nodes);
                best = plain.filter(|plain| limits.iter().all(|limit| limit.allows(&made(plain))));
            }
        }
        if hopeless {
            continue;
        }
        let Some(over) = over else {
            if best.as_ref().is_none_or(|best| value(&outcome) < value(best)) {
                best = Some(outcome);
            }
            continue;
        };
        let Some(&(stock, _)) = over
            .draws
            .iter()
            .filter(|&&(stock, _)| made_now[stock] > node.least[stock])
            .max_by_key(|&&(stock, each)| (made_now[stock] * each, stock))
        else {
            continue;
        };
        let mut fewer = Node { most: node.most.clone(), least: node.least.clone() };
        fewer.most[stock] = Some(made_now[stock] - 1);
        if fewer.least[stock] < made_now[stock] {
            open.push(fewer);
        }
        let mut enough = node;
        enough.least[stock] = made_now[stock];
        if limits.iter().all(|limit| limit.tighten(&mut enough)) {
            open.push(enough);
        }
    }
    let (Some(mut best), Some(root)) = (best, root) else {
        return Err(if complete { NoAnswer::Short } else { NoAnswer::Found });
    };
    // The first node bounds every other, with certificates for the limits as they are.
    best.nodes = nodes;
    best.bound = root.bound;
    best.certificate = root.certificate;
    let same = root.cost == best.cost;
    best.tie_bound = if same { root.tie_bound } else { 0 };
    best.tie_certificate = root.tie_certificate.filter(|_| same);
    best.cost_proven = complete;
    best.proven = complete;
    Ok(Solved { outcome: best, complete })
}

/// How often each kind of chain may be made in a branch.
struct Node {
    most: Vec<Option<u64>>,
    least: Vec<u64>,
}

/// A kind of bar of which there are only so many.
struct Limit {
    have: u64,
    /// Kinds of chain that use it, and how many in each.
    draws: Vec<(usize, u64)>,
}

impl Limit {
    fn drawn(&self, made: &[u64]) -> u128 {
        self.draws.iter().map(|&(stock, each)| u128::from(made[stock]) * u128::from(each)).sum()
    }

    fn allows(&self, made: &[u64]) -> bool {
        self.drawn(made) <= u128::from(self.have)
    }

    /// Lowers each chain's limit to what the others' floors leave; false if they leave too little.
    fn tighten(&self, node: &mut Node) -> bool {
        let floor = self.drawn(&node.least);
        for &(stock, each) in &self.draws {
            let own = u128::from(node.least[stock]) * u128::from(each);
            let Some(left) = u128::from(self.have).checked_sub(floor - own) else { return false };
            let most = u64::try_from(left / u128::from(each)).unwrap_or(u64::MAX);
            let most = node.most[stock].map_or(most, |before| before.min(most));
            if most < node.least[stock] {
                return false;
            }
            node.most[stock] = Some(most);
        }
        true
    }
}

fn limit(model: &Model, offer: &Offer, kind: usize) -> Option<Limit> {
    let have = model.kinds[kind].available?;
    // Bars taken off long runs are drawn whatever the chains are.
    let have = have.saturating_sub(if model.kinds.len() == 1 { model.peeled_bars() } else { 0 });
    let stocks = offer.stocks.iter().enumerate();
    let draws = stocks.filter(|(_, stock)| stock.bars[kind] > 0).map(|(at, stock)| (at, u64::from(stock.bars[kind])));
    Some(Limit { have, draws: draws.collect() })
}
