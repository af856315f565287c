//! The order of the objective as one integer per bar and per joint.
//!
//! An answer weighs the sum of its bars' weights and `joint` for each of its joints. The weights are chosen so that
//! the lightest answer is the one that the objective asks for:
//!
//! | objective | a bar of cost `c` | a joint |
//! |---|---|---|
//! | bars | `c * m` | 1 |
//! | cost | `c * m` | `joint_cost * m + 1` |
//! | joints | `c` | `m` |
//!
//! For the first two, `m` exceeds the joints of every answer that costs no more than making each run alone from
//! one kind of bar. Such an answer's forest has fewer joints than bars, and its bars are counted by their least cost. A
//! costlier answer is never lighter. For the last, `m` exceeds the cost of some answer with fewest joints.

use super::problem::{Minimise, Problem};

/// Totals stay below this, so that sums of weights never overflow.
const LIMIT: u128 = 1 << 61;

/// Weights of the problem's bars (in their order) and of a joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Weights {
    pub(super) bars: Vec<u64>,
    pub(super) joint: u64,
    /// The multiplier that keeps the first aim above the second.
    pub(super) multiple: u64,
}

/// A kind of bar, and what making every run alone from it would take.
struct Kind {
    cost: u128,
    reach: i128,
    /// Bars at hand that could matter; nothing where there are as many as wanted.
    have: Option<u128>,
    /// Bars and joints, if this kind can make every run.
    alone: Option<(u128, u128)>,
}

impl Weights {
    /// The weights of a problem that has passed its check, or nothing where they would overflow.
    pub(super) fn of(problem: &Problem) -> Option<Self> {
        let rules = &problem.rules;
        let costs: Vec<u64> = (0..problem.bars.len()).map(|bar| problem.cost_of(bar)).collect();
        let joint_cost = if problem.minimise == Minimise::Cost { rules.joint_cost } else { 0 };
        let unit = costs.iter().fold(joint_cost, |a, &b| gcd(a, b)).max(1);
        let costs: Vec<u64> = costs.into_iter().map(|cost| cost / unit).collect();
        let joint_cost = u128::from(joint_cost / unit);

        let kinds: Vec<Kind> = (0..costs.len()).filter_map(|bar| kind_of(problem, bar, costs[bar])).collect();
        let on_hand = || kinds.iter().filter_map(|kind| kind.have.map(|have| (kind, have)));
        let endless = || kinds.iter().filter(|kind| kind.have.is_none());
        let limited = on_hand().try_fold(0_u128, |sum, (kind, have)| sum.checked_add(have.checked_mul(kind.cost)?))?;
        let multiple = if problem.minimise == Minimise::Joints {
            let longest = endless().max_by_key(|kind| (kind.reach, std::cmp::Reverse(kind.cost)));
            let spend = longest.and_then(|kind| Some(kind.alone?.0 * kind.cost)).unwrap_or(0);
            spend.checked_add(limited)?.checked_add(1)?
        } else {
            let spend = endless().filter_map(|kind| {
                let (bars, joints) = kind.alone?;
                (bars * kind.cost).checked_add(joints * joint_cost)
            });
            let least = kinds.iter().map(|kind| kind.cost).filter(|&cost| cost > 0).min().unwrap_or(1);
            1 + on_hand().map(|(_, have)| have).sum::<u128>() + spend.min().unwrap_or(0) / least
        };
        let (bar, joint) = match problem.minimise {
            Minimise::Bars => (multiple, 1),
            Minimise::Cost => (multiple, joint_cost.checked_mul(multiple)? + 1),
            Minimise::Joints => (1, multiple),
        };
        // The heaviest answer worth a look: every run alone from the heaviest kind, and all that is on hand.
        let mut heaviest = limited.checked_mul(bar)?.checked_add(joint)?;
        for kind in &kinds {
            let (bars, joints) = kind.alone.unwrap_or((1, 0));
            heaviest = heaviest.checked_add(bars.checked_mul(kind.cost)?.checked_mul(bar)?)?;
            heaviest = heaviest.checked_add(joints.checked_mul(joint)?)?;
        }
        if heaviest >= LIMIT {
            return None;
        }
        let bars = costs.iter().map(|&cost| u64::try_from(u128::from(cost) * bar).unwrap_or(u64::MAX)).collect();
        Some(Weights { bars, joint: u64::try_from(joint).ok()?, multiple: u64::try_from(multiple).ok()? })
    }
}

fn kind_of(problem: &Problem, bar: usize, cost: u64) -> Option<Kind> {
    let offer = &problem.bars[bar];
    let lap = i128::from(problem.rules.lap.um());
    let reach = i128::from((offer.length - problem.rules.trim_off * 2).um());
    if reach <= 0 || offer.available == Some(0) {
        return None;
    }
    let mut alone = Some((0_u128, 0_u128));
    let mut most = 0_u128;
    for run in &problem.runs {
        let length = i128::from(run.length.um());
        let bars = match (length <= reach, reach > lap) {
            (true, _) => 1,
            (false, true) => (length - lap + reach - lap - 1) / (reach - lap),
            (false, false) => {
                alone = None;
                break;
            }
        };
        let (bars, quantity) = (bars.unsigned_abs(), u128::from(run.quantity));
        most += 2 * bars * quantity;
        alone = alone.map(|(sum, joints)| (sum + bars * quantity, joints + (bars - 1) * quantity));
    }
    // An answer without waste of whole bars uses no kind more than twice as often as making every run alone from it.
    let have = offer.available.map(|have| if alone.is_some() { u128::from(have).min(most) } else { u128::from(have) });
    Some(Kind { cost: u128::from(cost), reach, have, alone })
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
