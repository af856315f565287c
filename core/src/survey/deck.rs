//! Whether the deck and what lies on it may be covered.

use super::{Covering, Survey};
use crate::finding::{Finding, Grade};
use crate::length::Length;
use crate::system::System;

pub(super) const PRACTICE: &str = "the system's readiness rules; common practice, no source";
const BOARDS_BASIS: &str = "the system's readiness rules; by default NHBC Standards 2020, 7.1.4, table 1";

pub(super) fn inspect(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    if survey.sound == Some(false) {
        findings.push(Finding::new(
            Grade::Refuse,
            "deck_not_sound",
            "/survey/sound",
            PRACTICE,
            "The boards are not sound. Replace what is rotten, broken or loose before anything is laid over it.",
        ));
    }
    defects(system, survey, findings);
    boards(system, survey, findings);
    unread(survey, findings);
}

fn defects(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let overlaid = survey.overlay.is_positive();
    for (i, defect) in survey.defects.iter().enumerate() {
        let rule = system.readiness.defects.iter().find(|rule| rule.defect == defect.what);
        let (grade, next) = rule
            .map_or((Grade::Caution, "Have a competent person look at it."), |rule| (rule.grade, rule.next.as_str()));
        let mended = overlaid && rule.is_some_and(|rule| rule.overlay_helps);
        let grade = if mended { Grade::Note } else { grade };
        let next = if mended { "New boards go over it: fix them through to the joists." } else { next };
        let what = super::inspect::capital(defect.what.words());
        let area = defect.area_m2.map(|area| format!(", {area} m2")).unwrap_or_default();
        let note = if defect.note.is_empty() { String::new() } else { format!(" ({})", defect.note) };
        let text = format!("{what}{}{area}{note}. {next}", super::inspect::on_roof(defect.roof, defect.at));
        findings.push(Finding::new(grade, "deck_defect", format!("/survey/defects/{i}"), PRACTICE, text));
    }
}

fn boards(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let Some(boards) = survey.boards else { return };
    let rows = || system.readiness.boards.iter().filter(|row| row.board == boards.board);
    let Some(widest) = rows().map(|row| row.joists).max() else {
        findings.push(Finding::new(
            Grade::Caution,
            "boards_unlisted",
            "/survey/boards/board",
            BOARDS_BASIS,
            "The system has no rule for these boards. Have a competent person say whether they carry the roof.",
        ));
        return;
    };
    let least = rows().filter(|row| row.joists >= boards.joists).map(|row| row.thickness).min();
    match least {
        None => findings.push(
            Finding::new(
                Grade::Refuse,
                "joists_wide",
                "/survey/boards/joists",
                BOARDS_BASIS,
                format!(
                    "The joists stand {} apart; these boards are given for {widest} at most. Add support, or have the \
                     deck designed.",
                    boards.joists
                ),
            )
            .measured(boards.joists.mm(), widest.mm(), "mm"),
        ),
        Some(least) if boards.thickness < least => findings.push(
            Finding::new(
                Grade::Refuse,
                "boards_thin",
                "/survey/boards/thickness",
                BOARDS_BASIS,
                format!(
                    "The boards are {} thick; on joists {} apart at least {least} is needed. Lay thicker boards or add \
                     support.",
                    boards.thickness, boards.joists
                ),
            )
            .measured(boards.thickness.mm(), least.mm(), "mm"),
        ),
        Some(_) => {}
    }
}

