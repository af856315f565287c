//! What lies on the deck: whether it stays, what it asks for, whether anything holds on it.

use super::deck::PRACTICE;
use super::inspect::on_roof;
use super::{Covering, Survey};
use crate::finding::{Finding, Grade};
use crate::system::{Covers, System, Treatment};

const ASBESTOS_BASIS: &str = "public guidance on old roofs (from memory)";
const ASBESTOS: &str = "may contain asbestos. Have it tested before anything is ground, cut or torn off; \
    this needs a competent person, and local rules apply.";

pub(super) fn inspect(roofs: usize, system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    if let Some(covering) = survey.covering {
        treatment(covering, system, survey, findings);
    }
    preparation(system, survey, findings);
    bond(roofs, system, survey, findings);
    weather(system, survey, findings);
    asbestos(survey, findings);
}

fn treatment(covering: Covering, system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let overlaid = survey.overlay.is_positive();
    let mut find = |grade, code, place, text: &str| {
        findings.push(Finding::new(grade, code, place, PRACTICE, text));
    };
    match treatment_of(covering, system) {
        Treatment::Direct if survey.bonded == Some(false) && covering != Covering::Bare && !overlaid => find(
            Grade::Refuse,
            "covering_not_bonded",
            "/survey/bonded",
            "The old covering is not bonded all over, so nothing that is laid on it will hold. Take it off, or lay new \
             boards over it that are fixed through to the joists.",
        ),
        Treatment::Overlay if !overlaid => find(
            Grade::Refuse,
            "covering_needs_overlay",
            "/survey/covering",
            "This covering is not laminated over. Lay new boards over it, fixed through to the joists, and say so in the \
             survey.",
        ),
        Treatment::Remove => find(
            Grade::Refuse,
            "covering_to_remove",
            "/survey/covering",
            "This covering has to come off before the new roof is laid. Once it is off, survey the deck below again.",
        ),
        Treatment::Ask if !overlaid => find(
            Grade::Caution,
            "covering_to_ask",
            "/survey/covering",
            "Whether this covering may be laid over is for the supplier to say. Ask, with a sample of it.",
        ),
        Treatment::Direct | Treatment::Overlay | Treatment::Ask => {}
    }
}

fn treatment_of(covering: Covering, system: &System) -> Treatment {
    system.readiness.rule(covering).map_or(Treatment::Ask, |rule| rule.treatment)
}

/// What the covering asks for before it goes or new boards lie on it, then what the surface asks for that is primed.
fn preparation(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let readiness = &system.readiness;
    let primed = readiness.primed(survey);
    let Some(rule) = primed.and_then(|surface| readiness.rule(surface)) else { return };
    let below = survey.covering.filter(|_| survey.covering != primed).and_then(|covering| readiness.rule(covering));
    let primers = system.layers.iter().filter(|layer| layer.covers == Covers::BareDeck);
    let taken: Vec<String> = primers
        .filter_map(|layer| match system.absorption(layer, survey) {
            absorption if absorption <= 0.0 => None,
            absorption if absorption < 1.0 => Some(format!("{} at {absorption} of its rate", layer.name)),
            absorption if absorption > 1.0 => Some(format!("{} at {absorption} times its rate", layer.name)),
            _ => Some(layer.name.clone()),
        })
        .collect();
    let prime = if taken.is_empty() { "It takes no primer.".into() } else { format!("Then: {}.", taken.join(", ")) };
    findings.push(Finding::new(
        Grade::Note,
        "surface_preparation",
        "/survey/covering",
        "the system's table of surfaces",
        [below.map_or("", |rule| &rule.preparation), &rule.preparation, &prime].join(" ").trim().to_string(),
    ));
}

/// A surface that nobody can name, or that the system leaves open, is tried out: on each roof.
fn bond(roofs: usize, system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    for (i, test) in survey.bond_tests.iter().enumerate().filter(|(_, test)| !test.held) {
        let text = format!(
            "The trial patch{} came off. Nothing will hold on this surface: take it off, prepare it otherwise and try again, \
             or lay new boards over it.",
            on_roof(test.roof, test.at)
        );
        findings.push(Finding::new(
            Grade::Refuse,
            "bond_failed",
            format!("/survey/bond_tests/{i}/held"),
            PRACTICE,
            text,
        ));
    }
    let surface = system.readiness.primed(survey);
    let grade = match surface {
        // Nothing is known of it: one of several things to look at.
        None => Grade::Note,
        Some(covering) if covering == Covering::Other || treatment_of(covering, system) == Treatment::Ask => {
            Grade::Caution
        }
        Some(_) => return,
    };
    for roof in (0..roofs).filter(|&roof| survey.bond_tests.iter().all(|test| test.roof != roof)) {
        findings.push(Finding::new(
            grade,
            "bond_test",
            format!("/roofs/{roof}"),
            PRACTICE,
            "Whether the new roof holds on this surface is not known. Prepare and prime a hand-sized patch, laminate a strip of \
             mat onto it with one end left free, let it cure and pull: it has to tear what lies below sooner than come off.",
        ));
    }
}

