//! Times whole calls of `cutting::solve`, from problem to checked answer, and prints one line for each class of lists.
//!
//! `cargo run --release -p upstand-benches --bin cut_lists -- [--list] [--only K] [--nodes N] [CLASS...]`: a class is named
//! by the beginning of its name; `--list` adds each list that was not proven or took more than 100 ms. *Offcut* is how much of what is left over is in one piece.

use std::time::Instant;

use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Problem, Rules, Run};
use upstand_benches::cutting::Draw;
use upstand_benches::{Table, Times};

fn main() {
    let mut effort = Effort::default();
    let (mut list, mut only) = (false, None::<usize>);
    let mut names: Vec<String> = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--list" => list = true,
            "--only" => only = arguments.next().and_then(|text| text.parse().ok()),
            "--nodes" => effort.nodes = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(effort.nodes),
            _ => names.push(argument),
        }
    }
    let table = Table::begin(26, &["class", "lists", "proven best", "median ms", "mean ms", "worst ms", "offcut %"]);
    for (name, problems) in classes() {
        if !names.is_empty() && !names.iter().any(|asked| name.starts_with(asked.as_str())) {
            continue;
        }
        let mut times = Times::default();
        let mut proven = 0;
        let mut gathered = Vec::new();
        for (at, problem) in problems.iter().enumerate().filter(|(at, _)| only.is_none_or(|only| only == *at)) {
            let begun = Instant::now();
            let answer = cutting::solve(problem, &effort);
            let took = begun.elapsed().as_secs_f64() * 1.0e3;
            times.push(took);
            let Ok(answer) = answer else {
                println!("  {at}: {}", answer.map_or_else(|error| error.to_string(), |_| String::new()));
                continue;
            };
            if let Err(faults) = cutting::check(problem, &answer) {
                println!("  {at}: {}", faults[0]);
            }
            proven += usize::from(answer.proven());
            gathered.extend(share_of_longest(&answer));
            if list && (only.is_some() || !answer.proven() || took > 100.0) {
                println!(
                    "  {at}: {} bars, cost {} (bound {}), {} joints (bound {}), {:?}, {} nodes, {took:.1} ms",
                    answer.bar_count,
                    answer.cost,
                    answer.bound.cost,
                    answer.joint_count,
                    answer.bound.joints,
                    answer.status,
                    answer.proof.nodes
                );
            }
        }
        let [median, mean, worst] = times.summary();
        let counts = [times.count().to_string(), proven.to_string()];
        let offcut = gathered.iter().sum::<f64>() / gathered.len().max(1) as f64;
        let measured = [format!("{median:.3}"), format!("{mean:.3}"), format!("{worst:.1}"), format!("{offcut:.1}")];
        table.line(&[vec![name.to_owned()], counts.to_vec(), measured.to_vec()].concat());
    }
}

/// The longest offcut, in hundredths of all that is left over (of a bar, where more than a bar is).
fn share_of_longest(answer: &cutting::Answer) -> Option<f64> {
    let offcuts = answer.chains.iter().flat_map(|chain| chain.bars.iter().map(|bar| (chain.times, bar.offcut.mm())));
    let (longest, total) = offcuts
        .fold((0.0, 0.0), |(longest, total), (times, offcut)| (offcut.max(longest), total + times as f64 * offcut));
    (total > 0.0).then(|| 100.0 * longest / total.min(3000.0))
}

fn classes() -> Vec<(&'static str, Vec<Problem>)> {
    let site = |lap| Rules { lap: mm(lap), least_piece: mm(300), clear: mm(150), ..Rules::default() };
    let free = |lap| Rules { lap: mm(lap), ..Rules::default() };
    vec![
        ("whole 200-3000", lists(60, (20, 120), (200, 3000), false, &free(0), 11)),
        ("whole 200-1500", lists(20, (20, 120), (200, 1500), false, &free(0), 12)),
        ("joined, lap 50", lists(100, (5, 60), (300, 9000), true, &free(50), 13)),
        ("joined, lap 100", lists(100, (5, 60), (300, 9000), true, &free(100), 14)),
        ("joined on site, lap 50", lists(100, (5, 60), (300, 9000), true, &site(50), 15)),
        ("joined on site, few", lists(100, (4, 9), (400, 9000), true, &site(50), 16)),
        ("on hand, 4-12 runs", on_hand(50, (4, 12), 17)),
        ("on hand, 15-30 runs", on_hand(50, (15, 30), 18)),
        ("on hand, 40-60 runs", on_hand(20, (40, 60), 19)),
    ]
}

fn mm(length: u64) -> Length {
    Length::from_mm(length as i64)
}

fn lists(count: u64, runs: (u64, u64), lengths: (u64, u64), join: bool, rules: &Rules, seed: u64) -> Vec<Problem> {
    let mut draw = Draw::new(seed);
    let list = |_| {
        let runs = (0..draw.within(runs.0, runs.1)).map(|_| {
            let run = Run::of(mm(draw.within(lengths.0, lengths.1)), 1);
            if join { run } else { run.whole() }
        });
        let runs = runs.collect();
        Problem { rules: rules.clone(), ..Problem::new(vec![Bar::of(mm(3000))], runs) }
    };
    (0..count).map(list).collect()
}

/// Bars of 3 m to buy and up to three kinds of offcut on hand, one to four of each, at no cost.
fn on_hand(count: u64, runs: (u64, u64), seed: u64) -> Vec<Problem> {
    let rules = Rules { lap: mm(50), least_piece: mm(300), clear: mm(150), ..Rules::default() };
    let mut draw = Draw::new(seed);
    let list = |_| {
        let mut bars = vec![Bar { cost: Some(1), ..Bar::of(mm(3000)) }];
        for _ in 0..draw.within(1, 3) {
            let (length, available) = (mm(draw.within(600, 2800)), Some(draw.within(1, 4)));
            bars.push(Bar { length, cost: Some(0), available });
        }
        let runs = (0..draw.within(runs.0, runs.1)).map(|_| Run::of(mm(draw.within(300, 9000)), 1)).collect();
        Problem { rules: rules.clone(), ..Problem::new(bars, runs) }
    };
    (0..count).map(list).collect()
}
