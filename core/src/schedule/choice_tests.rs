//! What is cleaned when, against trying every hour for every task and every cleaning.

use super::*;
use crate::Length;
use crate::calendar::TimeOfDay;
use crate::mat::RoofMat;
use crate::system::{Renewal, Window};
use crate::trim::RoofTrims;
use proptest::prelude::*;

/// Square metres of each roof: a section of its own.
const AREA_M2: f64 = 12.0;
/// Metres of tape of a roof with details.
const TAPE_M: f64 = 10.0;
const DAYS: usize = 3;
const HOURS: usize = 24 * DAYS;
/// A Monday's midnight.
const START: &str = "2027-05-03";

/// How a layer is cleaned: hours of work, of the wait after it, of its window.
#[derive(Clone, Copy, Debug)]
struct Wiped {
    work: usize,
    least: usize,
    most: usize,
    after_rain: bool,
}

/// A layer in whole hours.
#[derive(Clone, Copy, Debug)]
struct Coat {
    work: usize,
    least: usize,
    most: usize,
    safe: usize,
    wiped: Option<Wiped>,
}

/// A job in whole hours.
#[derive(Clone, Debug)]
struct Case {
    sections: usize,
    preparation: usize,
    details: Option<usize>,
    /// Primer, resin, top coat.
    coats: [Coat; 3],
    /// Hours of work on each day.
    days: [std::ops::Range<usize>; DAYS],
    rain: Vec<bool>,
    drying: usize,
    cleaning: CleaningChoice,
}

impl Case {
    fn found(&self) -> Option<Schedule> {
        let mut system = System::default();
        system.work.preparation_m2 = AREA_M2 * self.sections as f64 / self.preparation as f64;
        system.work.drying_min = self.drying as u32 * 60;
        if let Some(details) = self.details {
            system.work.tape_m = TAPE_M / details as f64;
        }
        for (layer, coat) in system.layers.iter_mut().zip(self.coats) {
            layer.m2_per_person_hour = Some(AREA_M2 / coat.work as f64);
            layer.next = Some(Window { from_min: coat.least as f64 * 60.0, to_h: coat.most as f64 });
            layer.next_at.clear();
            layer.rain_safe_min = Some(coat.safe as f64 * 60.0);
            layer.renewal = coat.wiped.map(|wiped| Renewal {
                how: "wipe".into(),
                m2_per_person_hour: AREA_M2 / wiped.work as f64,
                from_min: wiped.least as f64 * 60.0,
                to_h: wiped.most as f64,
                after_rain: wiped.after_rain,
            });
        }
        let time = |hour: usize| TimeOfDay::from_minutes(hour as i64 * 60);
        let day = |day: usize| Some((time(self.days[day].start), time(self.days[day].end)));
        let (wednesday, thursday, friday) = (day(2), None, None);
        let programme = Programme {
            start: START.parse().expect("a date"),
            crew: 1,
            week: Week { monday: day(0), tuesday: day(1), wednesday, thursday, friday, ..Week::default() },
            forecast: Some(Forecast {
                from: midnight(),
                air_c: vec![14.0; HOURS],
                humidity_percent: vec![50.0; HOURS],
                rain_mm: self.rain.iter().map(|&rain| if rain { 1.0 } else { 0.0 }).collect(),
                surface_c: vec![14.0; HOURS],
            }),
            section_m2: AREA_M2,
            step_min: 60,
            within_days: DAYS as u32,
            cleaning: self.cleaning,
            ..Programme::default()
        };
        let (trims, tape) = (RoofTrims::default(), Length::from_mm((TAPE_M * 1e3) as i64));
        let mat = RoofMat {
            area_m2: AREA_M2,
            bare_deck_m2: AREA_M2,
            laid_m2: AREA_M2,
            tape: if self.details.is_some() { tape } else { Length::ZERO },
            ..RoofMat::default()
        };
        let roofs = vec![RoofWork { area_m2: AREA_M2, trims: &trims, mat: &mat }; self.sections];
        schedule(&system, &Survey::default(), &programme, &roofs).0
    }

    /// Hours from the first midnight to the end, and how many cleanings.
    fn answer(&self) -> Option<(usize, usize)> {
        let schedule = self.found()?;
        let cleanings = schedule.tasks.iter().filter(|task| task.stage == Stage::Cleaning).count();
        Some(((schedule.done.minutes() - midnight().minutes()) as usize / 60, cleanings))
    }

