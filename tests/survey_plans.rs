//! Plans of roofs that were measured, held against a checker that adjusts them again.

use upstand_tests::{check_plan, generate_survey};

#[test]
fn measured_roofs_are_what_a_checker_adjusts_again() {
    let (mut planned, mut suspects, mut disagree, mut holes, mut uncertain) = (0, 0, 0, 0, 0);
    for seed in 0..160 {
        let job = generate_survey::measured_job(seed);
        // What clashes or crosses itself is refused.
        let Ok(plan) = upstand::plan(&job) else { continue };
        let faults = check_plan::faults(&job, &plan);
        assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
        let found = |code: &str| u32::from(plan.findings.iter().any(|finding| finding.code == code));
        planned += 1;
        suspects += found("measurement_suspect");
        disagree += found("measurements_disagree");
        uncertain += found("run_uncertain");
        holes += u32::from(plan.roofs[0].rings.len() > 1);
    }
    let counts = (planned, suspects, disagree, holes, uncertain);
    println!("planned, suspects, disagree, holes, uncertain: {counts:?}");
    assert!(planned > 70 && suspects > 5 && holes > 4 && uncertain > 2, "{counts:?}");
}
