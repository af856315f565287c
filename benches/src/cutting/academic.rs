//! The classes of the bin-packing literature, drawn by their recipes.
//!
//! Falkenauer (1996), A hybrid grouping genetic algorithm for bin packing; Scholl, Klein and Juergens (1997), BISON;
//! Schwerin and Waescher (1997), The bin-packing problem: a problem generator and some numerical experiments;
//! Delorme, Iori and Martello (2016), Bin packing and cutting stock problems: mathematical models and exact algorithms.

use super::hard::hard;
use super::{Class, Draw, packing};
use upstand::cutting::exact::Instance;

/// One class for each recipe and size.
pub fn academic() -> Vec<Class> {
    let mut classes = Vec::new();
    for (name, n) in [("u120", 120), ("u250", 250), ("u500", 500), ("u1000", 1000)] {
        classes.push(Class { name, instances: drawn(20, n, n, |d| d.within(20, 100), 150) });
    }
    for (name, n) in [("t60", 60), ("t120", 120), ("t249", 249), ("t501", 501)] {
        classes.push(Class { name, instances: triplets(20, n) });
    }
    classes.push(Class { name: "Schwerin 1", instances: drawn(100, 100, 21, |d| d.within(150, 200), 1000) });
    classes.push(Class { name: "Schwerin 2", instances: drawn(100, 120, 22, |d| d.within(150, 200), 1000) });
    classes.push(Class { name: "Scholl 1", instances: scholl_1() });
    classes.push(Class { name: "Scholl 2", instances: scholl_2() });
    classes.push(Class { name: "Scholl 3", instances: drawn(10, 200, 33, |d| d.within(20_000, 35_000), 100_000) });
    classes.push(Class { name: "random", instances: random() });
    classes.push(Class { name: "wide", instances: drawn(40, 150, 52, |d| d.within(1, 5000), 10_000) });
    classes.extend(hard());
    classes
}

fn drawn(instances: u64, n: u64, seed: u64, length: fn(&mut Draw) -> u64, capacity: u64) -> Vec<Instance> {
    let mut draw = Draw::new(seed);
    (0..instances)
        .map(|_| {
            let lengths: Vec<u64> = (0..n).map(|_| length(&mut draw)).collect();
            packing(capacity, &lengths)
        })
        .collect()
}

/// Triplets that each fill a bin of 1000: the first of 380 to 490, the second of 250 to half of the rest.
fn triplets(instances: u64, n: u64) -> Vec<Instance> {
    let mut draw = Draw::new(1000 + n);
    (0..instances)
        .map(|_| {
            let mut lengths = Vec::new();
            for _ in 0..n / 3 {
                let first = draw.within(380, 490);
                let second = draw.within(250, (1000 - first) / 2);
                lengths.extend([first, second, 1000 - first - second]);
            }
            packing(1000, &lengths)
        })
        .collect()
}

/// Lengths uniform up to 100 in capacities of 100, 120 and 150; three of each combination.
fn scholl_1() -> Vec<Instance> {
    let mut draw = Draw::new(31);
    let mut instances = Vec::new();
    for n in [50, 100, 200, 500] {
        for capacity in [100, 120, 150] {
            for least in [1, 20, 30] {
                for _ in 0..3 {
                    let lengths: Vec<u64> = (0..n).map(|_| draw.within(least, 100)).collect();
                    instances.push(packing(capacity, &lengths));
                }
            }
        }
    }
    instances
}

/// Capacity 1000, lengths around a third, fifth, seventh, ninth of it, spread by 20, 50 and 90 per cent.
fn scholl_2() -> Vec<Instance> {
    let mut draw = Draw::new(32);
    let mut instances = Vec::new();
    for n in [50, 100, 200, 500] {
        for part in [3, 5, 7, 9] {
            for spread in [20, 50, 90] {
                for _ in 0..2 {
                    let mean = 1000 / part;
                    let (low, high) = (mean * (100 - spread) / 100, mean * (100 + spread) / 100);
                    let lengths: Vec<u64> = (0..n).map(|_| draw.within(low.max(1), high)).collect();
                    instances.push(packing(1000, &lengths));
                }
            }
        }
    }
    instances
}

/// Numbers of items, capacities and ranges of length crossed; one of each.
fn random() -> Vec<Instance> {
    let mut draw = Draw::new(41);
    let mut instances = Vec::new();
    for n in [50, 100, 200, 300, 400, 500, 750, 1000] {
        for capacity in [50, 75, 100, 120, 125, 150, 200, 300, 400, 500, 750, 1000] {
            for least in [10, 20] {
                for most in [50, 70, 80] {
                    let (low, high) = (capacity * least / 100, capacity * most / 100);
                    let lengths: Vec<u64> = (0..n).map(|_| draw.within(low, high)).collect();
                    instances.push(packing(capacity, &lengths));
                }
            }
        }
    }
    instances
}
