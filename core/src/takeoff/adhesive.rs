//! Adhesive: one bead along bonded faces, several across each lap.

use super::RoofWork;
use super::line::{Draft, TakeoffLine};
use super::on_hand::MaterialOnHand;
use super::pack::PackSold;
use super::trim::runs;
use crate::amount::Amount;
use crate::system::{Section, System};

pub(super) fn lines(system: &System, on_hand: &[MaterialOnHand], roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let adhesive = &system.adhesive;
    let (mut faces_m, mut laps_m, mut laps) = (0.0, 0.0, 0_u64);
    for run in runs(roofs) {
        let trim = system.trims.of(run.kind);
        if trim.bonded {
            faces_m += run.cut_length.m();
        }
        if trim.lap.is_positive() {
            laps += run.joints.len() as u64;
            laps_m += run.joints.len() as f64 * f64::from(adhesive.beads_per_lap) * girth_m(&trim.section);
        }
    }
    let bead_mm = adhesive.bead.mm();
    // A square millimetre along a metre is a millilitre.
    let net = Amount::round_up(std::f64::consts::FRAC_PI_4 * bead_mm * bead_mm * (faces_m + laps_m));
    if net == Amount::ZERO {
        return None;
    }
    let allowance = net.part(adhesive.allowance);
    let cartridge = PackSold { size: Amount::pack(adhesive.cartridge_ml).millionths(), price: adhesive.price };
    let line = Draft::new(
        "adhesive",
        "adhesive",
        "ml",
        "pi/4 x bead^2 x (one bead along every bonded face + beads per lap x girth of the section x laps)",
    )
    .input("bead", bead_mm, "mm")
    .input("bonded faces", round(faces_m), "m")
    .input("laps", laps as f64, "")
    .input("beads per lap", adhesive.beads_per_lap.into(), "")
    .input("beads in laps", round(laps_m), "m")
    .cover(net, allowance, on_hand, &[cartridge]);
    Some(line)
}

/// Arc length along the section.
fn girth_m(section: &Section) -> f64 {
    let facet = |pair: &[(crate::Length, crate::Length)]| {
        let (du, dv) = (pair[1].0.m() - pair[0].0.m(), pair[1].1.m() - pair[0].1.m());
        (du * du + dv * dv).sqrt()
    };
    section.points.windows(2).map(facet).sum()
}

/// To the millimetre, for printing.
fn round(m: f64) -> f64 {
    (m * 1_000.0).round() / 1_000.0
}
