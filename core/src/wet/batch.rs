//! How large a batch is, and how much hardener goes into it.

use super::mixing::Batch;
use crate::system::{DoseBand, Dosing, Hardener, Layer};

/// A whole number of steps may come out a hair off one.
const HAIR: f64 = 1e-9;

/// One layer with its hardener and dose.
pub(super) struct Recipe<'a> {
    layer: &'a Layer,
    hardener: &'a Hardener,
    /// Mass of hardener per mass of the layer.
    pub(super) fraction: f64,
    /// What the mass of every batch is a whole multiple of, in kilograms.
    step_kg: f64,
    /// Most that is mixed at once, in kilograms.
    pub(super) most_kg: f64,
}

impl<'a> Recipe<'a> {
    /// `laid_kg` is what the crew lays within the usable pot life.
    pub(super) fn new(layer: &'a Layer, hardener: &'a Hardener, band: &DoseBand, laid_kg: f64) -> Option<Self> {
        let fraction = hardener.fraction(band.dose, layer)?;
        let vessel_kg = layer.container.and_then(|vessel| Some(vessel.size_l * layer.density_kg_l?));
        let most_kg = laid_kg.min(layer.most_mix_kg.unwrap_or(f64::INFINITY)).min(vessel_kg.unwrap_or(f64::INFINITY));
        let mark_kg = layer.container.and_then(|vessel| Some(vessel.mark_l? * layer.density_kg_l?));
        let step_kg = match (mark_kg, hardener.dosing) {
            (Some(mark_kg), _) => mark_kg,
            // Without marks a batch is what a whole number of parts of a measure harden.
            (None, Dosing::Measures { mix_kg, part, .. }) => mix_kg / (band.dose * f64::from(part)),
            // What scales show.
            (None, _) if most_kg >= 1.0 => 0.05,
            (None, _) if most_kg >= 0.1 => 0.01,
            (None, _) => 0.001,
        };
        Some(Recipe { layer, hardener, fraction, step_kg, most_kg })
    }

    /// The steps of each batch: as few batches as the largest allows, evenly filled, the last with what is left. None
    /// where not even one step may be mixed at once.
    pub(super) fn steps(&self, total_kg: f64) -> Vec<(u64, u64)> {
        let total = (total_kg / self.step_kg - HAIR).ceil() as u64;
        let most = (self.most_kg / self.step_kg + HAIR).floor() as u64;
        if total == 0 || most == 0 {
            return Vec::new();
        }
        let full = total.div_ceil(total.div_ceil(most));
        match (total / full, total % full) {
            (count, 0) => vec![(count, full)],
            (count, last) => vec![(count, full), (1, last)],
        }
    }

    /// Mass of so many steps.
    pub(super) fn mass_kg(&self, steps: u64) -> f64 {
        steps as f64 * self.step_kg
    }

    /// `count` batches of so many steps; `covers` is what one covers.
    pub(super) fn batch(&self, count: u64, steps: u64, covers: f64) -> Batch {
        let mass_kg = self.mass_kg(steps);
        let exact_g = self.fraction * mass_kg * 1_000.0;
        let (measures, least_g) = match self.hardener.dosing {
            Dosing::Measures { measure_g, part, .. } => {
                let parts = (exact_g / measure_g * f64::from(part) - HAIR * steps as f64).ceil().max(1.0);
                let measures = parts / f64::from(part);
                (Some(measures), measures * measure_g)
            }
            _ => (None, exact_g),
        };
        let marks = self.layer.container.and_then(|vessel| vessel.mark_l).map(|_| steps);
        Batch {
            count,
            mass_kg: thousandth(mass_kg),
            volume_l: self.layer.density_kg_l.map(|density| (mass_kg / density * 100.0).round() / 100.0),
            marks,
            hardener_g: self.weighed(least_g),
            hardener_ml: self.hardener.density_kg_l.map(|density| readable(least_g / density)),
            measures,
            covers: (covers * 10.0).round() / 10.0,
        }
    }

    /// Rounded up to what the system's scales show.
    fn weighed(&self, least_g: f64) -> f64 {
        match self.hardener.scale_g {
            Some(scale_g) => thousandth((least_g / scale_g - 1e-6).ceil() * scale_g),
            None => readable(least_g),
        }
    }
}

/// Rounded up to what scales and measuring cups show: a whole unit, a tenth below 20.
fn readable(amount: f64) -> f64 {
    let per_unit = if amount < 20.0 { 10.0 } else { 1.0 };
    (amount * per_unit - 1e-6).ceil() / per_unit
}

pub(super) fn thousandth(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}
