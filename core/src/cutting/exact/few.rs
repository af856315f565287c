//! Patterns of one to three items that nearly fill a chain: what the relaxation begins with where stocks are chains.
//!
//! A chain of `n` equal bars holds `n c + o`, one lap `o` more than its bars less a lap each. Where a part of a chain's items leaves
//! no more over, modulo `c`, than the whole chain and one lap do, the chain can be made as two of no more bars in all. So
//! good chains are those that cannot be parted so: mostly of few items, and of less waste than a lap. With the best of
//! those up to three items at hand, pricing has to find only the few longer ones that count.
//!
//! Singles, pairs and a binary search for the third item: `O(k^2 log k)` for `k` kinds of item, and sorting what is found.

use super::circle::steps;
use super::reduce::Core;
use super::relax::Column;

/// Most kinds of item for which patterns are looked for.
const MOST_KINDS: usize = 400;
/// Most patterns of each item that are kept.
const EACH: u32 = 16;
/// Most patterns that are looked at.
const MOST_SEEN: usize = 100_000;

/// The patterns, each on the shortest chain that holds it. None where the stocks are no chains of equal bars.
pub(super) fn patterns(core: &Core) -> Vec<Column> {
    let kinds = core.length.len();
    let mut chains: Vec<(u64, u32)> = core.stocks.iter().zip(0..).map(|(stock, s)| (stock.length, s)).collect();
    chains.sort_unstable();
    let Some((around, over)) = steps(chains.iter().map(|chain| chain.0)) else { return Vec::new() };
    if kinds > MOST_KINDS {
        return Vec::new();
    }
    // What a pattern leaves over, modulo `around`: `over` less its items.
    let part: Vec<u64> = core.length.iter().map(|&length| length % around).collect();
    let less = |from: u64, kind: usize| if from >= part[kind] { from - part[kind] } else { from + around - part[kind] };
    let mut sorted: Vec<(u64, u32)> = part.iter().copied().zip(0..).collect();
    sorted.sort_unstable();
    let mut found: Vec<(u64, Vec<(u32, u64)>)> = Vec::new();
    for i in 0..kinds {
        let first = less(over, i);
        found.push((if first < over { first } else { around }, vec![(i as u32, 1)]));
        for j in i..kinds {
            let second = less(first, j);
            if second < over {
                found.extend(uses(core, &[i, j]).map(|uses| (second, uses)));
            }
            // A third leaves less than `over` where its part lies at or below `second`, and less than `over` below.
            let mut reach = |from: u64, to: u64| {
                let begin = sorted.partition_point(|&(part, _)| part < from);
                for &(part, third) in sorted[begin..].iter().take_while(|&&(part, _)| part <= to) {
                    if third as usize >= j {
                        let waste = if part <= second { second - part } else { second + around - part };
                        found.extend(uses(core, &[i, j, third as usize]).map(|uses| (waste, uses)));
                    }
                }
            };
            if over > 0 {
                reach((second + 1).saturating_sub(over), second);
                if second + 1 < over {
                    reach(around + second + 1 - over, around - 1);
                }
            }
            if found.len() > MOST_SEEN {
                return Vec::new();
            }
        }
    }
    found.sort_unstable_by(|a, b| (a.0, a.1.len(), &a.1).cmp(&(b.0, b.1.len(), &b.1)));
    let mut kept = vec![0_u32; kinds];
    let mut columns = Vec::new();
    for (_, uses) in found {
        if uses.len() > 1 && uses.iter().all(|&(kind, _)| kept[kind as usize] >= EACH) {
            continue;
        }
        let length: u64 = uses.iter().map(|&(kind, copies)| core.length[kind as usize] * copies).sum();
        let fit = chains.partition_point(|chain| chain.0 < length);
        let Some(&(_, stock)) = chains.get(fit) else { continue };
        uses.iter().for_each(|&(kind, _)| kept[kind as usize] += 1);
        columns.push(Column { stock, uses });
    }
    columns
}

/// The items as a pattern, if as many of each are wanted; they are given in ascending order.
fn uses(core: &Core, items: &[usize]) -> Option<Vec<(u32, u64)>> {
    let mut uses: Vec<(u32, u64)> = Vec::new();
    for &item in items {
        match uses.last_mut().filter(|last| last.0 as usize == item) {
            Some(last) => last.1 += 1,
            None => uses.push((item as u32, 1)),
        }
    }
    uses.iter().all(|&(kind, copies)| copies <= core.count[kind as usize]).then_some(uses)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cutting::exact::{Instance, Item, Stock};

    proptest! {
        /// Every pattern is one, on the shortest chain that holds it; and every pair that leaves less than a lap is there.
        #[test]
        fn patterns_fit_and_no_good_pair_is_missing(
            items in proptest::collection::vec((12_u64..90, 1_u64..3), 1..8), around in 20_u64..40, over in 1_u64..12,
        ) {
            let chain = |n: u64| Stock { length: n * around + over, cost: n, tie: n - 1 };
            let item = |&(length, count): &(u64, u64)| Item { length, count, kind: 0 };
            // Two lengths without a common factor, so that none is divided.
            let items = [vec![(13, 1), (12, 1)], items].concat();
            let instance =
                Instance { stocks: (1..=30).map(chain).collect(), items: items.iter().map(item).collect(), ..Default::default() };
            let core = Core::new(&instance).expect("a valid instance");
            let columns = patterns(&core);
            let filled = |uses: &[(u32, u64)]| uses.iter().map(|&(i, n)| core.length[i as usize] * n).sum::<u64>();
            for column in &columns {
                let held = core.stocks[column.stock as usize].length;
                prop_assert!(filled(&column.uses) <= held);
                prop_assert!(core.stocks.iter().all(|s| s.length < filled(&column.uses) || s.length >= held));
                prop_assert!(column.uses.windows(2).all(|two| two[0].0 < two[1].0));
                prop_assert!(column.uses.iter().all(|&(i, n)| n >= 1 && n <= core.count[i as usize]));
            }
            let alike = core.stocks.len() > 3 && over < around;
            for (i, j) in (0..core.length.len()).flat_map(|i| (0..i).map(move |j| (j, i))).filter(|_| alike) {
                let uses = vec![(i as u32, 1), (j as u32, 1)];
                let chain = core.stocks.iter().map(|s| s.length).filter(|&l| l >= filled(&uses)).min();
                let kept = |kind: usize| columns.iter().filter(|c| c.uses.iter().any(|u| u.0 as usize == kind)).count();
                let enough = kept(i) >= EACH as usize && kept(j) >= EACH as usize;
                // The longest chain is cut down to what all items together are long.
                if chain.is_some_and(|c| c - filled(&uses) < over && (c - over) % around == 0) && !enough {
                    prop_assert!(columns.iter().any(|c| c.uses == uses), "{:?} of {:?}", uses, core.length);
                }
            }
        }
    }
}
