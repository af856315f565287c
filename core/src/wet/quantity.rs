//! How much of each layer the roofs take.

use super::RoofWork;
use crate::amount::Amount;
use crate::system::{Covers, Layer, Rate, System};
use crate::trim::TrimRun;

/// Areas to cover and glass to wet, all roofs together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Areas {
    /// Everything inside the outlines, in square metres.
    pub roof_m2: f64,
    /// The deck that no trim covers, in square metres.
    pub bare_deck_m2: f64,
    /// The area inside the seams, in square metres.
    pub laminate_m2: f64,
    /// What of the trims stands outside the laminate, in square metres.
    pub trims_m2: f64,
    /// Mass of mat, tape and patches in kilograms.
    pub glass_kg: f64,
}

impl Areas {
    /// Adds one roof.
    pub fn add(&mut self, system: &System, roof: &RoofWork<'_>) {
        self.roof_m2 += roof.area_m2;
        self.bare_deck_m2 += roof.mat.bare_deck_m2;
        self.laminate_m2 += roof.mat.area_m2;
        self.trims_m2 += roof.trims.runs.iter().map(|run| trim_m2(system, run)).sum::<f64>();
        self.glass_kg += roof.mat.glass_kg(system);
    }

    /// The area that a layer covers, in square metres.
    pub fn covered_m2(&self, covers: Covers) -> f64 {
        match covers {
            Covers::BareDeck => self.bare_deck_m2,
            Covers::Laminate => self.laminate_m2,
            Covers::Roof => self.roof_m2,
            Covers::Trims => self.trims_m2,
        }
    }

    /// What the work takes of a layer, without allowance.
    pub(crate) fn net(&self, layer: &Layer) -> Amount {
        Amount::round_up(match layer.rate {
            Rate::KgPerM2(rate) => self.covered_m2(layer.covers) * rate,
            Rate::PerGlass(ratio) => self.glass_kg * ratio,
        })
    }
}

/// What of a run's trim stands outside the laminate: all facets but the deck flange, over its length as cut, in square metres.
pub(super) fn trim_m2(system: &System, run: &TrimRun) -> f64 {
    let section = &system.trims.of(run.kind).section;
    let girth = section.girth();
    let flange = match (girth.get(section.deck_flange), girth.get(section.deck_flange + 1)) {
        (Some(&from), Some(&to)) => to - from,
        _ => crate::Length::ZERO,
    };
    let whole = girth.last().copied().unwrap_or_default();
    (whole - flange).m() * run.cut_length.m()
}
