//! What it costs: by group of materials, in all, for each square metre.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{StageCost, TakeoffLine};
use crate::money::Money;

/// What the whole packs of an order cost, and the hours of people.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Costs {
    /// Group by group, in the order of work; groups of which nothing is bought are left out.
    pub groups: Vec<GroupCost>,
    /// All together, where every pack bought has a price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total: Option<Money>,
    /// For each square metre of roof, to a ten-thousandth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_m2: Option<Money>,
    /// Materials that are bought without a price.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub without_price: Vec<String>,
    /// Stage by stage: hours, labour, and the stage's share of the packs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<StageCost>,
    /// Hours of one person in all.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub person_hours: f64,
    /// What they cost, where the system says what an hour costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labour: Option<Money>,
    /// Packs and labour together, where both are known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_labour: Option<Money>,
    /// For each square metre of roof, to a ten-thousandth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_labour_per_m2: Option<Money>,
}

fn is_nothing(hours: &f64) -> bool {
    *hours <= 0.0
}

/// What one group costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GroupCost {
    /// Which.
    pub group: Group,
    /// Its packs with a price.
    pub cost: Money,
    /// For each square metre of roof, to a ten-thousandth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_m2: Option<Money>,
}

/// A group of materials: what one stage of the work uses up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// Trims, battens, closing strips, end caps, fixings, flashing, adhesive.
    Trims,
    /// Mat, tape, tissue.
    Glass,
    /// Layers and hardeners.
    Liquids,
}

impl Group {
    /// Every group, in the order of work.
    pub const ALL: [Group; 3] = [Group::Trims, Group::Glass, Group::Liquids];

    pub(super) fn of(material: &str) -> Group {
        match material {
            "drip" | "abutment" | "open_side" | "batten" | "closing_strip" | "end_cap" | "fixing" | "flashing"
            | "adhesive" => Group::Trims,
            "mat" | "patch" | "tape" | "tissue" => Group::Glass,
            _ => Group::Liquids,
        }
    }
}

/// The costs of an order; `None` where nothing that is bought has a price.
///
/// Money is exact. A cost for each square metre is the quotient of whole ten-thousandths and whole square millimetres,
/// rounded to the nearest ten-thousandth, halves up.
///
/// ```
/// use upstand::takeoff::{costs, PackCount, TakeoffLine};
/// use upstand::Money;
///
/// let line = TakeoffLine { material: "resin".into(), name: "resin".into(), unit: "kg".into(), formula: String::new(),
///     inputs: Vec::new(), net: 18.0, allowance: 1.8, on_hand: 0.0, packs: vec![PackCount { size: 20.0, count: 1 }],
///     cost: Some(Money::from_parts(845_000)) };
/// let found = costs(&[line], 24.0).unwrap();
/// // 84.50 over 24 m2 are 3.52083...
/// assert_eq!(found.per_m2, Some(Money::from_parts(35_208)));
/// assert_eq!(costs(&[], 24.0), None);
/// ```
pub fn costs(lines: &[TakeoffLine], area_m2: f64) -> Option<Costs> {
    let bought = || lines.iter().filter(|line| !line.packs.is_empty());
    if !bought().any(|line| line.cost.is_some()) {
        return None;
    }
    let per_m2 = |cost: Money| per_m2(cost, area_m2);
    let sum = |group: Option<Group>| {
        let costs = bought().filter(|line| group.is_none_or(|group| Group::of(&line.material) == group));
        costs.filter_map(|line| line.cost).try_fold(Money::ZERO, Money::plus)
    };
    let groups = Group::ALL.into_iter().filter_map(|group| {
        let cost = sum(Some(group)).filter(|&cost| cost > Money::ZERO)?;
        Some(GroupCost { group, cost, per_m2: per_m2(cost) })
    });
    let without_price: Vec<String> =
        bought().filter(|line| line.cost.is_none()).map(|line| line.material.clone()).collect();
    let total = sum(None).filter(|_| without_price.is_empty());
    Some(Costs { groups: groups.collect(), total, per_m2: total.and_then(per_m2), without_price, ..Costs::default() })
}

