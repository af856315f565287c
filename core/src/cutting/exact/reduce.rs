//! From an instance as given to a smaller equivalent one, and back.
//!
//! Alike items merge; stocks that another kind makes useless go; lengths are divided by what all items have in common.
//! Items are sorted, so that the order in which they were given does not matter.

use super::{Instance, Item, Pattern, Refusal, Stock, Supply};

/// Greatest total of lengths, in units that measure all items, that is dealt with.
const MOST: u128 = 1 << 52;
/// Most items in all: rounding of integer prices then stays below a stock or so.
const MOST_ITEMS: u128 = 1 << 26;

/// The instance that is searched: items distinct and by falling length, every item fits some stock.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub(super) stocks: Vec<Stock>,
    pub(super) length: Vec<u64>,
    pub(super) count: Vec<u64>,
    /// As given, with draws by index of the stocks kept.
    pub(super) supplies: Vec<Supply>,
    /// For each stock, the supplies that it draws on, with the units that one takes.
    pub(super) draws: Vec<Vec<(usize, u64)>>,
    /// Original index of each stock.
    stock_origin: Vec<usize>,
    /// Original items merged into each item, with their counts.
    item_origin: Vec<Vec<(usize, u64)>>,
}

/// A pattern on a [`Core`]: stock, uses (ascending), times.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cut {
    pub(super) stock: u32,
    pub(super) uses: Vec<(u32, u64)>,
    pub(super) times: u64,
}

impl Core {
    pub(super) fn new(instance: &Instance) -> Result<Self, Refusal> {
        let unit = unit(instance);
        check_sizes(instance, unit)?;
        let mut order: Vec<usize> = (0..instance.items.len()).filter(|&i| instance.items[i].count > 0).collect();
        let key = |i: usize| (std::cmp::Reverse(instance.items[i].length), instance.items[i].kind, i);
        order.sort_by_key(|&i| key(i));
        let there = |s: usize| instance.supplies.iter().all(|supply| supply.draws[s] <= supply.limit);
        let usable = instance.stocks.iter().enumerate().filter(|&(s, _)| there(s));
        let longest = usable.map(|(_, stock)| stock.length).max().unwrap_or(0);
        if let Some(&first) = order.first()
            && instance.items[first].length > longest
        {
            return Err(Refusal::TooLong(first));
        }
        if let Some(&last) = order.last()
            && instance.items[last].length == 0
        {
            return Err(Refusal::NoLength(last));
        }
        let mut core = Core {
            stocks: Vec::new(),
            length: Vec::new(),
            count: Vec::new(),
            supplies: Vec::new(),
            draws: Vec::new(),
            stock_origin: Vec::new(),
            item_origin: Vec::new(),
        };
        let mut last: Option<&Item> = None;
        for &i in &order {
            let item = &instance.items[i];
            match (last, core.count.last_mut(), core.item_origin.last_mut()) {
                (Some(l), Some(count), Some(origin)) if l.length == item.length && l.kind == item.kind => {
                    *count += item.count;
                    origin.push((i, item.count));
                }
                _ => {
                    core.length.push(item.length / unit);
                    core.count.push(item.count);
                    core.item_origin.push(vec![(i, item.count)]);
                }
            }
            last = Some(item);
        }
        let shortest = core.length.last().copied().unwrap_or(0);
        let total: u64 = core.length.iter().zip(&core.count).map(|(l, c)| l * c).sum();
        let mut kept: Vec<(usize, Stock)> = instance
            .stocks
            .iter()
            .enumerate()
            .map(|(i, s)| (i, Stock { length: (s.length / unit).min(total), ..s.clone() }))
            .filter(|&(i, ref s)| s.length >= shortest && there(i))
            .collect();
        // Longest first; of equal length the cheapest first, so that a useless stock follows what makes it useless.
        let draws = |s: usize| instance.supplies.iter().map(move |supply| supply.draws[s]);
        kept.sort_by(|a, b| {
            let key = |s: &Stock| (std::cmp::Reverse(s.length), s.cost, s.tie);
            key(&a.1).cmp(&key(&b.1)).then_with(|| draws(a.0).cmp(draws(b.0))).then(a.0.cmp(&b.0))
        });
        let mut useful: Vec<(usize, Stock)> = Vec::new();
        if instance.particular {
            useful = kept;
        } else {
            // Only what is on the frontier of cost, tie and draws can make another useless.
            for (i, stock) in kept {
                let no_dearer = |u: &Stock| u.cost <= stock.cost && u.tie <= stock.tie;
                let useless =
                    useful.iter().any(|&(j, ref u)| no_dearer(u) && draws(j).zip(draws(i)).all(|(a, b)| a <= b));
                if !useless {
                    useful.push((i, stock));
                }
            }
        }
        let supply = |s: &Supply| Supply { limit: s.limit, draws: useful.iter().map(|&(i, _)| s.draws[i]).collect() };
        core.supplies = instance.supplies.iter().map(supply).collect();
        let drawn = |&(i, _): &(usize, Stock)| draws(i).enumerate().filter(|&(_, n)| n > 0).collect();
        core.draws = useful.iter().map(drawn).collect();
        core.stock_origin = useful.iter().map(|(i, _)| *i).collect();
        core.stocks = useful.into_iter().map(|(_, s)| s).collect();
        Ok(core)
    }

