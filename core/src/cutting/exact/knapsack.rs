//! The pricing problem: bounded knapsacks with integer prices, over all kinds of stock at once.
//!
//! Two exact methods share one interface. Depth-first search in order of price per length, pruned by the fractional
//! (Dantzig) bound, is fast where few items fill a stock; it also obeys pairs that must not share a stock and skips
//! refused patterns. Where it takes too many steps and the capacity is small, dynamic programming over the capacity
//! bounds the same search exactly. Capacities that grow by hundreds cost little: a stock is looked at only if its
//! fractional bound is above its threshold.
//!
//! Sources: Dantzig (1957); Gilmore and Gomory (1963); Kellerer, Pferschy and Pisinger, Knapsack Problems (2004).

use super::meter::Meter;

/// Fixed-point digits of a price per length.
const DIGITS: u32 = 22;
/// Most entries of the dynamic program's table.
const TABLE: u64 = 6_000_000;

/// What may be packed. All slices have one entry per kind of item.
pub(super) struct Load<'a> {
    pub(super) length: &'a [u64],
    /// Most copies in one pattern.
    pub(super) most: &'a [u64],
    pub(super) price: &'a [u64],
    /// For each kind, the kinds that must not share a stock with it.
    pub(super) apart: &'a [Vec<u32>],
}

/// A stock and what a pattern on it must exceed to be worth having.
#[derive(Clone, Copy, Debug)]
pub(super) struct Target {
    pub(super) stock: u32,
    pub(super) capacity: u64,
    pub(super) threshold: u64,
}

/// A pattern above its threshold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Find {
    pub(super) stock: u32,
    pub(super) uses: Vec<(u32, u64)>,
    /// Price less threshold.
    pub(super) excess: u64,
}

/// What a search for patterns found.
pub(super) struct Haul {
    pub(super) finds: Vec<Find>,
    /// No pattern exceeds its threshold by more than the best in `finds`, or at all if there are none.
    pub(super) complete: bool,
}

/// Judges whether a pattern may be used: stock, uses.
pub(super) type Allowed<'a> = &'a dyn Fn(u32, &[(u32, u64)]) -> bool;

struct Sorted {
    kind: Vec<u32>,
    length: Vec<u64>,
    most: Vec<u64>,
    price: Vec<u64>,
    /// Price per length, rounded up, with `DIGITS` binary digits after the point.
    rate: Vec<u64>,
}

impl Sorted {
    fn new(load: &Load<'_>) -> Self {
        let mut order: Vec<(u64, u32)> = (0..load.length.len())
            .filter(|&i| load.price[i] > 0 && load.most[i] > 0)
            .map(|i| {
                let scaled = u128::from(load.price[i]) << DIGITS;
                (u64::try_from(scaled.div_ceil(u128::from(load.length[i]))).unwrap_or(u64::MAX), i as u32)
            })
            .collect();
        // Of equal rates the longer first: it fills sooner.
        order.sort_by(|a, b| (b.0, load.length[b.1 as usize], a.1).cmp(&(a.0, load.length[a.1 as usize], b.1)));
        Sorted {
            kind: order.iter().map(|o| o.1).collect(),
            length: order.iter().map(|o| load.length[o.1 as usize]).collect(),
            most: order.iter().map(|o| load.most[o.1 as usize]).collect(),
            price: order.iter().map(|o| load.price[o.1 as usize]).collect(),
            rate: order.iter().map(|o| o.0).collect(),
        }
    }

    /// No choice among positions from `from` on is worth more than this in `capacity`.
    fn fractional(&self, from: usize, mut capacity: u64) -> u64 {
        let mut value = 0;
        for j in from..self.length.len() {
            let whole = self.most[j].saturating_mul(self.length[j]);
            if whole <= capacity {
                capacity -= whole;
                value += self.most[j] * self.price[j];
            } else {
                return value + part(capacity, self.rate[j]);
            }
        }
        value
    }
}

/// Upper bound on what `capacity` is worth at `rate`.
fn part(capacity: u64, rate: u64) -> u64 {
    u64::try_from((u128::from(capacity) * u128::from(rate)) >> DIGITS).unwrap_or(u64::MAX >> 2).min(u64::MAX >> 2)
}

struct Walk<'a> {
    sorted: &'a Sorted,
    apart: &'a [Vec<u32>],
    /// For each position, how many chosen items exclude it.
    barred: Vec<u32>,
    /// Position of each kind, or `u32::MAX`.
    place: Vec<u32>,
    chosen: Vec<(u32, u64)>,
    best: u64,
    best_chosen: Vec<(u32, u64)>,
    steps: u64,
    most_steps: u64,
    stock: u32,
    allowed: Option<Allowed<'a>>,
    /// Best value by position and capacity, if the dynamic program was run.
    table: Option<&'a Table>,
}

