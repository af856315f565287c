use super::*;
use crate::Length;
use crate::calendar::TimeOfDay;
use crate::caution::Hazard;
use crate::mat::{RoofMat, Seam, Strip, StripPiece};
use crate::roof::Kind;
use crate::system::EndCut;
use crate::trim::{End, RoofTrims, TrimRun};
use proptest::prelude::*;

fn run(kind: Kind, metres: i64) -> TrimRun {
    let end =
        End { cut: EndCut::Square, angle_deg: 0.0, hand: None, gain: Length::ZERO, short: Length::ZERO, closing: None };
    TrimRun {
        mark: kind.letter().to_string(),
        kind,
        ring: 0,
        first_edge: 0,
        edge_count: 1,
        from: Default::default(),
        to: Default::default(),
        line_length: Length::from_mm(metres * 1000),
        cut_length: Length::from_mm(metres * 1000),
        start: end.clone(),
        end,
        joints: Vec::new(),
        over: Default::default(),
        beads: Vec::new(),
        fixings: 0,
        fixing_line: Vec::new(),
        fixing_legs: Vec::new(),
    }
}

/// 24 m2 with 20 m of seam: made ready in 3 person-hours, trims of 6 + 6 + 8 m in 2.5, and so on.
fn shed() -> (RoofTrims, RoofMat) {
    let runs = vec![run(Kind::OpenSide, 8), run(Kind::Drip, 6), run(Kind::Abutment, 6)];
    let piece = StripPiece {
        mark: "1".into(),
        length: Length::from_mm(6000),
        width: Length::from_mm(1000),
        roll: 1,
        outline: Vec::new(),
        area_m2: 6.0,
        ..StripPiece::default()
    };
    let mat = RoofMat {
        area_m2: 22.0,
        bare_deck_m2: 22.0,
        laid_m2: 25.0,
        strips: vec![Strip { number: 1, zone: 0, pieces: vec![piece] }],
        tape: Length::from_mm(20_000),
        seams: vec![Seam { points: Vec::new(), length: Length::from_mm(20_000) }],
        ..RoofMat::default()
    };
    (RoofTrims { runs, ..RoofTrims::default() }, mat)
}

fn programme(start: &str) -> Programme {
    Programme { start: start.parse().expect("a date"), ..Programme::default() }
}

fn scheduled(programme: &Programme, areas_m2: &[f64]) -> (Option<Schedule>, Vec<Finding>) {
    let (trims, mat) = shed();
    let roofs: Vec<_> = areas_m2.iter().map(|&area_m2| RoofWork { area_m2, trims: &trims, mat: &mat }).collect();
    schedule(&System::default(), &Survey::default(), programme, &roofs)
}

fn lines(schedule: &Schedule) -> Vec<String> {
    let line = |task: &Task| {
        format!("{} {} {}-{}", task.begin.date().weekday().short(), task.name, task.begin.time(), task.end.time())
    };
    schedule.tasks.iter().map(line).collect()
}

fn forecast(from: &str, hours: usize, rain: impl Fn(usize) -> bool) -> Forecast {
    Forecast {
        from: from.parse().expect("a moment"),
        air_c: vec![15.0; hours],
        humidity_percent: vec![60.0; hours],
        rain_mm: (0..hours).map(|hour| if rain(hour) { 1.0 } else { 0.0 }).collect(),
        surface_c: vec![14.0; hours],
    }
}

