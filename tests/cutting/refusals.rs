//! What is refused and with which code, what is answered honestly, and that a wrong answer never passes its check.

use serde_json::Value;
use upstand::cutting::{self, Answer, Bar, Effort, Minimise, Problem, Rules, Run, Status};
use upstand::{Code, Length};

fn mm(length: i64) -> Length {
    Length::from_mm(length)
}

fn problem(bars: &[i64], runs: &[i64]) -> Problem {
    let bars = bars.iter().map(|&length| Bar::of(mm(length))).collect();
    Problem::new(bars, runs.iter().map(|&length| Run::of(mm(length), 1)).collect())
}

#[test]
fn each_fault_has_its_code_and_place() {
    let good = || problem(&[3000], &[4000, 2000]);
    let with = |change: fn(&mut Problem)| {
        let mut problem = good();
        change(&mut problem);
        problem
    };
    let cases: [(Problem, Code, &str); 24] = [
        (with(|p| p.runs[1].length = mm(0)), Code::BadRun, "/runs/1/length"),
        (with(|p| p.runs[0].length = mm(-5)), Code::BadRun, "/runs/0/length"),
        (with(|p| p.runs[0].length = mm(2_000_000_000)), Code::BadRun, "/runs/0/length"),
        (with(|p| p.runs[0].quantity = 0), Code::BadRun, "/runs/0/quantity"),
        (with(|p| p.runs[0].forbidden = vec![(mm(9), mm(3))]), Code::BadRun, "/runs/0/forbidden/0"),
        (with(|p| p.runs[0].clear = Some(mm(-1))), Code::BadCutRule, "/runs/0/clear"),
        (with(|p| p.runs[0].least_piece = Some(mm(-1))), Code::BadCutRule, "/runs/0/least_piece"),
        (with(|p| p.bars[0].length = mm(0)), Code::BadBar, "/bars/0/length"),
        (with(|p| p.bars.push(Bar { cost: Some(3), ..Bar::of(mm(2000)) })), Code::BadBar, "/bars/0/cost"),
        (with(|p| p.bars.clear()), Code::Uncuttable, "/bars"),
        (with(|p| p.rules.lap = mm(3000)), Code::BadCutRule, "/rules/lap"),
        (with(|p| p.rules.lap = mm(-1)), Code::BadCutRule, "/rules/lap"),
        (with(|p| p.rules.kerf = mm(3000)), Code::BadCutRule, "/rules/kerf"),
        (with(|p| p.rules.trim_off = mm(1500)), Code::BadCutRule, "/rules/trim_off"),
        (with(|p| p.rules.least_piece = mm(3001)), Code::BadCutRule, "/rules/least_piece"),
        (with(|p| p.runs[0] = p.runs[0].clone().whole()), Code::Uncuttable, "/runs/0/length"),
        (with(|p| p.rules.most_joints = Some(0)), Code::Uncuttable, "/runs/0/length"),
        (with(|p| p.rules.clear = mm(2100)), Code::Uncuttable, "/runs/0/length"),
        (with(|p| p.bars[0].available = Some(1)), Code::Uncuttable, "/bars"),
        (with(|p| p.runs[1].quantity = u64::MAX), Code::Overflow, "/runs/1/quantity"),
        (with(|p| p.bars[0].cost = Some(u64::MAX)), Code::Overflow, "/bars/0/cost"),
        (with(|p| p.rules.joint_cost = u64::MAX), Code::Overflow, "/rules/joint_cost"),
        (with(|p| p.runs[1].length = Length::from_um(1)), Code::Overflow, "/runs/1/length"),
        (with(|p| p.runs = vec![Run::of(mm(1), 1); 200_001]), Code::TooManyRuns, "/runs"),
    ];
    for (problem, code, path) in cases {
        let error = cutting::solve(&problem, &Effort::default()).expect_err(path);
        assert_eq!((error.code(), error.path()), (code, path), "{error}");
    }
    assert!(cutting::solve(&good(), &Effort::default()).is_ok());
}

