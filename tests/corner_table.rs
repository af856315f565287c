//! The corner table through whole plans: every combination has a row, each kind of cut gains what a drawing on paper gives,
//! patches and closing pieces follow, one corner can be decided otherwise, and a missing row names both edges.

use upstand::geometry::Point;
use upstand::roof::{Boundary, CornerChoice};
use upstand::system::{Closing, CornerRule, CornerShape, EndCut, EndRule, Reach};
use upstand::trim::{Corner, End, RoofTrims, RunEnd, Turn, WindFixing};
use upstand::{Code, Job, Kind, Length, Plan, Roof};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn boundary(points: &[(i64, i64)], kinds: &[Kind]) -> Boundary {
    let points = points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
    Boundary { points, kinds: kinds.to_vec(), ..Boundary::default() }
}

fn job(outer: Boundary, holes: Vec<Boundary>) -> Job {
    Job { roofs: vec![Roof { outer, holes, ..Roof::default() }], ..Job::default() }
}

const RECTANGLE: [(i64, i64); 4] = [(0, 0), (6000, 0), (6000, 4000), (0, 4000)];
/// Clockwise about a rectangle of 1200 x 800: the sides of a kerb.
const KERB: [(i64, i64); 4] = [(2000, 1500), (2000, 2300), (3200, 2300), (3200, 1500)];

fn plan(job: &Job) -> Plan {
    upstand::plan(job).expect("a sound job")
}

/// The corner at a point, and the ends of the two runs there.
fn corner(trims: &RoofTrims, at: (i64, i64)) -> (&Corner, &End, &End) {
    let corner = trims.corners.iter().find(|corner| corner.at == Point::from_mm(at.0, at.1)).expect("a corner");
    (corner, &trims.runs[corner.before].end, &trims.runs[corner.after].start)
}

/// A job with drips all round, in which the corner at (6000, 0) has these rules.
fn with_rules(before: EndRule, after: EndRule) -> Job {
    let mut job = job(boundary(&RECTANGLE, &[Kind::Drip; 4]), Vec::new());
    job.roofs[0].outer.corners.push(CornerChoice { point: 1, ends: (before, after), patches: None });
    job
}

fn rule(cut: EndCut, reach: Reach, gain: i64) -> EndRule {
    EndRule { cut, reach, gain: mm(gain), closing: None }
}

#[test]
fn the_default_table_has_a_row_for_every_corner() {
    for one in Kind::ALL {
        for other in Kind::ALL {
            // Outer corners of the roof; inner ones at a notch in it and round a kerb; the change of kind in line.
            let ring = [(0, 0), (6000, 0), (6000, 4000), (3000, 4000), (3000, 3000), (0, 3000)];
            let outer = boundary(&ring, &[one, other, one, other, one, other]);
            let planned = plan(&job(outer, vec![boundary(&KERB, &[one, other, one, other])]));
            let trims = &planned.roofs[0].trims;
            assert_eq!(
                trims.corners.iter().filter(|corner| corner.turn == Turn::Outer).count(),
                5,
                "{one:?} {other:?}"
            );
            assert_eq!(
                trims.corners.iter().filter(|corner| corner.turn == Turn::Inner).count(),
                5,
                "{one:?} {other:?}"
            );
            assert!(trims.corners.iter().all(|corner| corner.patches == 2));
            let mut points = RECTANGLE.to_vec();
            points.insert(1, (2500, 0));
            let planned = plan(&job(boundary(&points, &[one, other, one, one, one]), Vec::new()));
            let in_line = planned.roofs[0].trims.corners.iter().filter(|corner| corner.turn == Turn::Straight).count();
            assert_eq!(in_line, usize::from(one != other), "{one:?} {other:?}");
        }
    }
}

