//! Cross-sections of preformed trims.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::corner::Reach;
use crate::error::{Code, Error};
use crate::geometry::{Point, orient, turns_back};
use crate::length::Length;
use crate::wire;

/// A cross-section: a polyline in (outward, up), seen with the outside to the right.
///
/// `outward` is measured from the outline, `up` from the deck. Facet `i` joins point `i` to point `i + 1`. The line is
/// that of the outer surface; the material's thickness lies behind it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// The points, from the inner edge of the deck flange outward, or from the deck up a wall.
    pub points: Vec<(Length, Length)>,
    /// Index of the facet that lies on the deck.
    pub deck_flange: usize,
    /// Index of the facet that shows, or that stands against the wall.
    pub face: usize,
    /// Thickness of the material.
    pub thickness: Length,
    /// Radius to which the folds are rounded, on the outer surface; 0 where they are sharp. Points are those of the sharp
    /// section.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub bead_radius: Length,
}

fn is_zero(length: &Length) -> bool {
    *length == Length::ZERO
}

/// What a facet of a section is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Leg {
    /// Before the deck flange: a turned edge.
    Edge,
    /// Lies on the deck; tape and mat come onto it.
    DeckFlange,
    /// Between the deck flange and the face.
    Rise,
    /// Shows, or stands against the wall.
    Face,
    /// Beyond the face: a drip return, a top edge turned back.
    Return,
}

/// Most points of a section.
const MOST_POINTS: usize = 100;
/// Furthest that a section reaches from the outline or the deck.
const FURTHEST: Length = Length::from_mm(5_000);
/// Thickest material that is bent to a section.
const THICKEST: Length = Length::from_mm(50);

impl Section {
    /// Reads a section from a JSON value.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json), with places within the section.
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::{Code, system::Section};
    ///
    /// let section = json!({"points": [[-85, 0], [27, 0], [27, -58]], "deck_flange": 0, "face": 1, "thickness": 1.8});
    /// assert_eq!(Section::from_value(section).unwrap().points.len(), 3);
    /// assert_eq!(Section::from_value(json!({"points": []})).unwrap_err().code(), Code::MissingField);
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Section, Error> {
        wire::read_part(value)
    }

    /// Reads a section from JSON text.
    ///
    /// # Errors
    /// [`Code::BadJson`], and as for [`Section::from_value`].
    ///
    /// ```
    /// use upstand::{Code, system::Section};
    ///
    /// let text = r#"{"points": [[-85, 0], [27, 0], [27, -58]], "deck_flange": 0, "face": 1, "thickness": 1.8}"#;
    /// assert_eq!(Section::from_json(text).unwrap().points.len(), 3);
    /// assert_eq!(Section::from_json("[").unwrap_err().code(), Code::BadJson);
    /// ```
    pub fn from_json(text: &str) -> Result<Section, Error> {
        Section::from_value(wire::parse(text)?)
    }

