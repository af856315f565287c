//! Orders: every amount computed again from the plan, whole packs that cover it with the least left over.

use std::collections::BTreeMap;

use upstand::plan::RoofPlan;
use upstand::system::{Closing, Covers, Dosing, Hardener, Layer, Pack, Rate, System};
use upstand::takeoff::{Group, TakeoffLine};
use upstand::trim::{BarSource, CutList, Material, TrimRun, Turn};
use upstand::{Job, Length, Plan};

use super::{Faults, outline::trim};

/// What a line has to say: net, allowance, and the sizes of pack on offer (none where it is for information only).
struct Wanted {
    net: f64,
    allowance: f64,
    sizes: Vec<f64>,
}

/// The order of work; layers and hardeners follow in the system's order.
const ORDER: [&str; 13] = [
    "drip",
    "abutment",
    "open_side",
    "batten",
    "closing_strip",
    "end_cap",
    "fixing",
    "flashing",
    "adhesive",
    "mat",
    "patch",
    "tape",
    "tissue",
];

/// Amounts are rounded up to thousandths, once for the net and once for the allowance on it.
const STEP: f64 = 1.001e-3;

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    let wanted = wanted(job, plan);
    let seen: Vec<&str> = plan.takeoff.iter().map(|line| line.material.as_str()).collect();
    let layers = job.system.layers.iter().map(|layer| layer.material.as_str());
    let hardeners = job.system.hardeners.iter().map(|hardener| hardener.material.as_str());
    let named: Vec<&str> =
        ORDER.into_iter().chain(layers).chain(hardeners).filter(|name| wanted.contains_key(name)).collect();
    faults.same(seen, named, || "materials of the take-off".into());
    let strips = plan.roofs.iter().flat_map(|roof| &roof.mat.strips);
    let rolls = strips.flat_map(|strip| &strip.pieces).map(|piece| piece.roll).max().unwrap_or(0);
    for line in &plan.takeoff {
        let here = format!("take-off {}", line.material);
        let Some(wanted) = wanted.get(line.material.as_str()) else { continue };
        // Hardener adds up what each layer takes, each rounded up.
        let parts = job.system.layers.iter().filter(|layer| layer.hardener.as_ref() == Some(&line.material)).count();
        // To mat is added what its allowance does not hold: two roundings meet.
        let parts = if line.material == "mat" { 2 } else { parts.max(1) };
        let slack = STEP * parts as f64;
        faults.close(line.net, wanted.net + slack / 2.0, slack, || format!("{here}: net"));
        faults.close(line.allowance, wanted.allowance + STEP, 1.5 * STEP, || format!("{here}: allowance"));
        faults.expect(line.packs.windows(2).all(|pair| pair[0].size > pair[1].size), || {
            format!("{here}: packs are not each once, the largest first")
        });
        check_packs(line, &wanted.sizes, rolls, faults, &here);
    }
    for (index, roof) in plan.roofs.iter().enumerate() {
        check_areas(&job.system, index, roof, faults);
    }
    for list in &plan.cut_lists {
        check_bars(job, plan, list, faults);
    }
    check_strips(job, plan, faults);
    check_costs(plan, faults);
}

