//! Whole packs that cover an amount.

use super::line::PackCount;
use crate::amount::Amount;
use crate::money::Money;

/// One size of pack on offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PackSold {
    /// Content, in the same small unit as the need (the take-off counts in millionths of its units).
    pub size: u64,
    /// Price, if known.
    pub price: Option<Money>,
}

/// Steps that are covered by search. Packs sold in whole steps of a few hundredths of the largest stay far below it.
const MOST_STEPS: u64 = 100_000;

/// How many of each size to buy so that they hold at least `need`, in the order of `packs`.
///
/// Where every size has a price: least cost, then least content, then fewest packs. Otherwise: least content, then
/// fewest packs. Among equals the larger packs. Sizes of 0 are never bought; with nothing to buy from, all counts are 0.
///
/// Method: covering by dynamic programming over whole steps (the greatest common divisor of the sizes). All but a
/// bounded rest is covered by the pack that gives most for its cost: any other packs whose contents add up to a multiple
/// of that pack can be exchanged for it at no greater cost, and among as many packs as it has steps some always do. Exact
/// while the rest fits 100 000 steps; beyond that, what exceeds it is bought in that best pack.
///
/// ```
/// use upstand::takeoff::{PackSold, choose_packs};
///
/// let sold = [20_000, 10_000, 5_000].map(|size| PackSold { size, price: None });
/// // 34 kg: 20 + 10 + 5, not two of 20.
/// assert_eq!(choose_packs(34_000, &sold), [1, 1, 1]);
/// ```
pub fn choose_packs(need: u64, packs: &[PackSold]) -> Vec<u64> {
    let mut counts = vec![0; packs.len()];
    let priced = packs.iter().filter(|pack| pack.size > 0).all(|pack| pack.price.is_some());
    let cost = |pack: &PackSold| if priced { pack.price.map_or(0, Money::parts) } else { pack.size };
    // Most content for its cost first, then the larger; the one with the lowest index of entirely equal ones.
    let best = (0..packs.len()).filter(|&p| packs[p].size > 0).min_by(|&a, &b| {
        let per_content = |x: usize, y: usize| u128::from(cost(&packs[x])) * u128::from(packs[y].size);
        per_content(a, b).cmp(&per_content(b, a)).then(packs[b].size.cmp(&packs[a].size))
    });
    let Some(best) = best else { return counts };
    let step = packs.iter().filter(|pack| pack.size > 0).fold(0, |step, pack| gcd(step, pack.size));
    let steps = need.div_ceil(step);
    let best_steps = packs[best].size / step;
    let largest_steps = packs.iter().map(|pack| pack.size / step).max().unwrap_or(1);
    // Beyond what the other packs can hold in a best answer, plus one pack that may run over, only the best pack is bought.
    let rest_limit = best_steps.saturating_mul(largest_steps).saturating_add(best_steps).min(MOST_STEPS);
    let in_bulk = steps.saturating_sub(rest_limit).div_ceil(best_steps);
    counts[best] = in_bulk;
    let rest = steps.saturating_sub(in_bulk.saturating_mul(best_steps));
    for pack in cover(rest, step, packs, cost) {
        counts[pack] += 1;
    }
    counts
}

