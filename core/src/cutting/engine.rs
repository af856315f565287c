//! First fit over chains, with the material bound.

use super::problem::Effort;

pub(super) struct Stock {
    pub(super) length: u64,
    pub(super) cost: u64,
    pub(super) supply: Option<u64>,
}

pub(super) struct Item {
    pub(super) length: u64,
    pub(super) count: u64,
}

pub(super) struct Instance {
    pub(super) stocks: Vec<Stock>,
    pub(super) items: Vec<Item>,
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern {
    pub(super) stock: usize,
    pub(super) uses: Vec<(usize, u64)>,
    pub(super) times: u64,
}

pub(super) struct Outcome {
    pub(super) patterns: Vec<Pattern>,
    pub(super) proven: bool,
    pub(super) prices: Vec<u64>,
    pub(super) scale: u64,
    pub(super) nodes: u64,
}

pub(super) struct Infeasible;

/// Packs each item, longest first, where it costs least more: into an open pattern, or into one that it makes longer.
pub(super) fn solve(
    instance: &Instance,
    _effort: &Effort,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Infeasible> {
    let mut order: Vec<usize> = (0..instance.items.len()).collect();
    order.sort_by_key(|&item| std::cmp::Reverse(instance.items[item].length));
    let mut open: Vec<Pattern> = Vec::new();
    let mut used = vec![0_u64; instance.stocks.len()];
    for item in order {
        for _ in 0..instance.items[item].count {
            let mut best: Option<(u64, u64, usize, Pattern)> = None;
            for at in 0..=open.len() {
                let blank = Pattern { stock: usize::MAX, uses: Vec::new(), times: 1 };
                let base = open.get(at).unwrap_or(&blank);
                let mut uses = base.uses.clone();
                match uses.last_mut() {
                    Some(last) if last.0 == item => last.1 += 1,
                    _ => uses.push((item, 1)),
                }
                let need: u64 = uses.iter().map(|&(item, count)| instance.items[item].length * count).sum();
                let paid = instance.stocks.get(base.stock).map_or(0, |stock| stock.cost);
                for (kind, stock) in instance.stocks.iter().enumerate() {
                    let more = stock.cost.saturating_sub(paid);
                    let room = stock.supply.is_none_or(|supply| kind == base.stock || used[kind] < supply);
                    let better = best
                        .as_ref()
                        .is_none_or(|&(cost, waste, ..)| (more, stock.length.wrapping_sub(need)) < (cost, waste));
                    if stock.length >= need && room && better {
                        let grown = Pattern { stock: kind, uses: uses.clone(), times: 1 };
                        if accept(&grown) {
                            best = Some((more, stock.length - need, at, grown));
                        }
                    }
                }
            }
            let (.., at, grown) = best.ok_or(Infeasible)?;
            used[grown.stock] += 1;
            if let Some(old) = open.get_mut(at) {
                used[old.stock] -= 1;
                *old = grown;
            } else {
                open.push(grown);
            }
        }
    }
    Ok(Outcome { patterns: open, proven: false, prices: vec![0; instance.items.len()], scale: 1, nodes: 0 })
}
