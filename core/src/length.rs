//! Exact lengths: an integer number of micrometres.
//!
//! Everything that someone will cut, buy by length or measure is a [`Length`]. On the wire (JSON) a length
//! is a number of millimetres with at most three decimals; it is rounded to the nearest micrometre on
//! the way in and printed exactly on the way out. Inside the library there is no floating-point length,
//! so 5.95 m is exactly two 3 m bars with a 50 mm lap on every platform and in every language.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Rem, Sub, SubAssign};

use schemars::JsonSchema;
use serde::de::{self, Deserialize, Deserializer};
use serde::ser::{Serialize, Serializer};

use crate::error::{Code, Error};

/// A signed length in whole micrometres.
///
/// ```
/// use upstand::Length;
///
/// let bar = Length::from_mm(3000);
/// let lap = Length::from_mm(50);
/// assert_eq!(bar + bar - lap, Length::from_mm(5950));
/// assert_eq!(format!("{}", Length::from_um(1_250)), "1.25 mm");
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);
    /// The largest magnitude accepted from outside: 1 000 km. Sums of a million such lengths still fit.
    pub const LIMIT: Length = Length(1_000_000_000_000);

    /// A length of `um` micrometres.
    pub const fn from_um(um: i64) -> Self {
        Length(um)
    }

    /// A length of `mm` whole millimetres.
    pub const fn from_mm(mm: i64) -> Self {
        Length(mm * 1_000)
    }

    /// The length nearest to `mm` millimetres.
    ///
    /// # Errors
    /// [`Code::NonFinite`] for NaN and infinities, [`Code::OutOfRange`] beyond [`Length::LIMIT`].
    ///
    /// ```
    /// use upstand::{Code, Length};
    ///
    /// assert_eq!(Length::try_from_mm_f64(0.1 + 0.2).unwrap(), Length::from_um(300));
    /// assert_eq!(Length::try_from_mm_f64(f64::NAN).unwrap_err().code(), Code::NonFinite);
    /// ```
    pub fn try_from_mm_f64(mm: f64) -> Result<Self, Error> {
        if !mm.is_finite() {
            return Err(Error::new(
                Code::NonFinite,
                "",
                format!("{mm} is not a length: a finite number of millimetres is needed"),
            ));
        }
        let um = (mm * 1_000.0).round();
        if um.abs() > Self::LIMIT.0 as f64 {
            return Err(Error::new(
                Code::OutOfRange,
                "",
                format!("{mm} mm is out of range: at most 1 000 km either way"),
            ));
        }
        Ok(Length(um as i64))
    }

    /// Whole micrometres.
    pub const fn um(self) -> i64 {
        self.0
    }

    /// Millimetres as a float: for drawing, printing and ratios, never for cutting.
    pub fn mm(self) -> f64 {
        self.0 as f64 / 1_000.0
    }

    /// Metres as a float: for rates and printing, never for cutting.
    pub fn m(self) -> f64 {
        self.0 as f64 / 1_000_000.0
    }

    /// Rounds up to the next multiple of `step` (which must be positive).
    ///
    /// This is where geometry becomes a cut: the one rounding of a cut length.
    ///
    /// ```
    /// use upstand::Length;
    /// let mm = Length::from_mm(1);
    /// assert_eq!(Length::from_um(2_000_001).round_up(mm), Length::from_mm(2001));
    /// assert_eq!(Length::from_mm(2000).round_up(mm), Length::from_mm(2000));
    /// ```
    #[must_use]
    pub const fn round_up(self, step: Length) -> Self {
        let rest = self.0.rem_euclid(step.0);
        if rest == 0 { self } else { Length(self.0 - rest + step.0) }
    }

    /// The magnitude.
    #[must_use]
    pub const fn abs(self) -> Self {
        Length(self.0.saturating_abs())
    }

    /// Whether the length is greater than zero.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Whether the length is less than zero.
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

impl Div<i64> for Length {
    type Output = Length;
    /// Truncates to whole micrometres.
    fn div(self, by: i64) -> Length {
        Length(self.0 / by)
    }
}

impl Div for Length {
    type Output = i64;
    /// How many whole times `other` goes into `self`.
    fn div(self, other: Length) -> i64 {
        self.0 / other.0
    }
}

impl Rem for Length {
    type Output = Length;
    fn rem(self, other: Length) -> Length {
        Length(self.0 % other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(iter: I) -> Length {
        Length(iter.map(|length| length.0).sum())
    }
}

/// Millimetres, exactly, with the unit: `1250 mm`, `0.5 mm`.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The nearest double to k/1000 prints back as k/1000 for every length within the limit.
        write!(f, "{} mm", self.mm())
    }
}

impl Serialize for Length {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1_000 == 0 { serializer.serialize_i64(self.0 / 1_000) } else { serializer.serialize_f64(self.mm()) }
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let mm = f64::deserialize(deserializer)?;
        Length::try_from_mm_f64(mm).map_err(de::Error::custom)
    }
}

impl JsonSchema for Length {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Length".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "number",
            "description": "Millimetres; rounded to the nearest micrometre",
            "minimum": -1e9,
            "maximum": 1e9
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wire_form_is_exact_millimetres() {
        for (um, text) in [(3_000_000, "3000"), (1, "0.001"), (-1_500, "-1.5"), (999_999_999_999, "999999999.999")] {
            let written = serde_json::to_string(&Length::from_um(um)).expect("a number");
            assert_eq!(written, text);
            let read: Length = serde_json::from_str(text).expect("a length");
            assert_eq!(read.um(), um);
        }
    }

    #[test]
    fn out_of_range_is_refused() {
        assert!(serde_json::from_str::<Length>("1e9").is_ok());
        assert!(serde_json::from_str::<Length>("1.1e9").is_err());
    }

    #[test]
    fn rounding_up_keeps_multiples_and_signs() {
        let step = Length::from_mm(1);
        assert_eq!(Length::from_um(-1).round_up(step), Length::ZERO);
        assert_eq!(Length::from_um(1).round_up(step), step);
        assert_eq!(step.round_up(step), step);
    }
}
