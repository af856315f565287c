//! What may be covered: old coverings and boards.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Covers, Layer, System};
use crate::finding::Grade;
use crate::length::Length;
use crate::survey::{Board, Covering, DefectKind, Survey};

/// What the surveyed deck is held against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Readiness {
    /// What each surface asks for, the bare deck's and every old covering's. One that is not listed has to be tried out and
    /// asked about.
    pub coverings: Vec<CoveringRule>,
    /// Boards that carry the roof on joists; each row is the least thickness for a spacing.
    pub boards: Vec<BoardRule>,
    /// What each defect asks for. One that is not listed is a caution.
    pub defects: Vec<DefectRule>,
    /// Least hours since rain or dew last wetted the surface before its moisture is read.
    pub least_dry_h: f64,
}

/// What one surface asks for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoveringRule {
    /// Which.
    pub covering: Covering,
    /// Whether it stays.
    pub treatment: Treatment,
    /// What is done to it before it is primed, as sentences for people.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub preparation: String,
    /// The layer that primes it, by its `material`; left out, every layer on the bare deck that no other row names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub primer: Option<String>,
    /// How much primer it takes, as a factor on the rate of the layer: 2 for twice as much, 0 for none.
    #[serde(default = "as_stated")]
    pub absorption: f64,
    /// For how many days it may lie open to the weather before it has to be looked at again; left out, for any time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_weathered_days: Option<f64>,
}

const fn as_stated() -> f64 {
    1.0
}

/// What to do with an old covering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Treatment {
    /// Laminate straight onto it, if it is bonded all over.
    Direct,
    /// Lay new boards over it.
    Overlay,
    /// Take it off.
    Remove,
    /// Ask the supplier.
    Ask,
}

/// What one kind of defect asks for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DefectRule {
    /// Which.
    pub defect: DefectKind,
    /// How grave it is.
    pub grade: Grade,
    /// What to do next, as sentences for people.
    pub next: String,
    /// Whether new boards over it, fixed through to the joists, make it harmless.
    #[serde(default)]
    pub overlay_helps: bool,
}

/// Boards of one kind and thickness on joists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardRule {
    /// Which boards.
    pub board: Board,
    /// Least thickness.
    pub thickness: Length,
    /// Widest spacing of joists, centre to centre, for that thickness.
    pub joists: Length,
}

impl Readiness {
    /// The row of a covering, if the table has one.
    pub fn rule(&self, covering: Covering) -> Option<&CoveringRule> {
        self.coverings.iter().find(|rule| rule.covering == covering)
    }

    /// The surface that is primed: bare boards where new ones go over what was found, or have to, and where it comes off; else
    /// what was found; none where the survey does not say.
    pub fn primed(&self, survey: &Survey) -> Option<Covering> {
        let found = survey.covering?;
        let treatment = self.rule(found).map(|rule| rule.treatment);
        let goes = matches!(treatment, Some(Treatment::Remove | Treatment::Overlay));
        Some(if survey.overlay.is_positive() || goes { Covering::Bare } else { found })
    }
}

impl System {
    /// How much of a layer on the bare deck the surveyed surface takes, as a factor on the layer's own rate: 0 where it asks
    /// for another primer or for none. Layers that cover something else, and surfaces that nobody named, take the layer's
    /// rate as it stands; a layer that only some surfaces ask for then counts in full, so that nothing is short.
    ///
    /// ```
    /// use upstand::System;
    /// use upstand::survey::{Covering, Survey};
    ///
    /// let mut system = System::default();
    /// let primer = system.layers[0].clone();
    /// let felt = Survey { covering: Some(Covering::Felt), ..Survey::default() };
    /// assert_eq!(system.absorption(&primer, &felt), 1.25);
    /// assert_eq!(system.absorption(&primer, &Survey::default()), 1.0);
    /// // Felt with a primer of its own takes none of the other.
    /// system.readiness.coverings[1].primer = Some("felt_primer".into());
    /// assert_eq!(system.absorption(&primer, &felt), 0.0);
    /// ```
    pub fn absorption(&self, layer: &Layer, survey: &Survey) -> f64 {
        if layer.covers != Covers::BareDeck {
            return 1.0;
        }
        let Some(rule) = self.readiness.primed(survey).and_then(|covering| self.readiness.rule(covering)) else {
            return 1.0;
        };
        let named = |rule: &CoveringRule| rule.primer.as_ref() == Some(&layer.material);
        let asked = match rule.primer {
            Some(_) => named(rule),
            None => !self.readiness.coverings.iter().any(named),
        };
        if asked { rule.absorption } else { 0.0 }
    }
}

