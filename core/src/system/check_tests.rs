use super::*;
use crate::system::DoseBand;

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
        (|s| s.trims.drip.bars.clear(), Code::BadSize, "/system/trims/drip/bars"),
        (|s| s.trims.abutment.bars[0].length = Length::ZERO, Code::BadSize, "/system/trims/abutment/bars/0/length"),
        (|s| s.trims.open_side.lap = Length::from_mm(-1), Code::BadSize, "/system/trims/open_side/lap"),
        (|s| s.trims.open_side.fixing_lines = 101, Code::BadSize, "/system/trims/open_side/fixing_lines"),
        (|s| s.corners[2].patches = 1000, Code::BadSize, "/system/corners/2/patches"),
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
        (|s| s.primer.rate_kg_m2 = f64::INFINITY, Code::BadRate, "/system/primer/rate_kg_m2"),
        (|s| s.primer.packs.clear(), Code::BadLiquid, "/system/primer/packs"),
        (|s| s.top_coat.packs[1].mass_kg = 0.0, Code::BadLiquid, "/system/top_coat/packs/1/mass_kg"),
        (|s| s.resin.resin_to_glass = -2.0, Code::BadRate, "/system/resin/resin_to_glass"),
        (|s| s.hardener.bands.clear(), Code::BadTable, "/system/hardener/bands"),
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
    let band = |from_c, to_c, fraction| DoseBand { from_c, to_c, fraction };
    let problem = |bands: Vec<DoseBand>| only_problem(|s| s.hardener.bands = bands);
    let at = |path: &str| (Code::BadTable, format!("/system/hardener/bands/{path}"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.02), band(10.0, 20.0, 0.021)]), at("1/fraction"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.02), band(9.0, 20.0, 0.01)]), at("1/from_c"));
    assert_eq!(problem(vec![band(10.0, 10.0, 0.02)]), at("0/to_c"));
    assert_eq!(problem(vec![band(5.0, f64::NAN, 0.02)]), at("0/to_c"));
    assert_eq!(problem(vec![band(5.0, 10.0, 0.0)]), at("0/fraction"));
    // A gap and an equal dose are in order.
    let mut system = System::default();
    system.hardener.bands = vec![band(11.0, 17.0, 0.02), band(18.0, 30.0, 0.02)];
    assert_eq!(system.check(), []);
}
