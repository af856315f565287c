//! Cautions: what may hurt the people who do the work, in the library's own words.
//!
//! They repeat public guidance, advise no further, and stand on every sheet they apply to. No caution replaces a
//! product's data sheets, the local rules or a competent person.

use crate::survey::{Covering, Survey};
use crate::system::System;

/// Something that may hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hazard {
    /// Following the data sheets.
    DataSheet,
    /// Falls from and through the roof.
    Height,
    /// Vapour of resin and top coat: fire and health.
    Vapour,
    /// Peroxide hardener: fire, and violent reaction with accelerators.
    Hardener,
    /// Hardener in the eyes.
    Eyes,
    /// Cleaning solvent.
    Solvent,
    /// Dust of glass and cured laminate.
    Dust,
    /// Heat of curing waste.
    Waste,
    /// Asbestos in old layers.
    Asbestos,
    /// Wind uplift is not designed.
    Wind,
}

impl Hazard {
    /// Every hazard, in the order in which cautions are printed.
    pub const ALL: [Hazard; 10] = [
        Hazard::DataSheet,
        Hazard::Height,
        Hazard::Asbestos,
        Hazard::Vapour,
        Hazard::Hardener,
        Hazard::Eyes,
        Hazard::Solvent,
        Hazard::Dust,
        Hazard::Waste,
        Hazard::Wind,
    ];

    /// Those that stand on every text that speaks of hardener.
    pub const WITH_HARDENER: [Hazard; 3] = [Hazard::DataSheet, Hazard::Hardener, Hazard::Eyes];

    /// Those of making an old or new deck ready.
    pub fn of_preparation(survey: &Survey) -> Vec<Hazard> {
        let mut hazards = vec![Hazard::DataSheet, Hazard::Height];
        if may_hide_asbestos(survey) {
            hazards.push(Hazard::Asbestos);
        }
        hazards.push(Hazard::Dust);
        hazards
    }

    /// Those of cutting and fixing trims.
    pub const OF_TRIMS: [Hazard; 4] = [Hazard::DataSheet, Hazard::Height, Hazard::Dust, Hazard::Wind];

    /// Those of cleaning a layer that has stood too long or got wet.
    pub const OF_CLEANING: [Hazard; 4] = [Hazard::DataSheet, Hazard::Height, Hazard::Vapour, Hazard::Solvent];

    /// Those of laying a liquid layer, with or without hardener in it and glass under it.
    pub fn of_wet_work(hardener: bool, glass: bool) -> Vec<Hazard> {
        let applies = |hazard: &Hazard| match hazard {
            Hazard::Hardener | Hazard::Eyes | Hazard::Waste => hardener,
            Hazard::Dust => glass,
            Hazard::Asbestos | Hazard::Wind => false,
            Hazard::DataSheet | Hazard::Height | Hazard::Vapour | Hazard::Solvent => true,
        };
        Hazard::ALL.into_iter().filter(applies).collect()
    }

