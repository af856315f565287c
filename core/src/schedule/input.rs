use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::calendar::{Date, Moment, TimeOfDay, Weekday};

/// When the work may be done, by how many, in what weather: what a schedule is made from.
///
/// ```
/// use upstand::schedule::Programme;
///
/// let text = r#"{"start": "2027-05-03", "week": {"monday": ["07:30", "16:00"]}}"#;
/// let programme: Programme = serde_json::from_str(text).unwrap();
/// assert_eq!(programme.crew, 2);
/// assert!(serde_json::from_str::<Programme>(r#"{"start": "3 May"}"#).is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Programme {
    /// The first day on which work may begin.
    pub start: Date,
    /// People at work.
    #[serde(default = "default_crew")]
    pub crew: u32,
    /// Working hours; by default Monday to Friday from 08:00 to 17:00.
    #[serde(default)]
    pub week: Week,
    /// Dates without work.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub days_off: Vec<Date>,
    /// The weather expected, hour by hour. Hours that it does not reach are taken as fit for work, and said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub forecast: Option<Forecast>,
    /// The largest area, in square metres, that goes through the wet work as one; larger roofs are divided into sections.
    #[serde(default = "default_section_m2")]
    pub section_m2: f64,
    /// What times are rounded to, in minutes: tasks begin at its multiples and take multiples of it.
    #[serde(default = "default_step_min")]
    pub step_min: u32,
    /// Within how many days all has to be done.
    #[serde(default = "default_within_days")]
    pub within_days: u32,
    /// When a layer that has stood too long or got wet is cleaned, rather than laid later.
    #[serde(default, skip_serializing_if = "is_default")]
    pub cleaning: CleaningChoice,
}

fn is_default(choice: &CleaningChoice) -> bool {
    *choice == CleaningChoice::default()
}

/// When a layer that has stood too long or got wet is cleaned as its system says, so that the next one may follow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CleaningChoice {
    /// Only where nothing else fits into the programme, and then as seldom as can be.
    #[default]
    Avoid,
    /// Wherever the work ends earlier with it.
    Allow,
    /// Never.
    Never,
}

/// People at work where no programme says.
pub(crate) const fn default_crew() -> u32 {
    2
}

const fn default_section_m2() -> f64 {
    40.0
}

const fn default_step_min() -> u32 {
    15
}

const fn default_within_days() -> u32 {
    42
}

impl Default for Programme {
    fn default() -> Self {
        Programme {
            start: Date::default(),
            crew: default_crew(),
            week: Week::default(),
            days_off: Vec::new(),
            forecast: None,
            section_m2: default_section_m2(),
            step_min: default_step_min(),
            within_days: default_within_days(),
            cleaning: CleaningChoice::default(),
        }
    }
}

/// Working hours of each day of the week, from and to. Where a week is given, a day that it does not name is free.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Week {
    /// Monday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub monday: Option<(TimeOfDay, TimeOfDay)>,
    /// Tuesday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tuesday: Option<(TimeOfDay, TimeOfDay)>,
    /// Wednesday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wednesday: Option<(TimeOfDay, TimeOfDay)>,
    /// Thursday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thursday: Option<(TimeOfDay, TimeOfDay)>,
    /// Friday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub friday: Option<(TimeOfDay, TimeOfDay)>,
    /// Saturday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saturday: Option<(TimeOfDay, TimeOfDay)>,
    /// Sunday.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sunday: Option<(TimeOfDay, TimeOfDay)>,
}

impl Default for Week {
    fn default() -> Self {
        let day = Some((TimeOfDay::from_minutes(8 * 60), TimeOfDay::from_minutes(17 * 60)));
        Week { monday: day, tuesday: day, wednesday: day, thursday: day, friday: day, saturday: None, sunday: None }
    }
}

impl Week {
    /// The hours of a day of the week.
    pub const fn on(&self, day: Weekday) -> Option<(TimeOfDay, TimeOfDay)> {
        match day {
            Weekday::Monday => self.monday,
            Weekday::Tuesday => self.tuesday,
            Weekday::Wednesday => self.wednesday,
            Weekday::Thursday => self.thursday,
            Weekday::Friday => self.friday,
            Weekday::Saturday => self.saturday,
            Weekday::Sunday => self.sunday,
        }
    }
}

/// The weather expected, one number for each hour from `from` on. All lists are of one length.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Forecast {
    /// The beginning of the first hour.
    pub from: Moment,
    /// Temperature of the air in degrees Celsius.
    pub air_c: Vec<f64>,
    /// Relative humidity of the air in percent.
    pub humidity_percent: Vec<f64>,
    /// Rain in millimetres.
    pub rain_mm: Vec<f64>,
    /// Surface temperature of the deck in degrees Celsius; where it is left out, the air's is taken, and said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub surface_c: Vec<f64>,
}

impl Forecast {
    /// How many hours it has.
    pub fn hours(&self) -> usize {
        self.air_c.len().min(self.humidity_percent.len()).min(self.rain_mm.len())
    }

    /// The hour that a moment lies in.
    pub fn hour_of(&self, at: Moment) -> Option<usize> {
        let hour = (at.minutes() - self.from.minutes()).div_euclid(60);
        usize::try_from(hour).ok().filter(|&hour| hour < self.hours())
    }

    /// Surface temperature in an hour.
    pub fn surface(&self, hour: usize) -> Option<f64> {
        self.surface_c.get(hour).or_else(|| self.air_c.get(hour)).copied()
    }
}
