//! The stages by themselves, on data that nobody checked: each refuses or answers, none panics and none runs away.

use serde_json::Value;
use upstand::roof::{Bend, Outline};
use upstand::trim::MitreCorner;
use upstand::wet::{Portion, RoofWork};
use upstand::{Job, Kind, caution, mat, schedule, survey, takeoff, trim, wet};

const JOB: &str = r#"{"schema": "upstand/job/1", "survey": {"surface_c": 15},
    "roofs": [{"outer": {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
        "kinds": ["drip", "open_side", "abutment", "open_side"], "levels": [0, 0, 90, 90]},
        "holes": [{"points": [[2000, 1500], [2800, 1500], [2800, 2300], [2000, 2300]],
            "kinds": ["abutment", "abutment", "abutment", "abutment"]}],
        "outlets": [{"at": [500, 500], "diameter": 100}]}],
    "programme": {"start": "2026-06-01", "crew": 2},
    "preferences": {"nodes": 20, "wind": {"height": 3000, "edge": 100, "corner": 80}}}"#;

/// Outlines, trims and mat of a job. Nothing where a stage refuses, which it may only if its check finds something.
fn laid(job: &Job) -> Option<(Vec<Outline>, trim::SetOut, mat::LaidOut)> {
    let outline = |roof| Outline::new(roof, &job.system.limits, "").ok();
    let outlines = job.roofs.iter().map(outline).collect::<Option<Vec<_>>>()?;
    let sound = trim::check(job, &outlines).is_empty() && mat::check(job, &outlines).is_empty();
    let both = trim::set_out(job, &outlines)
        .and_then(|trims| mat::lay_out(job, &outlines, &trims.roofs).map(|mats| (trims, mats)));
    assert!(both.is_ok() || !sound, "refused, though the checks find nothing");
    both.ok().map(|(trims, mats)| (outlines, trims, mats))
}

/// Every stage on a job, whatever is wrong with it. What cannot be laid out is taken from a sound job.
fn stages(job: &Job, sound: &Job) {
    let (outlines, trims, mats) = laid(job).or_else(|| laid(sound)).expect("a sound job");
    let (system, surface_c) = (&job.system, job.survey.surface_c);
    survey::inspect(&job.roofs, system, &job.survey);
    wet::inspect(system, &job.survey);
    caution::hazards(system, &job.survey);
    for kind in [Kind::Drip, Kind::Abutment, Kind::OpenSide] {
        let section = &system.trims.of(kind).section;
        trim::develop(section, Bend { sin: 1.0, cos: 0.0 });
        assert_eq!(trim::mitre(section, &MitreCorner::level(90.0)).is_ok(), section.check("").is_empty());
    }
    let works = outlines.iter().zip(&trims.roofs).zip(&mats.roofs);
    let works: Vec<RoofWork<'_>> =
        works.map(|((outline, trims), mat)| RoofWork { area_m2: outline.polygon().area_m2(), trims, mat }).collect();
    let programme = job.programme.as_ref().expect("the job has one");
    let (schedule, findings) = schedule::schedule(system, &job.survey, programme, &works);
    assert!(schedule.is_some() || !findings.is_empty(), "no schedule and no word why");
    // Amounts are reckoned from a system that has passed its check, as their documentation asks.
    if system.check().is_empty() {
        wet::laid(system, &works);
        wet::mix(system, 2, &Portion::of_all(system, works.len(), surface_c), &works);
        let lists: Vec<_> = trims.cut_lists.into_iter().chain(mats.cut_lists).collect();
        let lines = takeoff::take_off(system, surface_c, &job.stock.materials, &works, &lists);
        takeoff::stage_costs(system, &works, &lines, None);
    }
}

/// The places of all numbers in a document.
fn numbers(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, field)| numbers(field, &format!("{at}/{key}"), found)),
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(i, item)| numbers(item, &format!("{at}/{i}"), found))
        }
        Value::Number(_) => found.push(at.into()),
        _ => {}
    }
}

/// Each number of a job in turn is made senseless, and no stage is told.
#[test]
fn no_stage_panics_on_what_was_not_checked() {
    let sound = Job::from_json(JOB).expect("a job");
    assert_eq!(sound.check(), []);
    let whole: Value = serde_json::from_str(&sound.to_json()).expect("own writing");
    let mut places = Vec::new();
    numbers(&whole, "", &mut places);
    assert!(places.len() > 200, "{} numbers", places.len());
    for place in &places {
        let old = whole.pointer(place).and_then(Value::as_f64).expect("a number");
        for new in [0.0, -1.0, -old, 0.001, 1e9, old * 1000.0, -1e9] {
            let mut value = whole.clone();
            let number = value.pointer_mut(place).expect("a number");
            *number = if number.is_f64() { new.into() } else { Value::from(new as i64) };
            if let Ok(job) = Job::from_json(&value.to_string()) {
                stages(&job, &sound);
            }
        }
    }
}
