//! Plans with a programme, held against a checker that reckons layers, mixes, times and hours again; and laws of wet work.

use upstand::system::{Finish, Stage};
use upstand::{Job, Plan};
use upstand_tests::check_plan;
use upstand_tests::generate_wet::{interpolate, wet_job as job};

fn plan(job: &Job) -> Plan {
    upstand::plan(job).expect("a valid job")
}

#[test]
fn mixes_and_times_are_what_a_checker_reckons_again() {
    let (mut scheduled, mut cleaned, mut mixed, mut read_between) = (0, 0, 0, 0);
    for seed in 0..60 {
        let job = job(seed);
        let plan = plan(&job);
        let faults = check_plan::wet_faults(&job, &plan);
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        let tasks = || plan.schedule.iter().flat_map(|schedule| &schedule.tasks);
        scheduled += u32::from(plan.schedule.is_some());
        cleaned += u32::from(tasks().any(|task| task.stage == Stage::Cleaning));
        mixed += plan.mixing.len();
        let between = |mixing: &&upstand::wet::Mixing| {
            let own = |hardener: &&upstand::system::Hardener| hardener.name == mixing.hardener && hardener.interpolate;
            let on_a_row = |at: f64| job.system.hardeners[0].bands.iter().any(|b| b.from_c <= at && at <= b.to_c);
            job.system.hardeners.iter().any(|hardener| own(&hardener)) && !on_a_row(mixing.surface_c.0)
        };
        read_between += plan.mixing.iter().filter(between).count();
    }
    // Each kind of plan has to occur, or the check says little.
    let counts = (scheduled, cleaned, mixed, read_between);
    assert!(scheduled > 20 && cleaned > 0 && mixed > 60 && read_between > 5, "{counts:?}");
}

/// The checker finds what is wrong: times, doses and masses changed one by one.
#[test]
fn spoilt_mixes_and_times_are_found() {
    let found = (0..60).map(|seed| (job(seed), plan(&job(seed)))).find(|(_, plan)| plan.schedule.is_some());
    let (job, sound) = found.expect("a schedule");
    let spoilt = |change: &dyn Fn(&mut Plan)| {
        let mut plan = sound.clone();
        change(&mut plan);
        !check_plan::wet_faults(&job, &plan).is_empty()
    };
    fn tasks(plan: &mut Plan) -> &mut Vec<upstand::schedule::Task> {
        &mut plan.schedule.as_mut().expect("a schedule").tasks
    }
    assert!(spoilt(&|plan| tasks(plan).swap(0, 1)));
    assert!(spoilt(&|plan| tasks(plan)[0].work_min += 5));
    assert!(spoilt(&|plan| {
        tasks(plan).last_mut().expect("a task").cautions.clear();
    }));
    assert!(spoilt(&|plan| plan.layers[0].pieces[0].kg += 0.1));
    assert!(spoilt(&|plan| plan.costs.as_mut().expect("costs").stages[0].person_hours += 0.02));
    for index in 0..sound.mixing.len() {
        assert!(spoilt(&|plan| plan.mixing[index].batches[0].hardener_g *= 0.9));
        assert!(spoilt(&|plan| plan.mixing[index].batches[0].mass_kg *= 3.0));
        assert!(spoilt(&|plan| plan.mixing[index].fraction *= 1.5));
        assert!(spoilt(&|plan| plan.mixing[index].cautions.clear()));
        assert!(spoilt(&|plan| {
            plan.mixing[index].mixes.pop();
        }));
    }
}

/// A colder surface never takes less hardener for the same mass; the parts of a mix never add up to less than the whole and
/// to no more than the rounding of each part above it; the order covers every stage.
#[test]
fn colder_never_takes_less_and_the_order_covers_all() {
    for seed in 0..24 {
        let mut job = job(seed);
        job.programme = None;
        if seed >= 12 {
            interpolate(&mut job);
        }
        let mut last = f64::INFINITY;
        for surface_c in [5.0, 7.5, 10.0, 14.0, 18.0, 25.0, 30.0] {
            job.survey.surface_c = Some(surface_c);
            let plan = plan(&job);
            for mixing in &plan.mixing {
                let count: u64 = mixing.batches.iter().map(|batch| batch.count).sum();
                let sum: f64 = mixing.batches.iter().map(|batch| batch.count as f64 * batch.hardener_g).sum();
                let whole = mixing.mass_kg * 1e3 * mixing.fraction;
                // Up to a gram for each batch, a tenth of one below 20 g; masses are written to the gram.
                assert!(sum >= whole - 0.001 * count as f64 && sum <= whole + 1.05 * count as f64, "{sum} {whole}");
            }
            let line = |name: &str| plan.takeoff.iter().find(|line| line.material == name);
            let hardener = line("hardener").map_or(0.0, |line| line.net);
            assert!(hardener <= last, "{hardener} kg at {surface_c} degrees, {last} where it is colder");
            last = hardener;
            for line in plan.takeoff.iter().filter(|line| !line.packs.is_empty()) {
                let held: f64 = line.packs.iter().map(|pack| pack.size * pack.count as f64).sum();
                assert!(held + line.on_hand >= line.net + line.allowance - 1e-9, "{}", line.material);
            }
        }
    }
}

/// Trim coats, a smooth finish, primer by surface: each takes what its rate and its pieces say.
#[test]
fn coats_follow_surface_finish_and_trims() {
    let text = r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
        "kinds": ["drip", "open_side", "abutment", "open_side"]}}]}"#;
    let mut job = Job::from_json(text).expect("a job");
    let mut trim_coat = job.system.layers[2].clone();
    trim_coat.material = "trim_coat".into();
    trim_coat.covers = upstand::system::Covers::Trims;
    job.system.layers.push(trim_coat);
    let kg = |job: &Job, name: &str| {
        let plan = plan(job);
        assert_eq!(check_plan::faults(job, &plan), Vec::<String>::new());
        plan.takeoff.iter().find(|line| line.material == name).map_or(0.0, |line| line.net)
    };
    let (primer, top, trims) = (kg(&job, "primer"), kg(&job, "top_coat"), kg(&job, "trim_coat"));
    // 24 m2 at 0.5 and 0.7 kg.
    assert!((top - 12.0).abs() < 1e-9 && trims > 0.0);
    job.preferences.finish = Finish::Smooth;
    assert!((kg(&job, "top_coat") - 16.8).abs() < 1e-9);
    job.survey.covering = Some(upstand::survey::Covering::Felt);
    assert!((kg(&job, "primer") - primer * 1.25).abs() < 0.002);
    // Preformed trims need no primer: common practice, no source. Primer covers the deck without their flanges.
    let laid = plan(&job).layers;
    assert!(laid[0].amount < 24.0 && laid[0].pieces.iter().all(|piece| piece.piece == "deck"));
    let runs: Vec<_> = laid[4].pieces.iter().map(|piece| piece.piece.as_str()).collect();
    assert_eq!(runs, ["trim D1", "trim S1", "trim A1", "trim S2"]);
}
