//! Small problems against every cut list there is, by going through all pieces on a coarse grid.

use std::collections::HashMap;

use proptest::prelude::*;
use upstand::Length;
use upstand::cutting::{self, Bar, Effort, Minimise, Problem, Rules, Run};

/// Fewest joints with a number of bars, by trying every start, end and bar of every piece. Bars are alike, so that
/// only the sorted list of what is left of them matters.
struct Enumeration<'a> {
    problem: &'a Problem,
    known: HashMap<State, Option<u64>>,
}

#[derive(Clone, PartialEq, Eq, Hash)]
struct State {
    /// The run (one entry per unit of quantity), and where its last piece starts and ends.
    run: usize,
    start: i64,
    end: i64,
    joints: u64,
    left: Vec<i64>,
}

fn mm(length: Length) -> i64 {
    length.um() / 1000
}

impl Enumeration<'_> {
    fn fewest(&mut self, runs: &[usize], state: &State) -> Option<u64> {
        let Some(&at) = runs.get(state.run) else { return Some(0) };
        let run = &self.problem.runs[at];
        let rules = &self.problem.rules;
        if state.end == mm(run.length) {
            let next = State { run: state.run + 1, start: 0, end: 0, joints: 0, left: state.left.clone() };
            return self.fewest(runs, &next);
        }
        if let Some(&known) = self.known.get(state) {
            return known;
        }
        let joint = state.end > 0;
        let (lap, kerf) = (mm(rules.lap), mm(rules.kerf));
        let least = mm(run.least_piece.unwrap_or(rules.least_piece));
        let clear = mm(run.clear.unwrap_or(rules.clear));
        let most = if run.may_join { rules.most_joints.map_or(u64::MAX, u64::from) } else { 0 };
        let length = mm(run.length);
        let mut best: Option<u64> = None;
        let starts = if joint { state.start + 1..=state.end - lap } else { 0..=0 };
        for start in starts {
            let forbidden =
                || run.forbidden.iter().any(|&(from, to)| start < mm(to) && state.end > mm(from) && from < to);
            if joint && (start < clear || length - state.end < clear || forbidden() || state.joints == most) {
                continue;
            }
            for end in state.end + 1..=length {
                let whole = !joint && end == length;
                if !whole && (end - start < least || most == 0) {
                    continue;
                }
                for bar in 0..state.left.len() {
                    if bar > 0 && state.left[bar] == state.left[bar - 1] {
                        continue;
                    }
                    let mut left = state.left.clone();
                    left[bar] -= end - start + kerf;
                    if left[bar] < 0 {
                        continue;
                    }
                    left.sort_unstable();
                    let next = State { run: state.run, start, end, joints: state.joints + u64::from(joint), left };
                    let more = self.fewest(runs, &next).map(|more| more + u64::from(joint));
                    best = [best, more].into_iter().flatten().min();
                }
            }
        }
        self.known.insert(state.clone(), best);
        best
    }
}

/// Fewest joints with at most so many bars.
fn fewest_joints(problem: &Problem, bars: u64) -> Option<u64> {
    let copies = |(at, run): (usize, &Run)| (0..run.quantity).map(move |_| at);
    let mut runs: Vec<usize> = problem.runs.iter().enumerate().flat_map(copies).collect();
    runs.sort_by_key(|&at| -mm(problem.runs[at].length));
    let room = mm(problem.bars[0].length) - 2 * mm(problem.rules.trim_off) + mm(problem.rules.kerf);
    let state = State { run: 0, start: 0, end: 0, joints: 0, left: vec![room; bars as usize] };
    Enumeration { problem, known: HashMap::new() }.fewest(&runs, &state)
}

/// Fewest bars and then joints, up to `most` bars.
fn best_by_enumeration(problem: &Problem, most: u64) -> Option<(u64, u64)> {
    (0..=most).find_map(|bars| Some((bars, fewest_joints(problem, bars)?)))
}

fn length() -> impl Strategy<Value = Length> {
    (1_i64..14).prop_map(Length::from_mm)
}

