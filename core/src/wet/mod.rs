//! Wet work: how much hardener, how much at once, when, in what weather.
//!
//! A *layer* is what is laid at one time: primer, laminate, top coat. A *dose* comes from the hardener's table for the
//! surface temperature that was read; outside the table there is none, and nothing is extrapolated. A *batch* is what is
//! mixed at once, small enough to be laid before it gels. A *window* is the time in which the next layer may follow.
//!
//! What the suppliers' data sheets say always wins; every table and limit here is data of the
//! [system](crate::system::System).
//!
//! ```
//! use upstand::mat::RoofMat;
//! use upstand::trim::RoofTrims;
//! use upstand::{System, wet};
//!
//! let (trims, mat) = (RoofTrims::default(), RoofMat { area_m2: 22.0, laid_m2: 24.0, ..RoofMat::default() });
//! let roofs = [wet::RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
//! let system = System::default();
//! let (mixings, _) = wet::mix(&system, 2, &wet::Portion::of_all(&system, 1, Some(12.0)), &roofs);
//! // 24 m2 of mat at 225 g take up 12.15 kg of resin, with a tenth more 13.365 kg. While a mix can be used, two people lay
//! // 2.7 m2: ten batches, nine of 1.35 kg with 2 % of hardener, and one of what is left.
//! let batch = &mixings[0].batches[0];
//! assert_eq!((batch.count, batch.mass_kg, batch.hardener_g), (9, 1.35, 27.0));
//! // Outside the hardener's table there is none.
//! assert!(wet::mix(&system, 2, &wet::Portion::of_all(&system, 1, Some(31.0)), &roofs).0.is_empty());
//! ```

mod batch;
mod card;
mod dew;
mod dose;
mod laid;
mod laminate;
mod mixing;
mod portion;
mod quantity;
mod window;

pub use dew::{condensation_point_c, dew_point_c, frost_point_c};
pub use dose::dose;
pub use laid::{LaidLayer, LaidPiece, laid};
pub use laminate::{GLASS_DENSITY, laminate_mm};
pub use mixing::{Batch, Mix, MixWork, Mixing, MixingBand, mix};
pub use portion::{Place, Portion, RoofWork};
pub(crate) use portion::{places_text, stages};
pub use quantity::Areas;
pub(crate) use window::{Warmth, inspect_coats};

use crate::finding::Finding;
use crate::survey::Survey;
use crate::system::System;

/// What the survey says about the wet work.
///
/// | code | grade | when |
/// |---|---|---|
/// | `hardener_table` | refuse | the surface temperature is not in the hardener table |
/// | `no_surface_temperature` | note | there is no reading: the order covers the largest dose, no dose is given |
/// | `coat_order`, `coat_too_early` | refuse | a coat goes on in the wrong order or before the one below has cured |
/// | `coat_too_late`, `coat_wetted`, `coat_missing` | caution | the coat below has stood too long, got wet, or is not recorded |
/// | `build_up` | note | the layers are thicker than what the check of upstands takes off |
/// | `dew_point` | refuse, caution | the surface is too close to the dew point (below zero: the frost point), or near that |
/// | `humidity` | refuse | the air is too damp |
/// | `ice` | caution | the surface is at or below zero |
/// | `frost_point` | note | moisture comes out of the air as frost |
/// | `no_weather_reading` | note | a reading for the dew point is missing |
pub fn inspect(system: &System, survey: &Survey) -> Vec<Finding> {
    let mut findings = Vec::new();
    dose::inspect(system, survey, &mut findings);
    dew::inspect(system, survey, &mut findings);
    laminate::inspect(system, &mut findings);
    let warmth = Warmth { steady_c: survey.surface_c, readings: Vec::new() };
    inspect_coats(system, &survey.coats, &warmth, "/survey/coats", &mut findings);
    findings
}
