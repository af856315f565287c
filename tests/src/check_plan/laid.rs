//! What is laid where and done when, in words: pieces of layers, tasks of a schedule, stages of the costs.

use upstand::caution::Hazard;
use upstand::plan::RoofPlan;
use upstand::schedule::{CleaningChoice, Place, Programme, Schedule, Task};
use upstand::survey::{Board, Covering};
use upstand::system::{Covers, Layer, Rate, Stage};
use upstand::{Job, Kind, Length, Plan};

use super::Faults;
use super::outline::trim;
use super::wet::{rate, run_m2, tape_m};

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    layers(job, plan, faults);
    if let Some(schedule) = &plan.schedule {
        tasks(job, plan, schedule, faults);
        orders(job, schedule, faults);
    }
    costs(job, plan, faults);
}

fn m(length: Length) -> f64 {
    length.um() as f64 / 1e6
}

fn stages(layer: &Layer) -> &'static [Stage] {
    match layer.rate {
        Rate::PerGlass(_) => &[Stage::Details, Stage::Laminate],
        Rate::KgPerM2(_) => &[Stage::Coat],
    }
}

fn patches(roof: &RoofPlan) -> u64 {
    roof.mat.patches.iter().map(|patch| u64::from(patch.layers)).sum()
}

fn covered(job: &Job, roof: &RoofPlan, covers: Covers) -> f64 {
    match covers {
        Covers::BareDeck => roof.mat.bare_deck_m2,
        Covers::Laminate => roof.mat.area_m2,
        Covers::Roof => roof.area_m2,
        Covers::Trims => roof.trims.runs.iter().map(|run| run_m2(&job.system, run)).sum(),
    }
}

/// A piece: its name, its amount, its mass, and how far the mass may be off.
type Piece = (String, f64, f64, f64);

/// The layers that anything is needed of, in the order of the system, with their pieces in the order of laying.
fn layers(job: &Job, plan: &Plan, faults: &mut Faults) {
    let taped = plan.roofs.iter().map(|roof| tape_m(job, roof)).sum::<f64>() > 0.0;
    let mut wanted = Vec::new();
    for layer in &job.system.layers {
        for &stage in stages(layer) {
            let of_roof = |(index, roof): (usize, &RoofPlan)| -> Vec<(usize, Piece)> {
                let pieces = match layer.rate {
                    Rate::PerGlass(ratio) if stage == Stage::Details => details(job, roof, ratio, taped),
                    Rate::PerGlass(ratio) => {
                        let kg = roof.mat.laid_m2 * job.system.mat.mass_g_m2 / 1e3 * ratio;
                        let piece = |(mark, share)| (mark, roof.mat.area_m2 * share, kg * share, 0.0);
                        strips(roof).into_iter().map(piece).collect()
                    }
                    Rate::KgPerM2(_) => {
                        let rate = rate(job, layer);
                        let of = |(mark, m2): (String, f64)| (mark, m2, m2 * rate, 0.0);
                        coat(job, roof, layer.covers).into_iter().map(of).collect()
                    }
                };
                pieces.into_iter().map(|piece| (index, piece)).collect()
            };
            let pieces: Vec<(usize, Piece)> = plan.roofs.iter().enumerate().flat_map(of_roof).collect();
            // What takes less than a gram is rounded up to one.
            if pieces.iter().map(|(_, piece)| piece.2).sum::<f64>() > 1e-6 {
                let unit = match stage {
                    Stage::Details if taped => "m",
                    Stage::Details => "piece",
                    _ => "m2",
                };
                wanted.push((layer, stage, unit, pieces));
            }
        }
    }
    let found: Vec<_> = plan.layers.iter().map(|laid| (laid.layer.as_str(), laid.stage)).collect();
    let stages: Vec<_> = wanted.iter().map(|(layer, stage, ..)| (layer.material.as_str(), *stage)).collect();
    faults.same(found, stages, || "layers and their stages".into());
    for (laid, (layer, stage, unit, pieces)) in plan.layers.iter().zip(&wanted) {
        let here = format!("layer {} {stage:?}", laid.layer);
        let head = (laid.name.as_str(), laid.unit.as_str(), laid.covers);
        faults.same(head, (layer.name.as_str(), *unit, layer.covers), || format!("{here}: name, unit"));
        let names: Vec<_> = laid.pieces.iter().map(|piece| (piece.roof, piece.piece.as_str())).collect();
        // Nothing is laid at a seam without tape whose patches are all nearer to others, or may be counted there.
        let is_laid = |(roof, (mark, _, kg, slack)): &&(usize, Piece)| {
            *kg > 1e-12 && (kg - slack > 1e-9 || names.contains(&(*roof, mark.as_str())))
        };
        let mut listed: Vec<_> = pieces.iter().filter(is_laid).collect();
        if listed.len() > 2_000 {
            listed.clear();
        }
        let marks: Vec<_> = listed.iter().map(|(roof, piece)| (*roof, piece.0.as_str())).collect();
        faults.same(names, marks, || format!("{here}: pieces"));
        for (piece, (_, (_, amount, kg, slack))) in laid.pieces.iter().zip(&listed) {
            faults.close(piece.kg, *kg, slack + 0.00051, || format!("{here}: {} in kg", piece.piece));
            let tied = *unit == "piece" && *slack > 0.0;
            let slack = if tied { f64::INFINITY } else { 0.00051 };
            faults.close(piece.amount, *amount, slack, || format!("{here}: {}", piece.piece));
        }
    }
}

