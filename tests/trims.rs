//! Trims set out over random roofs and sections, held against geometry of their own: corners in space, cut ends
//! that meet, bodies that do not clash, laps, zones and closing pieces.
//!
//! `UPSTAND_TRIM_CASES` sets the number of random roofs (150 by default; `campaigns.sh trims` runs 10,000).

use std::collections::BTreeMap;
use std::time::Instant;

use upstand::geometry::Point;
use upstand::roof::{CornerChoice, Outline};
use upstand::system::{BarSold, EndCut, EndRule, Reach, Section};
use upstand::trim::{self, PieceEnd, SetOut, WindFixing};
use upstand::{Code, Job, Length, Roof};
use upstand_tests::bodies::{Butted, Measured, butted, measure};
use upstand_tests::generate::{self, Random};

/// A section with a level deck flange, then any points that can be bent, from flat to deep.
fn section(random: &mut Random) -> Section {
    loop {
        let mm = |mm: i64| Length::from_mm(mm);
        let inner = random.between(-150, -30);
        let mut points = vec![(mm(inner), mm(0)), (mm(random.between(inner + 10, 40)), mm(0))];
        for _ in 0..random.between(1, 5) {
            points.push((mm(random.between(-40, 60)), mm(random.between(-120, 180))));
        }
        let thickness = Length::from_um(random.between(800, 3_000));
        let face = points.len() - 2;
        let section = Section { points, deck_flange: 0, face, thickness, bead_radius: Length::ZERO };
        if section.check("").is_empty() {
            return section;
        }
    }
}

/// What the trims of a corner may do by choice instead of by the table: one goes through, square or on the skew, or
/// over, and the other stops square.
fn choice(random: &mut Random, point: usize) -> CornerChoice {
    let lines = [Reach::Outline, Reach::Foot, Reach::Seam];
    let mut rule = |cut: EndCut, reaches: &[Reach]| {
        let gain = Length::from_mm(random.between(-20, 40));
        EndRule { cut, gain, ..EndRule::square(*random.pick(reaches)) }
    };
    let stops = rule(EndCut::Square, &lines);
    let through = [
        rule(EndCut::Lap, &lines),
        rule(EndCut::Skew, &[Reach::Outermost, Reach::BehindFace]),
        rule(EndCut::Square, &[Reach::Outermost, Reach::BehindFace]),
    ];
    let through = random.pick(&through).clone();
    let ends = if random.once_in(2) { (through, stops) } else { (stops, through) };
    CornerChoice { point, ends, patches: None }
}

/// A random roof with random sections, the edges of its rings, kerbs too, falling each by itself now and then. Bars are
/// long: this is not about cutting.
fn job(seed: u64) -> Job {
    let mut random = Random::new(seed);
    let mut job = Job { roofs: vec![generate::roof(&mut random)], ..Job::default() };
    let trims = &mut job.system.trims;
    for trim in [&mut trims.drip, &mut trims.abutment, &mut trims.open_side] {
        trim.section = section(&mut random);
        trim.bars = vec![BarSold { length: Length::from_mm(50_000), price: None }];
    }
    // Kerbs may cross where neither has a corner in the other.
    if Outline::new(&job.roofs[0], &job.system.limits, "").is_err() {
        job.roofs[0].holes.truncate(1);
    }
    job.preferences.nodes = 1;
    let Roof { outer, holes, .. } = &mut job.roofs[0];
    for boundary in std::iter::once(outer).chain(holes) {
        if random.once_in(2) {
            boundary.levels = boundary.points.iter().map(|_| Length::from_mm(random.between(0, 150))).collect();
        }
        for point in 0..boundary.points.len() {
            if random.once_in(6) {
                boundary.corners.push(choice(&mut random, point));
            }
        }
    }
    job
}

fn set_out(job: &Job) -> (Outline, SetOut) {
    let outline = Outline::new(&job.roofs[0], &job.system.limits, "/roofs/0").expect("a sound roof");
    let set_out = trim::set_out(job, std::slice::from_ref(&outline)).expect("trims for a sound roof");
    (outline, set_out)
}