/// Sums of what the lines cost, and their quotients by the area, in ten-thousandths.
fn check_costs(plan: &Plan, faults: &mut Faults) {
    let bought = || plan.takeoff.iter().filter(|line| !line.packs.is_empty());
    let parts = |line: &TakeoffLine| line.cost.map_or(0, |cost| cost.parts());
    let Some(costs) = &plan.costs else {
        faults.expect(bought().all(|line| line.cost.is_none()), || "costs: prices without a sum".into());
        return;
    };
    let area_m2: f64 = plan.roofs.iter().map(|roof| roof.area_m2).sum();
    let share = |found: Option<u64>, sum: u64, faults: &mut Faults, here: &str| {
        let found = found.map_or(f64::NAN, |parts| parts as f64);
        faults.close(found, sum as f64 / area_m2, 0.51, || format!("costs: {here} for each square metre"));
    };
    let mut rest = costs.groups.iter();
    for (group, first, last) in
        [(Group::Trims, "drip", "adhesive"), (Group::Glass, "mat", "tissue"), (Group::Liquids, "", "")]
    {
        let place = |name: &str| ORDER.iter().position(|known| *known == name);
        let within = |line: &&TakeoffLine| match place(&line.material) {
            Some(at) => place(first).is_some_and(|first| first <= at) && place(last).is_some_and(|last| at <= last),
            None => group == Group::Liquids,
        };
        let sum: u64 = bought().filter(within).map(parts).sum();
        if sum > 0 {
            let found = rest.next();
            let wanted = Some((group, sum));
            faults.same(found.map(|found| (found.group, found.cost.parts())), wanted, || "costs of a group".into());
            share(found.and_then(|found| found.per_m2).map(|cost| cost.parts()), sum, faults, "a group");
        }
    }
    faults.expect(rest.next().is_none(), || "costs: a group of nothing".into());
    let without: Vec<String> = bought().filter(|line| line.cost.is_none()).map(|line| line.material.clone()).collect();
    faults.same(&costs.without_price, &without, || "costs: materials without a price".into());
    let sum: u64 = bought().map(parts).sum();
    let total = costs.total.map(|cost| cost.parts());
    faults.same(total, without.is_empty().then_some(sum), || "costs in all".into());
    match total {
        Some(sum) => share(costs.per_m2.map(|cost| cost.parts()), sum, faults, "all"),
        None => faults.same(costs.per_m2, None, || "costs for each square metre".into()),
    }
}

fn check_packs(line: &TakeoffLine, sizes: &[f64], rolls: u64, faults: &mut Faults, here: &str) {
    if sizes.is_empty() {
        return;
    }
    let need = line.net + line.allowance;
    let ordered: f64 = line.packs.iter().map(|pack| pack.size * pack.count as f64).sum();
    faults.expect(ordered >= need - 1e-6, || format!("{here}: {ordered} does not cover {need}"));
    for pack in &line.packs {
        let sold = sizes.iter().any(|size| (size - pack.size).abs() < 1e-6);
        faults.expect(sold && pack.count > 0, || format!("{here}: {} packs of {}", pack.count, pack.size));
    }
    // Without prices nothing smaller would do. Rolls that strips do not fill may be more than the length alone needs.
    if line.cost.is_none() {
        let opened = if line.material == "mat" { rolls as f64 * sizes[0] } else { 0.0 };
        let least = least_cover(need, sizes).max(opened);
        faults.close(ordered, least, 1e-6, || format!("{here}: content of the packs"));
    }
}

/// The least total of packs of these sizes that reaches `need`, by trying all counts.
fn least_cover(need: f64, sizes: &[f64]) -> f64 {
    if need <= 1e-6 {
        return 0.0;
    }
    match sizes {
        [] => f64::INFINITY,
        [size] => (need / size - 1e-9).ceil() * size,
        [size, others @ ..] => {
            let most = (need / size).ceil() as u64;
            (0..=most)
                .map(|n| n as f64 * size + least_cover(need - n as f64 * size, others))
                .fold(f64::INFINITY, f64::min)
        }
    }
}

fn runs(plan: &Plan) -> impl Iterator<Item = &TrimRun> {
    plan.roofs.iter().flat_map(|roof| &roof.trims.runs)
}

fn metres(length: Length) -> f64 {
    length.um() as f64 / 1e6
}

fn material(list: &CutList) -> &'static str {
    match list.material {
        Material::Drip => "drip",
        Material::Abutment => "abutment",
        Material::OpenSide => "open_side",
        Material::Batten => "batten",
        Material::Mat => "mat",
        Material::Tape => "tape",
    }
}

