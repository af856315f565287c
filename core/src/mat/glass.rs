//! How much glass there is to wet.

use super::RoofMat;
use crate::length::Length;
use crate::system::System;

impl RoofMat {
    /// Length of tape off the roll: along all seams, and one lap for each straight stretch onto the next.
    pub fn tape_off_roll(&self, lap: Length) -> Length {
        let stretches: usize = self.seams.iter().map(|seam| seam.points.len()).sum();
        self.tape + lap * stretches as i64
    }

    /// Patches, all places and layers together.
    pub fn patch_count(&self) -> u64 {
        self.patches.iter().map(|patch| u64::from(patch.layers)).sum()
    }

    /// Mass of mat, tape and patches in kilograms: what takes up resin. Laps count twice, as they are wetted twice.
    pub fn glass_kg(&self, system: &System) -> f64 {
        let (mat, tape, side_m) = (&system.mat, &system.tape, system.patch.side.m());
        let tape_m2 = self.tape_off_roll(tape.lap).m() * tape.width.m();
        let patch_m2 = self.patch_count() as f64 * side_m * side_m;
        ((self.laid_m2 + patch_m2) * mat.mass_g_m2 + tape_m2 * tape.mass_g_m2) / 1_000.0
    }
}