/// The strips of mat, each with its share of the area laid.
fn strips(roof: &RoofPlan) -> Vec<(String, f64)> {
    let pieces = || roof.mat.strips.iter().flat_map(|strip| &strip.pieces);
    let whole: f64 = pieces().map(|piece| piece.area_m2).sum();
    if whole <= 0.0 {
        return vec![("mat".into(), 1.0)];
    }
    pieces().map(|piece| (format!("strip {}", piece.mark), piece.area_m2 / whole)).collect()
}

/// A coat: trims one by one, the bare deck at once, a roof edge by edge and then strip by strip.
fn coat(job: &Job, roof: &RoofPlan, covers: Covers) -> Vec<(String, f64)> {
    let m2 = covered(job, roof, covers);
    let runs = &roof.trims.runs;
    if m2 <= 0.0 {
        return Vec::new();
    }
    if covers == Covers::Trims {
        let trims = runs.iter().map(|run| (format!("trim {}", run.mark), run_m2(&job.system, run)));
        return trims.filter(|trim| trim.1 > 0.0).collect();
    }
    if covers == Covers::BareDeck || roof.mat.strips.is_empty() {
        return vec![("deck".into(), m2)];
    }
    let edges = (m2 - roof.mat.area_m2).max(0.0);
    let around: f64 = runs.iter().map(|run| m(run.line_length)).sum();
    let mut pieces: Vec<(String, f64)> = Vec::new();
    if edges > 0.0 && around > 0.0 {
        pieces.extend(runs.iter().map(|run| (format!("edge {}", run.mark), edges * m(run.line_length) / around)));
    } else if edges > 0.0 {
        pieces.push(("edges".into(), edges));
    }
    pieces.extend(strips(roof).into_iter().map(|(mark, share)| (mark, (m2 - edges) * share)));
    pieces
}