/// A cost for each square metre, to the nearest ten-thousandth, halves up; not for an area of nothing, nor for NaN.
pub(super) fn per_m2(cost: Money, area_m2: f64) -> Option<Money> {
    let area_mm2 = (area_m2 * 1e6).round();
    (area_mm2 >= 1.0).then(|| {
        let area = area_mm2 as u128;
        Money::from_parts(((u128::from(cost.parts()) * 1_000_000 + area / 2) / area).min(u64::MAX.into()) as u64)
    })
}

impl Costs {
    /// The costs of an order and of the work stage by stage; `None` where neither packs nor hours have a price.
    pub(crate) fn of(lines: &[TakeoffLine], stages: Vec<StageCost>, area_m2: f64) -> Option<Costs> {
        let packs = costs(lines, area_m2);
        let labour = stages.iter().map(|stage| stage.labour).try_fold(Money::ZERO, |sum, labour| sum.plus(labour?));
        // No price for an hour is not work for nothing.
        let labour = labour.filter(|_| stages.iter().any(|stage| stage.labour.is_some()));
        if packs.is_none() && labour.is_none() {
            return None;
        }
        let mut costs = packs.unwrap_or_default();
        costs.person_hours = (stages.iter().map(|stage| stage.person_hours).sum::<f64>() * 100.0).round() / 100.0;
        costs.labour = labour;
        costs.with_labour = costs.total.zip(labour).and_then(|(total, labour)| total.plus(labour));
        costs.with_labour_per_m2 = costs.with_labour.and_then(|cost| per_m2(cost, area_m2));
        costs.stages = stages;
        Some(costs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::takeoff::PackCount;
    use proptest::prelude::*;

    fn line(material: &str, cost: Option<u64>) -> TakeoffLine {
        TakeoffLine {
            material: material.into(),
            name: material.into(),
            unit: "kg".into(),
            formula: String::new(),
            inputs: Vec::new(),
            net: 1.0,
            allowance: 0.0,
            on_hand: 0.0,
            packs: vec![PackCount { size: 1.0, count: 1 }],
            cost: cost.map(Money::from_parts),
        }
    }

    proptest! {
        // Groups add up to the total to the last part; a square metre's cost is within half a part of the quotient.
        #[test]
        fn groups_add_up(costs_of in proptest::collection::vec(1u64..10_000_000, 5), area_m2 in 0.5..5_000.0f64) {
            let materials = ["drip", "batten", "mat", "resin", "hardener"];
            let lines: Vec<_> = materials.iter().zip(&costs_of).map(|(name, &cost)| line(name, Some(cost))).collect();
            let found = costs(&lines, area_m2).expect("priced");
            let total = found.total.expect("all are priced").parts();
            prop_assert_eq!(found.groups.iter().map(|group| group.cost.parts()).sum::<u64>(), total);
            prop_assert_eq!(total, costs_of.iter().sum::<u64>());
            let exact = total as f64 / area_m2;
            let per_m2 = found.per_m2.expect("an area").parts() as f64;
            prop_assert!((per_m2 - exact).abs() <= 0.5 + exact * 1e-6);
        }
    }

    #[test]
    fn without_a_price_there_is_no_total() {
        let found = costs(&[line("drip", Some(5)), line("mat", None)], 10.0).expect("one is priced");
        assert_eq!((found.total, found.per_m2, found.without_price), (None, None, vec!["mat".to_string()]));
        assert_eq!(found.groups.len(), 1);
        assert_eq!(costs(&[line("drip", None)], 10.0), None);
        assert_eq!(costs(&[line("drip", Some(5))], 0.0).and_then(|found| found.per_m2), None);
    }
}
