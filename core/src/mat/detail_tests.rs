//! Patches, tape, tissue and collars on whole plans, against sums worked by hand.

use crate::geometry::Point;
use crate::job::Job;
use crate::length::Length;
use crate::mat::TapePlace;
use crate::plan::Plan;
use crate::roof::{Boundary, Kind, Outlet, Pipe, Roof};
use crate::system::{System, ZoneChoice};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

/// A rectangle whose deck between the flanges (drips of 85 mm) is this long and this wide, no allowance on the mat.
fn rectangle(long: i64, wide: i64) -> Job {
    let (w, h) = (long + 170, wide + 170);
    let points = [(0, 0), (w, 0), (w, h), (0, h)].map(|(x, y)| Point::from_mm(x, y)).to_vec();
    let outer = Boundary { points, kinds: vec![Kind::Drip; 4], ..Boundary::default() };
    let mut system = System::default();
    system.mat.allowance = 0.0;
    Job { roofs: vec![Roof { outer, ..Roof::default() }], system, ..Job::default() }
}

fn planned(job: &Job) -> Plan {
    crate::plan(job).expect("a plan")
}

/// Metres of mat needed.
fn mat_m(plan: &Plan) -> f64 {
    plan.takeoff.iter().find(|line| line.material == "mat").expect("mat").net
}

/// What is left beside a ripped last strip counts in what is bought: 4.00 m take five strips, the last 200 mm wide, beside
/// which 800 x 6000 mm hold all patches; 3.85 m take four full strips and leave none.
#[test]
fn patches_out_of_offcuts_are_not_bought() {
    let ripped = planned(&rectangle(6000, 4000));
    let full = planned(&rectangle(6000, 3850));
    for (plan, from_offcuts, strips_m) in [(&ripped, true, 30.0), (&full, false, 24.0)] {
        let mat = &plan.roofs[0].mat;
        let patches = mat.patch_count();
        assert!((8..120).contains(&patches), "{patches}");
        assert_eq!(mat.patches_from_offcuts, if from_offcuts { patches } else { 0 });
        // Five squares of 200 mm lie side by side on a roll of 1 m.
        let off_roll = if from_offcuts { 0.0 } else { patches.div_ceil(5) as f64 * 0.2 };
        assert!((mat_m(plan) - strips_m - off_roll).abs() < 1e-9, "{}", mat_m(plan));
    }
}

/// A run of 8.054 m in bars of 3 m has joints; tape covers each over the whole girth of the drip: flange 112, face 58, return 6 mm.
#[test]
fn tape_runs_up_every_trim_joint() {
    let plan = planned(&rectangle(7830, 3000));
    let roof = &plan.roofs[0];
    let joints: usize = roof.trims.runs.iter().map(|run| run.joints.len()).sum();
    let up = roof.mat.tape_pieces.iter().filter(|piece| matches!(piece.on, TapePlace::Joint { .. }));
    let lengths: Vec<Length> = up.map(|piece| piece.length).collect();
    assert!(joints > 0);
    assert_eq!(lengths, vec![mm(112 + 58 + 6); joints]);
    assert_eq!(roof.mat.joint_tape(), mm(176) * joints as i64);
    // And along every edge of the seam, with a lap onto the next.
    let along = roof.mat.tape_pieces.iter().filter(|piece| matches!(piece.on, TapePlace::Seam { .. }));
    let lap = Job::default().system.tape.lap;
    assert_eq!(along.map(|piece| piece.length).sum::<Length>(), mm(2 * (7830 + 3000)) + lap * 4);
}

/// A square of tissue over each corner where trims turn: four on a rectangle, none more where two kinds meet in a straight edge.
#[test]
fn tissue_lies_over_visible_corners() {
    let mut job = rectangle(6000, 4000);
    let side = job.system.tissue.side.m();
    let corners = |job: &Job| {
        let areas = planned(job).roofs[0].mat.areas;
        (areas.tissue / (side * side)).round()
    };
    assert!((corners(&job) - 4.0).abs() < 1e-9);
    let outer = &mut job.roofs[0].outer;
    outer.points.insert(1, Point::from_mm(3000, 0));
    outer.kinds = vec![Kind::Drip, Kind::OpenSide, Kind::Drip, Kind::Drip, Kind::Drip];
    assert!((corners(&job) - 4.0).abs() < 1e-9);
    let plan = planned(&job);
    let tissue = plan.takeoff.iter().find(|line| line.material == "tissue").expect("tissue");
    // Four squares of 250 mm lie side by side on a roll of 1 m.
    assert!((tissue.net - 0.25).abs() < 1e-9, "{}", tissue.net);
}

