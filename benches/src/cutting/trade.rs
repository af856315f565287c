//! Lists of the size that a roof gives, lengths in millimetres.

use upstand::cutting::exact::{Instance, Item, Stock};

use super::{Class, Draw, packing};

/// Plain lists, hard plain lists, and lap-joined lists.
pub fn trade() -> Vec<Class> {
    vec![
        Class { name: "trade 200-3000", instances: plain(60, 3000, 11) },
        Class { name: "trade 200-1500", instances: plain(20, 1500, 12) },
        Class { name: "joined, lap 50", instances: joined(100, 50, 13) },
        Class { name: "joined, lap 100", instances: joined(100, 100, 14) },
    ]
}

/// Lists of 20 to 120 runs of 200 to `longest` in bars of 3000.
fn plain(lists: u64, longest: u64, seed: u64) -> Vec<Instance> {
    let mut draw = Draw::new(seed);
    (0..lists)
        .map(|_| {
            let runs = draw.within(20, 120);
            let lengths: Vec<u64> = (0..runs).map(|_| draw.within(200, longest)).collect();
            packing(3000, &lengths)
        })
        .collect()
}

/// Lists of 5 to 60 runs of 300 to 9000 that may be joined, from bars of 3000: the stock is chains of bars.
fn joined(lists: u64, lap: u64, seed: u64) -> Vec<Instance> {
    let mut draw = Draw::new(seed);
    (0..lists)
        .map(|_| {
            let runs = draw.within(5, 60);
            let lengths: Vec<u64> = (0..runs).map(|_| draw.within(300, 9000)).collect();
            let total: u64 = lengths.iter().sum();
            let most = (total - lap).div_ceil(3000 - lap);
            Instance {
                stocks: (1..=most).map(|b| Stock { length: b * 3000 - (b - 1) * lap, cost: b, tie: b - 1 }).collect(),
                items: lengths.iter().map(|&length| Item { length, count: 1, kind: 0 }).collect(),
                ..Instance::default()
            }
        })
        .collect()
}
