//! Instances whose relaxation has no waste, with and without a packing that has none.
//!
//! Caprara, Dell'Amico, Diaz, Iori and Rizzi (2015), Friendly bin packing instances without Integer Round-Up Property:
//! the Petersen graph is fractionally but not integrally 3-edge-colourable. Its 15 edges are items and its six perfect
//! matchings fill a bin each, so that half of every matching packs all items into three bins, and no packing does.
//! Delorme, Iori and Martello (2016) augment such instances by items that fill bins exactly, to 201, 402, 600, 801 and
//! 1002 items in capacities of 2,500 to 80,000, and, for instances that do have a packing, divide an item.
//! How their added items are drawn is not known here: these are triplets. Of the undivided instances no packing is
//! perfect: lengths of the 15 leave a rest of 1 over multiples of 5, and all others none, so that a full bin holds
//! five of the 15 or none.

use super::{Class, Draw, packing};
use upstand::cutting::exact::Instance;

/// Number of items, capacity, name without and with a divided item.
const SIZES: [(u64, u64, &str, &str); 5] = [
    (201, 2_500, "ANI 201", "AI 202"),
    (402, 10_000, "ANI 402", "AI 403"),
    (600, 20_000, "ANI 600", "AI 601"),
    (801, 40_000, "ANI 801", "AI 802"),
    (1002, 80_000, "ANI 1002", "AI 1003"),
];

/// One class for each size, without and with a divided item.
pub(super) fn augmented() -> Vec<Class> {
    let mut classes = Vec::new();
    for (n, capacity, plain, divided) in SIZES {
        classes.push(Class { name: plain, instances: instances(5, n, capacity, false) });
        classes.push(Class { name: divided, instances: instances(5, n, capacity, true) });
    }
    classes
}

fn instances(number: u64, n: u64, capacity: u64, divide: bool) -> Vec<Instance> {
    let mut draw = Draw::new(7000 + n + u64::from(divide));
    (0..number)
        .map(|_| {
            let mut lengths = core(capacity, &mut draw);
            let unit = if divide { 1 } else { 5 };
            while (lengths.len() as u64) < n {
                let first = draw.within(capacity / 3 / unit, capacity * 12 / 25 / unit) * unit;
                let second = draw.within(capacity / 4 / unit, (capacity - first) / 2 / unit) * unit;
                lengths.extend([first, second, capacity - first - second]);
            }
            if divide {
                let at = draw.within(0, n - 1) as usize;
                let part = draw.within(lengths[at] / 4, lengths[at] / 2);
                lengths[at] -= part;
                lengths.push(part);
            }
            packing(capacity, &lengths)
        })
        .collect()
}

/// 15 items for three bins that only a fractional packing fills. An edge of the Petersen graph lies in exactly two of
/// its six perfect matchings, and each two matchings share one edge: edges are the pairs of six.
fn core(capacity: u64, draw: &mut Draw) -> Vec<u64> {
    let pair = |a: usize, b: usize| {
        let (low, high) = (a.min(b), a.max(b));
        low * (11 - low) / 2 + high - low - 1
    };
    loop {
        let mut lengths = [capacity as i64 / 5 + 1; 15];
        for (a, b) in [(0, 1), (2, 3), (4, 5)] {
            lengths[pair(a, b)] -= 5;
        }
        for _ in 0..60 {
            // Around a square of four matchings, alternately longer and shorter: their sums stay.
            let mut corners = [0, 1, 2, 3, 4, 5];
            for at in 0..4 {
                corners.swap(at, draw.within(at as u64, 5) as usize);
            }
            let step = 5 * draw.within(1, capacity / 125) as i64;
            let mut changed = lengths;
            for at in 0..4 {
                changed[pair(corners[at], corners[(at + 1) % 4])] += if at % 2 == 0 { step } else { -step };
            }
            if changed.iter().all(|&l| l * 12 > capacity as i64 && l * 3 < capacity as i64) {
                lengths = changed;
            }
        }
        let lengths: Vec<u64> = lengths.iter().map(|l| l.unsigned_abs()).collect();
        if !fills_three(&lengths, capacity) {
            return lengths;
        }
    }
}

/// Whether the items can be divided into three bins without waste: all ways are gone through.
fn fills_three(lengths: &[u64], capacity: u64) -> bool {
    let all = (1_u32 << lengths.len()) - 1;
    let sum = |set: u32| (0..lengths.len()).filter(|i| set >> i & 1 == 1).map(|i| lengths[i]).sum::<u64>();
    let full: Vec<u32> = (1..=all).filter(|&set| sum(set) == capacity).collect();
    let with_first = full.iter().filter(|&&set| set & 1 == 1);
    with_first.into_iter().any(|&one| full.iter().any(|&two| one & two == 0 && sum(all & !one & !two) == capacity))
}