#[test]
fn all_faults_are_reported_at_once() {
    let mut problem = problem(&[3000, -1], &[0, 2000, -3]);
    problem.rules.kerf = mm(-2);
    let error = cutting::solve(&problem, &Effort::default()).expect_err("four faults");
    let paths: Vec<&str> = error.problems().map(upstand::Error::path).collect();
    assert_eq!(paths, ["/bars/1/length", "/rules/kerf", "/runs/0/length", "/runs/2/length"]);
}

#[test]
fn nothing_to_make_takes_nothing() {
    let answer = cutting::solve(&problem(&[3000], &[]), &Effort::default()).expect("nothing to do");
    assert_eq!((answer.bar_count, answer.proven()), (0, true));
    assert_eq!(cutting::check(&problem(&[3000], &[]), &answer), Ok(()));
}

#[test]
fn a_million_alike_are_not_written_out() {
    let mut large = problem(&[3000], &[900, 1300, 4100]);
    large.rules.lap = mm(50);
    large.runs.iter_mut().for_each(|run| run.quantity = 1_000_000);
    let answer = cutting::solve(&large, &Effort { nodes: 50, time: None }).expect("a valid problem");
    assert_eq!(cutting::check(&large, &answer), Ok(()));
    assert!(answer.chains.len() < 2000 && answer.bound.cost <= answer.cost);
}

#[test]
fn many_distinct_lengths_answer_with_a_bound() {
    let bars = vec![Bar::of(mm(3000))];
    let runs = (0..100_000).map(|at| Run::of(Length::from_um(200_000 + at * 27), 1).whole()).collect();
    let problem = Problem::new(bars, runs);
    let answer = cutting::solve(&problem, &Effort { nodes: 0, time: None }).expect("a valid problem");
    assert_eq!(cutting::check(&problem, &answer), Ok(()));
    assert!(answer.bound.cost <= answer.cost && answer.bound.cost > 0);
}

#[test]
fn no_effort_is_an_honest_answer() {
    let hard: Vec<i64> = (0..60).map(|at| 700 + (at * 7919) % 811).collect();
    let answer = cutting::solve(&problem(&[3000], &hard), &Effort { nodes: 0, time: None }).expect("a valid problem");
    assert_eq!(cutting::check(&problem(&[3000], &hard), &answer), Ok(()));
    assert_eq!(answer.proven(), answer.bound.cost == answer.cost && answer.bound.joints == answer.joint_count);
}

#[test]
fn no_time_is_an_honest_answer() {
    let runs: Vec<i64> = (0..40).map(|at| 700 + (at * 7919) % 3811).collect();
    let mut hurried = problem(&[3000], &runs);
    hurried.rules.lap = mm(50);
    let effort = Effort { time: Some(std::time::Duration::ZERO), ..Effort::default() };
    let answer = cutting::solve(&hurried, &effort).expect("a valid problem");
    assert_eq!(cutting::check(&hurried, &answer), Ok(()));
}

#[test]
fn the_same_problem_gives_the_same_bytes() {
    let runs: Vec<i64> = (0..30).map(|at| 300 + (at * 7919) % 5000).collect();
    let mut problem = problem(&[3000, 2400], &runs);
    problem.rules.lap = mm(50);
    problem.bars[1].available = Some(3);
    let solve = || cutting::solve(&problem, &Effort { nodes: 20, time: None }).expect("a valid problem").to_json();
    let first = solve();
    assert_eq!(first, solve());
    assert_eq!(Answer::from_json(&first).expect("a written answer").to_json(), first);
    assert_eq!(Problem::from_json(&problem.to_json()).expect("a written problem"), problem);
}

