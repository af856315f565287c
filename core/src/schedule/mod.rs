//! The job as a dated schedule: what is done when, by the earliest times that working hours, weather and the windows
//! between layers allow.
//!
//! The deck is made ready, then trims are fixed kind by kind in the system's order, then the wet work goes layer by layer:
//! primer, tape and patches, mat, top coat. One crew does one task after the other. Dry work may be broken off by nights
//! and rain and goes on afterwards; a wet task is done in one go. Roofs that are too large for that are divided into
//! sections.
//!
//! | task | minutes of work |
//! |---|---|
//! | make ready | area / (`preparation_m2` x crew) |
//! | trims | (cut lengths / `trim_m` + joints / `joints`) / crew |
//! | details | (tape off the roll / `tape_m` + patches / `patches`) / crew |
//! | a layer, mat | area / (`m2_per_person_hour` x crew) |
//! | cleaning | area / (`m2_per_person_hour` of the layer's `renewal` x crew) |
//!
//! each times 60 and rounded up to the programme's step. A wet task needs, for each hour that it is laid in: no rain, a deck
//! that had time to dry, humidity and distance to the dew point within the system's limits, and a surface within the
//! hardener's table; and for as long as it has to stay dry afterwards, the same but for the last. It begins within the
//! window of the layer below, counted from the end of each task of that layer. Where the layer has windows by temperature,
//! the hours forecast add up as the head of `cure.rs` says; where it asks to be cleaned after rain, rain closes its window.
//! A layer whose window has closed may be cleaned as its system says, which opens a window of its own: as seldom as can be, or
//! wherever the work ends earlier with it ([`CleaningChoice`]). The method, and why nothing earlier exists, stands at the
//! head of `solve.rs`.
//!
//! A forecast is no reading: the surface is read again at each mix.

mod check;
mod cure;
mod explain;
mod hours;
mod input;
mod result;
mod site;
mod solve;
mod task;
mod text;

pub use check::check;
pub(crate) use input::default_crew;
pub use input::{CleaningChoice, Forecast, Programme, Week};
pub use result::{Schedule, Spell, Task};
pub(crate) use task::cleaning_name;

pub use crate::system::Stage;
pub use crate::wet::{Place, RoofWork};

use hours::Hours;
use site::Site;
use solve::{Minute, Network, Times};
use task::{Draft, drafts};

use crate::calendar::Moment;
use crate::finding::Finding;
use crate::survey::Survey;
use crate::system::System;
use crate::wet::Portion;