/// The packs, by index and one by one, that cover `steps` best.
fn cover(steps: u64, step: u64, packs: &[PackSold], cost: impl Fn(&PackSold) -> u64) -> Vec<usize> {
    // Cost, content, number of packs: compared in this order; and the pack bought last.
    type Cell = (u128, u64, u64, usize);
    let by_size = {
        let mut order: Vec<usize> = (0..packs.len()).filter(|&p| packs[p].size > 0).collect();
        order.sort_by(|&a, &b| packs[b].size.cmp(&packs[a].size));
        order
    };
    let mut cells: Vec<Cell> = vec![(0, 0, 0, usize::MAX)];
    for covered in 1..=steps {
        let mut least: Option<Cell> = None;
        for &p in &by_size {
            let before = covered.saturating_sub(packs[p].size / step);
            let (spent, content, number, _) = cells[before as usize];
            let cell = (spent + u128::from(cost(&packs[p])), content.saturating_add(packs[p].size), number + 1, p);
            if least.is_none_or(|least| (cell.0, cell.1, cell.2) < (least.0, least.1, least.2)) {
                least = Some(cell);
            }
        }
        cells.extend(least);
    }
    let mut bought = Vec::new();
    let mut left = steps;
    while left > 0 {
        let (_, _, _, pack) = cells[left as usize];
        bought.push(pack);
        left = left.saturating_sub(packs[pack].size / step);
    }
    bought
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Packs bought for one line.
#[derive(Clone, Debug, Default)]
pub(super) struct Purchase {
    /// (size in millionths, count), largest first.
    packs: Vec<(u64, u64)>,
    /// What they cost, where all have a price.
    pub(super) cost: Option<Money>,
}

impl Purchase {
    /// The best packs that cover `need`.
    pub(super) fn covering(need: Amount, sold: &[PackSold]) -> Self {
        let counts = choose_packs(need.millionths(), sold);
        Purchase::of(sold.iter().copied().zip(counts))
    }

    /// The packs given, equal sizes together.
    pub(super) fn of(bought: impl IntoIterator<Item = (PackSold, u64)>) -> Self {
        let mut packs: Vec<(u64, u64)> = Vec::new();
        let mut cost = Some(Money::ZERO);
        for (pack, count) in bought.into_iter().filter(|&(_, count)| count > 0) {
            cost = cost.and_then(|sum| sum.plus(pack.price?.times(count)?));
            match packs.iter_mut().find(|(size, _)| *size == pack.size) {
                Some(same) => same.1 += count,
                None => packs.push((pack.size, count)),
            }
        }
        packs.sort_by_key(|&(size, _)| std::cmp::Reverse(size));
        let cost = cost.filter(|_| !packs.is_empty());
        Purchase { packs, cost }
    }

    /// What all packs hold together.
    pub(super) fn content(&self) -> Amount {
        let sum = self.packs.iter().fold(0_u64, |sum, &(size, count)| sum.saturating_add(size.saturating_mul(count)));
        Amount::from_millionths(sum)
    }

    pub(super) fn counts(&self) -> Vec<PackCount> {
        let count = |&(size, count): &(u64, u64)| PackCount { size: Amount::from_millionths(size).value(), count };
        self.packs.iter().map(count).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sold(sizes: &[u64]) -> Vec<PackSold> {
        sizes.iter().map(|&size| PackSold { size, price: None }).collect()
    }

    fn priced(packs: &[(u64, u64)]) -> Vec<PackSold> {
        packs.iter().map(|&(size, price)| PackSold { size, price: Some(Money::from_parts(price)) }).collect()
    }

    #[test]
    fn least_content_first_and_cheapest_where_all_is_priced() {
        assert_eq!(choose_packs(0, &sold(&[5])), [0]);
        assert_eq!(choose_packs(1, &sold(&[5])), [1]);
        assert_eq!(choose_packs(10, &sold(&[5])), [2]);
        // 6 + 6 covers 12 with nothing over; the largest pack first would take 10 + 6.
        assert_eq!(choose_packs(12, &sold(&[10, 6])), [0, 2]);
        // One pack of 20 costs less than 10 + 5 that would do.
        assert_eq!(choose_packs(15, &priced(&[(20, 30), (10, 20), (5, 12)])), [1, 0, 0]);
        // A price missing: content decides.
        let mut some = priced(&[(20, 30), (10, 20), (5, 12)]);
        some[2].price = None;
        assert_eq!(choose_packs(15, &some), [0, 1, 1]);
    }

    #[test]
    fn hostile_sizes_neither_hang_nor_panic() {
        assert_eq!(choose_packs(u64::MAX, &sold(&[1])), [u64::MAX]);
        assert_eq!(choose_packs(7, &sold(&[0])), [0]);
        assert_eq!(choose_packs(7, &[]), Vec::<u64>::new());
        let primes = sold(&[999_999_937, 999_999_929, 999_999_893]);
        let counts = choose_packs(u64::MAX / 2, &primes);
        let held: u128 = counts.iter().zip(&primes).map(|(&n, p)| u128::from(n) * u128::from(p.size)).sum();
        assert!(held >= u128::from(u64::MAX / 2));
    }

    /// The best (cost, content, packs) by trying every count of every size.
    fn by_trying(need: u64, packs: &[PackSold], with_prices: bool) -> (u64, u64, u64) {
        fn go(need: u64, packs: &[PackSold], with_prices: bool, so_far: (u64, u64, u64), best: &mut (u64, u64, u64)) {
            let Some((pack, others)) = packs.split_first() else {
                if so_far.1 >= need {
                    *best = so_far.min(*best);
                }
                return;
            };
            let cost = if with_prices { pack.price.expect("priced").parts() } else { pack.size };
            for n in 0..=need.div_ceil(pack.size) {
                let next = (so_far.0 + n * cost, so_far.1 + n * pack.size, so_far.2 + n);
                go(need, others, with_prices, next, best);
            }
        }
        let mut best = (u64::MAX, 0, 0);
        go(need, packs, with_prices, (0, 0, 0), &mut best);
        best
    }

    proptest! {
        #[test]
        fn nothing_better_is_found_by_trying_all(
            need in 0u64..60,
            packs in proptest::collection::vec((1u64..12, 0u64..20), 1..4),
            with_prices: bool,
        ) {
            let mut packs = priced(&packs);
            if !with_prices {
                packs.iter_mut().for_each(|pack| pack.price = None);
            }
            let counts = choose_packs(need, &packs);
            let cost = |pack: &PackSold| pack.price.map_or(pack.size, Money::parts);
            let sum = |value: &dyn Fn(&PackSold) -> u64| -> u64 { packs.iter().zip(&counts).map(|(p, &n)| n * value(p)).sum() };
            let found = (sum(&cost), sum(&|p| p.size), counts.iter().sum());
            prop_assert_eq!(found, by_trying(need, &packs, with_prices));
        }

        #[test]
        fn the_packs_hold_the_need(need in 0u64..20_000, sizes in proptest::collection::vec(1u64..2_000, 1..5)) {
            let packs = sold(&sizes);
            let purchase = Purchase::covering(Amount::from_millionths(need), &packs);
            prop_assert!(purchase.content().millionths() >= need);
        }
    }
}
