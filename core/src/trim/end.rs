//! How far a trim runs past a corner, and how its end is cut.
//!
//! Let a trim run along its edge to a corner where the outline turns by `t` (positive where the corner points out of
//! the roof). A line of the trim at outward offset `u` then runs past the corner by
//!
//! - `u * tan(t / 2)` to the mitre, the plane that bisects the corner;
//! - `(w - u * cos t) / sin t` to the line of the other trim at outward offset `w`.
//!
//! A mitred end is as long as its longest line. A square end either runs through, when every line of it reaches the
//! other trim's outermost line or the back of its face, or stops, when no line of it passes the other trim's line; a lap
//! reaches the line named with every line, and so does a skew end, each line of which is cut there. A return is folded at
//! the mitre of its face, at `f * tan(t / 2)`, and goes on as far along the other edge and by what the rule adds from the
//! corner.
//!
//! Both formulas serve either end of a run, because the one corner seen from the other side has the same turn.
//! Gains are rounded to the nearest micrometre; at right angles they are exact.

use crate::length::Length;
use crate::roof::Bend;
use crate::system::{EndCut, EndRule, Reach, Section};

use super::result::{End, Hand};

/// The square end of a trim of section `own` against a trim of section `other`.
pub(super) fn squared(rule: &EndRule, bend: Bend, own: &Section, other: &Section) -> End {
    let line = other.line(rule.reach);
    let (longest, shortest) = furthest(own, |u| past_line(bend, u, line));
    // At corners that are square but for what a tape can tell, no line runs into the other's face: it would need a slit as
    // high as the whole section for a fraction of a millimetre. So thin a gap behind the face is of no account.
    let nearly_square = rule.reach == Reach::BehindFace && longest - shortest <= own.thickness.um() as f64;
    let past = if rule.goes_through() && !nearly_square { longest } else { shortest };
    End { cut: rule.cut, ..square(nearest(past) + rule.gain) }
}

/// The end of a trim of section `own` cut parallel to the other, of section `other`.
pub(super) fn skewed(rule: &EndRule, bend: Bend, own: &Section, other: &Section) -> End {
    let line = other.line(rule.reach);
    let (longest, shortest) = furthest(own, |u| past_line(bend, u, line));
    // So little is less work for the fitter left open than cut.
    if longest - shortest <= own.thickness.um() as f64 {
        return square(nearest(shortest) + rule.gain);
    }
    let slope = skew_slope(bend);
    End {
        cut: EndCut::Skew,
        angle_deg: (libm::atan(slope).to_degrees() * 1e6).round().abs() / 1e6,
        hand: Some(if slope < 0.0 { Hand::Left } else { Hand::Right }),
        gain: nearest(longest) + rule.gain,
        short: nearest(shortest) + rule.gain,
        closing: None,
    }
}

/// How much further a line parallel to the other trim reaches for each step outward.
pub(super) fn skew_slope(bend: Bend) -> f64 {
    if bend.sin == 0.0 { 0.0 } else { -bend.cos / bend.sin }
}

/// An end that is bent round the corner on its face and ends `by` beyond it on the other edge, or in its fold, which at an
/// inner corner may lie as far from the corner.
pub(super) fn returned(bend: Bend, own: &Section, by: Length) -> End {
    let fold = own.face_line().um() as f64 * bend.tan_half();
    End { cut: EndCut::Return, ..square((nearest(2.0 * fold) + by).max(nearest(fold))) }
}

/// An end cut in the plane that bisects the corner.
pub(super) fn mitred(bend: Bend, own: &Section, extra: Length) -> End {
    let tan = bend.tan_half();
    let (longest, shortest) = furthest(own, |u| u.um() as f64 * tan);
    End {
        cut: EndCut::Mitre,
        angle_deg: (bend.degrees() / 2.0).abs(),
        hand: Some(if tan < 0.0 { Hand::Left } else { Hand::Right }),
        gain: nearest(longest) + extra,
        short: nearest(shortest) + extra,
        closing: None,
    }
}

/// A square end that runs past the corner by `gain`.
pub(super) fn square(gain: Length) -> End {
    End { cut: EndCut::Square, angle_deg: 0.0, hand: None, gain, short: gain, closing: None }
}

/// How far the line at `u` runs past the corner to the other trim's line at `w`, in micrometres.
fn past_line(bend: Bend, u: Length, w: Length) -> f64 {
    (w.um() as f64 - u.um() as f64 * bend.cos) / bend.sin
}

/// The greatest and the least of a linear function over the lines of a section.
fn furthest(section: &Section, past: impl Fn(Length) -> f64) -> (f64, f64) {
    let (a, b) = (past(section.innermost()), past(section.outermost()));
    (a.max(b), a.min(b))
}

