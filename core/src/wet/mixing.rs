//! Mixing: how much is mixed at once, with how much hardener, for which pieces.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Place;
use super::batch::{Recipe, thousandth};
use super::dose::{dose, rows};
use super::portion::{Item, Portion, RoofWork};
use crate::amount::Amount;
use crate::caution::Hazard;
use crate::finding::{Finding, Grade};
use crate::system::{DoseBand, Hardener, Layer, Stage, System};

/// How one portion of a layer is mixed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mixing {
    /// The layer's stable name.
    pub layer: String,
    /// The layer's printed name.
    pub name: String,
    /// The hardener's printed name.
    pub hardener: String,
    /// The stage.
    pub stage: Stage,
    /// Where.
    pub places: Vec<Place>,
    /// Number of the task in the schedule, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub task: Option<u64>,
    /// Coldest and warmest surface expected while it is laid, in degrees Celsius: the dose is for the coldest, the size of
    /// the batches for the warmest.
    pub surface_c: (f64, f64),
    /// The coldest and the warmest surface temperature for which this dose holds, in degrees Celsius.
    pub band_c: (f64, f64),
    /// Mass of hardener per mass of the layer.
    pub fraction: f64,
    /// Shortest time before a mix gels, in minutes, if the table says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot_life_min: Option<f64>,
    /// Minutes in which each mix is laid: the share of that time which the system uses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub use_within_min: Option<f64>,
    /// What all batches hold together, without hardener: net and allowance, rounded up to whole batches' steps.
    pub mass_kg: f64,
    /// Which part of each mix goes on before the mat, where the layer says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub under_mat: Option<f64>,
    /// Unit of what batches cover: `m2`, for details `m` of tape or `piece` of patches.
    pub unit: String,
    /// The batches: alike ones together, the last one by itself where it is smaller.
    pub batches: Vec<Batch>,
    /// For which pieces each batch is, in order; left out where there are more than 500 batches.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mixes: Vec<Mix>,
    /// What each band of the hardener's table asks for: for when the surface is not as expected. Where the table is interpolated,
    /// a gap has a row for each degree (no more than twelve), with the dose of its coldest end.
    pub bands: Vec<MixingBand>,
    /// What may hurt.
    pub cautions: Vec<String>,
}

/// So many batches alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Batch {
    /// How many.
    pub count: u64,
    /// Mass of the layer in one, without hardener, in kilograms.
    pub mass_kg: f64,
    /// The same in litres, where the density is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// The same in marks of the container, where it has marks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub marks: Option<u64>,
    /// Hardener in one, in grams, never less than the dose.
    pub hardener_g: f64,
    /// The same in millilitres, where the density is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hardener_ml: Option<f64>,
    /// The same in measures, where the table is in measures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measures: Option<f64>,
    /// What one covers, in the unit of the mixing.
    pub covers: f64,
}

/// One batch in its order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mix {
    /// Its number, from 1.
    pub number: u64,
    /// Which of the batches it is, from 0.
    pub batch: usize,
    /// What it is for.
    pub work: Vec<MixWork>,
}

/// A piece that a mix is for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MixWork {
    /// Which roof, from 0.
    pub roof: usize,
    /// Which piece: `strip 2`, `seam at D1`, `edge S3`, `deck`.
    pub piece: String,
    /// How much of it is done when the mix is used up: 1 is all.
    pub done: f64,
}

/// One band of the hardener's table, for this layer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MixingBand {
    /// Coldest and warmest surface temperature in degrees Celsius.
    pub band_c: (f64, f64),
    /// Mass of hardener per mass of the layer.
    pub fraction: f64,
    /// Most that is mixed at once, in kilograms.
    pub most_kg: f64,
}

/// The most batches whose pieces are listed one by one.
const MOST_MIXES: u64 = 500;

