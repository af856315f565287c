//! A search that is watched, and one that is ended early.

use std::ops::ControlFlow;

use upstand::Length;
use upstand::cutting::{self, Answer, Bar, Effort, Minimise, Problem, Progress, Rules, Run};

fn mm(length: i64) -> Length {
    Length::from_mm(length)
}

/// Problems that keep the search busy for a while: whole runs, joined runs, runs under rules, bars on hand.
fn busy() -> Vec<Problem> {
    let lengths = |count: i64, from: i64, step: i64| (0..count).map(move |at| from + (at * 7919) % step);
    let problem = |runs: Vec<Run>, rules: Rules| Problem { rules, ..Problem::new(vec![Bar::of(mm(3000))], runs) };
    // Three to a bar without waste.
    let thirds = lengths(120, 751, 543).zip(lengths(120, 811, 419).skip(1)).flat_map(|(a, b)| [a, b, 3000 - a - b]);
    let whole = thirds.map(|length| Run::of(mm(length), 1).whole()).collect();
    let joined: Vec<Run> = lengths(40, 300, 8000).map(|length| Run::of(mm(length), 1)).collect();
    let lapped = Rules { lap: mm(50), ..Rules::default() };
    let on_site = Rules { least_piece: mm(600), clear: mm(300), ..lapped.clone() };
    let mut on_hand = problem(joined.clone(), on_site.clone());
    on_hand.bars[0].cost = Some(3);
    on_hand.bars.push(Bar { length: mm(1700), cost: Some(0), available: Some(3) });
    let mut by_joints = problem(joined.clone(), lapped.clone());
    by_joints.minimise = Minimise::Joints;
    vec![
        problem(whole, Rules::default()),
        problem(joined.clone(), lapped),
        problem(joined, on_site),
        on_hand,
        by_joints,
    ]
}

/// Solves with a watch that ends the search when asked for the `last` time, and says what it was told.
fn watched(problem: &Problem, last: usize) -> (Answer, Vec<Progress>) {
    let mut told = Vec::new();
    let effort = Effort { nodes: 1, time: None };
    let answer = cutting::solve_with(problem, &effort, &mut |progress| {
        told.push(*progress);
        if told.len() >= last { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    (answer.expect("a valid problem"), told)
}

#[test]
fn a_watch_that_lets_the_search_go_on_changes_nothing() {
    let mut asked = 0;
    for problem in busy() {
        let (answer, told) = watched(&problem, usize::MAX);
        let alone = cutting::solve(&problem, &Effort { nodes: 1, time: None }).expect("a valid problem");
        assert_eq!(answer, alone);
        asked += told.len();
        for pair in told.windows(2) {
            assert!(pair[0].nodes <= pair[1].nodes && pair[0].steps < pair[1].steps);
            assert!(
                pair[0].bound <= pair[1].bound && pair[1].best.unwrap_or(u64::MAX) <= pair[0].best.unwrap_or(u64::MAX)
            );
        }
        // What is told is of the whole problem.
        let first = if problem.minimise == Minimise::Joints { answer.joint_count } else { answer.cost };
        let best = told.last().and_then(|last| last.best);
        assert!(problem.bars.len() == 1 || best.is_some(), "an answer is told of before the search ends");
        for progress in told {
            assert!(progress.bound <= first, "{progress:?} of {first}");
            assert!(progress.best.is_none_or(|best| best >= progress.bound), "{progress:?}");
        }
    }
    assert!(asked > 5, "{asked}");
}

#[test]
fn an_ended_search_answers_honestly() {
    for problem in busy() {
        let (full, told) = watched(&problem, usize::MAX);
        for last in (1..=told.len()).step_by(1 + told.len() / 3) {
            let (answer, asked) = watched(&problem, last);
            assert_eq!(asked.len(), last);
            assert_eq!(cutting::check(&problem, &answer), Ok(()));
            let value = |answer: &Answer| match problem.minimise {
                Minimise::Joints => (answer.joint_count, answer.cost),
                _ => (answer.cost, answer.joint_count),
            };
            let bound = |answer: &Answer| match problem.minimise {
                Minimise::Joints => answer.bound.joints,
                _ => answer.bound.cost,
            };
            assert!(bound(&answer) <= value(&full).0);
            assert!(!answer.proven() || value(&answer) <= value(&full));
        }
    }
}