fn wanted<'a>(job: &'a Job, plan: &Plan) -> BTreeMap<&'a str, Wanted> {
    let system = &job.system;
    let mut all = BTreeMap::new();
    let mut put = |name: &'a str, net: f64, fraction: f64, sizes: Vec<f64>| {
        if net > 0.0 {
            all.insert(name, Wanted { net, allowance: net * fraction, sizes });
        }
        net * (1.0 + fraction)
    };
    for list in plan.cut_lists.iter().filter(|list| !matches!(list.material, Material::Mat | Material::Tape)) {
        let bought = list.bars.iter().filter(|bar| bar.source == BarSource::Bought);
        let net = bought.flat_map(|bar| &bar.pieces).map(|piece| metres(piece.length)).sum::<f64>();
        let fraction = if list.material == Material::Batten { system.batten.allowance } else { 0.0 };
        // Which bars: see below. A list cut from stock alone keeps its line, with nothing to buy.
        put(material(list), net.max(1e-12), fraction, Vec::new());
    }
    let closed = |by: Closing| {
        let ends = runs(plan).filter(|run| run.cut_length.um() > 0).flat_map(|run| [&run.start, &run.end]);
        ends.filter(|end| end.closing == Some(by)).count()
    };
    let (strip, cap) = (&system.closing.strip, &system.closing.cap);
    put("closing_strip", closed(Closing::Strip) as f64 * metres(strip.piece), 0.0, Vec::new());
    put("end_cap", closed(Closing::Cap) as f64, 0.0, vec![f64::from(cap.pack)]);
    let fixings: u64 = runs(plan).map(|run| run.fixings).sum();
    put("fixing", fixings as f64, 0.0, vec![f64::from(system.fixing.pack)]);

    let flashed = runs(plan).filter(|run| trim(system, run.kind).flashed).map(|run| metres(run.cut_length)).sum();
    put("flashing", flashed, 0.0, Vec::new());
    put("adhesive", adhesive_ml(system, plan), system.adhesive.allowance, vec![system.adhesive.cartridge_ml]);

    let sizes = |packs: &[Pack]| packs.iter().map(|pack| pack.mass_kg).collect::<Vec<f64>>();
    let glass = Glass::of(system, &plan.roofs);
    let patches_m =
        squares_off_roll(glass.patches - glass.from_offcuts, system.patch.side, system.mat.width) + glass.collars_m;
    let more = (patches_m - glass.strips_m * system.mat.allowance).max(0.0);
    put("mat", glass.strips_m, system.mat.allowance, vec![metres(system.mat.roll)]);
    put("patch", glass.patches as f64, 0.0, Vec::new());
    put("tape", glass.tape_m, system.tape.allowance, vec![metres(system.tape.roll)]);
    let tissue_m = squares_off_roll(glass.corners, system.tissue.side, system.tissue.width);
    put("tissue", tissue_m, system.tissue.allowance, vec![metres(system.tissue.roll)]);

    let mut hardener_kg: BTreeMap<&str, f64> = BTreeMap::new();
    for layer in &system.layers {
        let net = match layer.rate {
            Rate::PerGlass(ratio) => glass.mass_kg * ratio,
            Rate::KgPerM2(_) => super::wet::rate(job, layer) * covered_m2(system, plan, layer.covers),
        };
        let mass = put(&layer.material, net, layer.allowance, sizes(&layer.packs));
        let Some(name) = &layer.hardener else { continue };
        for hardener in system.hardeners.iter().filter(|hardener| hardener.material == *name) {
            *hardener_kg.entry(name).or_default() += mass * dose(job, hardener, layer);
        }
    }
    for hardener in &system.hardeners {
        let net = hardener_kg.get(hardener.material.as_str()).copied().unwrap_or(0.0);
        put(&hardener.material, net, hardener.allowance, sizes(&hardener.packs));
    }

    if let Some(fixing) = all.get_mut("fixing") {
        // A part of a fixing is a fixing.
        fixing.allowance = (fixings as f64 * system.fixing.allowance - 1e-6).ceil() - STEP;
    }
    if let Some(mat) = all.get_mut("mat") {
        // Patches come out of the allowance first.
        mat.net += more;
    } else if more > 0.0 {
        all.insert("mat", Wanted { net: more, allowance: 0.0, sizes: vec![metres(system.mat.roll)] });
    }
    all
}

