//! Readings that cannot be true.

use super::{Coat, Survey};
use crate::error::{Code, Error};
use crate::length::Length;
use crate::roof::{Boundary, Kind, Roof};
use crate::system::System;

/// Colder than any roof that someone works on, in degrees Celsius.
const COLDEST_C: f64 = -60.0;
/// Hotter than any roof that someone works on: dark roofs in strong sun stay below 100 degrees Celsius.
const HOTTEST_C: f64 = 100.0;
/// Most levels of one job.
pub(super) const MOST_LEVELS: usize = 200_000;
/// Boards thicker than this are a floor, not an overlay; also keeps sums of heights small.
const THICKEST_OVERLAY: Length = Length::from_mm(1_000);

/// Every reading and every upstand height that cannot be true, and all that names a roof or a layer that is not there.
///
/// Paths are JSON Pointers into the job. Codes: [`Code::NonFinite`], [`Code::BadReading`], [`Code::NoSuchPlace`].
///
/// ```
/// use upstand::survey::{self, MoistureReading, Survey};
/// use upstand::{Code, Roof, System};
///
/// let reading = |percent| Survey {
///     moisture: vec![MoistureReading { percent, roof: 0, at: None }],
///     ..Survey::default()
/// };
/// let (roofs, system) = ([Roof::default()], System::default());
/// assert!(survey::check(&roofs, &system, &reading(18.5)).is_empty());
/// let problems = survey::check(&roofs, &system, &reading(-1.0));
/// assert_eq!((problems[0].code(), problems[0].path()), (Code::BadReading, "/survey/moisture/0/percent"));
/// ```
pub fn check(roofs: &[Roof], system: &System, survey: &Survey) -> Vec<Error> {
    let mut problems = Vec::new();
    for (i, reading) in survey.moisture.iter().enumerate() {
        in_range(&mut problems, format!("/survey/moisture/{i}/percent"), reading.percent, (0.0, 100.0), "%");
        if reading.roof >= roofs.len() {
            problems.push(no_roof(format!("/survey/moisture/{i}/roof"), reading.roof, roofs.len()));
        }
    }
    for (i, defect) in survey.defects.iter().enumerate() {
        if defect.roof >= roofs.len() {
            problems.push(no_roof(format!("/survey/defects/{i}/roof"), defect.roof, roofs.len()));
        }
        if let Some(area) = defect.area_m2 {
            in_range(&mut problems, format!("/survey/defects/{i}/area_m2"), area, (0.0, 1e6), "m2");
        }
    }
    for (i, test) in survey.bond_tests.iter().enumerate() {
        if test.roof >= roofs.len() {
            problems.push(no_roof(format!("/survey/bond_tests/{i}/roof"), test.roof, roofs.len()));
        }
    }
    if let Some(days) = survey.weathered_days {
        in_range(&mut problems, "/survey/weathered_days".into(), days, (0.0, 100_000.0), "days");
    }
    if let Some(hours) = survey.dry_h {
        in_range(&mut problems, "/survey/dry_h".into(), hours, (0.0, 1e6), "hours");
    }
    if survey.levels.len() > MOST_LEVELS {
        let message = format!("{} levels: at most {MOST_LEVELS} are taken", survey.levels.len());
        problems.push(Error::new(Code::TooMany, "/survey/levels", message));
    }
    for (i, reading) in survey.levels.iter().enumerate() {
        if reading.roof >= roofs.len() {
            problems.push(no_roof(format!("/survey/levels/{i}/roof"), reading.roof, roofs.len()));
        }
    }
    if let Some(surface_c) = survey.surface_c {
        in_range(&mut problems, "/survey/surface_c".into(), surface_c, (COLDEST_C, HOTTEST_C), "degrees Celsius");
    }
    if let Some(air_c) = survey.air_c {
        in_range(&mut problems, "/survey/air_c".into(), air_c, (-40.0, 50.0), "degrees Celsius");
    }
    if let Some(humidity) = survey.humidity_percent {
        in_range(&mut problems, "/survey/humidity_percent".into(), humidity, (1.0, 100.0), "%");
    }
    if survey.overlay.is_negative() || survey.overlay > THICKEST_OVERLAY {
        problems.push(Error::new(
            Code::BadReading,
            "/survey/overlay",
            format!("{} is not a thickness of boards: from 0 to {THICKEST_OVERLAY}", survey.overlay),
        ));
    }
    if let Some(boards) = survey.boards {
        for (field, length) in [("thickness", boards.thickness), ("joists", boards.joists)] {
            if !length.is_positive() || length > Length::from_mm(10_000) {
                problems.push(Error::new(
                    Code::BadReading,
                    format!("/survey/boards/{field}"),
                    format!("{length} cannot be: more than 0 and at most 10 m"),
                ));
            }
        }
    }
    for (i, coat) in survey.coats.iter().enumerate() {
        check_coat(&mut problems, &format!("/survey/coats/{i}"), coat, roofs.len(), system);
    }
    for (_, place, _, ring) in rings(roofs) {
        for (i, room) in ring.upstands.iter().enumerate() {
            if room.top.is_some() && (room.height != Length::ZERO || ring.levels.is_empty()) {
                let message = "a level instead of a height, on a ring whose points have levels";
                problems.push(Error::new(Code::BadReading, format!("{place}/upstands/{i}/top"), message));
            }
            if room.height.is_negative() {
                problems.push(Error::new(
                    Code::BadReading,
                    format!("{place}/upstands/{i}/height"),
                    format!("{} is not a height: 0 or more", room.height),
                ));
            }
        }
    }
    problems
}