/// The nearest length to a finite number of micrometres within the range of lengths; the limit beyond it.
pub(super) fn nearest(um: f64) -> Length {
    let limit = Length::LIMIT.um() as f64;
    Length::from_um(um.round().clamp(-limit, limit) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Trims;

    fn turn(degrees: f64) -> Bend {
        if (degrees.abs() - 90.0).abs() < 1e-12 {
            return Bend { sin: degrees.signum(), cos: 0.0 };
        }
        let t = degrees.to_radians();
        Bend { sin: libm::sin(t), cos: libm::cos(t) }
    }

    fn rule(reach: Reach) -> EndRule {
        EndRule::square(reach)
    }

    #[test]
    fn a_mitre_gains_the_outward_reach_at_a_square_corner() {
        // Square return mitre: the pattern offset is the projection itself (Sheet Metal Drafting, "square elbows").
        let drip = Trims::default().drip.section;
        let outer = mitred(turn(90.0), &drip, Length::ZERO);
        assert_eq!((outer.gain, outer.hand), (Length::from_mm(27), Some(Hand::Right)));
        assert_eq!(outer.short, Length::from_mm(-85));
        assert!((outer.angle_deg - 45.0).abs() < 1e-9);
        let inner = mitred(turn(-90.0), &drip, Length::ZERO);
        assert_eq!((inner.gain, inner.hand), (Length::from_mm(85), Some(Hand::Left)));
    }

    #[test]
    fn skew_ends_follow_the_other_trim() {
        let trims = Trims::default();
        let (wall, raised) = (&trims.abutment.section, &trims.open_side.section);
        let rule = EndRule::skew(Reach::BehindFace);
        let end = |degrees| skewed(&rule, turn(degrees), wall, raised);
        // Interior angle 120: the wall line at 0 meets the back of the face at 25.2 / sin 60, the flange's edge at -95 is
        // 95 cot 60 further.
        let obtuse = end(60.0);
        assert_eq!((obtuse.cut, obtuse.hand), (EndCut::Skew, Some(Hand::Left)));
        assert_eq!((obtuse.short.um(), obtuse.gain.um()), (29_098, 29_098 + 54_848 + 1));
        assert!((obtuse.angle_deg - 30.0).abs() < 1e-6);
        // Interior angle 60: the other way about.
        let sharp = end(120.0);
        assert_eq!((sharp.gain.um(), sharp.short.um(), sharp.hand), (29_098, -25_750, Some(Hand::Right)));
        let square = end(90.0);
        assert_eq!((square.cut, square.gain.um(), square.hand), (EndCut::Square, 25_200, None));
        // Half a degree off, as `square_ends_reach_or_stop_at_the_named_line` has it.
        assert_eq!((end(90.5).cut, end(90.5).gain.um()), (EndCut::Square, 24_372));
        assert_eq!((end(88.0).cut, end(88.0).gain.um()), (EndCut::Skew, 28_533));
    }

    #[test]
    fn a_return_ends_no_shorter_than_its_fold() {
        let drip = Trims::default().drip.section;
        let gain = |degrees, by| returned(turn(degrees), &drip, Length::from_mm(by)).gain.mm();
        // The face at 27 is folded 27 mm beyond an outer square corner, and 27 mm short of an inner one.
        assert!((gain(90.0, 10) - 64.0).abs() < 1e-9 && (gain(90.0, -40) - 27.0).abs() < 1e-9);
        assert!((gain(-90.0, 40) + 14.0).abs() < 1e-9 && (gain(-90.0, 10) + 27.0).abs() < 1e-9);
    }

    #[test]
    fn square_ends_reach_or_stop_at_the_named_line() {
        let trims = Trims::default();
        let (wall, drip) = (&trims.abutment.section, &trims.drip.section);
        let gain = |reach, degrees| squared(&rule(reach), turn(degrees), wall, drip).gain.um();
        assert_eq!(gain(Reach::Outermost, 90.0), 27_000);
        assert_eq!(gain(Reach::BehindFace, 90.0), 25_200);
        assert_eq!(gain(Reach::Outline, 90.0), 0);
        assert_eq!(gain(Reach::Seam, 90.0), -85_000);
        // Interior angle 120: the wall trim's inner line at -95 has to run to the line at 27: (27 + 95/2) / sin 60.
        assert_eq!(gain(Reach::Outermost, 60.0), 86_025);
        // Half a degree off square, the flange's edge or the wall line ends at the back of the face, the other 0.83 mm short
        // of it. Two degrees off, all reach it.
        assert_eq!(gain(Reach::BehindFace, 90.5), 24_372);
        assert_eq!(gain(Reach::BehindFace, 89.5), 25_201);
        assert_eq!(gain(Reach::BehindFace, 88.0), 28_533);
        // Stopping at the outline, its wall line at 0 is the one that gets there first.
        assert_eq!(gain(Reach::Outline, 60.0), 0);
        // Interior angle 60: the wall line leads when running through, the flange edge when stopping.
        assert_eq!(gain(Reach::Outermost, 120.0), 31_177);
        assert_eq!(gain(Reach::Outline, 120.0), -54_848);
    }
}
