//! Materials on hand, other than what is cut to length.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::amount::Amount;
use crate::error::{Code, Error};
use crate::system::System;

/// Materials that are not layers or hardeners and can be on hand: their names in the take-off.
const OTHERS: [&str; 6] = ["end_cap", "fixing", "adhesive", "mat", "tape", "tissue"];

/// An amount of one material on hand: used before any is bought.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialOnHand {
    /// Which: `end_cap`, `fixing`, `adhesive`, `mat`, `tape`, `tissue`, or the material name of a layer or hardener.
    pub material: String,
    /// How much of it can be used, in the unit of its line in the take-off: pieces, ml, m or kg.
    pub amount: f64,
}

/// Amounts on hand that make no sense, with their place in the job: [`Code::BadValue`] for a material that the system
/// does not have, [`Code::NonFinite`] and [`Code::OutOfRange`] for amounts.
///
/// ```
/// use upstand::takeoff::{self, MaterialOnHand};
/// use upstand::{Code, System};
///
/// let on_hand = |material: &str| [MaterialOnHand { material: material.into(), amount: 2.5 }];
/// assert!(takeoff::check(&System::default(), &on_hand("resin")).is_empty());
/// let problems = takeoff::check(&System::default(), &on_hand("rosin"));
/// assert_eq!((problems[0].code(), problems[0].path()), (Code::BadValue, "/stock/materials/0/material"));
/// ```
pub fn check(system: &System, on_hand: &[MaterialOnHand]) -> Vec<Error> {
    let mut problems = Vec::new();
    let layers = || system.layers.iter().map(|layer| layer.material.as_str());
    let hardeners = || system.hardeners.iter().map(|hardener| hardener.material.as_str());
    for (i, MaterialOnHand { material, amount }) in on_hand.iter().enumerate() {
        let path = |field| format!("/stock/materials/{i}/{field}");
        if !OTHERS.into_iter().chain(layers()).chain(hardeners()).any(|name| name == material) {
            let message = format!("{material:?} is no material that can be on hand in this way");
            problems.push(Error::new(Code::BadValue, path("material"), message));
        }
        if !amount.is_finite() {
            problems.push(Error::new(Code::NonFinite, path("amount"), format!("{amount} is not an amount")));
        } else if !(0.0..=1e9).contains(amount) {
            let message = format!("{amount} is out of range: from 0 to 1e9");
            problems.push(Error::new(Code::OutOfRange, path("amount"), message));
        }
    }
    problems
}

/// All that is on hand of one material, rounded down to thousandths.
pub(super) fn amount(on_hand: &[MaterialOnHand], material: &str) -> Amount {
    let of_it = on_hand.iter().filter(|on_hand| on_hand.material == material);
    of_it.map(|on_hand| Amount::round_down(on_hand.amount)).sum()
}
