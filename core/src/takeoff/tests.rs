#![expect(clippy::float_cmp, reason = "amounts are decimals: the nearest double, or wrong")]

use super::*;
use crate::Length;
use crate::mat::{PatchPlace, RoofMat, Seam, Strip, StripPiece};
use crate::money::Money;
use crate::roof::Kind;
use crate::system::{Pack, Rate};
use crate::trim::{BarSource, End, MarkedBar, MarkedPiece, Material, PieceEnd, RoofTrims, TrimRun};
use proptest::prelude::*;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn line<'a>(lines: &'a [TakeoffLine], material: &str) -> &'a TakeoffLine {
    lines.iter().find(|line| line.material == material).expect(material)
}

fn packs(line: &TakeoffLine) -> Vec<(f64, u64)> {
    line.packs.iter().map(|pack| (pack.size, pack.count)).collect()
}

fn run(kind: Kind, length: Length, joints: usize, fixings: u64) -> TrimRun {
    let end = || End {
        cut: crate::system::EndCut::Square,
        angle_deg: 0.0,
        hand: None,
        gain: Length::ZERO,
        short: Length::ZERO,
        closing: None,
    };
    TrimRun {
        mark: kind.letter().to_string(),
        kind,
        ring: 0,
        first_edge: 0,
        edge_count: 1,
        from: Default::default(),
        to: Default::default(),
        line_length: length,
        cut_length: length,
        start: end(),
        end: end(),
        joints: (0..joints as i64).map(|j| mm(1000 * (j + 1))).collect(),
        over: Default::default(),
        beads: Vec::new(),
        fixings,
        fixing_line: Vec::new(),
        fixing_legs: Vec::new(),
    }
}

fn cut_list(material: Material, bars: &[(i64, BarSource, &[i64])]) -> CutList {
    let piece = |&length: &i64| MarkedPiece {
        mark: String::new(),
        roof: 0,
        run: 0,
        at: Length::ZERO,
        start_along: Length::ZERO,
        length: mm(length),
        start: PieceEnd::Square,
        end: PieceEnd::Square,
    };
    let bar = |&(length, source, pieces): &(i64, BarSource, &[i64])| MarkedBar {
        number: 1,
        length: mm(length),
        source,
        pieces: pieces.iter().map(piece).collect(),
        offcut: Length::ZERO,
    };
    CutList {
        material,
        bar_count: bars.len() as u64,
        bought: bars.iter().filter(|bar| bar.1 == BarSource::Bought).count() as u64,
        joint_count: 0,
        status: crate::cutting::Status::ProvenBest,
        bound: 0,
        bars: bars.iter().map(bar).collect(),
        offcuts: Vec::new(),
    }
}

/// Strips of 1 m over a deck of 6.0 x 4.0 m with laps of 50 mm, along the 6 m, the last ripped to fit.
fn six_by_four() -> RoofMat {
    let piece = |width| StripPiece {
        mark: String::new(),
        length: mm(6000),
        width: mm(width),
        roll: 1,
        outline: Vec::new(),
        area_m2: 6.0 * width as f64 / 1000.0,
        ..StripPiece::default()
    };
    let strips =
        [1000, 1000, 1000, 1000, 200].into_iter().map(|w| Strip { number: 1, zone: 0, pieces: vec![piece(w)] });
    RoofMat { area_m2: 24.0, bare_deck_m2: 24.0, laid_m2: 25.2, strips: strips.collect(), ..RoofMat::default() }
}