#[test]
fn each_cut_gains_what_paper_gives() {
    // The drip reaches from 85 mm inside the outline to 27 mm outside; its face is 1.8 mm thick.
    let ends = |before, after| {
        let planned = plan(&with_rules(before, after));
        let trims = &planned.roofs[0].trims;
        let (_, before, after) = corner(trims, (6000, 0));
        ((before.cut, before.gain), (after.cut, after.gain))
    };
    let stops = || EndRule::square(Reach::Outline);
    // Mitred: as long as the face, 27 mm beyond the corner; a joint of 2 mm left open takes 2 mm off.
    assert_eq!(ends(EndRule::mitre(), EndRule::mitre()), ((EndCut::Mitre, mm(27)), (EndCut::Mitre, mm(27))));
    assert_eq!(ends(rule(EndCut::Mitre, Reach::Outline, -2), EndRule::mitre()).0, (EndCut::Mitre, mm(25)));
    // Running through to the outside of the other's face or behind it; stopping against a line of it.
    let through = ends(EndRule::square(Reach::Outermost), stops());
    assert_eq!(through, ((EndCut::Square, mm(27)), (EndCut::Square, mm(0))));
    assert_eq!(ends(EndRule::square(Reach::BehindFace), stops()).0, (EndCut::Square, Length::from_um(25_200)));
    assert_eq!(ends(EndRule::square(Reach::Outermost), EndRule::square(Reach::Foot)).1, (EndCut::Square, mm(27)));
    assert_eq!(ends(EndRule::square(Reach::Outermost), EndRule::square(Reach::Seam)).1, (EndCut::Square, mm(-85)));
    // Lapping over the other, 40 mm short of its seam.
    assert_eq!(ends(rule(EndCut::Lap, Reach::Seam, 40), stops()).0, (EndCut::Lap, mm(-45)));
    // Returned by 100 mm: 27 mm to the fold, as much back to the outline's corner on the other edge, then 100 mm.
    assert_eq!(ends(rule(EndCut::Return, Reach::Outline, 100), stops()).0, (EndCut::Return, mm(27 + 27 + 100)));
}

#[test]
fn a_return_has_its_length_fold_and_slits_on_the_template() {
    let planned = plan(&with_rules(rule(EndCut::Return, Reach::Outline, 100), EndRule::square(Reach::Outline)));
    let template = planned.templates.iter().find(|template| template.cut == EndCut::Return).expect("a return");
    assert_eq!((template.end, template.fold), (RunEnd::End, Some(mm(27))));
    assert!(template.development.mark.iter().all(|mark| mark.1 == mm(154)));
    // The flange of 112 mm is slit from its edge to the fold, 85 mm before the corner to 139 mm behind it.
    let flange = template.notches.iter().find(|notch| notch.facet == 0).expect("a slit");
    let along: Vec<Length> = flange.outline.iter().map(|point| point.1).collect();
    assert_eq!((along.iter().min(), along.iter().max()), (Some(&mm(-85)), Some(&mm(139))));
    // The run is as long as to the end of the return.
    let trims = &planned.roofs[0].trims;
    let run = &trims.runs[corner(trims, (6000, 0)).0.before];
    assert_eq!(run.cut_length, mm(6000 + 27 + 154));
}

#[test]
fn patches_and_closing_pieces_follow_the_table() {
    let kinds = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let mut job = job(boundary(&RECTANGLE, &kinds), Vec::new());
    let planned = plan(&job);
    let trims = &planned.roofs[0].trims;
    // Raised trims end open over the drip: caps. The wall trim ends open behind their faces: pieces of strip.
    let closings = |at| {
        let (_, before, after) = corner(trims, at);
        (before.closing, after.closing)
    };
    assert_eq!(closings((6000, 0)), (None, Some(Closing::Cap)));
    assert_eq!(closings((6000, 4000)), (None, Some(Closing::Strip)));
    assert_eq!(closings((0, 4000)), (Some(Closing::Strip), None));
    assert_eq!(closings((0, 0)), (Some(Closing::Cap), None));
    let net = |planned: &Plan, material: &str| {
        planned.takeoff.iter().find(|line| line.material == material).map_or(0.0, |line| line.net)
    };
    assert!((net(&planned, "end_cap") - 2.0).abs() < 1e-9 && (net(&planned, "closing_strip") - 0.4).abs() < 1e-9);
    let patches = |planned: &Plan| -> u64 {
        let at_corners = planned.roofs[0].mat.patches.iter().filter(|patch| patch.corner);
        at_corners.map(|patch| u64::from(patch.layers)).sum()
    };
    assert_eq!(patches(&planned), 8);
    // Another table: four patches where raised trim meets drip, and strip in place of caps.
    for row in job.system.corners.iter_mut().filter(|row| row.kinds == (Kind::OpenSide, Kind::Drip)) {
        row.patches = 4;
        row.ends.0.closing = Some(Closing::Strip);
    }
    let changed = plan(&job);
    assert_eq!(patches(&changed), 4 + 8);
    assert!(net(&changed, "end_cap").abs() < 1e-9 && (net(&changed, "closing_strip") - 0.8).abs() < 1e-9);
}

