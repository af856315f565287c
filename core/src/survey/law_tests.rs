//! Whatever a survey says: an error, or a plan with readable findings.

use proptest::prelude::*;

use super::*;
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::{Boundary, Kind, Roof, UpstandRoom};
use crate::{Grade, Job};

/// Numbers that people read off instruments, and numbers that nobody does.
fn reading() -> impl Strategy<Value = f64> {
    prop_oneof![60 => 1.0..50.0f64, 2 => -20.0..120.0f64, 1 => any::<f64>(), 1 => Just(0.0), 1 => Just(100.0)]
}

fn length() -> impl Strategy<Value = Length> {
    prop_oneof![40 => 1i64..900, 2 => -50i64..4_000, 1 => Just(1_000_000_000), 1 => Just(-1_000_000_000)]
        .prop_map(Length::from_mm)
}

fn point() -> impl Strategy<Value = Point> {
    (length(), length()).prop_map(Point::from)
}

/// The job has one roof.
fn roof() -> impl Strategy<Value = usize> {
    prop_oneof![20 => Just(0usize), 1 => Just(1)]
}

fn layer() -> impl Strategy<Value = &'static str> {
    prop_oneof![8 => Just("primer"), 8 => Just("resin"), 8 => Just("top_coat"), 1 => Just("paint")]
}

prop_compose! {
    fn survey()(
        covering in proptest::option::of(prop_oneof![Just(Covering::Felt), Just(Covering::Asphalt), Just(Covering::Bare)]),
        bonded: Option<bool>,
        sound: Option<bool>,
        boards in proptest::option::of((length(), length())),
        overlay in length(),
        moisture in proptest::collection::vec((reading(), roof()), 0..4),
        levels in proptest::collection::vec((point(), length(), roof()), 0..5),
        weather in (proptest::option::of(reading()), proptest::option::of(reading()), proptest::option::of(reading())),
        exposed in (proptest::option::of(reading()), proptest::option::of(reading())),
        defects in proptest::collection::vec((roof(), proptest::option::of(point()), proptest::option::of(reading())), 0..3),
        bond_tests in proptest::collection::vec((any::<bool>(), roof(), proptest::option::of(point())), 0..3),
        coats in proptest::collection::vec((layer(), reading(), reading(), any::<bool>()), 0..6),
    ) -> Survey {
        Survey {
            covering,
            bonded,
            sound,
            boards: boards.map(|(thickness, joists)| Boards { board: Board::Plywood, thickness, joists }),
            overlay,
            moisture: moisture.into_iter().map(|(percent, roof)| MoistureReading { percent, roof, at: None }).collect(),
            levels: levels.into_iter().map(|(at, level, roof)| LevelReading { roof, at, level }).collect(),
            levels_designed: false,
            defects: defects
                .into_iter()
                .map(|(roof, at, area_m2)| Defect { what: DefectKind::Rot, roof, at, area_m2, note: String::new() })
                .collect(),
            bond_tests: bond_tests.into_iter().map(|(held, roof, at)| BondTest { held, roof, at }).collect(),
            weathered_days: exposed.0,
            dry_h: exposed.1,
            surface_c: weather.0,
            air_c: weather.1,
            humidity_percent: weather.2,
            coats: coats
                .into_iter()
                    .map(|(layer, begun_min, done_min, wetted)| Coat { layer: layer.into(), roof: 0, begun_min, done_min: begun_min + done_min, wetted })
                .collect(),
        }
    }
}

fn job(survey: Survey, room: Length, threshold: bool, levels: Vec<Length>) -> Job {
    let corners = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)];
    let outer = Boundary {
        points: corners.iter().map(|&(x, y)| (Length::from_mm(x), Length::from_mm(y)).into()).collect(),
        kinds: vec![Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide],
        upstands: vec![UpstandRoom { edge: 2, height: room, threshold, top: None }],
        levels,
        ..Boundary::default()
    };
    Job { roofs: vec![Roof { outer, ..Roof::default() }], survey, ..Job::default() }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_survey_is_refused_with_a_place_or_planned_with(
        survey in survey(),
        room in length(),
        threshold: bool,
        levels in prop_oneof![Just(Vec::new()), proptest::collection::vec((0i64..200).prop_map(Length::from_mm), 4)],
    ) {
        let job = job(survey, room, threshold, levels);
        let problems = job.check();
        match crate::plan(&job) {
            Ok(plan) => {
                prop_assert!(problems.is_empty());
                for finding in &plan.findings {
                    prop_assert!(finding.place.starts_with('/') && finding.text.ends_with('.'), "{:?}", finding);
                    prop_assert!(finding.value.is_none_or(f64::is_finite) && finding.limit.is_none_or(f64::is_finite));
                }
                let refused = |code: &str| plan.findings.iter().any(|f| f.grade == Grade::Refuse && f.code == code);
                let wet = job.survey.moisture.iter().any(|reading| reading.percent > 20.0);
                prop_assert_eq!(refused("deck_moisture"), wet);
                // No dose without a reading inside the table.
                let dosed = job.survey.surface_c.is_some_and(|c| (5.0..=30.0).contains(&c));
                prop_assert_eq!(!plan.mixing.is_empty(), dosed);
                prop_assert_eq!(refused("hardener_table"), job.survey.surface_c.is_some() && !dosed);
            }
            Err(_) => prop_assert!(!problems.is_empty()),
        }
        prop_assert!(problems.iter().all(|problem| problem.path().starts_with('/')));
    }
}
