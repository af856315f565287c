//! Dates and times of day as whole numbers, on the clock of the site: no time zones, no leap seconds.
//!
//! Written as ISO 8601 has them: `2027-05-03`, `08:30`, `2027-05-03T08:30`. Day numbers follow the proleptic Gregorian
//! calendar by the method of H. Hinnant, "chrono-Compatible Low-Level Date Algorithms" (years that begin in March, eras of
//! 400 years), in integers throughout.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::de::{self, Deserialize, Deserializer};
use serde::ser::{Serialize, Serializer};

use crate::error::{Code, Error};

/// Minutes in a day.
pub(crate) const DAY: i64 = 1_440;
/// The years that are read.
const YEARS: (i64, i64) = (1900, 2199);

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

impl Weekday {
    /// Every day, from Monday.
    pub const ALL: [Weekday; 7] = [
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ];

    /// Its first three letters.
    pub const fn short(self) -> &'static str {
        ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"][self as usize]
    }
}

/// A date, as the number of days since 1970-01-01.
///
/// ```
/// use upstand::Code;
/// use upstand::calendar::{Date, Weekday};
///
/// let date: Date = "2024-02-29".parse()?;
/// assert_eq!((date.weekday(), date.to_string()), (Weekday::Thursday, "2024-02-29".to_string()));
/// assert_eq!("2023-02-29".parse::<Date>().unwrap_err().code(), Code::BadDate);
/// # Ok::<(), upstand::Error>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(i64);

/// A time of day in whole minutes, up to 24:00.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TimeOfDay(i64);

/// A minute of a date, as the number of minutes since 1970-01-01T00:00 on the site's clock.
///
/// ```
/// use upstand::Code;
/// use upstand::calendar::Moment;
///
/// let moment: Moment = "2027-05-03T08:30".parse()?;
/// assert_eq!(moment.after(24 * 60).to_string(), "2027-05-04T08:30");
/// assert_eq!("2027-05-03 08:30".parse::<Moment>().unwrap_err().code(), Code::BadDate);
/// # Ok::<(), upstand::Error>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(i64);

impl Date {
    /// The first minute of the day.
    pub const fn midnight(self) -> Moment {
        Moment(self.0 * DAY)
    }

    /// The date so many days later.
    #[must_use]
    pub const fn plus_days(self, days: i64) -> Date {
        Date(self.0.saturating_add(days))
    }

    /// Its day of the week.
    pub const fn weekday(self) -> Weekday {
        // 1970-01-01 was a Thursday.
        Weekday::ALL[(self.0 + 3).rem_euclid(7) as usize]
    }

    fn from_civil(year: i64, month: i64, day: i64) -> Date {
        // Years begin in March, so that the leap day is the last.
        let year = if month <= 2 { year - 1 } else { year };
        let era = year.div_euclid(400);
        let year_of_era = year.rem_euclid(400);
        let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
        let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
        Date(era * 146_097 + day_of_era - 719_468)
    }

    fn civil(self) -> (i64, i64, i64) {
        let shifted = self.0 + 719_468;
        let era = shifted.div_euclid(146_097);
        let day_of_era = shifted.rem_euclid(146_097);
        let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let shifted_month = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * shifted_month + 2) / 5 + 1;
        let month = if shifted_month < 10 { shifted_month + 3 } else { shifted_month - 9 };
        (year_of_era + era * 400 + i64::from(month <= 2), month, day)
    }
}

impl TimeOfDay {
    /// Minutes after midnight.
    pub const fn minutes(self) -> i64 {
        self.0
    }

    /// The time so many minutes after midnight, within the day.
    pub const fn from_minutes(minutes: i64) -> TimeOfDay {
        TimeOfDay(if minutes < 0 {
            0
        } else if minutes > DAY {
            DAY
        } else {
            minutes
        })
    }
}

impl Moment {
    /// Minutes since 1970-01-01T00:00.
    pub const fn minutes(self) -> i64 {
        self.0
    }

    /// So many minutes since 1970-01-01T00:00.
    pub const fn from_minutes(minutes: i64) -> Moment {
        Moment(minutes)
    }

    /// The moment so many minutes later.
    #[must_use]
    pub const fn after(self, minutes: i64) -> Moment {
        Moment(self.0.saturating_add(minutes))
    }

    /// Its date.
    pub const fn date(self) -> Date {
        Date(self.0.div_euclid(DAY))
    }

    /// Its time of day.
    pub const fn time(self) -> TimeOfDay {
        TimeOfDay(self.0.rem_euclid(DAY))
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.civil();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

impl fmt::Display for TimeOfDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}T{}", self.date(), self.time())
    }
}

fn refuse(text: &str, what: &str) -> Error {
    let shown: String = text.chars().take(40).collect();
    Error::new(Code::BadDate, "", format!("{shown:?} is not {what}"))
}

