//! Dew point, frost point and the weather gate.
//!
//! With `t` the temperature of the air in degrees Celsius and `U` its relative humidity from 0 to 1, over liquid water as
//! hygrometers and forecasts give it also below zero, the vapour pressure is
//!
//! `e = 6.1094 U exp(17.625 t / (243.04 + t))` in hPa.
//!
//! The dew point is the temperature at which `e` saturates over water, `243.04 g / (17.625 - g)` with `g = ln(e / 6.1094)`; the
//! frost point that over ice, `273.86 h / (22.587 - h)` with `h = ln(e / 6.1121)`. Below zero the frost point is the higher of
//! the two, so the gate takes it there.
//!
//! Sources: O. A. Alduchov and R. E. Eskridge, "Improved Magnus form approximation of saturation vapor pressure", J. Appl. Meteor.
//! 35 (1996) 601-609, the coefficients over ice from memory. Checked against psychrolib 2.5.0, which has the full formulas of
//! Hyland and Wexler: within 0.03 K from -40 to 40 degrees (`bindings-py/tests/test_oracle_survey.py`).
//!
//! # Limits
//! A reading holds for where and when it was taken: a roof in the shade or under a clear evening sky is colder than its air. A
//! hygrometer that is off by 3 % moves the dew point by about a kelvin at 50 %.

use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::survey::Survey;
use crate::system::System;

/// The air temperatures for which the coefficients were fitted, in degrees Celsius.
const FITTED_C: (f64, f64) = (-40.0, 50.0);

/// Coefficients of `e = scale exp(b t / (c + t))`, the pressure in hPa.
struct Magnus {
    scale: f64,
    b: f64,
    c: f64,
}

const WATER: Magnus = Magnus { scale: 6.1094, b: 17.625, c: 243.04 };
const ICE: Magnus = Magnus { scale: 6.1121, b: 22.587, c: 273.86 };

impl Magnus {
    /// The temperature at which vapour of this pressure, given by its logarithm, saturates.
    fn saturates_at(&self, log_hpa: f64) -> f64 {
        let g = log_hpa - libm::log(self.scale);
        self.c * g / (self.b - g)
    }
}

/// Logarithm of the vapour pressure in hPa.
fn log_pressure(air_c: f64, humidity_percent: f64) -> Result<f64, Error> {
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
    Ok(libm::log(WATER.scale) + libm::log(humidity_percent / 100.0) + WATER.b * air_c / (WATER.c + air_c))
}

/// The dew point in degrees Celsius over liquid water, also below zero, where [`frost_point_c`] lies higher. Humidity is
/// relative to liquid water.
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
    Ok(WATER.saturates_at(log_pressure(air_c, humidity_percent)?))
}

/// The frost point in degrees Celsius: where frost forms from the air. It means something only where it is below zero.
/// Humidity is relative to liquid water.
///
/// # Errors
/// As for [`dew_point_c`].
///
/// ```
/// use upstand::{Code, wet};
///
/// // A kelvin above the dew point over water.
/// assert!((wet::frost_point_c(0.01, 50.0).unwrap() + 8.15).abs() < 0.01);
/// assert!((wet::dew_point_c(0.01, 50.0).unwrap() + 9.19).abs() < 0.01);
/// assert_eq!(wet::frost_point_c(f64::NAN, 50.0).unwrap_err().code(), Code::NonFinite);
/// ```
pub fn frost_point_c(air_c: f64, humidity_percent: f64) -> Result<f64, Error> {
    Ok(ICE.saturates_at(log_pressure(air_c, humidity_percent)?))
}

/// The temperature in degrees Celsius at which a surface begins to catch moisture out of the air: the dew point, or the frost
/// point where that is below zero. What the weather gate takes.
///
/// # Errors
/// As for [`dew_point_c`].
///
/// ```
/// use upstand::{Code, wet};
///
/// assert_eq!(wet::condensation_point_c(20.0, 50.0), wet::dew_point_c(20.0, 50.0));
/// assert_eq!(wet::condensation_point_c(2.0, 60.0), wet::frost_point_c(2.0, 60.0));
/// assert_eq!(wet::condensation_point_c(60.0, 50.0).unwrap_err().code(), Code::BadReading);
/// ```
pub fn condensation_point_c(air_c: f64, humidity_percent: f64) -> Result<f64, Error> {
    let dew_c = dew_point_c(air_c, humidity_percent)?;
    if dew_c < 0.0 { frost_point_c(air_c, humidity_percent) } else { Ok(dew_c) }
}

