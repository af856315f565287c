//! One long offcut rather than several short: among answers that are equal in both aims.
//!
//! A chain with a long offcut is emptied into the others: its runs and those of another chain are dealt out
//! anew so that the other is as full as can be. What both are cut from stays the same, and so do both aims. This is a local
//! search over pairs of chains, each a small subset sum, and finds no proof.

use super::layout::{Laid, Verdict};
use super::model::Model;
use super::search::{Found, Made, task};

/// Turns through all pairs.
const TURNS: usize = 3;
/// Sums of runs kept for one pair, and looked at for all.
const MOST_SUMS: usize = 512;
const MOST_WORK: usize = 60_000;
/// Chains laid out for all pairs: fewer where a layout may take long.
const MOST_LAYOUTS: usize = 200;
const MOST_LAYOUTS_ON_SITE: usize = 24;
/// Chains tried as the one that is emptied.
const TARGETS: usize = 4;

/// Rearranges the chains for a longer longest offcut, if that is possible at no cost and leaves `least_useful` or more.
pub(super) fn gather(model: &Model, least_useful: i64, found: &mut Found) {
    let longest = model.kinds.iter().map(|kind| kind.usable).max().unwrap_or(0);
    let spare = |made: &Made| spare(model, made).max(0).saturating_mul(i64::try_from(made.times).unwrap_or(i64::MAX));
    let most = found.chains.iter().map(spare).fold(0, i64::saturating_add).min(longest - 1);
    let mut order: Vec<usize> = (0..found.chains.len()).collect();
    order.sort_by_key(|&at| std::cmp::Reverse(longest_offcut(model, &found.chains[at])));
    let Some(&first) = order.first() else { return };
    let begun = longest_offcut(model, &found.chains[first]);
    if most <= begun || most < least_useful {
        return;
    }
    let layouts = if model.bound_by_site() { MOST_LAYOUTS_ON_SITE } else { MOST_LAYOUTS };
    let mut left = Left { work: MOST_WORK, layouts };
    let mut best = (begun, None);
    for &target in order.iter().take(TARGETS) {
        let mut chains = found.chains.clone();
        let have = empty(model, &mut chains, target, most, &mut left);
        if have > best.0 {
            best = (have, Some(chains));
        }
    }
    if let (_, Some(chains)) = best {
        found.chains = chains;
    }
}

/// What may still be spent.
struct Left {
    work: usize,
    layouts: usize,
}

/// Empties one chain into the others; says how long its longest offcut then is.
fn empty(model: &Model, chains: &mut Vec<Made>, mut target: usize, most: i64, left: &mut Left) -> i64 {
    if chains[target].times > 1 {
        let alone = Made { times: 1, ..chains[target].clone() };
        chains[target].times -= 1;
        target = chains.len();
        chains.push(alone);
    }
    let mut have = longest_offcut(model, &chains[target]);
    for _ in 0..TURNS {
        let before = have;
        for other in 0..chains.len() {
            if other == target || have >= most || left.work == 0 || left.layouts == 0 {
                continue;
            }
            let Some(dealt) = deal(model, &chains[other], &chains[target], have, left) else { continue };
            let (full, empty, longer) = dealt;
            if chains[other].times > 1 {
                chains[other].times -= 1;
                chains.push(full);
            } else {
                chains[other] = full;
            }
            (chains[target], have) = (empty, longer);
        }
        if have == before {
            break;
        }
    }
    have
}