// A worked roof by closed arithmetic: 24 m2 + 4 laps x 0.05 m x 6 m = 25.2 m2 of mat, at 450 g/m2 11.34 kg of glass, at
// 2.5 to 1 28.35 kg of resin, and 2 % of hardener 567 g.
#[test]
fn a_roof_of_six_by_four_metres_takes_what_arithmetic_says() {
    let mut system = System::default();
    system.mat.mass_g_m2 = 450.0;
    system.layers[1].rate = Rate::PerGlass(2.5);
    system.layers[1].allowance = 0.0;
    system.layers[2].rate = Rate::KgPerM2(0.0);
    system.hardeners[0].allowance = 0.0;
    let (trims, mat) = (RoofTrims::default(), six_by_four());
    let roofs = [RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
    let lines = take_off(&system, Some(15.0), &[], &roofs, &[]);
    let names: Vec<_> = lines.iter().map(|line| line.material.as_str()).collect();
    assert_eq!(names, ["mat", "primer", "resin", "hardener"]);

    let primer = line(&lines, "primer");
    assert_eq!((primer.net, primer.allowance, packs(primer)), (4.8, 0.48, vec![(5.0, 1), (1.0, 1)]));
    let mat = line(&lines, "mat");
    assert_eq!((mat.net, mat.allowance, packs(mat)), (30.0, 1.5, vec![(90.0, 1)]));
    let resin = line(&lines, "resin");
    assert_eq!(resin.inputs[0].value, 11.34);
    assert_eq!((resin.net, packs(resin)), (28.35, vec![(20.0, 1), (10.0, 1)]));
    let hardener = line(&lines, "hardener");
    assert_eq!((hardener.net, packs(hardener)), (0.567, vec![(0.25, 3)]));
}

#[test]
fn without_a_dose_the_order_covers_the_largest() {
    let system = System::default();
    let (trims, mat) = (RoofTrims::default(), six_by_four());
    let roofs = [RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
    let hardener = |surface_c| {
        let lines = take_off(&system, surface_c, &[], &roofs, &[]);
        let dose = line(&lines, "hardener").inputs.iter().find(|input| input.name == "dose").expect("dose").value;
        (dose, line(&lines, "hardener").net)
    };
    assert_eq!(hardener(None), hardener(Some(-5.0)));
    assert_eq!(hardener(None), hardener(Some(6.0)));
    assert!(hardener(None).1 > hardener(Some(25.0)).1);
    assert_eq!(hardener(Some(25.0)).0, 0.015);
}

#[test]
fn tape_and_patches_are_wetted_too_and_patches_come_out_of_offcuts() {
    let mut system = System::default();
    system.layers[1].rate = Rate::PerGlass(2.0);
    let mut mat = six_by_four();
    mat.tape = mm(20_000);
    mat.seams = vec![Seam { points: vec![Default::default(); 4], length: mm(20_000) }];
    mat.patches = vec![PatchPlace { at: Default::default(), layers: 2, corner: true, ..PatchPlace::default() }; 4];
    let trims = RoofTrims::default();
    let roofs = [RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
    let lines = take_off(&system, None, &[], &roofs, &[]);
    // 20 m of seams and four laps of 50 mm.
    assert_eq!(line(&lines, "tape").net, 20.2);
    // 225 g/m2 x (25.2 + 20.2 x 0.075 + 8 x 0.2 x 0.2) m2, twice.
    assert_eq!(line(&lines, "resin").net, 12.166);
    // Eight patches of 200 mm lie in two rows of five across the roll: 0.4 m, held by the allowance of 1.5 m.
    assert_eq!((line(&lines, "mat").net, line(&lines, "mat").allowance), (30.0, 1.5));
    assert_eq!((line(&lines, "patch").net, line(&lines, "patch").packs.len()), (8.0, 0));
    // With a small allowance the patches need mat of their own.
    system.mat.allowance = 0.01;
    let lines = take_off(&system, None, &[], &roofs, &[]);
    assert_eq!((line(&lines, "mat").net, line(&lines, "mat").allowance), (30.1, 0.3));
}

#[test]
fn trims_are_bought_by_the_cut_list_and_battens_with_an_allowance() {
    let mut system = System::default();
    system.trims.drip.bars[0].price = Some(Money::from_parts(120_000));
    let lists = [
        cut_list(
            Material::Drip,
            &[
                (3000, BarSource::Bought, &[3000]),
                (3000, BarSource::Bought, &[1500, 1400]),
                (1200, BarSource::OnHand, &[1100]),
            ],
        ),
        cut_list(Material::Batten, &[(4800, BarSource::Bought, &[4800]), (4800, BarSource::Bought, &[4500])]),
    ];
    let lines = take_off(&system, None, &[], &[], &lists);
    let drip = line(&lines, "drip");
    assert_eq!((drip.net, drip.allowance, packs(drip)), (5.9, 0.0, vec![(3.0, 2)]));
    assert_eq!(drip.cost, Some(Money::from_parts(240_000)));
    assert_eq!(drip.inputs[0].value, 7.0);
    // 9.3 m and 5 % are 9.765 m: more than two battens of 4.8 m hold.
    let batten = line(&lines, "batten");
    assert_eq!((batten.net, batten.allowance, packs(batten)), (9.3, 0.465, vec![(4.8, 3)]));
    assert_eq!(batten.cost, None);
}

#[test]
fn adhesive_fixings_and_flashing_follow_the_runs() {
    let system = System::default();
    let trims = RoofTrims {
        runs: vec![run(Kind::Drip, mm(5950), 1, 41), run(Kind::Abutment, mm(4000), 1, 56)],
        ..RoofTrims::default()
    };
    let mat = RoofMat::default();
    let lines = take_off(&system, None, &[], &[RoofWork { area_m2: 0.0, trims: &trims, mat: &mat }], &[]);
    // Girths by hand: drip 112 + 58 + 6 = 176 mm; wall trim 67 + 28 x sqrt 2 + 144 = 250.598 mm; two beads in each lap.
    // 50.265 ml/m x (5.95 + 2 x 0.176 + 2 x 0.250598) m.
    let adhesive = line(&lines, "adhesive");
    assert!((adhesive.net - 341.971).abs() < 0.005, "{}", adhesive.net);
    assert_eq!(packs(adhesive), [(290.0, 2)]);
    let fixing = line(&lines, "fixing");
    assert_eq!((fixing.net, fixing.allowance, packs(fixing)), (97.0, 10.0, vec![(250.0, 1)]));
    let flashing = line(&lines, "flashing");
    assert_eq!((flashing.net, flashing.packs.len()), (4.0, 0));
}

#[test]
fn what_is_on_hand_is_not_bought_again() {
    let system = System::default();
    let (trims, mat) = (RoofTrims::default(), six_by_four());
    let roofs = [RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
    let on_hand = |material: &str, amount| MaterialOnHand { material: material.into(), amount };
    let stock = [on_hand("primer", 4.0), on_hand("primer", 0.5), on_hand("resin", 100.0), on_hand("mat", 30.0)];
    let lines = take_off(&system, None, &stock, &roofs, &[]);
    // 4.8 kg and 0.48 kg, less 4.5 kg.
    let primer = line(&lines, "primer");
    assert_eq!((primer.net, primer.on_hand, packs(primer)), (4.8, 4.5, vec![(1.0, 1)]));
    // More than enough: no more than is needed counts as used.
    let resin = line(&lines, "resin");
    assert!((resin.on_hand - resin.net - resin.allowance).abs() < 1e-9);
    assert_eq!(packs(resin), []);
    // The strips lie on one roll, and 30 m are not a whole one.
    assert_eq!(packs(line(&lines, "mat")), [(90.0, 1)]);
    let lines = take_off(&system, None, &[on_hand("mat", 40.0)], &roofs, &[]);
    assert_eq!(packs(line(&lines, "mat")), []);
}

#[test]
fn the_total_needs_every_price() {
    let mut system = System::default();
    let (trims, mat) = (RoofTrims::default(), six_by_four());
    let roofs = [RoofWork { area_m2: 24.0, trims: &trims, mat: &mat }];
    system.mat.price = Some(Money::from_parts(1_000_000));
    for pack in system.layers.iter_mut().flat_map(|layer| &mut layer.packs) {
        pack.price = Some(Money::from_parts((pack.mass_kg * 20_000.0) as u64));
    }
    let total = |system: &System| total_cost(&take_off(system, None, &[], &roofs, &[]));
    assert_eq!(total(&system), None);
    system.hardeners[0].packs.iter_mut().for_each(|pack| pack.price = Some(Money::from_parts(50_000)));
    let lines = take_off(&system, None, &[], &roofs, &[]);
    let kg = |material| line(&lines, material).packs.iter().map(|pack| pack.size * pack.count as f64).sum::<f64>();
    let expected = 100.0 + 2.0 * (kg("primer") + kg("resin") + kg("top_coat")) + 5.0;
    let hardener = &line(&lines, "hardener").packs;
    assert_eq!(hardener.iter().map(|pack| pack.count).sum::<u64>(), 1);
    assert_eq!(total(&system), Some(Money::try_from_f64(expected).expect("an amount")));
}

proptest! {
    // The order covers net and allowance, whatever the amounts and packs.
    #[test]
    fn what_is_ordered_covers_what_is_needed(
        laid_m2 in 0.0..500.0f64,
        area_m2 in 0.0..500.0f64,
        tape_mm in 0i64..400_000,
        bars in proptest::collection::vec(1i64..=4800, 0..20),
        sizes in proptest::collection::vec(5..600u32, 1..4),
        fixings in 0u64..5000,
        allowance in 0.0..0.5f64,
    ) {
        let mut system = System::default();
        let sold: Vec<_> = sizes.iter().map(|&n| Pack { mass_kg: f64::from(n) * 0.05, price: None }).collect();
        for layer in &mut system.layers {
            (layer.packs, layer.allowance) = (sold.clone(), allowance);
        }
        (system.batten.allowance, system.tape.allowance) = (allowance, allowance);
        let pieces: Vec<_> = bars.iter().map(std::slice::from_ref).collect();
        let bars: Vec<_> = pieces.iter().map(|piece| (4800, BarSource::Bought, *piece)).collect();
        let lists = [cut_list(Material::Batten, &bars)];
        let mat = RoofMat { laid_m2, bare_deck_m2: area_m2, tape: mm(tape_mm), ..six_by_four() };
        let trims = RoofTrims { runs: vec![run(Kind::OpenSide, mm(tape_mm), 3, fixings)], ..RoofTrims::default() };
        let lines = take_off(&system, None, &[], &[RoofWork { area_m2, trims: &trims, mat: &mat }], &lists);
        prop_assert!(lines.len() >= 3);
        for line in lines.iter().filter(|line| !line.packs.is_empty()) {
            // In millionths, as integers: the printed numbers themselves must add up.
            let millionths = |value: f64| (value * 1e6).round() as u64;
            let held: u64 = line.packs.iter().map(|pack| millionths(pack.size) * pack.count).sum();
            prop_assert!(held >= millionths(line.net) + millionths(line.allowance), "{:?}", line);
        }
    }
}
