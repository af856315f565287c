//! Where tape and mat go: seam lines and the zone of the mat.

use crate::error::Error;
use crate::geometry::{Polygon, inset};
use crate::length::Length;
use crate::roof::{Kind, Outline};
use crate::system::System;

/// The deck inside the seam lines of all trims.
pub(super) fn seam_zone(system: &System, outline: &Outline) -> Result<Vec<Polygon>, Error> {
    inset_by(outline, |kind| -system.trims.of(kind).section.seam())
}

/// What the mat covers, given the deck inside the seam lines. Where it runs further onto a flange than the flange is wide, it ends
/// at the outline.
pub(super) fn mat_zone(system: &System, outline: &Outline, seam_zone: &[Polygon]) -> Result<Vec<Polygon>, Error> {
    let onto = |kind: &Kind| system.trims.of(*kind).mat_onto;
    if outline.rings.iter().flat_map(|ring| &ring.kinds).all(|kind| onto(kind) == Length::ZERO) {
        return Ok(seam_zone.to_vec());
    }
    inset_by(outline, |kind| -system.trims.of(kind).section.seam() - onto(&kind))
}

fn inset_by(outline: &Outline, distance: impl Fn(Kind) -> Length) -> Result<Vec<Polygon>, Error> {
    let distances: Vec<Vec<Length>> = outline
        .rings
        .iter()
        .map(|ring| ring.kinds.iter().map(|&kind| distance(kind).max(Length::ZERO)).collect())
        .collect();
    inset(&outline.polygon(), &distances)
}