/// Collars around outlets, two squares each, 150 mm beyond the rim on all sides, less the hole.
#[test]
fn collars_lie_around_outlets() {
    let mut job = rectangle(6000, 4000);
    (job.system.patch.collar, job.system.patch.at_outlet) = (mm(150), 2);
    job.roofs[0].outlets = vec![Outlet { at: Point::from_mm(1000, 1500), diameter: mm(110) }];
    let mat = planned(&job).roofs.remove(0).mat;
    let collar = &mat.collars[0];
    assert_eq!((collar.side, collar.hole, collar.layers), (mm(410), mm(110), 2));
    let hole = std::f64::consts::PI * 0.055 * 0.055;
    assert!((mat.areas.collars - 2.0 * (0.41 * 0.41 - hole)).abs() < 1e-6);
}

fn pipe(x: i64, y: i64) -> Pipe {
    Pipe { name: Some("vent".into()), at: Point::from_mm(x, y), diameter: mm(110), height: None }
}

/// A pipe of 110 mm is 345.6 mm around: its sleeve is 346 mm and a lap of 50 mm long, and stands 150 mm above the finished roof.
#[test]
fn collars_at_pipes_have_sleeves() {
    let without = planned(&rectangle(6000, 3850));
    let mut job = rectangle(6000, 3850);
    (job.system.patch.collar, job.system.patch.at_pipe) = (mm(150), 2);
    job.roofs[0].pipes = vec![pipe(1000, 1500)];
    let plan = planned(&job);
    let mat = &plan.roofs[0].mat;
    let height = mm(150) + job.system.limits.build_up;
    let collar = &mat.collars[0];
    assert_eq!((collar.side, collar.hole, collar.layers), (mm(410), mm(110), 2));
    let sleeve = collar.sleeve.expect("a sleeve");
    assert_eq!((sleeve.length, sleeve.height), (mm(396), height));
    let (hole, up) = (std::f64::consts::PI * 0.055 * 0.055, 0.396 * height.m());
    assert!((mat.areas.collars - 2.0 * (0.41 * 0.41 - hole + up)).abs() < 1e-6);
    // Both squares side by side off the roll, and both sleeves.
    let more = mat_m(&plan) - mat_m(&without);
    assert!((more - 0.41 - 0.396).abs() < 1e-9, "{more}");
    let wetted = |plan: &Plan| plan.roofs[0].mat.glass_kg(&job.system);
    let kg = mat.areas.collars * job.system.mat.mass_g_m2 / 1e3;
    assert!((wetted(&plan) - wetted(&without) - kg).abs() < 1e-6);
    // A pipe is no way for water.
    job.roofs[0].outer.kinds = vec![Kind::OpenSide; 4];
    assert!(planned(&job).findings.iter().any(|finding| finding.code == "no_way_out"));
    job.system.patch.at_pipe = 0;
    assert!(planned(&job).roofs[0].mat.collars.is_empty());
}

/// Whether a pipe is long enough is asked of the finished roof, as of any upstand.
#[test]
fn short_pipes_are_refused() {
    let mut job = rectangle(6000, 4000);
    let least = mm(150) + job.system.limits.build_up;
    let found = |height: Length| {
        job.roofs[0].pipes = vec![pipe(3000, 2000), Pipe { height: Some(height), ..pipe(1000, 1500) }];
        let plan = planned(&job);
        let found: Vec<_> = plan.findings.into_iter().filter(|finding| finding.code == "pipe_height").collect();
        found
    };
    let mut found = found;
    assert!(found(least).is_empty());
    let short = found(least - mm(1));
    assert_eq!(short.len(), 1);
    assert_eq!(
        (short[0].place.as_str(), short[0].value, short[0].limit),
        ("/roofs/0/pipes/1/height", Some(149.0), Some(150.0))
    );
}

/// The bands of laps of whole strips from the low edge lie 950 to 1000 mm above it, and so on. One beside a pipe moves.
#[test]
fn laps_keep_clear_of_outlets_and_pipes() {
    let mut job = rectangle(6000, 3500);
    // On the first lap: 85 mm of flange and 975 mm.
    for of_pipe in [false, true] {
        let at = Point::from_mm(3000, 85 + 975);
        let roof = &mut job.roofs[0];
        (roof.outlets, roof.pipes) = if of_pipe {
            (Vec::new(), vec![Pipe { at, ..pipe(0, 0) }])
        } else {
            (vec![Outlet { at, diameter: mm(110) }], Vec::new())
        };
        let plan = planned(&job);
        let reach = mm(55) + job.system.mat.outlet_clear;
        for lap in &plan.roofs[0].mat.laps {
            let top = |mark: &str, high: bool| {
                let pieces = plan.roofs[0].mat.strips.iter().flat_map(|strip| &strip.pieces);
                let piece = pieces.into_iter().find(|piece| piece.mark == mark).expect("a piece");
                let levels = piece.outline.iter().flatten().map(|point| point.y);
                if high { levels.max() } else { levels.min() }.expect("points")
            };
            let (low, high) = (top(&lap.over, false), top(&lap.under, true));
            assert!(high <= at.y - reach || low >= at.y + reach, "{low} to {high}");
        }
        assert!(plan.findings.iter().all(|finding| !finding.code.starts_with("lap_near")));
    }
    // Where the deck is full of them, it is said which laps come near.
    job.roofs[0].outlets = Vec::new();
    job.roofs[0].pipes = (1..17).map(|i| pipe(300 * i, 200 * i)).collect();
    let plan = planned(&job);
    let near: Vec<_> = plan.findings.iter().filter(|finding| finding.code == "lap_near_pipe").collect();
    assert!(!near.is_empty() && near.len() < 16 && near[0].place.starts_with("/roofs/0/pipes/"));
}

