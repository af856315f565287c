//! Times calls of the cutting engine for `benches/overhead/run.py`: `cutting_calls FILE REPEATS` reads a list of runs from each
//! line (lap, 1 if the runs may be joined, then lengths, all in micrometres) and prints for each the least nanoseconds
//! that a call took, from plain numbers to an answer that has been let go.

use std::hint::black_box;
use std::time::Instant;

use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Problem, Rules, Run};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let (Some(file), Some(repeats)) = (arguments.next(), arguments.next().and_then(|n| n.parse::<u32>().ok())) else {
        eprintln!("usage: cutting_calls FILE REPEATS");
        return;
    };
    let text = std::fs::read_to_string(&file).unwrap_or_default();
    for line in text.lines() {
        let numbers: Vec<i64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        let [lap, may_join, lengths @ ..] = &numbers[..] else { continue };
        let timed = (0..repeats).map(|_| {
            let begun = Instant::now();
            black_box(call(black_box(lengths), *lap, *may_join == 1));
            begun.elapsed().as_nanos()
        });
        println!("{}", timed.min().unwrap_or(0));
    }
}

fn call(lengths: &[i64], lap: i64, may_join: bool) -> u64 {
    let runs = lengths.iter().map(|&um| Run { may_join, ..Run::of(Length::from_um(um), 1) }).collect();
    let rules = Rules { lap: Length::from_um(lap), ..Rules::default() };
    let problem = Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(3000))], runs) };
    cutting::solve(&problem, &Effort::default()).map_or(0, |answer| answer.bar_count)
}