    /// The tasks of a section: which coat, hours.
    fn chain(&self) -> Vec<(usize, usize)> {
        let [primer, resin, top] = self.coats.map(|coat| coat.work);
        let details = self.details.map(|details| (1, details));
        [Some((0, primer)), details, Some((1, resin)), Some((2, top))].into_iter().flatten().collect()
    }
}

fn midnight() -> Moment {
    START.parse::<crate::calendar::Date>().expect("a date").midnight()
}

/// What has been done in a section: begin and end of its tasks, and of the cleaning before each.
#[derive(Clone, Debug, Default)]
struct Done {
    tasks: Vec<(usize, usize)>,
    cleaned: Vec<Option<(usize, usize)>>,
}

/// Every hour is tried for every task, with and without a cleaning before it.
struct Trial<'a> {
    case: &'a Case,
    chain: Vec<(usize, usize)>,
    works: Vec<bool>,
    /// Hours fit for wet work.
    fit: Vec<bool>,
    /// Most cleanings.
    most: usize,
    /// Earliest end with no more than those.
    best: Option<usize>,
}

impl<'a> Trial<'a> {
    fn new(case: &'a Case) -> Self {
        let works: Vec<bool> = (0..HOURS).map(|hour| case.days[hour / 24].contains(&(hour % 24))).collect();
        let dry = |hour: usize| !case.rain[hour.saturating_sub(case.drying)..=hour].contains(&true);
        let fit = (0..HOURS).map(|hour| works[hour] && dry(hour)).collect();
        Trial { case, chain: case.chain(), works, fit, most: 0, best: None }
    }

    fn rains(&self, from: usize, to: usize) -> bool {
        (from..to.min(HOURS)).any(|hour| self.case.rain[hour])
    }

    /// Wet work of so many hours, and so many without rain afterwards.
    fn laid(&self, begin: usize, work: usize, safe: usize) -> bool {
        begin + work <= HOURS
            && (begin..begin + work).all(|hour| self.fit[hour])
            && !self.rains(begin, begin + work + safe)
    }

    /// Whether a task may begin on what lies below it.
    fn follows(&self, done: &Done, cleaned: Option<(usize, usize)>, begin: usize) -> bool {
        let (own, at) = (self.chain[done.tasks.len()].0, done.tasks.len());
        (0..at).all(|before| {
            let under = self.chain[before].0;
            if under != own && under + 1 != own {
                return true;
            }
            // The last cleaning since, and the layer that it was of.
            let since = |at: usize| done.cleaned.get(at).copied().unwrap_or(cleaned);
            let last = (before + 1..=at).rev().find_map(|at| Some((since(at)?.1, self.chain[at - 1].0)));
            let coat = self.case.coats[under];
            match last.and_then(|(end, rank)| Some((end, self.case.coats[rank].wiped?))) {
                Some((end, wiped)) => {
                    (end + wiped.least..=end + wiped.most).contains(&begin)
                        && !(wiped.after_rain && self.rains(end, begin))
                }
                None => {
                    let end = done.tasks[before].1;
                    let least = if under == own { 0 } else { coat.least };
                    let rain = coat.wiped.is_some_and(|wiped| wiped.after_rain);
                    (end + least..=end + coat.most).contains(&begin) && !(rain && self.rains(end, begin))
                }
            }
        })
    }

    /// Goes on from an hour, with so many cleanings so far; `open` holds cleanings that wait for their task.
    fn go_on(&mut self, from: usize, count: usize, done: &mut [Done], open: &mut [Option<(usize, usize)>]) {
        if done.iter().all(|done| done.tasks.len() == self.chain.len()) {
            self.best = Some(self.best.map_or(from, |best| best.min(from)));
            return;
        }
        let left: usize = done.iter().flat_map(|done| &self.chain[done.tasks.len()..]).map(|task| task.1).sum();
        for section in 0..done.len() {
            let at = done[section].tasks.len();
            if at == self.chain.len() {
                continue;
            }
            let (rank, work) = self.chain[at];
            let wiped = at.checked_sub(1).and_then(|below| self.case.coats[self.chain[below].0].wiped);
            for begin in from..HOURS {
                if self.best.is_some_and(|best| begin + left >= best) {
                    break;
                }
                // Sections pass each stage in their order.
                let first = section == 0 || done[section - 1].tasks.len() > at;
                let safe = self.case.coats[rank].safe;
                if first && self.laid(begin, work, safe) && self.follows(&done[section], open[section], begin) {
                    let cleaned = open[section].take();
                    done[section].tasks.push((begin, begin + work));
                    done[section].cleaned.push(cleaned);
                    self.go_on(begin + work, count, done, open);
                    done[section].tasks.pop();
                    done[section].cleaned.pop();
                    open[section] = cleaned;
                }
                if let Some(wiped) = wiped.filter(|_| open[section].is_none() && count < self.most) {
                    let cured = done[section].tasks[at - 1].1 + self.case.coats[self.chain[at - 1].0].least;
                    if begin >= cured && self.laid(begin, wiped.work, wiped.least) {
                        open[section] = Some((begin, begin + wiped.work));
                        self.go_on(begin + wiped.work, count + 1, done, open);
                        open[section] = None;
                    }
                }
            }
        }
    }