pub(super) fn covered_m2(system: &System, plan: &Plan, covers: Covers) -> f64 {
    let area = |roof: &RoofPlan| match covers {
        Covers::BareDeck => roof.mat.bare_deck_m2,
        Covers::Laminate => roof.mat.area_m2,
        Covers::Roof => roof.area_m2,
        Covers::Trims => super::wet::trims_m2(system, roof),
    };
    plan.roofs.iter().map(area).sum()
}

/// Mass of hardener per mass of layer: the band of the surface temperature, a shared border to the warmer; without a
/// temperature, or off the table, the largest.
fn dose(job: &Job, hardener: &Hardener, layer: &Layer) -> f64 {
    let read = job.survey.surface_c.and_then(|at| dose_at(hardener, at));
    let dose = read.unwrap_or_else(|| hardener.bands.iter().map(|band| band.dose).fold(0.0, f64::max));
    fraction(hardener, layer, dose)
}

/// The dose of the table at a temperature, if it has one; on the line between two rows where the table is interpolated.
pub(super) fn dose_at(hardener: &Hardener, at: f64) -> Option<f64> {
    let row = hardener.bands.iter().rfind(|band| band.from_c <= at && at <= band.to_c);
    if row.is_some() || !hardener.interpolate {
        return row.map(|band| band.dose);
    }
    let cold = hardener.bands.iter().rfind(|band| band.to_c < at)?;
    let warm = hardener.bands.iter().find(|band| band.from_c > at)?;
    Some((cold.dose * (warm.from_c - at) + warm.dose * (at - cold.to_c)) / (warm.from_c - cold.to_c))
}

/// A dose of the table as mass of hardener per mass of layer.
pub(super) fn fraction(hardener: &Hardener, layer: &Layer, dose: f64) -> f64 {
    match hardener.dosing {
        Dosing::MassFraction => dose,
        Dosing::MlPerKg => dose * hardener.density_kg_l.unwrap_or(f64::NAN) / 1e3,
        Dosing::MlPerL => {
            dose * hardener.density_kg_l.unwrap_or(f64::NAN) / layer.density_kg_l.unwrap_or(f64::NAN) / 1e3
        }
        Dosing::Measures { measure_g, mix_kg, .. } => dose * measure_g / mix_kg / 1e3,
    }
}

fn adhesive_ml(system: &System, plan: &Plan) -> f64 {
    let mut bead_mm = 0.0;
    for run in runs(plan) {
        let trim = trim(system, run.kind);
        if trim.bonded {
            bead_mm += run.cut_length.um() as f64 / 1e3;
        }
        if trim.lap.um() > 0 {
            let points = &trim.section.points;
            let girth: f64 = points
                .windows(2)
                .map(|p| ((p[1].0 - p[0].0).um() as f64).hypot((p[1].1 - p[0].1).um() as f64) / 1e3)
                .sum();
            bead_mm += run.joints.len() as f64 * f64::from(system.adhesive.beads_per_lap) * girth;
        }
    }
    let diameter_mm = system.adhesive.bead.um() as f64 / 1e3;
    std::f64::consts::PI * diameter_mm * diameter_mm / 4.0 * bead_mm / 1e3
}

/// The table of areas of one roof, to a thousandth of a square centimetre.
fn check_areas(system: &System, index: usize, roof: &RoofPlan, faults: &mut Faults) {
    let glass = Glass::of(system, std::slice::from_ref(roof));
    let square = |side: Length| metres(side) * metres(side);
    let areas = &roof.mat.areas;
    for (name, found, wanted) in [
        ("bare deck", areas.bare_deck, roof.mat.bare_deck_m2),
        ("mat", areas.mat, roof.mat.laid_m2),
        ("tape", areas.tape, glass.tape_m * metres(system.tape.width)),
        ("patches", areas.patches, glass.patches as f64 * square(system.patch.side)),
        ("collars", areas.collars, glass.collars_m2),
        ("tissue", areas.tissue, glass.corners as f64 * square(system.tissue.side)),
    ] {
        faults.close(found, wanted, 1e-7, || format!("roof {index}: area of {name}"));
    }
}

/// Glass in all roofs.
struct Glass {
    strips_m: f64,
    tape_m: f64,
    patches: u64,
    /// Patches that what is left beside ripped pieces is enough for.
    from_offcuts: u64,
    collars_m: f64,
    collars_m2: f64,
    corners: u64,
    mass_kg: f64,
}

