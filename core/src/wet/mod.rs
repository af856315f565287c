//! Wet work: how much hardener, when, in what weather.

mod card;
mod dew;
mod dose;
mod laminate;
mod mixing;
mod quantity;
mod window;

pub use dew::dew_point_c;
pub use dose::dose;
pub use laminate::{GLASS_DENSITY, laminate_mm};
pub use mixing::{Batch, Mixing, mix};
pub use quantity::Areas;

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
/// | `dew_point` | refuse | the surface is too close to the dew point |
/// | `humidity` | refuse | the air is too damp |
/// | `dew_point_over_water` | note | the dew point lies below zero |
/// | `no_weather_reading` | note | a reading for the dew point is missing |
pub fn inspect(system: &System, survey: &Survey) -> Vec<Finding> {
    let mut findings = Vec::new();
    dose::inspect(system, survey, &mut findings);
    dew::inspect(system, survey, &mut findings);
    laminate::inspect(system, &mut findings);
    window::inspect(system, survey, &mut findings);
    findings
}
