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