/// How each portion with hardener is mixed, and what stands against it.
///
/// | finding | grade | when |
/// |---|---|---|
/// | `batch_too_small` | refuse | the pot life is too short to lay any batch |
/// | `overdosed` | caution | whole measures in a small batch come to more than the hardener's largest fraction |
///
/// A batch is no larger than the layer's largest mix, than its container, and than what the crew lays within the usable
/// share of the pot life. As few batches as that allows, evenly filled, in whole marks of the container where it has any; the
/// last is made of what is left. Hardener is rounded up, to whole parts of a measure or to what scales show, never below
/// the dose. A portion without a surface temperature, or with one off the hardener's table, has no mixing.
///
/// Linear in the number of pieces and batches.
pub fn mix(system: &System, crew: u32, portions: &[Portion], roofs: &[RoofWork<'_>]) -> (Vec<Mixing>, Vec<Finding>) {
    let (mut mixings, mut findings) = (Vec::new(), Vec::new());
    for portion in portions {
        let Some(layer) = system.layers.get(portion.layer) else { continue };
        let Some(hardener) = system.hardener_of(layer) else { continue };
        match mixed(system, crew, portion, roofs, layer, hardener) {
            Some(Ok(mixing)) => {
                findings.extend(overdosed(portion, hardener, &mixing));
                mixings.push(mixing);
            }
            Some(Err(finding)) => findings.push(*finding),
            // Outside the table `inspect` has said so already.
            None => {}
        }
    }
    findings.dedup();
    (mixings, findings)
}

fn mixed(
    system: &System,
    crew: u32,
    portion: &Portion,
    roofs: &[RoofWork<'_>],
    layer: &Layer,
    hardener: &Hardener,
) -> Option<Result<Mixing, Box<Finding>>> {
    let surface_c = portion.surface_c?;
    let (cold, warm) = (dose(hardener, surface_c.0).ok()?, dose(hardener, surface_c.1).ok()?);
    let items = portion.items(system, roofs);
    let net = Amount::round_up(items.iter().map(|item| item.kg).sum());
    let total_kg = (net + net.part(layer.allowance)).value();
    let hours = portion.person_hours(system, roofs) / f64::from(crew.max(1));
    let laid_kg = |band: &DoseBand| match band.pot_life_min {
        Some(minutes) if hours > 0.0 => net.value() / hours * minutes / 60.0 * system.limits.pot_life_share,
        _ => f64::INFINITY,
    };
    // What gels first among the bands that the surface passes through.
    let passed = hardener.bands.iter().filter(|band| band.to_c >= surface_c.0 && band.from_c <= surface_c.1);
    let passed: Vec<&DoseBand> = passed.chain([&cold, &warm]).collect();
    let least_laid = passed.iter().map(|band| laid_kg(band)).fold(f64::INFINITY, f64::min);
    let recipe = Recipe::new(layer, hardener, &cold, least_laid)?;
    if total_kg <= 0.0 {
        return None;
    }
    let steps = recipe.steps(total_kg);
    if steps.is_empty() {
        return Some(Err(Box::new(too_small(portion.layer, layer, recipe.most_kg))));
    }
    let (amount, unit) = portion.amount(system, roofs);
    let share = |steps: u64| (recipe.mass_kg(steps) / total_kg).min(1.0);
    let batches: Vec<Batch> =
        steps.iter().map(|&(count, steps)| recipe.batch(count, steps, share(steps) * amount)).collect();
    let band = |band: &DoseBand| {
        let recipe = Recipe::new(layer, hardener, band, laid_kg(band))?;
        let most = recipe.most_kg.min(total_kg);
        // Rounded down to what scales show.
        let most_kg = ((most * 100.0 + 1e-6).floor() / 100.0).max(0.001);
        Some(MixingBand { band_c: (band.from_c, band.to_c), fraction: recipe.fraction, most_kg })
    };
    let pot_life_min = passed.iter().filter_map(|band| band.pot_life_min).min_by(f64::total_cmp);
    // Rounded down to a tenth.
    let usable = |minutes: f64| ((minutes * system.limits.pot_life_share * 10.0 + 1e-6).floor() / 10.0).max(0.0);
    Some(Ok(Mixing {
        layer: layer.material.clone(),
        name: layer.name.clone(),
        hardener: hardener.name.clone(),
        stage: portion.stage,
        places: portion.places.clone(),
        task: portion.task,
        surface_c,
        band_c: (cold.from_c, cold.to_c),
        fraction: recipe.fraction,
        pot_life_min,
        use_within_min: pot_life_min.map(usable),
        mass_kg: thousandth(steps.iter().map(|&(count, steps)| count as f64 * recipe.mass_kg(steps)).sum()),
        under_mat: layer.under_mat.filter(|_| portion.stage == Stage::Laminate),
        unit: unit.into(),
        mixes: mixes(&items, &steps, |steps| recipe.mass_kg(steps) / total_kg),
        batches,
        bands: rows(hardener).iter().filter_map(band).collect(),
        cautions: Hazard::of_wet_work(true, portion.stage != Stage::Coat).iter().map(|h| h.text().into()).collect(),
    }))
}

/// The pieces of each batch: the batches lie end to end along the pieces, each as long as its share of the whole.
fn mixes(items: &[Item], steps: &[(u64, u64)], share: impl Fn(u64) -> f64) -> Vec<Mix> {
    // A piece of less than this part is rounding.
    const SLIVER: f64 = 0.005;
    if steps.iter().map(|&(count, _)| count).sum::<u64>() > MOST_MIXES {
        return Vec::new();
    }
    let total: f64 = items.iter().map(|item| item.kg).sum();
    let mut mixes: Vec<Mix> = Vec::new();
    let (mut piece, mut before, mut at) = (0, 0.0, 0.0);
    for (batch, &(count, steps)) in steps.iter().enumerate() {
        for _ in 0..count {
            at += share(steps) * total;
            let mut work: Vec<MixWork> = Vec::new();
            while let Some(item) = items.get(piece) {
                let done = ((at - before) / item.kg).min(1.0);
                let all = done >= 1.0 - SLIVER;
                if all || done > SLIVER {
                    let done = if all { 1.0 } else { (done * 100.0).round() / 100.0 };
                    work.push(MixWork { roof: item.roof, piece: item.mark.clone(), done });
                }
                if !all {
                    break;
                }
                before += item.kg;
                piece += 1;
            }
            mixes.push(Mix { number: mixes.len() as u64 + 1, batch, work });
        }
    }
    mixes
}

fn too_small(layer_index: usize, layer: &Layer, most_kg: f64) -> Finding {
    Finding::new(
        Grade::Refuse,
        "batch_too_small",
        format!("/system/layers/{layer_index}"),
        "the system's hardener table and working rate",
        format!(
            "No batch of {} is small enough: only {} g can be laid before it gels. Work in smaller sections with more \
             hands, or at another temperature.",
            layer.name,
            (most_kg * 1_000.0).floor()
        ),
    )
}

fn overdosed(portion: &Portion, hardener: &Hardener, mixing: &Mixing) -> Option<Finding> {
    let most = hardener.most_fraction?;
    let fraction = |batch: &Batch| thousandth(batch.hardener_g / batch.mass_kg) / 1_000.0;
    let largest = mixing.batches.iter().map(fraction).max_by(f64::total_cmp)?;
    // A gram of rounding is none.
    (largest > most * 1.02).then(|| {
        let text = format!(
            "A batch of {} comes to {} % of hardener when its measures are rounded up; {} % is the most. Mix larger \
             batches or use a smaller measure.",
            mixing.name,
            thousandth(largest * 100.0),
            thousandth(most * 100.0)
        );
        let place = format!("/system/layers/{}", portion.layer);
        Finding::new(Grade::Caution, "overdosed", place, "the system's largest fraction", text).measured(
            thousandth(largest * 100.0),
            thousandth(most * 100.0),
            "%",
        )
    })
}

#[cfg(test)]
#[path = "mixing_tests.rs"]
mod tests;
