//! Solves one fixed cutting problem, so that a tool can count its instructions: `benches/instructions.sh` does.
//!
//! Without a name it lists the names; `none` reads the arguments and ends, which is what a count is less by.

use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Problem, Rules, Run};
use upstand_benches::cutting::{Draw, trade_lists};

fn main() {
    let lists = lists();
    let Some(asked) = std::env::args().nth(1) else {
        lists.iter().for_each(|(name, _)| println!("{name}"));
        return;
    };
    let Some((_, problem)) = lists.into_iter().find(|(name, _)| *name == asked) else { return };
    match cutting::solve(&problem, &Effort::default()) {
        Ok(answer) => println!("{} bars, {} joints, proven {}", answer.bar_count, answer.joint_count, answer.proven()),
        Err(error) => println!("{error}"),
    }
}

fn lists() -> Vec<(String, Problem)> {
    let mut lists = vec![("none".to_owned(), Problem::new(Vec::new(), Vec::new()))];
    for (name, problems) in trade_lists() {
        let name = name.replace(", ", " ").replace(' ', "_");
        lists.extend(problems.into_iter().take(3).enumerate().map(|(at, problem)| (format!("{name}_{at}"), problem)));
    }
    let mm = Length::from_mm;
    let mut draw = Draw::new(82);
    let mut runs =
        |count, low, high| -> Vec<Run> { (0..count).map(|_| Run::of(mm(draw.within(low, high) as i64), 1)).collect() };
    let site = Rules { lap: mm(50), least_piece: mm(300), clear: mm(150), ..Rules::default() };
    let on_site = Problem { rules: site.clone(), ..Problem::new(vec![Bar::of(mm(3000))], runs(20, 300, 9000)) };
    let bars = vec![
        Bar { cost: Some(1), ..Bar::of(mm(3000)) },
        Bar { cost: Some(0), available: Some(2), ..Bar::of(mm(1900)) },
    ];
    let on_hand = Problem { rules: site, ..Problem::new(bars, runs(10, 300, 6000)) };
    let alike = runs(10, 200, 3000).into_iter().map(|run| Run { quantity: 100_000, ..run.whole() });
    let copies = Problem::new(vec![Bar::of(mm(3000))], alike.collect());
    lists.extend([("on_site", on_site), ("on_hand", on_hand), ("copies", copies)].map(|(n, p)| (n.to_owned(), p)));
    lists
}
