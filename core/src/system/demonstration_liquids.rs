//! The wet work of the demonstration system. All rates, doses and times are inventions within what the general
//! literature gives, except where a comment says otherwise.

use super::liquid::{Covers, DoseBand, Dosing, Hardener, Layer, Pack, Rate};
use super::window::{Renewal, Window, WindowBand};

fn packs(masses: &[f64]) -> Vec<Pack> {
    masses.iter().map(|&mass_kg| Pack { mass_kg, price: None }).collect()
}

// Each layer cures about 40 to 60 minutes before the next; after about 42 hours, or a wet night, it is wiped with solvent
// first: common practice, no source.
const NEXT: Option<Window> = Some(Window { from_min: 60.0, to_h: 42.0 });

/// By temperature, the cure shortens as published kinetics of such resins allow (tests/published_wet.rs); the longest wait
/// stays what practice says.
fn next_at() -> Vec<WindowBand> {
    let band = |from_c, to_c, from_min| WindowBand { from_c, to_c, from_min, to_h: 42.0 };
    vec![band(5.0, 10.0, 90.0), band(10.0, 18.0, 60.0), band(18.0, 30.0, 34.0)]
}

fn renewal() -> Option<Renewal> {
    Some(Renewal {
        how: "wipe with solvent".into(),
        m2_per_person_hour: 30.0,
        from_min: 15.0,
        to_h: 42.0,
        after_rain: true,
    })
}

pub(super) fn layers() -> Vec<Layer> {
    let hardener = || Some("hardener".to_string());
    vec![
        Layer {
            material: "primer".into(),
            name: "primer".into(),
            covers: Covers::BareDeck,
            rate: Rate::KgPerM2(0.2),
            smooth: None,
            under_mat: None,
            density_kg_l: None,
            hardener: None,
            most_mix_kg: None,
            container: None,
            m2_per_person_hour: Some(30.0),
            next: NEXT,
            next_at: next_at(),
            renewal: renewal(),
            rain_safe_min: None,
            allowance: 0.1,
            packs: packs(&[5.0, 1.0]),
        },
        Layer {
            material: "resin".into(),
            name: "laminating resin".into(),
            covers: Covers::Laminate,
            // The middle of the range that handbooks give for chopped-strand mat (from memory).
            rate: Rate::PerGlass(2.25),
            smooth: None,
            // An invention.
            under_mat: Some(0.4),
            density_kg_l: Some(1.1),
            hardener: hardener(),
            most_mix_kg: Some(5.0),
            container: None,
            m2_per_person_hour: Some(6.0),
            next: NEXT,
            next_at: next_at(),
            renewal: renewal(),
            rain_safe_min: None,
            allowance: 0.1,
            packs: packs(&[20.0, 10.0, 5.0]),
        },
        Layer {
            material: "top_coat".into(),
            name: "top coat".into(),
            covers: Covers::Roof,
            rate: Rate::KgPerM2(0.5),
            smooth: Some(Rate::KgPerM2(0.7)),
            under_mat: None,
            density_kg_l: Some(1.2),
            hardener: hardener(),
            most_mix_kg: Some(5.0),
            container: None,
            m2_per_person_hour: Some(15.0),
            next: None,
            next_at: Vec::new(),
            renewal: None,
            rain_safe_min: Some(60.0),
            allowance: 0.1,
            packs: packs(&[20.0, 10.0, 5.0]),
        },
    ]
}

pub(super) fn hardeners() -> Vec<Hardener> {
    let band = |from_c, to_c, dose, pot_life_min| DoseBand { from_c, to_c, dose, pot_life_min: Some(pot_life_min) };
    vec![Hardener {
        material: "hardener".into(),
        name: "hardener".into(),
        dosing: Dosing::MassFraction,
        bands: vec![band(5.0, 10.0, 0.03, 20.0), band(10.0, 18.0, 0.02, 18.0), band(18.0, 30.0, 0.015, 12.0)],
        interpolate: false,
        // Peroxide solutions lie between about 1.11 and 1.18 (from memory).
        density_kg_l: Some(1.15),
        scale_g: None,
        least_fraction: None,
        most_fraction: None,
        allowance: 0.1,
        packs: packs(&[1.0, 0.25]),
    }]
}
