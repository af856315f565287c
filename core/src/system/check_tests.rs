use super::*;
use crate::system::{DoseBand, Dosing, Rate, Window};

fn only_problem(change: impl FnOnce(&mut System)) -> (Code, String) {
    let mut system = System::default();
    change(&mut system);
    let problems = system.check();
    assert_eq!(problems.len(), 1, "{problems:?}");
    (problems[0].code(), problems[0].path().to_string())
}

#[test]
fn the_demonstration_system_has_no_problem() {
    assert_eq!(System::default().check(), []);
}

#[test]
fn each_bad_size_rate_or_pack_is_found_alone() {
    let mm = Length::from_mm;
    type Change = fn(&mut System);
    let cases: &[(Change, Code, &str)] = &[
        (|s| s.cutting_increment = Length::ZERO, Code::BadSize, "/system/cutting_increment"),
        (
            |s| s.corners[4].kinds = (s.corners[3].kinds.1, s.corners[3].kinds.0),
            Code::BadTable,
            "/system/corners/4/kinds",
        ),
        (|s| s.trims.drip.section.face = 9, Code::BadSection, "/system/trims/drip/section/face"),
        (|s| s.trims.drip.bars.clear(), Code::BadSize, "/system/trims/drip/bars"),
        (|s| s.trims.abutment.bars[0].length = Length::ZERO, Code::BadSize, "/system/trims/abutment/bars/0/length"),
        (|s| s.trims.open_side.lap = Length::from_mm(-1), Code::BadSize, "/system/trims/open_side/lap"),
        (|s| s.trims.open_side.fixing_lines = 101, Code::BadSize, "/system/trims/open_side/fixing_lines"),
        (
            |s| s.trims.abutment.fixing_legs = vec![crate::system::Leg::Face],
            Code::BadSize,
            "/system/trims/abutment/fixing_legs",
        ),
        (
            |s| s.trims.drip.fixing_legs = vec![crate::system::Leg::Rise],
            Code::BadSize,
            "/system/trims/drip/fixing_legs/0",
        ),
        (|s| s.corners[2].patches = 1000, Code::BadSize, "/system/corners/2/patches"),
        (|s| s.corners[1].ends.1.gain = -Length::from_mm(100_000_001), Code::BadSize, "/system/corners/1/ends/1/gain"),
        (|s| s.trims.drip.section.thickness = Length::ZERO, Code::BadSection, "/system/trims/drip/section/thickness"),
        (|s| s.trims.drip.section.face = usize::MAX, Code::BadSection, "/system/trims/drip/section/face"),
        (|s| s.trims.drip.mat_onto = Length::from_mm(-1), Code::BadSize, "/system/trims/drip/mat_onto"),
        (|s| s.closing.strip.bars.clear(), Code::BadSize, "/system/closing/strip/bars"),
        (
            |s| s.closing.strip.bars[0].length = Length::from_mm(199),
            Code::BadSize,
            "/system/closing/strip/bars/0/length",
        ),
        (|s| s.closing.strip.width = Length::ZERO, Code::BadSize, "/system/closing/strip/width"),
        (|s| s.closing.strip.piece = Length::ZERO, Code::BadSize, "/system/closing/strip/piece"),
        (|s| s.closing.cap.pack = 0, Code::BadSize, "/system/closing/cap/pack"),
        (|s| s.batten.bars.clear(), Code::BadSize, "/system/batten/bars"),
        (|s| s.batten.thickness = Length::from_mm(-1), Code::BadSize, "/system/batten/thickness"),
        (|s| s.batten.height = Length::from_mm(-1), Code::BadSize, "/system/batten/height"),
        (|s| s.batten.least_piece = Length::from_mm(-1), Code::BadSize, "/system/batten/least_piece"),
        (|s| s.batten.joint_clear = Length::from_mm(-1), Code::BadSize, "/system/batten/joint_clear"),
        (|s| s.batten.allowance = 1.1, Code::BadRate, "/system/batten/allowance"),
        (|s| s.fixing.end_distance = Length::from_mm(-1), Code::BadSize, "/system/fixing/end_distance"),
        (|s| s.fixing.allowance = -0.1, Code::BadRate, "/system/fixing/allowance"),
        (|s| s.adhesive.beads_per_lap = 101, Code::BadSize, "/system/adhesive/beads_per_lap"),
        (|s| s.adhesive.allowance = f64::NAN, Code::BadRate, "/system/adhesive/allowance"),
        (|s| s.limits.sharpest_mitre_deg = 180.0, Code::BadSize, "/system/limits/sharpest_mitre_deg"),
        (|s| s.limits.gentlest_square_deg = -1.0, Code::BadSize, "/system/limits/gentlest_square_deg"),
        (|s| s.batten.kerf = Length::from_mm(-3), Code::BadSize, "/system/batten/kerf"),
        (|s| s.fixing.least_spacing = Length::from_mm(151), Code::BadSize, "/system/fixing/least_spacing"),
        (|s| s.fixing.pack = 0, Code::BadSize, "/system/fixing/pack"),
        (|s| s.adhesive.bead = Length::ZERO, Code::BadSize, "/system/adhesive/bead"),
        (|s| s.adhesive.cartridge_ml = f64::NAN, Code::BadLiquid, "/system/adhesive/cartridge_ml"),
        (|s| s.mat.roll = Length::from_mm(400), Code::BadMat, "/system/mat/least_piece"),
        (|s| s.mat.most_lap = Length::from_mm(49), Code::BadMat, "/system/mat/most_lap"),
        (|s| s.mat.least_strip = Length::from_mm(1001), Code::BadMat, "/system/mat/least_strip"),
        (|s| s.mat.mass_g_m2 = 0.0, Code::BadRate, "/system/mat/mass_g_m2"),
        (|s| s.tape.lap = s.tape.roll, Code::BadMat, "/system/tape/lap"),
        (|s| s.patch.side = Length::from_mm(1001), Code::BadMat, "/system/patch/side"),
        (|s| s.tissue.side = Length::from_mm(1001), Code::BadMat, "/system/tissue/side"),
        (|s| s.tissue.allowance = -0.1, Code::BadRate, "/system/tissue/allowance"),
        (|s| s.layers[0].rate = Rate::KgPerM2(f64::INFINITY), Code::BadRate, "/system/layers/0/rate/kg_per_m2"),
        (|s| s.layers[0].packs.clear(), Code::BadLiquid, "/system/layers/0/packs"),
        (|s| s.layers[2].packs[1].mass_kg = 0.0, Code::BadLiquid, "/system/layers/2/packs/1/mass_kg"),
        (|s| s.layers[1].rate = Rate::PerGlass(-2.0), Code::BadRate, "/system/layers/1/rate/per_glass"),
        (|s| s.layers[1].material = "primer".into(), Code::BadLiquid, "/system/layers/1/material"),
        (|s| s.layers[1].hardener = Some("none".into()), Code::BadLiquid, "/system/layers/1/hardener"),
        (|s| s.layers[1].most_mix_kg = None, Code::BadLiquid, "/system/layers/1/most_mix_kg"),
        (
            |s| s.layers[1].next = Some(Window { from_min: 61.0, to_h: 1.0 }),
            Code::BadLiquid,
            "/system/layers/1/next/to_h",
        ),
        (|s| s.standard = Some("none".into()), Code::BadTable, "/system/standard"),
        (|s| s.standards[1].name = s.standards[0].name.clone(), Code::BadTable, "/system/standards/1/name"),
        (|s| s.standards[0].design_fall = 1.0, Code::BadRate, "/system/standards/0/design_fall"),
        (|s| s.standards[3].most_area_m2 = Some(-1.0), Code::BadRate, "/system/standards/3/most_area_m2"),
        (|s| s.limits.dew_caution_k = -1.0, Code::BadRate, "/system/limits/dew_caution_k"),
        (|s| s.limits.moisture_caution_percent = 101.0, Code::BadRate, "/system/limits/moisture_caution_percent"),
        (|s| s.readiness.least_dry_h = f64::NAN, Code::BadRate, "/system/readiness/least_dry_h"),
        (
            |s| s.readiness.coverings[0].most_weathered_days = Some(-1.0),
            Code::BadRate,
            "/system/readiness/coverings/0/most_weathered_days",
        ),
        (
            |s| s.readiness.defects[1].defect = s.readiness.defects[0].defect,
            Code::BadTable,
            "/system/readiness/defects/1/defect",
        ),
        (|s| s.readiness.coverings[1].absorption = 10.1, Code::BadRate, "/system/readiness/coverings/1/absorption"),
        (
            |s| s.readiness.coverings[1].primer = Some("resin".into()),
            Code::BadTable,
            "/system/readiness/coverings/1/primer",
        ),
        (|s| s.hardeners[0].bands.clear(), Code::BadTable, "/system/hardeners/0/bands"),
        (|s| s.hardeners[0].density_kg_l = Some(0.0), Code::BadLiquid, "/system/hardeners/0/density_kg_l"),
        (|s| s.readiness.boards[3].joists = Length::ZERO, Code::BadSize, "/system/readiness/boards/3/joists"),
        (
            |s| s.readiness.coverings[2].covering = s.readiness.coverings[1].covering,
            Code::BadTable,
            "/system/readiness/coverings/2/covering",
        ),
        (|s| s.limits.moisture_percent = f64::NAN, Code::BadRate, "/system/limits/moisture_percent"),
        (|s| s.limits.most_points = 2, Code::BadSize, "/system/limits/most_points"),
        (|s| s.limits.straight_deg = -1.0, Code::BadSize, "/system/limits/straight_deg"),
    ];
    for (change, code, path) in cases {
        assert_eq!(only_problem(change), (*code, path.to_string()));
    }
    // Two things contradict each other: both are told at the one that has to give.
    let lap = only_problem(|s| s.trims.drip.lap = mm(3000));
    assert_eq!(lap, (Code::BadSize, "/system/trims/drip/bars/0/length".into()));
}

