//! Laws that hold of any roof, whatever its shape.

use proptest::prelude::*;

use super::{CutList, Material, MitreCorner, PieceEnd, RoofTrims, Turn, develop, mitre};
use crate::geometry::Point;
use crate::roof::{Bend, Boundary, Kind, Outlet, Roof};
use crate::system::{EndRule, Section, Trims};
use crate::{Job, Length, plan};

/// An orthogonal or star-shaped roof: radii at equally spaced grid directions keep it simple.
fn roof() -> impl Strategy<Value = Roof> {
    let spoke = (2_000_i64..9_000, prop_oneof![Just(Kind::Drip), Just(Kind::Abutment), Just(Kind::OpenSide)]);
    prop::collection::vec(spoke, 4..12).prop_map(|spokes| {
        let n = spokes.len();
        let points = (0..n).map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / n as f64;
            let radius = spokes[i].0 as f64;
            // Multiples of 25 um stay whole under the rotation by a 7-24-25 triangle.
            let grid = |mm: f64| Length::from_um((mm * 40.0).round() as i64 * 25);
            Point { x: grid(radius * libm::cos(angle)), y: grid(radius * libm::sin(angle)) }
        });
        let outer = Boundary {
            points: points.collect(),
            kinds: spokes.iter().map(|spoke| spoke.1).collect(),
            ..Boundary::default()
        };
        Roof { outer, ..Roof::default() }
    })
}

fn job(roofs: Vec<Roof>) -> Job {
    let mut job = Job { roofs, ..Job::default() };
    job.preferences.nodes = 1_000;
    job
}

fn moved(roof: &Roof, to: impl Fn(Point) -> Point) -> Roof {
    let mut roof = roof.clone();
    roof.outer.points.iter_mut().for_each(|point| *point = to(*point));
    roof
}

/// What a cutter sees of a roof, without regard to order: kinds, lengths before and after cutting, ends.
fn sorted_runs(trims: &RoofTrims) -> Vec<(Kind, Length, Length, Length, Length)> {
    let mut runs: Vec<_> = trims
        .runs
        .iter()
        .map(|run| {
            let (a, b) = (run.start.gain, run.end.gain);
            (run.kind, run.line_length, run.cut_length, a.min(b), a.max(b))
        })
        .collect();
    runs.sort_unstable();
    runs
}

