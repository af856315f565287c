use crate::{Finding, Grade, Job, plan};

/// A roof of 6 m by 4 m; `more` goes into its outer ring, `rest` into the job.
fn findings(kinds: &str, more: &str, rest: &str) -> Vec<Finding> {
    let text = format!(
        r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
            "kinds": [{kinds}]{more}}}}}]{rest}}}"#
    );
    let found = plan(&Job::from_json(&text).expect("a job")).expect("a roof").findings;
    let water =
        ["slope_fall", "back_fall", "pond", "runs_to_edge", "outlet_capacity", "gutter", "fall", "upstand_height"];
    found.into_iter().filter(|finding| water.contains(&finding.code.as_str())).collect()
}

fn codes(found: &[Finding]) -> Vec<(Grade, &str, &str)> {
    found.iter().map(|f| (f.grade, f.code.as_str(), f.place.as_str())).collect()
}

const KINDS: &str = r#""drip", "open_side", "abutment", "open_side""#;

// Approved Document H, H3, table 1: a wall adds half its area. A roof of 24 m2 and a wall of 6 m by 2.5 m count 31.5 m2, at
// 0.021 l/(s m2) 0.66 l/s; the roof alone 0.504 l/s. Table 2: 0.78 l/s in a 100 mm half-round gutter.
#[test]
fn walls_add_half_their_area_to_the_run_off() {
    for levels in ["", r#", "levels": [0, 0, 80, 80]"#] {
        let alone = findings(KINDS, levels, "");
        assert_eq!(codes(&alone), [(Grade::Note, "gutter", "/roofs/0/outer/kinds/0")]);
        assert_eq!(alone[0].value, Some(0.504));
        let with_wall = findings(KINDS, &format!(r#"{levels}, "walls": [{{"edge": 2, "height": 2500}}]"#), "");
        assert_eq!(with_wall[0].value, Some(0.662), "{levels}");
        assert!(
            with_wall[0].text.contains("100 mm half-round") && with_wall[0].text.contains("confirmed by a designer")
        );
    }
}

// BS EN 12056-3, from memory: a 75 mm outlet with a grating under 35 mm of water takes 75 x 35^1.5 / 7500 / 2 = 1.035 l/s.
#[test]
fn an_outlet_too_small_for_its_area_is_said() {
    let kinds = r#""open_side", "open_side", "abutment", "open_side""#;
    let job = |rain: f64| {
        let text = format!(
            r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
                "kinds": [{kinds}], "levels": [0, 0, 80, 80]}}, "outlets": [{{"at": [3000, 300], "diameter": 75}}]}}],
                "system": {{"drainage": {{"rain_l_s_m2": {rain}}}}}}}"#
        );
        let found = plan(&Job::from_json(&text).expect("a job")).expect("a roof").findings;
        found.into_iter().find(|finding| finding.code == "outlet_capacity")
    };
    assert_eq!(job(0.021), None);
    let small = job(0.05).expect("1.2 l/s come");
    assert_eq!((small.value, small.limit, small.place.as_str()), (Some(1.2), Some(1.035), "/roofs/0/outlets/0"));
}

#[test]
fn ponds_and_back_falls_are_said_with_place_and_size() {
    // A hollow of 30 mm in a fall of 1:50: the lip is the drip.
    let hollow = findings(
        KINDS,
        r#", "levels": [0, 0, 80, 80]"#,
        r#", "survey": {"levels": [{"at": [3000, 2000], "level": -30}]}"#,
    );
    let pond = hollow.iter().find(|finding| finding.code == "pond").expect("a pond");
    assert_eq!((pond.value, pond.limit), (Some(30.0), Some(5.0)));
    assert!(pond.text.contains("at (3000, 2000)"), "{}", pond.text);
    let shallow = findings(
        KINDS,
        r#", "levels": [0, 0, 80, 80]"#,
        r#", "survey": {"levels": [{"at": [3000, 2000], "level": -5}]}"#,
    );
    assert!(shallow.iter().all(|finding| finding.code != "pond"));
    // Falling to the wall.
    let back = findings(KINDS, r#", "levels": [80, 80, 0, 0]"#, "");
    let found: Vec<&str> = back.iter().map(|finding| finding.code.as_str()).collect();
    assert!(found.contains(&"back_fall") && found.contains(&"pond") && found.contains(&"runs_to_edge"), "{found:?}");
    // Falling sideways: over the open side, if its trim did not hold the water.
    let aside = findings(KINDS, r#", "levels": [0, 80, 80, 0]"#, "");
    let edge = aside.iter().find(|finding| finding.code == "runs_to_edge").expect("it runs to the open side");
    assert_eq!((edge.grade, edge.place.as_str()), (Grade::Caution, "/roofs/0/outer/kinds/3"));
}

#[test]
fn a_flat_slope_among_others_is_said() {
    // 1:50 below, 1:200 above.
    let levels = r#", "levels": [0, 0, 50, 50]"#;
    let ridge = r#", "survey": {"levels": [{"at": [0, 2000], "level": 40}, {"at": [6000, 2000], "level": 40}]}"#;
    let found = findings(KINDS, levels, ridge);
    let flat: Vec<_> = found.iter().filter(|finding| finding.code == "slope_fall").collect();
    assert_eq!(flat.len(), 1);
    assert_eq!((flat[0].value, flat[0].limit), (Some(0.5), Some(1.25)));
    assert!(flat[0].text.contains("1:200"), "{}", flat[0].text);
}

// BS 6229, as summarised by warranty guides: 150 mm above the finished roof. A sill at +240 over a deck that rises from 0 to 80
// along the wall leaves 160 mm at its high end, 155 above 5 mm of build-up; 20 mm of new boards leave 135.
#[test]
fn the_upstand_is_least_where_the_deck_is_highest() {
    let kinds = r#""abutment", "open_side", "drip", "open_side""#;
    let wall = r#", "levels": [0, 80, 80, 0], "upstands": [{"edge": 0, "top": 240}]"#;
    assert!(findings(kinds, wall, "").iter().all(|finding| finding.code != "upstand_height"));
    let found = findings(kinds, wall, r#", "survey": {"overlay": 20}"#);
    let low = found.iter().find(|finding| finding.code == "upstand_height").expect("too low");
    assert_eq!((low.value, low.limit, low.place.as_str()), (Some(135.0), Some(150.0), "/roofs/0/outer/upstands/0/top"));
    // A reading on the edge counts too.
    let found = findings(kinds, wall, r#", "survey": {"levels": [{"at": [3000, 0], "level": 90}]}"#);
    let low = found.iter().find(|finding| finding.code == "upstand_height").expect("too low");
    assert_eq!(low.value, Some(145.0));
}
