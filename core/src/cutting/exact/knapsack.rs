//! The pricing problem: bounded knapsacks with integer prices, over all kinds of stock at once.
//!
//! Two exact methods share one interface. Depth-first search in order of price per length, pruned by the fractional
//! (Dantzig) bound, is fast where few items fill a stock; it also obeys pairs that must not share a stock and skips
//! refused patterns. Where it takes too many steps and the capacity is small, dynamic programming over the capacity
//! bounds the same search exactly. Capacities that grow by hundreds cost little: a stock is looked at only if its
//! fractional bound is above its threshold.
//!
//! Sources: Dantzig (1957); Gilmore and Gomory (1963); Kellerer, Pferschy and Pisinger, Knapsack Problems (2004).

use super::circle::Circle;
use super::meter::Meter;

/// Most fixed-point digits of a price per length.
const DIGITS: u32 = 22;
/// Most entries of the dynamic program's table where values are kept for every position.
const TABLE: u64 = 6_000_000;
/// Most entries where only choices are kept, one bit each.
const LONGEST: u64 = 100_000_000;

/// How far a search for patterns goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Thorough {
    /// Few steps, and no more once something is found.
    Quick,
    /// Until the best is found or none is shown to exist, unless the meter runs out.
    Complete,
}

/// What may be packed. All slices have one entry per kind of item.
pub(super) struct Load<'a> {
    pub(super) length: &'a [u64],
    /// Most copies in one pattern.
    pub(super) most: &'a [u64],
    pub(super) price: &'a [u64],
    /// For each kind, the kinds that must not share a stock with it.
    pub(super) apart: &'a [Vec<u32>],
    /// For each stock, the kinds that must not be cut from it.
    pub(super) banned: &'a [Vec<u32>],
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
    /// Price per length, rounded up, with `digits` binary digits after the point.
    rate: Vec<u64>,
    /// As many as leave room for the greatest price: while demand is unmet, prices are far above any cost.
    digits: u32,
    /// Shortest length from each position on.
    shortest: Vec<u64>,
    /// Lengths ascending, each with the best price of an item that long or shorter, and the position of that item.
    single: Vec<(u64, u64, u32)>,
}

impl Sorted {
    /// Items of no price are left out unless they are `needed`, as where a pattern may be refused without them.
    fn new(load: &Load<'_>, needed: bool) -> Self {
        let dearest = load.price.iter().copied().max().unwrap_or(0);
        let digits = DIGITS.min(dearest.leading_zeros());
        let mut order: Vec<(u64, u32)> = (0..load.length.len())
            .filter(|&i| (needed || load.price[i] > 0) && load.most[i] > 0)
            .map(|i| {
                let scaled = u128::from(load.price[i]) << digits;
                (u64::try_from(scaled.div_ceil(u128::from(load.length[i]))).unwrap_or(u64::MAX), i as u32)
            })
            .collect();
        // Of equal rates the longer first: it fills sooner.
        order.sort_by(|a, b| (b.0, load.length[b.1 as usize], a.1).cmp(&(a.0, load.length[a.1 as usize], b.1)));
        let length: Vec<u64> = order.iter().map(|o| load.length[o.1 as usize]).collect();
        let price: Vec<u64> = order.iter().map(|o| load.price[o.1 as usize]).collect();
        let mut shortest = length.clone();
        for j in (1..shortest.len()).rev() {
            shortest[j - 1] = shortest[j - 1].min(shortest[j]);
        }
        let mut single: Vec<(u64, u64, u32)> = (0..length.len()).map(|j| (length[j], price[j], j as u32)).collect();
        single.sort_unstable();
        for at in 1..single.len() {
            if single[at].1 <= single[at - 1].1 {
                (single[at].1, single[at].2) = (single[at - 1].1, single[at - 1].2);
            }
        }
        Sorted {
            kind: order.iter().map(|o| o.1).collect(),
            length,
            most: order.iter().map(|o| load.most[o.1 as usize]).collect(),
            price,
            rate: order.iter().map(|o| o.0).collect(),
            digits,
            shortest,
            single,
        }
    }