/// The earliest schedule, and what stands against one or is not known.
///
/// | finding | grade | when |
/// |---|---|---|
/// | `schedule_refused` | refuse | a value of the programme or the system that [`check`] or [`System::check`] finds |
/// | `schedule_no_time` | refuse | a task fits into no hours and weather at all |
/// | `schedule_window` | refuse | the tasks fit, but not within the windows between layers |
/// | `schedule_too_long` | refuse | the work does not end within the programme's days |
/// | `schedule_too_large` | note | more sections than a schedule takes |
/// | `layer_cleaned` | note | a layer has stood too long or got wet and is cleaned before the next |
/// | `forecast_too_short` | caution | wet work lies in hours without a forecast |
/// | `no_forecast` | note | there is no forecast at all: only hours and windows are kept |
/// | `surface_from_air` | note | the forecast has no surface temperatures, the air's are taken |
///
/// Deterministic. Orders of up to three sections are searched completely, and so are the choices of what is cleaned as long
/// as there are few; [`Schedule::all_orders`] says whether all were. Each order takes a time that grows with tasks and with
/// the times by which windows push them back.
pub fn schedule(
    system: &System,
    survey: &Survey,
    programme: &Programme,
    roofs: &[RoofWork<'_>],
) -> (Option<Schedule>, Vec<Finding>) {
    let refused: Vec<Finding> = check(programme).iter().chain(&system.check()).map(explain::refused).collect();
    if !refused.is_empty() {
        return (None, refused);
    }
    let Some((dry, sections)) = drafts(system, survey, programme, roofs) else {
        return (None, vec![explain::too_large()]);
    };
    let hours = Hours::new(system, programme, survey.surface_c);
    let site = Site::new(system, programme, &hours, dry, sections);
    match site.best() {
        Ok((network, drafts, times)) => {
            let schedule = dated(programme, &hours, &network, &drafts, &times);
            let mut findings = explain::unknown(programme, &hours, &schedule);
            findings.extend(explain::cleaned(&schedule));
            (Some(schedule), findings)
        }
        Err(task) => {
            let (network, drafts) = site.network(&[]);
            (None, vec![explain::impossible(programme, &hours, &network, &drafts, task)])
        }
    }
}

impl Schedule {
    /// The portions of wet work as the schedule has them: with the surface that is forecast for each, or else the one that
    /// was read.
    pub fn portions(&self, system: &System, read_c: Option<f64>) -> Vec<Portion> {
        let portion = |task: &Task| {
            let layer = system.layers.iter().position(|layer| Some(&layer.material) == task.layer.as_ref())?;
            Some(Portion {
                layer,
                stage: task.stage,
                places: task.places.clone(),
                task: Some(task.number),
                surface_c: task.surface_c.or(read_c.map(|read_c| (read_c, read_c))),
            })
        };
        self.tasks.iter().filter_map(portion).collect()
    }
}

/// Work of the whole crew, rounded up to the step.
fn work_minutes(draft: &Draft<'_>, programme: &Programme) -> Minute {
    let step = f64::from(programme.step_min);
    let steps = draft.person_hours * 60.0 / f64::from(programme.crew) / step;
    ((steps - 1e-9).ceil().max(1.0) * step) as Minute
}

fn dated(programme: &Programme, hours: &Hours<'_>, network: &Network, drafts: &[Draft<'_>], times: &Times) -> Schedule {
    let end = |task: usize| network.nodes[task].end(times.begin[task]).unwrap_or(times.begin[task]);
    let moment = Moment::from_minutes;
    let mut tasks: Vec<Task> = Vec::new();
    for (position, &task) in times.order.iter().enumerate() {
        let (draft, begin) = (&drafts[task], times.begin[task]);
        let node = &network.nodes[task];
        let links = || network.links.iter().filter(move |link| link.after == task);
        let waits = links().filter(|link| link.least.is_some()).map(|link| network.opens(link, end(link.before)));
        let closes = links().filter_map(|link| network.closes(link, end(link.before)));
        tasks.push(Task {
            number: position as u64 + 1,
            name: draft.name.clone(),
            stage: draft.stage,
            kind: draft.kind,
            layer: draft.layer.map(|layer| layer.material.clone()),
            places: draft.places.clone(),
            amount: (draft.amount * 100.0).round() / 100.0,
            unit: draft.unit.into(),
            work_min: node.work.unsigned_abs(),
            begin: moment(begin),
            end: moment(end(task)),
            spells: node
                .spells(begin)
                .into_iter()
                .map(|spell| Spell { from: moment(spell.start), to: moment(spell.end) })
                .collect(),
            not_before: waits.max().map(moment),
            not_after: closes.min().map(moment),
            safe_from: match &node.hours {
                solve::Hours::AtOnce { cure, .. } => Some(moment(cure.over(end(task)))),
                solve::Hours::Broken(_) => None,
            },
            surface_c: draft.layer.and_then(|_| hours.surface_c(begin..end(task))),
            cautions: draft.hazards.iter().map(|hazard| hazard.text().to_string()).collect(),
        });
    }
    Schedule {
        crew: programme.crew,
        begun: tasks.iter().map(|task| task.begin).min().unwrap_or_default(),
        done: tasks.iter().map(|task| task.end).max().unwrap_or_default(),
        all_orders: times.all_orders,
        tasks,
    }
}

#[cfg(test)]
mod choice_tests;
#[cfg(test)]
mod tests;
