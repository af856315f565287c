//! An independent checker of plans: job and plan in, every fault out.
//!
//! It takes only the types of the two documents from the library; all geometry, cutting and arithmetic is its own. Where
//! the planner has a choice (how to lay out bars, which way the strips run) it holds the choice against the rules; where
//! the job leaves none (lengths, counts, areas, amounts) it computes the value again.

mod cutting;
mod findings;
mod fixings;
mod laid;
mod mat;
mod measured;
mod outline;
mod rolls;
mod takeoff;
mod wet;

pub use findings::is_certain;
use upstand::{Job, Plan};

/// What a checker found wrong.
#[derive(Debug, Default)]
pub struct Faults(Vec<String>);

impl Faults {
    /// Records a fault unless `fine`.
    pub fn expect(&mut self, fine: bool, what: impl FnOnce() -> String) {
        if !fine {
            self.0.push(what());
        }
    }

    /// Records a fault unless two numbers agree within a tolerance.
    pub fn close(&mut self, found: f64, wanted: f64, tolerance: f64, what: impl FnOnce() -> String) {
        // Not `>`: a NaN is a fault too.
        let fine = (found - wanted).abs() <= tolerance;
        self.expect(fine, || format!("{}: {found} should be {wanted}", what()));
    }

    /// Records a fault unless two values are equal.
    pub fn same<T: PartialEq + std::fmt::Debug>(&mut self, found: T, wanted: T, what: impl FnOnce() -> String) {
        self.expect(found == wanted, || format!("{}: {found:?} should be {wanted:?}", what()));
    }
}

/// Every fault of the wet work of a plan: layers, mixes, schedule, hours.
pub fn wet_faults(job: &Job, plan: &Plan) -> Vec<String> {
    let mut faults = Faults::default();
    wet::check(job, plan, &mut faults);
    faults.0
}

/// Every fault of the adjustments of a plan: positions, residuals, suspects, how far runs are in doubt.
pub fn measured_faults(job: &Job, plan: &Plan) -> Vec<String> {
    let mut faults = Faults::default();
    measured::check(job, plan, &mut faults);
    faults.0
}

/// Every fault of a plan for a job; none where the plan is right.
pub fn faults(job: &Job, plan: &Plan) -> Vec<String> {
    let mut faults = Faults::default();
    faults.same(&plan.name, &job.name, || "name of the plan".into());
    faults.same(plan.roofs.len(), job.roofs.len(), || "number of roofs".into());
    if plan.roofs.len() == job.roofs.len() {
        measured::check(job, plan, &mut faults);
        findings::check(job, plan, &mut faults);
        // From here on with outlines in coordinates.
        let Some(job) = &measured::outlined(job, plan) else {
            faults.expect(false, || "a measured roof without its corners".into());
            return faults.0;
        };
        outline::check(job, plan, &mut faults);
        cutting::check(job, plan, &mut faults);
        mat::check(job, plan, &mut faults);
        rolls::check(job, plan, &mut faults);
        takeoff::check(job, plan, &mut faults);
        wet::check(job, plan, &mut faults);
    }
    faults.0
}
