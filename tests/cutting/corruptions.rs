//! No answer passes the check with anything in it changed: every number up and down, every entry gone, twice, or in its
//! neighbour's place, over problems of every kind.

use serde_json::Value;
use upstand::Length;
use upstand::cutting::{self, Answer, Bar, Effort, Minimise, Problem, Rules, Run};
use upstand_tests::check_answer;
use upstand_tests::generate::Random;

fn mm(length: i64) -> Length {
    Length::from_mm(length)
}

/// A problem of every kind for each seed, named.
fn problems(seed: u64) -> Vec<(&'static str, Problem)> {
    let mut random = Random::new(seed);
    let mut runs = |least: i64, most: i64| -> Vec<Run> {
        (0..5).map(|_| Run::of(mm(random.between(least / 50, most / 50) * 50), 1)).collect()
    };
    let of = |runs: Vec<Run>, rules: Rules| Problem { rules, ..Problem::new(vec![Bar::of(mm(3000))], runs) };
    let lap = Rules { lap: mm(50), ..Rules::default() };
    let site = Rules { least_piece: mm(400), clear: mm(150), ..lap.clone() };
    let whole = |runs: Vec<Run>| runs.into_iter().map(Run::whole).collect::<Vec<_>>();
    let priced = |length: i64, cost: u64, available| Bar { length: mm(length), cost: Some(cost), available };
    let mut copies = runs(300, 4000);
    copies.iter_mut().for_each(|run| run.quantity = 3);
    let mut own = runs(2000, 7000);
    own[0].forbidden = vec![(mm(900), mm(2100))];
    own[1].least_piece = Some(mm(700));
    own[2].clear = Some(mm(400));
    vec![
        ("whole", of(whole(runs(300, 2900)), Rules::default())),
        ("kerf", of(whole(runs(300, 2900)), Rules { kerf: mm(4), trim_off: mm(10), ..Rules::default() })),
        ("lap", of(runs(300, 7000), lap.clone())),
        ("site", of(runs(300, 7000), site.clone())),
        ("own rules", of(own, lap.clone())),
        ("copies", of(copies, lap.clone())),
        (
            "several bars",
            Problem { bars: vec![Bar::of(mm(3000)), Bar::of(mm(2400))], ..of(runs(300, 6000), lap.clone()) },
        ),
        (
            "limited",
            Problem {
                bars: vec![priced(3000, 30, None), priced(1700, 0, Some(2)), priced(2500, 20, Some(1))],
                ..of(runs(300, 5000), lap.clone())
            },
        ),
        (
            "few joints",
            Problem {
                bars: vec![priced(3000, 30, None), priced(3600, 40, None)],
                ..of(runs(300, 5000), Rules { most_joints: Some(2), kerf: mm(3), ..site.clone() })
            },
        ),
        (
            "cost",
            Problem {
                bars: vec![priced(3000, 30, None), priced(3600, 38, None)],
                minimise: Minimise::Cost,
                ..of(runs(300, 5000), Rules { joint_cost: 4, ..lap.clone() })
            },
        ),
        ("joints", Problem { minimise: Minimise::Joints, ..of(runs(300, 5000), site) }),
        ("offcuts", of(runs(300, 5000), Rules { least_useful: mm(300), ..lap })),
    ]
}

/// What a changed document is: a claim changed, or entries in another order.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Change {
    Value,
    Order,
}

