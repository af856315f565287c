//! Wet work and its times: layers, mixes, schedule and hours reckoned again from job and plan.

use upstand::calendar::Moment;
use upstand::plan::RoofPlan;
use upstand::schedule::{Schedule, Task};
use upstand::survey::Covering;
use upstand::system::{Covers, Finish, Hardener, Layer, Rate, Stage, System, Treatment};
use upstand::wet::Mixing;
use upstand::{Job, Plan};

use super::Faults;
use super::outline::trim;
use super::takeoff::{covered_m2, dose_at, fraction};

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    layers(job, plan, faults);
    for mixing in &plan.mixing {
        mixes(job, plan, mixing, faults);
    }
    if let Some(schedule) = &plan.schedule {
        times(job, plan, schedule, faults);
    }
    stages(job, plan, faults);
    super::laid::check(job, plan, faults);
}

/// All facets of a trim but its deck flange, over its length as cut.
pub(super) fn run_m2(system: &System, run: &upstand::trim::TrimRun) -> f64 {
    let m = |um: i64| um as f64 / 1e6;
    let section = &trim(system, run.kind).section;
    let facets = section.points.windows(2).enumerate().filter(|(facet, _)| *facet != section.deck_flange);
    let girth: f64 =
        facets.map(|(_, ends)| m((ends[1].0 - ends[0].0).um()).hypot(m((ends[1].1 - ends[0].1).um()))).sum();
    girth * m(run.cut_length.um())
}

pub(super) fn trims_m2(system: &System, roof: &RoofPlan) -> f64 {
    roof.trims.runs.iter().map(|run| run_m2(system, run)).sum()
}

/// Metres of tape off the roll: along the seams, with a lap for each stretch, and over joints.
pub(super) fn tape_m(job: &Job, of: &RoofPlan) -> f64 {
    let m = |um: i64| um as f64 / 1e6;
    let stretches: usize = of.mat.seams.iter().map(|seam| seam.points.len()).sum();
    let joints = of.mat.tape_pieces.iter().filter(|tape| matches!(tape.on, upstand::mat::TapePlace::Joint { .. }));
    let along = m(of.mat.tape.um()) + m(job.system.tape.lap.um()) * stretches as f64;
    along + joints.map(|tape| m(tape.length.um())).sum::<f64>()
}

/// What a square metre takes: as the surface and the finish ask for.
pub(super) fn rate(job: &Job, layer: &Layer) -> f64 {
    let chosen = if job.preferences.finish == Finish::Smooth { layer.smooth.unwrap_or(layer.rate) } else { layer.rate };
    let Rate::KgPerM2(rate) = chosen else { return f64::NAN };
    if layer.covers != Covers::BareDeck {
        return rate;
    }
    let rows = &job.system.readiness.coverings;
    let row = |covering: Covering| rows.iter().find(|row| row.covering == covering);
    let Some(found) = job.survey.covering else { return rate };
    let gone = row(found).is_some_and(|row| row.treatment == Treatment::Remove);
    let surface = if gone || job.survey.overlay.um() > 0 { Covering::Bare } else { found };
    let Some(row) = row(surface) else { return rate };
    let by_name = rows.iter().any(|other| other.primer.as_ref() == Some(&layer.material));
    let wanted = row.primer.as_ref().map_or(!by_name, |primer| *primer == layer.material);
    if wanted { rate * row.absorption } else { 0.0 }
}

fn layer<'a>(job: &'a Job, material: &str) -> Option<&'a Layer> {
    job.system.layers.iter().find(|layer| layer.material == material)
}

