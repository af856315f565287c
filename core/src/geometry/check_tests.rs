use super::*;

fn ring(points: &[(i64, i64)]) -> Ring {
    Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect())
}

fn polygon(outer: &[(i64, i64)], holes: &[&[(i64, i64)]]) -> Polygon {
    Polygon { outer: ring(outer), holes: holes.iter().map(|hole| ring(hole)).collect() }
}

fn codes(polygon: &Polygon) -> Vec<(Code, String)> {
    let problems = check(polygon, &RingLimits::default(), "");
    problems.iter().map(|problem| (problem.code(), problem.path().to_string())).collect()
}

fn expect(polygon: &Polygon, expected: &[(Code, &str)]) {
    let found = codes(polygon);
    let found: Vec<(Code, &str)> = found.iter().map(|(code, path)| (*code, path.as_str())).collect();
    assert_eq!(found, expected, "{polygon:?}");
}

const SQUARE: &[(i64, i64)] = &[(0, 0), (100, 0), (100, 100), (0, 100)];

#[test]
fn sound_outlines_pass_either_way_round() {
    expect(&polygon(SQUARE, &[&[(10, 10), (20, 10), (20, 20)], &[(30, 30), (30, 40), (40, 40)]]), &[]);
    let collinear = polygon(&[(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)], &[]);
    expect(&collinear, &[]);
    expect(&Polygon::from(collinear.outer.reversed()), &[]);
    expect(&polygon(&[(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], &[]), &[]);
}

#[test]
fn faults_of_a_single_ring_are_named() {
    use Code::*;
    expect(&polygon(&[], &[]), &[(TooFewPoints, "/outer/points")]);
    expect(&polygon(&[(0, 0), (1, 1), (0, 0)], &[]), &[(TooFewPoints, "/outer/points")]);
    expect(&polygon(&[(0, 0), (9, 0), (9, 0), (9, 9)], &[]), &[(RepeatedPoint, "/outer/points/2")]);
    expect(&polygon(&[(0, 0), (9, 0), (9, 9), (0, 0), (0, 0)], &[]), &[(RepeatedPoint, "/outer/points/3")]);
    let out_and_back = polygon(&[(0, 0), (100, 0), (100, 50), (150, 50), (100, 50), (100, 100), (0, 100)], &[]);
    expect(&out_and_back, &[(Spike, "/outer/points/3")]);
    expect(
        &polygon(&[(0, 0), (20, 0), (10, 0)], &[]),
        &[(ZeroArea, "/outer/points"), (Spike, "/outer/points/0"), (Spike, "/outer/points/1")],
    );
    expect(&polygon(&[(0, 0), (60, 40), (60, 0), (0, 40)], &[]), &[(SelfCrossing, "/outer/points/0")]);
    let far = Point::from_um(Length::LIMIT.um() + 1, 0);
    let beyond = Polygon::from(Ring::new(vec![far, Point::from_mm(0, 0), Point::from_mm(0, 9)]));
    expect(&beyond, &[(OutOfRange, "/outer/points/0")]);
}

#[test]
fn contacts_of_a_ring_with_itself_are_named_once() {
    use Code::SelfTouching;
    let point_on_point = polygon(&[(0, 0), (50, 50), (100, 0), (100, 100), (50, 50), (0, 100)], &[]);
    expect(&point_on_point, &[(SelfTouching, "/outer/points/4")]);
    let point_on_edge = polygon(&[(0, 0), (100, 0), (100, 100), (50, 0), (0, 100)], &[]);
    expect(&point_on_edge, &[(SelfTouching, "/outer/points/3")]);
    let edge_on_edge = polygon(&[(0, 0), (100, 0), (100, 100), (70, 0), (30, 0), (0, 100)], &[]);
    expect(&edge_on_edge, &[(SelfTouching, "/outer/points/3"), (SelfTouching, "/outer/points/4")]);
}

#[test]
fn holes_must_lie_apart_inside() {
    use Code::*;
    let outside: &[(i64, i64)] = &[(200, 0), (300, 0), (300, 50)];
    expect(&polygon(SQUARE, &[outside]), &[(HoleOutside, "/holes/0/points")]);
    let around: &[(i64, i64)] = &[(-9, -9), (109, -9), (109, 109), (-9, 109)];
    expect(&polygon(SQUARE, &[around]), &[(HoleOutside, "/holes/0/points")]);
    let crossing: &[(i64, i64)] = &[(90, 10), (110, 10), (110, 20), (90, 20)];
    expect(&polygon(SQUARE, &[crossing]), &[(HoleOutside, "/holes/0/points/0"), (HoleOutside, "/holes/0/points/2")]);
    let touching: &[(i64, i64)] = &[(100, 50), (80, 60), (80, 40)];
    expect(&polygon(SQUARE, &[touching]), &[(HoleTouches, "/holes/0/points/0")]);
    let large: &[(i64, i64)] = &[(10, 10), (90, 10), (90, 90), (10, 90)];
    let small: &[(i64, i64)] = &[(20, 20), (30, 20), (30, 30)];
    expect(&polygon(SQUARE, &[large, small]), &[(HolesOverlap, "/holes/1/points")]);
    expect(&polygon(SQUARE, &[small, large]), &[(HolesOverlap, "/holes/1/points")]);
    let twice = codes(&polygon(SQUARE, &[small, small]));
    assert!(twice.contains(&(HolesOverlap, "/holes/1/points".into())), "{twice:?}");
    let neighbour: &[(i64, i64)] = &[(20, 20), (30, 20), (30, 10)];
    let found = codes(&polygon(SQUARE, &[small, neighbour]));
    assert!(!found.is_empty() && found.iter().all(|(code, _)| *code == HoleTouches), "{found:?}");
}

#[test]
fn limits_are_kept() {
    let limits = RingLimits { points: 4, least_edge: Length::from_mm(50), problems: 1 };
    let slim = polygon(&[(0, 0), (100, 0), (100, 10), (0, 10)], &[]);
    let problems = check(&slim, &limits, "/roofs/2");
    assert_eq!(problems.len(), 1);
    assert_eq!((problems[0].code(), problems[0].path()), (Code::ShortEdge, "/roofs/2/outer/points/1"));
    let five = polygon(&[(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)], &[]);
    assert_eq!(check(&five, &limits, "")[0].code(), Code::TooManyPoints);
}

/// Polygons of one file of GeoJSON features, one a line, coordinates in metres, with what the file says of their
/// validity. `None`, with a word on it, where `UPSTAND_DATA` names no folder.
fn features(file: &str) -> Option<Vec<(Polygon, Option<bool>)>> {
    let Some(folder) = std::env::var_os("UPSTAND_DATA") else {
        eprintln!("UPSTAND_DATA is not set: {file} is not checked");
        return None;
    };
    let text = std::fs::read_to_string(std::path::Path::new(&folder).join(file)).expect("a file of features");
    let feature = |line: &str| {
        let feature: serde_json::Value = serde_json::from_str(line).expect("a feature");
        let coordinates = feature["geometry"]["coordinates"].clone();
        let rings: Vec<Vec<(f64, f64)>> = serde_json::from_value(coordinates).expect("rings of points");
        // Beyond the range, a coordinate is put just outside it, so that the check has something to say.
        let um =
            |m: f64| Length::from_um(((m * 1e6).round() as i64).clamp(-Length::LIMIT.um() - 1, Length::LIMIT.um() + 1));
        let ring =
            |points: Vec<(f64, f64)>| Ring::new(points.iter().map(|&(x, y)| Point { x: um(x), y: um(y) }).collect());
        let mut rings = rings.into_iter().map(ring);
        let polygon = Polygon { outer: rings.next().unwrap_or_default(), holes: rings.collect() };
        (polygon, feature["properties"]["expected_valid"].as_bool())
    };
    Some(text.lines().map(feature).collect())
}

#[test]
fn surveyed_footprints_are_sound_but_for_repeated_and_touching_points() {
    let Some(footprints) = features("footprints.jsonl") else { return };
    let mut refused = 0;
    for (polygon, _) in &footprints {
        let problems = check(polygon, &RingLimits::default(), "");
        refused += usize::from(!problems.is_empty());
        for problem in problems {
            assert!(matches!(problem.code(), Code::RepeatedPoint | Code::SelfTouching), "{problem}");
        }
    }
    assert!(refused * 50 < footprints.len(), "{refused} of {}", footprints.len());
}

#[test]
fn polygons_that_other_libraries_refuse_are_refused() {
    let Some(features) = features("pathological.jsonl") else { return };
    for (polygon, valid) in features {
        let problems = check(&polygon, &RingLimits::default(), "");
        assert!(valid != Some(false) || !problems.is_empty(), "{polygon:?}");
        let distances: Vec<Vec<Length>> = polygon.rings().map(|ring| vec![Length::from_mm(100); ring.len()]).collect();
        // Whether it can be inset or not: it answers.
        let _ = crate::geometry::inset(&polygon, &distances);
    }
}
