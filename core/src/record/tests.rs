use super::*;
use crate::calendar::Moment;
use crate::{Code, Grade, Job};

fn at(text: &str) -> Moment {
    format!("2027-05-{text}").parse().expect("a moment")
}

fn coat(layer: &str, begun: &str, done: &str) -> CoatDone {
    CoatDone { layer: layer.into(), roof: 0, begun: at(begun), done: at(done), wetted: false }
}

fn mix(layer: &str, when: &str, mass_kg: f64, hardener_g: f64, surface_c: f64) -> MixDone {
    MixDone { at: at(when), layer: layer.into(), roof: 0, mass_kg, hardener_g, surface_c, used_up: None }
}

fn fair(when: &str) -> Reading {
    Reading {
        at: at(when),
        air_c: Some(15.0),
        humidity_percent: Some(60.0),
        surface_c: Some(15.0),
        moisture_percent: Some(14.0),
        ..Reading::default()
    }
}

/// A record with nothing to find: 6 x 4 m in one day.
fn sound() -> Record {
    let job = Job::from_json(
        r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
            "kinds": ["drip", "open_side", "abutment", "open_side"]}}], "programme": {"start": "2027-05-03"}}"#,
    )
    .expect("the job reads");
    Record {
        job,
        readings: ["03T08:30", "03T09:45", "03T11:00", "03T14:00"].map(fair).to_vec(),
        mixes: vec![
            mix("resin", "03T10:10", 5.0, 100.0, 15.0),
            mix("resin", "03T10:30", 5.0, 100.0, 15.0),
            mix("resin", "03T10:50", 5.0, 100.0, 15.0),
            mix("top_coat", "03T14:00", 5.0, 100.0, 15.0),
            mix("top_coat", "03T14:20", 5.0, 100.0, 15.0),
            mix("top_coat", "03T14:40", 3.0, 60.0, 15.0),
        ],
        coats: vec![
            coat("primer", "03T08:30", "03T09:00"),
            coat("resin", "03T10:00", "03T12:00"),
            coat("top_coat", "03T14:00", "03T15:00"),
        ],
        ..Record::default()
    }
}

fn codes(record: &Record) -> Vec<(Grade, String, String)> {
    let report = record.report().expect("the record can be checked");
    report.findings.into_iter().map(|finding| (finding.grade, finding.code, finding.place)).collect()
}

#[test]
fn a_sound_record_has_nothing_to_find() {
    let record = sound();
    let report = record.report().expect("a report");
    assert_eq!(report.findings, []);
    let planned: Vec<_> = report.coats.iter().map(|coat| coat.planned.is_some()).collect();
    assert_eq!(planned, [true; 3]);
    let text = report.text();
    for words in ["None in what was recorded.", "no warranty", "For the client", "laminating resin"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 78), "{text}");
    // As it is kept and read again.
    assert_eq!(Record::from_json(&record.to_json()).expect("own writing"), record);
    assert_eq!(Report::from_json(&report.to_json()).expect("own writing"), report);
}