fn run() -> impl Strategy<Value = Run> {
    let forbidden =
        (0_i64..10, 0_i64..4).prop_map(|(from, more)| (Length::from_mm(from), Length::from_mm(from + more)));
    (length(), 1_u64..3, 0..8, proptest::collection::vec(forbidden, 0..2)).prop_map(
        |(length, quantity, kind, forbidden)| {
            let run = Run::of(length, quantity);
            match kind {
                0 => run.whole(),
                1 => Run { forbidden, ..run },
                2 => Run { least_piece: Some(Length::from_mm(4)), ..run },
                3 => Run { clear: Some(Length::from_mm(2)), ..run },
                _ => run,
            }
        },
    )
}

fn problem() -> impl Strategy<Value = Problem> {
    let size = |most: i64| (0..most).prop_map(Length::from_mm);
    let rules =
        (size(3), size(2), size(2), size(5), size(3), prop_oneof![4 => Just(None), 1 => (0_u32..3).prop_map(Some)]);
    (5_i64..10, proptest::collection::vec(run(), 1..5), rules).prop_map(|(bar, runs, rules)| {
        let (lap, kerf, trim_off, least_piece, clear, most_joints) = rules;
        let rules = Rules { lap, kerf, trim_off, least_piece, clear, most_joints, ..Rules::default() };
        Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(bar))], runs) }
    })
}

fn pieces(problem: &Problem) -> u64 {
    problem.runs.iter().map(|run| run.quantity).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, ..ProptestConfig::default() })]

    /// Nothing is better than what is called best, and bounds are bounds.
    #[test]
    fn small_problems_are_solved_as_by_enumeration(problem in problem()) {
        prop_assume!(pieces(&problem) <= 6);
        let Ok(answer) = cutting::solve(&problem, &Effort::default()) else {
            // What is refused cannot be done with any number of bars that could matter.
            prop_assert_eq!(best_by_enumeration(&problem, 5), None);
            return Ok(());
        };
        prop_assert_eq!(cutting::check(&problem, &answer), Ok(()));
        prop_assume!(answer.bar_count <= 7);
        let (bars, joints) = best_by_enumeration(&problem, 7).expect("the answer is one");
        prop_assert!(answer.bound.bars <= bars && answer.bound.cost <= bars);
        if answer.bar_count == bars {
            prop_assert!(answer.bound.joints <= joints);
        }
        if answer.proven() {
            prop_assert_eq!((answer.bar_count, answer.joint_count), (bars, joints));
        }
    }
}

/// Every list of up to seven runs of 2, 3 and 5 from bars of 4, with and without a lap: each is proven, and right.
#[test]
fn every_list_on_a_coarse_grid_is_solved_as_by_enumeration() {
    let mut tried = 0;
    for counts in (0..512_u64).map(|code| [code & 7, code >> 3 & 7, code >> 6]) {
        if !(1..=7).contains(&counts.iter().sum::<u64>()) {
            continue;
        }
        let wanted = [2, 3, 5].into_iter().zip(counts).filter(|&(_, count)| count > 0);
        let runs: Vec<Run> = wanted.map(|(length, count)| Run::of(Length::from_mm(length), count)).collect();
        for lap in [0, 1] {
            let rules = Rules { lap: Length::from_mm(lap), ..Rules::default() };
            let problem = Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(4))], runs.clone()) };
            let answer = cutting::solve(&problem, &Effort::default()).expect("a valid problem");
            assert_eq!(cutting::check(&problem, &answer), Ok(()));
            assert!(answer.proven(), "{problem:?}");
            let fewer = answer.bar_count.checked_sub(1).and_then(|bars| fewest_joints(&problem, bars));
            assert_eq!(
                (fewer, fewest_joints(&problem, answer.bar_count)),
                (None, Some(answer.joint_count)),
                "{problem:?}"
            );
            tried += 1;
        }
    }
    assert_eq!(tried, 2 * 119);
}

