//! How much glass there is to wet.

use super::{Collar, LayerAreas, RoofMat, TapePlace};
use crate::length::Length;
use crate::system::System;
use crate::trim::RoofTrims;

impl RoofMat {
    /// Length of tape off the roll: along all seams, one lap for each straight stretch onto the next, and up trim joints.
    pub fn tape_off_roll(&self, lap: Length) -> Length {
        let stretches: usize = self.seams.iter().map(|seam| seam.points.len()).sum();
        self.tape + lap * stretches as i64 + self.joint_tape()
    }

    /// Length of tape up all trim joints.
    pub fn joint_tape(&self) -> Length {
        let up = self.tape_pieces.iter().filter(|piece| matches!(piece.on, TapePlace::Joint { .. }));
        up.map(|piece| piece.length).sum()
    }

    /// Area of all collars in square metres, their holes left out, with the sleeves of pipes.
    pub fn collar_m2(&self) -> f64 {
        let quarter = std::f64::consts::FRAC_PI_4;
        let area = |collar: &Collar| {
            let (side, hole) = (collar.side.m(), collar.hole.m());
            let sleeve = collar.sleeve.map_or(0.0, |sleeve| sleeve.length.m() * sleeve.height.m());
            f64::from(collar.layers) * (side * side - quarter * hole * hole + sleeve)
        };
        // From zero: a sum of nothing is the negative one.
        self.collars.iter().map(area).fold(0.0, |sum, area| sum + area)
    }

    /// Areas layer by layer, to a thousandth of a square centimetre.
    pub(super) fn layer_areas(&self, system: &System, trims: &RoofTrims) -> LayerAreas {
        let round = |m2: f64| libm::round(m2 * 1e7) / 1e7;
        let square = |side: Length| side.m() * side.m();
        LayerAreas {
            bare_deck: round(self.bare_deck_m2),
            mat: round(self.laid_m2),
            tape: round(self.tape_off_roll(system.tape.lap).m() * system.tape.width.m()),
            patches: round(self.patch_count() as f64 * square(system.patch.side)),
            collars: round(self.collar_m2()),
            tissue: round(trims.visible_corners() as f64 * square(system.tissue.side)),
        }
    }

    /// Patches, all places and layers together.
    pub fn patch_count(&self) -> u64 {
        self.patches.iter().map(|patch| u64::from(patch.layers)).sum()
    }

    /// Mass of mat, tape, patches and collars in kilograms: what takes up resin. Laps count twice, as they are wetted twice.
    pub fn glass_kg(&self, system: &System) -> f64 {
        let (mat, tape, side_m) = (&system.mat, &system.tape, system.patch.side.m());
        let tape_m2 = self.tape_off_roll(tape.lap).m() * tape.width.m();
        let patch_m2 = self.patch_count() as f64 * side_m * side_m;
        ((self.laid_m2 + patch_m2 + self.collar_m2()) * mat.mass_g_m2 + tape_m2 * tape.mass_g_m2) / 1_000.0
    }
}
