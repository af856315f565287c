//! The pricing problem where stocks are chains of equal bars: a knapsack on a circle.
//!
//! A chain of `n` bars holds `n c + o`: each bar gives its length less the lap, and one lap is left over. What it has to be worth
//! grows alike, by a `fee` for each bar. So the best pattern on any chain is the greatest of `price - fee * bars`, and
//! for the bars it matters only how long the pattern is modulo `c`, and how often it has gone round. That takes a table of `c`
//! values for each item, however long the chains are; by length alone it would take one of their greatest length.

use super::knapsack::{Find, Haul, Load, Target};
use super::meter::Meter;

/// Most entries of the table.
const TABLE: u64 = 1_000_000;
/// No pattern ends here.
const NONE: i64 = i64::MIN / 2;
/// Prices and fees stay below this, so that no sum of them overflows.
const LARGEST: u64 = 1 << 61;

/// Chains of one to `targets.len()` equal bars.
pub(super) struct Circle {
    /// By number of bars, less one.
    targets: Vec<Target>,
    /// What each bar adds to the capacity, and to the threshold.
    around: u64,
    fee: i64,
    /// What a chain holds beyond that.
    over: u64,
}

/// What each further bar adds to a chain's capacity, and what a chain holds beyond that, if rising capacities are those of chains of
/// one, two, three and more equal bars.
pub(super) fn steps(capacities: impl ExactSizeIterator<Item = u64> + Clone) -> Option<(u64, u64)> {
    let mut first = capacities.clone();
    let (one, two) = (first.next()?, first.next()?);
    let last = capacities.len().checked_sub(3)?;
    let around = two - one;
    let over = one.checked_sub(around).filter(|&over| over < around)?;
    let mut pairs = capacities.clone().zip(capacities.skip(1)).enumerate();
    // The longest may be cut down to what all items together are long.
    let alike = pairs.all(|(at, (short, long))| long - short == around || (at > last && long - short < around));
    alike.then_some((around, over))
}

impl Circle {
    /// The chains, if that is what the targets are.
    pub(super) fn of(targets: &[Target]) -> Option<Circle> {
        let mut targets = targets.to_vec();
        targets.sort_by_key(|target| target.capacity);
        let (around, over) = steps(targets.iter().map(|target| target.capacity))?;
        let [one, two, ..] = targets[..] else { return None };
        let fee = two.threshold.checked_sub(one.threshold)?;
        let alike = targets.windows(2).all(|pair| pair[1].threshold.checked_sub(pair[0].threshold) == Some(fee));
        let small = fee.checked_mul(targets.len() as u64 + 2).is_some_and(|fees| fees < LARGEST);
        let small = small && one.threshold < LARGEST;
        (alike && small).then_some(Circle { targets, around, fee: fee as i64, over })
    }

    /// Patterns worth more than their threshold, at most `want`, the best first. Nothing where the table would be too large, where
    /// an item is no longer than what is left over, or where only patterns that no chain holds are worth so much.
    pub(super) fn search(&self, load: &Load<'_>, want: usize, meter: &mut Meter<'_>) -> Option<Haul> {
        let longest = self.targets.last()?.capacity;
        let bundles = bundles(load, longest);
        let entries = (bundles.len() as u64 + 1).saturating_mul(self.around);
        let worth =
            bundles.iter().try_fold(0_u64, |sum, bundle| sum.checked_add(bundle.price)).filter(|&sum| sum < LARGEST);
        let rounds = bundles.iter().fold(0_u64, |sum, bundle| sum.saturating_add(bundle.length / self.around + 1));
        let fees = rounds.checked_mul(self.fee.unsigned_abs()).filter(|&fees| fees < LARGEST);
        // What one bar holds beside its part of the circle alone is no turn, but a bar.
        let short = bundles.iter().any(|bundle| bundle.length <= self.over);
        if short || entries > TABLE || worth.is_none() || fees.is_none() {
            return None;
        }
        meter.spend(entries);
        let table = self.table(&bundles);
        let width = self.around as usize;
        let last = &table[bundles.len() * width..];
        let mut open: Vec<(i64, usize)> = last
            .iter()
            .enumerate()
            .map(|(at, &value)| (value - self.asked(at), at))
            .filter(|ending| ending.0 > 0)
            .collect();
        if open.is_empty() {
            return Some(Haul { finds: Vec::new(), complete: true });
        }
        open.sort_unstable_by_key(|&(excess, at)| (std::cmp::Reverse(excess), at));
        let mut finds: Vec<Find> = Vec::new();
        for (rank, &(_, at)) in open.iter().enumerate().take(4 * want) {
            let find = self.find(load, &bundles, &table, at);
            if rank == 0 && find.is_none() {
                return None;
            }
            if let Some(find) = find.filter(|find| !finds.contains(find)) {
                finds.push(find);
            }
            if finds.len() == want {
                break;
            }
        }
        Some(Haul { finds, complete: true })
    }

    /// What a pattern that ends at a place is asked to be worth, beside the fee for each time round.
    fn asked(&self, at: usize) -> i64 {
        let begun = if at as u64 > self.over { self.fee } else { 0 };
        self.targets[0].threshold as i64 - self.fee + begun
    }

    /// The greatest price less fees for times round, after each bundle, by where the pattern ends.
    fn table(&self, bundles: &[Bundle]) -> Vec<i64> {
        let width = self.around as usize;
        let mut table = vec![NONE; (bundles.len() + 1) * width];
        table[0] = 0;
        for (at, bundle) in bundles.iter().enumerate() {
            let (before, after) = table[at * width..(at + 2) * width].split_at_mut(width);
            let (round, ahead) = (bundle.length / self.around, (bundle.length % self.around) as usize);
            let gain = bundle.price as i64 - self.fee * round as i64;
            after.copy_from_slice(before);
            let (low, high) = before.split_at(width - ahead);
            let (begun, on) = after.split_at_mut(ahead);
            for (to, from) in on.iter_mut().zip(low) {
                *to = (*to).max(from + gain);
            }
            for (to, from) in begun.iter_mut().zip(high) {
                *to = (*to).max(from + gain - self.fee);
            }
        }
        table
    }

