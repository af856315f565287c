//! What each stage of the work costs: hours of people, and its share of the packs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Group, RoofWork, TakeoffLine, cost};
use crate::money::Money;
use crate::schedule::Schedule;
use crate::system::{Hardener, Layer, Stage, System};
use crate::wet::Portion;

/// What one stage costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StageCost {
    /// Which stage.
    pub stage: Stage,
    /// The layer that is laid or cleaned in it, by its `material`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// Hours of one person, rounded up to hundredths; waiting is not among them.
    pub person_hours: f64,
    /// What they cost, where the system says what an hour costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labour: Option<Money>,
    /// Its share of the packs bought, where all that it uses has a price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub materials: Option<Money>,
    /// Both together, where both are known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total: Option<Money>,
    /// For each square metre of roof, to a ten-thousandth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_m2: Option<Money>,
}

/// A stage before its shares are added up.
struct Share {
    stage: Stage,
    layer: Option<String>,
    person_hours: f64,
    /// What it takes of its layer, in kilograms.
    kg: f64,
    materials: Option<Money>,
}

/// The stages in the order of work, with their hours and their shares of the packs.
///
/// Packs that several stages use are shared out by what each takes of them: layers by mass, hardener by what goes into each
/// layer. Shares are whole ten-thousandths that add up to the cost of the packs. Hours are those of the module
/// [`schedule`](crate::schedule) for one person, rounded up to hundredths; a schedule adds what is cleaned.
pub fn stage_costs(
    system: &System,
    roofs: &[RoofWork<'_>],
    lines: &[TakeoffLine],
    schedule: Option<&Schedule>,
) -> Vec<StageCost> {
    let area_m2: f64 = roofs.iter().map(|roof| roof.area_m2).sum();
    let mut shares = stages(system, roofs);
    shares.extend(cleaning(system, schedule));
    for line in lines.iter().filter(|line| !line.packs.is_empty()) {
        share_out(system, line, &mut shares);
    }
    let cost = |share: Share| {
        let hundredths = (share.person_hours * 100.0 - 1e-6).ceil().max(0.0) as u64;
        let labour = system.work.person_hour.and_then(|hour| {
            let parts = u128::from(hour.parts()) * u128::from(hundredths);
            u64::try_from((parts + 50) / 100).ok().map(Money::from_parts)
        });
        let total = labour.and_then(|labour| share.materials.and_then(|materials| labour.plus(materials)));
        StageCost {
            stage: share.stage,
            layer: share.layer,
            person_hours: hundredths as f64 / 100.0,
            labour,
            materials: share.materials,
            total,
            per_m2: total.or(share.materials).and_then(|money| cost::per_m2(money, area_m2)),
        }
    };
    shares.into_iter().map(cost).collect()
}

fn stages(system: &System, roofs: &[RoofWork<'_>]) -> Vec<Share> {
    let work = &system.work;
    let share = |stage, layer: Option<&Layer>, person_hours, kg| Share {
        stage,
        layer: layer.map(|layer| layer.material.clone()),
        person_hours,
        kg,
        materials: Some(Money::ZERO),
    };
    let area_m2: f64 = roofs.iter().map(|roof| roof.area_m2).sum();
    let runs = || roofs.iter().flat_map(|roof| &roof.trims.runs);
    let trim_m: f64 = runs().map(|run| run.cut_length.m()).sum();
    let joints: f64 = runs().map(|run| run.joints.len() as f64).sum();
    let mut shares = vec![
        share(Stage::Preparation, None, area_m2 / work.preparation_m2, 0.0),
        share(Stage::Trims, None, trim_m / work.trim_m + joints / work.joints, 0.0),
    ];
    for portion in Portion::of_all(system, roofs.len(), None) {
        let layer = &system.layers[portion.layer];
        let (kg, hours) = (portion.net_kg(system, roofs), portion.person_hours(system, roofs));
        if kg > 0.0 {
            shares.push(share(portion.stage, Some(layer), hours, kg));
        }
    }
    shares
}

/// What the schedule has cleaned, all cleanings of a layer together.
fn cleaning(system: &System, schedule: Option<&Schedule>) -> Vec<Share> {
    let Some(schedule) = schedule else { return Vec::new() };
    let of_layer = |layer: &Layer| {
        let renewal = layer.renewal.as_ref()?;
        let name = crate::schedule::cleaning_name(renewal, layer);
        let tasks = schedule.tasks.iter().filter(|task| task.stage == Stage::Cleaning && task.name == name);
        let area_m2: f64 = tasks.map(|task| task.amount).sum();
        (area_m2 > 0.0).then(|| Share {
            stage: Stage::Cleaning,
            layer: Some(layer.material.clone()),
            person_hours: area_m2 / renewal.m2_per_person_hour,
            kg: 0.0,
            materials: Some(Money::ZERO),
        })
    };
    system.layers.iter().filter_map(of_layer).collect()
}

/// Adds a line's cost to the stages that use it; makes what they cost unknown where it has no price.
fn share_out(system: &System, line: &TakeoffLine, shares: &mut Vec<Share>) {
    let hardener: Option<&Hardener> = system.hardeners.iter().find(|hardener| hardener.material == line.material);
    let weight = |share: &Share| -> f64 {
        let layer = system.layers.iter().find(|layer| Some(&layer.material) == share.layer.as_ref());
        match (hardener, Group::of(&line.material)) {
            (Some(hardener), _) => {
                let layer = layer.filter(|layer| layer.hardener.as_ref() == Some(&hardener.material));
                let mixed =
                    |layer: &Layer| share.kg * (1.0 + layer.allowance) * hardener.fraction(1.0, layer).unwrap_or(0.0);
                layer.map_or(0.0, mixed)
            }
            (None, Group::Trims) => f64::from(share.stage == Stage::Trims),
            (None, Group::Glass) => {
                let stage = if line.material == "mat" { Stage::Laminate } else { Stage::Details };
                f64::from(share.stage == stage)
            }
            (None, Group::Liquids) => layer.filter(|layer| layer.material == line.material).map_or(0.0, |_| share.kg),
        }
    };
    let mut weights: Vec<f64> = shares.iter().map(weight).collect();
    if weights.iter().sum::<f64>() <= 0.0 {
        // Glass without a layer that wets it has a stage of its own.
        let stage = if line.material == "mat" { Stage::Laminate } else { Stage::Details };
        shares.push(Share { stage, layer: None, person_hours: 0.0, kg: 0.0, materials: Some(Money::ZERO) });
        weights.push(1.0);
    }
    let whole: f64 = weights.iter().sum();
    let (mut counted, mut given) = (0.0, 0);
    for (share, weight) in shares.iter_mut().zip(&weights).filter(|(_, weight)| **weight > 0.0) {
        counted += weight;
        // The last share ends at the whole: no part is lost.
        let to = line.cost.map(|cost| (cost.parts() as f64 * (counted / whole).min(1.0)).round() as u64);
        let part = to.map(|to| Money::from_parts(to.saturating_sub(given)));
        given = to.unwrap_or(0);
        share.materials = share.materials.zip(part).and_then(|(sum, part)| sum.plus(part));
    }
}
