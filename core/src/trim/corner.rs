//! The corner table at work: which rule governs where two sides meet.

use crate::roof::{Bend, Kind};
use crate::system::{CornerRule, CornerShape, EndCut, EndRule, Limits, Section, System};

use super::end::{cut_end, mitred, square};
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

/// Cuts the two ends that meet at a corner. `None` where the table has no row for it.
pub(super) fn meet(system: &System, before: Kind, after: Kind, bend: Bend) -> Option<Meeting> {
    let turn = turn(bend, &system.limits);
    let shape = match turn {
        Turn::Outer => CornerShape::Outer,
        Turn::Inner => CornerShape::Inner,
        // In line there is nothing to reach past: both stop at the point, and the joint is patched like any other.
        Turn::Straight => {
            let (before, after) = (square(Length::ZERO), square(Length::ZERO));
            return Some(Meeting { turn, before, after, patches: system.patch.at_joint, too_sharp: false });
        }
    };
    let (rule_before, rule_after, patches) = find_rule(&system.corners, before, after, shape)?;
    let degrees = bend.degrees().abs();
    let (own, other) = (&system.trims.of(before).section, &system.trims.of(after).section);
    let too_sharp = 180.0 - degrees < system.limits.sharpest_mitre_deg;
    let gentle = degrees < system.limits.gentlest_square_deg;
    let end = |rule: &EndRule, own: &Section, other: &Section| {
        if too_sharp {
            square(Length::ZERO)
        } else if gentle && rule.cut == EndCut::Square {
            // A square end would run far past so gentle a corner before it met the other trim's line.
            mitred(bend, own, rule.gain)
        } else {
            cut_end(rule, bend, own, other)
        }
    };
    Some(Meeting { turn, before: end(rule_before, own, other), after: end(rule_after, other, own), patches, too_sharp })
}