    /// The original items merged into item `kind`; the first stands for all.
    pub(super) fn origins(&self, kind: usize) -> &[(usize, u64)] {
        &self.item_origin[kind]
    }

    /// How many of `stock` what is left of the supplies allows.
    pub(super) fn room(&self, stock: usize, left: &[u64]) -> u64 {
        self.draws[stock].iter().map(|&(k, n)| left[k] / n).min().unwrap_or(u64::MAX)
    }

    /// Takes what `times` of `stock` draw from what is left of the supplies.
    pub(super) fn draw(&self, stock: usize, times: u64, left: &mut [u64]) {
        self.draws[stock].iter().for_each(|&(k, n)| left[k] -= n * times);
    }

    /// What there is of each supply at first.
    pub(super) fn limits(&self) -> Vec<u64> {
        self.supplies.iter().map(|supply| supply.limit).collect()
    }

    /// One pattern in the instance's own indices, alike items named by the first of them.
    pub(super) fn representative(&self, stock: u32, uses: &[(u32, u64)]) -> Pattern {
        let mut original: Vec<(usize, u64)> =
            uses.iter().map(|&(kind, n)| (self.item_origin[kind as usize][0].0, n)).collect();
        original.sort_unstable();
        Pattern { stock: self.stock_origin[stock as usize], uses: original, times: 1 }
    }

    /// Hands the merged items of an exact cover back to the items they came from.
    pub(super) fn restore(&self, cuts: &[Cut]) -> Vec<Pattern> {
        // For each item: which original is being handed out, and how many of it are left.
        let mut hand: Vec<(usize, u64)> = self.item_origin.iter().map(|o| (0, o.first().map_or(0, |f| f.1))).collect();
        let mut patterns = Vec::new();
        for cut in cuts {
            let mut left = cut.times;
            while left > 0 {
                // As many alike as the originals in hand allow; one at a time where an original runs out within it.
                let alike = cut.uses.iter().map(|&(kind, n)| hand[kind as usize].1 / n).min().unwrap_or(left);
                let times = alike.clamp(1, left);
                let mut uses = Vec::new();
                for &(kind, n) in &cut.uses {
                    let kind = kind as usize;
                    let mut need = n * times;
                    while need > 0 {
                        let (at, have) = hand[kind];
                        let taken = need.min(have);
                        if taken > 0 {
                            uses.push((self.item_origin[kind][at].0, taken / times));
                            need -= taken;
                            hand[kind].1 -= taken;
                        }
                        if hand[kind].1 == 0 {
                            match self.item_origin[kind].get(at + 1) {
                                Some(&(_, more)) => hand[kind] = (at + 1, more),
                                None => break,
                            }
                        }
                    }
                }
                uses.sort_unstable();
                patterns.push(Pattern { stock: self.stock_origin[cut.stock as usize], uses, times });
                left -= times;
            }
        }
        patterns.sort();
        // Equal patterns count together.
        let mut merged: Vec<Pattern> = Vec::with_capacity(patterns.len());
        for pattern in patterns {
            match merged.last_mut() {
                Some(last) if last.stock == pattern.stock && last.uses == pattern.uses => last.times += pattern.times,
                _ => merged.push(pattern),
            }
        }
        merged
    }
}

/// The greatest length that measures all items wanted.
fn unit(instance: &Instance) -> u64 {
    let wanted = instance.items.iter().filter(|item| item.count > 0);
    wanted.fold(0, |unit, item| gcd(unit, item.length)).max(1)
}

fn check_sizes(instance: &Instance, unit: u64) -> Result<(), Refusal> {
    let items = instance.items.iter();
    let total: u128 = items.map(|i| u128::from(i.length / unit).saturating_mul(u128::from(i.count))).sum();
    let count: u128 = instance.items.iter().map(|i| u128::from(i.count)).sum();
    let dearest = instance.stocks.iter().map(|s| u128::from(s.cost.max(s.tie))).max().unwrap_or(0);
    let longest = instance.stocks.iter().map(|s| u128::from(s.length / unit)).max().unwrap_or(0);
    let fits =
        total <= MOST && longest <= MOST && count <= MOST_ITEMS && count.saturating_mul(dearest.max(1)) <= 1 << 60;
    let indices = instance.items.len() < u32::MAX as usize && instance.stocks.len() < u32::MAX as usize;
    let limits = instance.supplies.iter().all(|s| s.limit <= 1 << 40 && s.draws.len() == instance.stocks.len());
    if fits && indices && limits { Ok(()) } else { Err(Refusal::TooLarge) }
}

fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a
}
