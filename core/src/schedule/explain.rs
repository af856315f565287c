//! Why there is no schedule, and what a schedule rests on that nobody knows.

use super::hours::Hours;
use super::solve::{self, Network};
use super::task::{Draft, MOST_SECTIONS};
use super::{Programme, Schedule};
use crate::calendar::Moment;
use crate::error::Error;
use crate::finding::{Finding, Grade};

const BASIS: &str = "the programme's hours and forecast, the system's rates, windows and limits";

/// A value that makes no sense, as [`check`](super::check) says it.
pub(super) fn refused(problem: &Error) -> Finding {
    Finding::new(Grade::Refuse, "schedule_refused", problem.path(), BASIS, problem.message())
}

pub(super) fn too_large() -> Finding {
    let text = format!(
        "The job has more than {MOST_SECTIONS} sections; no schedule is made. Give a larger section, or plan the roofs one by \
         one."
    );
    Finding::new(Grade::Note, "schedule_too_large", "/programme/section_m2", BASIS, text)
}

/// What stands against a schedule, the plainest reason first; `stuck` is a task that found no time.
pub(super) fn impossible(
    programme: &Programme,
    hours: &Hours<'_>,
    network: &Network,
    drafts: &[Draft<'_>],
    stuck: usize,
) -> Finding {
    let alone = (0..network.nodes.len()).find(|&task| network.nodes[task].next(i64::MIN / 4, network.step).is_none());
    if let Some(task) = alone {
        return no_time(programme, hours, network, drafts, task);
    }
    let mut patient = network.clone();
    patient.links.iter_mut().for_each(|link| link.most = None);
    if let Ok(times) = patient.solve() {
        let missed = network.links.iter().find_map(|link| {
            let end = network.nodes[link.before].end(times.begin[link.before])?;
            let most = network.closes(link, end)? - end;
            let wait = times.begin[link.after] - end;
            (wait > most).then_some((link, wait, most))
        });
        // Without the longest waits there is a schedule, so one of them is missed in it.
        if let Some((link, wait, most)) = missed {
            let text = format!(
                "\"{}\" cannot follow \"{}\" within {} h: at the earliest it follows after {} h. Choose other days or \
                 hours, a larger crew or smaller sections; or clean what has stood too long as its data sheet says.",
                drafts[link.after].name,
                drafts[link.before].name,
                hours_of(most),
                hours_of(wait)
            );
            return Finding::new(Grade::Refuse, "schedule_window", "/programme", BASIS, text).measured(
                hours_of(wait),
                hours_of(most),
                "h",
            );
        }
    }
    let text = format!(
        "The work does not end within the programme's days ({}): \"{}\" finds no time. Give more days or hours, or a \
         larger crew.{}",
        programme.within_days,
        drafts[stuck].name,
        lost(hours, &drafts[stuck])
    );
    Finding::new(Grade::Refuse, "schedule_too_long", "/programme/within_days", BASIS, text)
}

fn no_time(programme: &Programme, hours: &Hours<'_>, network: &Network, drafts: &[Draft<'_>], task: usize) -> Finding {
    let (node, draft) = (&network.nodes[task], &drafts[task]);
    let needed = hours_of(node.work);
    let (longest, text) = match &node.hours {
        solve::Hours::AtOnce { work, cure, .. } => {
            let longest = hours_of(work.iter().map(|spell| spell.end - spell.start).max().unwrap_or(0));
            let text = format!(
                "\"{}\" takes {needed} h in one go and {} h more to be safe from rain; the longest fit spell of working \
                 hours is {longest} h. Wait for better weather, give longer hours, a larger crew or smaller sections.",
                draft.name,
                hours_of(cure.over(0))
            );
            (longest, text)
        }
        solve::Hours::Broken(work) => {
            let whole = hours_of(work.iter().map(|spell| spell.end - spell.start).sum());
            let text = format!(
                "\"{}\" takes {needed} h; its days ({}) have {whole} h that are fit for it. Give more days or hours, or a \
                 larger crew.",
                draft.name, programme.within_days
            );
            (whole, text)
        }
    };
    let text = text + &lost(hours, draft);
    Finding::new(Grade::Refuse, "schedule_no_time", "/programme", BASIS, text).measured(needed, longest, "h")
}

/// What the forecast takes away, as a sentence.
fn lost(hours: &Hours<'_>, draft: &Draft<'_>) -> String {
    let causes: Vec<String> =
        hours.lost(draft.layer).into_iter().map(|(cause, count)| format!("{} in {count}", cause.words())).collect();
    if causes.is_empty() { String::new() } else { format!(" Of the working hours forecast: {}.", causes.join(", ")) }
}

fn hours_of(minutes: i64) -> f64 {
    (minutes as f64 / 6.0).round() / 10.0
}

/// Layers that have stood too long or got wet, and are cleaned before the next.
pub(super) fn cleaned(schedule: &Schedule) -> Vec<Finding> {
    let cleaning = |&(_, task): &(usize, &super::Task)| task.stage == super::Stage::Cleaning;
    let found = schedule.tasks.iter().enumerate().filter(cleaning).map(|(index, task)| {
        let next = schedule.tasks.get(index + 1).map_or("the next layer", |next| next.name.as_str());
        let text = format!(
            "Task {}, \"{}\": by then the layer has stood too long or been rained on. \"{next}\" may follow only when this \
             is done.",
            task.number, task.name
        );
        Finding::new(Grade::Note, "layer_cleaned", "/programme", BASIS, text)
    });
    found.collect()
}

/// What the schedule rests on that the forecast does not say.
pub(super) fn unknown(programme: &Programme, hours: &Hours<'_>, schedule: &Schedule) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (Some(from), Some(to)) = (hours.known_from(), hours.known_to()) else {
        let text =
            "There is no forecast: the schedule keeps hours and windows only. Look at the weather before each task.";
        findings.push(Finding::new(Grade::Note, "no_forecast", "/programme/forecast", BASIS, text));
        return findings;
    };
    let outside = |task: &&super::Task| {
        task.layer.is_some() && (task.begin.minutes() < from || task.safe_from.unwrap_or(task.end).minutes() > to)
    };
    if let Some(task) = schedule.tasks.iter().find(outside) {
        let text = format!(
            "The forecast reaches to {}; from \"{}\" on the weather is not known. Plan again with a newer forecast.",
            Moment::from_minutes(to),
            task.name
        );
        findings.push(Finding::new(Grade::Caution, "forecast_too_short", "/programme/forecast", BASIS, text));
    }
    if programme.forecast.as_ref().is_some_and(|forecast| forecast.surface_c.is_empty()) {
        let text = "The forecast has no surface temperatures: the air's are taken. A deck is colder on a clear night and \
                    warmer in the sun; read it before each mix.";
        findings.push(Finding::new(Grade::Note, "surface_from_air", "/programme/forecast/surface_c", BASIS, text));
    }
    findings
}
