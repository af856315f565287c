//! Dew point and the weather gate.

use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::survey::Survey;
use crate::system::System;

/// The air temperatures for which the coefficients were fitted, in degrees Celsius.
const FITTED_C: (f64, f64) = (-40.0, 50.0);
const B: f64 = 17.625;
const C: f64 = 243.04;

/// The dew point in degrees Celsius over liquid water, also below zero (over ice it lies higher, by 1 K at -9 degrees).
///
/// Magnus form with the coefficients of O. A. Alduchov and R. E. Eskridge, "Improved Magnus form approximation of
/// saturation vapor pressure", J. Appl. Meteor. 35 (1996) 601-609. Within 0.03 K of full steam formulas from 0 to 40
/// degrees and 30 to 95 % humidity.
///
/// # Errors
/// [`Code::NonFinite`]; [`Code::BadReading`] for air outside -40 to 50 degrees Celsius or a humidity outside 1 to 100 %.
///
/// ```
/// use upstand::{Code, wet};
///
/// assert!((wet::dew_point_c(20.0, 50.0).unwrap() - 9.26).abs() < 0.01);
/// assert_eq!(wet::dew_point_c(20.0, 0.0).unwrap_err().code(), Code::BadReading);
/// ```
pub fn dew_point_c(air_c: f64, humidity_percent: f64) -> Result<f64, Error> {
    if !air_c.is_finite() || !humidity_percent.is_finite() {
        let message = format!("{air_c} degrees Celsius at {humidity_percent} % is not a reading");
        return Err(Error::new(Code::NonFinite, "", message));
    }
    if air_c < FITTED_C.0 || air_c > FITTED_C.1 || !(1.0..=100.0).contains(&humidity_percent) {
        let message = format!(
            "air of {air_c} degrees Celsius at {humidity_percent} % is out of range: from {} to {} degrees and from 1 to \
             100 %",
            FITTED_C.0, FITTED_C.1
        );
        return Err(Error::new(Code::BadReading, "", message));
    }
    let gamma = libm::log(humidity_percent / 100.0) + B * air_c / (C + air_c);
    Ok(C * gamma / (B - gamma))
}

/// What the weather says: `dew_point` and `humidity` (refuse), `dew_point_over_water` and `no_weather_reading` (note).
pub(super) fn inspect(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let limits = &system.limits;
    let (Some(air_c), Some(humidity), Some(surface_c)) = (survey.air_c, survey.humidity_percent, survey.surface_c)
    else {
        findings.push(Finding::new(
            Grade::Note,
            "no_weather_reading",
            "/survey",
            DEW_BASIS,
            "The dew point is not checked: that needs the temperature and humidity of the air and the temperature of the \
             surface. Read all three before work and again while it goes on.",
        ));
        return;
    };
    let Ok(dew_c) = dew_point_c(air_c, humidity) else { return };
    // To a thousandth: no thermometer shows more, and the noise of the formula stays out of the comparison.
    let margin = thousandth(surface_c - dew_c);
    let dew_c = thousandth(dew_c);
    if margin < limits.dew_margin_k {
        findings.push(
            Finding::new(
                Grade::Refuse,
                "dew_point",
                "/survey/surface_c",
                DEW_BASIS,
                format!(
                    "The surface is {margin} K above the dew point ({dew_c} degrees Celsius); at least {} K is needed, or \
                     it may be wet without looking so. Wait, and read again.",
                    limits.dew_margin_k
                ),
            )
            .measured(margin, limits.dew_margin_k, "K"),
        );
    }
    if dew_c < 0.0 {
        findings.push(
            Finding::new(
                Grade::Note,
                "dew_point_over_water",
                "/survey/air_c",
                DEW_BASIS,
                format!(
                    "The dew point of {dew_c} degrees Celsius is below zero and reckoned over water. Frost forms \
                     already somewhat above it: look for it."
                ),
            )
            .measured(dew_c, 0.0, "degC"),
        );
    }
    if humidity > limits.humidity_percent {
        findings.push(
            Finding::new(
                Grade::Refuse,
                "humidity",
                "/survey/humidity_percent",
                "system limit; 85 % is common in coating practice beside the 3 K rule",
                format!(
                    "The air holds {humidity} % relative humidity; the limit is {} %. Wait for drier air.",
                    limits.humidity_percent
                ),
            )
            .measured(humidity, limits.humidity_percent, "%"),
        );
    }
}

