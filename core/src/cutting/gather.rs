//! One long offcut rather than several short: among answers that are equal in both aims.
//!
//! A remnant of a given length is added to the runs. If the answer comes to the same, it leaves an offcut of at
//! least that length. The longest is found by halving.

use super::model::{Item, Model, Site};
use super::problem::Effort;
use super::search::{Found, Made, search};
use super::stock::Offer;

/// Answers asked for at most: fewer where each may take many layouts.
const TRIES: u32 = 5;
const TRIES_ON_SITE: u32 = 2;
/// Search nodes for each.
const NODES: u64 = 10;
/// Runs (with how many alike) up to which it is worth the time.
const MOST_RUNS: u64 = 300;

/// Rearranges the chains for a longer longest offcut, if that is possible at no cost.
pub(super) fn gather(model: &mut Model, offer: &Offer, effort: &Effort, found: &mut Found) {
    let runs: u64 = model.items.iter().map(|item| item.count).sum();
    let chains = || found.chains.iter();
    let bars: u64 = chains().map(|made| made.times * made.bars.len() as u64).sum();
    // A remnant would be cut from an unused bar on hand, and say nothing about the others.
    let on_hand = model.kinds.iter().any(|kind| kind.available.is_some());
    if on_hand || bars < 2 || runs > MOST_RUNS || effort.nodes == 0 || offer.stocks.len() > 100 {
        return;
    }
    let effort = Effort { nodes: effort.nodes.min(NODES), time: effort.time };
    let begun = effort.begin();
    let spare: i64 = chains().map(|made| offcuts(model, made).sum::<i64>().saturating_mul(made.times as i64)).sum();
    let longest = model.kinds.iter().map(|kind| kind.usable).max().unwrap_or(0);
    let step = model.step;
    let (mut have, mut most) = (longest_offcut(model, &found.chains), (spare - model.kerf).min(longest - 1));
    let tries = if model.bound_by_site() { TRIES_ON_SITE } else { TRIES };
    for turn in 0..tries {
        // The whole of what is left over is often possible, so it is asked for first.
        let want = if turn == 0 { most } else { have + (most - have + 1) / 2 } / step * step;
        if most - have < step || want <= model.kerf {
            return;
        }
        model.items.push(Item { length: want, count: 1, runs: Vec::new(), site: Site::default(), peeled: 0 });
        let with = search(model, offer, &effort.left(begun));
        model.items.pop();
        let mut better = false;
        if let Some(with) = with.filter(|with| with.aims <= found.aims) {
            let chains: Vec<Made> = with.chains.into_iter().map(|made| without(made, model.items.len())).collect();
            let longest = longest_offcut(model, &chains);
            // A bar on hand may have been set aside whole, which leaves no longer offcut.
            better = longest > have && chains.iter().all(|made| !made.runs.is_empty());
            if better {
                (found.chains, have) = (chains, longest);
            }
        }
        if !better {
            most = want - 1;
        }
    }
}

/// What is left at the end of each bar of a chain.
fn offcuts(model: &Model, made: &Made) -> impl Iterator<Item = i64> {
    let left = |(&kind, pieces): (&usize, &Vec<super::layout::Laid>)| {
        model.kinds[kind].usable - pieces.iter().map(|piece| piece.length + model.kerf).sum::<i64>()
    };
    made.bars.iter().zip(&made.cut).map(left).map(|left| left.max(0)).collect::<Vec<_>>().into_iter()
}

fn longest_offcut(model: &Model, chains: &[Made]) -> i64 {
    chains.iter().flat_map(|made| offcuts(model, made)).max().unwrap_or(0)
}

/// A chain without the remnant, which is the item numbered `remnant`.
fn without(mut made: Made, remnant: usize) -> Made {
    if let Some(slot) = made.runs.iter().position(|&item| item == remnant) {
        made.runs.remove(slot);
        for pieces in &mut made.cut {
            pieces.retain(|piece| piece.slot != slot);
            pieces.iter_mut().filter(|piece| piece.slot > slot).for_each(|piece| piece.slot -= 1);
        }
    }
    made
}
