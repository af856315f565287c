//! Laws of the mat, checked on whole plans by sampling: nothing here uses the planner's own geometry.

use proptest::prelude::*;

use crate::geometry::{Point, Ring};
use crate::job::Job;
use crate::length::Length;
use crate::mat::{RoofMat, StripPiece};
use crate::money::Money;
use crate::roof::{Boundary, Kind, Roof};
use crate::system::{Direction, MatRoll, System, ZoneChoice};
use crate::trim::{Material, PieceEnd};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn boundary(points: &[(i64, i64)], kinds: &[Kind]) -> Boundary {
    let points = points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
    Boundary { points, kinds: kinds.to_vec(), ..Boundary::default() }
}

/// Trims whose flanges begin at the outline and lie beyond it: the mat then covers the outline itself.
fn flat_system() -> System {
    let mut system = System::default();
    for trim in [&mut system.trims.drip, &mut system.trims.abutment, &mut system.trims.open_side] {
        let out = -trim.section.points[trim.section.deck_flange].0;
        for point in &mut trim.section.points {
            point.0 += out;
        }
    }
    system
}

fn mat_of(roof: Roof, system: System) -> RoofMat {
    let outline = crate::roof::Outline::new(&roof, &system.limits, "/roofs/0").expect("a sound roof");
    let job = Job { roofs: vec![roof], system, ..Job::default() };
    let outlines = [outline];
    let trims = crate::trim::set_out(&job, &outlines).expect("trims");
    super::lay_out(&job, &outlines, &trims.roofs).expect("mat").roofs.remove(0)
}

fn pieces(mat: &RoofMat) -> impl Iterator<Item = (u64, &StripPiece)> {
    mat.strips.iter().flat_map(|strip| strip.pieces.iter().map(move |piece| (strip.number, piece)))
}

fn length_off_the_roll(mat: &RoofMat) -> Length {
    pieces(mat).map(|(_, piece)| piece.length).sum()
}

/// Even-odd, in floating point, by the crossings of a ray: written for these tests.
fn inside(rings: &[Vec<Point>], x: f64, y: f64) -> bool {
    let mut odd = false;
    for ring in rings {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let (ax, ay, bx, by) = (a.x.mm(), a.y.mm(), b.x.mm(), b.y.mm());
            if (ay > y) != (by > y) && x < ax + (bx - ax) * (y - ay) / (by - ay) {
                odd = !odd;
            }
        }
    }
    odd
}

/// Walks across the strips along lines through the deck: every point is covered, by one strip or by two neighbours, and
/// from one strip to the next the way leads through a full lap.
fn check_cover(mat: &RoofMat, system: &System) {
    let deck: Vec<Vec<Point>> = mat.seams.iter().map(|seam| seam.points.clone()).collect();
    let corners: Vec<(f64, f64)> = deck.iter().flatten().map(|point| (point.x.mm(), point.y.mm())).collect();
    let (ux, uy) = mat.direction;
    let along = |&(x, y): &(f64, f64)| x * ux + y * uy;
    let up = |&(x, y): &(f64, f64)| y * ux - x * uy;
    let range = |of: &dyn Fn(&(f64, f64)) -> f64| {
        let low = corners.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    };
    let ((t0, t1), (v0, v1)) = (range(&along), range(&up));
    let step = 7.0;
    for line in 0..23 {
        let t = t0 + (t1 - t0) * (f64::from(line) + 0.37) / 23.0;
        let (mut both, mut before): (f64, Option<u64>) = (0.0, None);
        let mut v = v0 + 0.013;
        while v < v1 {
            let (x, y) = (t * ux - v * uy, t * uy + v * ux);
            // Outlines of pieces are rounded to the micrometre: points closer than that to the deck's edge say nothing.
            let deep = [(0.003, 0.0), (-0.003, 0.0), (0.0, 0.003), (0.0, -0.003)];
            if deep.iter().all(|(dx, dy)| inside(&deck, x + dx, y + dy)) {
                let covers: Vec<u64> =
                    pieces(mat).filter(|(_, piece)| inside(&piece.outline, x, y)).map(|(number, _)| number).collect();
                let mut strips = covers.clone();
                strips.dedup();
                assert!(!covers.is_empty(), "({x}, {y}) is not covered");
                assert!(
                    strips.len() <= 2 && strips[strips.len() - 1] - strips[0] <= 1,
                    "({x}, {y}) is under {strips:?}"
                );
                if strips.len() == 2 {
                    both += step;
                } else {
                    if before.is_some_and(|before| before != strips[0]) {
                        assert!(
                            before.is_some_and(|before| before + 1 == strips[0]),
                            "strips out of order at ({x}, {y})"
                        );
                        assert!(both + 2.0 * step >= system.mat.lap.mm(), "lap of {both} before ({x}, {y})");
                    }
                    before = Some(strips[0]);
                    both = 0.0;
                }
            } else {
                (both, before) = (0.0, None);
            }
            v += step;
        }
    }
    for (_, piece) in pieces(mat) {
        let flat: Vec<(f64, f64)> = piece.outline.iter().flatten().map(|p| (p.x.mm(), p.y.mm())).collect();
        let size = |of: &dyn Fn(&(f64, f64)) -> f64| {
            flat.iter().map(of).fold(f64::NEG_INFINITY, f64::max) - flat.iter().map(of).fold(f64::INFINITY, f64::min)
        };
        assert!(size(&up) <= piece.width.mm() + 0.01 && piece.width <= system.mat.width + Length::from_um(5));
        assert!(size(&along) <= piece.length.mm() + 0.01, "{} is longer than {}", size(&along), piece.length);
    }
}

