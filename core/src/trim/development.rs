//! Mitred ends, developed: what is drawn on the flat of a trim, and how a saw is set.
//!
//! Unfold a trim into the plane. Every point of its section becomes a fold line at that point's girth. A mitre in the
//! plane that bisects a corner turning by `t` cuts the line at outward offset `u` at `u * tan(t / 2)` beyond the corner,
//! whatever its height: so the cut is a straight mark across each facet, joined at the fold lines. This is parallel-line
//! development; see for example Coey, *Pattern Development* (BCcampus, CC BY).
//!
//! To cut one facet with a saw, lay the facet flat on the table. Let `s` be the facet's angle from plumb. The blade
//! turns from square across by the mitre `atan(sin s * tan(t / 2))` and tilts from plumb by the bevel
//! `asin(cos s * sin(t / 2))`: the formulas for sprung mouldings in tables of carpentry, where `W = 180 - t` is the
//! angle of the corner and `tan(t / 2) = 1 / tan(W / 2)`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::roof::Bend;
use crate::system::{Leg, Section};

/// A mitred end, developed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Development {
    /// For each point of the section: its girth, and how far the fold line there runs beyond the corner.
    pub mark: Vec<(Length, Length)>,
    /// The cut across each facet.
    pub facets: Vec<FacetCut>,
}

/// The cut across one facet laid flat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FacetCut {
    /// What the facet is.
    pub leg: Leg,
    /// Width of the facet.
    pub width: Length,
    /// Turn of the cut from square across, in degrees: positive where the trim gets longer along the section.
    pub mitre_deg: f64,
    /// Tilt of the cut from plumb, in degrees: positive where the outer surface is the longer, so that the cut runs in
    /// under it.
    pub bevel_deg: f64,
}

impl Development {
    /// How far the longest fold line runs beyond the corner.
    pub fn long_point(&self) -> Length {
        self.mark.iter().map(|mark| mark.1).max().unwrap_or_default()
    }

    /// How far the shortest fold line runs beyond the corner: negative where it stops short of it.
    pub fn short_point(&self) -> Length {
        self.mark.iter().map(|mark| mark.1).min().unwrap_or_default()
    }
}

/// Develops the mitred end of a trim at a corner. Linear in the number of points.
///
/// ```
/// use upstand::roof::Bend;
/// use upstand::{Length, system::Trims, trim};
///
/// let section = Trims::default().drip.section;
/// let square_corner = Bend { sin: 1.0, cos: 0.0 };
/// let developed = trim::develop(&section, square_corner);
/// // The flange's inner edge stops 85 mm short of the corner, the face runs 27 mm past it.
/// assert_eq!(developed.mark[0], (Length::ZERO, Length::from_mm(-85)));
/// assert_eq!(developed.long_point(), Length::from_mm(27));
/// // The flange is cut at 45 degrees on the flat, the face square with a tilted blade.
/// assert!((developed.facets[0].mitre_deg - 45.0).abs() < 1e-9);
/// assert!((developed.facets[1].bevel_deg - 45.0).abs() < 1e-9);
/// ```
pub fn develop(section: &Section, bend: Bend) -> Development {
    cut_by_plane(section, bend.tan_half())
}

/// An end cut parallel to the other trim of a corner, its longest line running `gain` beyond the corner.
pub(super) fn skewed(section: &Section, bend: Bend, gain: Length) -> Development {
    let mut development = cut_by_plane(section, super::end::skew_slope(bend));
    let moved = gain - development.long_point();
    development.mark.iter_mut().for_each(|mark| mark.1 += moved);
    development
}

