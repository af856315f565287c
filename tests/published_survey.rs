//! Falls, upstands, tape measurements and water against values published elsewhere: each source stands beside its numbers.

use serde_json::{Value, json};
use upstand::geometry::Point;
use upstand::survey::adjust::{Network, adjust};
use upstand::survey::traverse::{ClosureLimit, Leg, angular_misclosure_deg, close as close_traverse, from_turns};
use upstand::survey::{FallClass, fall};
use upstand::system::DrainageRules;
use upstand::{Finding, Grade, Job, Length, System};

fn near(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "{found} should be {wanted}");
}

fn um(um: f64) -> Length {
    Length::from_um(um.round() as i64)
}

/// A roof of `run` by 8 m that rises by `rise` millimetres from its drip to the wall, with `system` and `survey`.
fn findings(run: f64, rise: f64, system: Value, survey: Value) -> Vec<Finding> {
    let job = json!({
        "schema": "upstand/job/1",
        "roofs": [{"outer": {
            "points": [[0, 0], [8000, 0], [8000, run], [0, run]],
            "kinds": ["drip", "open_side", "abutment", "open_side"],
            "levels": [0, 0, rise, rise],
        }}],
        "system": system,
        "survey": survey,
    });
    upstand::plan(&Job::from_json(&job.to_string()).expect("a job")).expect("a roof").findings
}

fn has(found: &[Finding], code: &str) -> bool {
    found.iter().any(|finding| finding.code == code)
}

#[test]
fn falls_as_ratios_percent_and_degrees() {
    // Trigonometry: 1:40 = 2.5 % = 1.4321 degrees = 25 mm/m; 1:80 = 1.25 % = 0.7162 degrees; 1:60 = 1.6667 % = 0.9548 degrees;
    // a quarter in twelve (1:48) = 2.0833 % = 1.1935 degrees.
    for (ratio, percent, degrees) in
        [(40.0, 2.5, 1.4321), (80.0, 1.25, 0.7162), (60.0, 1.6667, 0.9548), (48.0, 2.0833, 1.1935)]
    {
        let level = |x: i64, y: i64| (Point::from_mm(x, y), um(y as f64 * 1000.0 / ratio));
        let plane = fall(&[level(0, 0), level(6000, 0), level(6000, 4800), level(0, 4800)]).expect("a plane");
        near(plane.gradient * 100.0, percent, 1e-4);
        near(plane.gradient.atan().to_degrees(), degrees, 1e-4);
        near(1.0 / plane.gradient, ratio, 1e-3);
        assert_eq!(FallClass::of(plane.gradient), FallClass::FlatRoof);
    }
}

#[test]
fn finished_and_designed_falls() {
    // BS 6229:2018, as summarised by warranty guides: designed at 1:40 so that the finished fall is at least 1:80; 1:80 itself
    // passes. Arithmetic: 3000 mm need 37.5 mm at 1:80 and 75 mm at 1:40; 20 mm over 3000 mm are 1:150 (the numbers of a public
    // thread) and fail.
    for (rise, designed, passes) in
        [(37.5, false, true), (37.499, false, false), (20.0, false, false), (75.0, true, true), (74.999, true, false)]
    {
        let found = findings(3000.0, rise, json!({}), json!({"levels_designed": designed}));
        assert_eq!(!has(&found, "fall"), passes, "{rise}");
    }
    let flat = findings(3000.0, 20.0, json!({}), json!({}));
    assert!(flat.iter().any(|finding| finding.code == "fall" && finding.text.contains("1:150;")));
    // Scope of BS 6229:2018, as summarised: a flat roof pitches at 10 degrees at most (529 mm over 3 m).
    assert!(!has(&findings(3000.0, 528.0, json!({}), json!({})), "not_flat"));
    assert!(has(&findings(3000.0, 530.0, json!({}), json!({})), "not_flat"));
}

