//! Liquids: primer, resin, top coat and hardener, by mass.

use super::RoofWork;
use super::amount::Amount;
use super::glass::Glass;
use super::line::{Draft, TakeoffLine};
use super::pack::{PackSold, Purchase};
use crate::survey::Survey;
use crate::system::{Liquid, Pack, System};
use crate::wet;

/// Primer of the deck that no trim covers.
pub(super) fn primer(system: &System, roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let area_m2 = roofs.iter().map(|roof| roof.mat.bare_deck_m2).sum();
    by_area("primer", &system.primer, "bare deck x rate", "bare deck", area_m2).map(|(line, _)| line)
}

/// Resin, top coat and the hardener for both.
pub(super) fn wet_lines(system: &System, survey: &Survey, roofs: &[RoofWork<'_>], glass: &Glass) -> Vec<TakeoffLine> {
    let area_m2 = roofs.iter().map(|roof| roof.area_m2).sum();
    let top_coat =
        by_area("top_coat", &system.top_coat, "area inside the outline x rate", "area inside the outline", area_m2);
    let (lines, masses): (Vec<_>, Vec<_>) = resin(system, glass).into_iter().chain(top_coat).unzip();
    let hardener = hardener(system, survey, masses.into_iter().sum());
    lines.into_iter().chain(hardener).collect()
}

/// A liquid applied at a rate by area: its line and its mass with the allowance.
fn by_area(
    material: &str,
    liquid: &Liquid,
    formula: &str,
    area_name: &str,
    area_m2: f64,
) -> Option<(TakeoffLine, Amount)> {
    let net = Amount::round_up(area_m2 * liquid.rate_kg_m2);
    let draft = Draft::new(material, &liquid.name, "kg", formula).input(area_name, round(area_m2), "m2").input(
        "rate",
        liquid.rate_kg_m2,
        "kg/m2",
    );
    order(draft, net, liquid.allowance, &liquid.packs)
}

fn resin(system: &System, glass: &Glass) -> Option<(TakeoffLine, Amount)> {
    let resin = &system.resin;
    let glass_kg = glass.mass_kg(system);
    let net = Amount::round_up(glass_kg * resin.resin_to_glass);
    let draft = Draft::new("resin", &resin.name, "kg", "glass of mat, tape and patches x resin to glass")
        .input("glass", round(glass_kg), "kg")
        .input("resin to glass", resin.resin_to_glass, "");
    order(draft, net, resin.allowance, &resin.packs)
}

/// Hardener for all that is mixed with it, allowances included: what is wasted was mixed first.
fn hardener(system: &System, survey: &Survey, mixed: Amount) -> Option<TakeoffLine> {
    let hardener = &system.hardener;
    let band = survey.surface_c.and_then(|surface_c| wet::dose(hardener, surface_c).ok());
    let largest = hardener.bands.iter().max_by(|a, b| a.fraction.total_cmp(&b.fraction));
    let fraction = band.or(largest)?.fraction;
    let formula = match band {
        Some(_) => "resin and top coat, allowances included x dose at the surface temperature",
        None => "resin and top coat, allowances included x largest dose of the table",
    };
    let mut draft = Draft::new("hardener", &hardener.name, "kg", formula)
        .input("resin and top coat", mixed.value(), "kg")
        .input("dose", fraction, "kg/kg");
    if let (Some(surface_c), true) = (survey.surface_c, band.is_some()) {
        draft = draft.input("surface temperature", surface_c, "degC");
    }
    order(draft, mixed.part(fraction), hardener.allowance, &hardener.packs).map(|(line, _)| line)
}

fn order(draft: Draft, net: Amount, allowance: f64, packs: &[Pack]) -> Option<(TakeoffLine, Amount)> {
    if net == Amount::ZERO {
        return None;
    }
    let allowance = net.part(allowance);
    let sold = |pack: &Pack| PackSold { size: Amount::pack(pack.mass_kg).millionths(), price: pack.price };
    let sold: Vec<_> = packs.iter().map(sold).collect();
    let mass = net + allowance;
    Some((draft.order(net, allowance, Purchase::covering(mass, &sold)), mass))
}

/// To the gram or the thousandth of a square metre, for printing.
fn round(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}