/// Bars and joints of every list. Battens are joined away from the laps in front of them, and where those lie along a
/// run of a mirrored roof is not mirrored: only their bars are counted.
fn counts(lists: &[CutList]) -> Vec<(u64, u64)> {
    let joints = |list: &CutList| if list.material == Material::Batten { 0 } else { list.joint_count };
    lists.iter().map(|list| (list.bar_count, joints(list))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn moving_turning_mirroring_and_renumbering_change_nothing(
        roof in roof(), dx in -1_000_000_i64..1_000_000, dy in -1_000_000_i64..1_000_000, first in 0_usize..12,
    ) {
        let before = plan(&job(vec![roof.clone()]))?;
        let (dx, dy) = (Length::from_mm(dx), Length::from_mm(dy));
        let translated = moved(&roof, |p| Point { x: p.x + dx, y: p.y + dy });
        let rotated = moved(&roof, |p| Point { x: (p.x * 7 - p.y * 24) / 25, y: (p.x * 24 + p.y * 7) / 25 });
        // A mirror image given in the same order runs clockwise and is turned round.
        let mirrored = moved(&roof, |p| Point { x: -p.x, y: p.y });
        let mut renumbered = roof.clone();
        let first = first % roof.outer.points.len();
        renumbered.outer.points.rotate_left(first);
        renumbered.outer.kinds.rotate_left(first);
        for other in [translated, rotated, mirrored, renumbered] {
            let after = plan(&job(vec![other]))?;
            prop_assert_eq!(sorted_runs(&before.roofs[0].trims), sorted_runs(&after.roofs[0].trims));
            prop_assert_eq!(counts(&before.cut_lists), counts(&after.cut_lists));
        }
    }

    #[test]
    fn the_order_of_roofs_changes_no_count(a in roof(), b in roof()) {
        let one = plan(&job(vec![a.clone(), b.clone()]))?;
        let other = plan(&job(vec![b, a]))?;
        prop_assert_eq!(counts(&one.cut_lists), counts(&other.cut_lists));
    }

    #[test]
    fn a_point_along_an_edge_changes_no_run(roof in roof(), edge in 0_usize..12) {
        let before = plan(&job(vec![roof.clone()]))?;
        let edge = edge % roof.outer.points.len();
        let (a, b) = (roof.outer.points[edge], roof.outer.points[(edge + 1) % roof.outer.points.len()]);
        let mut split = roof;
        // A fifth of a vector whose components are multiples of five stays on its line.
        split.outer.points.insert(edge + 1, Point { x: a.x + (b.x - a.x) / 5, y: a.y + (b.y - a.y) / 5 });
        split.outer.kinds.insert(edge, split.outer.kinds[edge]);
        let after = plan(&job(vec![split]))?;
        prop_assert_eq!(sorted_runs(&before.roofs[0].trims), sorted_runs(&after.roofs[0].trims));
    }

    #[test]
    fn pieces_make_up_their_runs_and_fit_their_bars(a in roof(), b in roof()) {
        let job = job(vec![a, b]);
        let plan = plan(&job)?;
        for list in plan.cut_lists.iter().filter(|list| list.material <= Material::Batten) {
            let trim = match list.material {
                Material::Drip => Some(&job.system.trims.drip),
                Material::Abutment => Some(&job.system.trims.abutment),
                Material::OpenSide => Some(&job.system.trims.open_side),
                _ => None,
            };
            let (least_lap, kerf) = trim.map_or((Length::ZERO, job.system.batten.kerf), |trim| (trim.lap, Length::ZERO));
            let nothing = (Length::ZERO, Length::ZERO);
            let mut by_run = std::collections::BTreeMap::<_, Vec<_>>::new();
            for bar in &list.bars {
                let mut free = Length::ZERO;
                for piece in &bar.pieces {
                    prop_assert!(piece.at >= free && piece.length.is_positive());
                    // Every cut is a whole millimetre, the demonstration system's increment.
                    prop_assert_eq!((piece.length % Length::from_mm(1), piece.start_along % Length::from_mm(1)), nothing);
                    free = piece.at + piece.length + kerf;
                    by_run.entry((piece.roof, piece.run)).or_default().push(piece);
                }
                prop_assert!(free - kerf + bar.offcut <= bar.length);
            }
            for ((roof, i), mut pieces) in by_run {
                let run = &plan.roofs[roof].trims.runs[i];
                pieces.sort_by_key(|piece| piece.start_along);
                prop_assert_eq!(pieces[0].start_along, Length::ZERO);
                for (pair, letter) in pieces.windows(2).zip('a'..) {
                    let overlap = pair[0].start_along + pair[0].length - pair[1].start_along;
                    prop_assert!(overlap >= least_lap);
                    let (under, over) = (PieceEnd::Lap { length: overlap, over: false }, PieceEnd::Lap { length: overlap, over: true });
                    prop_assert_eq!(&pair[0].end, &under);
                    prop_assert_eq!(&pair[1].start, &over);
                    prop_assert_eq!(&pair[0].mark, &format!("{}{letter}", run.mark));
                }
                let last = pieces[pieces.len() - 1];
                let end = last.start_along + last.length;
                let whole = if trim.is_some() { run.cut_length } else { end };
                prop_assert_eq!(end, whole);
                let least = run.line_length + run.start.gain.min(Length::ZERO) + run.end.gain.min(Length::ZERO);
                prop_assert!(end >= least);
                if trim.is_some() {
                    let joints: Vec<Length> = pieces[1..].iter().map(|piece| piece.start_along).collect();
                    prop_assert_eq!(&run.joints, &joints);
                }
            }
        }
    }

    #[test]
    fn turns_add_up_to_a_full_turn(roof in roof()) {
        // Sum of the exterior angles of a simple polygon. No turn may be lost as nearly straight.
        let mut job = job(vec![roof]);
        job.system.limits.straight_deg = 0.0;
        let trims = &plan(&job)?.roofs[0].trims;
        let sum: f64 = trims.corners.iter().map(|corner| corner.turn_deg).sum();
        prop_assert!((sum - 360.0).abs() < 1e-5);
        for corner in &trims.corners {
            prop_assert_eq!(corner.turn == Turn::Outer, corner.turn_deg > 0.0);
        }
    }

    #[test]
    fn mitred_runs_of_any_convex_roof_add_up_to_their_outer_line(
        spokes in prop::collection::vec((0_i64..360, prop_oneof![Just(Kind::Drip), Just(Kind::OpenSide)]), 3..12),
        radius in 4_000_i64..15_000,
    ) {
        // Points on a circle in order are a convex roof. Perimeter and turns are worked out from them here; each end gains
        // u tan(turn / 2), for the section's outermost line u.
        let mut spokes = spokes;
        spokes.sort_unstable();
        spokes.dedup_by_key(|spoke| spoke.0);
        let n = spokes.len();
        prop_assume!(n > 2);
        let at = |i: usize| {
            let angle = (spokes[i % n].0 as f64).to_radians();
            let um = |v: f64| Length::from_um((v * radius as f64 * 1e3).round() as i64);
            Point { x: um(libm::cos(angle)), y: um(libm::sin(angle)) }
        };
        let vector = |i: usize| ((at(i + 1).x - at(i).x).mm(), (at(i + 1).y - at(i).y).mm());
        let turn = |i: usize| {
            let (a, b) = (vector((i + n - 1) % n), vector(i));
            libm::atan2(a.0 * b.1 - a.1 * b.0, a.0 * b.0 + a.1 * b.1)
        };
        prop_assume!((0..n).all(|i| turn(i) > 0.02 && turn(i) < 2.9));
        let outer = Boundary {
            points: (0..n).map(at).collect(),
            kinds: spokes.iter().map(|spoke| spoke.1).collect(),
            ..Boundary::default()
        };
        let mut job = job(vec![Roof { outer, ..Roof::default() }]);
        job.system.cutting_increment = Length::from_um(1);
        for row in &mut job.system.corners {
            row.ends = (EndRule::mitre(), EndRule::mitre());
        }
        let outermost = |kind: Kind| job.system.trims.of(kind).section.outermost().mm();
        let expected: f64 = (0..n)
            .map(|i| {
                let (before, after) = (outermost(spokes[(i + n - 1) % n].1), outermost(spokes[i].1));
                libm::hypot(vector(i).0, vector(i).1) + (before + after) * libm::tan(turn(i) / 2.0)
            })
            .sum();
        let trims = &plan(&job)?.roofs[0].trims;
        let found: Length = trims.runs.iter().map(|run| run.cut_length).sum();
        prop_assert!((found.mm() - expected).abs() < 0.005 * n as f64, "{} {}", found, expected);
    }

    #[test]
    fn developing_and_folding_back_returns_the_cut_section(
        points in prop::collection::vec((-150_000_i64..150_000, -150_000_i64..150_000), 3..9), interior in 10.0_f64..350.0,
    ) {
        prop_assume!((interior - 180.0).abs() > 0.1);
        let points: Vec<_> = points.into_iter().map(|(u, v)| (Length::from_um(u), Length::from_um(v))).collect();
        let section =
            Section { points, deck_flange: 0, face: 1, thickness: Length::from_mm(2), bead_radius: Length::ZERO };
        let turn = (180.0 - interior).to_radians();
        let developed = develop(&section, Bend { sin: libm::sin(turn), cos: libm::cos(turn) });
        // Fold the flat strip again: facet by facet, as wide as the girth says, in the direction of the section's facet.
        let (mut u, mut v) = (section.points[0].0.mm(), section.points[0].1.mm());
        for (i, mark) in developed.mark.iter().enumerate() {
            let (given_u, given_v) = (section.points[i].0.mm(), section.points[i].1.mm());
            prop_assert!((u - given_u).abs() < 0.01 && (v - given_v).abs() < 0.01, "{u} {v} at point {i}");
            // The mark, folded, lies in the plane that bisects the corner: x cos(turn / 2) = u sin(turn / 2).
            let off = mark.1.mm() * libm::cos(turn / 2.0) - u * libm::sin(turn / 2.0);
            prop_assert!(off.abs() < 0.01, "{off} at point {i}");
            if let Some(next) = developed.mark.get(i + 1) {
                let (du, dv) = (section.points[i + 1].0.mm() - given_u, section.points[i + 1].1.mm() - given_v);
                let (width, norm) = ((next.0 - mark.0).mm(), libm::hypot(du, dv));
                if norm > 0.0 {
                    (u, v) = (u + du / norm * width, v + dv / norm * width);
                }
            }
        }
    }

    #[test]
    fn swapping_the_two_edges_mirrors_the_cut(
        interior_deg in 10.0_f64..350.0, rise_before in -1.0_f64..1.0, rise_after in -1.0_f64..1.0,
    ) {
        prop_assume!((interior_deg - 180.0).abs() > 0.1);
        let corner = MitreCorner { interior_deg, rise_before, rise_after };
        // Seen from the other side the ring runs the other way: what rose towards the corner now falls away from it.
        let mirrored = MitreCorner { rise_before: -rise_after, rise_after: -rise_before, ..corner };
        for trim in [Trims::default().drip, Trims::default().abutment, Trims::default().open_side] {
            let (one, other) = (mitre(&trim.section, &corner)?, mitre(&trim.section, &mirrored)?);
            prop_assert!((one.interior_deg - other.interior_deg).abs() < 1e-6);
            for (a, b) in [(&one.ends.0, &other.ends.1), (&one.ends.1, &other.ends.0)] {
                prop_assert_eq!(a.hand, b.hand);
                for (a, b) in a.development.mark.iter().zip(&b.development.mark) {
                    prop_assert!(a.0 == b.0 && (a.1 - b.1).abs() <= Length::from_um(1));
                }
                for (a, b) in a.development.facets.iter().zip(&b.development.facets) {
                    prop_assert!((a.mitre_deg - b.mitre_deg).abs() < 2e-6 && (a.bevel_deg - b.bevel_deg).abs() < 2e-6);
                }
            }
        }
    }

    #[test]
    fn mitred_runs_of_a_convex_roof_add_up_to_the_outer_line(n in 3_usize..13, radius in 3_000_i64..20_000) {
        // Regular n-gon: the outer line is longer than the inner by 2 b tan(180 / n) a side, for a width b.
        let at = |i: usize| {
            let angle = std::f64::consts::TAU * i as f64 / n as f64;
            let um = |v: f64| Length::from_um((v * radius as f64 * 1e3).round() as i64);
            Point { x: um(libm::cos(angle)), y: um(libm::sin(angle)) }
        };
        let outer = Boundary { points: (0..n).map(at).collect(), kinds: vec![Kind::Drip; n], ..Boundary::default() };
        let mut job = job(vec![Roof { outer, ..Roof::default() }]);
        job.system.cutting_increment = Length::from_um(1);
        let trims = &plan(&job)?.roofs[0].trims;
        let half = std::f64::consts::PI / n as f64;
        let expected = n as f64 * (2.0 * radius as f64 * libm::sin(half) + 2.0 * 27.0 * libm::tan(half));
        let found: Length = trims.runs.iter().map(|run| run.cut_length).sum();
        prop_assert!((found.mm() - expected).abs() < 0.003 * n as f64, "{} {}", found, expected);
    }
}

#[test]
fn a_rectangle_with_a_projecting_drip_has_its_outer_perimeter() {
    // Closed formula: 2 (L + B) + 8 times the projection.
    let at = |x, y| Point { x: Length::from_mm(x), y: Length::from_mm(y) };
    let outer = Boundary {
        points: vec![at(0, 0), at(6000, 0), at(6000, 4000), at(0, 4000)],
        kinds: vec![Kind::Drip; 4],
        ..Boundary::default()
    };
    let mut job = job(vec![Roof { outer, ..Roof::default() }]);
    job.system.trims.drip.section.points = [(-60, 0), (0, 0), (15, 5), (15, -50), (5, -50)]
        .map(|(u, v)| (Length::from_mm(u), Length::from_mm(v)))
        .to_vec();
    let trims = &plan(&job).expect("a sound roof").roofs[0].trims;
    assert_eq!(trims.runs.iter().map(|run| run.cut_length).sum::<Length>(), Length::from_mm(20_120));
}

#[test]
fn joints_keep_clear_of_outlets_and_of_joints_in_front() {
    let at = |x, y| Point { x: Length::from_mm(x), y: Length::from_mm(y) };
    let outer = Boundary {
        points: vec![at(0, 0), at(8000, 0), at(8000, 4000), at(0, 4000)],
        kinds: vec![Kind::Drip; 4],
        ..Boundary::default()
    };
    let mut moved = 0;
    let mut before = Vec::new();
    for x in (1000..7000).step_by(500) {
        let outlets = vec![Outlet { at: at(x, 150), diameter: Length::from_mm(100) }];
        let job = job(vec![Roof { outer: outer.clone(), outlets, ..Roof::default() }]);
        let plan = plan(&job).expect("a sound roof");
        assert!(plan.findings.iter().all(|finding| finding.code != "joint_not_clear"), "{:?}", plan.findings);
        let trims = &plan.roofs[0].trims;
        let bottom = trims.runs.iter().position(|run| run.from == at(0, 0)).expect("a run");
        let (clear, radius) = (Length::from_mm(150), Length::from_mm(50));
        let outlet = Length::from_mm(x) + trims.runs[bottom].start.gain;
        for &joint in &trims.runs[bottom].joints {
            let lap = (joint, joint + Length::from_mm(50));
            assert!(lap.1 <= outlet - radius - clear || lap.0 >= outlet + radius + clear, "{lap:?} at {outlet}");
        }
        moved += u32::from(!before.is_empty() && before != trims.runs[bottom].joints);
        before.clone_from(&trims.runs[bottom].joints);
        // Behind each lap of the trim, the batten is whole. Battens and trims begin 25 and 27 mm before the corner.
        let battens = plan.cut_lists.iter().find(|list| list.material == Material::Batten).expect("battens");
        let pieces = battens.bars.iter().flat_map(|bar| &bar.pieces).filter(|piece| piece.start_along.is_positive());
        for piece in pieces {
            let run = &trims.runs[piece.run];
            let joint = piece.start_along + Length::from_mm(2);
            for &lap in &run.joints {
                let (from, to) = (lap - job.system.batten.joint_clear, lap + Length::from_mm(150));
                assert!(joint <= from || joint >= to, "batten joint at {joint}, lap at {lap}");
            }
        }
    }
    assert!(moved > 0, "no outlet moved a joint");
}
