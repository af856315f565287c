//! The independent checker of plans rejects every plan in which one value has been changed.

use serde_json::Value;
use upstand::{Job, Plan};
use upstand_tests::{check_plan, generate, generate_survey, generate_wet};

/// Prose and what a person reads beside the numbers, and the cards and templates, which are checked beside their own code.
/// Everything else must be pinned down.
const PROSE: [&str; 18] = [
    "/templates",
    // Held below, on plans that have a schedule.
    "/layers",
    "/schedule",
    "/costs/stages",
    "/costs/person_hours",
    // Reckoned again by the checker, but not changed value by value.
    "/mixing",
    // Held against the strips where one deck has several.
    "/roofs/*/mat/lap",
    "/cautions",
    "/findings/*/basis",
    "/findings/*/text",
    "/findings/*/unit",
    "/takeoff/*/name",
    "/takeoff/*/unit",
    "/takeoff/*/formula",
    "/takeoff/*/inputs",
    "/roofs/*/outlets",
    "/roofs/*/pipes",
    "/cut_lists/*/status",
];

/// A pointer with its indices starred.
fn pattern(path: &str) -> String {
    path.split('/').map(|step| if step.parse::<usize>().is_ok() { "*" } else { step }).collect::<Vec<_>>().join("/")
}

/// Every pointer in a document, containers included.
fn pointers(value: &Value, path: &str, all: &mut Vec<String>) {
    all.push(path.into());
    match value {
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(i, item)| pointers(item, &format!("{path}/{i}"), all));
        }
        Value::Object(fields) => fields.iter().for_each(|(key, field)| pointers(field, &format!("{path}/{key}"), all)),
        _ => {}
    }
}

/// Ways to change one value. A list loses its last item, gets it twice, or has its first two exchanged where their order
/// says anything.
fn changes(value: &Value, pattern: &str) -> Vec<Value> {
    let unordered = pattern.ends_with("/outline") || pattern.ends_with("/patches");
    // Seams and the outlines of mat are held to the width of a hair.
    let little = if pattern.contains("/outline/") || pattern.contains("/seams/") { 0.5 } else { 0.02 };
    match value {
        Value::Bool(b) => vec![Value::Bool(!b)],
        Value::Number(n) if n.is_u64() => {
            let n = n.as_u64().unwrap_or(0);
            let less = n.checked_sub(1).map(Value::from);
            std::iter::once(Value::from(n + 1)).chain(less).collect()
        }
        Value::Number(n) => {
            let x = n.as_f64().unwrap_or(0.0);
            vec![(x + little).into(), (x - little).into()]
        }
        Value::String(s) => {
            let words = [
                ("drip", "open_side"),
                ("open_side", "abutment"),
                ("abutment", "drip"),
                ("outer", "inner"),
                ("inner", "outer"),
                ("straight", "outer"),
                ("mitre", "square"),
                ("square", "mitre"),
                ("left", "right"),
                ("right", "left"),
                ("bought", "on_hand"),
                ("on_hand", "bought"),
            ];
            let other = words.iter().find(|pair| pair.0 == s).map_or_else(|| format!("{s}x"), |pair| pair.1.into());
            vec![other.into()]
        }
        Value::Array(items) => {
            let mut all = Vec::new();
            if !items.is_empty() {
                all.push(Value::Array(items[..items.len() - 1].to_vec()));
                let mut twice = items.clone();
                twice.extend(items.last().cloned());
                all.push(Value::Array(twice));
            }
            if !unordered && items.len() > 1 && items[0] != items[1] {
                let mut swapped = items.clone();
                swapped.swap(0, 1);
                all.push(Value::Array(swapped));
            }
            all
        }
        Value::Null | Value::Object(_) => Vec::new(),
    }
}

/// The changes of a plan that the checker lets pass.
fn unnoticed(job: &Job, plan: &Plan) -> Vec<String> {
    let skipped = |path: &str| {
        // Findings that call for judgement (falls, ways out, reading by reading) are checked beside their own code.
        let index =
            path.strip_prefix("/findings").map(|rest| rest.split('/').nth(1).and_then(|i| i.parse::<usize>().ok()));
        PROSE.iter().any(|prose| pattern(path).starts_with(prose))
            || index.is_some_and(|i| i.is_none_or(|i| !check_plan::is_certain(&plan.findings[i].code)))
    };
    passed(job, plan, skipped, check_plan::faults)
}

