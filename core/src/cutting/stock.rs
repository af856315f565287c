//! The chains on offer: multisets of bars that may be joined end to end, as one kind of stock each.

use super::model::Model;

/// Most kinds of chain offered to the engine.
const MOST: usize = 400;

/// Bars joined end to end before cutting.
pub(super) struct Stock {
    /// How many of each kind of the model.
    pub(super) bars: Vec<u32>,
    /// How much it holds: runs count with one kerf each.
    pub(super) capacity: u64,
    pub(super) weight: u64,
    /// How many the bars on hand allow.
    pub(super) supply: Option<u64>,
}

/// The chains that a best answer may use.
pub(super) struct Offer {
    pub(super) stocks: Vec<Stock>,
    /// Whether every chain that could matter is there.
    pub(super) complete: bool,
}

/// Lists chains by their number of bars, until one holds every run or there are too many.
///
/// A chain that still holds every run without one of its bars is left out: dropping that bar is never worse.
pub(super) fn offer(model: &Model) -> Offer {
    let total: u128 = (0..model.items.len())
        .map(|item| u128::from(model.item_size(item)) * u128::from(model.items[item].count))
        .sum();
    let joinable: Vec<usize> = (0..model.kinds.len()).filter(|&kind| model.kinds[kind].usable > model.lap).collect();
    let mut stocks = Vec::new();
    for kind in 0..model.kinds.len() {
        let mut bars = vec![0; model.kinds.len()];
        bars[kind] = 1;
        stocks.push(stock_of(model, bars));
    }
    if model.all_whole() {
        return Offer { stocks, complete: true };
    }
    let mut level: Vec<(usize, Vec<u32>)> = joinable.iter().map(|&kind| (kind, stocks[kind].bars.clone())).collect();
    while !level.is_empty() {
        let mut next = Vec::new();
        for (last, bars) in level {
            for &kind in joinable.iter().filter(|&&kind| kind >= last) {
                let mut bars = bars.clone();
                bars[kind] += 1;
                if model.kinds[kind].available.is_some_and(|have| u64::from(bars[kind]) > have) {
                    continue;
                }
                let longer = stock_of(model, bars);
                let spare = joinable
                    .iter()
                    .filter(|&&kind| longer.bars[kind] > 0)
                    .map(|&kind| model.kinds[kind].usable - model.lap)
                    .min();
                if u128::from(longer.capacity) >= total + u128::from(spare.unwrap_or(0).unsigned_abs()) {
                    continue;
                }
                if stocks.len() == MOST {
                    return Offer { stocks, complete: false };
                }
                next.push((kind, longer.bars.clone()));
                stocks.push(longer);
            }
        }
        level = next;
    }
    Offer { stocks, complete: true }
}

fn stock_of(model: &Model, bars: Vec<u32>) -> Stock {
    let count: u64 = bars.iter().map(|&count| u64::from(count)).sum();
    let mut capacity = (model.lap + model.kerf).unsigned_abs();
    let mut weight = (count - 1) * model.joint_weight;
    let mut supply = None::<u64>;
    for (kind, &count) in model.kinds.iter().zip(&bars) {
        let count = u64::from(count);
        // Wrapping is right here: a bar shorter than the lap adds a negative amount to the lap that is there already.
        capacity = capacity.wrapping_add(count.wrapping_mul((kind.usable - model.lap) as u64));
        weight += count * kind.weight;
        if let (Some(have), true) = (kind.available, count > 0) {
            let times = have / count;
            supply = Some(supply.map_or(times, |supply| supply.min(times)));
        }
    }
    Stock { bars, capacity, weight, supply }
}