/// Pieces add up to their stage, stages to the line of the order.
fn layers(job: &Job, plan: &Plan, faults: &mut Faults) {
    for laid in &plan.layers {
        let here = format!("layer {} {:?}", laid.layer, laid.stage);
        let Some(layer) = layer(job, &laid.layer) else {
            faults.expect(false, || format!("{here}: not in the system"));
            continue;
        };
        let slack = 0.0005 * laid.pieces.len() as f64 + 0.0011;
        let kg: f64 = laid.pieces.iter().map(|piece| piece.kg).sum();
        faults.close(kg, laid.net_kg, slack, || format!("{here}: pieces"));
        let whole: f64 = laid.pieces.iter().map(|piece| piece.amount).sum();
        faults.close(whole, laid.amount, slack, || format!("{here}: amounts of the pieces"));
        faults.close(laid.allowance_kg, laid.net_kg * layer.allowance, 0.0011, || format!("{here}: allowance"));
        for piece in laid.pieces.iter().filter(|_| laid.stage == Stage::Coat) {
            let wanted = piece.amount * rate(job, layer);
            faults.close(piece.kg, wanted, 0.0006 + 0.0005 * rate(job, layer), || format!("{here}: {}", piece.piece));
        }
        if laid.stage == Stage::Coat {
            faults.close(laid.amount, covered_m2(&job.system, plan, layer.covers), 0.0006, || format!("{here}: area"));
        }
    }
    for layer in &job.system.layers {
        let stages = plan.layers.iter().filter(|laid| laid.layer == layer.material);
        let sum: f64 = stages.clone().map(|laid| laid.net_kg).sum();
        let line = plan.takeoff.iter().find(|line| line.material == layer.material).map_or(0.0, |line| line.net);
        // Each stage and the line are rounded up by themselves.
        faults.close(sum, line, 0.001 * stages.count() as f64 + 1e-6, || format!("layer {} in all", layer.material));
    }
}

/// Amounts of mixes, their doses, their time, the pieces that they are for.
fn mixes(job: &Job, plan: &Plan, mixing: &Mixing, faults: &mut Faults) {
    let here = format!("mixing {} {:?} {:?}", mixing.layer, mixing.stage, mixing.task);
    let found = layer(job, &mixing.layer).and_then(|layer| {
        Some((layer, job.system.hardeners.iter().find(|h| Some(&h.material) == layer.hardener.as_ref())?))
    });
    let Some((layer, hardener)) = found else {
        faults.expect(false, || format!("{here}: no such layer or hardener"));
        return;
    };
    let (cold, warm) = mixing.surface_c;
    let Some(dose) = dose_at(hardener, cold) else {
        faults.expect(false, || format!("{here}: {cold} degrees are in no band"));
        return;
    };
    // What is read off between two rows is rounded up to a millionth.
    let (wanted, millionth) = (fraction(hardener, layer, dose), fraction(hardener, layer, 1e-6));
    let slack = if hardener.interpolate { millionth } else { 0.0 };
    let within = mixing.fraction > wanted - 1e-9 && mixing.fraction < wanted + slack + 1e-12;
    faults.expect(within, || format!("{here}: dose {} for {wanted}", mixing.fraction));
    // Between two rows a mix may gel as soon as in either.
    let touched = |row: usize| {
        let next = hardener.bands.get(row + 1).filter(|_| hardener.interpolate).map_or(cold, |next| next.from_c);
        let before = row.checked_sub(1).filter(|_| hardener.interpolate).map_or(warm, |row| hardener.bands[row].to_c);
        let band = &hardener.bands[row];
        let itself = band.from_c <= warm && band.to_c >= cold;
        itself || band.to_c < cold && next > cold || band.from_c > warm && before < warm
    };
    let rows = (0..hardener.bands.len()).filter(|&row| touched(row));
    let gels = rows.filter_map(|row| hardener.bands[row].pot_life_min).fold(f64::INFINITY, f64::min);
    faults.close(mixing.pot_life_min.unwrap_or(1e9), gels.min(1e9), 1e-9, || format!("{here}: pot life"));
    let usable = (gels * job.system.limits.pot_life_share).min(1e9);
    faults.close(mixing.use_within_min.unwrap_or(1e9), usable - 0.05, 0.05001, || format!("{here}: time to lay a mix"));

    let total: f64 = mixing.batches.iter().map(|batch| batch.count as f64 * batch.mass_kg).sum();
    let count: u64 = mixing.batches.iter().map(|batch| batch.count).sum();
    let slack = 0.0006 * count as f64;
    faults.close(total, mixing.mass_kg, slack, || format!("{here}: batches"));
    let shares = parts(job, plan, mixing);
    let largest = mixing.batches.iter().map(|batch| batch.mass_kg).fold(0.0, f64::max);
    let (net, hours) = shares;
    let need = net * (1.0 + layer.allowance);
    faults.expect(total >= need - slack - 1e-3, || format!("{here}: {total} kg do not cover {need}"));
    faults.expect(total <= need + largest + slack, || format!("{here}: {total} kg for {need}"));
    let crew = job.programme.as_ref().map_or(2, |programme| programme.crew);
    for batch in &mixing.batches {
        faults
            .expect(layer.most_mix_kg.is_none_or(|most| batch.mass_kg <= most + 1e-3), || format!("{here}: too large"));
        if let (Some(container), Some(density)) = (layer.container, layer.density_kg_l) {
            faults
                .expect(batch.mass_kg <= container.size_l * density + 1e-3, || format!("{here}: no room for a batch"));
        }
        let least = batch.mass_kg * 1e3 * wanted;
        // The mass is written to the gram.
        faults.expect(batch.hardener_g >= least - wanted - 1e-6, || format!("{here}: too little hardener"));
        let step = rounding(hardener, least);
        faults.expect(batch.hardener_g <= least + wanted + step + 1e-6, || {
            format!("{here}: {} g of hardener where {least} are the dose", batch.hardener_g)
        });
        // The time that the crew takes to lay it.
        let minutes = batch.mass_kg / need * (1.0 + layer.allowance) * hours * 60.0 / f64::from(crew);
        let usable = gels * job.system.limits.pot_life_share;
        faults.expect(minutes <= usable * 1.001 + 0.01, || {
            format!("{here}: {minutes} minutes in a pot life of {usable}")
        });
    }
    let numbers = mixing.mixes.iter().enumerate().all(|(i, mix)| mix.number == i as u64 + 1);
    faults.expect(numbers, || format!("{here}: numbers of mixes"));
    if !mixing.mixes.is_empty() {
        faults.same(mixing.mixes.len() as u64, count, || format!("{here}: number of mixes"));
        pieces(mixing, faults, &here);
    }
    let eyes = mixing.cautions.iter().any(|text| text.contains("goggles"));
    let peroxide = mixing.cautions.iter().any(|text| text.contains("Peroxide"));
    let sheet = mixing.cautions.iter().any(|text| text.contains("data sheet") && text.contains("local rules"));
    faults.expect(eyes && peroxide && sheet, || format!("{here}: cautions"));
}