fn check_coat(problems: &mut Vec<Error>, path: &str, coat: &Coat, roof_count: usize, system: &System) {
    if !system.layers.iter().any(|layer| layer.material == coat.layer) {
        let message = format!("the system has no layer with the material name {:?}", coat.layer);
        problems.push(Error::new(Code::NoSuchPlace, format!("{path}/layer"), message));
    }
    if coat.roof >= roof_count {
        problems.push(no_roof(format!("{path}/roof"), coat.roof, roof_count));
    }
    // A year either way: a record of one job.
    let year = (-525_600.0, 525_600.0);
    in_range(problems, format!("{path}/begun_min"), coat.begun_min, year, "minutes");
    in_range(problems, format!("{path}/done_min"), coat.done_min, year, "minutes");
    if coat.done_min < coat.begun_min {
        let message = format!("done at {} before it was begun at {}", coat.done_min, coat.begun_min);
        problems.push(Error::new(Code::BadReading, format!("{path}/done_min"), message));
    }
}

fn no_roof(path: String, roof: usize, count: usize) -> Error {
    Error::new(Code::NoSuchPlace, path, format!("there is no roof {roof}: the job has {count} (counted from 0)"))
}

/// Every ring of every roof: its roof, its JSON Pointer, the kind its edges have where none is given, the ring.
pub(super) fn rings(roofs: &[Roof]) -> impl Iterator<Item = (usize, String, Option<Kind>, &Boundary)> {
    roofs.iter().enumerate().flat_map(|(r, roof)| {
        let hole = move |(h, hole)| (r, format!("/roofs/{r}/holes/{h}"), Some(Kind::Abutment), hole);
        std::iter::once((r, format!("/roofs/{r}/outer"), None, &roof.outer))
            .chain(roof.holes.iter().enumerate().map(hole))
    })
}

fn in_range(problems: &mut Vec<Error>, path: String, value: f64, (least, most): (f64, f64), unit: &str) {
    if !value.is_finite() {
        problems.push(Error::new(Code::NonFinite, path, format!("{value} is not a reading")));
    } else if value < least || value > most {
        problems.push(Error::new(
            Code::BadReading,
            path,
            format!("{value} {unit} cannot be: a reading is from {least} to {most}"),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::UpstandRoom;
    use crate::survey::{Board, Boards, BondTest, Defect, DefectKind, MoistureReading};

    fn moist(percent: f64, roof: usize) -> MoistureReading {
        MoistureReading { percent, roof, at: None }
    }

    #[test]
    fn every_impossible_reading_is_named() {
        let upstands = vec![
            UpstandRoom { edge: 3, height: Length::from_mm(150), threshold: false, top: None },
            UpstandRoom { edge: 1, height: Length::from_mm(-1), threshold: false, top: None },
            UpstandRoom { edge: 2, height: Length::ZERO, threshold: false, top: Some(Length::from_mm(300)) },
        ];
        let outer = Boundary { points: vec![Default::default(); 4], upstands, ..Boundary::default() };
        let roofs = [Roof { outer, ..Roof::default() }];
        let survey = Survey {
            moisture: vec![moist(0.0, 0), moist(100.0, 0), moist(100.1, 0), moist(f64::NAN, 0), moist(12.0, 1)],
            surface_c: Some(f64::INFINITY),
            overlay: Length::from_mm(-1),
            boards: Some(Boards { board: Board::Osb3, thickness: Length::ZERO, joists: Length::from_mm(450) }),
            coats: vec![
                Coat { layer: "primer".into(), roof: 0, begun_min: 0.0, done_min: 0.0, wetted: false },
                Coat { layer: "paint".into(), roof: 1, begun_min: 1.0, done_min: 0.0, wetted: false },
            ],
            defects: vec![
                Defect { what: DefectKind::Rot, roof: 0, at: None, area_m2: Some(-0.5), note: String::new() },
                Defect { what: DefectKind::Rot, roof: 1, at: None, area_m2: Some(0.5), note: String::new() },
            ],
            bond_tests: vec![BondTest { held: true, roof: 1, at: None }],
            weathered_days: Some(f64::NAN),
            dry_h: Some(-1.0),
            air_c: Some(51.0),
            humidity_percent: Some(0.0),
            ..Survey::default()
        };
        let found = check(&roofs, &System::default(), &survey);
        let found: Vec<_> = found.iter().map(|e| (e.code(), e.path())).collect();
        assert_eq!(
            found,
            [
                (Code::BadReading, "/survey/moisture/2/percent"),
                (Code::NonFinite, "/survey/moisture/3/percent"),
                (Code::NoSuchPlace, "/survey/moisture/4/roof"),
                (Code::BadReading, "/survey/defects/0/area_m2"),
                (Code::NoSuchPlace, "/survey/defects/1/roof"),
                (Code::NoSuchPlace, "/survey/bond_tests/0/roof"),
                (Code::NonFinite, "/survey/weathered_days"),
                (Code::BadReading, "/survey/dry_h"),
                (Code::NonFinite, "/survey/surface_c"),
                (Code::BadReading, "/survey/air_c"),
                (Code::BadReading, "/survey/humidity_percent"),
                (Code::BadReading, "/survey/overlay"),
                (Code::BadReading, "/survey/boards/thickness"),
                (Code::NoSuchPlace, "/survey/coats/1/layer"),
                (Code::NoSuchPlace, "/survey/coats/1/roof"),
                (Code::BadReading, "/survey/coats/1/done_min"),
                (Code::BadReading, "/roofs/0/outer/upstands/1/height"),
                (Code::BadReading, "/roofs/0/outer/upstands/2/top"),
            ]
        );
    }
}