#[test]
fn other_codes_are_chosen_by_name() {
    let chosen = |name: &str| json!({"standard": name});
    let falls = |name: &str, rise: f64| !has(&findings(4800.0, rise, chosen(name), json!({})), "fall");
    // BS 6229 table, as summarised by a building-control guide: 1:80 under liquid-applied coverings, 1:60 under fully supported
    // metal. 4.8 m rise 60 mm at 1:80 and 80 mm at 1:60.
    assert!(falls("uk", 60.0) && !falls("uk", 59.9));
    assert!(falls("uk_metal", 80.0) && !falls("uk_metal", 79.9));
    // IBC 1507.15.1, as a state rule reprints it: 1/4:12 = 1:48 under liquid-applied roofs. 1:50 meets the 2 % that is printed
    // beside it, but not 1/4:12. 4.8 m rise 100 mm at 1:48 and 96 mm at 1:50.
    assert!(falls("us", 100.0) && !falls("us", 96.0));
    // BS 6229:2018 and a warranty body's policy, as summarised: zero falls, between level and 1:80, are a class of their own,
    // designed at 1:80.
    assert_eq!(FallClass::of(1.0 / 80.0 - 1e-6), FallClass::ZeroFall);
    assert!(falls("uk_zero_fall", 30.0));
    assert!(has(&findings(4800.0, 30.0, chosen("uk_zero_fall"), json!({})), "zero_fall"));
    let designed =
        |rise| has(&findings(4800.0, rise, chosen("uk_zero_fall"), json!({"levels_designed": true})), "fall");
    assert!(!designed(60.0) && designed(59.9));
    // Nowhere backward.
    assert!(has(&findings(4800.0, -30.0, chosen("uk_zero_fall"), json!({})), "back_fall"));
    // Each finding says what it rests on.
    let metal = findings(4800.0, 79.9, chosen("uk_metal"), json!({}));
    assert!(metal.iter().any(|finding| finding.code == "fall" && finding.basis.contains("1:60")));
}

#[test]
fn upstands_by_the_chosen_code() {
    // BS 6229, BS 8217, as summarised: 150 mm above the finished roof. NRCA manual, as a trade journal gives it: base flashings of
    // 8 in, 203.2 mm. The room counts above 5 mm of build-up.
    let refused = |standard: &str, height: f64| {
        let text = json!({
            "schema": "upstand/job/1",
            "roofs": [{"outer": {
                "points": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]],
                "kinds": ["drip", "open_side", "abutment", "open_side"],
                "upstands": [{"edge": 2, "height": height}],
            }}],
            "system": {"standard": standard},
        });
        let found = upstand::plan(&Job::from_json(&text.to_string()).expect("a job")).expect("a roof").findings;
        found.iter().any(|f| f.code == "upstand_height" && f.place == "/roofs/0/outer/upstands/0/height")
    };
    assert!(!refused("uk", 155.0) && refused("uk", 154.0));
    assert!(!refused("us", 208.2) && refused("us", 208.199));
}

#[test]
fn areas_by_the_chosen_body() {
    // A warranty body's technical blog: site-laid GRP on timber is usual for roofs of up to 50 m2; that body takes it on cold decks
    // of up to 3 m2. Here 8 m by 6.25 m are 50 m2.
    let too_large = |standard: &str, run: f64| {
        let found = findings(run, run / 40.0, json!({"standard": standard}), json!({}));
        found.into_iter().find(|finding| finding.code == "roof_area")
    };
    assert_eq!(too_large("uk_grp_on_timber", 6250.0), None);
    let found = too_large("uk_grp_on_timber", 6251.0).expect("8 m2 too much");
    assert_eq!((found.grade, found.value, found.limit), (Grade::Caution, Some(50.008), Some(50.0)));
    assert_eq!(too_large("uk", 6251.0), None);
    assert!(too_large("uk_grp_on_cold_deck", 376.0).is_some() && too_large("uk_grp_on_cold_deck", 375.0).is_none());
}