/// Worked roof of 6.0 x 4.0 m, strips along 6 m, laps of 50 mm, last strip trimmed: 24 + 4 x 0.05 x 6 = 25.2 m2 of mat
/// (closed formula). Untrimmed, 30 m off the roll.
#[test]
fn the_worked_roof_takes_its_mat() {
    use Kind::{Abutment, Drip, OpenSide};
    let kinds = [Drip, OpenSide, Abutment, OpenSide];
    let outer = boundary(&[(0, 0), (6000, 0), (6000, 4000), (0, 4000)], &kinds);
    let mat = mat_of(Roof { outer, ..Roof::default() }, flat_system());
    assert_eq!(mat.strips.len(), 5);
    assert!((mat.laid_m2 - 25.2).abs() < 1e-9, "{}", mat.laid_m2);
    assert_eq!(length_off_the_roll(&mat), mm(30_000));
    assert_eq!((mat.lap, mat.tape), (mm(50), mm(20_000)));
    assert_eq!(pieces(&mat).last().map(|(_, piece)| piece.width), Some(mm(200)));
    assert_eq!(mat.patches.iter().filter(|patch| patch.corner).count(), 4);
    check_cover(&mat, &flat_system());
}

#[test]
fn seams_lie_at_the_flanges_of_each_edge() {
    use Kind::{Abutment, Drip, OpenSide};
    let kinds = [Drip, OpenSide, Abutment, OpenSide];
    let outer = boundary(&[(0, 0), (6000, 0), (6000, 4000), (0, 4000)], &kinds);
    let mat = mat_of(Roof { outer, ..Roof::default() }, System::default());
    // Flanges of the demonstration system: drip 85, wall 95, raised 90 mm.
    let expected = [(90, 85), (5910, 85), (5910, 3905), (90, 3905)];
    assert_eq!(mat.seams[0].points, expected.map(|(x, y)| Point::from_mm(x, y)));
    assert_eq!(mat.tape, mm(2 * (5820 + 3820)));
    check_cover(&mat, &System::default());
}

#[test]
fn a_kerb_is_cut_out_and_a_wide_gap_parts_a_strip() {
    let outer = [(0, 0), (8000, 0), (8000, 5000), (0, 5000)];
    let roof = |side: i64| Roof {
        outer: boundary(&outer, &[Kind::Drip; 4]),
        holes: vec![boundary(&[(2000, 1800), (2000, 3000), (2000 + side, 3000), (2000 + side, 1800)], &[])],
        ..Roof::default()
    };
    let narrow = mat_of(roof(1000), flat_system());
    assert!(narrow.strips.iter().all(|strip| strip.pieces.len() == 1));
    check_cover(&narrow, &flat_system());
    let wide = mat_of(roof(3000), flat_system());
    let several: Vec<&str> =
        pieces(&wide).map(|(_, piece)| piece.mark.as_str()).filter(|mark| mark.len() > 1).collect();
    assert_eq!(several, ["3a", "3b"]);
    check_cover(&wide, &flat_system());
}