/// An end cut by a plumb plane through the corner that the line at outward offset `u` meets at `u * tan` beyond it.
fn cut_by_plane(section: &Section, tan: f64) -> Development {
    let sin = tan / (1.0 + tan * tan).sqrt();
    let girth = section.girth();
    let along = |u: Length| super::end::nearest(u.um() as f64 * tan);
    let mark = section.points.iter().zip(&girth).map(|(&(u, _), &girth)| (girth, along(u))).collect();
    let facets = section.points.windows(2).enumerate().map(|(i, ends)| {
        let (du, dv) = ((ends[1].0 - ends[0].0).mm(), (ends[1].1 - ends[0].1).mm());
        let width = (du * du + dv * dv).sqrt();
        // Repeated points make no facet; they are refused where a section is checked.
        let (level, plumb) = if width > 0.0 { (du / width, dv / width) } else { (0.0, 0.0) };
        FacetCut {
            leg: section.leg(i).unwrap_or(Leg::Return),
            width: super::end::nearest(width * 1_000.0),
            mitre_deg: rounded(libm::atan(level * tan)),
            bevel_deg: rounded(libm::asin((-plumb * sin).clamp(-1.0, 1.0))),
        }
    });
    Development { mark, facets: facets.collect() }
}

/// An end cut square across so far beyond the corner, developed.
pub(super) fn square_across(section: &Section, along: Length) -> Development {
    let mut development = develop(section, Bend { sin: 0.0, cos: 1.0 });
    development.mark.iter_mut().for_each(|mark| mark.1 = along);
    development
}