impl Walk<'_> {
    fn bound(&self, from: usize, capacity: u64) -> u64 {
        match self.table {
            Some(table) => table.value(from, capacity),
            None => self.sorted.fractional(from, capacity),
        }
    }

    fn consider(&mut self, value: u64) {
        if value > self.best {
            if let Some(allowed) = self.allowed {
                let mut uses: Vec<(u32, u64)> =
                    self.chosen.iter().map(|&(j, n)| (self.sorted.kind[j as usize], n)).collect();
                uses.sort_unstable();
                if !allowed(self.stock, &uses) {
                    return;
                }
            }
            self.best = value;
            self.best_chosen.clone_from(&self.chosen);
        }
    }

    fn descend(&mut self, from: usize, capacity: u64, value: u64) {
        self.consider(value);
        for j in from..self.sorted.length.len() {
            self.steps += 1;
            if self.steps > self.most_steps {
                return;
            }
            if self.table.is_none() && value + part(capacity, self.sorted.rate[j]) <= self.best {
                return;
            }
            let length = self.sorted.length[j];
            if length > capacity || self.barred[j] > 0 {
                continue;
            }
            if value + self.bound(j, capacity) <= self.best {
                return;
            }
            self.take(j, capacity, value);
        }
    }

    /// All choices whose first position is `j`.
    fn take(&mut self, j: usize, capacity: u64, value: u64) {
        let length = self.sorted.length[j];
        let price = self.sorted.price[j];
        self.bar(j, true);
        for copies in (1..=self.sorted.most[j].min(capacity / length)).rev() {
            let rest = capacity - copies * length;
            let worth = value + copies * price;
            self.steps += 1;
            if worth + self.bound(j + 1, rest) > self.best {
                self.chosen.push((j as u32, copies));
                self.descend(j + 1, rest, worth);
                self.chosen.pop();
            }
            if self.steps > self.most_steps {
                break;
            }
        }
        self.bar(j, false);
    }

    fn bar(&mut self, j: usize, on: bool) {
        if self.apart.is_empty() {
            return;
        }
        let apart = self.apart;
        for &kind in &apart[self.sorted.kind[j] as usize] {
            let place = self.place[kind as usize];
            if place != u32::MAX {
                if on {
                    self.barred[place as usize] += 1;
                } else {
                    self.barred[place as usize] -= 1;
                }
            }
        }
    }
}

/// Best value by first position and capacity.
struct Table {
    width: usize,
    value: Vec<u64>,
}

impl Table {
    fn new(sorted: &Sorted, capacity: u64) -> Self {
        let width = capacity as usize + 1;
        let rows = sorted.length.len();
        let mut value = vec![0_u64; (rows + 1) * width];
        for j in (0..rows).rev() {
            let (head, tail) = value.split_at_mut((j + 1) * width);
            let row = &mut head[j * width..];
            row.copy_from_slice(&tail[..width]);
            let mut left = sorted.most[j].min(capacity / sorted.length[j].max(1));
            let mut bundle = 1;
            while left > 0 {
                let copies = bundle.min(left);
                let length = (copies * sorted.length[j]) as usize;
                let price = copies * sorted.price[j];
                for c in (length..width).rev() {
                    let with = row[c - length] + price;
                    if with > row[c] {
                        row[c] = with;
                    }
                }
                left -= copies;
                bundle *= 2;
            }
        }
        Table { width, value }
    }

    fn value(&self, from: usize, capacity: u64) -> u64 {
        self.value[from * self.width + capacity as usize]
    }
}

