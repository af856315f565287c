//! One mitred corner by itself: what a joiner asks for who has a section and an angle, and no roof.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::development::{Development, develop};
use super::end::mitred;
use crate::error::{Code, Error};
use crate::length::Length;
use crate::roof::Bend;
use crate::system::Section;
use crate::wire;

/// Sharpest and widest interior angle that [`mitre`] takes, in degrees.
const INTERIOR: (f64, f64) = (10.0, 350.0);
/// Corners that turn by less than this are straight: nothing is left to mitre.
const LEAST_TURN: f64 = 0.01;
/// Steepest fall along an edge, as rise per run: 45 degrees.
const STEEPEST: f64 = 1.0;

/// A corner in plan, and how its edges fall.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MitreCorner {
    /// Interior angle in plan, in degrees: under 180 at outer corners, over 180 at inner ones.
    pub interior_deg: f64,
    /// How the edge before the corner rises towards it: rise per run, negative where it falls.
    #[serde(default)]
    pub rise_before: f64,
    /// How the edge after the corner rises away from it.
    #[serde(default)]
    pub rise_after: f64,
}

impl MitreCorner {
    /// A level corner.
    pub fn level(interior_deg: f64) -> Self {
        MitreCorner { interior_deg, rise_before: 0.0, rise_after: 0.0 }
    }
}

/// The two ends of a mitred corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mitre {
    /// Interior angle in the plane that the two edges span: what the mitre is cut to.
    pub interior_deg: f64,
    /// The end of the trim that arrives, and the beginning of the one that leaves: mirror images of one another.
    pub ends: (MitredEnd, MitredEnd),
}

impl Mitre {
    /// The mitre as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}

/// One mitred end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MitredEnd {
    /// The side of the trim that is longer, seen from above and from its start.
    pub hand: super::Hand,
    /// Angle of the cut from square, in degrees.
    pub angle_deg: f64,
    /// How far its longest line runs beyond the corner.
    pub long_point: Length,
    /// How far its shortest line runs beyond the corner.
    pub short_point: Length,
    /// The mark across the flat, and the cut of each facet.
    pub development: Development,
}

/// Mitres a section at a corner: in the plane that bisects its two edges in space. Linear in the number of points.
///
/// # Errors
/// [`Code::BadSection`] for a section that cannot be bent, [`Code::BadCorner`] for an interior angle under 10 or over 350
/// degrees, or within 0.01 degrees of straight, where there is no mitre to cut, and for an edge steeper than 45 degrees.
///
/// ```
/// use upstand::trim::{MitreCorner, mitre};
/// use upstand::{Code, Length, system::Trims};
///
/// let raised = Trims::default().open_side.section;
/// let corner = mitre(&raised, &MitreCorner::level(90.0))?;
/// assert_eq!((corner.ends.0.angle_deg, corner.ends.0.long_point), (45.0, Length::from_mm(27)));
/// // On a deck that falls 1:40 along one edge and 1:80 along the other the corner is a little sharper than in plan.
/// let falling = MitreCorner { rise_before: -0.025, rise_after: 0.0125, ..MitreCorner::level(90.0) };
/// assert!((mitre(&raised, &falling)?.interior_deg - 89.982_102).abs() < 1e-6);
///
/// let error = mitre(&raised, &MitreCorner::level(9.0)).unwrap_err();
/// assert_eq!((error.code(), error.path()), (Code::BadCorner, "/corner/interior_deg"));
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn mitre(section: &Section, corner: &MitreCorner) -> Result<Mitre, Error> {
    let mut problems = section.check("/section");
    problems.extend(corner.check());
    Error::from_problems(problems)?;
    let bend = corner.bend();
    let end = mitred(bend, section, Length::ZERO);
    let end = MitredEnd {
        // A mitred end always has a hand.
        hand: end.hand.unwrap_or(super::Hand::Right),
        angle_deg: end.angle_deg,
        long_point: end.gain,
        short_point: end.short,
        development: develop(section, bend),
    };
    Ok(Mitre { interior_deg: 180.0 - bend.degrees(), ends: (end.clone(), end) })
}

