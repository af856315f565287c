//! What the checks hold the job against.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// Limits of the site, of the trims and of what the library takes on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Highest moisture of the deck, in percent, that may be covered.
    pub moisture_percent: f64,
    /// Moisture of the deck, in percent, from which on a reading is a caution: what a meter may be off below the limit.
    pub moisture_caution_percent: f64,
    /// Least distance of the surface temperature above the dew point, in kelvin.
    pub dew_margin_k: f64,
    /// A margin of less than this above the least one is a caution.
    pub dew_caution_k: f64,
    /// Highest relative humidity of the air, in percent.
    pub humidity_percent: f64,
    /// Share of the pot life within which a batch has to be used up.
    pub pot_life_share: f64,
    /// Least fall of the finished roof: drop per run, so that 0.0125 is 1:80.
    pub fall: f64,
    /// Least fall as designed, so that the finished fall is reached.
    pub design_fall: f64,
    /// Deepest water that may stand on the roof.
    pub pond: Length,
    /// The farthest that levels of one slope lie off their plane.
    pub plane_deviation: Length,
    /// Least height of an upstand above the finished roof.
    pub upstand: Length,
    /// Least height of an upstand at the threshold of a door.
    pub upstand_at_threshold: Length,
    /// What the finished build-up takes off an upstand measured from the old deck.
    pub build_up: Length,
    /// The most that the length of a run may be in doubt (two standard deviations) before it is cut: what laps and mitres
    /// take up.
    pub run_uncertainty: Length,
    /// Shortest edge of an outline.
    pub least_edge: Length,
    /// Most points in all rings of a roof.
    pub most_points: usize,
    /// Sharpest interior angle, in degrees, that is mitred; also the least distance from a full turn (360 degrees).
    pub sharpest_mitre_deg: f64,
    /// Least turn, in degrees, at which a trim may end square against another; at gentler corners both are mitred.
    pub gentlest_square_deg: f64,
    /// Corners that turn by less, in degrees, are straight: the trim is bent or butted, not mitred. Of two ends butted there
    /// lines on one side lie over one another, and on the other gape, by their distance from the outline times the sine of
    /// the turn: under 0.9 mm for 100 mm at half a degree, less than lengths are rounded up by.
    pub straight_deg: f64,
}