    /// The caution in plain words.
    pub const fn text(self) -> &'static str {
        match self {
            Hazard::DataSheet => {
                "Follow the data sheet and safety data sheet of every product, and the local rules. Where they differ \
                 from this plan, they win."
            }
            // Height rules differ by country, so no distance or height is named.
            Hazard::Height => {
                "Guard every edge, opening and rooflight against falls before work begins. This plan designs no edge \
                 protection."
            }
            // OSHA and NIOSH list styrene as flammable (flash point 31 degrees Celsius) and set exposure limits.
            Hazard::Vapour => {
                "Resin, primer and top coat give off vapour that burns and harms. Keep flames, sparks and smokers away, \
                 keep air moving, keep vapour out of the building, and wear the protection that the safety data sheet \
                 names."
            }
            // HSE Plastics Processing Sheet 15 for self-decomposition and burning without outside air; never mixing
            // peroxide and accelerator: from memory.
            Hazard::Hardener => {
                "Peroxide hardener can decompose by itself and burn without outside air. Never let it touch an \
                 accelerator: each goes into the resin alone. Keep it cool, in its own container, away from metal, \
                 dust, rags and resin, and never grind or heat it."
            }
            // OSHA 1989 preamble (54 FR 2332): two drops of a 40 % solution severely damaged eyes.
            Hazard::Eyes => {
                "A drop of hardener can destroy an eye. Wear goggles whenever hardener is open. If it gets into an eye, \
                 rinse with much water at once and get medical help."
            }
            // Acetone as the common case: flash point -18 degrees Celsius, vapour heavier than air.
            Hazard::Solvent => {
                "Cleaning solvent lights at any temperature on site and its vapour creeps along low places. Keep it \
                 closed and away from flames, and do not wash skin with it."
            }
            Hazard::Dust => {
                "Glass fibres and the dust of sanded laminate irritate skin, eyes and lungs. Cover up, and catch the \
                 dust."
            }
            // From memory: waste hot from curing has started fires.
            Hazard::Waste => {
                "Mixed resin heats as it cures and can start a fire. Let leavings cure outdoors in small amounts, away \
                 from anything that burns, and throw them away only when they are cold. Never collect hardener waste \
                 with other waste."
            }
            Hazard::Asbestos => {
                "Old felt, board and sealant may contain asbestos. Do not grind, cut or tear them before a competent \
                 person has found out."
            }
            Hazard::Wind => {
                "Spacings of fixings and lines of adhesive come from the system's table. They are no design against \
                 wind: on an exposed or high roof, have a competent person check them."
            }
        }
    }
}

fn may_hide_asbestos(survey: &Survey) -> bool {
    let boards = survey.boards.is_some_and(|boards| boards.board.may_hide_asbestos());
    boards || survey.covering.is_none_or(Covering::may_hide_asbestos)
}

/// The hazards of a job, in the order of [`Hazard::ALL`].
pub fn hazards(system: &System, survey: &Survey) -> Vec<Hazard> {
    let hardener = system.layers.iter().any(|layer| layer.hardener.is_some());
    let applies = |hazard: &Hazard| match hazard {
        Hazard::Hardener | Hazard::Eyes => hardener,
        Hazard::Asbestos => may_hide_asbestos(survey),
        _ => true,
    };
    Hazard::ALL.into_iter().filter(applies).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_lists_every_hazard_once() {
        let mut all = Hazard::ALL.to_vec();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), 10);
        assert!(Hazard::ALL.iter().all(|h| h.text().ends_with('.')));
    }

    #[test]
    fn each_hazard_speaks_of_its_matter() {
        for (hazard, words) in [
            (Hazard::Eyes, ["goggles", "rinse", "medical"]),
            (Hazard::Hardener, ["Peroxide", "accelerator", "burn"]),
            (Hazard::Vapour, ["vapour", "flames", "air"]),
            (Hazard::Solvent, ["flames", "vapour", "skin"]),
            (Hazard::Height, ["edge", "falls", "rooflight"]),
            (Hazard::Asbestos, ["asbestos", "competent", "grind"]),
            (Hazard::Waste, ["cure", "cold", "fire"]),
            (Hazard::Wind, ["wind", "design", "competent"]),
            (Hazard::DataSheet, ["data sheet", "local rules", "win"]),
        ] {
            assert!(words.iter().all(|word| hazard.text().contains(word)), "{hazard:?}");
        }
    }

    #[test]
    fn the_hardener_brings_its_own_cautions_and_an_old_roof_its_own() {
        let mut system = System::default();
        let mut survey = Survey::default();
        let all = hazards(&system, &survey);
        assert_eq!(all, Hazard::ALL);
        survey.covering = Some(Covering::Bare);
        system.layers.iter_mut().for_each(|layer| layer.hardener = None);
        let fewer = hazards(&system, &survey);
        assert!(!fewer.contains(&Hazard::Asbestos) && !fewer.contains(&Hazard::Eyes));
        assert_eq!(fewer.len(), all.len() - 3);
    }
}