/// Every piece is begun once the one before is done, and in the end all are.
fn pieces(mixing: &Mixing, faults: &mut Faults, here: &str) {
    let mut open: Option<(usize, String, f64)> = None;
    for work in mixing.mixes.iter().flat_map(|mix| &mix.work) {
        if let Some((roof, piece, done)) = open.take().filter(|(.., done)| *done < 1.0) {
            let goes_on = roof == work.roof && piece == work.piece && work.done > done;
            faults.expect(goes_on, || format!("{here}: {piece} is left at {done}"));
        }
        open = Some((work.roof, work.piece.clone(), work.done));
    }
    faults.expect(open.is_some_and(|(.., done)| done >= 1.0), || format!("{here}: the last piece is not done"));
}

/// Most that rounding up adds to a dose in grams.
fn rounding(hardener: &Hardener, least: f64) -> f64 {
    use upstand::system::Dosing::Measures;
    let scale = hardener.scale_g.unwrap_or(if least < 20.0 { 0.1 } else { 1.0 });
    match hardener.dosing {
        Measures { measure_g, part, .. } => scale + measure_g / f64::from(part),
        _ => scale,
    }
}

/// Net mass and person-hours of a mixing: its stage's, by the parts of the roofs that it is for.
fn parts(job: &Job, plan: &Plan, mixing: &Mixing) -> (f64, f64) {
    let same = plan.layers.iter().find(|laid| laid.layer == mixing.layer && laid.stage == mixing.stage);
    let Some(laid) = same else { return (f64::NAN, f64::NAN) };
    let (mut net, mut hours) = (0.0, 0.0);
    for place in &mixing.places {
        let of_roof = laid.pieces.iter().filter(|piece| piece.roof == place.roof);
        net += of_roof.map(|piece| piece.kg).sum::<f64>() / place.parts as f64;
        hours += person_hours(job, plan, &mixing.layer, mixing.stage, place.roof) / place.parts as f64;
    }
    (net, hours)
}

