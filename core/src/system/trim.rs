//! Preformed trims: their sections and the lengths they are sold in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::section::{Leg, Section};
use crate::length::Length;
use crate::money::Money;
use crate::roof::Kind;

/// The trim for each kind of edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Trims {
    /// Where water leaves.
    pub drip: Trim,
    /// Where water stops at a wall or kerb.
    pub abutment: Trim,
    /// Where water is held back.
    pub open_side: Trim,
}

impl Trims {
    /// The trim of an edge of this kind.
    pub fn of(&self, kind: Kind) -> &Trim {
        match kind {
            Kind::Drip => &self.drip,
            Kind::Abutment => &self.abutment,
            Kind::OpenSide => &self.open_side,
        }
    }
}

/// One preformed trim.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Trim {
    /// Name printed on sheets.
    pub name: String,
    /// Its cross-section.
    pub section: Section,
    /// Lengths sold.
    pub bars: Vec<BarSold>,
    /// Least overlap of two lengths of one run; 0 means that lengths butt.
    pub lap: Length,
    /// Whether a batten stands behind its face.
    pub battened: bool,
    /// Whether its face is glued to the batten by a continuous bead.
    pub bonded: bool,
    /// Number of lines of fixings along it.
    pub fixing_lines: u32,
    /// Through which leg each line goes, as many as there are lines; where it is empty the first goes through the deck
    /// flange and the others through the face.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fixing_legs: Vec<Leg>,
    /// Whether its upper edge is covered by a flashing.
    pub flashed: bool,
    /// How far the mat runs over the seam onto the deck flange.
    #[serde(default)]
    pub mat_onto: Length,
}

impl Trim {
    /// The leg that each line of fixings goes through.
    ///
    /// ```
    /// use upstand::system::{Leg, Trims};
    ///
    /// let mut trims = Trims::default();
    /// assert_eq!(trims.abutment.lines(), [Leg::DeckFlange, Leg::Face]);
    /// trims.open_side.fixing_legs = vec![Leg::Face];
    /// assert_eq!(trims.open_side.lines(), [Leg::Face]);
    /// ```
    pub fn lines(&self) -> Vec<Leg> {
        let leg = |line: usize| match (self.fixing_legs.get(line), line) {
            (Some(&leg), _) => leg,
            (None, 0) => Leg::DeckFlange,
            (None, _) => Leg::Face,
        };
        (0..self.fixing_lines as usize).map(leg).collect()
    }

    /// Where each line of fixings runs on the flat: which facet, and at which girth. Lines divide the widest facet of
    /// their leg into equal parts: one is in its middle. A leg that the section has not has no line.
    pub(crate) fn line_places(&self) -> Vec<(usize, Length)> {
        let (legs, girth) = (self.lines(), self.section.girth());
        let width = |facet: &usize| girth[facet + 1] - girth[*facet];
        let place = |(line, leg): (usize, &Leg)| {
            let facet = (0..girth.len().saturating_sub(1))
                .filter(|&facet| self.section.leg(facet) == Some(*leg))
                .max_by_key(|facet| (width(facet), std::cmp::Reverse(*facet)))?;
            let of = legs.iter().filter(|other| *other == leg).count() as i64 + 1;
            let nth = legs[..line].iter().filter(|other| *other == leg).count() as i64 + 1;
            Some((facet, girth[facet] + width(&facet) / of * nth))
        };
        legs.iter().enumerate().filter_map(place).collect()
    }
}

/// One length in which a trim is sold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BarSold {
    /// Length of the bar.
    pub length: Length,
    /// Price of one bar in the job's money, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}