impl Default for Readiness {
    fn default() -> Self {
        use Grade::{Caution, Refuse};
        use Treatment::{Ask, Direct, Overlay, Remove};

        let rule = |covering, treatment, absorption, preparation: &str| CoveringRule {
            covering,
            treatment,
            preparation: preparation.into(),
            primer: None,
            absorption,
            // Bare boards swell and grey: this project's own.
            most_weathered_days: (covering == Covering::Bare).then_some(14.0),
        };
        let defect =
            |defect, grade, overlay_helps, next: &str| DefectRule { defect, grade, next: next.into(), overlay_helps };
        let board = |board, thickness, joists| BoardRule {
            board,
            thickness: Length::from_mm(thickness),
            joists: Length::from_mm(joists),
        };
        Readiness {
            // Bonded felt is laminated over, and primed until its colour is lost: common practice, no source. The other rows are
            // the cautious choice, and all factors on the primer are inventions.
            coverings: vec![
                rule(
                    Covering::Bare,
                    Direct,
                    1.0,
                    "Fix every board down, fill or tape open joints, sweep it dry and clean.",
                ),
                rule(
                    Covering::Felt,
                    Direct,
                    1.25,
                    "Cut and nail blisters and ridges flat, brush off loose grit, wash off moss and let it dry.",
                ),
                rule(Covering::Asphalt, Overlay, 1.0, "Cut back what stands proud, so that the new boards lie flat."),
                rule(Covering::SinglePly, Remove, 1.0, "Take it off with its adhesive, down to the deck."),
                rule(Covering::Metal, Overlay, 0.5, "Flatten seams and rolls, so that the new boards lie flat."),
                rule(Covering::Liquid, Ask, 0.5, "Wash off dirt and chalk, then abrade it until it is dull all over."),
                rule(
                    Covering::Concrete,
                    Ask,
                    1.5,
                    "Grind off laitance, fill cracks and holes, take the dust off by vacuum.",
                ),
                rule(Covering::Masonry, Ask, 2.0, "Brush off what is loose, point open joints, take the dust off."),
                rule(Covering::Other, Ask, 1.0, "Clean it and find out what it is."),
            ],
            // NHBC Standards 2020, 7.1.4, table 1.
            boards: vec![
                board(Board::Plywood, 15, 450),
                board(Board::Plywood, 18, 600),
                board(Board::Osb3, 15, 450),
                board(Board::Osb3, 18, 600),
            ],
            // Rotten, broken and loose parts come out before a roof is laid over; a covering that is loose does not hold what is
            // laid on it: common practice, no source.
            defects: vec![
                defect(
                    DefectKind::Rot,
                    Refuse,
                    false,
                    "Cut it out to sound timber, find where the water came from, make good.",
                ),
                defect(DefectKind::Broken, Refuse, false, "Replace the boards, from joist to joist."),
                defect(DefectKind::LooseBoard, Refuse, false, "Fix them down with screws to every joist."),
                defect(DefectKind::Debonded, Refuse, true, "Cut it off to where it holds, or take all of it off."),
                defect(DefectKind::Blister, Caution, true, "Cut them open, dry, nail and bond them flat."),
                defect(DefectKind::Crack, Caution, true, "Open and fill them, and reinforce over them."),
                defect(
                    DefectKind::Contaminated,
                    Caution,
                    true,
                    "Take it off down to what is clean, then test the bond.",
                ),
            ],
            // This project's own.
            least_dry_h: 24.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layer(system: &System, material: &str) -> Layer {
        Layer { material: material.into(), ..system.layers[0].clone() }
    }

    #[test]
    fn each_surface_takes_its_own_primer_and_as_much_of_it_as_it_drinks() {
        let mut system = System::default();
        for (covering, primer, absorption) in
            [(Covering::Metal, Some("metal_primer"), 0.5), (Covering::Felt, None, 1.25), (Covering::Liquid, None, 0.0)]
        {
            let row = system.readiness.coverings.iter_mut().find(|rule| rule.covering == covering).expect("listed");
            (row.treatment, row.primer, row.absorption) = (Treatment::Direct, primer.map(Into::into), absorption);
        }
        let (usual, metal) = (layer(&system, "primer"), layer(&system, "metal_primer"));
        let takes = |covering, overlay| {
            let survey = Survey { covering, overlay, ..Survey::default() };
            // In percent.
            [&usual, &metal].map(|layer| (100.0 * system.absorption(layer, &survey)).round() as i64)
        };
        assert_eq!(takes(Some(Covering::Metal), Length::ZERO), [0, 50]);
        assert_eq!(takes(Some(Covering::Felt), Length::ZERO), [125, 0]);
        assert_eq!(takes(Some(Covering::Liquid), Length::ZERO), [0, 0]);
        // New boards are what is primed, whatever they lie on; so is the deck below a covering that comes off.
        assert_eq!(takes(Some(Covering::Metal), Length::from_mm(18)), [100, 0]);
        assert_eq!(takes(Some(Covering::SinglePly), Length::ZERO), [100, 0]);
        assert_eq!(takes(None, Length::ZERO), [100, 100]);
        // Other layers do not ask what lies below.
        assert!((system.absorption(&system.layers[2], &Survey::default()) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_default_table_has_a_row_for_every_surface() {
        let readiness = Readiness::default();
        for covering in Covering::ALL {
            let rule = readiness.rule(covering).expect("a row");
            assert!(rule.preparation.ends_with('.'), "{covering:?}");
        }
        for kind in DefectKind::ALL {
            let rules: Vec<_> = readiness.defects.iter().filter(|rule| rule.defect == kind).collect();
            assert!(rules.len() == 1 && rules[0].next.ends_with('.'), "{kind:?}");
        }
    }
}