/// What the weather says: `dew_point` (refuse, or caution near it), `humidity` (refuse), `ice` (caution), `frost_point` and
/// `no_weather_reading` (note).
pub(super) fn inspect(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let limits = &system.limits;
    if let Some(surface_c) = survey.surface_c.filter(|&surface_c| surface_c <= 0.0) {
        findings.push(
            Finding::new(
                Grade::Caution,
                "ice",
                "/survey/surface_c",
                "water freezes at 0 degrees Celsius; that moisture meters miss ice: common practice, no source",
                format!(
                    "The surface is at {surface_c} degrees Celsius: what water there is on it and in the boards is ice, which \
                     looks dry and which a moisture meter hardly reads. Let it thaw and dry, and read the moisture again."
                ),
            )
            .measured(surface_c, 0.0, "degC"),
        );
    }
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
    let Ok(point_c) = condensation_point_c(air_c, humidity) else { return };
    // To a thousandth: no thermometer shows more, and the noise of the formula stays out of the comparison.
    let (margin, point_c) = (thousandth(surface_c - point_c), thousandth(point_c));
    let (name, shown) =
        (if point_c < 0.0 { "frost point" } else { "dew point" }, format!("{point_c:.1} degrees Celsius"));
    let least_c = point_c + limits.dew_margin_k;
    let mut near = |grade, text: String| {
        let finding = Finding::new(grade, "dew_point", "/survey/surface_c", DEW_BASIS, text);
        findings.push(finding.measured(margin, limits.dew_margin_k, "K"));
    };
    if margin < limits.dew_margin_k {
        near(
            Grade::Refuse,
            format!(
                "The surface is {margin:.2} K above the {name} ({shown}); at least {} K is needed, or it may be wet without \
                 looking so. Wait until it is at {least_c:.2} degrees Celsius or the air is drier, and read again.",
                limits.dew_margin_k
            ),
        );
    } else if margin < limits.dew_margin_k + limits.dew_caution_k {
        near(
            Grade::Caution,
            format!(
                "The surface is only {margin:.2} K above the {name} ({shown}), near the least of {} K. Read again before each \
                 mix, and stop before it falls to {least_c:.2} degrees Celsius, as it will towards evening or in shade.",
                limits.dew_margin_k
            ),
        );
    }
    if point_c < 0.0 {
        findings.push(
            Finding::new(
                Grade::Note,
                "frost_point",
                "/survey/air_c",
                DEW_BASIS,
                format!(
                    "Moisture comes out of this air below zero, as frost: the margin is reckoned from the frost point over ice, \
                     {shown}, which lies above the dew point over water. Look for frost before work."
                ),
            )
            .measured(point_c, 0.0, "degC"),
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

    /// Relative humidity of saturated air.
    const SATURATED: f64 = 100.0;

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

    // psychrolib 2.5.0, GetVapPresFromRelHum and GetSatVapPres, in pascal, within the 0.4 % that Alduchov and Eskridge give
    // for theirs (from memory); the formula of ISO 13788 (from memory) is held
    // against the same.
    #[test]
    fn vapour_pressures_agree() {
        let pascal = |air_c, humidity| 100.0 * libm::exp(log_pressure(air_c, humidity).expect("in range"));
        let saturated = |air_c| pascal(air_c, SATURATED);
        let pressures = [1169.40, 1871.04, 1449.63, 1105.20, 828.86, 1901.53, 2972.22, 1051.94];
        for ((air_c, humidity, _), expected) in PSYCHROLIB.into_iter().zip(pressures) {
            assert!((pascal(air_c, humidity) / expected - 1.0).abs() < 4e-3, "{air_c}");
        }
        for (air_c, expected) in [(5.0, 872.49), (10.0, 1228.00), (15.0, 1705.45), (20.0, 2338.80), (25.0, 3169.22)] {
            assert!((saturated(air_c) / expected - 1.0).abs() < 4e-3, "{air_c}");
        }
        for (air_c, expected) in [(0.0, 610.5), (10.0, 1227.3), (20.0, 2337.0), (25.0, 3165.9)] {
            let iso = 610.5 * libm::exp(17.269 * air_c / (237.3 + air_c));
            assert!((iso - expected).abs() < 0.3, "{iso}");
            assert!((saturated(air_c) / iso - 1.0).abs() < 4e-3, "{air_c}");
        }
    }

    #[test]
    fn below_zero_frost_comes_before_dew() {
        // Alduchov and Eskridge over water: -9.187; psychrolib 2.5.0, which changes to ice: -8.154.
        let (dew_c, frost_c) = (dew_point_c(0.01, 50.0), frost_point_c(0.01, 50.0));
        assert!((dew_c.expect("in range") + 9.187).abs() < 0.005);
        assert!((frost_c.expect("in range") + 8.154).abs() < 0.005);
        // Where the gate changes from one to the other nothing jumps.
        let below = (1..=300).map(|i| 25.0 + f64::from(i) / 100.0);
        let points: Vec<f64> = below.map(|u| condensation_point_c(20.0, u).expect("in range")).collect();
        assert!(points.windows(2).all(|pair| pair[0] < pair[1] && pair[1] - pair[0] < 0.02), "{points:?}");
        assert!(points[0] < 0.0 && points[299] > 0.0);
    }

    fn found(air_c: f64, humidity: f64, surface_c: f64) -> Vec<Finding> {
        let survey = Survey {
            air_c: Some(air_c),
            humidity_percent: Some(humidity),
            surface_c: Some(surface_c),
            ..Survey::default()
        };
        let mut findings = Vec::new();
        inspect(&System::default(), &survey, &mut findings);
        findings
    }

    /// The codes of what is refused.
    fn codes(air_c: f64, humidity: f64, surface_c: f64) -> Vec<String> {
        let refused = found(air_c, humidity, surface_c).into_iter().filter(|finding| finding.grade == Grade::Refuse);
        refused.map(|finding| finding.code).collect()
    }

    #[test]
    fn three_kelvin_pass_and_a_hundredth_less_stops() {
        let dew_c = dew_point_c(20.0, 50.0).expect("in range");
        assert!(codes(20.0, 50.0, dew_c + 3.00).is_empty());
        assert_eq!(codes(20.0, 50.0, dew_c + 2.99), ["dew_point"]);
        // At 15 degrees and 85 % a deck as warm as the air fails: it would need 15.50.
        assert_eq!(codes(15.0, 85.0, 15.0), ["dew_point"]);
        assert!(codes(15.0, 85.0, 15.51).is_empty());
    }

    // psychrolib 2.5.0: dew point and 3 K, the least temperature of the deck for the same air.
    #[test]
    fn the_least_temperature_of_the_deck_agrees_and_is_said() {
        let least = [12.27, 19.45, 15.50, 11.44, 7.27, 19.70, 26.93, 10.71];
        for ((air_c, humidity, _), least_c) in PSYCHROLIB.into_iter().zip(least) {
            assert!(codes(air_c, humidity, least_c + 0.03).iter().all(|code| code != "dew_point"), "{air_c}");
            let cold = found(air_c, humidity, least_c - 0.03);
            assert_eq!(cold[0].code, "dew_point");
            let (_, rest) = cold[0].text.split_once("Wait until it is at ").expect("what to wait for");
            let said: f64 = rest.split(' ').next().and_then(|number| number.parse().ok()).expect("a temperature");
            assert!((said - least_c).abs() < 0.03, "{}", cold[0].text);
        }
    }

    #[test]
    fn near_the_margin_is_a_caution() {
        let dew_c = dew_point_c(20.0, 50.0).expect("in range");
        for (margin, grade) in
            [(2.99, Some(Grade::Refuse)), (3.0, Some(Grade::Caution)), (4.99, Some(Grade::Caution)), (5.0, None)]
        {
            let found = found(20.0, 50.0, dew_c + margin);
            assert_eq!(found.first().map(|finding| finding.grade), grade, "{margin}");
            assert!(found.iter().all(|finding| finding.code == "dew_point" && finding.limit == Some(3.0)));
        }
        // The band is the system's.
        let mut system = System::default();
        system.limits.dew_caution_k = 0.0;
        let survey = Survey {
            air_c: Some(20.0),
            humidity_percent: Some(50.0),
            surface_c: Some(dew_c + 3.0),
            ..Survey::default()
        };
        let mut findings = Vec::new();
        inspect(&system, &survey, &mut findings);
        assert_eq!(findings, []);
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
        let frost = found(2.0, 60.0, 8.0);
        assert_eq!((frost.len(), frost[0].code.as_str(), frost[0].grade), (1, "frost_point", Grade::Note));
        // On ice no margin helps.
        let ice: Vec<_> = found(-2.0, 60.0, 0.0).into_iter().map(|finding| (finding.grade, finding.code)).collect();
        assert_eq!(ice, [(Grade::Caution, "ice".into()), (Grade::Note, "frost_point".into())]);
        // Between the points of dew and frost frost forms though the surface lies above the dew point.
        let (dew_c, frost_c) =
            (dew_point_c(-1.0, 70.0).expect("in range"), frost_point_c(-1.0, 70.0).expect("in range"));
        assert!(dew_c + 0.5 < frost_c);
        let between = found(-1.0, 70.0, dew_c + 3.2);
        assert_eq!((between[1].grade, between[1].code.as_str()), (Grade::Refuse, "dew_point"));
        assert!(between[1].text.contains("frost point"), "{}", between[1].text);
    }
}