    /// Every problem of the section that stands at `path`: too few points or too many, points that coincide or lie far
    /// off, a line that touches itself, a deck flange that is not level or does not run outward, a face that is no
    /// facet of its own, folds rounded so far that nothing of a facet is left. All are [`Code::BadSection`].
    ///
    /// ```
    /// use upstand::{Code, system::Trims};
    ///
    /// let mut section = Trims::default().drip.section;
    /// assert!(section.check("").is_empty());
    /// section.face = section.deck_flange;
    /// let problems = section.check("/system/trims/drip/section");
    /// assert_eq!((problems[0].code(), problems[0].path()), (Code::BadSection, "/system/trims/drip/section/face"));
    /// ```
    pub fn check(&self, path: &str) -> Vec<Error> {
        let mut problems = Vec::new();
        let mut add = |step: &str, message: String| {
            problems.push(Error::new(Code::BadSection, format!("{path}/{step}"), message));
        };
        let count = self.points.len();
        if !(3..=MOST_POINTS).contains(&count) {
            add("points", format!("{count} points: a section has a flange and a face, so 3 to {MOST_POINTS}"));
            return problems;
        }
        let far = |length: Length| length > FURTHEST || length < -FURTHEST;
        for (i, &(outward, up)) in self.points.iter().enumerate() {
            if far(outward) || far(up) {
                add(
                    &format!("points/{i}"),
                    format!("({outward}, {up}) is out of reach: at most {FURTHEST} either way"),
                );
            } else if i > 0 && self.points[i - 1] == (outward, up) {
                add(&format!("points/{i}"), format!("({outward}, {up}) repeats the point before it"));
            }
        }
        if let Some(facet) = self.touches_itself() {
            add(&format!("points/{facet}"), "the facet from here touches another: no such section can be bent".into());
        }
        if self.deck_flange >= count - 1 {
            add("deck_flange", format!("{} is no facet: they are numbered 0 to {}", self.deck_flange, count - 2));
        } else {
            let ((inner, low), (outer, high)) = (self.points[self.deck_flange], self.points[self.deck_flange + 1]);
            if low != high || outer <= inner {
                add("deck_flange", "the deck flange must be level and run outward".into());
            }
        }
        if self.face >= count - 1 || self.face <= self.deck_flange {
            let message = format!("{} is not the face: it must be a facet after the deck flange", self.face);
            add("face", message);
        }
        if !self.thickness.is_positive() || self.thickness > THICKEST {
            add("thickness", format!("{} is out of range: more than 0 and at most {THICKEST}", self.thickness));
        }
        if self.bead_radius.is_negative() || self.bead_radius > FURTHEST {
            add("bead_radius", format!("{} is out of range: 0 to {FURTHEST}", self.bead_radius));
        } else if let Some(facet) = self.rounded_away() {
            add("bead_radius", format!("{} leaves nothing of facet {facet} between its folds", self.bead_radius));
        }
        problems
    }

    /// Tangent of half of what the section turns by at point `i`, without sign; 0 at its ends.
    fn fold_tan(&self, i: usize) -> f64 {
        let Some([a, b, c]) = i.checked_sub(1).and_then(|first| self.points.get(first..first + 3)) else { return 0.0 };
        let vector = |from: &(Length, Length), to: &(Length, Length)| ((to.0 - from.0).mm(), (to.1 - from.1).mm());
        let (p, q) = (vector(a, b), vector(b, c));
        let (cross, dot) = (p.0 * q.1 - p.1 * q.0, p.0 * q.0 + p.1 * q.1);
        let length = (cross * cross + dot * dot).sqrt();
        if length + dot > 0.0 { (cross / (length + dot)).abs() } else { 0.0 }
    }

    /// The first facet of which the rounded folds at its ends leave nothing.
    fn rounded_away(&self) -> Option<usize> {
        let radius = self.bead_radius.mm();
        let width = |i: usize| Point::from(self.points[i]).distance(self.points[i + 1].into()).mm();
        (0..self.points.len().saturating_sub(1))
            .find(|&i| radius > 0.0 && radius * (self.fold_tan(i) + self.fold_tan(i + 1)) > width(i))
    }

    /// Width of the flat material, the rounding of folds allowed for: each takes `2 r tan(a / 2)` off the sharp section
    /// and adds the arc `r a`, where `a` is the angle of the fold.
    ///
    /// ```
    /// use upstand::{Length, system::Trims};
    ///
    /// let mut section = Trims::default().drip.section;
    /// assert_eq!(section.flat_width(), Length::from_mm(176));
    /// // Two square folds, each 20 mm of straight for 15.708 mm of arc.
    /// section.points[3].0 = Length::from_mm(10);
    /// section.bead_radius = Length::from_mm(10);
    /// assert_eq!(section.flat_width(), Length::from_um(187_000 - 2 * 4_292));
    /// ```
    pub fn flat_width(&self) -> Length {
        let radius = self.bead_radius.um() as f64;
        let fold = |i: usize| {
            let tan = self.fold_tan(i);
            2.0 * radius * (tan - libm::atan(tan))
        };
        let saved: f64 = (0..self.points.len()).map(fold).sum();
        self.girth().last().copied().unwrap_or_default() - Length::from_um(saved.round() as i64)
    }

