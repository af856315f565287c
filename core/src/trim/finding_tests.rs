//! What the trim stage finds that a person has to look at.

use super::Material;
use crate::geometry::Point;
use crate::roof::{Boundary, Kind, Roof};
use crate::{Grade, Job, Length, Plan, plan};

fn job(points: &[(i64, i64)], kinds: &[Kind]) -> Job {
    let outer = Boundary {
        points: points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect(),
        kinds: kinds.to_vec(),
        ..Boundary::default()
    };
    Job { roofs: vec![Roof { outer, ..Roof::default() }], ..Job::default() }
}

fn found(plan: &Plan, code: &str) -> Vec<(Grade, String)> {
    let of = plan.findings.iter().filter(|finding| finding.code == code);
    of.map(|finding| (finding.grade, finding.place.clone())).collect()
}

#[test]
fn a_corner_too_sharp_to_mitre_is_left_square() {
    // The angle at the origin is atan(1000 / 8000), about 7.1 degrees: the demonstration system mitres from 10.
    let plan = plan(&job(&[(0, 0), (8000, 0), (8000, 1000)], &[Kind::Drip; 3])).expect("a sound roof");
    assert_eq!(found(&plan, "mitre_limit"), [(Grade::Caution, "/roofs/0/outer/points/0".to_string())]);
    let trims = &plan.roofs[0].trims;
    let corner = trims.corners.iter().find(|corner| corner.point == 0).expect("the corner");
    for end in [&trims.runs[corner.before].end, &trims.runs[corner.after].start] {
        assert_eq!((end.gain, end.short, end.hand), (Length::ZERO, Length::ZERO, None));
    }
}

#[test]
fn a_run_that_its_neighbours_take_up_is_not_cut() {
    // A drip of 40 mm between two raised trims, which stop it 22 mm before either corner.
    let points = [(0, 0), (40, 0), (40, 3000), (0, 3000)];
    let kinds = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let plan = plan(&job(&points, &kinds)).expect("a sound roof");
    assert_eq!(found(&plan, "short_run"), [(Grade::Caution, "/roofs/0/outer/points/0".to_string())]);
    let run = &plan.roofs[0].trims.runs[0];
    assert_eq!((run.cut_length, run.fixings), (Length::ZERO, 0));
    assert!(plan.cut_lists.iter().all(|list| list.material != Material::Drip));
}

#[test]
fn mitres_that_meet_on_a_short_run_are_noted() {
    let points = [(0, 0), (150, 0), (150, 3000), (0, 3000)];
    let plan = plan(&job(&points, &[Kind::Drip; 4])).expect("a sound roof");
    // The flange is 85 mm wide: the two mitres take 170 mm of its inner edge.
    let places = ["/roofs/0/outer/points/0", "/roofs/0/outer/points/2"].map(|place| (Grade::Note, place.to_string()));
    assert_eq!(found(&plan, "pointed_run"), places);
}

#[test]
fn a_run_that_cannot_be_cut_is_named_and_the_rest_planned() {
    let mut job = job(&[(0, 0), (3040, 0), (3040, 2000), (0, 2000)], &[Kind::Abutment; 4]);
    // A lap may lie only where it is 1540 mm from both ends: on a run of 3040 mm nowhere.
    job.preferences.joint_clear = Length::from_mm(1540);
    let plan = plan(&job).expect("a sound roof");
    let places = ["/roofs/0/outer/points/0", "/roofs/0/outer/points/2"].map(|place| (Grade::Refuse, place.to_string()));
    assert_eq!(found(&plan, "uncuttable_run"), places);
    let made: Vec<&str> = plan
        .cut_lists
        .iter()
        .filter(|list| list.material <= Material::Batten)
        .flat_map(|list| &list.bars)
        .flat_map(|bar| &bar.pieces)
        .map(|piece| piece.mark.as_str())
        .collect();
    assert_eq!(made, ["A2", "A4"]);
}

#[test]
fn the_longer_leg_of_a_wall_trim_goes_to_the_wall() {
    let mm = |points: &[(i64, i64)]| points.iter().map(|&(u, v)| (Length::from_mm(u), Length::from_mm(v))).collect();
    let corners = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)];
    let walls = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let with = |points, kinds| {
        let mut job = job(&corners, kinds);
        let section = &mut job.system.trims.abutment.section;
        (section.points, section.face) = (points, 1);
        plan(&job).expect("a sound roof")
    };
    // An angle of 95 x 172 stands 167 mm above the finished roof, 5 mm of build-up; laid the other way 90 mm.
    let (right, wrong) = (mm(&[(-95, 0), (0, 0), (0, 172)]), mm(&[(-172, 0), (0, 0), (0, 95)]));
    let upright = with(right, &walls);
    assert_eq!((found(&upright, "short_wall_leg"), found(&upright, "upstand_height")), (Vec::new(), Vec::new()));
    let over: Plan = with(wrong, &walls);
    let at = |place: &str, grade| vec![(grade, place.to_string())];
    assert_eq!(found(&over, "short_wall_leg"), at("/system/trims/abutment/section/face", Grade::Caution));
    assert_eq!(found(&over, "upstand_height"), at("/system/trims/abutment/section", Grade::Refuse));
    let finding = over.findings.iter().find(|finding| finding.code == "upstand_height").expect("found above");
    assert_eq!((finding.value, finding.limit), (Some(90.0), Some(150.0)));
    // What stands above the leg at the wall, such as a top edge turned back, does not count as upstand.
    let turned_back = mm(&[(-95, 0), (0, 0), (0, 120), (-12, 180)]);
    assert_eq!(found(&with(turned_back, &walls), "upstand_height").len(), 1);
    // Without a wall there is nothing to say.
    let wrong = mm(&[(-172, 0), (0, 0), (0, 95)]);
    assert_eq!(found(&with(wrong, &[Kind::Drip; 4]), "short_wall_leg"), Vec::new());
}