const DEW_BASIS: &str = "system limit; surface at least 3 K above the dew point (ISO 8502-4 as summarised by coating \
    guides); dew point by Alduchov and Eskridge 1996";

fn thousandth(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    // psychrolib 2.5.0, GetTDewPointFromRelHum (SI units): air, relative humidity, dew point.
    const PSYCHROLIB: [(f64, f64, f64); 8] = [
        (20.0, 50.0, 9.272),
        (20.0, 80.0, 16.447),
        (15.0, 85.0, 12.501),
        (10.0, 90.0, 8.437),
        (5.0, 95.0, 4.267),
        (25.0, 60.0, 16.701),
        (30.0, 70.0, 23.928),
        (12.0, 75.0, 7.711),
    ];

    #[test]
    fn agrees_with_full_steam_formulas_and_with_other_coefficients() {
        // The same form with the coefficients of WMO-No. 8 (2008), and of Tetens as the University of Arizona gives them.
        let magnus = |b: f64, c: f64, air_c: f64, humidity: f64| {
            let gamma = libm::log(humidity / 100.0) + b * air_c / (c + air_c);
            c * gamma / (b - gamma)
        };
        for (air_c, humidity, expected) in PSYCHROLIB {
            let dew_c = dew_point_c(air_c, humidity).expect("in range");
            assert!((dew_c - expected).abs() < 0.03, "{air_c} {humidity}: {dew_c}");
            assert!((dew_c - magnus(17.62, 243.12, air_c, humidity)).abs() < 0.02);
            assert!((dew_c - magnus(17.27, 237.3, air_c, humidity)).abs() < 0.1);
            // M. G. Lawrence, Bull. Amer. Meteor. Soc. 86 (2005) 225: a rule of thumb above 50 %.
            assert!((dew_c - (air_c + (humidity - 100.0) / 5.0)).abs() < 1.0);
        }
    }

    #[test]
    fn below_zero_it_is_over_water() {
        // Alduchov and Eskridge over water: -9.187; psychrolib 2.5.0, which changes to ice: -8.154.
        let dew_c = dew_point_c(0.01, 50.0).expect("in range");
        assert!((dew_c + 9.187).abs() < 0.005, "{dew_c}");
    }

    fn codes(air_c: f64, humidity: f64, surface_c: f64) -> Vec<String> {
        let survey = Survey {
            air_c: Some(air_c),
            humidity_percent: Some(humidity),
            surface_c: Some(surface_c),
            ..Survey::default()
        };
        let mut findings = Vec::new();
        inspect(&System::default(), &survey, &mut findings);
        findings.into_iter().map(|finding| finding.code).collect()
    }

    #[test]
    fn three_kelvin_pass_and_a_hundredth_less_stops() {
        let dew_c = dew_point_c(20.0, 50.0).expect("in range");
        assert!(codes(20.0, 50.0, dew_c + 3.00).is_empty());
        assert_eq!(codes(20.0, 50.0, dew_c + 2.99), ["dew_point"]);
        // At 15 degrees and 85 % a deck as warm as the air fails: it would need 15.50.
        assert_eq!(codes(15.0, 85.0, 15.0), ["dew_point"]);
        assert!(codes(15.0, 85.0, 15.50).is_empty());
    }

    // psychrolib 2.5.0: the highest humidity that leaves 3 K. Air, surface, humidity.
    #[test]
    fn the_highest_humidity_agrees() {
        for (air_c, surface_c, humidity) in
            [(15.0, 12.0, 67.32), (10.0, 8.0, 71.05), (20.0, 20.0, 82.86), (5.0, 5.0, 80.91)]
        {
            assert!(codes(air_c, humidity - 0.2, surface_c).is_empty(), "{air_c}");
            assert_eq!(codes(air_c, humidity + 0.2, surface_c), ["dew_point"]);
        }
    }

    #[test]
    fn damp_air_and_frost_are_said() {
        assert_eq!(codes(25.0, 85.1, 40.0), ["humidity"]);
        assert!(codes(25.0, 85.0, 40.0).is_empty());
        assert_eq!(codes(2.0, 60.0, 8.0), ["dew_point_over_water"]);
    }
}