/// Tape by the length of each run, patches at the run nearest to them. A patch that lies at two runs alike may be counted at
/// either: the mass may be off by so much.
fn details(job: &Job, roof: &RoofPlan, ratio: f64, taped: bool) -> Vec<Piece> {
    let system = &job.system;
    let runs = &roof.trims.runs;
    let tape = tape_m(job, roof);
    let tape_kg = tape * m(system.tape.width) * system.tape.mass_g_m2 / 1e3;
    let patch_kg = m(system.patch.side).powi(2) * system.mat.mass_g_m2 / 1e3;
    let around: f64 = runs.iter().map(|run| m(run.line_length)).sum();
    let amount = |tape: f64, patches: f64| if taped { tape } else { patches };
    let mut pieces: Vec<Piece> = Vec::new();
    if around <= 0.0 {
        let patches = patches(roof) as f64;
        pieces.push(("seams".into(), amount(tape, patches), (tape_kg + patches * patch_kg) * ratio, 0.0));
    } else {
        // Patches that lie at one run alone, and those shared by several.
        let mut own = vec![0.0; runs.len()];
        let mut shared = vec![0.0; runs.len()];
        for patch in &roof.mat.patches {
            let at = (patch.at.x.um() as f64, patch.at.y.um() as f64);
            let ends = |p: upstand::geometry::Point| (p.x.um(), p.y.um());
            let apart =
                |run: &upstand::trim::TrimRun| crate::plane::distance_to_segment(at, ends(run.from), ends(run.to));
            let least = runs.iter().map(apart).fold(f64::INFINITY, f64::min);
            let near: Vec<usize> = (0..runs.len()).filter(|&i| apart(&runs[i]) <= least + 0.01).collect();
            let count = if near.len() == 1 { &mut own } else { &mut shared };
            near.iter().for_each(|&i| count[i] += f64::from(patch.layers));
        }
        for ((run, own), shared) in runs.iter().zip(own).zip(shared) {
            let share = m(run.line_length) / around;
            // In the middle of what it may be.
            let patches = own + shared / 2.0;
            let kg = (tape_kg * share + patches * patch_kg) * ratio;
            let slack = shared / 2.0 * patch_kg * ratio;
            pieces.push((format!("seam at {}", run.mark), amount(tape * share, patches), kg, slack));
        }
    }
    let collars = roof.mat.collars.iter().map(|collar| {
        let hole = std::f64::consts::FRAC_PI_4 * m(collar.hole).powi(2);
        let up = collar.sleeve.map_or(0.0, |sleeve| m(sleeve.length) * m(sleeve.height));
        f64::from(collar.layers) * (m(collar.side).powi(2) - hole + up)
    });
    let glass_kg = collars.sum::<f64>() * system.mat.mass_g_m2 / 1e3;
    if glass_kg > 0.0 {
        pieces.push(("collars".into(), 0.0, glass_kg * ratio, 0.0));
    }
    pieces
}

/// What a task has to say of itself.
struct Said {
    name: String,
    kind: Option<Kind>,
    amount: f64,
    unit: &'static str,
    hazards: Vec<Hazard>,
}

fn tasks(job: &Job, plan: &Plan, schedule: &Schedule, faults: &mut Faults) {
    use Hazard::{Asbestos, DataSheet, Dust, Eyes, Hardener, Height, Solvent, Vapour, Waste, Wind};
    let fixed = |kind: Kind| -> f64 {
        let runs = plan.roofs.iter().flat_map(|roof| &roof.trims.runs);
        runs.filter(|run| run.kind == kind).map(|run| m(run.cut_length)).sum()
    };
    let hides = matches!(job.survey.covering, None | Some(Covering::Felt | Covering::Asphalt | Covering::Other))
        || job.survey.boards.is_some_and(|boards| matches!(boards.board, Board::FibreCement | Board::Other));
    let mut kinds = job.system.work.trim_order.into_iter().filter(|&kind| fixed(kind) > 0.0);
    for (index, task) in schedule.tasks.iter().enumerate() {
        let here = format!("task {}", task.number);
        let of = |value: &dyn Fn(&RoofPlan) -> f64| -> f64 {
            let shares = task.places.iter().filter_map(|place| Some((plan.roofs.get(place.roof)?, place.parts.max(1))));
            shares.map(|(roof, parts)| value(roof) / parts as f64).sum()
        };
        let layer = task.layer.as_ref().and_then(|name| job.system.layers.iter().find(|layer| layer.material == *name));
        let wanted = match (task.stage, layer) {
            (Stage::Preparation, None) => Some(Said {
                name: "make the deck ready".into(),
                kind: None,
                amount: plan.roofs.iter().map(|roof| roof.area_m2).sum(),
                unit: "m2",
                hazards: [DataSheet, Height].into_iter().chain(hides.then_some(Asbestos)).chain([Dust]).collect(),
            }),
            (Stage::Trims, None) => kinds.next().map(|kind| Said {
                name: format!("fix {}s", trim(&job.system, kind).name),
                kind: Some(kind),
                amount: fixed(kind),
                unit: "m",
                hazards: vec![DataSheet, Height, Dust, Wind],
            }),
            (Stage::Cleaning, None) => below(job, schedule, index).and_then(|layer| {
                Some(Said {
                    name: format!("{}: {}", layer.renewal.as_ref()?.how, layer.name),
                    kind: None,
                    amount: of(&|roof| covered(job, roof, layer.covers)),
                    unit: "m2",
                    hazards: vec![DataSheet, Height, Vapour, Solvent],
                })
            }),
            (stage, Some(layer)) if stages(layer).contains(&stage) => {
                let tape = of(&|roof| tape_m(job, roof));
                let (name, amount, unit) = match stage {
                    Stage::Details if tape > 0.0 => ("details: tape and patches in ", tape, "m"),
                    Stage::Details => ("details: tape and patches in ", of(&|roof| patches(roof) as f64), "piece"),
                    Stage::Laminate => ("main area: mat in ", of(&|roof| roof.mat.area_m2), "m2"),
                    _ => ("lay ", of(&|roof| covered(job, roof, layer.covers)), "m2"),
                };
                let mut hazards = vec![DataSheet, Height, Vapour];
                hazards.extend(layer.hardener.iter().flat_map(|_| [Hardener, Eyes]));
                hazards.push(Solvent);
                hazards.extend((stage != Stage::Coat).then_some(Dust));
                hazards.extend(layer.hardener.iter().map(|_| Waste));
                Some(Said { name: format!("{name}{}", layer.name), kind: None, amount, unit, hazards })
            }
            _ => None,
        };
        let Some(wanted) = wanted else {
            faults.expect(false, || format!("{here}: nothing to do for {:?} {:?}", task.stage, task.layer));
            continue;
        };
        let found = (task.name.as_str(), task.kind, task.unit.as_str());
        faults.same(found, (wanted.name.as_str(), wanted.kind, wanted.unit), || format!("{here}: name, kind, unit"));
        faults.close(task.amount, wanted.amount, 0.00501, || format!("{here}: amount"));
        let cautions: Vec<_> = wanted.hazards.iter().map(|hazard| hazard.text()).collect();
        faults.same(task.cautions.iter().map(String::as_str).collect(), cautions, || format!("{here}: cautions"));
        let warmth = task.layer.as_ref().and_then(|_| forecast(job.programme.as_ref()?, task));
        faults.same(task.surface_c, warmth, || format!("{here}: surface forecast"));
    }
    faults.same(kinds.count(), 0, || "kinds of trim that no task fixes".into());
}

