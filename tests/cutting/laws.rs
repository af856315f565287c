//! Laws of cut lists of the size of a roof, over every option: what holds whatever the numbers are.

use proptest::prelude::*;
use upstand::Length;
use upstand::cutting::{self, Answer, Bar, Effort, Minimise, Problem, Rules, Run};
use upstand_tests::check_answer;

fn mm(length: i64) -> Length {
    Length::from_mm(length)
}

fn bar() -> impl Strategy<Value = Bar> {
    (8_i64..40, 0_u64..40, prop_oneof![2 => Just(None), 1 => (0_u64..5).prop_map(Some)])
        .prop_map(|(length, cost, available)| Bar { length: mm(length * 100), cost: Some(cost + 1), available })
}

fn run() -> impl Strategy<Value = Run> {
    let forbidden = (0_i64..60, 0_i64..12).prop_map(|(from, more)| (mm(from * 100), mm((from + more) * 100)));
    (3_i64..70, 1_u64..4, 0..10, forbidden).prop_map(|(length, quantity, kind, forbidden)| {
        let run = Run::of(mm(length * 100), quantity);
        match kind {
            0 | 1 if length < 30 => run.whole(),
            2 => Run { forbidden: vec![forbidden], ..run },
            3 => Run { least_piece: Some(mm(600)), ..run },
            4 => Run { clear: Some(mm(250)), ..run },
            _ => run,
        }
    })
}

/// A bar of 3 m without limit, up to two more kinds, some few of them limited; runs of 0.3 to 7 m; all rules.
fn problem() -> impl Strategy<Value = Problem> {
    let one_of = |values: &'static [i64]| proptest::sample::select(values).prop_map(mm);
    let rules = (
        one_of(&[0, 0, 50, 50, 100]),
        one_of(&[0, 0, 3]),
        one_of(&[0, 0, 10]),
        one_of(&[0, 0, 300]),
        one_of(&[0, 0, 150]),
        prop_oneof![4 => Just(None), 1 => (1_u32..4).prop_map(Some)],
        0_u64..5,
    );
    let minimise = prop_oneof![3 => Just(Minimise::Bars), 1 => Just(Minimise::Cost), 1 => Just(Minimise::Joints)];
    let more = prop_oneof![2 => Just(Vec::new()), 2 => proptest::collection::vec(bar(), 1..3)];
    (more, proptest::collection::vec(run(), 1..7), rules, minimise).prop_map(|(more, runs, rules, minimise)| {
        let (lap, kerf, trim_off, least_piece, clear, most_joints, joint_cost) = rules;
        let least_useful = mm(300);
        let rules = Rules { lap, kerf, trim_off, least_piece, clear, most_joints, joint_cost, least_useful };
        let mut bars = vec![Bar { length: mm(3000), cost: Some(30), available: None }];
        bars.extend(more);
        Problem { bars, runs, rules, minimise }
    })
}

const EFFORT: Effort = Effort { nodes: 30, time: None };

/// The answer, checked twice over, its bound held against it.
fn solved(problem: &Problem) -> Option<Answer> {
    let answer = cutting::solve(problem, &EFFORT).ok()?;
    assert_eq!(cutting::check(problem, &answer), Ok(()), "{}", problem.to_json());
    assert_eq!(check_answer::faults(problem, &answer), Vec::<String>::new(), "{}", problem.to_json());
    let (value, bound) = (value(problem, &answer), bound(problem, &answer));
    assert!(bound.0 <= value.0 && bound.1 <= value.1 && answer.bound.bars <= answer.bar_count, "{}", problem.to_json());
    assert_eq!(answer.proven(), value == bound, "{}", problem.to_json());
    Some(answer)
}

/// What is made least, and what is made least after that.
fn value(problem: &Problem, answer: &Answer) -> (u64, u64) {
    match problem.minimise {
        Minimise::Bars => (answer.cost, answer.joint_count),
        Minimise::Cost => (answer.cost + answer.joint_count * problem.rules.joint_cost, answer.joint_count),
        Minimise::Joints => (answer.joint_count, answer.cost),
    }
}