#[test]
fn one_slip_gives_one_finding() {
    type Slip = (fn(&mut Record), Grade, &'static str, &'static str);
    let slips: [Slip; 16] = [
        (|r| r.mixes[0].surface_c = 4.0, Grade::Refuse, "mix_off_table", "/mixes/0"),
        // At 9 degrees 3 %: 5 kg take 150 g.
        (|r| r.mixes[0].surface_c = 9.0, Grade::Refuse, "mix_underdosed", "/mixes/0"),
        (|r| r.mixes[0].hardener_g = 99.0, Grade::Refuse, "mix_underdosed", "/mixes/0"),
        // The largest dose of the table is 150 g for 5 kg.
        (|r| r.mixes[0].hardener_g = 152.0, Grade::Caution, "mix_overdosed", "/mixes/0"),
        (|r| (r.mixes[0].mass_kg, r.mixes[0].hardener_g) = (5.1, 102.0), Grade::Caution, "mix_too_large", "/mixes/0"),
        (|r| r.mixes[0].used_up = Some(at("03T10:29")), Grade::Caution, "mix_outlived", "/mixes/0"),
        (|r| r.mixes[0].at = at("03T09:29"), Grade::Caution, "mix_without_coat", "/mixes/0"),
        (|r| r.coats[1].begun = at("03T09:59"), Grade::Refuse, "coat_too_early", "/coats/1"),
        // At 8 degrees primer takes 90 minutes, not 60.
        (
            |r| {
                for reading in &mut r.readings[..2] {
                    (reading.surface_c, reading.air_c) = (Some(8.0), Some(8.0));
                }
            },
            Grade::Refuse,
            "coat_too_early",
            "/coats/1",
        ),
        (|r| r.coats[1].wetted = true, Grade::Caution, "coat_wetted", "/coats/2"),
        (|r| r.readings[0].surface_c = Some(10.0), Grade::Refuse, "dew_point", "/coats/0"),
        (|r| r.readings[0].humidity_percent = None, Grade::Caution, "coat_without_reading", "/coats/0"),
        (
            |r| r.readings[2].moisture_percent = Some(20.1),
            Grade::Refuse,
            "deck_moisture",
            "/readings/2/moisture_percent",
        ),
        (|r| drop(r.mixes.remove(0)), Grade::Caution, "less_than_planned", "/mixes"),
        (
            |r| {
                r.coats[2] = coat("top_coat", "05T14:00", "05T15:00");
                r.readings.push(fair("05T14:00"));
                for mix in &mut r.mixes[3..] {
                    mix.at = at("05T14:30");
                }
            },
            Grade::Caution,
            "coat_too_late",
            "/coats/2",
        ),
        (
            |r| {
                (r.readings[3].air_c, r.readings[3].surface_c) = (Some(25.0), Some(28.0));
                r.readings[3].humidity_percent = Some(86.0);
            },
            Grade::Refuse,
            "humidity",
            "/coats/2",
        ),
    ];
    for (slip, grade, code, place) in slips {
        let mut record = sound();
        slip(&mut record);
        assert_eq!(codes(&record), [(grade, code.to_string(), place.to_string())]);
    }
    // A coat that is not there is missed by the roof and by the coat above it.
    let mut record = sound();
    record.coats.remove(0);
    let found: Vec<_> = codes(&record).into_iter().map(|(_, code, place)| (code, place)).collect();
    let pair = |code: &str, place: &str| (code.to_string(), place.to_string());
    assert_eq!(found, [pair("coat_missing", "/coats/0"), pair("layer_not_recorded", "/job/roofs/0")]);
}

// At exactly the dose, at exactly the pot life, at the first minute of the window: nothing.
#[test]
fn limits_themselves_are_kept() {
    let mut record = sound();
    record.mixes[0].used_up = Some(at("03T10:28"));
    record.coats[1].begun = at("03T10:00");
    record.readings[1].moisture_percent = Some(20.0);
    assert_eq!(codes(&record), []);
}

#[test]
fn what_cannot_be_is_an_error_with_its_place() {
    let mut record = sound();
    record.mixes[1].layer = "paint".into();
    record.mixes[2].mass_kg = -1.0;
    record.mixes[3].used_up = Some(at("02T08:00"));
    record.coats[0].roof = 1;
    record.coats[1].done = at("03T09:00");
    record.readings[0].humidity_percent = Some(101.0);
    record.job.programme = Some(crate::schedule::Programme { crew: 0, ..Default::default() });
    let found: Vec<_> = record.check().iter().map(|e| (e.code(), e.path().to_string())).collect();
    let error = |code, path: &str| (code, path.to_string());
    assert_eq!(
        found,
        [
            error(Code::BadProgramme, "/job/programme/crew"),
            error(Code::BadReading, "/readings/0/humidity_percent"),
            error(Code::NoSuchPlace, "/mixes/1/layer"),
            error(Code::BadReading, "/mixes/2/mass_kg"),
            error(Code::BadReading, "/mixes/3/used_up"),
            error(Code::NoSuchPlace, "/coats/0/roof"),
            error(Code::BadReading, "/coats/1/done"),
        ]
    );
}