/// Every way to change one thing in a document.
fn changes(value: &Value, tell: &mut dyn FnMut(Value, Change)) {
    match value {
        Value::Number(number) => {
            if let Some(whole) = number.as_u64() {
                let others =
                    [whole.checked_add(1), whole.checked_sub(1), whole.checked_mul(2), Some(0), Some(u64::MAX)];
                let mut others: Vec<u64> = others.into_iter().flatten().filter(|&other| other != whole).collect();
                others.sort_unstable();
                others.dedup();
                others.into_iter().for_each(|other| tell(other.into(), Change::Value));
            } else if let Some(length) = number.as_f64() {
                [length + 0.001, length - 0.001, -length]
                    .into_iter()
                    .for_each(|other| tell(other.into(), Change::Value));
            }
        }
        Value::String(word) => {
            for other in ["proven_best", "best_found"].into_iter().filter(|other| other != word) {
                tell(other.into(), Change::Value);
            }
        }
        Value::Array(entries) => {
            let with = |at: usize, put: &[Value], drop: usize| {
                let mut entries = entries.clone();
                entries.splice(at..at + drop, put.iter().cloned());
                Value::from(entries)
            };
            for (at, entry) in entries.iter().enumerate() {
                changes(entry, &mut |other, change| tell(with(at, &[other], 1), change));
                tell(with(at, &[], 1), Change::Value);
                tell(with(at, &[entry.clone(), entry.clone()], 1), Change::Value);
                if let Some(next) = entries.get(at + 1).filter(|next| *next != entry) {
                    tell(with(at, &[next.clone(), entry.clone()], 2), Change::Order);
                }
            }
        }
        Value::Object(fields) => {
            for (name, field) in fields {
                changes(field, &mut |other, change| {
                    let mut fields = fields.clone();
                    fields.insert(name.clone(), other);
                    tell(Value::from(fields), change);
                });
            }
        }
        Value::Bool(_) | Value::Null => {}
    }
}

/// How many changes of an answer were tried; panics at one that passes.
fn try_all(name: &str, problem: &Problem, answer: &Answer) -> usize {
    assert_eq!(cutting::check(problem, answer), Ok(()), "{name}");
    assert_eq!(check_answer::faults(problem, answer), Vec::<String>::new(), "{name}");
    let written: Value = serde_json::from_str(&answer.to_json()).expect("own writing");
    let mut tried = 0;
    changes(&written, &mut |changed, change| {
        let Ok(other) = Answer::from_json(&changed.to_string()) else { return };
        let passes = cutting::check(problem, &other).is_ok();
        let expected = match change {
            // A number of nodes is a report of work done, not a claim; but that there was none is one.
            Change::Value => {
                let mut same = other.clone();
                same.proof.nodes = answer.proof.nodes;
                // What is paid for a first aim of nothing is nothing: a higher price proves the same.
                if answer.joint_count == 0 && problem.minimise == Minimise::Joints && passes {
                    same.proof.second.first = answer.proof.second.first;
                }
                same == *answer && (other.proof.nodes > 0) == (answer.proof.nodes > 0)
            }
            // Chains, bars of a chain and pieces of a bar may come in any order; prices belong to their runs, unless those
            // are alike enough for the prices to hold for either.
            Change::Order => other.proof == answer.proof || passes,
        };
        assert_eq!(passes, expected, "{name}: {changed}\nof {problem:?}");
        tried += 1;
    });
    tried
}

#[test]
fn every_change_of_any_answer_is_rejected() {
    let mut tried = 0;
    for seed in 0..6 {
        for (name, problem) in problems(seed) {
            let answer = match cutting::solve(&problem, &Effort { nodes: 50, time: None }) {
                Ok(answer) => answer,
                // Two joints at most, or a stretch without laps, may be too few.
                Err(_) => continue,
            };
            tried += try_all(name, &problem, &answer);
        }
    }
    assert!(tried > 20_000, "{tried} changes");
}

#[test]
fn every_change_of_a_trade_off_is_rejected() {
    let (mut tried, mut choices) = (0, 0);
    for seed in 10..16 {
        for (name, problem) in problems(seed) {
            // Trade-offs are between bars and joints, whatever the problem makes least.
            let problem = Problem { minimise: Minimise::Bars, ..problem };
            let Ok(offs) = cutting::trade_offs(&problem, &Effort { nodes: 20, time: None }, 4) else { continue };
            choices += offs.len();
            tried += offs.iter().skip(1).map(|choice| try_all(name, &problem, &choice.answer)).sum::<usize>();
        }
    }
    assert!(tried > 4_000 && choices > 60, "{tried} changes of {choices} choices");
}