fn bound(problem: &Problem, answer: &Answer) -> (u64, u64) {
    match problem.minimise {
        Minimise::Joints => (answer.bound.joints, answer.bound.cost),
        _ => (answer.bound.cost, answer.bound.joints),
    }
}

/// `easier` asks for no more than `problem` does, from no less: its best is no worse.
fn is_no_worse(easier: &Problem, problem: &Problem, answer: &Answer) {
    let other = solved(easier);
    let other = other.unwrap_or_else(|| panic!("{} can be cut, but not {}", problem.to_json(), easier.to_json()));
    let (less, more) = (value(easier, &other), value(problem, answer));
    assert!(bound(easier, &other).0 <= more.0, "{} bounds {}", easier.to_json(), problem.to_json());
    assert!(!other.proven() || less <= more, "{less:?} of {} over {more:?} of {}", easier.to_json(), problem.to_json());
}

/// Every length of a problem times `factor`.
fn scaled(problem: &Problem, factor: i64) -> Problem {
    let mut larger = problem.clone();
    larger.bars.iter_mut().for_each(|bar| bar.length = bar.length * factor);
    for run in &mut larger.runs {
        run.length = run.length * factor;
        run.least_piece = run.least_piece.map(|least| least * factor);
        run.clear = run.clear.map(|clear| clear * factor);
        run.forbidden.iter_mut().for_each(|(from, to)| (*from, *to) = (*from * factor, *to * factor));
    }
    let Rules { lap, kerf, trim_off, least_piece, clear, least_useful, .. } = &mut larger.rules;
    for length in [lap, kerf, trim_off, least_piece, clear, least_useful] {
        *length = *length * factor;
    }
    larger
}