#[test]
fn ends_of_an_open_run_stop_at_the_point_and_are_closed() {
    // The raised trim along y = 0 ends at x = 2500, where a drip goes on; the wall along y = 4000 ends at x = 3000.
    let points = [(0, 0), (2500, 0), (6000, 0), (6000, 4000), (3000, 4000), (0, 4000)];
    let kinds = [Kind::OpenSide, Kind::Drip, Kind::Drip, Kind::Abutment, Kind::OpenSide, Kind::Drip];
    let planned = plan(&job(boundary(&points, &kinds), Vec::new()));
    let trims = &planned.roofs[0].trims;
    for (at, closings) in
        [((2500, 0), (Some(Closing::Cap), None)), ((3000, 4000), (Some(Closing::Strip), Some(Closing::Cap)))]
    {
        let (corner, before, after) = corner(trims, at);
        assert_eq!((corner.turn, corner.patches), (Turn::Straight, 2));
        assert_eq!((before.closing, after.closing), closings);
        for end in [before, after] {
            assert_eq!((end.cut, end.gain), (EndCut::Square, Length::ZERO));
        }
    }
    // Without a row for it both still stop at the point, with the patches of a joint.
    let mut bare = job(boundary(&points, &kinds), Vec::new());
    bare.system.corners.retain(|row| row.shape != CornerShape::Straight);
    bare.system.patch.at_joint = 3;
    let planned = plan(&bare);
    let (corner, before, after) = corner(&planned.roofs[0].trims, (2500, 0));
    assert_eq!((corner.patches, before.closing, after.closing), (3, None, None));
    assert_eq!((before.gain, after.gain), (Length::ZERO, Length::ZERO));
}

#[test]
fn one_corner_can_be_decided_otherwise() {
    let usual = plan(&job(boundary(&RECTANGLE, &[Kind::Drip; 4]), Vec::new()));
    let chosen = plan(&with_rules(EndRule::square(Reach::Outermost), EndRule::square(Reach::Outline)));
    for at in RECTANGLE {
        let (a, b) = (corner(&usual.roofs[0].trims, at), corner(&chosen.roofs[0].trims, at));
        assert_eq!((a.1 == b.1, a.2 == b.2), (at != (6000, 0), at != (6000, 0)), "{at:?}");
    }
    // A kerb's corner likewise.
    let mut kerbed = job(boundary(&RECTANGLE, &[Kind::Drip; 4]), vec![boundary(&KERB, &[])]);
    let ends = (EndRule::square(Reach::Outline), EndRule::square(Reach::Outline));
    kerbed.roofs[0].holes[0].corners.push(CornerChoice { point: 2, ends, patches: Some(6) });
    let planned = plan(&kerbed);
    let (corner, before, after) = corner(&planned.roofs[0].trims, KERB[2]);
    assert_eq!((corner.turn, corner.patches), (Turn::Inner, 6));
    assert_eq!((before.cut, after.cut), (EndCut::Square, EndCut::Square));
}