impl Glass {
    fn of(system: &System, roofs: &[RoofPlan]) -> Self {
        let mats = || roofs.iter().map(|roof| &roof.mat);
        let laid_m2: f64 = mats().map(|mat| mat.laid_m2).sum();
        let pieces = mats().flat_map(|mat| &mat.strips).flat_map(|strip| &strip.pieces);
        let strips_m: f64 = pieces.filter(|piece| piece.beside.is_none()).map(|piece| metres(piece.length)).sum();
        let stretches: usize = mats().flat_map(|mat| &mat.seams).map(|seam| seam.points.len()).sum();
        let seams_m: f64 = mats().map(|mat| metres(mat.tape)).sum();
        let up_joints_m: f64 = roofs
            .iter()
            .flat_map(|roof| &roof.trims.runs)
            .map(|run| {
                let section = &trim(system, run.kind).section;
                let facets = section.points.windows(2).map(|pair| {
                    let (out, up) = ((pair[1].0 - pair[0].0).mm(), (pair[1].1 - pair[0].1).mm());
                    out.hypot(up)
                });
                let step = system.cutting_increment.mm();
                let girth = ((facets.sum::<f64>() - 0.003) / step).ceil() * step;
                run.joints.len() as f64 * girth / 1e3
            })
            .sum();
        let tape_m = seams_m + stretches as f64 * metres(system.tape.lap) + up_joints_m;
        let from_offcuts = mats().map(|mat| offcut_squares(system, mat)).sum();
        let (mut collars_m, mut collars_m2) = (0.0, 0.0);
        for outlet in roofs.iter().flat_map(|roof| &roof.outlets) {
            let side = outlet.diameter + system.patch.collar * 2;
            let layers = u64::from(system.patch.at_outlet);
            collars_m += squares_off_roll(layers, side, system.mat.width);
            let hole = std::f64::consts::PI * metres(outlet.diameter).powi(2) / 4.0;
            collars_m2 += layers as f64 * (metres(side).powi(2) - hole);
        }
        for pipe in roofs.iter().flat_map(|roof| &roof.pipes) {
            let side = pipe.diameter + system.patch.collar * 2;
            let layers = u64::from(system.patch.at_pipe);
            let sleeve = super::mat::sleeve(system, pipe.diameter);
            let across = (system.mat.width / sleeve.height).max(1) as u64;
            collars_m += squares_off_roll(layers, side, system.mat.width);
            collars_m += layers.div_ceil(across) as f64 * metres(sleeve.length);
            let hole = std::f64::consts::PI * metres(pipe.diameter).powi(2) / 4.0;
            let up = metres(sleeve.length) * metres(sleeve.height);
            collars_m2 += layers as f64 * (metres(side).powi(2) - hole + up);
        }
        let patches: u64 = mats().flat_map(|mat| &mat.patches).map(|patch| u64::from(patch.layers)).sum();
        let all_corners = roofs.iter().flat_map(|roof| &roof.trims.corners);
        let corners = all_corners.filter(|corner| corner.turn != Turn::Straight && corner.patches > 0).count() as u64;
        let side = metres(system.patch.side);
        let mass_kg = (laid_m2 + patches as f64 * side * side + collars_m2) * system.mat.mass_g_m2 / 1e3
            + tape_m * metres(system.tape.width) * system.tape.mass_g_m2 / 1e3;
        Glass { strips_m, tape_m, patches, from_offcuts, collars_m, collars_m2, corners, mass_kg }
    }
}

/// Patches that can be cut beside the ripped pieces of a roof from beside which no other piece comes, as far as they are
/// needed.
pub(super) fn offcut_squares(system: &System, mat: &upstand::mat::RoofMat) -> u64 {
    let pieces: Vec<_> = mat.strips.iter().flat_map(|strip| &strip.pieces).collect();
    let alone = |mark: &str| pieces.iter().all(|piece| piece.beside.as_deref() != Some(mark));
    let side = system.patch.side.um();
    let squares: i64 = pieces
        .iter()
        .filter(|piece| piece.beside.is_none() && alone(&piece.mark))
        .map(|piece| (piece.length.um() / side) * ((system.mat.width - piece.width).um() / side))
        .sum();
    let needed: u64 = mat.patches.iter().map(|patch| u64::from(patch.layers)).sum();
    needed.min(squares.max(0) as u64)
}