    /// The first facet that meets a later one elsewhere than at their common point.
    fn touches_itself(&self) -> Option<usize> {
        let points: Vec<Point> = self.points.iter().map(|&point| point.into()).collect();
        let facets = points.len() - 1;
        (0..facets).find(|&i| {
            let folded = i + 2 < points.len() && turns_back(points[i], points[i + 1], points[i + 2]);
            folded || (i + 2..facets).any(|j| meet(points[i], points[i + 1], points[j], points[j + 1]))
        })
    }

    /// What facet `facet` is; `None` where there is no such facet.
    pub fn leg(&self, facet: usize) -> Option<Leg> {
        if facet >= self.points.len().saturating_sub(1) {
            None
        } else if facet < self.deck_flange {
            Some(Leg::Edge)
        } else if facet == self.deck_flange {
            Some(Leg::DeckFlange)
        } else if facet < self.face {
            Some(Leg::Rise)
        } else if facet == self.face {
            Some(Leg::Face)
        } else {
            Some(Leg::Return)
        }
    }

    /// How wide all facets of a leg are together; 0 where the section has none.
    ///
    /// ```
    /// use upstand::{Length, system::{Leg, Trims}};
    ///
    /// let wall = Trims::default().abutment.section;
    /// assert_eq!(wall.leg_width(Leg::Face), Length::from_mm(144));
    /// assert_eq!(wall.leg_width(Leg::Return), Length::ZERO);
    /// ```
    pub fn leg_width(&self, leg: Leg) -> Length {
        let girth = self.girth();
        let facets = (0..girth.len().saturating_sub(1)).filter(|&facet| self.leg(facet) == Some(leg));
        facets.map(|facet| girth[facet + 1] - girth[facet]).sum()
    }

    /// How far above the deck the face reaches: at a wall, the top of the leg that stands against it.
    ///
    /// ```
    /// use upstand::{Length, system::Trims};
    ///
    /// let mut wall = Trims::default().abutment.section;
    /// // A top edge turned back is no part of the upstand.
    /// wall.points.push((Length::from_mm(-10), Length::from_mm(180)));
    /// assert_eq!(wall.face_top(), Length::from_mm(172));
    /// ```
    pub fn face_top(&self) -> Length {
        let up = |i: usize| self.points.get(i).map(|&(_, up)| up).unwrap_or_default();
        up(self.face).max(up(self.face.saturating_add(1)))
    }

    /// The girth at each point: the distance along the sharp section from its first point, where its fold lines are marked. Facets are measured to the nearest micrometre.
    ///
    /// ```
    /// use upstand::{Length, system::Trims};
    ///
    /// let girth = Trims::default().drip.section.girth();
    /// assert_eq!(girth, [0, 112, 170, 176].map(Length::from_mm));
    /// ```
    pub fn girth(&self) -> Vec<Length> {
        let mut stations = Vec::with_capacity(self.points.len());
        let mut girth = Length::ZERO;
        for (i, &point) in self.points.iter().enumerate() {
            if i > 0 {
                girth += Point::from(self.points[i - 1]).distance(point.into());
            }
            stations.push(girth);
        }
        stations
    }

    /// The outermost line: the greatest outward offset.
    pub fn outermost(&self) -> Length {
        self.points.iter().map(|&(outward, _)| outward).max().unwrap_or_default()
    }

    /// The innermost line: the least outward offset.
    pub fn innermost(&self) -> Length {
        self.points.iter().map(|&(outward, _)| outward).min().unwrap_or_default()
    }

    /// The outward offsets of the two edges of the deck flange, the inner first.
    fn flange(&self) -> (Length, Length) {
        let outward = |i: usize| self.points.get(i).map(|&(outward, _)| outward).unwrap_or_default();
        (outward(self.deck_flange), outward(self.deck_flange.saturating_add(1)))
    }

    /// The inner edge of the deck flange, where the seam to the deck is.
    pub fn seam(&self) -> Length {
        self.flange().0
    }

    /// The outer edge of the deck flange, where the trim begins to rise or to fall.
    pub fn foot(&self) -> Length {
        self.flange().1
    }

    /// The outward offset at which the face begins.
    pub fn face_line(&self) -> Length {
        self.points.get(self.face).map(|&(outward, _)| outward).unwrap_or_default()
    }