#[test]
fn long_strips_are_joined_from_several_rolls() {
    let mut system = flat_system();
    system.mat.roll = mm(10_000);
    let outer = boundary(&[(0, 0), (23_000, 0), (23_000, 2800), (0, 2800)], &[Kind::Drip; 4]);
    let mat = mat_of(Roof { outer, ..Roof::default() }, system.clone());
    assert_eq!(mat.strips.len(), 3);
    let mut used = std::collections::BTreeMap::new();
    for (_, piece) in pieces(&mat) {
        *used.entry(piece.roll).or_insert(Length::ZERO) += piece.length;
    }
    assert!(used.values().all(|&length| length <= system.mat.roll), "{used:?}");
    // 3 x 23 m in rolls of 10 m: a chain of seven rolls with six laps is 70 - 0.3 = 69.7 m.
    assert_eq!(used.len(), 7);
    check_cover(&mat, &system);
    let lapped = 69.0 + 0.05 * 6.0;
    assert!((length_off_the_roll(&mat).m() - lapped).abs() < 0.2, "{}", length_off_the_roll(&mat));
}

#[test]
fn the_best_direction_is_that_of_the_long_side() {
    let outer = boundary(
        &[(0, 0), (900, 0), (900, 7000), (0, 7000)],
        &[Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide],
    );
    let mut system = flat_system();
    system.mat.direction = Direction::Best;
    let mat = mat_of(Roof { outer: outer.clone(), ..Roof::default() }, system.clone());
    assert_eq!((mat.strips.len(), length_off_the_roll(&mat)), (1, mm(7000)));
    system.mat.direction = Direction::Edge(0);
    let mat = mat_of(Roof { outer, ..Roof::default() }, system);
    assert_eq!((mat.strips.len(), length_off_the_roll(&mat)), (8, mm(7200)));
}

#[test]
fn a_roof_as_narrow_as_its_flanges_takes_no_mat() {
    let outer = boundary(&[(0, 0), (3000, 0), (3000, 160), (0, 160)], &[Kind::Drip; 4]);
    let mat = mat_of(Roof { outer, ..Roof::default() }, System::default());
    assert!(mat.strips.is_empty() && mat.seams.is_empty());
    assert_eq!((mat.laid_m2, mat.tape), (0.0, Length::ZERO));
}

/// Outlines from steps along a rectangle: corners to both sides and notches.
fn stepped() -> impl Strategy<Value = Roof> {
    let steps = prop::collection::vec((500i64..3000, 1500i64..6000), 2..6);
    (steps, -20i64..20, any::<bool>(), prop::sample::select(vec![Kind::Drip, Kind::OpenSide])).prop_map(
        |(steps, skew, kerb, kind)| {
            let width: i64 = steps.iter().map(|step| step.0).sum();
            let mut points = vec![(0, 0), (width, 0)];
            let mut x = width;
            for (wide, high) in steps {
                points.extend([(x, high), (x - wide, high)]);
                x -= wide;
            }
            points.dedup();
            // A rotation by a small rational slope, so that nothing lies along the axes.
            let turn = |(x, y): (i64, i64)| (x * 100 - y * skew, y * 100 + x * skew);
            let turned: Vec<(i64, i64)> = points.into_iter().map(turn).map(|(x, y)| (x / 100, y / 100)).collect();
            let mut kinds = vec![Kind::OpenSide; turned.len()];
            kinds[0] = kind;
            let holes = if kerb {
                let kerb = [(200, 200), (200, 600), (450, 600), (450, 200)].map(turn).map(|(x, y)| (x / 100, y / 100));
                vec![boundary(&kerb, &[])]
            } else {
                Vec::new()
            };
            Roof { outer: boundary(&turned, &kinds), holes, ..Roof::default() }
        },
    )
}

/// Trims whose flanges the mat covers, up to the outline.
fn covering_system() -> System {
    let mut system = System::default();
    for trim in [&mut system.trims.drip, &mut system.trims.abutment, &mut system.trims.open_side] {
        trim.mat_onto = mm(500);
    }
    system
}