#[test]
fn the_hardener_table_is_sorted_and_never_rises_with_warmth() {
    let band = |from_c, to_c, dose| DoseBand { from_c, to_c, dose, pot_life_min: None };
    let problem = |bands: Vec<DoseBand>| only_problem(|s| s.hardeners[0].bands = bands);
    let at = |path: &str| (Code::BadTable, format!("/system/hardeners/0/bands/{path}"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.02), band(10.0, 20.0, 0.021)]), at("1/dose"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.02), band(9.0, 20.0, 0.01)]), at("1/from_c"));
    assert_eq!(problem(vec![band(10.0, 10.0, 0.02)]), at("0/to_c"));
    assert_eq!(problem(vec![band(5.0, f64::NAN, 0.02)]), at("0/to_c"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.0)]), at("0/dose"));
    // A point is a row of a table that is interpolated only; the order of its rows holds there too.
    let points = |bands: Vec<DoseBand>| {
        let mut system = System::default();
        (system.hardeners[0].bands, system.hardeners[0].interpolate) = (bands, true);
        system.check().into_iter().map(|problem| (problem.code(), problem.path().to_string())).collect::<Vec<_>>()
    };
    assert_eq!(points(vec![band(10.0, 10.0, 0.02), band(20.0, 20.0, 0.01)]), []);
    assert_eq!(points(vec![band(10.0, 10.0, 0.02), band(20.0, 20.0, 0.021)]), [at("1/dose")]);
    assert_eq!(points(vec![band(10.0, 10.0, 0.02), band(20.0, 19.0, 0.01)]), [at("1/to_c")]);
    assert_eq!(points(vec![band(10.0, 10.0, 0.02), band(10.0, 20.0, 0.01)]), [at("1/from_c")]);
    // A gap and an equal dose are in order.
    let mut system = System::default();
    system.hardeners[0].bands = vec![band(11.0, 17.0, 0.02), band(18.0, 30.0, 0.02)];
    assert_eq!(system.check(), []);
}

// A density that the dosing needs is never taken for 1.
#[test]
fn dosing_by_volume_needs_its_densities() {
    let by_volume = |system: &mut System, dosing| {
        system.hardeners[0].dosing = dosing;
        let doses = [30.0, 20.0, 15.0];
        system.hardeners[0].bands.iter_mut().zip(doses).for_each(|(band, dose)| band.dose = dose);
    };
    let mut system = System::default();
    by_volume(&mut system, Dosing::MlPerL);
    assert_eq!(system.check(), []);
    let hardener = only_problem(|s| {
        by_volume(s, Dosing::MlPerKg);
        s.hardeners[0].density_kg_l = None;
    });
    assert_eq!(hardener, (Code::BadLiquid, "/system/hardeners/0/density_kg_l".into()));
    let resin = only_problem(|s| {
        by_volume(s, Dosing::MlPerL);
        s.layers[1].density_kg_l = None;
    });
    assert_eq!(resin, (Code::BadLiquid, "/system/layers/1/density_kg_l".into()));
}