// By hand, for two people and steps of a quarter of an hour: 24 / 16 = 1.5 h; drip 6 / 16 = 0.375, wall the same, raised
// 8 / 16 = 0.5 h; primer 22 / 60 = 0.37 h, then an hour to cure; tape 20 / 60 = 0.33 h; mat 22 / 12 = 1.83 h, an hour; top
// coat 24 / 30 = 0.8 h.
#[test]
fn a_fine_day_as_reckoned_by_hand() {
    let (found, findings) = scheduled(&programme("2027-05-03"), &[24.0]);
    let found = found.expect("a schedule");
    assert_eq!(
        lines(&found),
        [
            "Mon make the deck ready 08:00-09:30",
            "Mon fix drip trims 09:30-10:00",
            "Mon fix wall trims 10:00-10:30",
            "Mon fix raised trims 10:30-11:00",
            "Mon lay primer 11:00-11:30",
            "Mon details: tape and patches in laminating resin 12:30-13:00",
            "Mon main area: mat in laminating resin 13:00-15:00",
            "Mon lay top coat 16:00-17:00",
        ]
    );
    assert!(found.all_orders);
    let top = &found.tasks[7];
    let text = |moment: Option<Moment>| moment.map(|moment| moment.to_string());
    assert_eq!(text(top.not_before).as_deref(), Some("2027-05-03T16:00"));
    // 42 hours after the first task of the layer below, the details.
    assert_eq!(text(top.not_after).as_deref(), Some("2027-05-05T07:00"));
    assert_eq!(text(top.safe_from).as_deref(), Some("2027-05-03T18:00"));
    assert_eq!(findings.iter().map(|f| f.code.as_str()).collect::<Vec<_>>(), ["no_forecast"]);
}

#[test]
fn rain_breaks_dry_work_off_and_moves_wet_work() {
    let mut programme = programme("2027-05-03");
    // From 09:00 to 11:00 it rains; the deck takes two hours to dry.
    programme.forecast = Some(forecast("2027-05-03T00:00", 96, |hour| hour == 9 || hour == 10));
    let found = scheduled(&programme, &[24.0]).0.expect("a schedule");
    let spells: Vec<_> =
        found.tasks[0].spells.iter().map(|s| (s.from.time().to_string(), s.to.time().to_string())).collect();
    let spell = |from: &str, to: &str| (from.to_string(), to.to_string());
    assert_eq!(spells, [spell("08:00", "09:00"), spell("11:00", "11:30")]);
    assert_eq!(
        lines(&found)[4..6],
        ["Mon lay primer 13:00-13:30", "Mon details: tape and patches in laminating resin 14:30-15:00"]
    );
    assert_eq!(found.tasks[4].surface_c, Some((14.0, 14.0)));
}

/// Primer on Friday would stand for more than 42 hours before Monday's first hour: it waits for Monday.
#[test]
fn primer_is_not_laid_before_a_weekend() {
    let mut short = programme("2027-05-07");
    let to = TimeOfDay::from_minutes;
    short.week.friday = Some((to(8 * 60), to(12 * 60)));
    let found = scheduled(&short, &[24.0]).0.expect("a schedule");
    assert_eq!(lines(&found)[3..5], ["Fri fix raised trims 10:30-11:00", "Mon lay primer 08:00-08:30"]);
}

#[test]
fn what_does_not_fit_is_said() {
    let code = |programme: &Programme, areas: &[f64]| {
        let (found, findings) = scheduled(programme, areas);
        assert!(found.is_none());
        findings[0].code.clone()
    };
    // Every hour of four days is wet, and no others count.
    let mut wet = programme("2027-05-03");
    wet.within_days = 4;
    wet.forecast = Some(forecast("2027-05-03T00:00", 24 * 12, |_| true));
    assert_eq!(code(&wet, &[24.0]), "schedule_no_time");
    // Too cold for the hardener: what goes without it could be laid.
    wet.forecast = Some(forecast("2027-05-03T00:00", 24 * 12, |_| false));
    if let Some(forecast) = &mut wet.forecast {
        forecast.surface_c.fill(4.0);
        forecast.air_c.fill(4.0);
        forecast.humidity_percent.fill(40.0);
    }
    let (_, findings) = scheduled(&wet, &[24.0]);
    assert!(findings[0].text.contains("system's tables in"), "{}", findings[0].text);
    // One morning a week: the layers cannot follow one another in time, and nothing is cleaned.
    let mut rare = programme("2027-05-03");
    let to = TimeOfDay::from_minutes;
    rare.week = Week { monday: Some((to(480), to(610))), ..Week::default() };
    (rare.week.tuesday, rare.week.wednesday, rare.week.thursday, rare.week.friday) = (None, None, None, None);
    rare.cleaning = CleaningChoice::Never;
    assert_eq!(code(&rare, &[24.0]), "schedule_window");
    let mut hasty = programme("2027-05-03");
    hasty.within_days = 1;
    assert_eq!(code(&hasty, &[24.0, 24.0]), "schedule_too_long");
    assert_eq!(code(&Programme { section_m2: 1.0, ..programme("2027-05-03") }, &[200.0]), "schedule_too_large");
}

