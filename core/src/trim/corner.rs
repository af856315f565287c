//! The corner table at work: which rule governs where two sides meet.

use crate::roof::{Bend, Kind, Vertex};
use crate::system::{CornerRule, CornerShape, EndCut, EndRule, Limits, Reach, Section, System};

use super::end::{mitred, returned, skewed, square, squared};
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
    /// Which of the two lies on the other: the one that laps, or the one that is fixed second.
    pub upper: Side,
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

    fn other(self) -> Side {
        match self {
            Side::Before => Side::After,
            Side::After => Side::Before,
        }
    }
}

/// Which way a corner turns; straight below the system's limit, where ends butt and what little they turn is left to the
/// joint: see [`Limits::straight_deg`].
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
        _ if too_sharp || turn == Turn::Straight => square(rule.gain),
        _ if gentle && vertex.choice.is_some() => square(rule.gain),
        // A square end would run far past so gentle a corner before it met the other trim's line.
        _ if gentle => mitred(vertex.laid, own, rule.gain),
        EndCut::Skew => skewed(rule, vertex.laid, own, other),
        EndCut::Square | EndCut::Lap => squared(rule, vertex.laid, own, other),
    };
    let end = |rule: &EndRule, own: &Section, other: &Section| {
        let end = cut(rule, own, other);
        // A mitre leaves nothing open.
        End { closing: rule.closing.filter(|_| end.cut != EndCut::Mitre), ..end }
    };
    let (own, other) = (&system.trims.of(before).section, &system.trims.of(after).section);
    let ends = (end(rules.0, own, other), end(rules.1, other, own));
    let one_of = |is: (bool, bool)| match is {
        (true, false) => Some(Side::Before),
        (false, true) => Some(Side::After),
        _ => None,
    };
    let is_cut = |cut: EndCut| one_of((ends.0.cut == cut, ends.1.cut == cut));
    let second = Side::second(before, after);
    // A trim that is bent round the corner goes through there too.
    let through = is_cut(EndCut::Return).or(one_of((rules.0.goes_through(), rules.1.goes_through())));
    let cut_back = through.map_or(second, Side::other);
    let upper = is_cut(EndCut::Lap).unwrap_or(second);
    let by_hand =
        too_sharp && !(vertex.choice.is_some() && rules.0.cut == EndCut::Square && rules.1.cut == EndCut::Square);
    Some(Meeting { turn, before: ends.0, after: ends.1, patches, too_sharp: by_hand, cut_back, upper })
}
