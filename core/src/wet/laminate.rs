//! How thick and heavy a laminate comes out.

use crate::finding::{Finding, Grade};
use crate::system::{Covers, Rate, System};

/// Density of glass fibre (E-glass) in grams per cubic centimetre, as the rules for small craft take it (from memory).
pub const GLASS_DENSITY: f64 = 2.56;

/// Thickness of a laminate in millimetres, by the rule of mixtures: the volume of glass and of resin on one square metre.
///
/// `glass_kg_m2` is the mass of glass, `resin_to_glass` the ratio of masses, densities are in grams per cubic centimetre
/// (kilograms per litre). Air is not counted, so a real laminate is a little thicker.
///
/// ```
/// use upstand::wet;
///
/// // 450 g/m2 at a glass fraction of 0.30.
/// let thickness_mm = wet::laminate_mm(0.45, 7.0 / 3.0, wet::GLASS_DENSITY, 1.2);
/// assert!((thickness_mm - 1.0508).abs() < 1e-4);
/// ```
pub fn laminate_mm(glass_kg_m2: f64, resin_to_glass: f64, glass_density: f64, resin_density: f64) -> f64 {
    glass_kg_m2 * (1.0 / glass_density + resin_to_glass / resin_density)
}

/// Thickness of all layers over one thickness of mat, in millimetres; layers without a density are left out.
fn build_up_mm(system: &System) -> f64 {
    let glass_kg_m2 = system.mat.mass_g_m2 / 1_000.0;
    let layer_mm = |layer: &crate::system::Layer| {
        let density = layer.density_kg_l?;
        match layer.rate {
            Rate::PerGlass(ratio) => Some(laminate_mm(glass_kg_m2, ratio, GLASS_DENSITY, density)),
            // Primer soaks into the deck.
            Rate::KgPerM2(rate) if layer.covers != Covers::BareDeck => Some(rate / density),
            Rate::KgPerM2(_) => None,
        }
    };
    system.layers.iter().filter_map(layer_mm).sum()
}

/// `build_up` (note): the layers are thicker than what the upstand check takes off.
pub(super) fn inspect(system: &System, findings: &mut Vec<Finding>) {
    let thickness_mm = (build_up_mm(system) * 100.0).round() / 100.0;
    let allowed_mm = system.limits.build_up.mm();
    if thickness_mm > allowed_mm {
        findings.push(
            Finding::new(
                Grade::Note,
                "build_up",
                "/system/limits/build_up",
                "rule of mixtures over the system's own rates and densities",
                format!(
                    "The layers alone come to {thickness_mm} mm, more than the {allowed_mm} mm that the check of upstands \
                     takes off."
                ),
            )
            .measured(thickness_mm, allowed_mm, "mm"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;
    use proptest::prelude::*;

    /// Resin to glass by mass from the mass fraction of glass.
    fn ratio(glass_fraction: f64) -> f64 {
        1.0 / glass_fraction - 1.0
    }

    // Rule of mixtures with 2.56 and 1.20 g/cm3, as any composites text has it: glass in g/m2, glass fraction, mm.
    #[test]
    fn thickness_of_common_laminates() {
        for (glass_g_m2, fraction, mm) in [
            (225.0, 0.30, 0.5254),
            (300.0, 0.30, 0.7005),
            (450.0, 0.30, 1.0508),
            (600.0, 0.30, 1.4010),
            (1000.0, 0.30, 2.3351),
            (225.0, 1.0 / 3.5, 0.5566),
            (450.0, 1.0 / 3.5, 1.1133),
            (450.0, 1.0 / 3.0, 0.9258),
            (600.0, 1.0 / 3.0, 1.2344),
        ] {
            let found = laminate_mm(glass_g_m2 / 1_000.0, ratio(fraction), 2.56, 1.2);
            assert!((found - mm).abs() < 1e-4, "{glass_g_m2} {fraction}: {found}");
        }
    }

    // Laminate density at a glass fraction of 0.30: 1.4275 g/cm3; a materials database (RAPRA, through azom.com) lists 1.4
    // for chopped glass in polyester.
    #[test]
    fn mass_over_thickness_is_the_density() {
        let density = (1.0 + ratio(0.30)) / laminate_mm(1.0, ratio(0.30), 2.56, 1.2);
        assert!((density - 1.4275).abs() < 1e-4, "{density}");
    }

    #[test]
    fn a_build_up_that_the_layers_exceed_is_said() {
        let mut system = System::default();
        let mut findings = Vec::new();
        inspect(&system, &mut findings);
        assert!(findings.is_empty());
        // 225 g/m2 at 2.25 to 1 and 1.1 kg/l, and 0.5 kg/m2 at 1.2 kg/l: 0.548 + 0.417 mm.
        system.limits.build_up = Length::from_um(900);
        inspect(&system, &mut findings);
        assert_eq!(findings[0].code, "build_up");
        assert!((findings[0].value.unwrap_or(0.0) - 0.96).abs() < 0.011);
    }

    proptest! {
        // t = (W / 3072) (2.56 / Gc - 1.36), W in g/m2: the form in rules for ships and small craft (Lloyd's Special Service
        // Craft, ISO 12215-5; from memory). It is the rule of mixtures for 2.56 and 1.20 g/cm3.
        #[test]
        fn the_rule_of_ship_classification_agrees(glass_g_m2 in 100.0..2_000.0f64, fraction in 0.2..0.6f64) {
            let rule = glass_g_m2 / 3_072.0 * (2.56 / fraction - 1.36);
            let mixture = laminate_mm(glass_g_m2 / 1_000.0, ratio(fraction), 2.56, 1.2);
            prop_assert!((rule - mixture).abs() < 1e-9);
        }
    }
}