/// The layer that a task of cleaning cleans: the one that was laid last on its places.
fn below<'a>(job: &'a Job, schedule: &Schedule, index: usize) -> Option<&'a Layer> {
    let places = &schedule.tasks[index].places;
    let laid = schedule.tasks[..index].iter().rev().find(|task| task.layer.is_some() && task.places == *places)?;
    job.system.layers.iter().find(|layer| Some(&layer.material) == laid.layer.as_ref())
}

/// Coldest and warmest surface forecast in the hours that a task touches; none beyond the forecast.
fn forecast(programme: &Programme, task: &Task) -> Option<(f64, f64)> {
    let forecast = programme.forecast.as_ref()?;
    let hour = |minute: i64| usize::try_from((minute - forecast.from.minutes()).div_euclid(60)).ok();
    let hours = hour(task.begin.minutes())?..=hour(task.end.minutes() - 1)?;
    let surface = |hour: usize| forecast.surface_c.get(hour).or_else(|| forecast.air_c.get(hour)).copied();
    let all: Vec<f64> = hours.map(surface).collect::<Option<_>>()?;
    Some((all.iter().copied().reduce(f64::min)?, all.iter().copied().reduce(f64::max)?))
}

/// Whether all orders of sections, and all choices of what is cleaned, are few enough to be tried.
fn orders(job: &Job, schedule: &Schedule, faults: &mut Faults) {
    const MOST: u64 = 1_000;
    let Some(programme) = &job.programme else { return };
    let rank = |task: &Task| {
        let at = job.system.layers.iter().position(|layer| Some(&layer.material) == task.layer.as_ref())?;
        Some(2 * at + usize::from(task.stage != Stage::Details))
    };
    // The wet tasks of each section, as planned: stages, and cleanings without one.
    let mut sections: Vec<(&[Place], Vec<Option<usize>>)> = Vec::new();
    for task in schedule.tasks.iter().filter(|task| task.layer.is_some() || task.stage == Stage::Cleaning) {
        let own = sections.iter_mut().find(|section| section.0 == task.places);
        match own {
            Some(section) => section.1.push(rank(task)),
            None => sections.push((&task.places, vec![rank(task)])),
        }
    }
    sections.sort_by_key(|section| section.0.first().map(|place| (place.roof, place.part)));
    let planned: Vec<Vec<Option<usize>>> = sections.into_iter().map(|section| section.1).collect();
    // With a cleaning wherever there may be one.
    let mut places = 0;
    let chain = |chain: &Vec<Option<usize>>| {
        let laid: Vec<usize> = chain.iter().flatten().copied().collect();
        let mut full = Vec::new();
        for (at, &stage) in laid.iter().enumerate() {
            let renewed = at > 0 && job.system.layers[laid[at - 1] / 2].renewal.is_some();
            if renewed && programme.cleaning != CleaningChoice::Never {
                places += 1;
                full.push(None);
            }
            full.push(Some(stage));
        }
        full
    };
    let full: Vec<Vec<Option<usize>>> = planned.iter().map(chain).collect();
    let few = count(&planned) <= MOST as u128;
    let all = places < 12 && count(&full).min(MOST.into()) << places <= 4_000;
    faults
        .same(schedule.all_orders, few && all, || format!("orders tried: {} with {places} cleanings", count(&planned)));
}

