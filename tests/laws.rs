//! Laws that every plan obeys, whatever the roof, and what hostile documents may not do.

use proptest::prelude::*;
use serde_json::Value;
use upstand::system::{Direction, ZoneChoice};
use upstand::trim::{CutList, Material};
use upstand::{Job, Plan};
use upstand_tests::generate::{self, Random};
use upstand_tests::{check_plan, transform};

fn plan(job: &Job) -> Plan {
    match upstand::plan(job) {
        Ok(plan) => plan,
        Err(error) => panic!("{error:?} for {}", job.to_json()),
    }
}

/// What no motion of a job changes: lengths of runs, how lists come out, sizes of the mat.
#[derive(Debug, PartialEq)]
struct Measure {
    runs: Vec<(String, i64, i64, usize)>,
    lists: Vec<(Material, u64, u64, u64)>,
    strips: Vec<usize>,
}

fn measure(plan: &Plan) -> Measure {
    let mut runs: Vec<(String, i64, i64, usize)> = plan
        .roofs
        .iter()
        .flat_map(|roof| &roof.trims.runs)
        .map(|run| (run.kind.word().into(), run.line_length.um(), run.cut_length.um(), 0))
        .collect();
    runs.sort();
    let lists =
        plan.cut_lists.iter().map(|list: &CutList| (list.material, list.bar_count, list.bought, list.joint_count));
    let mut strips: Vec<usize> = plan.roofs.iter().map(|roof| roof.mat.strips.len()).collect();
    strips.sort_unstable();
    Measure { runs, lists: lists.collect(), strips }
}

/// A job whose strips do not depend on which of several edges, or of several splits into zones, comes first.
fn job_without_ties(seed: u64) -> Job {
    let mut job = generate::job(seed);
    job.system.mat.zones = ZoneChoice::One;
    if let Direction::Edge(_) = job.system.mat.direction {
        job.system.mat.direction = Direction::Best;
    }
    job
}

fn assert_close(a: f64, b: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance, "{a} and {b}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn every_plan_passes_the_checker(seed in any::<u64>()) {
        let job = generate::job(seed);
        let faults = check_plan::faults(&job, &plan(&job));
        prop_assert!(faults.is_empty(), "{faults:#?} for {}", job.to_json());
    }

    #[test]
    fn documents_read_back_as_written(seed in any::<u64>()) {
        let job = generate::job(seed);
        let text = job.to_json();
        let read = Job::from_json(&text).expect("own writing");
        prop_assert_eq!(&read, &job);
        prop_assert_eq!(read.to_json(), text);
        let plan = plan(&job);
        let text = plan.to_json();
        let read = Plan::from_json(&text).expect("own writing");
        prop_assert_eq!(&read, &plan);
        prop_assert_eq!(read.to_json(), text);
    }

    #[test]
    fn a_job_moved_away_keeps_its_plan(seed in any::<u64>(), dx in -1_000_000_000_000i64..1_000_000_000_000, dy in -1_000i64..1_000) {
        let job = job_without_ties(seed);
        let (dx, dy) = (dx / 2 , dy * 1_000);
        let moved = transform::moved(&job, |(x, y)| (x + dx, y + dy));
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&moved)));
    }

    #[test]
    fn a_job_turned_exactly_keeps_its_plan(seed in any::<u64>()) {
        // On a grid of five micrometres the turn by 3-4-5 is exact.
        let job = transform::moved(&job_without_ties(seed), |(x, y)| (x / 5 * 5, y / 5 * 5));
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&transform::turned_3_4_5(&job))));
    }

    #[test]
    fn a_job_turned_by_any_angle_keeps_its_plan_to_rounding(seed in any::<u64>(), angle in 0.0..6.3f64) {
        let job = job_without_ties(seed);
        let (a, b) = (plan(&job), plan(&transform::turned(&job, angle)));
        for (a, b) in a.roofs.iter().zip(&b.roofs) {
            prop_assert_eq!(a.trims.runs.len(), b.trims.runs.len());
            assert_close(a.area_m2, b.area_m2, 1e-4);
            for (a, b) in a.trims.runs.iter().zip(&b.trims.runs) {
                assert_close(a.line_length.mm(), b.line_length.mm(), 0.004);
                // Rounded up to the next millimetre, a micrometre can tip a length over.
                assert_close(a.cut_length.mm(), b.cut_length.mm(), 1.0);
            }
        }
    }

    #[test]
    fn a_mirrored_job_keeps_its_plan(seed in any::<u64>()) {
        let job = job_without_ties(seed);
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&transform::mirrored(&job))));
    }

    #[test]
    fn where_a_ring_begins_does_not_matter(seed in any::<u64>(), by in 1usize..20) {
        let job = job_without_ties(seed);
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&transform::begun_later(&job, by))));
    }

    #[test]
    fn which_way_a_ring_runs_does_not_matter(seed in any::<u64>()) {
        let job = job_without_ties(seed);
        let mut back = job.clone();
        for roof in &mut back.roofs {
            roof.outer = generate::reversed(&roof.outer);
            roof.holes = roof.holes.iter().map(generate::reversed).collect();
        }
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&back)));
    }

    #[test]
    fn the_order_of_roofs_does_not_matter(seed in any::<u64>()) {
        let mut job = job_without_ties(seed);
        job.roofs.push(generate::roof(&mut Random::new(seed ^ 1)));
        let mut back = job.clone();
        back.roofs.reverse();
        prop_assert_eq!(measure(&plan(&job)), measure(&plan(&back)));
    }

    #[test]
    fn the_same_job_gives_the_same_bytes(seed in any::<u64>()) {
        let job = generate::job(seed);
        prop_assert_eq!(plan(&job).to_json(), plan(&job).to_json());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn hostile_documents_get_an_answer_and_no_panic(seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let text = generate::job(random.bits()).to_json();
        let mut value: Value = serde_json::from_str(&text).expect("own writing");
        for _ in 0..random.between(1, 3) {
            spoil(&mut value, &mut random);
        }
        answer(&value.to_string());
        answer(&spoil_text(&text, &mut random));
    }
}