#[test]
fn every_two_ends_meet_and_no_two_bodies_clash() {
    let cases = std::env::var("UPSTAND_TRIM_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(150);
    let begun = Instant::now();
    let mut all = Measured::default();
    for seed in 0..cases {
        let job = job(seed);
        let (outline, set_out) = set_out(&job);
        let found = measure(&job, &outline.rings, &set_out);
        assert!(found.off_plane <= 0.01 && found.apart <= 0.01, "seed {seed}: {found:?}");
        // Ends and outlines are rounded to the micrometre, gains and marks each by themselves.
        assert!(found.clash <= 0.005 && found.spare <= 0.005, "seed {seed}: {found:?}");
        all.add(&found);
    }
    // What is measured is there to be measured.
    assert!(all.mitred as u64 > cases && all.unlike as u64 * 4 > cases, "{all:?}");
    assert!(all.stopped as u64 * 2 > cases && all.notches as u64 * 2 > cases, "{all:?}");
    assert!(all.lapped as u64 * 4 > cases && all.skewed as u64 * 4 > cases, "{all:?}");
    assert!(all.falling_kerbs as u64 * 2 > cases && all.kerbs > all.falling_kerbs, "{all:?}");
    println!("{cases} roofs in {:?}: {all:?}", begun.elapsed());
}

#[test]
fn without_their_notches_bodies_clash() {
    let mut found = Measured::default();
    for seed in 0..20 {
        let job = job(seed);
        let (outline, mut set_out) = set_out(&job);
        set_out.templates.iter_mut().for_each(|template| template.notches.clear());
        found.add(&measure(&job, &outline.rings, &set_out));
    }
    // Half the thickness of the material, as deep as a body can lie in another.
    assert!(found.clash > 0.4, "{found:?}");
}

fn rectangle(kinds: [&str; 4], more: &str) -> Job {
    let kinds = kinds.map(|kind| format!("\"{kind}\"")).join(",");
    let text = format!(
        r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
        "kinds": [{kinds}]{more}}}}}]}}"#
    );
    Job::from_json(&text).expect("a job")
}

/// Which piece lies over, at every lap of every run.
fn overs(job: &Job) -> BTreeMap<(String, String), bool> {
    let plan = upstand::plan(job).expect("a sound job");
    let pieces = plan.cut_lists.iter().flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces);
    let laps = pieces.filter_map(|piece| match piece.start {
        PieceEnd::Lap { over, length } if length.is_positive() => {
            let run = &plan.roofs[piece.roof].trims.runs[piece.run];
            Some(((run.mark.clone(), piece.mark.clone()), over))
        }
        _ => None,
    });
    laps.collect()
}