/// Length of roll for so many squares, as many abreast as the roll is wide.
fn squares_off_roll(count: u64, side: Length, width: Length) -> f64 {
    let abreast = (width.um() / side.um().max(1)).max(1) as u64;
    count.div_ceil(abreast) as f64 * metres(side)
}

/// Bars ordered are those that the cut list buys; an allowance may add some.
/// The bars of closing strip give the pieces, and one bar fewer would not.
fn check_strips(job: &Job, plan: &Plan, faults: &mut Faults) {
    let Some(line) = plan.takeoff.iter().find(|line| line.material == "closing_strip") else { return };
    let strip = &job.system.closing.strip;
    let sold = |size: f64| strip.bars.iter().any(|bar| (metres(bar.length) - size).abs() < 1e-6);
    faults.expect(line.packs.iter().all(|pack| sold(pack.size)), || "closing strip: bars that are not sold".into());
    let piece = metres(strip.piece);
    let pieces = |size: f64| (size / piece + 1e-9).floor();
    let given: f64 = line.packs.iter().map(|pack| pieces(pack.size) * pack.count as f64).sum();
    let least = line.packs.iter().map(|pack| pieces(pack.size)).fold(f64::INFINITY, f64::min);
    let wanted = (line.net / piece).round();
    faults.expect(given >= wanted && given - least < wanted, || format!("closing strip: {given} pieces of {wanted}"));
}

fn check_bars(job: &Job, plan: &Plan, list: &CutList, faults: &mut Faults) {
    if matches!(list.material, Material::Mat | Material::Tape) {
        return;
    }
    let name = material(list);
    let Some(line) = plan.takeoff.iter().find(|line| line.material == name) else { return };
    let mut bought: BTreeMap<i64, u64> = BTreeMap::new();
    for bar in list.bars.iter().filter(|bar| bar.source == BarSource::Bought) {
        *bought.entry(bar.length.um()).or_default() += 1;
    }
    let ordered: BTreeMap<i64, u64> =
        line.packs.iter().map(|pack| ((pack.size * 1e6).round() as i64, pack.count)).collect();
    let sold = match list.material {
        Material::Drip => &job.system.trims.drip.bars,
        Material::Abutment => &job.system.trims.abutment.bars,
        Material::OpenSide => &job.system.trims.open_side.bars,
        Material::Batten | Material::Mat | Material::Tape => &job.system.batten.bars,
    };
    let price = |size: i64| sold.iter().find(|bar| bar.length.um() == size)?.price.map(|price| price.parts());
    let spent = ordered.iter().map(|(&size, &count)| Some(price(size)? * count)).sum::<Option<u64>>();
    let spent = spent.filter(|_| !ordered.is_empty());
    faults.same(line.cost.map(|cost| cost.parts()), spent, || format!("take-off {name}: cost"));
    let content: f64 = ordered.iter().map(|(&size, &count)| size as f64 * count as f64 / 1e6).sum();
    faults.expect(content >= line.net + line.allowance - 1e-6, || format!("take-off {name}: {content} m ordered"));
    let cut: f64 = bought.iter().map(|(&size, &count)| size as f64 * count as f64 / 1e6).sum();
    if list.material == Material::Batten && cut < line.net + line.allowance {
        let enough = bought.iter().all(|(size, count)| ordered.get(size).is_some_and(|ordered| ordered >= count));
        faults.expect(enough, || format!("take-off {name}: fewer bars than are cut"));
        let longest = job.system.batten.bars.iter().map(|bar| metres(bar.length)).fold(0.0, f64::max);
        let spare = content - line.net - line.allowance;
        faults.expect(spare < longest, || format!("take-off {name}: {spare} m too much"));
    } else {
        faults.same(ordered, bought, || format!("take-off {name}: bars"));
    }
}
