//! Mitres in space: cut ends must meet, whatever the deck's fall.

use proptest::prelude::*;

use super::{Turn, develop};
use crate::geometry::Point;
use crate::roof::{Boundary, CornerChoice, Kind, Outline, Roof};
use crate::system::{EndRule, Limits, Reach, Section};
use crate::{Job, Length, plan};

type V3 = [f64; 3];

fn minus(a: V3, b: V3) -> V3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: V3, b: V3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: V3, b: V3) -> V3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(a: V3) -> V3 {
    let norm = dot(a, a).sqrt();
    a.map(|part| part / norm)
}

fn sum(parts: &[(V3, f64)]) -> V3 {
    [0, 1, 2].map(|i| parts.iter().map(|(v, times)| v[i] * times).sum())
}

prop_compose! {
    fn section()(points in prop::collection::vec((-150_000_i64..150_000, -150_000_i64..150_000), 3..9)) -> Section {
        let points = points.iter().map(|&(u, v)| (Length::from_um(u), Length::from_um(v))).collect();
        Section { points, deck_flange: 0, face: 1, thickness: Length::from_mm(2), bead_radius: Length::ZERO }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    /// Both trims are placed in space, lying in the plane of their two edges, and their marked ends compared: no formula
    /// of the mitre is used.
    #[test]
    fn two_cut_ends_coincide(
        points in prop::array::uniform3((-9_000_i64..9_000, -9_000_i64..9_000, -400_i64..400)),
        section in section(),
    ) {
        let plan: Vec<Point> = points.iter().map(|&(x, y, _)| Point::from_mm(x, y)).collect();
        let levels = points.iter().map(|&(_, _, z)| Length::from_mm(z)).collect();
        let outer = Boundary { points: plan, levels, kinds: vec![Kind::Drip; 3], ..Boundary::default() };
        let roof = Roof { outer, ..Roof::default() };
        // Triangles that are no roof, or as sharp as no trim is mitred, say nothing here.
        let outline = Outline::new(&roof, &Limits::default(), "");
        prop_assume!(outline.is_ok());
        let ring = &outline?.rings[0];
        let at = |i: usize| {
            let (point, level) = (ring.points[i % 3], ring.levels[i % 3]);
            [point.x.mm(), point.y.mm(), level.mm()]
        };
        for vertex in ring.vertices.iter().filter(|vertex| vertex.plan.degrees() < 170.0) {
            let i = vertex.point;
            let (arrives, leaves) = (unit(minus(at(i), at(i + 2))), unit(minus(at(i + 1), at(i))));
            let up = unit(cross(arrives, leaves));
            let (out_before, out_after) = (cross(arrives, up), cross(leaves, up));
            let developed = develop(&section, vertex.laid);
            for (&(u, v), &(_, along)) in section.points.iter().zip(&developed.mark) {
                let (u, v, along) = (u.mm(), v.mm(), along.mm());
                let one = sum(&[(out_before, u), (up, v), (arrives, along)]);
                let other = sum(&[(out_after, u), (up, v), (leaves, -along)]);
                let apart = minus(one, other);
                prop_assert!(dot(apart, apart).sqrt() < 0.01, "{one:?} {other:?}");
            }
        }
    }
}

fn rectangle(levels: &[i64]) -> Boundary {
    Boundary {
        points: vec![
            Point::from_mm(0, 0),
            Point::from_mm(4000, 0),
            Point::from_mm(4000, 3000),
            Point::from_mm(0, 3000),
        ],
        kinds: vec![Kind::Drip, Kind::OpenSide, Kind::OpenSide, Kind::Drip],
        levels: levels.iter().map(|&mm| Length::from_mm(mm)).collect(),
        ..Boundary::default()
    }
}

fn cut_lengths(outer: Boundary) -> Vec<Length> {
    let job = Job { roofs: vec![Roof { outer, ..Roof::default() }], ..Job::default() };
    plan(&job).expect("a sound roof").roofs[0].trims.runs.iter().map(|run| run.cut_length).collect()
}

#[test]
fn a_level_deck_is_a_deck_with_equal_levels() {
    assert_eq!(cut_lengths(rectangle(&[])), cut_lengths(rectangle(&[70; 4])));
}

#[test]
fn trims_are_as_long_as_the_slope() {
    // 3-4-5 triangle: 4000 along, 3000 up, 5000 on the slope; corners stay square.
    let level = cut_lengths(rectangle(&[0; 4]));
    let sloped = cut_lengths(rectangle(&[0, 3000, 3000, 0]));
    let more: Vec<i64> = sloped.iter().zip(&level).map(|(sloped, level)| (*sloped - *level).um() / 1_000).collect();
    assert_eq!(more, [1000, 0, 1000, 0]);
}

#[test]
fn a_corner_may_be_decided_by_the_job() {
    let square = |reach, gain| EndRule { gain: Length::from_mm(gain), ..EndRule::square(reach) };
    let choice =
        CornerChoice { point: 1, ends: (square(Reach::Outermost, 0), square(Reach::Outline, -3)), patches: Some(5) };
    let job = |outer| Job { roofs: vec![Roof { outer, ..Roof::default() }], ..Job::default() };
    let mut outer = rectangle(&[]);
    outer.corners.push(choice);
    let ends = |job: &Job| {
        let trims = plan(job).expect("a sound roof").roofs[0].trims.clone();
        let corner =
            trims.corners.iter().find(|corner| corner.at == Point::from_mm(4000, 0)).expect("a corner").clone();
        (trims.runs[corner.before].end.gain, trims.runs[corner.after].start.gain, corner.patches)
    };
    let expected = (Length::from_mm(27), Length::from_mm(-3), 5);
    assert_eq!(ends(&job(outer.clone())), expected);
    // Given clockwise, the edge that arrives is the other one.
    let mut clockwise = outer.clone();
    clockwise.points.reverse();
    clockwise.kinds = vec![Kind::OpenSide, Kind::OpenSide, Kind::Drip, Kind::Drip];
    clockwise.corners[0].point = 2;
    clockwise.corners[0].ends = (outer.corners[0].ends.1.clone(), outer.corners[0].ends.0.clone());
    assert_eq!(ends(&job(clockwise)), expected);
}

#[test]
fn a_choice_at_a_point_in_a_straight_edge_breaks_the_run_there() {
    let butt = EndRule { gain: Length::from_mm(-2), ..EndRule::square(Reach::Outermost) };
    let mut outer = rectangle(&[]);
    outer.points.insert(1, Point::from_mm(1500, 0));
    outer.kinds.insert(1, Kind::Drip);
    let runs = |outer: &Boundary| {
        let job = Job { roofs: vec![Roof { outer: outer.clone(), ..Roof::default() }], ..Job::default() };
        plan(&job).expect("a sound roof").roofs[0].trims.clone()
    };
    assert_eq!(runs(&outer).runs.len(), 4);
    outer.corners.push(CornerChoice { point: 1, ends: (butt.clone(), butt), patches: None });
    let trims = runs(&outer);
    assert_eq!(trims.runs.len(), 5);
    let corner = trims.corners.iter().find(|corner| corner.point == 1).expect("a corner");
    assert_eq!((corner.turn, corner.patches), (Turn::Straight, 2));
    assert_eq!(trims.runs[corner.before].end.gain, Length::from_mm(-2));
    assert_eq!(trims.runs[corner.before].line_length, Length::from_mm(1500));
}
