use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::on_hand::{MaterialOnHand, amount};
use super::pack::{PackSold, Purchase};
use crate::amount::Amount;
use crate::money::Money;

/// One material to order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TakeoffLine {
    /// Stable name, such as `drip`, `mat` or `resin`.
    pub material: String,
    /// Name printed on the order, from the system.
    pub name: String,
    /// Unit of the amounts: `m`, `kg`, `ml`, `piece`.
    pub unit: String,
    /// How the net amount is computed, in words and symbols.
    pub formula: String,
    /// The numbers that go into it.
    pub inputs: Vec<Input>,
    /// What the work takes.
    pub net: f64,
    /// Added for waste and residue.
    pub allowance: f64,
    /// Of these together, what comes from stock on hand.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub on_hand: f64,
    /// Whole packs to buy that cover the rest, largest first; none where the line is for information.
    pub packs: Vec<PackCount>,
    /// What the packs cost, where every pack sold has a price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
}

fn is_zero(amount: &f64) -> bool {
    *amount == 0.0
}

/// One number that goes into an amount.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

/// So many packs of one size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackCount {
    /// Content of one pack, in the line's unit.
    pub size: f64,
    /// How many.
    pub count: u64,
}

/// Builds a line: what it is and the numbers that go into it, one after the other.
pub(super) struct Draft {
    line: TakeoffLine,
}

impl Draft {
    pub(super) fn new(material: &str, name: &str, unit: &str, formula: impl Into<String>) -> Self {
        Draft {
            line: TakeoffLine {
                material: material.into(),
                name: name.into(),
                unit: unit.into(),
                formula: formula.into(),
                inputs: Vec::new(),
                net: 0.0,
                allowance: 0.0,
                on_hand: 0.0,
                packs: Vec::new(),
                cost: None,
            },
        }
    }

    pub(super) fn input(mut self, name: &str, value: f64, unit: &str) -> Self {
        self.line.inputs.push(Input { name: name.into(), value, unit: unit.into() });
        self
    }

    /// An amount with nothing to buy.
    pub(super) fn for_information(mut self, net: Amount) -> TakeoffLine {
        self.line.net = net.value();
        self.line
    }

    /// The line with the best packs for what is not on hand.
    pub(super) fn cover(
        self,
        net: Amount,
        allowance: Amount,
        on_hand: &[MaterialOnHand],
        sold: &[PackSold],
    ) -> TakeoffLine {
        let on_hand = amount(on_hand, &self.line.material).min(net + allowance);
        let purchase = Purchase::covering((net + allowance).less(on_hand), sold);
        self.order(net, allowance, on_hand, purchase)
    }

    /// The line with its packs, and what they cost.
    pub(super) fn order(mut self, net: Amount, allowance: Amount, on_hand: Amount, packs: Purchase) -> TakeoffLine {
        self.line.net = net.value();
        self.line.allowance = allowance.value();
        self.line.on_hand = on_hand.value();
        self.line.packs = packs.counts();
        self.line.cost = packs.cost;
        self.line
    }
}
