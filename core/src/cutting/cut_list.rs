//! The common case in one call: runs, one kind of bar, rules.

use crate::error::Error;
use crate::length::Length;

use super::answer::Answer;
use super::problem::{Bar, Effort, Problem, Rules, Run};
use super::solve::solve;

/// The fewest bars of one length for runs that may be joined, and among equals the fewest joints.
///
/// # Errors
/// As for [`solve`].
///
/// ```
/// use upstand::{Code, Length, cutting::{Rules, cut_list}};
///
/// let mm = Length::from_mm;
/// let rules = Rules { lap: mm(50), least_piece: mm(300), ..Rules::default() };
/// let answer = cut_list(&[mm(5950), mm(2400), mm(600)], mm(3000), &rules)?;
/// assert_eq!((answer.bar_count, answer.joint_count, answer.proven()), (3, 1, true));
/// assert_eq!(answer.bound.bars, 3);
///
/// assert_eq!(cut_list(&[mm(0)], mm(3000), &rules).unwrap_err().code(), Code::BadRun);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn cut_list(runs: &[Length], bar: Length, rules: &Rules) -> Result<Answer, Error> {
    let runs = runs.iter().map(|&length| Run::of(length, 1)).collect();
    let problem = Problem { rules: rules.clone(), ..Problem::new(vec![Bar::of(bar)], runs) };
    solve(&problem, &Effort::default())
}