#[test]
fn a_missing_row_is_an_error_that_names_both_edges() {
    let kinds = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let ring = |reversed: bool| {
        let mut ring = boundary(&RECTANGLE, &kinds);
        if reversed {
            // The same roof, given clockwise: its edges are numbered the other way.
            ring.points.reverse();
            ring.kinds = vec![Kind::Abutment, Kind::OpenSide, Kind::Drip, Kind::OpenSide];
        }
        ring
    };
    let missing = |row: &CornerRule| row.kinds == (Kind::Abutment, Kind::OpenSide) && row.shape == CornerShape::Outer;
    for (reversed, expected) in [
        (
            false,
            [
                ("/roofs/0/outer/points/2", "from edge 1 (open_side) to edge 2 (abutment)"),
                ("/roofs/0/outer/points/3", "from edge 2 (abutment) to edge 3 (open_side)"),
            ],
        ),
        (
            true,
            [
                ("/roofs/0/outer/points/0", "from edge 0 (abutment) to edge 3 (open_side)"),
                ("/roofs/0/outer/points/1", "from edge 1 (open_side) to edge 0 (abutment)"),
            ],
        ),
    ] {
        let mut job = job(ring(reversed), Vec::new());
        job.system.corners.retain(|row| !missing(row));
        let error = upstand::plan(&job).expect_err("a missing row");
        let problems: Vec<_> = error.problems().collect();
        assert_eq!(problems.len(), 2);
        for (problem, (path, edges)) in problems.into_iter().zip(expected) {
            assert_eq!((problem.code(), problem.path()), (Code::NoCornerRule, path));
            assert!(problem.message().contains(edges), "{problem}");
        }
        // What the job decides needs no row.
        for point in [0, 1, 2, 3] {
            let ends = (EndRule::mitre(), EndRule::mitre());
            job.roofs[0].outer.corners.push(CornerChoice { point, ends, patches: None });
        }
        assert!(upstand::plan(&job).is_ok());
    }
    // Every row is missed by a roof that has its corner.
    let defaults = Job::default().system.corners;
    for row in defaults.iter().filter(|row| row.shape != CornerShape::Straight) {
        let ring = [(0, 0), (6000, 0), (6000, 4000), (3000, 4000), (3000, 3000), (0, 3000)];
        let (one, other) = row.kinds;
        let mut job = job(boundary(&ring, &[one, other, one, other, one, other]), Vec::new());
        job.system.corners.retain(|kept| kept != row);
        let problems = job.check();
        assert!(!problems.is_empty() && problems.iter().all(|problem| problem.code() == Code::NoCornerRule), "{row:?}");
        for problem in problems {
            for kind in [one, other] {
                assert!(problem.message().contains(&format!("({})", kind.word())), "{problem}");
            }
        }
    }
}

#[test]
fn corners_and_zones_that_make_no_sense_are_named() {
    let mut job = with_rules(EndRule::mitre(), EndRule::mitre());
    let choice = job.roofs[0].outer.corners[0].clone();
    job.roofs[0].outer.corners.extend([CornerChoice { point: 4, ..choice.clone() }, choice]);
    let named = |job: &Job| -> Vec<(Code, String)> {
        job.check().iter().map(|problem| (problem.code(), problem.path().to_string())).collect()
    };
    let expected = [
        (Code::OutOfRange, "/roofs/0/outer/corners/1/point".to_string()),
        (Code::BadValue, "/roofs/0/outer/corners/2/point".to_string()),
    ];
    assert_eq!(named(&job), expected);
    job.roofs[0].outer.corners.clear();
    job.preferences.wind = Some(WindFixing { height: mm(9), edge: mm(-1), corner: mm(1_000_001) });
    let expected = ["height", "edge", "corner"].map(|step| (Code::OutOfRange, format!("/preferences/wind/{step}")));
    assert_eq!(named(&job), expected);
    job.preferences.wind = Some(WindFixing { height: mm(3_000), edge: mm(120), corner: mm(60) });
    assert_eq!(named(&job), []);
}