/// Hours of one person for a layer's stage on a roof.
fn person_hours(job: &Job, plan: &Plan, material: &str, stage: Stage, roof: usize) -> f64 {
    let (Some(layer), Some(of)) = (layer(job, material), plan.roofs.get(roof)) else { return f64::NAN };
    let work = &job.system.work;
    if stage == Stage::Details {
        let tape = tape_m(job, of);
        let patches: f64 = of.mat.patches.iter().map(|patch| f64::from(patch.layers)).sum();
        return tape / work.tape_m + patches / work.patches;
    }
    let area = match layer.covers {
        Covers::BareDeck => of.mat.bare_deck_m2,
        Covers::Laminate => of.mat.area_m2,
        Covers::Roof => of.area_m2,
        Covers::Trims => trims_m2(&job.system, of),
    };
    area / layer.m2_per_person_hour.unwrap_or(work.coat_m2)
}

/// One task after the other, in working hours without rain, as long as their work takes, within their windows.
fn times(job: &Job, plan: &Plan, schedule: &Schedule, faults: &mut Faults) {
    let Some(programme) = &job.programme else {
        faults.expect(false, || "a schedule without a programme".into());
        return;
    };
    faults.same(schedule.crew, programme.crew, || "people at work".into());
    let minutes = |moment: Moment| moment.minutes();
    let wet = |task: &Task| task.layer.is_some() || task.stage == Stage::Cleaning;
    let mut before: Option<&Task> = None;
    for (index, task) in schedule.tasks.iter().enumerate() {
        let here = format!("task {} {}", task.number, task.name);
        faults.same(task.number, index as u64 + 1, || format!("{here}: number"));
        faults.expect(before.is_none_or(|before| before.end <= task.begin), || format!("{here}: begun too early"));
        faults.expect(!task.places.is_empty(), || format!("{here}: nowhere"));
        let known = task.layer.as_ref().is_none_or(|name| layer(job, name).is_some());
        faults.expect(known, || format!("{here}: no such layer"));
        for (i, place) in task.places.iter().enumerate() {
            let there = place.roof < plan.roofs.len() && (1..=place.parts).contains(&place.part);
            faults.expect(there && !task.places[..i].contains(place), || format!("{here}: no such place {place:?}"));
            // Each part of a roof is laid once; what is done dry, and what is cleaned, is not told apart.
            let same = |other: &&Task| other.layer == task.layer && other.stage == task.stage;
            let parts = || schedule.tasks.iter().filter(same).flat_map(|other| &other.places);
            let all = parts().filter(|other| other.roof == place.roof && other.parts == place.parts).count() as u64;
            let once = parts().filter(|other| *other == place).count() == 1;
            let whole =
                if task.layer.is_some() && task.stage != Stage::Cleaning { once && all == place.parts } else { true };
            let dry = wet(task) || place.parts == 1;
            faults.expect(whole && dry, || format!("{here}: parts of roof {}", place.roof));
        }
        let worked: i64 = task.spells.iter().map(|spell| minutes(spell.to) - minutes(spell.from)).sum();
        faults.same(worked, task.work_min as i64, || format!("{here}: minutes of work"));
        let ends = (task.spells.first().map(|spell| spell.from), task.spells.last().map(|spell| spell.to));
        faults.same(ends, (Some(task.begin), Some(task.end)), || format!("{here}: spells"));
        let wet = wet(task);
        faults.expect(!wet || task.spells.len() == 1, || format!("{here}: broken off"));
        for minute in task.spells.iter().flat_map(|spell| (minutes(spell.from)..minutes(spell.to)).step_by(5)) {
            let at = Moment::from_minutes(minute);
            let hours = programme.week.on(at.date().weekday());
            let works = hours.is_some_and(|(from, to)| from <= at.time() && at.time() < to);
            faults.expect(works && !programme.days_off.contains(&at.date()), || format!("{here}: no work at {at}"));
            let Some(forecast) = &programme.forecast else { continue };
            let Some(hour) = usize::try_from((minute - minutes(forecast.from)).div_euclid(60)).ok() else { continue };
            let rain = forecast.rain_mm.get(hour).copied().unwrap_or(0.0);
            faults.expect(rain <= job.system.work.rain_mm, || format!("{here}: rain at {at}"));
            if !wet {
                continue;
            }
            let humid = forecast.humidity_percent.get(hour).copied().unwrap_or(0.0);
            faults.expect(humid <= job.system.limits.humidity_percent, || format!("{here}: damp at {at}"));
            let hardener = task.layer.as_ref().and_then(|name| layer(job, name)?.hardener.as_ref());
            let table = job.system.hardeners.iter().find(|table| Some(&table.material) == hardener);
            if let (Some(table), Some(surface)) = (table, forecast.surface_c.get(hour)) {
                let dosed = dose_at(table, *surface).is_some();
                faults.expect(dosed, || format!("{here}: no dose at {at}"));
            }
        }
        let not_before = task.not_before.is_none_or(|from| from <= task.begin);
        faults.expect(not_before && task.not_after.is_none_or(|to| task.begin <= to), || format!("{here}: window"));
        if task.layer.is_some() {
            windows(job, schedule, index, faults, &here);
            let step = f64::from(programme.step_min);
            let of_place = |place: &upstand::schedule::Place| {
                let material = task.layer.as_deref().unwrap_or_default();
                person_hours(job, plan, material, task.stage, place.roof) / place.parts as f64
            };
            let exact = task.places.iter().map(of_place).sum::<f64>() * 60.0 / f64::from(programme.crew);
            let whole = ((exact / step - 1e-9).ceil().max(1.0) * step) as u64;
            faults.same(task.work_min, whole, || format!("{here}: work of the crew"));
        }
        let sheet = task.cautions.iter().any(|text| text.contains("data sheet") && text.contains("local rules"));
        faults.expect(sheet, || format!("{here}: does not send to the data sheet"));
        if task.layer.as_ref().is_some_and(|name| layer(job, name).is_some_and(|layer| layer.hardener.is_some())) {
            let warned =
                ["Peroxide", "goggles"].iter().all(|word| task.cautions.iter().any(|text| text.contains(word)));
            faults.expect(warned, || format!("{here}: says nothing of hardener"));
        }
        before = Some(task);
    }
    let done = schedule.tasks.iter().map(|task| task.end).max();
    faults.same(Some(schedule.done), done, || "end of the schedule".into());
}

