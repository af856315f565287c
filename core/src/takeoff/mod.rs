//! The take-off: every material with its inputs, net amount, allowance and whole packs to buy.
//!
//! Lengths are exact; masses, volumes and areas are rounded up once, to a thousandth of their unit. The packs bought
//! always hold net and allowance together.

mod adhesive;
mod cost;
mod csv;
mod glass;
mod line;
mod liquid;
mod on_hand;
mod pack;
mod price;
mod stage;
mod trim;

pub use cost::{Costs, Group, GroupCost, costs};
pub use csv::order_csv;
pub use line::{Input, PackCount, TakeoffLine};
pub use on_hand::{MaterialOnHand, check};
pub use pack::{PackSold, choose_packs};
pub use price::{PackPrice, put_prices};
pub use stage::{StageCost, stage_costs};

pub use crate::wet::RoofWork;

use crate::money::Money;
use crate::system::System;
use crate::trim::CutList;
use crate::wet::Areas;

/// The order list of all roofs together, in the order of work: trims, battens, closing strip, end caps, fixings, flashing, adhesive, mat, patches,
/// tape, tissue, layers, hardeners. A material of which nothing is needed has no line; what is `on_hand` is used before any
/// is bought.
///
/// Hardener is ordered for `surface_c`, the coldest surface at which it is mixed.
///
/// The system must have passed [`System::check`] and the stock [`check`](check()): with others it may panic. With no surface
/// temperature, or one outside the hardener table, the order covers the largest dose of the table.
///
/// Linear in the number of runs, strips and bars; choosing packs takes at most 100 000 steps for each material.
pub fn take_off(
    system: &System,
    surface_c: Option<f64>,
    on_hand: &[MaterialOnHand],
    roofs: &[RoofWork<'_>],
    cut_lists: &[CutList],
) -> Vec<TakeoffLine> {
    let mut lines = trim::lines(system, on_hand, roofs, cut_lists);
    lines.extend(adhesive::lines(system, on_hand, roofs));
    lines.extend(glass::Glass::measure(system, roofs).lines(system, on_hand, cut_lists));
    let mut areas = Areas::default();
    roofs.iter().for_each(|roof| areas.add(system, roof));
    lines.extend(liquid::lines(system, surface_c, on_hand, &areas));
    lines
}

/// What all packs cost; `None` where a pack has no price.
pub fn total_cost(lines: &[TakeoffLine]) -> Option<Money> {
    let mut bought = lines.iter().filter(|line| !line.packs.is_empty());
    bought.try_fold(Money::ZERO, |sum, line| sum.plus(line.cost?))
}

#[cfg(test)]
mod tests;