#[test]
fn the_upper_piece_or_the_one_nearer_to_the_weather_lies_over() {
    let drips = ["drip"; 4];
    // D1 runs along y = 0 to the right, D3 back along y = 4000. The deck falls to the right: the left pieces lie over.
    let falling = overs(&rectangle(drips, r#", "levels": [100, 0, 0, 100]"#));
    let over = |of: &BTreeMap<(String, String), bool>, mark: &str| {
        let all: Vec<bool> = of.iter().filter(|((run, _), _)| run == mark).map(|(_, over)| *over).collect();
        assert!(!all.is_empty() && all.iter().all(|one| *one == all[0]), "{mark}: {all:?}");
        all[0]
    };
    assert_eq!((over(&falling, "D1"), over(&falling, "D3")), (false, true));
    let level = overs(&rectangle(drips, ""));
    assert_eq!((over(&level, "D1"), over(&level, "D3")), (true, true));
    // From the right, and from the left; a fall goes before the weather.
    for (degrees, first, third) in [(0.0, true, false), (180.0, false, true), (-170.0, false, true)] {
        let mut job = rectangle(drips, "");
        job.preferences.weather_from_deg = Some(degrees);
        let found = overs(&job);
        assert_eq!((over(&found, "D1"), over(&found, "D3")), (first, third), "{degrees}");
    }
    let mut job = rectangle(drips, r#", "levels": [100, 0, 0, 100]"#);
    job.preferences.weather_from_deg = Some(0.0);
    assert_eq!(overs(&job), falling);
    job.preferences.weather_from_deg = Some(f64::NAN);
    let problems = job.check();
    assert_eq!((problems[0].code(), problems[0].path()), (Code::OutOfRange, "/preferences/weather_from_deg"));
}

#[test]
fn open_ends_are_closed_and_counted() {
    // A wall behind, open sides, a drip in front: the raised trims end open over the drip, the wall trim at both of its
    // ends.
    let plan = upstand::plan(&rectangle(["drip", "open_side", "abutment", "open_side"], "")).expect("a sound job");
    let line = |name: &str| plan.takeoff.iter().find(|line| line.material == name).expect("a line");
    assert!((line("end_cap").net - 2.0).abs() < 1e-9);
    // Two pieces of 200 mm from one bar of 3 m.
    let strip = line("closing_strip");
    assert!((strip.net - 0.4).abs() < 1e-9 && (strip.packs[0].size - 3.0).abs() < 1e-9);
    assert_eq!((strip.packs.len(), strip.packs[0].count), (1, 1));
    let all_alike = upstand::plan(&rectangle(["open_side"; 4], "")).expect("a sound job");
    assert!(all_alike.takeoff.iter().all(|line| line.material != "end_cap" && line.material != "closing_strip"));
}

#[test]
fn fixings_are_denser_in_the_zones_of_the_wind() {
    // EN 1991-1-4, 7.2.3: e = min(b, 2h). Across the wind 6 m and then 4 m, 3 m high: corners reach e / 4 = 1.5 m along
    // the long sides and 1.0 m along the short ones; every side of the rectangle lies within e / 10 of the eaves.
    let mut job = rectangle(["drip"; 4], "");
    let mm = Length::from_mm;
    job.preferences.wind = Some(WindFixing { height: mm(3000), edge: mm(120), corner: mm(60) });
    let plan = upstand::plan(&job).expect("a sound job");
    let caution = plan.findings.iter().find(|finding| finding.code == "wind_zones").expect("a caution");
    assert!(caution.text.contains("responsible designer"));
    for (run, corner) in plan.roofs[0].trims.runs.iter().zip([1500, 1000, 1500, 1000]) {
        for pair in run.fixing_line.windows(2) {
            let gap = pair[1] - pair[0];
            // Measured from the corner.
            let (from, to) = (pair[0] - run.start.gain, pair[1] - run.start.gain);
            let in_corner = from < mm(corner) || to > run.line_length - mm(corner);
            assert!(gap <= mm(if in_corner { 60 } else { 120 }), "{}: {gap} at {from}", run.mark);
        }
    }
    // Off by default.
    let plain = upstand::plan(&rectangle(["drip"; 4], "")).expect("a sound job");
    let count = |plan: &upstand::Plan| plan.roofs[0].trims.runs.iter().map(|run| run.fixings).sum::<u64>();
    assert!(count(&plan) > count(&plain) * 3 / 2);
    assert!(plain.findings.iter().all(|finding| finding.code != "wind_zones"));
}

#[test]
fn ends_butted_at_a_corner_taken_as_straight_gape_and_overlap_by_less_than_lengths_are_rounded_up() {
    // Limits::straight_deg: lines lie over one another or gape by their distance from the outline times the sine of the
    // turn. Flanges of the demonstration system, of which one lies on the other, have 90 mm in common; faces, which would
    // run into one another, stand 27 mm out at most.
    let mut worst = Butted::default();
    let kinds = ["drip", "abutment", "open_side"];
    for (i, before) in kinds.iter().enumerate() {
        for after in [kinds[(i + 1) % 3], kinds[(i + 2) % 3]] {
            // 4000 tan 0.499 degrees = 34.838 mm.
            for bulge in [-34.838, 34.838] {
                let text = format!(
                    r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"kinds": ["{before}", "{after}", "drip", "drip"],
                    "points": [[0, 0], [4000, 0], [8000, {bulge}], [0, 5000]]}}}}]}}"#
                );
                let job = Job::from_json(&text).expect("a job");
                let (outline, set_out) = set_out(&job);
                worst.add(&butted(&job, &outline.rings, &set_out));
            }
        }
    }
    assert_eq!(worst.corners, 12);
    let at = |offset: f64| offset * 0.499_f64.to_radians().sin();
    assert!((worst.apart - at(90.0)).abs() < 0.002 && worst.apart < 1.0, "{worst:?}");
    assert!(worst.clash > 0.1 && worst.clash < at(27.0) + 0.01, "{worst:?}");
}

#[test]
fn check_names_what_plan_would_refuse_and_each_once() {
    let mut job = rectangle(["drip", "open_side", "abutment", "open_side"], "");
    job.preferences.least_piece = Length::from_mm(-5);
    let problems = job.check();
    let named: Vec<_> = problems.iter().map(|problem| (problem.code(), problem.path())).collect();
    assert_eq!(named, [(Code::BadCutRule, "/preferences/least_piece")]);

    // An edge of 20 km from bars that each add 110 mm to it is more pieces than are listed.
    let at = |x, y| Point::from_mm(x, y);
    let mut job = rectangle(["drip"; 4], "");
    job.roofs[0].outer.points = vec![at(0, 0), at(20_000_000, 0), at(20_000_000, 4000), at(0, 4000)];
    job.system.trims.drip.bars[0].length = Length::from_mm(160);
    job.preferences.least_piece = Length::from_mm(60);
    job.preferences.joint_clear = Length::ZERO;
    let (checked, planned) = (job.check(), upstand::plan(&job).expect_err("too many pieces"));
    let overflow = checked.iter().find(|problem| problem.code() == Code::Overflow).expect("found by the check");
    assert_eq!(overflow.path(), "/roofs/0/outer/points/0");
    let all = |problems: Vec<&upstand::Error>| -> Vec<String> { problems.iter().map(ToString::to_string).collect() };
    assert_eq!(all(checked.iter().collect()), all(planned.problems().collect()));
}
