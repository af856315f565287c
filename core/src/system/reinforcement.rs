//! Glass reinforcement: mat, tape, patches, tissue.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::money::Money;

/// Glass mat of the main area.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Mat {
    /// Width of the roll.
    pub width: Length,
    /// Length of one roll.
    pub roll: Length,
    /// Price of one roll, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// Other rolls on offer, of any width and length. A job is laid in one width, from rolls of any length in that width:
    /// those that cost least, or where a price is missing, those with the least area.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_rolls: Vec<MatRoll>,
    /// Least overlap of neighbouring strips.
    pub lap: Length,
    /// Least overlap of two pieces of one strip.
    pub end_lap: Length,
    /// Widest overlap that spare width may be spread into.
    pub most_lap: Length,
    /// Narrowest strip worth laying.
    pub least_strip: Length,
    /// Shortest piece of a strip made from several.
    pub least_piece: Length,
    /// Widest gap (kerb, notch) that a strip may run across, to be cut out.
    pub most_cut_out: Length,
    /// Least distance of end laps from those of the strips beside them.
    pub stagger: Length,
    /// Least distance of laps from the rim of an outlet or a pipe, as far as the place of the first strip and the cuts of rolls can
    /// keep it.
    pub outlet_clear: Length,
    /// Glass mass in grams per square metre.
    pub mass_g_m2: f64,
    /// Which way the strips run.
    pub direction: Direction,
    /// Whether a deck with inner corners may be laid in several zones.
    pub zones: ZoneChoice,
    /// Allowance as a fraction of the net area.
    pub allowance: f64,
}

/// A roll of mat on offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MatRoll {
    /// Its width.
    pub width: Length,
    /// Its length.
    pub length: Length,
    /// Its price, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}

impl Mat {
    /// All rolls on offer, the system's own first.
    ///
    /// ```
    /// use upstand::Length;
    /// use upstand::system::{Mat, MatRoll};
    ///
    /// let wide = MatRoll { width: Length::from_mm(1250), length: Length::from_mm(60_000), price: None };
    /// let mat = Mat { other_rolls: vec![wide], ..Mat::default() };
    /// assert_eq!(mat.rolls().collect::<Vec<_>>(), [MatRoll { width: mat.width, length: mat.roll, price: None }, wide]);
    /// ```
    pub fn rolls(&self) -> impl Iterator<Item = MatRoll> + '_ {
        let own = MatRoll { width: self.width, length: self.roll, price: self.price };
        std::iter::once(own).chain(self.other_rolls.iter().copied())
    }

    /// The mat as it is sold in one width only, if it is.
    pub(crate) fn in_width(&self, width: Length) -> Option<Mat> {
        let mut rolls = self.rolls().filter(|roll| roll.width == width);
        let MatRoll { width, length, price } = rolls.next()?;
        let other_rolls = rolls.collect();
        Some(Mat { width, roll: length, price, other_rolls, ..self.clone() })
    }
}

/// Which way the strips run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Along the longest drip edge, beginning there; along the longest edge where there is no drip.
    #[default]
    Drip,
    /// Along the edge that needs the least mat.
    Best,
    /// Along edge `n` of the outer ring as given.
    Edge(usize),
    /// At this angle from the x axis, in degrees counter-clockwise, beginning at the low side.
    AngleDeg(f64),
}

/// In how many zones a deck is laid, each in its own direction.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ZoneChoice {
    /// In one.
    #[default]
    One,
    /// In those that take the least mat. A direction that is asked for holds in the zone of its edge.
    Least,
}

/// Glass tape over the seams between trims and deck.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Tape {
    /// Width of the tape.
    pub width: Length,
    /// Length of one roll.
    pub roll: Length,
    /// Price of one roll, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// Overlap of two pieces.
    pub lap: Length,
    /// Shortest piece.
    pub least_piece: Length,
    /// Glass mass in grams per square metre.
    pub mass_g_m2: f64,
    /// Allowance as a fraction of the net length.
    pub allowance: f64,
}

/// Patches of mat at corners and trim joints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Patch {
    /// Side of the square.
    pub side: Length,
    /// Layers at a trim joint; at corners the corner table says.
    pub at_joint: u32,
    /// How far a collar reaches beyond the rim of an outlet or a pipe.
    pub collar: Length,
    /// Layers of a collar at an outlet.
    pub at_outlet: u32,
    /// Layers of a collar at a pipe, and of the sleeve around the pipe.
    pub at_pipe: u32,
}

/// Surface tissue over visible corners, laid wet on wet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Tissue {
    /// Side of the square over one corner.
    pub side: Length,
    /// Width of the roll.
    pub width: Length,
    /// Length of one roll.
    pub roll: Length,
    /// Price of one roll, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
    /// Allowance as a fraction of the net area.
    pub allowance: f64,
}
