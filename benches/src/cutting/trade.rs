//! Lists of the size that a roof gives, lengths in millimetres.

use upstand::Length;
use upstand::cutting::exact::{Instance, Item, Stock};
use upstand::cutting::{Bar, Problem, Rules, Run};

use super::{Class, Draw, packing};

/// Plain lists, hard plain lists, and lap-joined lists, as the engine sees them.
pub fn trade() -> Vec<Class> {
    vec![
        Class { name: "trade 200-3000", instances: plain(60, 3000, 11).iter().map(|l| packing(3000, l)).collect() },
        Class { name: "trade 200-1500", instances: plain(20, 1500, 12).iter().map(|l| packing(3000, l)).collect() },
        Class { name: "joined, lap 50", instances: joined(100, 13).iter().map(|l| chains(l, 50)).collect() },
        Class { name: "joined, lap 100", instances: joined(100, 14).iter().map(|l| chains(l, 100)).collect() },
    ]
}

/// The same lists as problems, laps and all, by the names of their classes.
pub fn trade_lists() -> Vec<(&'static str, Vec<Problem>)> {
    let problem = |lengths: &Vec<u64>, lap: Option<i64>| {
        let run = |&length: &u64| {
            let run = Run::of(Length::from_mm(length as i64), 1);
            if lap.is_some() { run } else { run.whole() }
        };
        let rules = Rules { lap: Length::from_mm(lap.unwrap_or(0)), ..Rules::default() };
        Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(3000))], lengths.iter().map(run).collect()) }
    };
    let problems = |lists: Vec<Vec<u64>>, lap| lists.iter().map(|lengths| problem(lengths, lap)).collect();
    vec![
        ("trade 200-3000", problems(plain(60, 3000, 11), None)),
        ("trade 200-1500", problems(plain(20, 1500, 12), None)),
        ("joined, lap 50", problems(joined(100, 13), Some(50))),
        ("joined, lap 100", problems(joined(100, 14), Some(100))),
    ]
}

/// Lists of 20 to 120 runs of 200 to `longest`, for bars of 3000.
fn plain(lists: u64, longest: u64, seed: u64) -> Vec<Vec<u64>> {
    let mut draw = Draw::new(seed);
    (0..lists).map(|_| (0..draw.within(20, 120)).map(|_| draw.within(200, longest)).collect()).collect()
}

/// Lists of 5 to 60 runs of 300 to 9000 that may be joined, for bars of 3000.
fn joined(lists: u64, seed: u64) -> Vec<Vec<u64>> {
    let mut draw = Draw::new(seed);
    (0..lists).map(|_| (0..draw.within(5, 60)).map(|_| draw.within(300, 9000)).collect()).collect()
}

/// Runs to be made from chains of 1, 2, 3, ... bars.
fn chains(lengths: &[u64], lap: u64) -> Instance {
    let total: u64 = lengths.iter().sum();
    let most = (total - lap).div_ceil(3000 - lap);
    Instance {
        stocks: (1..=most).map(|b| Stock { length: b * 3000 - (b - 1) * lap, cost: b, tie: b - 1 }).collect(),
        items: lengths.iter().map(|&length| Item { length, count: 1, kind: 0 }).collect(),
        ..Instance::default()
    }
}