/// Every length of an answer times `factor`.
fn scaled_answer(answer: &Answer, factor: i64) -> Answer {
    let mut larger = answer.clone();
    for bar in larger.chains.iter_mut().flat_map(|chain| &mut chain.bars) {
        bar.offcut = bar.offcut * factor;
        for piece in &mut bar.pieces {
            (piece.start, piece.length) = (piece.start * factor, piece.length * factor);
        }
    }
    larger
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn one_more_kind_of_bar_never_costs_more(problem in problem(), more in bar()) {
        if let Some(answer) = solved(&problem) {
            let mut wider = problem.clone();
            wider.bars.push(more);
            is_no_worse(&wider, &problem, &answer);
        }
    }

    #[test]
    fn one_more_bar_on_hand_never_costs_more(problem in problem()) {
        if let Some(answer) = solved(&problem) {
            let mut wider = problem.clone();
            wider.bars.iter_mut().for_each(|bar| bar.available = bar.available.map(|number| number + 1));
            is_no_worse(&wider, &problem, &answer);
        }
    }

    #[test]
    fn one_run_less_never_costs_more(problem in problem(), which in any::<prop::sample::Index>(), kind in any::<bool>()) {
        if let Some(answer) = solved(&problem) {
            let mut less = problem.clone();
            let at = which.index(less.runs.len());
            if kind || less.runs[at].quantity == 1 {
                less.runs.remove(at);
            } else {
                less.runs[at].quantity -= 1;
            }
            is_no_worse(&less, &problem, &answer);
        }
    }

    #[test]
    fn no_rule_less_costs_more(problem in problem(), which in 0..8) {
        if let Some(answer) = solved(&problem) {
            let mut freer = problem.clone();
            match which {
                0 => freer.rules.kerf = Length::ZERO,
                1 => freer.rules.trim_off = Length::ZERO,
                2 => freer.rules.lap = Length::ZERO,
                3 => freer.rules.most_joints = None,
                4 => {
                    freer.rules.least_piece = Length::ZERO;
                    freer.runs.iter_mut().for_each(|run| run.least_piece = None);
                }
                5 => {
                    freer.rules.clear = Length::ZERO;
                    freer.runs.iter_mut().for_each(|run| run.clear = None);
                }
                6 => freer.runs.iter_mut().for_each(|run| run.forbidden.clear()),
                _ => freer.runs.iter_mut().for_each(|run| run.may_join = true),
            }
            is_no_worse(&freer, &problem, &answer);
        }
    }

    #[test]
    fn another_unit_keeps_the_plan(problem in problem(), factor in 2_i64..6) {
        let Some(answer) = solved(&problem) else { return Ok(()) };
        let larger = solved(&scaled(&problem, factor)).expect("the same problem in another unit");
        let same = scaled_answer(&answer, factor);
        prop_assert_eq!(larger.chains, same.chains);
        prop_assert_eq!((larger.status, larger.bound), (same.status, same.bound));
    }

    #[test]
    fn order_does_not_matter_and_bytes_repeat(problem in problem(), by in 0_usize..6, back in any::<bool>()) {
        let Some(answer) = solved(&problem) else { return Ok(()) };
        prop_assert_eq!(solved(&problem).expect("the same problem").to_json(), answer.to_json());
        let mut other = problem.clone();
        let runs = other.runs.len();
        other.runs.rotate_left(by % runs);
        if back {
            other.runs.reverse();
            other.bars.reverse();
        }
        let turned = solved(&other).expect("the same problem");
        prop_assert!(bound(&other, &turned).0 <= value(&problem, &answer).0);
        prop_assert!(bound(&problem, &answer).0 <= value(&other, &turned).0);
        if answer.proven() && turned.proven() {
            prop_assert_eq!(value(&other, &turned), value(&problem, &answer));
        }
    }

    #[test]
    fn copies_are_as_runs_of_their_own(problem in problem()) {
        let Some(answer) = solved(&problem) else { return Ok(()) };
        let apart = |run: &Run| vec![Run { quantity: 1, ..run.clone() }; run.quantity as usize];
        let other = Problem { runs: problem.runs.iter().flat_map(apart).collect(), ..problem.clone() };
        let listed = solved(&other).expect("the same problem");
        if answer.proven() && listed.proven() {
            prop_assert_eq!(value(&other, &listed), value(&problem, &answer));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 30, ..ProptestConfig::default() })]

    /// Butt joints without rules of the site reach the sum of the runs over the bar, rounded up, saw cuts or not.
    #[test]
    fn free_butt_joints_waste_less_than_a_bar(runs in proptest::collection::vec((1_i64..9000, 1_u64..5), 1..12)) {
        let total: i64 = runs.iter().map(|&(length, quantity)| length * quantity as i64).sum();
        let runs = runs.into_iter().map(|(length, quantity)| Run::of(mm(length), quantity)).collect();
        let problem = Problem::new(vec![Bar::of(mm(3000))], runs);
        let answer = solved(&problem).expect("a valid problem");
        prop_assert_eq!(answer.bar_count as i64, (total + 2999) / 3000);
        prop_assert_eq!(answer.bound.cost, answer.cost);
    }

    /// First fit decreasing takes at most 11/9 of the best and 6/9 more (Dosa 2007, from memory).
    #[test]
    fn first_fit_decreasing_is_within_its_known_ratio(runs in proptest::collection::vec(1_i64..101, 1..40)) {
        let list = runs.iter().map(|&length| Run::of(mm(length), 1).whole()).collect();
        let answer = solved(&Problem::new(vec![Bar::of(mm(100))], list)).expect("a valid problem");
        let mut falling = runs;
        falling.sort_unstable_by(|a, b| b.cmp(a));
        let mut room: Vec<i64> = Vec::new();
        for length in falling {
            match room.iter_mut().find(|room| **room >= length) {
                Some(room) => *room -= length,
                None => room.push(100 - length),
            }
        }
        prop_assert!(answer.bar_count <= room.len() as u64);
        prop_assert!(!answer.proven() || 9 * room.len() as u64 <= 11 * answer.bar_count + 6);
    }
}