#[test]
fn two_ways_out() {
    // Overflow against a blocked outlet: NHBC Standards 2021, 7.1.5; at least two drainage points on a small roof: good practice,
    // from memory.
    let found = |outlets: Value| {
        let text = json!({
            "schema": "upstand/job/1",
            "roofs": [{"outer": {
                "points": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]],
                "kinds": ["open_side", "open_side", "abutment", "open_side"],
            }, "outlets": outlets}],
        });
        upstand::plan(&Job::from_json(&text.to_string()).expect("a job")).expect("a roof").findings
    };
    let one = found(json!([{"at": [2000, 500], "diameter": 75}]));
    assert!(has(&one, "one_way_out"));
    // Rectangular overflow (BS EN 12056-3, from memory): 12 m2 x 0.021 are 0.252 l/s; 10 mm under 35 mm of water take
    // 10 x 35^1.5 / 24000 = 0.0863, so 30 mm take 0.259.
    let overflow = one.iter().find(|finding| finding.code == "overflow").expect("the only way out");
    assert_eq!((overflow.value, overflow.limit), (Some(0.252), Some(0.259)));
    assert!(overflow.text.contains(" 30 mm long") && overflow.text.contains("confirmed by a designer"));
    let two = found(json!([{"at": [1000, 500], "diameter": 75}, {"at": [3000, 500], "diameter": 75}]));
    assert!(!has(&two, "one_way_out") && !has(&two, "overflow"));
    // Q = L h^1.5 / 24000: 200 mm under 35 mm take 1.7255 l/s.
    near(DrainageRules::default().overflow_capacity_l_s(Length::from_mm(200)), 1.7255, 1e-4);
}

/// A network of the distances of four points round and across: AB, BC, CD, DA, AC, BD, in metres.
fn four(distances: [f64; 6]) -> Network {
    let pairs = [("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"), ("A", "C"), ("B", "D")];
    let measured: Vec<Value> = pairs
        .iter()
        .zip(distances)
        .map(|((from, to), m)| json!({"distance": {"from": from, "to": to, "length": (m * 1e6).round() / 1e3}}))
        .collect();
    let document = json!({"schema": "upstand/network/1", "outline": ["A", "B", "C", "D"], "measurements": measured});
    Network::from_value(document).expect("a network")
}

/// Determinant of a square matrix by elimination.
fn determinant(mut m: Vec<Vec<f64>>) -> f64 {
    let n = m.len();
    let mut result = 1.0;
    for k in 0..n {
        let pivot = (k..n).max_by(|&a, &b| m[a][k].abs().total_cmp(&m[b][k].abs())).expect("rows are left");
        if pivot != k {
            m.swap(pivot, k);
            result = -result;
        }
        result *= m[k][k];
        for row in k + 1..n {
            let factor = m[row][k] / m[k][k];
            let above = m[k].clone();
            m[row].iter_mut().zip(&above).for_each(|(entry, above)| *entry -= factor * above);
        }
    }
    result
}

/// The Cayley-Menger determinant of four points.
fn cayley_menger([ab, bc, cd, da, ac, bd]: [f64; 6]) -> f64 {
    let square = |d: f64| d * d;
    let (ab, bc, cd, da, ac, bd) = (square(ab), square(bc), square(cd), square(da), square(ac), square(bd));
    determinant(vec![
        vec![0.0, 1.0, 1.0, 1.0, 1.0],
        vec![1.0, 0.0, ab, ac, da],
        vec![1.0, ab, 0.0, bc, bd],
        vec![1.0, ac, bc, 0.0, cd],
        vec![1.0, da, bd, cd, 0.0],
    ])
}

/// (0, 0) (6, 0) (7, 5) (-1, 4).
fn quadrilateral() -> [f64; 6] {
    [6.0, 26f64.sqrt(), 65f64.sqrt(), 17f64.sqrt(), 74f64.sqrt(), 65f64.sqrt()]
}

