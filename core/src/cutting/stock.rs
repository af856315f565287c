//! The chains on offer: multisets of bars that may be joined end to end, as one kind of stock each.

use super::model::{Aims, Model};

/// Most kinds of chain offered to the engine.
const MOST: usize = 400;

/// Bars joined end to end before cutting.
pub(super) struct Stock {
    /// How many of each kind of the model.
    pub(super) bars: Vec<u32>,
    /// How much it holds: runs count with one kerf each.
    pub(super) capacity: u64,
    pub(super) aims: Aims,
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
/// A chain that holds every run even without one of its bars is left out: dropping that bar is never worse.
pub(super) fn offer(model: &Model) -> Offer {
    let total: u128 =
        (0..model.items.len()).map(|item| u128::from(model.size(item)) * u128::from(model.items[item].count)).sum();
    let mut stocks: Vec<Stock> = (0..model.kinds.len())
        .map(|kind| {
            let mut bars = vec![0; model.kinds.len()];
            bars[kind] = 1;
            stock_of(model, bars)
        })
        .collect();
    if model.all_whole() {
        return Offer { stocks, complete: true };
    }
    let joinable: Vec<usize> = (0..model.kinds.len()).filter(|&kind| model.kinds[kind].usable > model.lap).collect();
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
                let used = joinable.iter().filter(|&&kind| longer.bars[kind] > 0);
                let least = used.map(|&kind| (model.kinds[kind].usable - model.lap).unsigned_abs()).min().unwrap_or(0);
                if u128::from(longer.capacity) >= total + u128::from(least) {
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
    // Under rules of the site a bar more may help where length alone asks for none.
    Offer { stocks, complete: !model.bound_by_site() }
}

fn stock_of(model: &Model, bars: Vec<u32>) -> Stock {
    let count: u64 = bars.iter().map(|&count| u64::from(count)).sum();
    let mut capacity = model.lap + model.kerf;
    let mut aims = Aims { first: (count - 1) * model.joint.first, second: (count - 1) * model.joint.second };
    let mut supply = None::<u64>;
    for (kind, &count) in model.kinds.iter().zip(&bars) {
        capacity += i64::from(count) * (kind.usable - model.lap);
        let count = u64::from(count);
        aims.first += count * kind.aims.first;
        aims.second += count * kind.aims.second;
        if let (Some(have), true) = (kind.available, count > 0) {
            let times = have / count;
            supply = Some(supply.map_or(times, |supply| supply.min(times)));
        }
    }
    Stock { bars, capacity: capacity.unsigned_abs(), aims, supply }
}
