//! From a problem to its cut list.

use std::ops::ControlFlow;

use crate::error::{Code, Error};

use super::answer::Answer;
use super::assemble::assemble;
use super::budget::{Budget, Progress, Watched};
use super::gather::gather;
use super::model::Model;
use super::problem::{Effort, Problem};
use super::prove::prove;
use super::search::search;
use super::stock::offer;

/// The best cut list found within the effort, with a bound and what proves it.
///
/// # Errors
/// Every problem that [`Problem::check`] finds, and [`Code::Uncuttable`] where a run cannot be made from the bars on
/// offer or the bars on hand do not suffice. Running out of effort is not an error: see [`Answer::status`].
///
/// ```
/// use upstand::{Code, Length, cutting::{self, Bar, Effort, Problem, Run}};
///
/// let bars = vec![Bar::of(Length::from_mm(3000))];
/// let runs = [1900, 1800, 900, 700, 300, 300].map(|mm| Run::of(Length::from_mm(mm), 1)).to_vec();
/// let answer = cutting::solve(&Problem::new(bars, runs.clone()), &Effort::default())?;
/// assert_eq!(answer.bar_count, 2);
///
/// let error = cutting::solve(&Problem::new(Vec::new(), runs), &Effort::default()).unwrap_err();
/// assert_eq!(error.code(), Code::Uncuttable);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn solve(problem: &Problem, effort: &Effort) -> Result<Answer, Error> {
    solve_on(problem, &Budget::new(effort, None))
}

/// As [`solve`], telling `watch` now and then how far the search has come.
///
/// `watch` is asked after about every two million steps of work, which takes a few milliseconds; a problem that needs less
/// is answered without asking. [`ControlFlow::Break`] ends the search: the answer is then the best found, with a bound that
/// holds and the status that both deserve. The watch changes nothing as long as it does not end the search.
///
/// # Errors
/// As for [`solve`]. That the search was ended is none, unless that was before any answer was found.
///
/// ```
/// use std::ops::ControlFlow;
/// use upstand::{Code, Length, cutting::{self, Bar, Effort, Problem, Run}};
///
/// let runs: Vec<Run> = (0..90).map(|at| Run::of(Length::from_mm(700 + at * 7919 % 811), 1).whole()).collect();
/// let problem = Problem::new(vec![Bar::of(Length::from_mm(3000))], runs);
/// let mut asked = 0;
/// let answer = cutting::solve_with(&problem, &Effort::default(), &mut |progress| {
///     asked += 1;
///     if progress.steps > 5_000_000 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
/// })?;
/// assert!(answer.bound.bars <= answer.bar_count && cutting::check(&problem, &answer).is_ok());
///
/// let none = Problem::new(Vec::new(), problem.runs);
/// let error = cutting::solve_with(&none, &Effort::default(), &mut |_| ControlFlow::Break(())).unwrap_err();
/// assert_eq!(error.code(), Code::Uncuttable);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn solve_with<'a>(
    problem: &Problem,
    effort: &Effort,
    watch: &'a mut (dyn FnMut(&Progress) -> ControlFlow<()> + 'a),
) -> Result<Answer, Error> {
    let watched = Watched::new(watch);
    solve_on(problem, &Budget::new(effort, Some(&watched)))
}

pub(super) fn solve_on(problem: &Problem, budget: &Budget<'_>) -> Result<Answer, Error> {
    Error::from_problems(problem.check())?;
    let model = Model::new(problem);
    Error::from_problems(model.uncuttable())?;
    let offer = offer(&model);
    let mut found = search(&model, &offer, budget).ok_or_else(|| {
        let message = "the bars on hand do not suffice for all runs: offer more, or a kind without limit";
        Error::new(Code::Uncuttable, "/bars", message)
    })?;
    if !budget.over() {
        gather(&model, problem.rules.least_useful.um(), &mut found);
    }
    let mut answer = assemble(&model, problem, &found);
    prove(&model, problem, &found, &mut answer);
    Ok(answer)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cutting::{Bar, Rules, Run, check};
    use crate::length::Length;

    fn problem(bar: i64, lap: i64, runs: &[i64]) -> Problem {
        let runs = runs.iter().map(|&mm| Run::of(Length::from_mm(mm), 1)).collect();
        let rules = Rules { lap: Length::from_mm(lap), ..Rules::default() };
        Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(bar))], runs) }
    }

    /// One straight run alone: `ceil((R - lap) / (S - lap))` bars, by counting covers end to end.
    #[test]
    fn a_run_alone_takes_the_bars_that_its_laps_leave() {
        for (run, bars) in [(3000, 1), (3010, 2), (5950, 2), (6000, 3), (8900, 3), (9000, 4), (12000, 5)] {
            let answer = solve(&problem(3000, 50, &[run]), &Effort::default()).expect("a valid problem");
            assert_eq!((answer.bar_count, answer.joint_count), (bars, bars - 1), "run {run}");
            assert!(answer.proven(), "run {run}: {answer:?}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
        #[test]
        fn answers_pass_their_check(
            runs in proptest::collection::vec((1_i64..9000, 1_u64..3, any::<bool>()), 0..6),
            lap in 0_i64..200, kerf in 0_i64..5, trim in 0_i64..20, least in 0_i64..400, clear in 0_i64..300,
        ) {
            let runs = runs.into_iter().map(|(mm, quantity, join)| {
                let run = Run::of(Length::from_mm(mm), quantity);
                if join || mm > 2900 { run } else { run.whole() }
            });
            let mm = Length::from_mm;
            let rules = Rules { lap: mm(lap), kerf: mm(kerf), trim_off: mm(trim), least_piece: mm(least), clear: mm(clear), ..Rules::default() };
            let problem = Problem { rules, ..Problem::new(vec![Bar::of(mm(3000))], runs.collect()) };
            if let Ok(answer) = solve(&problem, &Effort::default()) {
                prop_assert_eq!(check(&problem, &answer), Ok(()));
            }
        }
    }
}