/// How long the surface has lain open, and when it was last wet.
fn weather(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let most = survey.covering.and_then(|covering| system.readiness.rule(covering)?.most_weathered_days);
    if let (Some(days), Some(most)) = (survey.weathered_days, most)
        && days > most
        && !survey.overlay.is_positive()
    {
        findings.push(
            Finding::new(
                Grade::Caution,
                "weathered",
                "/survey/weathered_days",
                "the system's table of surfaces",
                format!(
                    "The surface has lain open for {days} days; after {most} it is looked at again. Sand off what is grey or \
                     raised, look for swollen edges, and read the moisture at joints."
                ),
            )
            .measured(days, most, "d"),
        );
    }
    let least = system.readiness.least_dry_h;
    if let Some(hours) = survey.dry_h.filter(|&hours| hours < least) {
        findings.push(
            Finding::new(
                Grade::Caution,
                "lately_wet",
                "/survey/dry_h",
                "the system's readiness rules",
                format!(
                    "The moisture was read {hours} h after rain or dew; less than {least} h says little of what the deck holds. \
                     Keep it dry and read it again."
                ),
            )
            .measured(hours, least, "h"),
        );
    }
}

fn asbestos(survey: &Survey, findings: &mut Vec<Finding>) {
    let mut find = |grade, code, place, what: &str| {
        findings.push(Finding::new(grade, code, place, ASBESTOS_BASIS, format!("{what} {ASBESTOS}")));
    };
    match survey.covering {
        None => find(Grade::Note, "old_covering", "/survey/covering", "Old felt, board or sealant"),
        Some(covering) if covering.may_hide_asbestos() => {
            find(Grade::Caution, "asbestos", "/survey/covering", "What lies on this deck, if it is old,");
        }
        Some(_) => {}
    }
    if survey.boards.is_some_and(|boards| boards.board.may_hide_asbestos()) {
        find(Grade::Caution, "asbestos", "/survey/boards/board", "These boards, if they are old,");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;
    use crate::survey::{Board, Boards, BondTest};

    fn found(survey: &Survey) -> Vec<Finding> {
        let mut findings = Vec::new();
        inspect(2, &System::default(), survey, &mut findings);
        findings
    }

    /// Without the notes.
    fn codes(survey: &Survey) -> Vec<(Grade, String)> {
        let found =
            found(survey).into_iter().filter(|finding| finding.grade != Grade::Note && finding.code != "asbestos");
        found.map(|finding| (finding.grade, finding.code)).collect()
    }

    fn sound(covering: Covering) -> Survey {
        Survey { covering: Some(covering), sound: Some(true), bonded: Some(true), ..Survey::default() }
    }

    #[test]
    fn loose_felt_is_refused_unless_new_boards_are_fixed_through_it() {
        assert_eq!(codes(&sound(Covering::Felt)), []);
        let mut loose = sound(Covering::Felt);
        loose.bonded = Some(false);
        assert_eq!(codes(&loose), [(Grade::Refuse, "covering_not_bonded".into())]);
        loose.overlay = Length::from_mm(18);
        assert_eq!(codes(&loose), []);
    }

    #[test]
    fn each_covering_has_its_treatment() {
        let needs = |code: &str| vec![(Grade::Refuse, code.to_string())];
        assert_eq!(codes(&sound(Covering::Asphalt)), needs("covering_needs_overlay"));
        assert_eq!(codes(&sound(Covering::SinglePly)), needs("covering_to_remove"));
        assert_eq!(
            codes(&sound(Covering::Other)),
            [
                (Grade::Caution, "covering_to_ask".to_string()),
                (Grade::Caution, "bond_test".to_string()),
                (Grade::Caution, "bond_test".to_string())
            ]
        );
        let overlaid = Survey { overlay: Length::from_mm(18), ..sound(Covering::Metal) };
        assert_eq!(codes(&overlaid), []);
    }

    #[test]
    fn the_table_of_surfaces_is_said() {
        let note = |survey: &Survey| {
            let found = found(survey);
            let note = found.into_iter().find(|finding| finding.code == "surface_preparation");
            note.map(|finding| (finding.grade, finding.text))
        };
        let (grade, text) = note(&sound(Covering::Felt)).expect("felt is listed");
        assert_eq!(grade, Grade::Note);
        assert!(text.contains("blisters") && text.ends_with("Then: primer at 1.25 times its rate."), "{text}");
        // New boards over felt are what is primed.
        let overlaid = Survey { overlay: Length::from_mm(18), ..sound(Covering::Felt) };
        let (bare, overlaid) = (note(&sound(Covering::Bare)).expect("listed").1, note(&overlaid).expect("listed").1);
        assert!(overlaid.starts_with("Cut and nail") && overlaid.ends_with(&bare), "{overlaid}");
        assert!(bare.ends_with("Then: primer."), "{bare}");
        // So are the boards below a covering that comes off.
        let removed = note(&sound(Covering::SinglePly)).expect("listed").1;
        assert!(removed.starts_with("Take it off") && removed.ends_with(&bare), "{removed}");
        assert_eq!(note(&Survey::default()), None);
    }

    #[test]
    fn an_unknown_surface_is_tried_on_every_roof() {
        let tests = |survey: &Survey| -> Vec<(Grade, String)> {
            let found = found(survey).into_iter().filter(|finding| finding.code.starts_with("bond_"));
            found.map(|finding| (finding.grade, finding.place)).collect()
        };
        let on = |grade, roof: usize| (grade, format!("/roofs/{roof}"));
        let mut survey = sound(Covering::Other);
        assert_eq!(tests(&survey), [on(Grade::Caution, 0), on(Grade::Caution, 1)]);
        survey.bond_tests = vec![BondTest { held: true, roof: 0, at: None }];
        assert_eq!(tests(&survey), [on(Grade::Caution, 1)]);
        survey.bond_tests.push(BondTest { held: false, roof: 1, at: None });
        assert_eq!(tests(&survey), [(Grade::Refuse, "/survey/bond_tests/1/held".to_string())]);
        // Not said at all is a note; felt and boards are known.
        assert_eq!(tests(&Survey::default()), [on(Grade::Note, 0), on(Grade::Note, 1)]);
        assert_eq!(tests(&sound(Covering::Felt)), []);
        assert_eq!(tests(&Survey { overlay: Length::from_mm(18), ..sound(Covering::Other) }), []);
    }

    #[test]
    fn long_weathering_and_late_rain_are_said() {
        let bare = |weathered_days, dry_h| Survey { weathered_days, dry_h, ..sound(Covering::Bare) };
        assert_eq!(codes(&bare(Some(14.0), Some(24.0))), []);
        assert_eq!(
            codes(&bare(Some(14.5), Some(23.0))),
            [(Grade::Caution, "weathered".to_string()), (Grade::Caution, "lately_wet".to_string())]
        );
        // Felt lies open all its life.
        assert_eq!(codes(&Survey { weathered_days: Some(7_000.0), ..sound(Covering::Felt) }), []);
    }

    #[test]
    fn asbestos_is_a_caution_on_old_felt_and_boards() {
        let said = |survey: &Survey| -> Vec<(Grade, String, String)> {
            let found = found(survey).into_iter().filter(|finding| finding.text.contains("asbestos"));
            found.map(|finding| (finding.grade, finding.code, finding.place)).collect()
        };
        let at = |grade, code: &str, place: &str| (grade, code.to_string(), place.to_string());
        for covering in [Covering::Felt, Covering::Asphalt, Covering::Other] {
            assert_eq!(said(&sound(covering)), [at(Grade::Caution, "asbestos", "/survey/covering")]);
        }
        assert_eq!(said(&sound(Covering::Bare)), []);
        assert_eq!(said(&Survey::default()), [at(Grade::Note, "old_covering", "/survey/covering")]);
        let (thickness, joists) = (Length::from_mm(18), Length::from_mm(400));
        for (board, says) in [(Board::FibreCement, 1), (Board::Other, 1), (Board::Plywood, 0)] {
            let survey = Survey { boards: Some(Boards { board, thickness, joists }), ..sound(Covering::Bare) };
            assert_eq!(said(&survey), vec![at(Grade::Caution, "asbestos", "/survey/boards/board"); says]);
        }
    }
}