#[test]
fn a_corner_is_a_corner_wherever_the_ring_begins() {
    // The top bends by +0.4 degrees, then by -0.6: the second is a corner (0.5 or more), though the side before it
    // began only 0.2 degrees off.
    let text = r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
        "points": [[0, 0], [9000, 0], [9000, 4000], [6000, 4000], [3000, 4020.946], [0, 4010.472]],
        "kinds": ["drip", "drip", "drip", "drip", "drip", "drip"]}}]}"#;
    let job = Job::from_json(text).expect("a valid job");
    let wanted = measure(&plan(&job));
    assert_eq!(wanted.runs.len(), 5);
    for by in 1..6 {
        assert_eq!(measure(&plan(&transform::begun_later(&job, by))), wanted, "begun {by} points later");
    }
}

/// Reads, checks and plans a text as a stranger's program would.
fn answer(text: &str) {
    if let Ok(mut job) = Job::from_json(text) {
        let problems = job.check();
        job.preferences.nodes = job.preferences.nodes.min(2_000);
        match upstand::plan(&job) {
            Ok(plan) => {
                assert!(problems.is_empty(), "planned in spite of {problems:?}");
                assert_eq!(Plan::from_json(&plan.to_json()).expect("own writing"), plan);
            }
            Err(error) => assert!(!error.message().is_empty()),
        }
    }
}

/// Puts something else at a random place of a document.
fn spoil(value: &mut Value, random: &mut Random) {
    let go_on = !random.once_in(5);
    match value {
        Value::Object(fields) if go_on && !fields.is_empty() => {
            let key = fields.keys().nth(random.between(0, fields.len() as i64 - 1) as usize).cloned();
            let Some(key) = key else { return };
            if random.once_in(12) {
                fields.remove(&key);
            } else if let Some(field) = fields.get_mut(&key) {
                spoil(field, random);
            }
        }
        Value::Array(items) if go_on && !items.is_empty() => {
            let at = random.between(0, items.len() as i64 - 1) as usize;
            match random.between(0, 9) {
                0 => drop(items.remove(at)),
                1 => items.insert(at, items[at].clone()),
                2 => items.reverse(),
                _ => spoil(&mut items[at], random),
            }
        }
        other => *other = hostile(other, random),
    }
}

fn hostile(old: &Value, random: &mut Random) -> Value {
    let numbers = [0.0, -1.0, 1e-3, 0.4, 1.0, 1e9, -1e9, 1e12, 1e300, 5e-324, 2147483648.0, 360.0];
    match (old.as_f64(), random.between(0, 15)) {
        (Some(x), 0..=5) => (x * (0.5 + random.unit())).into(),
        (Some(x), 6) => (-x).into(),
        (_, 0..=9) => (*random.pick(&numbers)).into(),
        (_, 10) => Value::Null,
        (_, 11) => "drip".into(),
        (_, 12) => Value::Array(Vec::new()),
        (_, 13) => serde_json::json!({}),
        (_, 14) => serde_json::json!([[[[[[[[1]]]]]]]]),
        _ => u64::MAX.into(),
    }
}

/// Cuts, doubles or changes bytes of a text.
fn spoil_text(text: &str, random: &mut Random) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..random.between(1, 4) {
        let at = random.between(0, bytes.len() as i64 - 1) as usize;
        match random.between(0, 3) {
            0 => bytes.truncate(at.max(1)),
            1 => bytes[at] = *random.pick(b"0123456789[]{},:\"-e.\\ \n\0"),
            2 => drop(bytes.remove(at)),
            _ => bytes.insert(at, *random.pick(b"0123456789[]{},:\"-e.\\ \n\0")),
        }
        if bytes.len() < 2 {
            break;
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}