    /// The pattern that ends at a place, if a chain holds it and it is worth having.
    fn find(&self, load: &Load<'_>, bundles: &[Bundle], table: &[i64], mut at: usize) -> Option<Find> {
        let width = self.around as usize;
        let mut uses: Vec<(u32, u64)> = Vec::new();
        for (row, bundle) in bundles.iter().enumerate().rev() {
            if table[(row + 1) * width + at] == table[row * width + at] {
                continue;
            }
            at = (at + width - (bundle.length % self.around) as usize) % width;
            match uses.last_mut().filter(|last| last.0 == bundle.kind) {
                Some(last) => last.1 += bundle.copies,
                None => uses.push((bundle.kind, bundle.copies)),
            }
        }
        uses.sort_unstable();
        let sum = |of: &[u64]| uses.iter().map(|&(kind, copies)| of[kind as usize] * copies).sum::<u64>();
        let bars = sum(load.length).saturating_sub(self.over).div_ceil(self.around).max(1);
        let target = self.targets.get(usize::try_from(bars).ok()? - 1)?;
        if sum(load.length) > target.capacity {
            return None;
        }
        let excess = sum(load.price).checked_sub(target.threshold).filter(|&excess| excess > 0)?;
        Some(Find { stock: target.stock, uses, excess })
    }
}

/// Copies of an item that are taken together or not at all; any number of copies is a sum of some.
struct Bundle {
    kind: u32,
    copies: u64,
    length: u64,
    price: u64,
}

fn bundles(load: &Load<'_>, longest: u64) -> Vec<Bundle> {
    let mut bundles = Vec::new();
    for kind in 0..load.length.len() {
        let (length, price) = (load.length[kind], load.price[kind]);
        let mut left = if price > 0 { load.most[kind].min(longest / length.max(1)) } else { 0 };
        let mut next = 1;
        while left > 0 {
            let copies = next.min(left);
            bundles.push(Bundle {
                kind: kind as u32,
                copies,
                length: copies * length,
                price: copies.saturating_mul(price),
            });
            left -= copies;
            next *= 2;
        }
    }
    bundles
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cutting::budget::Budget;
    use crate::cutting::problem::Effort;

    /// The greatest excess of any pattern, by trying all.
    fn best(load: &Load<'_>, targets: &[Target], kind: usize, length: u64, price: u64) -> Option<u64> {
        let Some(&most) = load.most.get(kind) else {
            let fits = targets.iter().filter(|target| length <= target.capacity);
            return fits.filter_map(|target| price.checked_sub(target.threshold)).max().filter(|&excess| excess > 0);
        };
        let of = |copies| {
            best(load, targets, kind + 1, length + copies * load.length[kind], price + copies * load.price[kind])
        };
        (0..=most).filter_map(of).max()
    }

    proptest! {
        /// The best pattern on any chain is found, each find is worth what it says, and none is claimed where there is none.
        #[test]
        fn the_best_of_all_patterns_is_found(
            items in proptest::collection::vec((1_u64..40, 1_u64..4, 0_u64..60), 1..6),
            around in 8_u64..30, over in 0_u64..8, fee in 0_u64..50, first in 1_u64..60, chains in 3_u64..6, short in 0_u64..8,
        ) {
            let column = |of: fn(&(u64, u64, u64)) -> u64| items.iter().map(of).collect::<Vec<_>>();
            let (length, most, price) = (column(|i| i.0), column(|i| i.1), column(|i| i.2));
            let load = Load { length: &length, most: &most, price: &price, apart: &[], banned: &[] };
            let targets: Vec<Target> = (1..=chains)
                .map(|bars| Target {
                    stock: (chains - bars) as u32,
                    capacity: bars * around + over - if bars == chains { short } else { 0 },
                    threshold: first + (bars - 1) * fee,
                })
                .collect();
            let circle = Circle::of(&targets).expect("equal steps");
            let effort = Effort::default();
            let budget = Budget::new(&effort, None);
            let Some(haul) = circle.search(&load, 5, &mut Meter::new(&budget)) else { return Ok(()) };
            prop_assert!(haul.complete);
            prop_assert_eq!(haul.finds.first().map(|find| find.excess), best(&load, &targets, 0, 0, 0));
            for find in &haul.finds {
                let sum = |of: &[u64]| find.uses.iter().map(|&(kind, copies)| of[kind as usize] * copies).sum::<u64>();
                let target = targets.iter().find(|target| target.stock == find.stock).expect("a chain");
                prop_assert!(sum(&length) <= target.capacity);
                prop_assert_eq!(sum(&price), target.threshold + find.excess);
                prop_assert!(find.uses.iter().all(|&(kind, copies)| copies <= most[kind as usize]));
            }
        }
    }

    #[test]
    fn unequal_chains_are_no_circle() {
        let target = |stock, capacity, threshold| Target { stock, capacity, threshold };
        assert!(Circle::of(&[target(0, 30, 10), target(1, 50, 20)]).is_none());
        assert!(Circle::of(&[target(0, 30, 10), target(1, 50, 20), target(2, 70, 31)]).is_none());
        assert!(Circle::of(&[target(0, 30, 10), target(1, 50, 20), target(2, 71, 30)]).is_none());
        assert!(Circle::of(&[target(0, 30, 10), target(1, 50, 20), target(2, 60, 30)]).is_some());
    }
}