/// How often the answer is the best there is, and called so, over a fixed sample of small problems with all rules.
#[test]
fn small_problems_are_nearly_all_proven() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;

    let mut runner = TestRunner::deterministic();
    let (mut asked, mut proven) = (0, 0);
    while asked < 300 {
        let problem = problem().new_tree(&mut runner).expect("a problem").current();
        if let Ok(answer) = cutting::solve(&problem, &Effort::default()) {
            asked += 1;
            proven += u32::from(answer.proven());
        }
    }
    assert!(proven >= 285, "{proven} of {asked}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]

    /// Under a stricter rule no answer is better.
    #[test]
    fn a_stricter_rule_is_never_better(problem in problem(), which in 0..5) {
        let mut strict = problem.clone();
        let rules = &mut strict.rules;
        let one = Length::from_mm(1);
        match which {
            0 => rules.lap += one,
            1 => rules.kerf += one,
            2 => rules.least_piece += one,
            3 => rules.clear += one,
            _ => rules.most_joints = Some(rules.most_joints.map_or(1, |most| most.saturating_sub(1))),
        }
        let effort = Effort::default();
        if let (Ok(answer), Ok(other)) = (cutting::solve(&problem, &effort), cutting::solve(&strict, &effort)) {
            prop_assert!(answer.bound.cost <= other.cost);
            if answer.proven() {
                prop_assert!((answer.bar_count, answer.joint_count) <= (other.bar_count, other.joint_count));
            }
        }
    }

    /// One more kind of bar never costs more, one run less never costs more.
    #[test]
    fn more_choice_and_less_work_never_cost_more(problem in problem(), other in 4_i64..12, price in 1_u64..20) {
        let effort = Effort::default();
        let mut priced = problem.clone();
        priced.bars[0].cost = Some(10);
        let Ok(answer) = cutting::solve(&priced, &effort) else { return Ok(()) };
        let mut wider = priced.clone();
        wider.bars.push(Bar { length: Length::from_mm(other), cost: Some(price), available: None });
        if let Ok(cheaper) = cutting::solve(&wider, &effort) {
            prop_assert_eq!(cutting::check(&wider, &cheaper), Ok(()));
            prop_assert!(cheaper.bound.cost <= answer.cost);
            prop_assert!(!cheaper.proven() || cheaper.cost <= answer.cost);
        }
        let mut less = priced.clone();
        less.runs.pop();
        let fewer = cutting::solve(&less, &effort).expect("a part of what was cut before");
        prop_assert!(!fewer.proven() || fewer.cost <= answer.cost);
    }

    /// The value does not depend on the order of runs, nor on the unit of length.
    #[test]
    fn order_and_unit_do_not_matter(problem in problem(), turn in 0_usize..4, factor in 2_i64..5) {
        let effort = Effort::default();
        let Ok(answer) = cutting::solve(&problem, &effort) else { return Ok(()) };
        let value = |answer: &cutting::Answer| (answer.bar_count, answer.joint_count);
        let mut turned = problem.clone();
        let by = turn % turned.runs.len();
        turned.runs.rotate_left(by);
        let other = cutting::solve(&turned, &effort).expect("the same runs");
        prop_assert!(!(answer.proven() && other.proven()) || value(&answer) == value(&other));
        let mut larger = problem.clone();
        larger.bars[0].length = larger.bars[0].length * factor;
        for run in &mut larger.runs {
            run.length = run.length * factor;
            run.least_piece = run.least_piece.map(|least| least * factor);
            run.clear = run.clear.map(|clear| clear * factor);
            run.forbidden.iter_mut().for_each(|(from, to)| (*from, *to) = (*from * factor, *to * factor));
        }
        let rules = &mut larger.rules;
        for size in [&mut rules.lap, &mut rules.kerf, &mut rules.trim_off, &mut rules.least_piece, &mut rules.clear] {
            *size = *size * factor;
        }
        let other = cutting::solve(&larger, &effort).expect("the same problem");
        prop_assert!(!(answer.proven() && other.proven()) || value(&answer) == value(&other));
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Butt joints without rules reach the sum of the runs over the bar, rounded up.
    #[test]
    fn free_butt_joints_waste_less_than_a_bar(bar in 5_i64..3000, runs in proptest::collection::vec(1_i64..9000, 1..30)) {
        let total: i64 = runs.iter().sum();
        let runs = runs.into_iter().map(|length| Run::of(Length::from_mm(length), 1)).collect();
        let problem = Problem::new(vec![Bar::of(Length::from_mm(bar))], runs);
        prop_assume!(total / bar < 60);
        let answer = cutting::solve(&problem, &Effort { nodes: 20, time: None }).expect("a valid problem");
        prop_assert_eq!(answer.bar_count as i64, (total + bar - 1) / bar);
        prop_assert_eq!(answer.bound.cost, answer.cost);
    }

    /// The three objectives agree with one another on what each makes least.
    #[test]
    fn objectives_keep_their_order(problem in problem()) {
        let effort = Effort::default();
        let solve = |minimise| cutting::solve(&Problem { minimise, ..problem.clone() }, &effort);
        if let (Ok(bars), Ok(joints)) = (solve(Minimise::Bars), solve(Minimise::Joints)) {
            prop_assert_eq!(cutting::check(&Problem { minimise: Minimise::Joints, ..problem.clone() }, &joints), Ok(()));
            prop_assert!(!bars.proven() || bars.bar_count <= joints.bar_count);
            prop_assert!(!joints.proven() || joints.joint_count <= bars.joint_count);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Bars on hand are never overdrawn, and another one never makes an answer dearer.
    #[test]
    fn bars_on_hand_are_within_their_number(
        problem in problem(), hand in proptest::collection::vec((3_i64..12, 0_u64..3, 0_u64..4), 0..3), bought in any::<bool>(),
    ) {
        let mut limited = problem.clone();
        limited.bars[0] = Bar { cost: Some(7), available: (!bought).then_some(3), ..limited.bars[0].clone() };
        for (length, available, cost) in hand {
            limited.bars.push(Bar { length: Length::from_mm(length), cost: Some(cost), available: Some(available) });
        }
        let effort = Effort { nodes: 20, time: None };
        let Ok(answer) = cutting::solve(&limited, &effort) else { return Ok(()) };
        prop_assert_eq!(cutting::check(&limited, &answer), Ok(()));
        let mut more = limited.clone();
        more.bars.push(Bar { length: Length::from_mm(5), cost: Some(1), available: Some(1) });
        if let Ok(other) = cutting::solve(&more, &effort) {
            prop_assert_eq!(cutting::check(&more, &other), Ok(()));
            prop_assert!(other.bound.cost <= answer.cost);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// The choices between bars and joints are those of enumeration, each with more bars and fewer joints than the one before.
    #[test]
    fn trade_offs_are_as_by_enumeration(problem in problem()) {
        prop_assume!(pieces(&problem) <= 5);
        let Ok(choices) = cutting::trade_offs(&problem, &Effort::default(), 10) else { return Ok(()) };
        let pairs: Vec<(u64, u64)> =
            choices.iter().map(|choice| (choice.answer.bar_count, choice.answer.joint_count)).collect();
        prop_assert!(pairs.windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 > pair[1].1));
        for choice in &choices {
            prop_assert_eq!(cutting::check(&problem, &choice.answer), Ok(()));
        }
        prop_assume!(choices.iter().all(|choice| choice.proven) && pairs.iter().all(|pair| pair.0 <= 6));
        for (at, &(bars, joints)) in pairs.iter().enumerate() {
            let (least, _) = best_by_enumeration(&problem, 6).expect("the first choice is one");
            let before = if at == 0 { least } else { pairs[at - 1].0 + 1 };
            for fewer in before..=bars {
                let fewest = fewest_joints(&problem, fewer);
                let known = if fewer < bars { pairs[at - 1].1 } else { joints };
                prop_assert_eq!(fewest, Some(known), "with {} bars", fewer);
            }
        }
    }
}

/// Where no run has room for a lap clear of its ends, all are cut whole, and the prices that prove it hold for single bars.
#[test]
fn runs_without_room_for_a_lap_are_cut_whole() {
    let mm = Length::from_mm;
    let rules = Rules { lap: mm(2), clear: mm(2), ..Rules::default() };
    let runs = vec![Run::of(mm(4), 1).whole(), Run::of(mm(5), 2)];
    let problem = Problem { rules, ..Problem::new(vec![Bar::of(mm(8))], runs) };
    let answer = cutting::solve(&problem, &Effort::default()).expect("a valid problem");
    assert_eq!((answer.bar_count, answer.joint_count, answer.proven()), (3, 0, true));
    assert_eq!(cutting::check(&problem, &answer), Ok(()));
}