/// Degrees, rounded to a millionth; never a negative zero.
fn rounded(radians: f64) -> f64 {
    (radians.to_degrees() * 1e6).round() / 1e6 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corner(interior_deg: f64) -> Bend {
        let turn = (180.0 - interior_deg).to_radians();
        Bend { sin: libm::sin(turn), cos: libm::cos(turn) }
    }

    fn section(points: &[(i64, i64)]) -> Section {
        let points = points.iter().map(|&(u, v)| (Length::from_um(u), Length::from_um(v))).collect();
        Section { points, deck_flange: 0, face: 1, thickness: Length::from_mm(2), bead_radius: Length::ZERO }
    }

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    #[test]
    fn a_worked_profile_by_parallel_line_development() {
        // Closed formula: at girth s the end moves by u tan(turn / 2). Checked against a plane cut in space with NumPy.
        let profile = section(&[(-60_000, 0), (0, 0), (15_000, 5_000), (15_000, -50_000), (5_000, -50_000)]);
        let girth = [0.0, 60.0, 75.8114, 130.8114, 140.8114];
        let cases = [
            (120.0, [-34.641, 0.0, 8.660, 8.660, 2.887]),
            (90.0, [-60.0, 0.0, 15.0, 15.0, 5.0]),
            (180.0, [0.0; 5]),
            (270.0, [60.0, 0.0, -15.0, -15.0, -5.0]),
        ];
        for (interior, along) in cases {
            let developed = develop(&profile, corner(interior));
            for ((mark, girth), along) in developed.mark.iter().zip(girth).zip(along) {
                close(mark.0.mm(), girth, 6e-4);
                close(mark.1.mm(), along, 6e-4);
            }
        }
    }

    #[test]
    fn sprung_mouldings_as_in_carpentry_tables() {
        // Crown moulding tables, widely reprinted: 38 degrees from the wall at a square corner gives mitre 31.6 and
        // bevel 33.9; 45 degrees gives 35.3 and 30.0. Other rows by the closed formula.
        let cases = [
            (38.0, 90.0, 31.6190, 33.8629),
            (45.0, 90.0, 35.2644, 30.0000),
            (52.0, 90.0, 38.2385, 25.8068),
            (38.0, 135.0, 14.3064, 17.5512),
            (38.0, 120.0, 19.5679, 23.2040),
            (45.0, 120.0, 22.2077, 20.7048),
            (38.0, 88.0, 32.5190, 34.5307),
            (38.0, 92.0, 30.7331, 33.1887),
        ];
        for (from_plumb, interior, mitre, bevel) in cases {
            let s = f64::to_radians(from_plumb);
            let far = 1e9;
            let facet = (libm::sin(s) * far, libm::cos(s) * far);
            let sloped = section(&[(-60_000, 0), (0, 0), (facet.0 as i64, facet.1 as i64)]);
            let cut = develop(&sloped, corner(interior)).facets[1];
            close(cut.mitre_deg, mitre, 1e-4);
            close(cut.bevel_deg.abs(), bevel, 1e-4);
        }
    }

    #[test]
    fn the_blade_lies_in_the_plane_of_the_corner() {
        // The same tables as dihedral angles between the moulding and the cut, 90 degrees less the bevel. Both are
        // worked out here from their planes in space.
        for (from_plumb, dihedral) in [(38.0, 56.137), (45.0, 60.0), (52.0, 64.193)] {
            let s = f64::to_radians(from_plumb);
            let sloped = section(&[(-60_000, 0), (0, 0), ((libm::sin(s) * 1e9) as i64, (libm::cos(s) * 1e9) as i64)]);
            let cut = develop(&sloped, corner(90.0)).facets[1];
            // In (along, outward, up): across the face, and across the plumb plane through along = outward.
            let (face, plane) = ([0.0, libm::cos(s), -libm::sin(s)], [0.5_f64.sqrt(), -(0.5_f64.sqrt()), 0.0]);
            let between: f64 = face.iter().zip(plane).map(|(a, b)| a * b).sum();
            close(libm::acos(between.abs()).to_degrees(), dihedral, 6e-4);
            close(90.0 - cut.bevel_deg.abs(), dihedral, 6e-4);
        }
    }

    #[test]
    fn a_positive_bevel_runs_in_under_the_outer_surface() {
        let trims = crate::system::Trims::default();
        for (section, interior) in [(&trims.drip, 90.0), (&trims.abutment, 90.0), (&trims.open_side, 300.0)]
            .map(|(trim, interior)| (&trim.section, interior))
        {
            let tan = corner(interior).tan_half();
            for (ends, cut) in section.points.windows(2).zip(develop(section, corner(interior)).facets) {
                // Seen along the section the outer surface lies to the left; 2 mm to the right is the hidden one.
                let ((u0, v0), (u1, v1)) = (ends[0], ends[1]);
                let outer = (u0.mm() + u1.mm()) / 2.0;
                let hidden = outer + 2.0 * (v1 - v0).mm() / cut.width.mm();
                assert!(((outer - hidden) * tan * cut.bevel_deg > 0.0) == (v0 != v1), "{cut:?}");
            }
        }
    }

    #[test]
    fn frames_with_sloped_sides() {
        // The same cut told from the slope `a` from level and the number of sides: atan(cos a tan(180 / n)) and
        // asin(sin a sin(180 / n)).
        for (sides, slope, mitre, bevel) in [
            (4.0, 45.0, 35.2644, 30.0000),
            (4.0, 60.0, 26.5651, 37.7612),
            (6.0, 45.0, 22.2077, 20.7048),
            (8.0, 45.0, 16.3249, 15.6999),
        ] {
            let a = f64::to_radians(slope);
            let facet = (libm::cos(a) * 1e9, libm::sin(a) * 1e9);
            let sloped = section(&[(-60_000, 0), (0, 0), (facet.0 as i64, facet.1 as i64)]);
            let cut = develop(&sloped, corner(180.0 - 360.0 / sides)).facets[1];
            close(cut.mitre_deg, mitre, 1e-4);
            close(cut.bevel_deg.abs(), bevel, 1e-4);
        }
    }

    #[test]
    fn an_inner_corner_is_the_outer_one_reversed() {
        let profile = crate::system::Trims::default().open_side.section;
        let (outer, inner) = (develop(&profile, corner(100.0)), develop(&profile, corner(260.0)));
        for (a, b) in outer.mark.iter().zip(&inner.mark) {
            close(a.1.mm(), -b.1.mm(), 2e-3);
        }
        assert_eq!(outer.long_point().um(), -inner.short_point().um());
    }
}