/// What rolls of mat cost, as the system prices them.
fn price_of(system: &System, roof: &Roof) -> u64 {
    let job = Job { roofs: vec![roof.clone()], system: system.clone(), ..Job::default() };
    let plan = crate::plan(&job).expect("a plan");
    let list = plan.cut_lists.iter().find(|list| list.material == Material::Mat).expect("a list of mat");
    let width = plan.roofs[0].mat.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.width).max();
    let width = width.expect("pieces");
    let of = |length: Length| {
        let rolls = system.mat.rolls().filter(|roll| roll.length == length && roll.width >= width);
        rolls.filter_map(|roll| roll.price).map(Money::parts).min().expect("a roll on offer")
    };
    list.bars.iter().map(|bar| of(bar.length)).sum()
}

/// Of several widths and lengths the plan takes those that cost least: no more than with any roll alone.
#[test]
fn the_cheapest_rolls_are_chosen() {
    let roll = |width: i64, length: i64, units: u64| MatRoll {
        width: mm(width),
        length: mm(length),
        price: Some(Money::from_parts(units * 10_000)),
    };
    let outer = boundary(&[(0, 0), (7400, 0), (7400, 4850), (0, 4850)], &[Kind::Drip; 4]);
    let roof = Roof { outer, ..Roof::default() };
    let offers = [roll(1000, 90_000, 150), roll(1000, 25_000, 50), roll(1250, 40_000, 72), roll(950, 60_000, 100)];
    let system_of = |offers: &[MatRoll]| {
        let mut system = covering_system();
        (system.mat.width, system.mat.roll, system.mat.price) = (offers[0].width, offers[0].length, offers[0].price);
        system.mat.other_rolls = offers[1..].to_vec();
        system
    };
    let alone: Vec<u64> = offers.iter().map(|&offer| price_of(&system_of(&[offer]), &roof)).collect();
    // 4.85 m take six strips of 0.95 m (44.4 m), six of 1 m (44.4 m) or four of 1.25 m (29.6 m).
    assert_eq!(alone, [1_500_000, 1_000_000, 720_000, 1_000_000]);
    assert_eq!(price_of(&system_of(&offers), &roof), 720_000);
    // 44.4 m from rolls of 90 m and 25 m: two short ones are cheaper than a long one.
    assert_eq!(price_of(&system_of(&offers[..2]), &roof), 1_000_000);
    let job = Job { roofs: vec![roof.clone()], system: system_of(&offers), ..Job::default() };
    let plan = crate::plan(&job).expect("a plan");
    let said = plan.findings.iter().find(|finding| finding.code == "mat_width_chosen").expect("a finding");
    assert!(said.text.contains("1250 mm") && said.text.contains("72"), "{}", said.text);
    let line = plan.takeoff.iter().find(|line| line.material == "mat").expect("a line");
    assert_eq!(line.cost, Some(Money::from_parts(720_000)));
    // The last roll is only begun: a short one is enough for what it is used for.
    let outer = boundary(&[(0, 0), (16_000, 0), (16_000, 5750), (0, 5750)], &[Kind::Drip; 4]);
    let long = Roof { outer, ..Roof::default() };
    assert_eq!(price_of(&system_of(&offers[..2]), &long), 2_000_000);
    let job = Job { roofs: vec![long], system: system_of(&offers[..2]), ..Job::default() };
    let plan = crate::plan(&job).expect("a plan");
    let line = plan.takeoff.iter().find(|line| line.material == "mat").expect("a line");
    assert_eq!(line.packs.iter().map(|pack| pack.count).sum::<u64>(), 2);
}

