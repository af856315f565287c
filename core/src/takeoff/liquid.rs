//! Layers and hardeners, by mass.

use super::line::{Draft, TakeoffLine};
use super::on_hand::MaterialOnHand;
use super::pack::PackSold;
use crate::amount::Amount;
use crate::system::{Covers, Hardener, Layer, Pack, Rate, System};
use crate::wet::{self, Areas};

/// Every layer in the order of application, then every hardener.
pub(super) fn lines(
    system: &System,
    surface_c: Option<f64>,
    on_hand: &[MaterialOnHand],
    areas: &Areas,
) -> Vec<TakeoffLine> {
    let layers = system.layers.iter().filter_map(|layer| layer_line(layer, on_hand, areas));
    let hardeners =
        system.hardeners.iter().filter_map(|hardener| hardener_line(system, surface_c, on_hand, areas, hardener));
    layers.chain(hardeners).collect()
}

fn layer_line(layer: &Layer, on_hand: &[MaterialOnHand], areas: &Areas) -> Option<TakeoffLine> {
    let draft = |formula: &str| Draft::new(&layer.material, &layer.name, "kg", formula);
    let draft = match layer.rate {
        Rate::KgPerM2(rate) => {
            let area = match layer.covers {
                Covers::BareDeck => "deck that no trim covers",
                Covers::Laminate => "area inside the seams",
                Covers::Roof => "area inside the outline",
                Covers::Trims => "trims outside the laminate",
            };
            draft(&format!("{area} x rate"))
                .input(area, thousandth(areas.covered_m2(layer.covers)), "m2")
                .input("rate", rate, "kg/m2")
        }
        Rate::PerGlass(ratio) => draft("glass of mat, tape and patches x resin to glass")
            .input("glass", thousandth(areas.glass_kg), "kg")
            .input("resin to glass", ratio, "kg/kg"),
    };
    order(draft, on_hand, areas.net(layer), layer.allowance, &layer.packs)
}

/// Hardener for all that is mixed with it, allowances included: what is wasted was mixed first.
fn hardener_line(
    system: &System,
    surface_c: Option<f64>,
    on_hand: &[MaterialOnHand],
    areas: &Areas,
    hardener: &Hardener,
) -> Option<TakeoffLine> {
    let band = surface_c.and_then(|surface_c| wet::dose(hardener, surface_c).ok());
    let largest = hardener.bands.iter().map(|band| band.dose).max_by(f64::total_cmp);
    let used = band.as_ref().map(|band| band.dose).or(largest)?;
    let mut draft = Draft::new(
        &hardener.material,
        &hardener.name,
        "kg",
        match band {
            Some(_) => "layers mixed with it, allowances included, x dose at the surface temperature",
            None => "layers mixed with it, allowances included, x largest dose of the table",
        },
    );
    let mut net = Amount::ZERO;
    for layer in system.layers.iter().filter(|layer| layer.hardener.as_ref() == Some(&hardener.material)) {
        let mixed = areas.net(layer) + areas.net(layer).part(layer.allowance);
        let fraction = hardener.fraction(used, layer)?;
        net = net + mixed.part(fraction);
        draft = draft.input(&layer.name, mixed.value(), "kg").input("dose", fraction, "kg/kg");
    }
    if let (Some(surface_c), true) = (surface_c, band.is_some()) {
        draft = draft.input("surface temperature", surface_c, "degC");
    }
    order(draft, on_hand, net, hardener.allowance, &hardener.packs)
}

fn order(draft: Draft, on_hand: &[MaterialOnHand], net: Amount, allowance: f64, packs: &[Pack]) -> Option<TakeoffLine> {
    if net == Amount::ZERO {
        return None;
    }
    let allowance = net.part(allowance);
    let sold = |pack: &Pack| PackSold { size: Amount::pack(pack.mass_kg).millionths(), price: pack.price };
    let sold: Vec<_> = packs.iter().map(sold).collect();
    Some(draft.cover(net, allowance, on_hand, &sold))
}

/// To the gram or the thousandth of a square metre, for printing.
fn thousandth(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}