/// Exactly `width` digits.
fn digits(text: &str, width: usize) -> Option<i64> {
    let fine = text.len() == width && text.bytes().all(|byte| byte.is_ascii_digit());
    if fine { text.parse().ok() } else { None }
}

impl FromStr for Date {
    type Err = Error;
    fn from_str(text: &str) -> Result<Date, Error> {
        let read = || {
            let mut parts = text.split('-');
            let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
            let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
            let date = Date::from_civil(year, month, day);
            let known = (YEARS.0..=YEARS.1).contains(&year) && (1..=12).contains(&month);
            // 30 February comes back as a day of March.
            (parts.next().is_none() && known && date.civil() == (year, month, day)).then_some(date)
        };
        read().ok_or_else(|| refuse(text, "a date from 1900 to 2199, such as 2027-05-03"))
    }
}

impl FromStr for TimeOfDay {
    type Err = Error;
    fn from_str(text: &str) -> Result<TimeOfDay, Error> {
        let read = || {
            let (hours, minutes) = text.split_once(':')?;
            let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
            let total = hours * 60 + minutes;
            (minutes < 60 && total <= DAY).then_some(TimeOfDay(total))
        };
        read().ok_or_else(|| refuse(text, "a time of day, such as 08:30"))
    }
}

impl FromStr for Moment {
    type Err = Error;
    fn from_str(text: &str) -> Result<Moment, Error> {
        let read = || {
            let (date, time) = text.split_once('T')?;
            let (date, time) = (date.parse::<Date>().ok()?, time.parse::<TimeOfDay>().ok()?);
            Some(date.midnight().after(time.minutes()))
        };
        read().ok_or_else(|| refuse(text, "a moment, such as 2027-05-03T08:30"))
    }
}

macro_rules! as_text {
    ($type:ident, $pattern:literal, $description:literal) => {
        impl Serialize for $type {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $type {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                // The code at the end is found again by the reader of documents.
                String::deserialize(deserializer)?.parse().map_err(|error: Error| de::Error::custom(error))
            }
        }

        impl JsonSchema for $type {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($type).into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({ "type": "string", "pattern": $pattern, "description": $description })
            }
        }
    };
}

as_text!(Date, "^(19|20|21)[0-9]{2}-[0-1][0-9]-[0-3][0-9]$", "A date, such as 2027-05-03");
as_text!(TimeOfDay, "^[0-2][0-9]:[0-5][0-9]$", "A time of day on the site's clock, such as 08:30; 24:00 ends a day");
as_text!(
    Moment,
    "^(19|20|21)[0-9]{2}-[0-1][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]$",
    "A minute on the site's clock, such as 2027-05-03T08:30"
);

#[cfg(test)]
mod tests {
    use super::*;

    // Days since 1970-01-01 as any calendar program counts them (Python's `datetime.date.toordinal() - 719163`).
    #[test]
    fn days_are_counted_as_elsewhere() {
        for (text, days, weekday) in [
            ("1970-01-01", 0, Weekday::Thursday),
            ("1969-12-31", -1, Weekday::Wednesday),
            ("1900-01-01", -25_567, Weekday::Monday),
            ("2000-02-29", 11_016, Weekday::Tuesday),
            ("2000-03-01", 11_017, Weekday::Wednesday),
            ("2027-05-03", 20_941, Weekday::Monday),
            ("2100-03-01", 47_541, Weekday::Monday),
        ] {
            let date: Date = text.parse().expect(text);
            assert_eq!((date.0, date.weekday(), date.to_string()), (days, weekday, text.to_string()));
        }
    }

    #[test]
    fn every_day_of_three_centuries_reads_back() {
        let (first, last): (Date, Date) =
            ("1900-01-01".parse().expect("a date"), "2199-12-31".parse().expect("a date"));
        assert_eq!(last.0 - first.0, 109_572);
        for day in first.0..=last.0 {
            assert_eq!(Date(day).to_string().parse::<Date>().expect("a date"), Date(day));
        }
    }

    #[test]
    fn what_is_no_date_or_time_is_refused() {
        for text in ["2100-02-29", "2027-5-3", "2027-13-01", "2027-00-10", "2027-04-31", "1899-12-31", "+027-05-03", ""]
        {
            assert_eq!(text.parse::<Date>().expect_err(text).code(), Code::BadDate);
        }
        for text in ["24:01", "8:30", "08:60", "0830", "-1:30"] {
            assert!(text.parse::<TimeOfDay>().is_err(), "{text}");
        }
        assert_eq!("2027-05-03T24:00".parse::<Moment>().expect("a moment").to_string(), "2027-05-04T00:00");
        assert!("2027-05-03T08:30:00".parse::<Moment>().is_err());
    }
}
