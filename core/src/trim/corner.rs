//! The corner table at work: which rule governs where two sides meet.

use crate::roof::{Bend, Kind, Vertex};
use crate::system::{CornerRule, CornerShape, EndCut, EndRule, Limits, Reach, Section, System};

use super::end::{mitred, returned, square, squared};
use super::result::{End, Turn};
use crate::length::Length;

/// What happens at one corner.
pub(super) struct Meeting {
    /// Which way the corner turns.
    pub turn: Turn,
    /// The end of the trim that arrives.
    pub before: End,
    /// The beginning of the trim that leaves.
    pub after: End,
    /// Patches on the corner.
    pub patches: u32,
    /// Whether the corner is too sharp for the table: its trims are left square for the fitter.
    pub too_sharp: bool,
    /// Which of the two is cut back where their bodies would clash: the one that arrives, or the one that leaves.
    pub cut_back: Side,
}

/// One of the two trims of a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Side {
    Before,
    After,
}

impl Side {
    /// The one that is fixed second, and so lies on the other: the later in the order of work, the one that leaves among
    /// equals.
    pub(super) fn second(before: Kind, after: Kind) -> Side {
        if before > after { Side::Before } else { Side::After }
    }
}

/// Which way a corner turns; straight below the system's limit.
pub(super) fn turn(bend: Bend, limits: &Limits) -> Turn {
    if bend.degrees().abs() < limits.straight_deg || bend.sin == 0.0 {
        Turn::Straight
    } else if bend.sin > 0.0 {
        Turn::Outer
    } else {
        Turn::Inner
    }
}

/// The row of the table for two kinds, with its end rules in the order (before, after).
pub(super) fn find_rule(
    table: &[CornerRule],
    before: Kind,
    after: Kind,
    shape: CornerShape,
) -> Option<(&EndRule, &EndRule, u32)> {
    table.iter().filter(|row| row.shape == shape).find_map(|row| {
        let (first, second) = (&row.ends.0, &row.ends.1);
        if row.kinds == (before, after) {
            Some((first, second, row.patches))
        } else if row.kinds == (after, before) {
            Some((second, first, row.patches))
        } else {
            None
        }
    })
}

/// Cuts the two ends that meet at a corner. `None` where the table has no row for it and the job makes no choice.
pub(super) fn meet(system: &System, before: Kind, after: Kind, vertex: &Vertex) -> Option<Meeting> {
    let turn = turn(vertex.plan, &system.limits);
    let shape = match turn {
        Turn::Outer => CornerShape::Outer,
        Turn::Inner => CornerShape::Inner,
        Turn::Straight => CornerShape::Straight,
    };
    let row = find_rule(&system.corners, before, after, shape);
    // In line there is nothing to reach past: both stop at the point, and the joint is patched like any other.
    let butt = EndRule::square(Reach::Outline);
    let (rules, patches) = match (&vertex.choice, row, turn) {
        (Some((first, second, patches)), row, _) => {
            ((first, second), patches.or(row.map(|row| row.2)).unwrap_or(system.patch.at_joint))
        }
        (None, Some((first, second, patches)), _) => ((first, second), patches),
        (None, None, Turn::Straight) => ((&butt, &butt), system.patch.at_joint),
        (None, None, _) => return None,
    };
    let degrees = vertex.plan.degrees().abs();
    let too_sharp = 180.0 - degrees < system.limits.sharpest_mitre_deg;
    let gentle = degrees < system.limits.gentlest_square_deg;
    let cut = |rule: &EndRule, own: &Section, other: &Section| match rule.cut {
        EndCut::Mitre | EndCut::Return if too_sharp => square(Length::ZERO),
        EndCut::Mitre => mitred(vertex.laid, own, rule.gain),
        EndCut::Return if turn == Turn::Straight => square(rule.gain),
        EndCut::Return => returned(vertex.laid, own, rule.gain),
        EndCut::Square | EndCut::Lap if too_sharp || turn == Turn::Straight => square(rule.gain),
        EndCut::Square | EndCut::Lap if gentle && vertex.choice.is_some() => square(rule.gain),
        // A square end would run far past so gentle a corner before it met the other trim's line.
        EndCut::Square | EndCut::Lap if gentle => mitred(vertex.laid, own, rule.gain),
        EndCut::Square | EndCut::Lap => squared(rule, vertex.laid, own, other),
    };
    let end = |rule: &EndRule, own: &Section, other: &Section| {
        let end = cut(rule, own, other);
        // A mitre leaves nothing open.
        End { closing: rule.closing.filter(|_| end.cut != EndCut::Mitre), ..end }
    };
    let cut_back = match (rules.0.goes_through(), rules.1.goes_through()) {
        (true, false) => Side::After,
        (false, true) => Side::Before,
        _ => Side::second(before, after),
    };
    let (own, other) = (&system.trims.of(before).section, &system.trims.of(after).section);
    let by_hand =
        too_sharp && !(vertex.choice.is_some() && rules.0.cut == EndCut::Square && rules.1.cut == EndCut::Square);
    Some(Meeting {
        turn,
        before: end(rules.0, own, other),
        after: end(rules.1, other, own),
        patches,
        too_sharp: by_hand,
        cut_back,
    })
}
