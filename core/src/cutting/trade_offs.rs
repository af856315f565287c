//! What fewer joints would cost: every pair of cost and joints that nothing beats in both.

use crate::error::Error;

use super::answer::Answer;
use super::assemble::assemble;
use super::budget::Budget;
use super::model::Model;
use super::problem::{Effort, Minimise, Problem};
use super::prove::prove;
use super::search::search_within;
use super::solve::solve_on;
use super::stock::offer;

/// One choice between cost and joints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TradeOff {
    /// The cut list. Its own bounds are those of the cheapest answer, so only the first is proven best by itself.
    pub answer: Answer,
    /// Whether it is certain that no answer is better in one of cost and joints and as good in the other, and that none lies
    /// between this choice and the one before.
    pub proven: bool,
}

/// The choices between cost of bars and number of joints that nothing beats in both: from the cheapest on, each with
/// the fewest joints at its cost, up to `most` of them or to the fewest joints there can be.
///
/// The problem's own [`Minimise`] does not matter. Each choice takes two searches, each of `effort`'s nodes; the time is for all together.
///
/// # Errors
/// As for [`solve`](super::solve).
///
/// ```
/// use upstand::{Code, Length, cutting::{Bar, Effort, Problem, Rules, Run, trade_offs}};
///
/// let mm = Length::from_mm;
/// let runs = [2000, 2000, 2000].map(|length| Run::of(mm(length), 1)).to_vec();
/// let problem = Problem::new(vec![Bar::of(mm(3000))], runs);
/// let choices = trade_offs(&problem, &Effort::default(), 10)?;
/// let pairs: Vec<_> = choices.iter().map(|choice| (choice.answer.bar_count, choice.answer.joint_count)).collect();
/// assert_eq!(pairs, [(2, 1), (3, 0)]);
///
/// let error = trade_offs(&Problem::new(Vec::new(), problem.runs), &Effort::default(), 10).unwrap_err();
/// assert_eq!(error.code(), Code::Uncuttable);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn trade_offs(problem: &Problem, effort: &Effort, most: usize) -> Result<Vec<TradeOff>, Error> {
    let by_cost = Problem { minimise: Minimise::Bars, ..problem.clone() };
    let by_joints = Problem { minimise: Minimise::Joints, ..problem.clone() };
    let budget = Budget::new(effort, None);
    let cheapest = solve_on(&by_cost, &budget)?;
    let mut joints = cheapest.joint_count;
    let mut cost = cheapest.cost;
    let mut choices = vec![TradeOff { proven: cheapest.proven(), answer: cheapest }];
    if joints == 0 {
        return Ok(choices);
    }
    let fewest = solve_on(&by_joints, &budget)?;
    let (cost_model, joint_model) = (Model::new(&by_cost), Model::new(&by_joints));
    let (cost_offer, joint_offer) = (offer(&cost_model), offer(&joint_model));
    while joints > fewest.joint_count && choices.len() < most {
        // The least cost with fewer joints than before, and then the fewest joints at that cost.
        let cheaper = search_within(&joint_model, &joint_offer, &budget, joints - 1);
        let Some((least, proven)) = cheaper.map(|(found, proven)| (found.aims.second, proven)) else { break };
        let Some((found, also)) = search_within(&cost_model, &cost_offer, &budget, least) else { break };
        let mut answer = assemble(&cost_model, &by_cost, &found);
        prove(&cost_model, &by_cost, &found, &mut answer);
        if answer.joint_count >= joints || answer.cost <= cost {
            break;
        }
        (joints, cost) = (answer.joint_count, answer.cost);
        choices.push(TradeOff { answer, proven: proven && also });
    }
    choices.truncate(most.max(1));
    Ok(choices)
}