/// What lies below has cured, and has not stood too long or been rained on without being cleaned: minute by minute.
fn windows(job: &Job, schedule: &Schedule, index: usize, faults: &mut Faults, here: &str) {
    let task = &schedule.tasks[index];
    let rank = |task: &Task| job.system.layers.iter().position(|layer| Some(&layer.material) == task.layer.as_ref());
    let Some(own) = rank(task) else { return };
    let under = |other: &&Task| other.places == task.places && rank(other).is_some_and(|below| below < own);
    let below = schedule.tasks[..index].iter().filter(under).filter_map(rank).max();
    for before in schedule.tasks[..index].iter().filter(|other| other.places == task.places && rank(other).is_some()) {
        let same = rank(before) == Some(own);
        if !same && rank(before) != below {
            continue;
        }
        let Some(layer) = rank(before).and_then(|rank| job.system.layers.get(rank)) else { continue };
        let Some(window) = layer.next else { continue };
        let cleaned = schedule.tasks[..index]
            .iter()
            .rev()
            .find(|other| other.stage == Stage::Cleaning && other.places == task.places && other.begin >= before.end);
        let renewal = layer.renewal.as_ref();
        let (from, least, most) = match (cleaned, renewal) {
            (Some(cleaned), Some(renewal)) => (cleaned.end, renewal.from_min, renewal.to_h * 60.0),
            _ => (before.end, if same { 0.0 } else { window.from_min }, window.to_h * 60.0),
        };
        let by_band = cleaned.is_none() && !layer.next_at.is_empty();
        let shortest = layer.next_at.iter().map(|band| band.to_h * 60.0).fold(f64::INFINITY, f64::min);
        let (mut cured, mut passed, mut rained) = (0.0, 0.0, false);
        for minute in from.minutes()..task.begin.minutes() {
            let forecast = job.programme.as_ref().and_then(|programme| programme.forecast.as_ref());
            let hour = forecast.and_then(|forecast| {
                let hour = usize::try_from((minute - forecast.from.minutes()).div_euclid(60)).ok()?;
                (hour < forecast.rain_mm.len()).then_some((forecast, hour))
            });
            rained |= hour.is_some_and(|(forecast, hour)| forecast.rain_mm[hour] > job.system.work.rain_mm);
            let surface = match hour {
                Some((forecast, hour)) => Some(*forecast.surface_c.get(hour).unwrap_or(&forecast.air_c[hour])),
                None => job.survey.surface_c,
            };
            let band = |at: f64| layer.next_at.iter().rfind(|band| band.from_c <= at && at <= band.to_c);
            match surface.map(band).filter(|_| by_band) {
                Some(Some(band)) => {
                    cured += 1.0 / band.from_min;
                    passed += 1.0 / (band.to_h * 60.0).floor();
                }
                Some(None) if hour.is_some() => passed += 1.0 / shortest.floor(),
                _ => {
                    cured += if least > 0.0 { 1.0 / least } else { 1.0 };
                    passed += 1.0 / most.floor();
                }
            }
        }
        let free = least <= 0.0 || (same && cleaned.is_none());
        faults.expect(free || cured >= 1.0 - 1e-6, || format!("{here}: {} has not cured", before.name));
        faults.expect(passed <= 1.0 + 1e-6, || format!("{here}: {} has stood too long", before.name));
        let matters = renewal.is_some_and(|renewal| renewal.after_rain);
        faults.expect(!(rained && matters), || format!("{here}: {} was rained on", before.name));
    }
}