/// The orders in which each section goes through its own tasks, and no section through a stage before the one before it:
/// ways through a grid of how far each section has come.
fn count(sections: &[Vec<Option<usize>>]) -> u128 {
    if sections.len() > 4 {
        return u128::MAX >> 64;
    }
    let mut ways = std::collections::BTreeMap::from([(vec![0; sections.len()], 1_u128)]);
    let steps: usize = sections.iter().map(Vec::len).sum();
    for _ in 0..steps {
        let mut next = std::collections::BTreeMap::new();
        for (done, ways) in &ways {
            for section in 0..sections.len() {
                let Some(stage) = sections[section].get(done[section]) else { continue };
                let before = section.checked_sub(1).map_or(&[][..], |before| &sections[before][done[before]..]);
                let waits = stage.is_some() && before.iter().any(|left| left.is_some() && left <= stage);
                if !waits {
                    let mut on: Vec<usize> = done.clone();
                    on[section] += 1;
                    *next.entry(on).or_insert(0) += ways;
                }
            }
        }
        ways = next;
    }
    ways.into_values().sum()
}

/// The stages of the costs in the order of work, and what each square metre costs.
fn costs(job: &Job, plan: &Plan, faults: &mut Faults) {
    let Some(costs) = &plan.costs else { return };
    let found: Vec<_> = costs.stages.iter().map(|stage| (stage.stage, stage.layer.as_deref())).collect();
    let mut wanted = vec![(Stage::Preparation, None), (Stage::Trims, None)];
    wanted.extend(plan.layers.iter().map(|laid| (laid.stage, Some(laid.layer.as_str()))));
    let cleaned = |layer: &&Layer| {
        let name = layer.renewal.as_ref().map(|renewal| format!("{}: {}", renewal.how, layer.name));
        let mut tasks = plan.schedule.iter().flat_map(|schedule| &schedule.tasks);
        tasks.any(|task| task.stage == Stage::Cleaning && Some(&task.name) == name.as_ref())
    };
    let cleanings = job.system.layers.iter().filter(cleaned);
    wanted.extend(cleanings.map(|layer| (Stage::Cleaning, Some(layer.material.as_str()))));
    // Glass that no layer wets stands by itself.
    let head = found.get(..wanted.len()).unwrap_or(&found).to_vec();
    let rest = found.get(wanted.len()..).unwrap_or_default();
    faults.same(head, wanted, || "stages of the costs".into());
    let glass = |stage: &(Stage, Option<&str>)| matches!(stage, (Stage::Details | Stage::Laminate, None));
    let wetted = job.system.layers.iter().any(|layer| matches!(layer.rate, Rate::PerGlass(_)));
    faults.expect(rest.is_empty() || (!wetted && rest.iter().all(glass)), || format!("stages of the costs: {rest:?}"));
    let area_m2: f64 = plan.roofs.iter().map(|roof| roof.area_m2).sum();
    for stage in &costs.stages {
        let here = format!("costs of {:?} {:?}", stage.stage, stage.layer);
        let whole = stage.total.or(stage.materials).map(|money| money.parts() as f64 / area_m2);
        faults.same(stage.per_m2.is_some(), whole.is_some(), || format!("{here}: for a square metre"));
        if let Some((found, wanted)) = stage.per_m2.zip(whole) {
            faults.close(found.parts() as f64, wanted, 0.501, || format!("{here}: for a square metre"));
        }
    }
}