impl MitreCorner {
    fn check(&self) -> Vec<Error> {
        let mut problems = Vec::new();
        let mut add = |step: &str, message: String| {
            problems.push(Error::new(Code::BadCorner, format!("/corner/{step}"), message));
        };
        let (least, most) = INTERIOR;
        // NaN fails every comparison.
        if !(self.interior_deg >= least && self.interior_deg <= most) {
            add("interior_deg", format!("{} degrees: from {least} to {most} can be mitred", self.interior_deg));
        } else if (self.interior_deg - 180.0).abs() < LEAST_TURN {
            add("interior_deg", format!("{} degrees are straight: there is nothing to mitre", self.interior_deg));
        }
        for (step, rise) in [("rise_before", self.rise_before), ("rise_after", self.rise_after)] {
            if !(-STEEPEST..=STEEPEST).contains(&rise) {
                add(step, format!("a rise of {rise} per run: at most {STEEPEST} either way"));
            }
        }
        problems
    }

    /// The turn in the plane of the two edges.
    fn bend(&self) -> Bend {
        let turn = (180.0 - self.interior_deg).to_radians();
        // Right angles are exact.
        let right = (self.interior_deg - 90.0).abs() < 1e-12 || (self.interior_deg - 270.0).abs() < 1e-12;
        let (sin, cos) = if right { (1.0_f64.copysign(turn), 0.0) } else { (libm::sin(turn), libm::cos(turn)) };
        // (1, 0, r) and (cos, sin, s): their cross product and their inner product.
        let (r, s) = (self.rise_before, self.rise_after);
        Bend::of_directions((-r * sin, r * cos - s, sin), cos + r * s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Trims;

    #[test]
    fn limits_of_the_corner() {
        let section = Trims::default().open_side.section;
        for interior in [10.0, 179.98, 180.02, 350.0] {
            assert!(mitre(&section, &MitreCorner::level(interior)).is_ok(), "{interior}");
        }
        for interior in [f64::NAN, 0.0, 9.999, 179.995, 180.0, 180.005, 350.1, f64::INFINITY] {
            let error = mitre(&section, &MitreCorner::level(interior)).expect_err("no mitre");
            assert_eq!(error.code(), Code::BadCorner, "{interior}");
        }
        let steep = MitreCorner { rise_after: f64::NAN, ..MitreCorner::level(90.0) };
        assert_eq!(mitre(&section, &steep).expect_err("steep").path(), "/corner/rise_after");
    }

    #[test]
    fn the_joint_line_halves_the_corner() {
        // "Sheet and Plate Metal Work", "Obtuse gutter angle": an angle of 130 degrees is joined at 65 to the edge.
        let section = Trims::default().open_side.section;
        let joint = |interior| 90.0 - mitre(&section, &MitreCorner::level(interior)).expect("a mitre").ends.0.angle_deg;
        assert!((joint(130.0) - 65.0).abs() < 1e-6);
        // Closed formula: the line at offset u runs on by u tan((180 - interior) / 2).
        for (interior, tangent) in [
            (60.0, 1.732_051),
            (90.0, 1.0),
            (100.0, 0.839_100),
            (120.0, 0.577_350),
            (135.0, 0.414_214),
            (150.0, 0.267_949),
            (225.0, -0.414_214),
            (270.0, -1.0),
        ] {
            let end = mitre(&section, &MitreCorner::level(interior)).expect("a mitre").ends.0;
            for (point, mark) in section.points.iter().zip(&end.development.mark) {
                assert!((mark.1.mm() - point.0.mm() * tangent).abs() < 1e-3, "{interior}");
            }
        }
    }

    #[test]
    fn swapping_the_two_edges_mirrors_the_cut() {
        let section = Trims::default().abutment.section;
        let corner = MitreCorner { interior_deg: 117.0, rise_before: 0.05, rise_after: -0.02 };
        // Seen from the other side the ring runs the other way: what rose towards the corner now falls away from it.
        let mirrored = MitreCorner { rise_before: -corner.rise_after, rise_after: -corner.rise_before, ..corner };
        let (one, other) = (mitre(&section, &corner).expect("a mitre"), mitre(&section, &mirrored).expect("a mitre"));
        assert_eq!(one.ends.0, other.ends.1);
        assert_eq!(one.ends.1, other.ends.0);
    }

    #[test]
    fn near_straight_corners_change_nothing_and_near_reversed_ones_reach_far() {
        let section = Trims::default().open_side.section;
        let straight = mitre(&section, &MitreCorner::level(179.98)).expect("a mitre");
        assert!(straight.ends.0.long_point.mm() < 0.01);
        // tan 85 degrees times 27 mm.
        let reversed = mitre(&section, &MitreCorner::level(10.0)).expect("a mitre");
        assert!((reversed.ends.0.long_point.mm() - 308.611).abs() < 1e-3);
    }
}
