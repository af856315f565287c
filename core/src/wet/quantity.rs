//! How much of each layer the roofs take.

use crate::amount::Amount;
use crate::mat::RoofMat;
use crate::system::{Covers, Layer, Rate, System};

/// Areas to cover and glass to wet, all roofs together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Areas {
    /// Everything inside the outlines, in square metres.
    pub roof_m2: f64,
    /// The deck that no trim covers, in square metres.
    pub bare_deck_m2: f64,
    /// The area inside the seams, in square metres.
    pub laminate_m2: f64,
    /// Mass of mat, tape and patches in kilograms.
    pub glass_kg: f64,
}

impl Areas {
    /// Adds one roof: the area inside its outline and its reinforcement.
    pub fn add(&mut self, system: &System, roof_m2: f64, mat: &RoofMat) {
        self.roof_m2 += roof_m2;
        self.bare_deck_m2 += mat.bare_deck_m2;
        self.laminate_m2 += mat.area_m2;
        self.glass_kg += mat.glass_kg(system);
    }

    /// The area that a layer covers, in square metres.
    pub fn covered_m2(&self, covers: Covers) -> f64 {
        match covers {
            Covers::BareDeck => self.bare_deck_m2,
            Covers::Laminate => self.laminate_m2,
            Covers::Roof => self.roof_m2,
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