/// Finds patterns worth more than their stock's threshold: at most `want`, the best first.
///
/// With `quick`, stops early once something is found and gives up after few steps (then `complete` is false);
/// otherwise goes on until the best is found or none is shown to exist, unless the meter runs out.
pub(super) fn search(
    load: &Load<'_>,
    targets: &[Target],
    want: usize,
    quick: bool,
    allowed: Option<Allowed<'_>>,
    meter: &mut Meter,
) -> Haul {
    let sorted = Sorted::new(load);
    let kinds = sorted.length.len();
    // Only stocks whose fractional bound exceeds the threshold can hold anything; the most promising first.
    let mut open: Vec<(u64, Target)> = targets
        .iter()
        .filter_map(|&t| {
            let value = sorted.fractional(0, t.capacity);
            (value > t.threshold).then(|| (value - t.threshold, t))
        })
        .collect();
    open.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.stock.cmp(&b.1.stock)));
    meter.spend((targets.len() * 4 + kinds * 8) as u64);
    let mut haul = Haul { finds: Vec::new(), complete: true };
    if open.is_empty() {
        return haul;
    }
    let widest = open.iter().map(|o| o.1.capacity).max().unwrap_or(0);
    let entries = (kinds as u64 + 1).saturating_mul(widest.saturating_add(1));
    let affordable = entries <= TABLE;
    let mut place = vec![u32::MAX; load.length.len()];
    for (j, &kind) in sorted.kind.iter().enumerate() {
        place[kind as usize] = j as u32;
    }
    let clash_free = load.apart.iter().all(Vec::is_empty);
    let mut walk = Walk {
        sorted: &sorted,
        apart: if clash_free { &[] } else { load.apart },
        barred: vec![0; kinds],
        place,
        chosen: Vec::new(),
        best: 0,
        best_chosen: Vec::new(),
        steps: 0,
        most_steps: 0,
        stock: 0,
        allowed,
        table: None,
    };
    let cap = if quick {
        2_000 + 40 * kinds as u64
    } else if affordable {
        entries / 2 + 10_000
    } else {
        u64::MAX
    };
    let mut targets_hit = 0;
    let mut exhausted = true;
    for &(_, target) in &open {
        let hit = each_first(&mut walk, target, cap, meter, &mut haul.finds);
        exhausted &= hit.1;
        targets_hit += usize::from(hit.0);
        if (quick && targets_hit >= 4) || (!exhausted && (quick || affordable)) || meter.spent() {
            exhausted = false;
            break;
        }
    }
    if !exhausted && !quick && affordable && !meter.spent() {
        haul.finds.clear();
        let table = Table::new(&sorted, widest);
        meter.spend(entries * 2);
        walk.table = Some(&table);
        exhausted = true;
        for &(_, target) in &open {
            exhausted &= each_first(&mut walk, target, u64::MAX, meter, &mut haul.finds).1;
        }
    }
    haul.complete = exhausted;
    haul.finds
        .sort_by(|a, b| b.excess.cmp(&a.excess).then_with(|| a.stock.cmp(&b.stock)).then_with(|| a.uses.cmp(&b.uses)));
    haul.finds.truncate(want);
    haul
}

/// For each item as the first in order of rate, the best pattern above the threshold, so that finds differ.
/// Returns whether any was found and whether the search was exhaustive.
fn each_first(walk: &mut Walk<'_>, target: Target, cap: u64, meter: &mut Meter, finds: &mut Vec<Find>) -> (bool, bool) {
    let kinds = walk.sorted.length.len();
    let mut found = false;
    let mut complete = true;
    let mut used = 0_u64;
    walk.stock = target.stock;
    for j in 0..kinds {
        if walk.sorted.length[j] > target.capacity {
            continue;
        }
        if walk.bound(j, target.capacity) <= target.threshold {
            break;
        }
        if used >= cap || meter.spent() {
            complete = false;
            break;
        }
        walk.best = target.threshold;
        walk.best_chosen.clear();
        walk.steps = 0;
        // A single first item may use a good part of what is left, but not starve the others.
        walk.most_steps = if cap == u64::MAX { 50_000_000 } else { (cap - used) / 4 + 500 };
        walk.take(j, target.capacity, 0);
        complete &= walk.steps <= walk.most_steps;
        used += walk.steps;
        meter.spend(walk.steps * 4);
        if walk.best > target.threshold && !walk.best_chosen.is_empty() {
            let mut uses: Vec<(u32, u64)> =
                walk.best_chosen.iter().map(|&(p, n)| (walk.sorted.kind[p as usize], n)).collect();
            uses.sort_unstable();
            finds.push(Find { stock: target.stock, uses, excess: walk.best - target.threshold });
            found = true;
        }
    }
    meter.spend(kinds as u64);
    (found, complete)
}

/// The most price that `target.capacity` can hold, if the search ends within the meter.
pub(super) fn most(load: &Load<'_>, capacity: u64, meter: &mut Meter) -> Option<u64> {
    let target = Target { stock: 0, capacity, threshold: 0 };
    let haul = search(load, &[target], 1, false, None, meter);
    haul.complete.then(|| haul.finds.first().map_or(0, |f| f.excess))
}

/// The pattern of most price found in few steps, for heuristics.
pub(super) fn good(load: &Load<'_>, capacity: u64, steps: u64, meter: &mut Meter) -> Vec<(u32, u64)> {
    let sorted = Sorted::new(load);
    let kinds = sorted.length.len();
    let mut walk = Walk {
        sorted: &sorted,
        apart: &[],
        barred: vec![0; kinds],
        place: Vec::new(),
        chosen: Vec::new(),
        best: 0,
        best_chosen: Vec::new(),
        steps: 0,
        most_steps: steps,
        stock: 0,
        allowed: None,
        table: None,
    };
    walk.descend(0, capacity, 0);
    meter.spend(walk.steps * 4 + kinds as u64 * 8);
    let mut uses: Vec<(u32, u64)> = walk.best_chosen.iter().map(|&(p, n)| (sorted.kind[p as usize], n)).collect();
    uses.sort_unstable();
    uses
}