/// The lists of mat and tape hold every piece once, end to end on its roll.
#[test]
fn lists_of_mat_and_tape_hold_every_piece() {
    let mut system = covering_system();
    (system.mat.roll, system.tape.roll) = (mm(10_000), mm(20_000));
    let outer = boundary(&[(0, 0), (23_000, 0), (23_000, 2800), (0, 2800)], &[Kind::Drip; 4]);
    let job = Job { roofs: vec![Roof { outer, ..Roof::default() }], system, ..Job::default() };
    let plan = crate::plan(&job).expect("a plan");
    let mat = &plan.roofs[0].mat;
    for (material, mut marks, joints, rolls) in [
        (Material::Mat, pieces(mat).map(|(_, piece)| piece.mark.clone()).collect::<Vec<_>>(), 6, 7),
        (Material::Tape, mat.tape_pieces.iter().map(|piece| piece.mark.clone()).collect(), 2, 3),
    ] {
        let list = plan.cut_lists.iter().find(|list| list.material == material).expect("a list");
        let cut = || list.bars.iter().flat_map(|bar| &bar.pieces);
        let mut cuts: Vec<String> = cut().map(|piece| piece.mark.clone()).collect();
        cuts.sort();
        marks.sort();
        assert_eq!(cuts, marks);
        assert_eq!((list.joint_count, list.bar_count), (joints, rolls), "{material:?}");
        let laps = cut().filter(|piece| matches!(piece.start, PieceEnd::Lap { .. })).count();
        assert_eq!(laps as u64, joints);
        for bar in &list.bars {
            let mut at = Length::ZERO;
            for piece in &bar.pieces {
                assert_eq!(piece.at, at);
                at += piece.length;
            }
            assert_eq!(bar.offcut, bar.length - at);
            assert!(!bar.offcut.is_negative());
        }
    }
}

/// Where a deck is narrow at two levels that are whole steps of one lap apart, a finer lap takes more: it cannot put a strip
/// between the shoulders at both. So a finer lap need not take less on a deck whose strips differ in length.
#[test]
fn a_finer_lap_may_take_more_where_strips_differ_in_length() {
    let levels = [(6000, 0), (6000, 950), (3000, 950), (3000, 1950), (6000, 1950), (6000, 2850), (3000, 2850)];
    let levels = levels.into_iter().chain([(3000, 3850), (6000, 3850), (6000, 4800)]);
    let points: Vec<(i64, i64)> = [(0, 0)].into_iter().chain(levels).chain([(0, 4800)]).collect();
    let kinds = vec![Kind::Drip; points.len()];
    let roof = Roof { outer: boundary(&points, &kinds), ..Roof::default() };
    let take = |lap: i64| {
        let mut system = flat_system();
        (system.mat.lap, system.mat.direction) = (mm(lap), Direction::Best);
        mat_of(roof.clone(), system).off_roll
    };
    assert_eq!((take(50), take(40)), (mm(24_000), mm(27_000)));
}