    /// The earliest end with no more than so many cleanings.
    fn end(&mut self, most: usize) -> Option<usize> {
        (self.most, self.best) = (most, None);
        // Preparation goes on over nights and showers; it is never done too early.
        let dry: Vec<usize> = (0..HOURS).filter(|&hour| self.works[hour] && !self.case.rain[hour]).collect();
        let ready = dry.get(self.case.preparation - 1)? + 1;
        let sections = self.case.sections;
        self.go_on(ready, 0, &mut vec![Done::default(); sections], &mut vec![None; sections]);
        self.best
    }

    /// End and number of cleanings, as the programme chooses among them.
    fn answer(&mut self) -> Option<(usize, usize)> {
        let most = self.case.sections * (self.chain.len() - 1);
        match self.case.cleaning {
            CleaningChoice::Never => self.end(0).map(|end| (end, 0)),
            CleaningChoice::Avoid => (0..=most).find_map(|count| Some((self.end(count)?, count))),
            CleaningChoice::Allow => {
                let end = self.end(most)?;
                let fewest = (0..=most).find(|&count| self.end(count) == Some(end));
                fewest.map(|count| (end, count))
            }
        }
    }
}

fn coat() -> impl Strategy<Value = Coat> {
    let wiped = (1usize..3, 0usize..2, 1usize..6, any::<bool>()).prop_map(|(work, least, most, after_rain)| Wiped {
        work,
        least,
        most: least + most,
        after_rain,
    });
    (1usize..4, 0usize..3, 2usize..20, 0usize..3, proptest::option::weighted(0.8, wiped))
        .prop_map(|(work, least, most, safe, wiped)| Coat { work, least, most: least + most, safe, wiped })
}

fn choice() -> impl Strategy<Value = CleaningChoice> {
    proptest::sample::select(vec![CleaningChoice::Avoid, CleaningChoice::Allow, CleaningChoice::Never])
}

fn cases(sections: usize) -> impl Strategy<Value = Case> {
    let day = || (7usize..10, 4usize..8).prop_map(|(from, long)| from..from + long);
    let details = proptest::option::of(1usize..3).prop_map(move |details| details.filter(|_| sections == 1));
    let rain = proptest::collection::vec(proptest::bool::weighted(0.08), HOURS);
    ((1usize..3, details, [coat(), coat(), coat()]), [day(), day(), day()], rain, 0usize..3, choice()).prop_map(
        move |((preparation, details, coats), days, rain, drying, cleaning)| Case {
            sections,
            preparation,
            details,
            coats,
            days,
            rain,
            drying,
            cleaning,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn no_other_cleaning_of_one_section_is_better(case in cases(1)) {
        prop_assert_eq!(case.answer(), Trial::new(&case).answer(), "{:?}", case);
    }

    #[test]
    fn no_other_cleaning_of_two_sections_is_better(case in cases(2)) {
        prop_assert_eq!(case.answer(), Trial::new(&case).answer(), "{:?}", case);
    }

    // Longer days, less rain, a shorter time to dry. What is avoided comes first: a programme that avoids cleaning gives up an
    // early end for it.
    #[test]
    fn more_hours_never_clean_more_nor_end_later(
        case in prop_oneof![cases(1), cases(2)], later in [0usize..4, 0usize..4, 0usize..4],
        less in proptest::collection::vec(proptest::bool::weighted(0.4), HOURS), sooner in 0usize..2,
    ) {
        let mut better = case.clone();
        better.days.iter_mut().zip(later).for_each(|(day, later)| day.end += later);
        better.rain.iter_mut().zip(less).for_each(|(rain, less)| *rain &= !less);
        better.drying -= sooner.min(better.drying);
        let Some((end, count)) = case.answer() else { return Ok(()) };
        let found = better.answer();
        let fine = found.is_some_and(|(earlier, fewer)| match case.cleaning {
            CleaningChoice::Avoid => (fewer, earlier) <= (count, end),
            CleaningChoice::Allow | CleaningChoice::Never => earlier <= end,
        });
        prop_assert!(fine, "{:?} after {:?}: {:?}", found, (end, count), case);
    }
}
