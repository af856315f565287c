//! What a fuzzer feeds, and what must hold whatever it feeds. The targets in `tests/fuzz` call these, and so does a plain
//! test that replays the corpus.

use upstand::cutting::{self, Effort, Problem};
use upstand::{Job, Plan, System};

use crate::{check_answer, check_plan};

/// Search nodes that one input may take: a fuzzer wants thousands of inputs a second.
const NODES: u64 = 200;

/// A job as text: read, planned, written back, checked. Says whether it came to a plan.
pub fn job(data: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(data) else { return false };
    let Ok(mut job) = Job::from_json(text) else { return false };
    assert_eq!(Job::from_json(&job.to_json()).as_ref(), Ok(&job), "a job reads back as it was written");
    job.preferences.nodes = job.preferences.nodes.min(NODES);
    let problems = job.check();
    match upstand::plan(&job) {
        Err(error) => {
            assert!(!problems.is_empty(), "refused, though the check finds nothing: {error}");
            false
        }
        Ok(plan) => {
            assert!(problems.is_empty(), "planned in spite of {problems:?}");
            assert_eq!(Plan::from_json(&plan.to_json()).as_ref(), Ok(&plan), "a plan reads back as it was written");
            if job.system == System::default() {
                assert_eq!(check_plan::faults(&job, &plan), Vec::<String>::new());
            }
            true
        }
    }
}

/// A cutting problem as text: solved, checked twice. Says whether it has an answer.
pub fn cutting(data: &[u8]) -> bool {
    let Ok(problem) = serde_json::from_slice::<Problem>(data) else { return false };
    let Ok(answer) = cutting::solve(&problem, &Effort { nodes: NODES, time: None }) else { return false };
    assert_eq!(cutting::check(&problem, &answer), Ok(()));
    assert_eq!(check_answer::faults(&problem, &answer), Vec::<String>::new());
    true
}
