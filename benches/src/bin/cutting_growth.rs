//! How time and memory of a cut list grow with the number of runs, of distinct lengths, and of copies.
//!
//! `cargo run --release -p upstand-benches --bin cutting_growth -- [--seconds S] [--most N] [KIND...]`: each list is solved
//! in a process of its own, whose greatest memory is read from the system (Linux; 0 elsewhere).

use std::process::Command;
use std::time::{Duration, Instant};

use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Problem, Rules, Run};
use upstand_benches::Table;
use upstand_benches::cutting::Draw;

const KINDS: [&str; 5] = ["whole", "whole, all distinct", "joined", "joined on site", "copies"];

fn main() {
    let (mut seconds, mut most, mut one) = (60, 10_000, None);
    let mut kinds: Vec<String> = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut number = || arguments.next().and_then(|text| text.parse().ok());
        match argument.as_str() {
            "--seconds" => seconds = number().unwrap_or(seconds),
            "--most" => most = number().unwrap_or(most),
            "--one" => one = number(),
            _ => kinds.push(argument),
        }
    }
    if let (Some(n), Some(kind)) = (one, kinds.first()) {
        return measure(kind, n, seconds);
    }
    let names = ["list", "runs", "lengths", "bars", "bound", "proven", "ms", "memory MB"];
    let table = Table::begin(20, &names);
    for kind in KINDS.into_iter().filter(|kind| kinds.is_empty() || kinds.iter().any(|asked| asked == kind)) {
        for n in sizes(kind, most) {
            match in_its_own_process(kind, n, seconds) {
                Ok(cells) => table.line(&cells),
                Err(error) => eprintln!("{kind}, {n}: {error}"),
            }
        }
    }
}

/// Numbers of runs, up to `most`; for copies, how many of each of ten lengths.
fn sizes(kind: &str, most: u64) -> Vec<u64> {
    match kind {
        "copies" => (0..=6).map(|power| 10_u64.pow(power)).collect(),
        _ => [10, 30, 100, 300, 1000, 3000, 10_000].into_iter().filter(|&n| n <= most).collect(),
    }
}

fn in_its_own_process(kind: &str, n: u64, seconds: u64) -> Result<Vec<String>, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let arguments = ["--seconds", &seconds.to_string(), "--one", &n.to_string(), kind].map(str::to_owned);
    let output = Command::new(program).args(arguments).output().map_err(|error| error.to_string())?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let cells: Vec<String> = text.trim().split('\t').map(str::to_owned).collect();
    if cells.len() == 8 { Ok(cells) } else { Err(format!("{}{text}", String::from_utf8_lossy(&output.stderr))) }
}

fn measure(kind: &str, n: u64, seconds: u64) {
    let problem = problem(kind, n);
    let runs: u64 = problem.runs.iter().map(|run| run.quantity).sum();
    let mut lengths: Vec<Length> = problem.runs.iter().map(|run| run.length).collect();
    lengths.sort_unstable();
    lengths.dedup();
    let effort = Effort { time: Some(Duration::from_secs(seconds)), ..Effort::default() };
    let begun = Instant::now();
    match cutting::solve(&problem, &effort) {
        Err(error) => eprintln!("{error}"),
        Ok(answer) => {
            let ms = begun.elapsed().as_secs_f64() * 1.0e3;
            let (bars, bound, proven) =
                (answer.bar_count, answer.bound.bars, if answer.proven() { "yes" } else { "no" });
            let distinct = lengths.len();
            println!("{kind}\t{runs}\t{distinct}\t{bars}\t{bound}\t{proven}\t{ms:.2}\t{:.1}", most_memory());
        }
    }
}

fn problem(kind: &str, n: u64) -> Problem {
    let mut draw = Draw::new(81);
    let mut lengths = |count: u64, unit: u64, low: u64, high: u64| -> Vec<Length> {
        (0..count).map(|_| Length::from_um((draw.within(low, high) * unit) as i64)).collect()
    };
    let mm = Length::from_mm;
    let on_site = Rules { lap: mm(50), least_piece: mm(300), clear: mm(150), ..Rules::default() };
    let (runs, rules): (Vec<Run>, Rules) = match kind {
        "whole" => (lengths(n, 1000, 200, 3000).into_iter().map(|l| Run::of(l, 1).whole()).collect(), Rules::default()),
        "whole, all distinct" => {
            (lengths(n, 1, 200_000, 3_000_000).into_iter().map(|l| Run::of(l, 1).whole()).collect(), Rules::default())
        }
        "copies" => {
            (lengths(10, 1000, 200, 3000).into_iter().map(|l| Run::of(l, n).whole()).collect(), Rules::default())
        }
        "joined" => (
            lengths(n, 1000, 300, 9000).into_iter().map(|l| Run::of(l, 1)).collect(),
            Rules { lap: mm(50), ..Rules::default() },
        ),
        _ => (lengths(n, 1000, 300, 9000).into_iter().map(|l| Run::of(l, 1)).collect(), on_site),
    };
    Problem { rules, ..Problem::new(vec![Bar::of(mm(3000))], runs) }
}

/// The most memory that this process has held, in megabytes.
fn most_memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes: Option<f64> =
        line.and_then(|line| line.split_whitespace().next()).and_then(|text| text.parse().ok());
    kilobytes.unwrap_or(0.0) / 1024.0
}