#[test]
fn sections_hold_small_roofs_together_and_divide_large_ones() {
    let found = scheduled(&programme("2027-05-03"), &[15.0, 15.0, 15.0, 90.0]).0.expect("a schedule");
    let mut sections: Vec<Vec<(usize, u64, u64)>> = Vec::new();
    for task in found.tasks.iter().filter(|task| task.layer.as_deref() == Some("primer")) {
        sections.push(task.places.iter().map(|place| (place.roof, place.part, place.parts)).collect());
    }
    let expected = [vec![(0, 1, 1), (1, 1, 1)], vec![(2, 1, 1)], vec![(3, 1, 3)], vec![(3, 2, 3)], vec![(3, 3, 3)]];
    assert_eq!(sections, expected);
    assert!(!found.all_orders);
}

#[test]
fn every_task_with_hardener_warns_of_it() {
    let found = scheduled(&programme("2027-05-03"), &[24.0]).0.expect("a schedule");
    for task in &found.tasks {
        assert_eq!(task.cautions[0], Hazard::DataSheet.text(), "{}", task.name);
        let hardened = task.layer.as_deref().is_some_and(|layer| layer != "primer");
        for hazard in Hazard::WITH_HARDENER.into_iter().skip(1) {
            assert_eq!(task.cautions.iter().any(|text| text == hazard.text()), hardened, "{}", task.name);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    // One more hour in the evening, one more person, a drier forecast: never later; where cleaning is avoided, no more of it,
    // and never later with as much.
    #[test]
    fn more_hours_hands_or_sun_never_end_later(
        areas in proptest::collection::vec(10.0..80.0f64, 1..3),
        rain in proptest::collection::vec(proptest::bool::weighted(0.1), 24 * 14),
        to in 13i64..20,
        less in 0usize..24 * 14,
        cleaning in proptest::sample::select(vec![
            CleaningChoice::Avoid, CleaningChoice::Allow, CleaningChoice::Never,
        ]),
    ) {
        let mut before = programme("2027-05-03");
        let time = TimeOfDay::from_minutes;
        let day = |to: i64| Some((time(480), time(to * 60)));
        let week = |to| Week { monday: day(to), tuesday: day(to), wednesday: day(to), thursday: day(to), ..Week::default() };
        before.week = week(to);
        before.cleaning = cleaning;
        before.forecast = Some(forecast("2027-05-03T00:00", rain.len(), |hour| rain[hour]));
        let Some(first) = scheduled(&before, &areas).0 else { return Ok(()) };
        let longer = Programme { week: week(to + 1), ..before.clone() };
        let more = Programme { crew: 3, ..before.clone() };
        let drier = Programme {
            forecast: Some(forecast("2027-05-03T00:00", rain.len(), |hour| rain[hour] && hour != less)),
            ..before.clone()
        };
        for (better, what) in [(longer, "hours"), (more, "hands"), (drier, "sun")] {
            let cost = |schedule: &Schedule| {
                let cleanings = schedule.tasks.iter().filter(|task| task.stage == Stage::Cleaning).count();
                (if cleaning == CleaningChoice::Avoid { cleanings } else { 0 }, schedule.done)
            };
            let found = scheduled(&better, &areas).0.as_ref().map(cost);
            prop_assert!(found.is_some_and(|found| found <= cost(&first)), "{}: {:?} after {:?}", what, found, cost(&first));
        }
    }
}

/// Rain on a layer asks for it to be wiped: common practice, no source ("a wet night").
#[test]
fn what_was_rained_on_is_wiped_or_laid_later() {
    let mut wet = programme("2027-05-03");
    // It rains in the night to Tuesday, after main area and before top coat; the day is too short for both.
    wet.week.monday = Some((TimeOfDay::from_minutes(480), TimeOfDay::from_minutes(930)));
    wet.forecast = Some(forecast("2027-05-03T00:00", 24 * 9, |hour| hour == 26));
    let avoided = scheduled(&wet, &[24.0]).0.expect("a schedule");
    assert!(avoided.tasks.iter().all(|task| task.stage != Stage::Cleaning));
    assert_eq!(lines(&avoided)[4], "Tue lay primer 08:00-08:30");
    assert_eq!(lines(&avoided)[7], "Tue lay top coat 13:00-14:00");

    wet.cleaning = CleaningChoice::Allow;
    let (allowed, findings) = scheduled(&wet, &[24.0]);
    let allowed = allowed.expect("a schedule");
    // 22 m2 for two people at 30 m2 an hour are 22 minutes, in steps 30; a quarter of an hour to dry.
    assert_eq!(
        lines(&allowed)[6..],
        [
            "Mon main area: mat in laminating resin 13:00-15:00",
            "Tue wipe with solvent: laminating resin 08:00-08:30",
            "Tue lay top coat 08:45-09:45",
        ]
    );
    assert!(findings.iter().any(|finding| finding.code == "layer_cleaned"));
    let cleaning = &allowed.tasks[7];
    assert_eq!((cleaning.layer.as_ref(), cleaning.amount, cleaning.unit.as_str()), (None, 22.0, "m2"));
    assert!(cleaning.cautions.iter().any(|text| text == Hazard::Solvent.text()));

    wet.cleaning = CleaningChoice::Never;
    assert_eq!(scheduled(&wet, &[24.0]).0, Some(avoided));
}

/// Where nothing fits without, cleaning is put in; never more of it than that takes.
#[test]
fn a_window_that_cannot_be_kept_is_opened_again_by_cleaning() {
    let mut rare = programme("2027-05-03");
    rare.week = Week { monday: Some((TimeOfDay::from_minutes(480), TimeOfDay::from_minutes(660))), ..Week::default() };
    (rare.week.tuesday, rare.week.wednesday, rare.week.thursday, rare.week.friday) = (None, None, None, None);
    let found = scheduled(&rare, &[24.0]).0.expect("a schedule");
    let cleaned: Vec<_> = found.tasks.iter().filter(|task| task.stage == Stage::Cleaning).collect();
    // Primer and details go into a morning; main area and top coat take one each.
    assert_eq!(cleaned.len(), 2, "{:?}", lines(&found));
    assert!(found.all_orders);
}

/// 60 minutes at 10 to 18 degrees, 90 below, 34 above (the demonstration system's): hours in each count in part.
#[test]
fn layers_cure_slower_in_the_cold_and_not_at_all_outside_the_table() {
    let wait = |surface_c: &dyn Fn(usize) -> f64| {
        let mut programme = programme("2027-05-03");
        let mut weather = forecast("2027-05-03T00:00", 96, |_| false);
        weather.surface_c = (0..96).map(surface_c).collect();
        weather.humidity_percent.fill(30.0);
        programme.forecast = Some(weather);
        let found = scheduled(&programme, &[24.0]).0.expect("a schedule");
        let primer = found.tasks.iter().find(|task| task.layer.as_deref() == Some("primer")).expect("primer").clone();
        let after = found.tasks.iter().find(|task| task.stage == Stage::Details).expect("details");
        after.not_before.expect("a wait").minutes() - primer.end.minutes()
    };
    assert_eq!([9.0, 12.0, 20.0].map(|surface_c| wait(&|_| surface_c)), [90, 60, 34]);
    // Primer is done at 11:30. Half an hour at 60 minutes is half of it; the other half takes 17 minutes of 34.
    assert_eq!(wait(&|hour| if hour < 12 { 12.0 } else { 20.0 }), 47);
    assert_eq!(wait(&|hour| if hour == 12 { 35.0 } else { 12.0 }), 120);
}

/// The text and the card send to the data sheets and warn of hardener, the text naming the tasks.
#[test]
fn what_is_printed_warns_of_hardener() {
    let found = scheduled(&programme("2027-05-03"), &[24.0]).0.expect("a schedule");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = words(&found.text(&[]));
    for hazard in Hazard::WITH_HARDENER {
        assert!(text.contains(hazard.text()), "{text}");
    }
    assert!(text.contains(&format!("{} (tasks 6, 7, 8)", Hazard::Eyes.text())));
}
