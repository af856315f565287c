//! The chains on offer: multisets of bars that may be joined end to end, as one kind of stock each.

use super::layout::{Demand, Task, Verdict};
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
    /// Most joints beyond those of a tree that its layout may have, where each is paid for in `aims` and has its lap
    /// taken off `capacity`; as many as it takes where [`Offer::with_extra_joints`] says nothing else.
    pub(super) extra: u64,
}

/// The joints beyond those of a tree that are told apart.
const EXTRA: u64 = 3;

/// The chains that a best answer may use.
pub(super) struct Offer {
    pub(super) stocks: Vec<Stock>,
    /// Whether every chain that could matter is there.
    pub(super) complete: bool,
}

impl Offer {
    /// The same chains, each once as a tree, and for each further joint that it may be laid out with once more. The last of
    /// these stands for that many joints or more.
    pub(super) fn with_extra_joints(&self, model: &Model) -> Offer {
        let with = |stock: &Stock, extra: u64| {
            let lost = extra * (model.lap + model.kerf).unsigned_abs();
            let aims = Aims {
                first: stock.aims.first + extra * model.joint.first,
                second: stock.aims.second + extra * model.joint.second,
            };
            let capacity = stock.capacity.checked_sub(lost)?;
            let extra = if extra == EXTRA { u64::MAX } else { extra };
            Some(Stock { bars: stock.bars.clone(), capacity, aims, extra })
        };
        let stocks = self.stocks.iter().flat_map(|stock| (0..=EXTRA).filter_map(move |extra| with(stock, extra)));
        Offer { stocks: stocks.collect(), complete: self.complete }
    }
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
    // Under rules of the site a bar more may help where length alone asks for none. Of one kind, no chain needs more
    // than its runs would take one by one.
    let bars_alone = if model.bound_by_site() { one_by_one(model) } else { Some(0) };
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
                let count: u64 = longer.bars.iter().map(|&count| u64::from(count)).sum();
                if u128::from(longer.capacity) >= total + u128::from(least) && count > bars_alone.unwrap_or(0) {
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
    Offer { stocks, complete: bars_alone.is_some() }
}

/// How many bars all runs take one by one under the rules of the site, beyond those taken off long runs; nothing
/// where that is not known, or not what matters because there are several kinds of bar.
fn one_by_one(model: &Model) -> Option<u64> {
    let [kind] = &model.kinds[..] else { return None };
    let mut bars = 0_u64;
    for item in &model.items {
        let demand = Demand { length: item.length, site: &item.site, alike: 0 };
        let alone = (item.peeled + 1..item.peeled + 5).find(|&bars| {
            // Where joints are paid for first, more of them would not make up for a bar.
            let most = if model.joint.first == 0 { u64::MAX } else { bars - 1 };
            let bars = vec![kind.usable + model.kerf; usize::try_from(bars).unwrap_or(0)];
            let task = Task { bars, runs: vec![demand], lap: model.lap, kerf: model.kerf, step: model.step };
            matches!(task.lay_out(most), Verdict::Laid(_))
        })?;
        bars = bars.saturating_add((alone - item.peeled).saturating_mul(item.count));
    }
    Some(bars)
}

fn stock_of(model: &Model, bars: Vec<u32>) -> Stock {
    let count: u64 = bars.iter().map(|&count| u64::from(count)).sum();
    let mut capacity = model.lap + model.kerf;
    let mut aims = Aims { first: (count - 1) * model.joint.first, second: (count - 1) * model.joint.second };
    for (kind, &count) in model.kinds.iter().zip(&bars) {
        capacity += i64::from(count) * (kind.usable - model.lap);
        let count = u64::from(count);
        aims.first += count * kind.aims.first;
        aims.second += count * kind.aims.second;
    }
    Stock { bars, capacity: capacity.unsigned_abs(), aims, extra: u64::MAX }
}