    /// The best price of one item within `capacity`, with its position.
    fn one(&self, capacity: u64) -> (u64, u32) {
        match self.single.partition_point(|s| s.0 <= capacity) {
            0 => (0, u32::MAX),
            n => (self.single[n - 1].1, self.single[n - 1].2),
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
                return value + self.part(capacity, j);
            }
        }
        value
    }

    /// Upper bound on what `capacity` is worth at the rate of position `j`.
    fn part(&self, capacity: u64, j: usize) -> u64 {
        let worth = (u128::from(capacity) * u128::from(self.rate[j])) >> self.digits;
        u64::try_from(worth).unwrap_or(u64::MAX >> 2).min(u64::MAX >> 2)
    }
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
    /// Steps in all.
    total: u64,
    stock: u32,
    allowed: Option<Allowed<'a>>,
    banned: &'a [Vec<u32>],
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
        let kinds = self.sorted.length.len();
        if from >= kinds || capacity < self.sorted.shortest[from] {
            return;
        }
        if capacity < 2 * self.sorted.shortest[from] {
            self.finish(from, capacity, value);
            return;
        }
        for j in from..kinds {
            self.steps += 1;
            if self.steps > self.most_steps {
                return;
            }
            if self.table.is_none() && value + self.sorted.part(capacity, j) <= self.best {
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

    /// As `descend` where only one more item can fit.
    fn finish(&mut self, from: usize, capacity: u64, value: u64) {
        self.steps += 1;
        let (price, at) = self.sorted.one(capacity);
        if value + price <= self.best {
            return;
        }
        if self.allowed.is_none() && at as usize >= from && self.barred[at as usize] == 0 {
            self.chosen.push((at, 1));
            self.consider(value + price);
            self.chosen.pop();
            return;
        }
        for j in from..self.sorted.length.len() {
            if self.sorted.length[j] > capacity || self.barred[j] > 0 || value + self.sorted.price[j] <= self.best {
                continue;
            }
            self.chosen.push((j as u32, 1));
            self.consider(value + self.sorted.price[j]);
            self.chosen.pop();
        }
        self.steps += (self.sorted.length.len() - from) as u64 / 4;
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
        self.count_bars(&apart[self.sorted.kind[j] as usize], on);
    }

    fn ban(&mut self, stock: u32, on: bool) {
        if let Some(banned) = self.banned.get(stock as usize) {
            self.count_bars(banned, on);
        }
    }

    fn count_bars(&mut self, kinds: &[u32], on: bool) {
        for &kind in kinds {
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

/// Best value by capacity, with one bit for each choice that led there.
struct Choices {
    value: Vec<u64>,
    words: usize,
    taken: Vec<u64>,
    /// Position and copies of each bundle, in order of use.
    bundles: Vec<(u32, u64)>,
}

impl Choices {
    fn new(sorted: &Sorted, capacity: u64) -> Self {
        let width = capacity as usize + 1;
        let words = width.div_ceil(64);
        let mut choices = Choices { value: vec![0; width], words, taken: Vec::new(), bundles: Vec::new() };
        for j in 0..sorted.length.len() {
            let mut left = sorted.most[j].min(capacity / sorted.length[j].max(1));
            let mut bundle = 1;
            while left > 0 {
                let copies = bundle.min(left);
                choices.add(j, copies, copies * sorted.length[j], copies * sorted.price[j]);
                left -= copies;
                bundle *= 2;
            }
        }
        choices
    }

    fn add(&mut self, position: usize, copies: u64, length: u64, price: u64) {
        let length = length as usize;
        let start = self.taken.len();
        self.taken.resize(start + self.words, 0);
        let taken = &mut self.taken[start..];
        for c in (length..self.value.len()).rev() {
            let with = self.value[c - length] + price;
            let better = with > self.value[c];
            taken[c / 64] |= u64::from(better) << (c % 64);
            self.value[c] = if better { with } else { self.value[c] };
        }
        self.bundles.push((position as u32, copies));
    }

    fn uses(&self, sorted: &Sorted, capacity: u64) -> Vec<(u32, u64)> {
        let mut c = capacity as usize;
        let mut uses: Vec<(u32, u64)> = Vec::new();
        for (at, &(position, copies)) in self.bundles.iter().enumerate().rev() {
            if self.taken[at * self.words + c / 64] >> (c % 64) & 1 == 1 {
                let kind = sorted.kind[position as usize];
                c -= (copies * sorted.length[position as usize]) as usize;
                match uses.iter_mut().find(|u| u.0 == kind) {
                    Some(u) => u.1 += copies,
                    None => uses.push((kind, copies)),
                }
            }
        }
        uses.sort_unstable();
        uses
    }
}

/// Finds patterns worth more than their stock's threshold: at most `want`, the best first.
///
pub(super) fn search(
    load: &Load<'_>,
    targets: &[Target],
    want: usize,
    thorough: Thorough,
    allowed: Option<Allowed<'_>>,
    meter: &mut Meter<'_>,
) -> Haul {
    let clash_free = load.apart.iter().all(Vec::is_empty) && load.banned.iter().all(Vec::is_empty);
    if thorough == Thorough::Complete
        && clash_free
        && allowed.is_none()
        && let Some(haul) = Circle::of(targets).and_then(|circle| circle.search(load, want, meter))
    {
        return haul;
    }
    let sorted = Sorted::new(load, allowed.is_some());
    let kinds = sorted.length.len();
    // Only stocks whose fractional bound exceeds the threshold can hold anything; the most promising first.
    let mut open: Vec<(u64, Target)> = targets
        .iter()
        .filter_map(|&t| {
            let value = sorted.fractional(0, t.capacity);
            (value > t.threshold).then(|| (value - t.threshold, t))
        })
        .collect();
    open.sort_by(|a, b| {
        // By excess over threshold.
        let (left, right) = (u128::from(a.0) * u128::from(b.1.threshold), u128::from(b.0) * u128::from(a.1.threshold));
        right.cmp(&left).then(a.1.stock.cmp(&b.1.stock))
    });
    meter.spend((targets.len() * 4 + kinds * 8) as u64);
    let mut haul = Haul { finds: Vec::new(), complete: true };
    if open.is_empty() {
        return haul;
    }
    let widest = open.iter().map(|o| o.1.capacity).max().unwrap_or(0);
    let entries = (kinds as u64 + 1).saturating_mul(widest.saturating_add(1));
    let mut place = vec![u32::MAX; load.length.len()];
    for (j, &kind) in sorted.kind.iter().enumerate() {
        place[kind as usize] = j as u32;
    }
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
        total: 0,
        stock: 0,
        allowed,
        banned: if clash_free { &[] } else { load.banned },
        table: None,
    };
    if thorough == Thorough::Quick {
        let mut hits = 0;
        let cap = 2_000 + 40 * kinds as u64;
        for &(_, target) in &open {
            let (found, ended) = each_first(&mut walk, target, cap, meter, &mut haul.finds);
            haul.complete &= ended;
            hits += usize::from(found);
            if hits >= 4 || walk.total > 5 * cap || meter.spent() {
                haul.complete = false;
                break;
            }
        }
    } else {
        // Few stocks: the program is dear for the one pattern that it would yield for each.
        let patience = if open.len() < 5 { entries } else { entries / 32 };
        let mut left = if entries <= LONGEST { patience + 20_000 } else { u64::MAX };
        for &(_, target) in &open {
            let before = walk.total;
            haul.complete &= each_first(&mut walk, target, left, meter, &mut haul.finds).1;
            left = left.saturating_sub(walk.total - before);
            if !haul.complete {
                break;
            }
        }
        if !haul.complete && entries <= LONGEST && !meter.spent() {
            haul.finds.clear();
            haul.complete = true;
            // Many stocks differ enough for one pattern each to do.
            if entries <= TABLE && (open.len() < 5 || !clash_free || allowed.is_some()) {
                let table = Table::new(&sorted, widest);
                meter.spend(entries * 2);
                walk.table = Some(&table);
                for &(_, target) in &open {
                    haul.complete &= each_first(&mut walk, target, u64::MAX, meter, &mut haul.finds).1;
                }
            } else {
                let choices = Choices::new(&sorted, widest);
                meter.spend(entries * 3);
                for &(_, target) in open.iter().filter(|o| choices.value[o.1.capacity as usize] > o.1.threshold) {
                    if clash_free && allowed.is_none() {
                        let excess = choices.value[target.capacity as usize] - target.threshold;
                        let uses = choices.uses(&sorted, target.capacity);
                        haul.finds.push(Find { stock: target.stock, uses, excess });
                    } else {
                        haul.complete &= each_first(&mut walk, target, u64::MAX, meter, &mut haul.finds).1;
                    }
                }
            }
        }
    }
    let share = |f: &Find| u128::from(f.excess);
    haul.finds
        .sort_by(|a, b| share(b).cmp(&share(a)).then_with(|| a.stock.cmp(&b.stock)).then_with(|| a.uses.cmp(&b.uses)));
    haul.finds.truncate(want);
    haul
}

/// For each item as the first in order of rate, the best pattern above the threshold, so that finds differ.
/// Returns whether any was found and whether the search was exhaustive.
fn each_first(
    walk: &mut Walk<'_>,
    target: Target,
    cap: u64,
    meter: &mut Meter<'_>,
    finds: &mut Vec<Find>,
) -> (bool, bool) {
    let kinds = walk.sorted.length.len();
    let mut found = false;
    let mut complete = true;
    let mut used = 0_u64;
    walk.stock = target.stock;
    walk.ban(target.stock, true);
    for j in 0..kinds {
        if walk.sorted.length[j] > target.capacity || walk.barred[j] > 0 {
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
        walk.most_steps = if cap == u64::MAX { 200_000_000 } else { (cap - used) / 4 + 500 };
        walk.take(j, target.capacity, 0);
        complete &= walk.steps <= walk.most_steps;
        used += walk.steps;
        walk.total += walk.steps;
        meter.spend(walk.steps * 4);
        if walk.best > target.threshold && !walk.best_chosen.is_empty() {
            let mut uses: Vec<(u32, u64)> =
                walk.best_chosen.iter().map(|&(p, n)| (walk.sorted.kind[p as usize], n)).collect();
            uses.sort_unstable();
            finds.push(Find { stock: target.stock, uses, excess: walk.best - target.threshold });
            found = true;
        }
    }
    walk.ban(target.stock, false);
    meter.spend(kinds as u64);
    (found, complete)
}

/// The pattern of most price found in few steps, for heuristics.
pub(super) fn good(load: &Load<'_>, capacity: u64, steps: u64, meter: &mut Meter<'_>) -> Vec<(u32, u64)> {
    let sorted = Sorted::new(load, false);
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
        total: 0,
        stock: 0,
        allowed: None,
        banned: &[],
        table: None,
    };
    walk.descend(0, capacity, 0);
    meter.spend(walk.steps * 4 + kinds as u64 * 8);
    let mut uses: Vec<(u32, u64)> = walk.best_chosen.iter().map(|&(p, n)| (sorted.kind[p as usize], n)).collect();
    uses.sort_unstable();
    uses
}