/// Every way to change one value: numbers up and down, words to other words, lists without or with one entry twice.
fn corruptions(value: &Value, change: &mut dyn FnMut(Value), rebuild: &dyn Fn(Value) -> Value) {
    match value {
        Value::Number(number) => {
            if let Some(whole) = number.as_u64() {
                [whole.checked_add(1), whole.checked_sub(1), whole.checked_mul(2).filter(|_| whole > 0), Some(0)]
                    .into_iter()
                    .flatten()
                    .filter(|&other| other != whole)
                    .for_each(|other| change(rebuild(Value::from(other))));
            } else if let Some(length) = number.as_f64() {
                change(rebuild(Value::from(length + 0.001)));
                change(rebuild(Value::from(length - 0.001)));
            }
        }
        Value::String(word) => {
            for other in ["proven_best", "best_found"].into_iter().filter(|other| other != word) {
                change(rebuild(Value::from(other)));
            }
        }
        Value::Array(entries) => {
            for at in 0..entries.len() {
                let with = |entry: Option<Value>| {
                    let mut entries = entries.clone();
                    match entry {
                        Some(entry) => entries[at] = entry,
                        None => drop(entries.remove(at)),
                    }
                    rebuild(Value::from(entries))
                };
                corruptions(&entries[at], change, &|entry| with(Some(entry)));
                change(with(None));
                let mut twice = entries.clone();
                twice.insert(at, entries[at].clone());
                change(rebuild(Value::from(twice)));
            }
        }
        Value::Object(fields) => {
            for (name, field) in fields {
                corruptions(field, change, &|field| {
                    let mut fields = fields.clone();
                    fields.insert(name.clone(), field);
                    rebuild(Value::from(fields))
                });
            }
        }
        Value::Bool(_) | Value::Null => {}
    }
}

#[test]
fn every_change_of_one_value_is_rejected() {
    let rules =
        Rules { lap: mm(50), kerf: mm(3), trim_off: mm(5), least_piece: mm(300), clear: mm(100), ..Rules::default() };
    let joined = Problem { rules: rules.clone(), ..problem(&[3000], &[4200, 4200, 700, 1900, 2000, 5300, 800]) };
    let searched = (0..200).map(|seed| {
        let lengths: Vec<i64> = (1..8).map(|at| 310 + (seed * 7919 + at * at * 613) % 3900).collect();
        Problem { rules: Rules { least_piece: mm(900), ..rules.clone() }, ..problem(&[3000], &lengths) }
    });
    let by_search =
        |problem: &Problem| cutting::solve(problem, &Effort::default()).is_ok_and(|answer| answer.proof.nodes > 0);
    let searched = searched.into_iter().find(by_search).expect("one that prices do not prove");
    let mut limited = Problem { rules, ..problem(&[3000, 1700], &[1650, 2900, 1500, 4100, 1650]) };
    limited.bars[0].cost = Some(30);
    limited.bars[1] = Bar { cost: Some(0), available: Some(2), ..limited.bars[1].clone() };
    let fewest_joints = Problem { minimise: Minimise::Joints, ..joined.clone() };
    let mut tried = 0;
    for problem in [joined, searched, limited, fewest_joints] {
        let answer = cutting::solve(&problem, &Effort::default()).expect("a valid problem");
        assert_eq!(cutting::check(&problem, &answer), Ok(()));
        let written: Value = serde_json::from_str(&answer.to_json()).expect("JSON");
        let mut change = |changed: Value| {
            let Ok(other) = Answer::from_json(&changed.to_string()) else { return };
            tried += 1;
            // A number of nodes is a report of work done, not a claim; but that there was none is one.
            let same_claims = Answer { proof: answer.proof.clone(), ..other.clone() } == answer
                && (other.proof.nodes > 0) == (answer.proof.nodes > 0)
                && other.proof.first == answer.proof.first
                && other.proof.second == answer.proof.second;
            assert_eq!(cutting::check(&problem, &other).is_ok(), same_claims, "{changed}");
        };
        corruptions(&written, &mut change, &|value| value);
    }
    assert!(tried > 1000, "{tried}");
}

/// With limited bars on hand: used before anything is bought, and never more than there are.
#[test]
fn bars_on_hand_are_used_first() {
    let rules = Rules { lap: mm(50), ..Rules::default() };
    let mut problem = Problem { rules, ..problem(&[3000, 1800, 1200], &[1750, 4100, 1100, 900]) };
    for (bar, (cost, available)) in problem.bars.iter_mut().zip([(30, None), (0, Some(1)), (0, Some(2))]) {
        bar.cost = Some(cost);
        bar.available = available;
    }
    let answer = cutting::solve(&problem, &Effort::default()).expect("a valid problem");
    assert_eq!(cutting::check(&problem, &answer), Ok(()));
    // 7850 of runs; 4200 on hand; so at least 3650 more must be bought, which is two bars.
    assert_eq!((answer.cost, answer.status), (60, Status::ProvenBest));
}