#[test]
fn six_distances_of_four_points_have_one_contradiction() {
    // Distance geometry (Cayley-Menger): the determinant of the six distances of four points in a plane is 0; 20 mm more in one
    // diagonal make it -2572.7. The adjustment sees the same one contradiction, and in all six distances alike.
    let mut distances = quadrilateral();
    near(cayley_menger(distances), 0.0, 1e-8);
    let clean = adjust(&four(distances)).expect("a rigid network");
    assert_eq!(clean.degrees_of_freedom, 1);
    near(clean.sum_of_squares, 0.0, 1e-4);
    assert!(clean.suspects.is_empty());
    distances[5] += 0.020;
    near(cayley_menger(distances), -2572.7, 0.05);
    let wrong = adjust(&four(distances)).expect("a rigid network");
    assert!(wrong.sum_of_squares > wrong.limit.expect("there is redundancy"));
    // One contradiction cannot say which of the six it comes from.
    assert_eq!(wrong.suspects.len(), 6);
    let diagonal = wrong.suspects.iter().find(|suspect| suspect.index == 5).expect("it is among them");
    near(diagonal.blunder, 20.0, 0.2);
}

#[test]
fn area_without_coordinates() {
    // Bretschneider's formula on sides and diagonals: 1/4 sqrt(4 p2 q2 - (b2 + d2 - a2 - c2)2) is 31.5 here, as by coordinates.
    let [a, b, c, d, p, q] = quadrilateral();
    let square = |x: f64| x * x;
    let inner = square(b) + square(d) - square(a) - square(c);
    let bretschneider = (4.0 * square(p) * square(q) - square(inner)).sqrt() / 4.0;
    near(bretschneider, 31.5, 1e-9);
    let adjusted = adjust(&four(quadrilateral())).expect("a rigid network");
    let at: Vec<(f64, f64)> = adjusted.points.iter().map(|point| (point.at.x.m(), point.at.y.m())).collect();
    let twice: f64 = (0..4).map(|i| (at[i], at[(i + 1) % 4])).map(|(p, q)| p.0 * q.1 - q.0 * p.1).sum();
    near(twice / 2.0, 31.5, 1e-4);
}

#[test]
fn how_well_a_traverse_has_to_close() {
    // WAC 332-130-090 (a state's rule): 1:10 000 with 10 sqrt(n) seconds, 1:5 000 with 30 sqrt(n) seconds.
    for (corners, fine, coarse) in [(4, 20.0, 60.0), (6, 24.5, 73.5)] {
        near(ClosureLimit::ONE_IN_10_000.angles_seconds(corners), fine, 0.05);
        near(ClosureLimit::ONE_IN_5_000.angles_seconds(corners), coarse, 0.05);
    }
    // A walk of 20 m that misses its beginning by 3 mm closes 1 in 6 667, by 25 mm 1 in 800.
    let walk = |last: f64| {
        let mm = Length::from_mm;
        let legs = [(mm(6000), 90.0), (mm(4000), 90.0), (um(last * 1e3), 90.0), (mm(4000), 90.0)];
        close_traverse(Point::default(), &from_turns(90.0, &legs)).expect("a traverse")
    };
    let limits = [ClosureLimit::ONE_IN_10_000, ClosureLimit::ONE_IN_5_000, ClosureLimit::TAPE];
    assert_eq!(limits.map(|limit| limit.allows(&walk(6000.0))), [true; 3]);
    assert_eq!(limits.map(|limit| limit.allows(&walk(6003.0))), [false, true, true]);
    assert_eq!(limits.map(|limit| limit.allows(&walk(6025.0))), [false; 3]);
    // Interior angles add up to (n - 2) 180 degrees (University of Memphis, CIVL 1112 notes), so the turns to 360.
    let interior = [95.0, 88.0, 131.0, 110.0, 116.0];
    let turns: Vec<f64> = interior.iter().map(|angle| 180.0 - angle).collect();
    near(angular_misclosure_deg(&turns), 0.0, 1e-9);
}

