//! Programmes that contradict themselves.

use super::{Forecast, Programme};
use crate::calendar::Weekday;
use crate::error::{Code, Error};

/// Hours of the longest forecast: a year.
const MOST_HOURS: usize = 8_784;

/// Everything that is wrong with a programme, with paths into the job.
///
/// Codes: [`Code::BadProgramme`]; [`Code::BadReading`] for weather that cannot be.
///
/// ```
/// use upstand::Code;
/// use upstand::schedule::{Programme, check};
///
/// let mut programme = Programme::default();
/// assert!(check(&programme).is_empty());
/// programme.crew = 0;
/// assert_eq!(check(&programme)[0].code(), Code::BadProgramme);
/// ```
pub fn check(programme: &Programme) -> Vec<Error> {
    let mut problems = Vec::new();
    let mut expect = |fine: bool, field: &str, message: String| {
        if !fine {
            problems.push(Error::new(Code::BadProgramme, format!("/programme/{field}"), message));
        }
    };
    let Programme { crew, section_m2, step_min, within_days, .. } = *programme;
    expect((1..=1_000).contains(&crew), "crew", format!("a crew of {crew}: from 1 to 1000"));
    // Not NaN either.
    expect((1.0..=1e6).contains(&section_m2), "section_m2", format!("{section_m2} m2: from 1 to 1000000"));
    let divides = step_min >= 1 && 60 % step_min == 0;
    expect(divides, "step_min", format!("{step_min} minutes do not divide an hour: 5, 10, 15, 20, 30 or 60 do"));
    expect((1..=366).contains(&within_days), "within_days", format!("{within_days} days: from 1 to 366"));
    let mut any = false;
    for day in Weekday::ALL {
        let Some((from, to)) = programme.week.on(day) else { continue };
        any = true;
        let name = format!("{day:?}").to_lowercase();
        expect(from < to, &format!("week/{name}"), format!("work from {from} to {to}: it ends before it begins"));
    }
    expect(any, "week", "a week without a working day".into());
    if let Some(forecast) = &programme.forecast {
        weather(forecast, &mut problems);
    }
    problems
}

fn weather(forecast: &Forecast, problems: &mut Vec<Error>) {
    let Forecast { air_c, humidity_percent, rain_mm, surface_c, .. } = forecast;
    let hours = air_c.len();
    // What the dew point's formula and the readings of a survey allow.
    let lists = [
        ("air_c", air_c, (-40.0, 50.0)),
        ("humidity_percent", humidity_percent, (1.0, 100.0)),
        ("rain_mm", rain_mm, (0.0, 500.0)),
        ("surface_c", surface_c, (-60.0, 100.0)),
    ];
    for (field, values, (least, most)) in lists {
        let path = format!("/programme/forecast/{field}");
        let left_out = field == "surface_c" && values.is_empty();
        if !left_out && (values.len() != hours || hours == 0 || hours > MOST_HOURS) {
            let message = format!(
                "{} numbers for {hours} hours of air temperature: one for each, from 1 to {MOST_HOURS}",
                values.len()
            );
            problems.push(Error::new(Code::BadProgramme, path, message));
            continue;
        }
        for (i, value) in values.iter().enumerate() {
            if !(least..=most).contains(value) {
                let message = format!("{value} cannot be: from {least} to {most}");
                problems.push(Error::new(Code::BadReading, format!("{path}/{i}"), message));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::TimeOfDay;

    #[test]
    fn what_contradicts_itself_is_named() {
        let mut programme = Programme { step_min: 25, section_m2: f64::NAN, within_days: 0, ..Programme::default() };
        programme.week.friday = Some((TimeOfDay::from_minutes(600), TimeOfDay::from_minutes(600)));
        programme.forecast = Some(Forecast {
            air_c: vec![10.0, 60.0],
            humidity_percent: vec![50.0],
            rain_mm: vec![0.0, -1.0],
            ..Forecast::default()
        });
        let found: Vec<_> = check(&programme).iter().map(|e| (e.code(), e.path().to_string())).collect();
        let at = |code, path: &str| (code, format!("/programme/{path}"));
        assert_eq!(
            found,
            [
                at(Code::BadProgramme, "section_m2"),
                at(Code::BadProgramme, "step_min"),
                at(Code::BadProgramme, "within_days"),
                at(Code::BadProgramme, "week/friday"),
                at(Code::BadReading, "forecast/air_c/1"),
                at(Code::BadProgramme, "forecast/humidity_percent"),
                at(Code::BadReading, "forecast/rain_mm/1"),
            ]
        );
        let mut idle = Programme::default();
        let week = &mut idle.week;
        (week.monday, week.tuesday, week.wednesday, week.thursday, week.friday) = (None, None, None, None, None);
        assert_eq!(check(&idle)[0].path(), "/programme/week");
    }
}