/// Strips at a given angle: a square stood on its corner, along its sides at 45 degrees and across its diagonal.
#[test]
fn strips_run_at_a_given_angle() {
    let square = [(0, 0), (3000, 3000), (0, 6000), (-3000, 3000)];
    let roof = Roof { outer: boundary(&square, &[Kind::Drip; 4]), ..Roof::default() };
    let laid = |angle: f64| {
        let mut system = flat_system();
        system.mat.direction = Direction::AngleDeg(angle);
        mat_of(roof.clone(), system)
    };
    // The side is 4 243 mm and takes five strips; across the diagonal of 6 000 mm there are seven, from one corner up.
    let along = laid(45.0);
    assert_eq!((along.strips.len(), laid(0.0).strips.len()), (5, 7));
    assert!((along.direction.0.abs() - 0.5_f64.sqrt()).abs() < 1e-9);
    assert_eq!(along.off_roll, laid(-135.0).off_roll);
    check_cover(&laid(17.3), &flat_system());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A finer lap takes no more on a parallelogram, whose strips are all as long, whatever its lean; and on any roof it takes
    /// no more strips across.
    #[test]
    fn a_finer_lap_takes_no_more(
        (wide, high) in (2000i64..9000, 700i64..9000),
        lean in -2000i64..2000,
        roof in stepped(),
        finer in 0i64..50,
    ) {
        let leaning = boundary(&[(0, 0), (wide, 0), (wide + lean, high), (lean, high)], &[Kind::Drip; 4]);
        let leaning = Roof { outer: leaning, ..Roof::default() };
        let take = |roof: &Roof, lap: i64| {
            let mut system = flat_system();
            system.mat.lap = mm(lap);
            (system.mat.least_strip, system.mat.most_lap) = (Length::ZERO, mm(lap));
            // One piece a strip, so that strips are rows.
            system.mat.most_cut_out = mm(90_000);
            let mat = mat_of(roof.clone(), system);
            (mat.off_roll, mat.strips.len())
        };
        // Each strip of a leaning roof runs as far as its width leans; the last is ripped and runs less far.
        if lean == 0 {
            prop_assert!(take(&leaning, finer).0 <= take(&leaning, 50).0);
        }
        prop_assert!(take(&leaning, finer).1 <= take(&leaning, 50).1);
        prop_assume!(crate::roof::Outline::new(&roof, &System::default().limits, "").is_ok());
        prop_assert!(take(&roof, finer).1 <= take(&roof, 50).1);
    }

    /// A kerb never takes more mat than the deck without it: what it cuts out of strips comes back, as length where a strip
    /// parts at it, as area everywhere.
    #[test]
    fn a_kerb_never_takes_more_mat(
        roof in stepped(),
        (x, y) in (150i64..2500, 150i64..1000),
        (wide, high) in (200i64..2500, 200i64..900),
        direction in 0usize..2,
    ) {
        let without = Roof { holes: Vec::new(), ..roof };
        let kerb = boundary(&[(x, y), (x, y + high), (x + wide, y + high), (x + wide, y)], &[]);
        let with = Roof { holes: vec![kerb], ..without.clone() };
        let mut system = flat_system();
        system.mat.direction = [Direction::Edge(0), Direction::Best][direction];
        prop_assume!(crate::roof::Outline::new(&with, &system.limits, "").is_ok());
        let (without, with) = (mat_of(without, system.clone()), mat_of(with, system));
        // Cut lengths are rounded up to the millimetre piece by piece.
        let slack = mm(1) * pieces(&with).count() as i64;
        prop_assert!(with.off_roll <= without.off_roll + slack, "{} and {}", with.off_roll, without.off_roll);
        if direction == 0 {
            prop_assert!(with.laid_m2 <= without.laid_m2 + 1e-6);
        }
    }

    #[test]
    fn every_deck_is_covered_with_full_laps(roof in stepped(), direction in 0usize..3) {
        let mut system = System::default();
        system.mat.direction = [Direction::Drip, Direction::Best, Direction::Edge(1)][direction];
        let sound = crate::roof::Outline::new(&roof, &system.limits, "").is_ok();
        prop_assume!(sound);
        let mat = mat_of(roof, system.clone());
        check_cover(&mat, &system);
        let laid: f64 = pieces(&mat).map(|(_, piece)| piece.area_m2).sum();
        prop_assert!((laid - mat.laid_m2).abs() < 1e-9);
        prop_assert!(mat.laid_m2 >= mat.area_m2 - 1e-6);
    }

    #[test]
    fn the_best_direction_takes_no_more_than_any_other(roof in stepped(), edge in 0usize..4) {
        let mut system = System::default();
        prop_assume!(crate::roof::Outline::new(&roof, &system.limits, "").is_ok());
        system.mat.direction = Direction::Edge(edge);
        let given = mat_of(roof.clone(), system.clone()).off_roll;
        system.mat.direction = Direction::Best;
        let mat = mat_of(roof, system);
        // Cut lengths are rounded up to the millimetre piece by piece.
        prop_assert!(mat.off_roll <= given + mm(1) * pieces(&mat).count() as i64);
    }

    /// Zones never take more than one zone, and what they take is what the plan says.
    #[test]
    fn zones_take_no_more_than_one_zone(roof in stepped(), direction in 0usize..2) {
        let mut system = System::default();
        prop_assume!(crate::roof::Outline::new(&roof, &system.limits, "").is_ok());
        system.mat.direction = [Direction::Drip, Direction::Best][direction];
        let one = mat_of(roof.clone(), system.clone());
        system.mat.zones = ZoneChoice::Least;
        let several = mat_of(roof, system);
        let slack = mm(1) * (pieces(&several).count() + pieces(&one).count()) as i64;
        prop_assert!(several.off_roll <= one.off_roll + slack, "{} and {}", several.off_roll, one.off_roll);
        prop_assert!(several.zones.is_empty() || several.off_roll < one.off_roll + slack);
        // A zone and its laps over others are one polygon: no crack or overlap along the lap's edge.
        for zone in &several.zones {
            let outer = zone.outline.iter().filter(|ring| Ring::new(ring.to_vec()).is_counter_clockwise());
            prop_assert_eq!(outer.count(), 1);
        }
    }
}