/// The changes that a check lets pass, of all values that are not skipped.
fn passed(
    job: &Job,
    plan: &Plan,
    skipped: impl Fn(&str) -> bool,
    faults: impl Fn(&Job, &Plan) -> Vec<String>,
) -> Vec<String> {
    let whole: Value = serde_json::from_str(&plan.to_json()).expect("own writing");
    let mut all = Vec::new();
    pointers(&whole, "", &mut all);
    let mut passed = Vec::new();
    for path in &all {
        if skipped(path) {
            continue;
        }
        let old = whole.pointer(path).expect("a pointer just made").clone();
        for change in changes(&old, &pattern(path)) {
            let mut spoilt = whole.clone();
            *spoilt.pointer_mut(path).expect("a pointer just made") = change.clone();
            // What does not read as a plan is caught at the door.
            let Ok(spoilt) = Plan::from_json(&spoilt.to_string()) else { continue };
            if spoilt != *plan && faults(job, &spoilt).is_empty() {
                passed.push(format!("{path}: {old} -> {change}"));
            }
        }
    }
    passed
}

#[test]
fn no_single_change_passes() {
    let mut plans = 0;
    for seed in 0..400 {
        let job = generate::job(seed);
        let plan = upstand::plan(&job).expect("a valid job");
        let runs = || plan.roofs.iter().flat_map(|roof| &roof.trims.runs);
        // Small plans, for speed; patches along a run with bends are only held near its chord.
        if runs().count() > 9 || runs().any(|run| run.edge_count > 1) {
            continue;
        }
        assert_eq!(check_plan::faults(&job, &plan), Vec::<String>::new(), "seed {seed}");
        let passed = unnoticed(&job, &plan);
        assert!(passed.is_empty(), "seed {seed}: {} changes pass: {passed:#?}", passed.len());
        plans += 1;
        if plans == 12 {
            return;
        }
    }
    panic!("only {plans} plans were tried");
}

#[test]
fn no_single_change_of_wet_work_passes() {
    const PARTS: [&str; 3] = ["/layers", "/schedule", "/costs/stages"];
    let (mut plans, mut open) = (0, Vec::new());
    for seed in 0..200 {
        let job = generate_wet::wet_job(seed);
        let plan = upstand::plan(&job).expect("a valid job");
        if plan.schedule.as_ref().is_none_or(|schedule| schedule.tasks.len() > 14) {
            continue;
        }
        assert_eq!(check_plan::wet_faults(&job, &plan), Vec::<String>::new(), "seed {seed}");
        let skipped = |path: &str| !PARTS.iter().any(|part| path.starts_with(part));
        open.extend(passed(&job, &plan, skipped, check_plan::wet_faults).into_iter().map(|change| (seed, change)));
        plans += 1;
        if plans == 4 {
            break;
        }
    }
    assert!(open.is_empty(), "{} changes pass: {open:#?}", open.len());
    assert_eq!(plans, 4, "too few plans were tried");
}

#[test]
fn no_single_change_of_measurements_passes() {
    let (mut plans, mut suspects) = (0, 0);
    for seed in 0..200 {
        let job = generate_survey::measured_job(seed);
        let Ok(plan) = upstand::plan(&job) else { continue };
        let Some(measured) = &plan.roofs[0].measured else { panic!("a measured roof") };
        let some = usize::from(!measured.adjusted.suspects.is_empty());
        // Half of them with a suspect.
        if measured.adjusted.residuals.len() > 20 || (plans + 1 < 8 && suspects + some + 4 <= plans) {
            continue;
        }
        assert_eq!(check_plan::measured_faults(&job, &plan), Vec::<String>::new(), "seed {seed}");
        // What a suspect is called is prose.
        let skipped =
            |path: &str| !path.starts_with("/roofs/0/measured") || pattern(path).ends_with("/suspects/*/text");
        let passed = passed(&job, &plan, skipped, check_plan::measured_faults);
        assert!(passed.is_empty(), "seed {seed}: {} changes pass: {passed:#?}", passed.len());
        (plans, suspects) = (plans + 1, suspects + some);
        if plans == 8 {
            assert!(suspects >= 2, "{suspects} suspects");
            return;
        }
    }
    panic!("only {plans} plans were tried");
}
