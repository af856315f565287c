//! Jobs with a programme: hours, weather, labour, tables of doses to read between.

use upstand::Job;
use upstand::Money;
use upstand::schedule::CleaningChoice;
use upstand::system::Finish;

use crate::generate::{Random, job};

/// A job with hours, weather and prices of labour.
pub fn wet_job(seed: u64) -> Job {
    let mut job = job(seed);
    let mut random = Random::new(seed ^ 0x77e7);
    let hours = 24 * 12;
    let rain: Vec<u32> = (0..hours).map(|_| u32::from(random.once_in(30))).collect();
    let warm = random.between(8, 24);
    let text = format!(
        r#"{{"start": "2027-05-03", "crew": {}, "section_m2": {}, "step_min": {},
            "forecast": {{"from": "2027-05-03T00:00", "air_c": {:?}, "humidity_percent": {:?}, "rain_mm": {:?},
                "surface_c": {:?}}}}}"#,
        random.between(1, 4),
        random.between(15, 60),
        random.pick(&[5, 10, 15, 30]),
        vec![12; hours],
        vec![50; hours],
        rain,
        (0..hours).map(|hour| warm - (hour as i64 % 24 - 14).abs() / 2).collect::<Vec<_>>(),
    );
    let mut programme: upstand::schedule::Programme = serde_json::from_str(&text).expect("a programme");
    programme.cleaning = *random.pick(&[CleaningChoice::Avoid, CleaningChoice::Allow, CleaningChoice::Never]);
    job.programme = Some(programme);
    job.survey.surface_c.get_or_insert(14.0);
    if random.once_in(3) {
        interpolate(&mut job);
    }
    job.system.work.person_hour = Some(Money::from_parts(random.between(10_000, 600_000) as u64));
    job.preferences.finish = *random.pick(&[Finish::Thin, Finish::Smooth]);
    job
}

/// The table as points to read between: the beginning of each band, and the end of the last.
pub fn interpolate(job: &mut Job) {
    for hardener in job.system.hardeners.iter_mut().filter(|hardener| !hardener.interpolate) {
        let last = hardener.bands.last().cloned();
        hardener.bands.iter_mut().for_each(|band| band.to_c = band.from_c);
        hardener.bands.extend(last.map(|band| upstand::system::DoseBand { from_c: band.to_c, ..band }));
        hardener.interpolate = true;
    }
}
