//! Batches: how much is mixed at once, with how much hardener.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Areas, dose};
use crate::amount::Amount;
use crate::finding::{Finding, Grade};
use crate::survey::Survey;
use crate::system::{DoseBand, Dosing, Hardener, Layer, System};

/// How one layer is mixed at the surface temperature that was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mixing {
    /// The layer's stable name.
    pub layer: String,
    /// The layer's printed name.
    pub name: String,
    /// The hardener's printed name.
    pub hardener: String,
    /// The surface temperature that the dose is for, in degrees Celsius.
    pub surface_c: f64,
    /// The coldest and the warmest surface temperature for which this mixing holds, in degrees Celsius.
    pub band_c: (f64, f64),
    /// Mass of hardener per mass of the layer.
    pub fraction: f64,
    /// Shortest time before a mix gels, in minutes, if the table says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot_life_min: Option<f64>,
    /// What all batches hold together, without hardener: net and allowance, rounded up to whole batches' steps.
    pub mass_kg: f64,
    /// The batches: alike ones together, the last one by itself where it is smaller.
    pub batches: Vec<Batch>,
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
    /// Hardener in one, in grams, never less than the dose.
    pub hardener_g: f64,
    /// The same in millilitres, where the density is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hardener_ml: Option<f64>,
    /// The same in measures, where the table is in measures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measures: Option<u64>,
    /// Area that one covers, in square metres.
    pub covers_m2: f64,
}

/// The mixing of every layer that has a hardener and a dose, and what stands against it: `batch_too_small` (refuse)
/// where the pot life is too short to lay any batch.
///
/// A batch is no larger than the layer's largest mix and no larger than what the crew lays within the usable share of
/// the pot life. As few batches as that allows, evenly filled. Where the hardener comes in measures, every batch takes
/// whole measures. Without a surface temperature there is no mixing.
pub fn mix(system: &System, survey: &Survey, crew: u32, areas: &Areas) -> (Vec<Mixing>, Vec<Finding>) {
    let (mut mixings, mut findings) = (Vec::new(), Vec::new());
    let Some(surface_c) = survey.surface_c else { return (mixings, findings) };
    for (i, layer) in system.layers.iter().enumerate() {
        let Some(hardener) = system.hardener_of(layer) else { continue };
        // Outside the table `inspect` has said so already.
        let Ok(band) = dose(hardener, surface_c) else { continue };
        let net = areas.net(layer);
        let total_kg = (net + net.part(layer.allowance)).value();
        let Some(fraction) = hardener.fraction(band.dose, layer).filter(|_| total_kg > 0.0) else { continue };
        let most_kg = most_at_once(system, crew, layer, band, net, areas);
        let mix = Mix { layer, hardener, fraction, step: step(hardener, band, most_kg) };
        let batches = mix.batches(total_kg, most_kg, areas.covered_m2(layer.covers));
        if batches.is_empty() {
            findings.push(too_small(i, layer, most_kg));
            continue;
        }
        mixings.push(Mixing {
            layer: layer.material.clone(),
            name: layer.name.clone(),
            hardener: hardener.name.clone(),
            surface_c,
            band_c: (band.from_c, band.to_c),
            fraction,
            pot_life_min: band.pot_life_min,
            mass_kg: thousandth(batches.iter().map(|batch| batch.count as f64 * batch.mass_kg).sum()),
            batches,
        });
    }
    (mixings, findings)
}

/// Largest batch in kilograms.
fn most_at_once(system: &System, crew: u32, layer: &Layer, band: &DoseBand, net: Amount, areas: &Areas) -> f64 {
    let container = layer.most_mix_kg.unwrap_or(f64::INFINITY);
    let (Some(pot_life_min), Some(m2_per_hour)) =
        (band.pot_life_min, layer.m2_per_person_hour.map(|rate| rate * f64::from(crew)))
    else {
        return container;
    };
    let covered_m2 = areas.covered_m2(layer.covers);
    if covered_m2 <= 0.0 {
        return container;
    }
    let laid_m2 = m2_per_hour * pot_life_min * system.limits.pot_life_share / 60.0;
    container.min(laid_m2 * net.value() / covered_m2)
}

/// What the mass of every batch is a whole multiple of.
#[derive(Clone, Copy)]
enum Step {
    /// What scales read, in kilograms.
    Scales(f64),
    /// What one measure of hardener hardens, in kilograms, and what the measure holds, in grams.
    Measure(f64, f64),
}

fn step(hardener: &Hardener, band: &DoseBand, most_kg: f64) -> Step {
    match hardener.dosing {
        Dosing::Measures { measure_g, mix_kg } => Step::Measure(mix_kg / band.dose, measure_g),
        _ if most_kg >= 1.0 => Step::Scales(0.05),
        _ if most_kg >= 0.1 => Step::Scales(0.01),
        _ => Step::Scales(0.001),
    }
}

/// One layer with its hardener and dose.
struct Mix<'a> {
    layer: &'a Layer,
    hardener: &'a Hardener,
    fraction: f64,
    step: Step,
}

impl Mix<'_> {
    /// As few batches as the largest allows, evenly filled; none where not even one step may be mixed at once.
    fn batches(&self, total_kg: f64, most_kg: f64, covered_m2: f64) -> Vec<Batch> {
        // A whole number of steps may come out a hair off one.
        const HAIR: f64 = 1e-9;
        let (Step::Scales(step_kg) | Step::Measure(step_kg, _)) = self.step;
        let total = (total_kg / step_kg - HAIR).ceil() as u64;
        let most = (most_kg / step_kg + HAIR).floor() as u64;
        if total == 0 || most == 0 {
            return Vec::new();
        }
        let full = total.div_ceil(total.div_ceil(most));
        let batch = |count, steps: u64| {
            let share = (steps as f64 * step_kg / total_kg).min(1.0);
            self.batch(count, steps, (share * covered_m2 * 10.0).round() / 10.0)
        };
        match (total / full, total % full) {
            (count, 0) => vec![batch(count, full)],
            (count, last) => vec![batch(count, full), batch(1, last)],
        }
    }

    fn batch(&self, count: u64, steps: u64, covers_m2: f64) -> Batch {
        let (mass_kg, measures, least_g) = match self.step {
            Step::Scales(step_kg) => {
                let mass_kg = steps as f64 * step_kg;
                (mass_kg, None, self.fraction * mass_kg * 1_000.0)
            }
            Step::Measure(step_kg, measure_g) => (steps as f64 * step_kg, Some(steps), steps as f64 * measure_g),
        };
        Batch {
            count,
            mass_kg: thousandth(mass_kg),
            volume_l: self.layer.density_kg_l.map(|density| (mass_kg / density * 100.0).round() / 100.0),
            hardener_g: readable(least_g),
            hardener_ml: self.hardener.density_kg_l.map(|density| readable(least_g / density)),
            measures,
            covers_m2,
        }
    }
}

/// Rounded up to what scales and measuring cups show: a whole unit, a tenth below 20.
fn readable(amount: f64) -> f64 {
    let per_unit = if amount < 20.0 { 10.0 } else { 1.0 };
    (amount * per_unit - 1e-6).ceil() / per_unit
}

fn thousandth(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
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

#[cfg(test)]
#[path = "mixing_tests.rs"]
mod tests;