    /// The line that another trim's end reaches.
    pub fn line(&self, reach: Reach) -> Length {
        match reach {
            Reach::Outline => Length::ZERO,
            Reach::Outermost => self.outermost(),
            Reach::BehindFace => self.outermost() - self.thickness,
            Reach::Foot => self.foot(),
            Reach::Seam => self.seam(),
        }
    }
}

/// Whether two facets have a point in common.
fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |from, to, point| orient(from, to, point).signum();
    let (at_a, at_b) = (side(c, d, a), side(c, d, b));
    let (at_c, at_d) = (side(a, b, c), side(a, b, d));
    let between = |p: Length, q: Length, r: Length| p.min(q) <= r && r <= p.max(q);
    let on = |at, from: Point, to: Point, point: Point| {
        at == 0 && between(from.x, to.x, point.x) && between(from.y, to.y, point.y)
    };
    at_a * at_b < 0 && at_c * at_d < 0
        || on(at_a, c, d, a)
        || on(at_b, c, d, b)
        || on(at_c, a, b, c)
        || on(at_d, a, b, d)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Trims;

    fn section(points: &[(i64, i64)]) -> Section {
        let points = points.iter().map(|&(u, v)| (Length::from_mm(u), Length::from_mm(v))).collect();
        Section { points, deck_flange: 0, face: 1, thickness: Length::from_mm(2), bead_radius: Length::ZERO }
    }

    #[test]
    fn lines_and_legs_of_the_demonstration_sections() {
        let trims = Trims::default();
        let raised = &trims.open_side.section;
        let lines = [Reach::Seam, Reach::Foot, Reach::Outline, Reach::Outermost].map(|reach| raised.line(reach));
        assert_eq!(lines, [-90, -22, 0, 27].map(Length::from_mm));
        assert_eq!(trims.drip.section.foot(), trims.drip.section.outermost());
        assert_eq!(trims.abutment.section.innermost(), Length::from_mm(-95));
        let legs: Vec<_> = (0..5).filter_map(|facet| raised.leg(facet)).collect();
        assert_eq!(legs, [Leg::DeckFlange, Leg::Rise, Leg::Rise, Leg::Face, Leg::Return]);
        assert_eq!(raised.leg(5), None);
        for trim in [&trims.drip, &trims.abutment, &trims.open_side] {
            assert_eq!(trim.section.check(""), []);
        }
    }

    #[test]
    fn what_cannot_be_bent_is_refused() {
        let sound = section(&[(-85, 0), (27, 0), (27, -58)]);
        let with = |change: fn(&mut Section)| {
            let mut section = sound.clone();
            change(&mut section);
            section
        };
        let cases = [
            (section(&[(-85, 0), (27, 0)]), "/points"),
            (section(&[(-85, 0), (27, 0), (27, 0), (27, -58)]), "/points/2"),
            (section(&[(-85, 0), (27, 0), (9_000, 0)]), "/points/2"),
            // Folded back on itself; through the flange; back to the flange's edge.
            (section(&[(-85, 0), (27, 0), (-20, 0)]), "/points/0"),
            (section(&[(-85, 0), (27, 0), (27, -58), (0, -58), (0, 10)]), "/points/0"),
            (section(&[(-85, 0), (27, 0), (27, -58), (-85, 0)]), "/points/0"),
            (section(&[(-85, 0), (27, 3), (27, -58)]), "/deck_flange"),
            (section(&[(27, 0), (-85, 0), (-85, 58)]), "/deck_flange"),
            (with(|section| section.deck_flange = 2), "/deck_flange"),
            (with(|section| section.face = 2), "/face"),
            (with(|section| section.face = 0), "/face"),
            (with(|section| section.thickness = Length::ZERO), "/thickness"),
            (with(|section| section.bead_radius = Length::from_mm(-1)), "/bead_radius"),
            (with(|section| section.bead_radius = Length::from_mm(59)), "/bead_radius"),
        ];
        assert_eq!(sound.check(""), []);
        for (section, path) in cases {
            let problems = section.check("");
            assert!(!problems.is_empty(), "{section:?}");
            assert_eq!((problems[0].code(), problems[0].path()), (Code::BadSection, path), "{section:?}");
        }
    }
}
