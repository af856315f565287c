use super::*;
use crate::roof::Outlet;
use crate::survey::LevelReading;
use proptest::prelude::*;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn um(um: f64) -> Length {
    Length::from_um(um.round() as i64)
}

fn at(x: i64, y: i64) -> Point {
    (mm(x), mm(y)).into()
}

// z = 2.5 - x/40 - y/80: gradient sqrt(1/1600 + 1/6400), a fall of 1:35.7771, 26.5651 degrees from +x towards +y. Closed
// formulas: a diagonal fall is steeper than either of its axis falls.
#[test]
fn a_diagonal_fall_is_steeper_than_its_parts() {
    let level = |x: i64, y: i64| (at(x, y), um(2_500_000.0 - x as f64 * 25.0 - y as f64 * 12.5));
    let fall =
        fall(&[level(0, 0), level(4000, 0), level(4000, 3000), level(0, 3000), level(1234, 567)]).expect("a plane");
    assert!((1.0 / fall.gradient - 35.7771).abs() < 1e-4, "{fall:?}");
    let angle = libm::atan2(fall.downhill.1, fall.downhill.0).to_degrees();
    assert!((angle - 26.5651).abs() < 1e-4, "{angle}");
    assert!(fall.deviation_mm < 0.001);
}

fn roof(kinds: [Kind; 4], levels: [i64; 4]) -> Roof {
    let points = vec![at(0, 0), at(5000, 0), at(5000, 3000), at(0, 3000)];
    let levels = levels.into_iter().map(Length::from_um).collect();
    Roof { outer: Boundary { points, kinds: kinds.to_vec(), levels, ..Boundary::default() }, ..Roof::default() }
}

const KINDS: [Kind; 4] = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];

fn codes(roof: &Roof, levels: Vec<LevelReading>) -> Vec<String> {
    let mut findings = Vec::new();
    let survey = Survey { levels, ..Survey::default() };
    inspect(std::slice::from_ref(roof), &System::default(), &survey, &mut findings);
    findings.into_iter().map(|finding| finding.code).collect()
}

// BS 6229:2018, as summarised by warranty guides: finished falls of at least 1:80. 3 m at 1:80 are 37.5 mm; 20 mm over 3 m
// are 1:150 and fail.
#[test]
fn one_in_eighty_passes_and_less_is_said() {
    let falling = |um| roof(KINDS, [0, 0, um, um]);
    assert_eq!(codes(&falling(37_500), vec![]), [""; 0]);
    assert_eq!(codes(&falling(37_499), vec![]), ["fall"]);
    assert_eq!(codes(&falling(20_000), vec![]), ["fall"]);
    assert_eq!(codes(&falling(0), vec![]), ["fall"]);
    let mut findings = Vec::new();
    inspect(&[falling(20_000)], &System::default(), &Survey::default(), &mut findings);
    assert!(findings[0].text.contains("1:150;"), "{}", findings[0].text);
    // 10 degrees over 3 m rise 529 mm.
    assert_eq!(codes(&falling(528_000), vec![]), [""; 0]);
    assert_eq!(codes(&falling(530_000), vec![]), ["not_flat"]);
    // No levels, no finding.
    let mut unlevelled = falling(0);
    unlevelled.outer.levels.clear();
    assert_eq!(codes(&unlevelled, vec![]), [""; 0]);
}

#[test]
fn a_twisted_deck_has_no_fall() {
    assert_eq!(codes(&roof(KINDS, [0, 100_000, 0, 100_000]), vec![]), ["not_one_plane"]);
}

#[test]
fn water_needs_a_way_out_at_the_low_side() {
    let closed = [Kind::OpenSide, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let mut shut = roof(closed, [0, 0, 60_000, 60_000]);
    assert_eq!(codes(&shut, vec![]), ["no_way_out", "low_side_closed"]);
    let outlet = Outlet { at: at(2500, 300), diameter: mm(100) };
    shut.outlets = vec![outlet.clone()];
    assert_eq!(codes(&shut, vec![]), ["one_way_out"]);
    shut.outlets.push(outlet);
    assert_eq!(codes(&shut, vec![]), [""; 0]);
    // The drip is at the high side.
    assert_eq!(codes(&roof(KINDS, [60_000, 60_000, 0, 0]), vec![]), ["low_side_closed"]);
}

#[test]
fn a_reading_off_the_plane_is_said() {
    let reading = |level| LevelReading { roof: 0, at: at(2500, 1500), level: mm(level) };
    let falling = roof(KINDS, [0, 0, 60_000, 60_000]);
    assert_eq!(codes(&falling, vec![reading(30)]), [""; 0]);
    assert_eq!(codes(&falling, vec![reading(-1)]), ["not_one_plane"]);
}

// BS 6229:2018, as summarised by warranty guides: 1:40 is designed, so that 1:80 is finished. 3 m at 1:40 are 75 mm.
#[test]
fn a_design_falls_more_than_the_finished_roof() {
    let of = |um| {
        let mut findings = Vec::new();
        let survey = Survey { levels_designed: true, ..Survey::default() };
        inspect(&[roof(KINDS, [0, 0, um, um])], &System::default(), &survey, &mut findings);
        findings.into_iter().map(|finding| finding.code).collect::<Vec<_>>()
    };
    assert_eq!(of(75_000), [""; 0]);
    assert_eq!(of(74_999), ["fall"]);
}

// IBC 1507.15.1 (as a state rule reprints it): a quarter in twelve is 1:48, 2.0833 %. 1:50 meets its printed 2 %, but not that.
#[test]
fn another_code_is_another_limit() {
    let mut system = System::default();
    system.limits.fall = 0.25 / 12.0;
    let of = |um| {
        let mut findings = Vec::new();
        inspect(&[roof(KINDS, [0, 0, um, um])], &system, &Survey::default(), &mut findings);
        findings.len()
    };
    assert_eq!((of(62_500), of(60_000)), (0, 1));
}

proptest! {
    // Any three levels lie in their plane; moving the roof and its datum changes nothing; so does turning by a right angle
    // but for the direction.
    #[test]
    fn the_plane_does_not_depend_on_place_datum_or_turning(
        points in proptest::collection::vec((-20_000i64..20_000, -20_000i64..20_000, -500i64..500), 3..12),
        (dx, dy, dz) in (-1_000_000_000i64..1_000_000_000, -1_000_000_000i64..1_000_000_000, -10_000i64..10_000),
    ) {
        let levels: Vec<_> = points.iter().map(|&(x, y, z)| (at(x, y), mm(z))).collect();
        let moved: Vec<_> = points.iter().map(|&(x, y, z)| (at(x + dx, y + dy), mm(z + dz))).collect();
        let turned: Vec<_> = points.iter().map(|&(x, y, z)| (at(-y, x), mm(z))).collect();
        let here = fall(&levels);
        prop_assert_eq!(here, fall(&moved));
        if let Some(here) = here {
            let turned = fall(&turned).expect("turned points are in line only if the points were");
            prop_assert!((here.gradient - turned.gradient).abs() < 1e-6 * (1.0 + here.gradient));
            if points.len() == 3 && here.gradient < 10.0 {
                prop_assert!(here.deviation_mm < 0.01, "{:?}", here);
            }
        }
    }
}
