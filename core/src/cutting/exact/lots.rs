//! Instances too large to add up at once: cut in lots of many alike, and what remains by itself.
//!
//! All counts and supplies are divided by a power of two, the answer is taken as many times, and the remainders are a second
//! instance. That is at most as far from the best as rounding up is; whether it is best, only the prices can tell.

use crate::cutting::budget::Budget;

use super::reduce::Core;
use super::{Instance, Outcome, Pattern, Refusal, search};

/// Most units of a supply that are dealt with.
const MOST_SUPPLY: u64 = 1 << 40;

pub(super) fn solve(
    instance: &Instance,
    budget: &Budget<'_>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    let with = |lot: u64| {
        let mut part = instance.clone();
        part.items.iter_mut().for_each(|item| item.count /= lot);
        part.supplies.iter_mut().for_each(|supply| supply.limit /= lot);
        (lot, part)
    };
    let (lot, part) = (1..=40)
        .map(|bits| with(1 << bits))
        .find(|(_, part)| !matches!(Core::new(part), Err(Refusal::TooLarge)))
        .ok_or(Refusal::TooLarge)?;
    let quiet = budget.quiet();
    let many = search::solve(&part, &quiet, accept)?;
    let mut rest = instance.clone();
    rest.items.iter_mut().for_each(|item| item.count %= lot);
    for supply in &mut rest.supplies {
        let drawn: u64 = many.patterns.iter().map(|cut| cut.times * supply.draws[cut.stock]).sum();
        supply.limit = (supply.limit - drawn * lot).min(MOST_SUPPLY);
    }
    let few = search::solve(&rest, &quiet, accept)?;
    let often = many.patterns.into_iter().map(|cut| Pattern { times: cut.times * lot, ..cut });
    Ok(Outcome {
        patterns: often.chain(few.patterns).collect(),
        cost: many.cost.saturating_mul(lot).saturating_add(few.cost),
        tie: many.tie.saturating_mul(lot).saturating_add(few.tie),
        bound: 0,
        tie_bound: 0,
        certificate: many.certificate,
        tie_certificate: many.tie_certificate,
        cost_proven: false,
        proven: false,
        nodes: many.nodes + few.nodes,
    })
}
