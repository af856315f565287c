//! Runs the cutting engine over its classes and prints one line for each.
//!
//! `cargo run --release -p upstand-benches --bin cutting_engine -- [--seconds S] [--list] [--only K] [--write DIR]
//! [CLASS...]`: without classes the trade ones, with `all` every one; a class is named by the beginning of its name.
//! `--list` adds each instance that was not proven or took long (or the one of `--only`, which runs one of each class), and
//! `--write` writes those of one stock as text (number of lengths, stock length, then length and count on each line) and
//! joined lists as problems in JSON, for other programs, instead of solving.

use std::time::{Duration, Instant};

use upstand::cutting::{Effort, exact};
use upstand_benches::cutting::{Class, academic, trade, trade_lists};
use upstand_benches::{Table, Times};

fn main() {
    let mut seconds = 60;
    let mut list = false;
    let mut directory: Option<String> = None;
    let mut only: Option<usize> = None;
    let mut names: Vec<String> = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--seconds" => seconds = arguments.next().and_then(|s| s.parse().ok()).unwrap_or(seconds),
            "--list" => list = true,
            "--write" => directory = arguments.next(),
            "--only" => only = arguments.next().and_then(|s| s.parse().ok()),
            _ => names.push(argument),
        }
    }
    let all = names.iter().any(|n| n == "all");
    let mut classes = trade();
    if !names.is_empty() {
        classes.extend(academic());
    }
    classes.retain(|class| names.is_empty() || all || names.iter().any(|n| class.name.starts_with(n.as_str())));
    if let Some(directory) = &directory {
        if let Err(error) = classes.iter().try_for_each(|class| write(directory, class)) {
            eprintln!("{directory}: {error}");
        }
        return;
    }
    let names = ["class", "instances", "proven best", "median ms", "mean ms", "worst ms", "nodes"];
    let table = Table::begin(18, &names);
    for class in classes {
        let mut times = Times::default();
        let (mut proven, mut nodes) = (0, 0);
        for (at, instance) in class.instances.iter().enumerate().filter(|(at, _)| only.is_none_or(|o| o == *at)) {
            let effort = Effort { nodes: 1_000_000, time: Some(Duration::from_secs(seconds)) };
            let start = Instant::now();
            let outcome = exact::solve(instance, &effort, &mut |_| true);
            let took = start.elapsed().as_secs_f64() * 1.0e3;
            times.push(took);
            if let Ok(outcome) = outcome {
                proven += u64::from(outcome.proven);
                nodes += outcome.nodes;
                if list && (only.is_some() || !outcome.proven || took > 500.0) {
                    println!(
                        "  {at}: cost {} bound {} tie {} bound {} proven {} nodes {} {took:.0} ms",
                        outcome.cost, outcome.bound, outcome.tie, outcome.tie_bound, outcome.proven, outcome.nodes
                    );
                }
            } else if list {
                println!("  {at}: {outcome:?}");
            }
        }
        let [median, mean, worst] = times.summary();
        let counts = [times.count().to_string(), proven.to_string()];
        let measured = [format!("{median:.3}"), format!("{mean:.3}"), format!("{worst:.1}"), nodes.to_string()];
        table.line(&[vec![class.name.to_owned()], counts.to_vec(), measured.to_vec()].concat());
    }
}

/// Writes each instance to a file named by class and number.
fn write(directory: &str, class: &Class) -> std::io::Result<()> {
    std::fs::create_dir_all(directory)?;
    let name = |at: usize, ending: &str| {
        format!("{directory}/{}-{at:03}.{ending}", class.name.replace(", ", " ").replace(' ', "_"))
    };
    for (at, instance) in class.instances.iter().enumerate().filter(|(_, i)| i.stocks.len() == 1) {
        let mut text = format!("{}\n{}\n", instance.items.len(), instance.stocks[0].length);
        for item in &instance.items {
            text.push_str(&format!("{} {}\n", item.length, item.count));
        }
        std::fs::write(name(at, "txt"), text)?;
    }
    let joined = class.name.starts_with("joined");
    for (_, lists) in trade_lists().iter().filter(|(name, _)| joined && *name == class.name) {
        for (at, problem) in lists.iter().enumerate() {
            std::fs::write(name(at, "json"), problem.to_json())?;
        }
    }
    Ok(())
}