#[test]
fn traverses_give_the_area_of_their_source() {
    // A published worked sheet: 80.40 N76E, 46.30 S36E, 72.80 S61W, 68.00 N38W. Area by the adjusted coordinates 4169.14 (closed
    // formula).
    let leg = |length: f64, azimuth_deg: f64| Leg { length: um(length * 1e6), azimuth_deg };
    let legs = [leg(80.40, 76.0), leg(46.30, 144.0), leg(72.80, 241.0), leg(68.00, 322.0)];
    let closed = close_traverse(Point::default(), &legs).expect("a traverse");
    near(closed.misclosure_mm.0 / 1e3, -0.311, 1e-3);
    near(closed.misclosure_mm.1 / 1e3, 0.284, 1e-3);
    let at: Vec<(f64, f64)> = closed.points.iter().map(|point| (point.x.m(), point.y.m())).collect();
    let twice: f64 = (0..4).map(|i| (at[i], at[(i + 1) % 4])).map(|(p, q)| p.0 * q.1 - q.0 * p.1).sum();
    near(twice.abs() / 2.0, 4169.14, 0.01);
}

#[test]
fn a_plane_through_five_points() {
    // A published exercise in least squares: (0,-3,0) (4,0,0) (3,-1,1) (1,-2,1) (-1,-4,-3) have z = 158/15 - 7/3 x + 56/15 y.
    let points = [(0, -3, 0), (4, 0, 0), (3, -1, 1), (1, -2, 1), (-1, -4, -3)];
    let levels: Vec<_> =
        points.iter().map(|&(x, y, z)| (Point::from_mm(x * 1000, y * 1000), Length::from_mm(z * 1000))).collect();
    let plane = fall(&levels).expect("a plane");
    let (a, b, c) = (158.0 / 15.0, -7.0 / 3.0, 56.0 / 15.0);
    near(-plane.gradient * plane.downhill.0, b, 1e-6);
    near(-plane.gradient * plane.downhill.1, c, 1e-6);
    let off = points.map(|(x, y, z)| (f64::from(z as i32) - a - b * x as f64 - c * y as f64).abs());
    near(plane.deviation_mm, off.into_iter().fold(0.0, f64::max) * 1000.0, 1e-2);
}

#[test]
fn a_fall_across_both_axes() {
    // Closed formula: z = 2.5 - x/40 - y/80 falls 1:35.7771, 26.5651 degrees from +x towards +y: a diagonal fall is steeper than
    // each axis fall.
    let level = |x: i64, y: i64| (Point::from_mm(x, y), um(2.5e6 - x as f64 * 25.0 - y as f64 * 12.5));
    let plane = fall(&[level(0, 0), level(8000, 0), level(8000, 8000), level(0, 8000)]).expect("a plane");
    near(1.0 / plane.gradient, 35.7771, 1e-4);
    near(plane.downhill.1.atan2(plane.downhill.0).to_degrees(), 26.5651, 1e-4);
}

#[test]
fn run_off_and_gutters() {
    // Q = r A C (BS EN 12056-3, as a textbook reprints it): 75 mm/h = 0.0208333 l/(s m2), 0.021 is 75.6 mm/h; 50 m2 give 1.05 l/s,
    // 24 m2 0.504. Approved Document H, H3, table 2: 0.78 l/s in a 100 mm half-round gutter of 37 m2 (a textbook), 0.38, 1.11, 1.37
    // and 2.16 l/s in those of 75, 115, 125 and 150 mm (from memory).
    near(75.0 / 3600.0, 0.020_833_3, 1e-7);
    let rules = System::default().drainage;
    near(rules.rain_l_s_m2 * 3600.0, 75.6, 1e-9);
    for (run, flow, gutter) in [
        (6250.0, 1.05, "115 mm"),
        (3000.0, 0.504, "100 mm"),
        (2250.0, 0.378, "75 mm"),
        (8100.0, 1.361, "125 mm"),
        (12_800.0, 2.15, "150 mm"),
    ] {
        let found = findings(run, run / 50.0, json!({}), json!({}));
        let note = found.iter().find(|finding| finding.code == "gutter").expect("a drip");
        near(note.value.expect("a flow"), flow, 1e-3);
        assert!(note.text.contains(gutter) && note.text.contains("confirmed by a designer"), "{}", note.text);
    }
    // More than any of the table takes.
    let found = findings(13_000.0, 260.0, json!({}), json!({}));
    assert!(found.iter().any(|finding| finding.code == "gutter" && finding.grade == Grade::Caution));
}
