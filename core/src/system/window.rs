//! When the next layer may follow, and what to do where it is too late.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// When the next layer may follow: not before the first time, not after the last without cleaning.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// Least time after this layer is done, in minutes.
    pub from_min: f64,
    /// Longest time after this layer is done, in hours.
    pub to_h: f64,
}

/// When the next layer may follow while the surface is within a band of temperature. Both ends belong to it; where two
/// bands meet, the warmer one holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindowBand {
    /// Coldest surface temperature of the band in degrees Celsius.
    pub from_c: f64,
    /// Warmest surface temperature of the band in degrees Celsius.
    pub to_c: f64,
    /// Least time after this layer is done, in minutes.
    pub from_min: f64,
    /// Longest time after this layer is done, in hours.
    pub to_h: f64,
}

/// What makes a layer fit for the next one again that has stood too long or got wet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Renewal {
    /// What is done, as an order: `wipe with solvent`.
    pub how: String,
    /// Square metres that one person does in an hour.
    pub m2_per_person_hour: f64,
    /// Least time after it before the next layer, in minutes.
    pub from_min: f64,
    /// Longest time after it before the next layer, in hours.
    pub to_h: f64,
    /// Whether rain on the layer asks for it too, even where the rain does the layer no harm.
    #[serde(default)]
    pub after_rain: bool,
}

impl super::Layer {
    /// The band of its windows that holds at a surface temperature; none outside them and in their gaps: nothing is
    /// extrapolated.
    ///
    /// ```
    /// use upstand::System;
    ///
    /// let resin = &System::default().layers[1];
    /// let minutes = |surface_c| resin.window_band(surface_c).map(|band| band.from_min);
    /// // Where two bands meet, the warmer one holds.
    /// assert_eq!((minutes(9.0), minutes(10.0)), (Some(90.0), Some(60.0)));
    /// assert_eq!(minutes(-1.0), None);
    /// ```
    pub fn window_band(&self, surface_c: f64) -> Option<&WindowBand> {
        self.next_at.iter().rev().find(|band| band.from_c <= surface_c && surface_c <= band.to_c)
    }

    /// Minutes after it is done during which it has to stay dry, where the temperature makes no difference or is not known.
    pub fn stays_dry_min(&self) -> f64 {
        self.rain_safe_min.or(self.next.map(|window| window.from_min)).unwrap_or(0.0)
    }
}
