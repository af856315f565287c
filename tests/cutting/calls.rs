//! Cutting problems told by numbers, good and bad, one a line of `vectors/cutting_calls.csv`: Rust, Python and C build each
//! through their own interface and come to the same code and place, or to the same numbers.
//!
//! `UPDATE_VECTORS=1 cargo test -p upstand-tests --test cutting calls` writes what is expected anew.

use std::fs;
use std::path::Path;
use std::time::Duration;

use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Problem, Rules, Run};

/// What a line asks, and what is expected.
struct Call {
    name: String,
    problem: Problem,
    nodes: u64,
    asked: String,
    expected: String,
}

fn read(line: &str) -> Call {
    let fields: Vec<&str> = line.split(',').collect();
    let number = |at: usize| fields[at].parse::<i64>().expect(line);
    let um = |at| Length::from_um(number(at));
    let available = (fields[2] != "-").then(|| fields[2].parse().expect(line));
    let runs = (0..number(6)).map(|at| Run {
        may_join: fields[8] == "1",
        ..Run::of(Length::from_um(number(4) + at * number(5)), fields[7].parse().expect(line))
    });
    let rules = Rules { lap: um(3), ..Rules::default() };
    let bars = vec![Bar { available, ..Bar::of(um(1)) }];
    Call {
        name: fields[0].to_owned(),
        problem: Problem { rules, ..Problem::new(bars, runs.collect()) },
        nodes: fields[9].parse().expect(line),
        asked: fields[..10].join(","),
        expected: fields[10..].join(","),
    }
}

/// Code, place, and the numbers where there is an answer.
fn answer(problem: &Problem, effort: &Effort, name: &str) -> String {
    match cutting::solve(problem, effort) {
        Err(error) => format!("{},{},-,-,-,-", error.code().slug(), error.path()),
        Ok(answer) => {
            assert_eq!(cutting::check(problem, &answer), Ok(()), "{name}");
            assert!(answer.bound.cost <= answer.cost && answer.bound.bars <= answer.bar_count, "{name}");
            let best = answer.bound.cost == answer.cost && answer.bound.joints == answer.joint_count;
            assert_eq!(answer.proven(), best, "{name}");
            let (bars, joints) = (answer.bar_count, answer.joint_count);
            format!("ok,,{bars},{joints},{},{}", answer.bound.bars, u8::from(answer.proven()))
        }
    }
}

#[test]
fn calls_by_numbers_give_what_is_expected() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("vectors/cutting_calls.csv");
    let text = fs::read_to_string(&path).expect("committed");
    let (head, lines) = text.split_once('\n').expect("a head");
    let update = std::env::var_os("UPDATE_VECTORS").is_some();
    let mut written = format!("{head}\n");
    for line in lines.lines() {
        let call = read(line);
        let found = answer(&call.problem, &Effort { nodes: call.nodes, time: None }, &call.name);
        assert!(update || found == call.expected, "{}: {found} where {} is expected", call.name, call.expected);
        // With no time at all, an error is the same error, and an answer is an honest one.
        let hurried = answer(&call.problem, &Effort::within(Duration::ZERO), &call.name);
        let code = |text: &str| text.split(',').next().unwrap_or_default().to_owned();
        assert_eq!(code(&hurried), code(&found), "{}", call.name);
        written.push_str(&format!("{},{found}\n", call.asked));
    }
    if update {
        fs::write(&path, written).expect("writable");
    }
}

/// Numbers that no document can hold, since a length in one is at most a thousand kilometres.
/// Puts a length into one place of a problem.
type Change = fn(&mut Problem, Length);

#[test]
fn the_greatest_and_the_least_number_anywhere_are_refused() {
    for um in [i64::MIN, i64::MIN + 1, -1, i64::MAX - 1, i64::MAX] {
        let length = Length::from_um(um);
        let good = || {
            let run = Run::of(Length::from_mm(4000), 2);
            Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![run])
        };
        let places: [(&str, Change); 12] = [
            ("/bars/0/length", |p, l| p.bars[0].length = l),
            ("/rules/lap", |p, l| p.rules.lap = l),
            ("/rules/kerf", |p, l| p.rules.kerf = l),
            ("/rules/trim_off", |p, l| p.rules.trim_off = l),
            ("/rules/least_piece", |p, l| p.rules.least_piece = l),
            ("/rules/clear", |p, l| p.rules.clear = l),
            ("/rules/least_useful", |p, l| p.rules.least_useful = l),
            ("/runs/0/length", |p, l| p.runs[0].length = l),
            ("/runs/0/least_piece", |p, l| p.runs[0].least_piece = Some(l)),
            ("/runs/0/clear", |p, l| p.runs[0].clear = Some(l)),
            // A stretch may well begin before its run, if not so far before; then it must not end before it begins.
            ("/runs/0/forbidden/0", |p, l| p.runs[0].forbidden = vec![(l, Length::from_um(-2))]),
            ("/runs/0/forbidden/0", |p, l| p.runs[0].forbidden = vec![(Length::from_um(1), l)]),
        ];
        for (place, change) in places {
            let mut problem = good();
            change(&mut problem, length);
            let error = cutting::solve(&problem, &Effort::default()).expect_err(place);
            assert_eq!(error.path(), place, "{um}: {error}");
        }
    }
}

/// An answer from a stranger's program may hold any numbers: the checker says what is wrong and never panics.
#[test]
fn the_checker_takes_any_numbers() {
    let problem = Problem {
        rules: Rules { lap: Length::from_mm(50), ..Rules::default() },
        ..Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![Run::of(Length::from_mm(4000), 2)])
    };
    let good = cutting::solve(&problem, &Effort::default()).expect("a valid problem");
    let places: [fn(&mut cutting::Answer, u64); 18] = [
        |a, n| a.bar_count = n,
        |a, n| a.joint_count = n,
        |a, n| a.cost = n,
        |a, n| a.bound.bars = n,
        |a, n| a.bound.cost = n,
        |a, n| a.bound.joints = n,
        |a, n| a.chains[0].times = n,
        |a, n| a.chains[0].bars[0].bar = n as usize,
        |a, n| a.chains[0].bars[0].offcut = Length::from_um(n as i64),
        |a, n| a.chains[0].bars[0].pieces[0].run = n as usize,
        |a, n| a.chains[0].bars[0].pieces[0].copy = n,
        |a, n| a.chains[0].bars[0].pieces[0].part = n as u32,
        |a, n| a.chains[0].bars[0].pieces[0].parts = n as u32,
        |a, n| a.chains[0].bars[0].pieces[0].start = Length::from_um(n as i64),
        |a, n| a.chains[0].bars[0].pieces[0].length = Length::from_um(n as i64),
        |a, n| a.proof.first.runs[0] = n,
        |a, n| (a.proof.first.scale, a.proof.second.first) = (n, n),
        |a, n| (a.proof.first.worth, a.proof.second.bars[0]) = (n, n),
    ];
    for change in places {
        for number in [u64::MAX, u64::MAX - 1, 1 << 63, (1 << 63) - 1, u64::from(u32::MAX), 1_000_000] {
            let mut answer = good.clone();
            change(&mut answer, number);
            // Cut down to a narrower type, the number may be the right one.
            assert!(answer == good || cutting::check(&problem, &answer).is_err(), "{number}: {answer:?}");
        }
    }
}