/// Deals the runs of two chains out anew so that the first is fuller and the second has an offcut longer than `have`.
fn deal(model: &Model, full: &Made, empty: &Made, have: i64, left: &mut Left) -> Option<(Made, Made, i64)> {
    let runs: Vec<usize> = full.runs.iter().chain(&empty.runs).copied().collect();
    // A bar from which nothing is cut is not bought: to use it would cost.
    if runs.len() > 64 || full.cut.iter().chain(&empty.cut).any(Vec::is_empty) {
        return None;
    }
    let (room, other) = (capacity(model, full), capacity(model, empty));
    let size = |item: usize| i64::try_from(model.size(item)).unwrap_or(i64::MAX);
    let total: i64 = runs.iter().map(|&item| size(item)).sum();
    let now: i64 = full.runs.iter().map(|&item| size(item)).sum();
    // Sums of runs that fit, each with the runs it is made of.
    let mut sums: Vec<(i64, u64)> = vec![(0, 0)];
    for (at, &item) in runs.iter().enumerate() {
        let longer: Vec<(i64, u64)> =
            sums.iter().map(|&(sum, of)| (sum + size(item), of | 1 << at)).filter(|&(sum, _)| sum <= room).collect();
        left.work = left.work.saturating_sub(longer.len());
        sums = merge(&sums, &longer);
        if sums.len() > MOST_SUMS {
            let mut at = 0;
            sums.retain(|_| {
                at += 1;
                at % 2 == 0
            });
        }
    }
    let joints = |made: &Made| made.cut.iter().map(Vec::len).sum::<usize>() - made.runs.len();
    let allowed = joints(full) + joints(empty);
    for &(sum, of) in sums.iter().rev().take(3).take_while(|(sum, _)| *sum > now) {
        if total - sum > other || total == sum || left.layouts == 0 {
            continue;
        }
        left.layouts -= 1;
        let part = |inside: bool| {
            let chosen = runs.iter().enumerate().filter(move |(at, _)| (of >> at & 1 == 1) == inside);
            chosen.map(|(_, &item)| item).collect::<Vec<_>>()
        };
        let made = (lay_out(model, full, part(true)), lay_out(model, empty, part(false)));
        if let (Some(full), Some(empty)) = made
            && joints(&full) + joints(&empty) <= allowed
            && longest_offcut(model, &empty) > have
        {
            let longer = longest_offcut(model, &empty);
            return Some((full, empty, longer));
        }
    }
    None
}

/// Two rising lists of sums as one, each sum once.
fn merge(a: &[(i64, u64)], b: &[(i64, u64)]) -> Vec<(i64, u64)> {
    let mut both = Vec::with_capacity(a.len() + b.len());
    let (mut a, mut b) = (a.iter().peekable(), b.iter().peekable());
    loop {
        let next = match (a.peek(), b.peek()) {
            (Some(one), Some(two)) if one.0 == two.0 => {
                b.next();
                a.next()
            }
            (Some(one), Some(two)) if one.0 < two.0 => a.next(),
            (Some(_), None) => a.next(),
            _ => b.next(),
        };
        match next {
            Some(&next) => both.push(next),
            None => return both,
        }
    }
}

/// Other runs cut from what a chain is cut from, with the whole bars of long runs that come with them.
fn lay_out(model: &Model, of: &Made, mut runs: Vec<usize>) -> Option<Made> {
    runs.sort_unstable();
    let peeled = |runs: &[usize]| runs.iter().map(|&item| model.items[item].peeled as usize).sum::<usize>();
    let mut bars = of.bars.clone();
    if let Some(&kind) = bars.first() {
        bars.resize(bars.len() + peeled(&runs) - peeled(&of.runs), kind);
    }
    let joints = bars.len() as u64 - 1;
    match task(model, &bars, &runs).lay_out(joints) {
        Verdict::Laid(cut) if cut.iter().all(|pieces| !pieces.is_empty()) => Some(Made { times: 1, bars, runs, cut }),
        _ => None,
    }
}

/// How much a chain holds by length, without the whole bars of long runs: runs count with [`Model::size`].
fn capacity(model: &Model, made: &Made) -> i64 {
    spare(model, made) + made.runs.iter().map(|&item| i64::try_from(model.size(item)).unwrap_or(i64::MAX)).sum::<i64>()
}

/// What a chain's bars hold beyond its runs when they are joined as a tree.
fn spare(model: &Model, made: &Made) -> i64 {
    let bars: i64 = made.bars.iter().map(|&kind| model.kinds[kind].usable - model.lap).sum();
    let runs: i64 = made.runs.iter().map(|&item| model.items[item].length + model.kerf).sum();
    bars + model.lap + model.kerf - runs
}

/// What is left at the end of the bar of a chain where most is left.
fn longest_offcut(model: &Model, made: &Made) -> i64 {
    let left = |(&kind, pieces): (&usize, &Vec<Laid>)| {
        model.kinds[kind].usable - pieces.iter().map(|piece| piece.length + model.kerf).sum::<i64>()
    };
    made.bars.iter().zip(&made.cut).map(left).max().unwrap_or(0).max(0)
}