/// Hours of the stages, what they cost, and shares that add up to the packs.
fn stages(job: &Job, plan: &Plan, faults: &mut Faults) {
    let Some(costs) = &plan.costs else { return };
    for stage in costs.stages.iter().filter(|stage| stage.stage != Stage::Cleaning) {
        let here = format!("costs of {:?} {:?}", stage.stage, stage.layer);
        let runs = || plan.roofs.iter().flat_map(|roof| &roof.trims.runs);
        let hours: f64 = match (stage.stage, &stage.layer) {
            (Stage::Preparation, _) => {
                plan.roofs.iter().map(|roof| roof.area_m2).sum::<f64>() / job.system.work.preparation_m2
            }
            (Stage::Trims, _) => {
                let metres: f64 = runs().map(|run| run.cut_length.um() as f64 / 1e6).sum();
                let joints: usize = runs().map(|run| run.joints.len()).sum();
                metres / job.system.work.trim_m + joints as f64 / job.system.work.joints
            }
            (_, Some(layer)) => {
                (0..plan.roofs.len()).map(|roof| person_hours(job, plan, layer, stage.stage, roof)).sum()
            }
            (_, None) => 0.0,
        };
        faults.close(stage.person_hours, hours + 0.005, 0.00501, || format!("{here}: hours"));
        let labour = job
            .system
            .work
            .person_hour
            .map(|hour| ((hour.parts() as u128 * (stage.person_hours * 100.0).round() as u128 + 50) / 100) as u64);
        faults.same(stage.labour.map(|labour| labour.parts()), labour, || format!("{here}: labour"));
        let total = stage.labour.zip(stage.materials).map(|(labour, materials)| labour.parts() + materials.parts());
        faults.same(stage.total.map(|total| total.parts()), total, || format!("{here}: together"));
    }
    let materials: Option<u64> = costs.stages.iter().map(|stage| stage.materials.map(|money| money.parts())).sum();
    if let Some(total) = costs.total {
        faults.same(materials, Some(total.parts()), || "costs: shares of the packs".into());
    }
    let labour: Option<u64> = costs.stages.iter().map(|stage| stage.labour.map(|money| money.parts())).sum();
    faults.same(costs.labour.map(|money| money.parts()), labour, || "costs: labour in all".into());
}