/// One note for all that has to be known and was not said.
fn unread(survey: &Survey, findings: &mut Vec<Finding>) {
    let mut missing = Vec::new();
    if survey.covering.is_none() {
        missing.push("what lies on the deck");
    }
    if survey.sound.is_none() {
        missing.push("whether the boards are sound");
    }
    let old = survey.covering != Some(Covering::Bare);
    if old && survey.bonded.is_none() && survey.overlay == Length::ZERO {
        missing.push("whether the old covering is bonded all over");
    }
    if !missing.is_empty() {
        findings.push(Finding::new(
            Grade::Note,
            "not_surveyed",
            "/survey",
            PRACTICE,
            format!("The survey does not say {}. Look before work begins.", missing.join(", ")),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::survey::{Board, Boards, Defect, DefectKind};

    fn codes(survey: &Survey) -> Vec<(Grade, String)> {
        let mut findings = Vec::new();
        inspect(&System::default(), survey, &mut findings);
        findings.into_iter().map(|finding| (finding.grade, finding.code)).collect()
    }

    fn sound(covering: Covering) -> Survey {
        Survey { covering: Some(covering), sound: Some(true), bonded: Some(true), ..Survey::default() }
    }

    fn on_joists(board: Board, thickness: i64, joists: i64) -> Survey {
        let (thickness, joists) = (Length::from_mm(thickness), Length::from_mm(joists));
        Survey { boards: Some(Boards { board, thickness, joists }), ..sound(Covering::Bare) }
    }

    // NHBC Standards 2020, 7.1.4, table 1: 15 mm at 450 mm centres, 18 mm at 600 mm, joists at 600 mm at most.
    #[test]
    fn boards_are_thick_enough_for_their_joists_or_refused() {
        for board in [Board::Plywood, Board::Osb3] {
            assert_eq!(codes(&on_joists(board, 15, 450)), []);
            assert_eq!(codes(&on_joists(board, 14, 450)), [(Grade::Refuse, "boards_thin".into())]);
            assert_eq!(codes(&on_joists(board, 15, 451)), [(Grade::Refuse, "boards_thin".into())]);
            assert_eq!(codes(&on_joists(board, 18, 600)), []);
            assert_eq!(codes(&on_joists(board, 17, 600)), [(Grade::Refuse, "boards_thin".into())]);
            assert_eq!(codes(&on_joists(board, 40, 601)), [(Grade::Refuse, "joists_wide".into())]);
        }
        assert_eq!(codes(&on_joists(Board::Other, 40, 300)), [(Grade::Caution, "boards_unlisted".into())]);
    }

    #[test]
    fn rotten_boards_are_refused_and_what_is_not_known_is_said_once() {
        let rotten = Survey { sound: Some(false), ..sound(Covering::Bare) };
        assert_eq!(codes(&rotten), [(Grade::Refuse, "deck_not_sound".into())]);
        assert_eq!(codes(&Survey::default()), [(Grade::Note, "not_surveyed".into())]);
    }

    #[test]
    fn defects_are_graded_by_the_system_and_placed() {
        let defect = |what, at| Defect { what, roof: 1, at, area_m2: Some(0.5), note: "by the rooflight".into() };
        let mut survey = sound(Covering::Felt);
        survey.defects = vec![
            defect(DefectKind::Rot, Some(Point::from_mm(1200, 800))),
            defect(DefectKind::Debonded, None),
            defect(DefectKind::Blister, None),
        ];
        let found = |system: &System, survey: &Survey| {
            let mut findings = Vec::new();
            inspect(system, survey, &mut findings);
            findings
        };
        let system = System::default();
        let all = found(&system, &survey);
        let grades: Vec<_> = all.iter().map(|finding| finding.grade).collect();
        assert_eq!(grades, [Grade::Refuse, Grade::Refuse, Grade::Caution]);
        assert_eq!(all[0].place, "/survey/defects/0");
        assert!(
            all[0].text.starts_with("Rot at (1200, 800) on roof 2, 0.5 m2 (by the rooflight). Cut it out"),
            "{}",
            all[0].text
        );
        // New boards mend a covering, not a rotten deck.
        survey.overlay = Length::from_mm(18);
        let grades: Vec<_> = found(&system, &survey).iter().map(|finding| finding.grade).collect();
        assert_eq!(grades, [Grade::Refuse, Grade::Note, Grade::Note]);
        // Without a row a person has to look.
        let mut bare = System::default();
        bare.readiness.defects.clear();
        assert!(found(&bare, &survey).iter().all(|finding| finding.grade == Grade::Caution));
    }
}
