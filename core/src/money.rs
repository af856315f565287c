//! Money as an exact decimal: an integer number of ten-thousandths of the job's unit of money.

use std::fmt;

use schemars::JsonSchema;
use serde::de::{self, Deserialize, Deserializer};
use serde::ser::{Serialize, Serializer};

use crate::error::{Code, Error};

/// An amount of money with four decimals. The library knows no currency: a job uses one throughout.
///
/// ```
/// use upstand::Money;
///
/// let price: Money = serde_json::from_str("12.35").unwrap();
/// assert_eq!(price.times(3).unwrap().to_string(), "37.05");
/// assert!(serde_json::from_str::<Money>("-1").is_err());
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(u64);

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(0);
    /// The largest amount accepted from outside: a thousand million units.
    pub const LIMIT: Money = Money(10_000_000_000_000);

    /// An amount of `parts` ten-thousandths.
    pub const fn from_parts(parts: u64) -> Self {
        Money(parts)
    }

    /// Ten-thousandths.
    pub const fn parts(self) -> u64 {
        self.0
    }

    /// The amount nearest to `units`.
    ///
    /// # Errors
    /// [`Code::NonFinite`] for NaN and infinities, [`Code::OutOfRange`] below zero or beyond [`Money::LIMIT`].
    ///
    /// ```
    /// use upstand::{Code, Money};
    ///
    /// assert_eq!(Money::try_from_f64(0.1).unwrap().parts(), 1_000);
    /// assert_eq!(Money::try_from_f64(-0.1).unwrap_err().code(), Code::OutOfRange);
    /// ```
    pub fn try_from_f64(units: f64) -> Result<Self, Error> {
        if !units.is_finite() {
            return Err(Error::new(Code::NonFinite, "", format!("{units} is not an amount of money")));
        }
        let parts = (units * 10_000.0).round();
        if parts < 0.0 || parts > Self::LIMIT.0 as f64 {
            return Err(Error::new(
                Code::OutOfRange,
                "",
                format!("{units} is out of range: an amount is from 0 to 1e9"),
            ));
        }
        Ok(Money(parts as u64))
    }

    /// The amount `count` times; `None` on overflow.
    pub fn times(self, count: u64) -> Option<Money> {
        self.0.checked_mul(count).map(Money)
    }

    /// The sum of two amounts; `None` on overflow.
    pub fn plus(self, other: Money) -> Option<Money> {
        self.0.checked_add(other.0).map(Money)
    }

    /// The nearest whole hundredth, halves up: what people read; sums are made before.
    pub const fn to_hundredths(self) -> Money {
        Money((self.0.saturating_add(50)) / 100 * 100)
    }

    fn units(self) -> f64 {
        self.0 as f64 / 10_000.0
    }
}

impl fmt::Display for Money {
    /// At least two decimals, four only where they are needed.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (units, parts) = (self.0 / 10_000, self.0 % 10_000);
        if parts % 100 == 0 { write!(f, "{units}.{:02}", parts / 100) } else { write!(f, "{units}.{parts:04}") }
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_multiple_of(10_000) {
            serializer.serialize_u64(self.0 / 10_000)
        } else {
            // The nearest double to k/10000 prints back as k/10000 for every amount within the limit.
            serializer.serialize_f64(self.units())
        }
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Money::try_from_f64(f64::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

impl JsonSchema for Money {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Money".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "number",
            "description": "Units of the job's money; rounded to four decimals",
            "minimum": 0,
            "maximum": 1e9
        })
    }
}
