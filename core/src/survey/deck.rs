//! Whether the deck and what lies on it may be covered.

use super::{Covering, Survey};
use crate::finding::{Finding, Grade};
use crate::length::Length;
use crate::system::{System, Treatment};

const PRACTICE: &str = "the system's readiness rules; common practice, no source";
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
    if let Some(covering) = survey.covering {
        old_covering(covering, system, survey, findings);
    }
    boards(system, survey, findings);
    unread(survey, findings);
}

fn old_covering(covering: Covering, system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let rule = system.readiness.coverings.iter().find(|rule| rule.covering == covering);
    let overlaid = survey.overlay.is_positive();
    let mut find = |grade, code, place, text: &str| {
        findings.push(Finding::new(grade, code, place, PRACTICE, text));
    };
    match rule.map_or(Treatment::Ask, |rule| rule.treatment) {
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
        Treatment::Ask => find(
            Grade::Caution,
            "covering_to_ask",
            "/survey/covering",
            "Whether this covering may be laid over is for the supplier to say. Ask, with a sample or a trial patch.",
        ),
        Treatment::Direct | Treatment::Overlay => {}
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
    use crate::survey::{Board, Boards};

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
        assert_eq!(codes(&sound(Covering::Other)), [(Grade::Caution, "covering_to_ask".into())]);
        let overlaid = Survey { overlay: Length::from_mm(18), ..sound(Covering::Metal) };
        assert_eq!(codes(&overlaid), []);
    }

    #[test]
    fn rotten_boards_are_refused_and_what_is_not_known_is_said_once() {
        let rotten = Survey { sound: Some(false), ..sound(Covering::Bare) };
        assert_eq!(codes(&rotten), [(Grade::Refuse, "deck_not_sound".into())]);
        assert_eq!(codes(&Survey::default()), [(Grade::Note, "not_surveyed".into())]);
    }
}