/// Two strips of 9 m off rolls of 6.5 m are joined. Wherever along them pipes stand, the end laps lie clear of them.
#[test]
fn end_laps_keep_clear_of_pipes() {
    let mut joints = Vec::new();
    for x in (300..9000).step_by(150) {
        let mut job = rectangle(9000, 1900);
        (job.system.mat.roll, job.system.mat.least_piece) = (mm(6500), mm(300));
        job.roofs[0].pipes = vec![pipe(x, 85 + 1400), pipe(x, 85 + 500)];
        let plan = planned(&job);
        let reach = mm(55) + job.system.mat.outlet_clear;
        let mat = &plan.roofs[0].mat;
        let of = |mark: &str| {
            let pieces = mat.strips.iter().flat_map(|strip| &strip.pieces);
            let points = pieces.into_iter().find(|piece| piece.mark == mark).expect("a piece").outline.iter().flatten();
            let along: Vec<Length> = points.map(|point| point.x).collect();
            (*along.iter().min().expect("points"), *along.iter().max().expect("points"))
        };
        for lap in mat.laps.iter().filter(|lap| lap.kind == crate::mat::LapKind::End) {
            let (over, under) = (of(&lap.over), of(&lap.under));
            let (from, to) = (over.0.max(under.0), over.1.min(under.1));
            assert!(to <= mm(x) - reach || from >= mm(x) + reach, "{from} to {to}, pipe at {x}");
            joints.push(from);
        }
        let list = plan.cut_lists.iter().find(|list| list.material == crate::trim::Material::Mat).expect("mat");
        assert!(list.bars.iter().all(|bar| bar.pieces.iter().map(|piece| piece.length).sum::<Length>() <= bar.length));
    }
    // There are such laps, and pipes moved them.
    let all = joints.len();
    joints.sort_unstable();
    joints.dedup();
    assert!(all > 30 && joints.len() > 2, "{all}, {joints:?}");
}

/// An L of two arms 0.9 m wide takes one strip along each, and the plan says where it is parted and what that saves.
#[test]
fn the_split_that_takes_least_is_told() {
    let points = [(0, 0), (6000, 0), (6000, 900), (900, 900), (900, 6000), (0, 6000)];
    let points: Vec<Point> = points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
    let outer = Boundary { kinds: vec![Kind::Drip; points.len()], points, ..Boundary::default() };
    let mut system = System::default();
    system.trims.drip.mat_onto = mm(500);
    system.mat.zones = ZoneChoice::Least;
    let job = Job { roofs: vec![Roof { outer, ..Roof::default() }], system, ..Job::default() };
    let plan = planned(&job);
    // One strip along each arm; the strip of 1 m along the arm of 0.9 m holds the lap over the other arm.
    assert_eq!(plan.roofs[0].mat.off_roll, mm(6000 + 5100));
    let said = plan.findings.iter().find(|finding| finding.code == "mat_in_zones").expect("a finding");
    assert_eq!(said.value, Some(11.1));
    let one = said.limit.expect("what one zone takes");
    for part in ["2 zones", "(900, 900)", "Compared:", "11100 mm"] {
        assert!(said.text.contains(part), "{part}: {}", said.text);
    }
    // One zone stays to be had, and takes what was said.
    let mut job = job;
    job.system.mat.zones = ZoneChoice::One;
    assert!((planned(&job).roofs[0].mat.off_roll.m() - one).abs() < 0.02);
    // Where no split takes less, that is said too: an L as wide as a strip and a half, little more than its corner.
    job.system.mat.zones = ZoneChoice::Least;
    let points = [(0, 0), (1000, 0), (1000, 700), (700, 700), (700, 1000), (0, 1000)];
    job.roofs[0].outer.points = points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
    let plan = planned(&job);
    assert!(plan.roofs[0].mat.zones.is_empty());
    assert!(plan.findings.iter().any(|finding| finding.code == "mat_in_one_zone"));
}
