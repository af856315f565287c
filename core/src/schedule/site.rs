//! What is cleaned where: one network of tasks for each choice, and the best of them.
//!
//! The choices depend on the tasks alone, and with more hours or less rain none of them ends later (`solve.rs`). So the earliest
//! end over all of them is never later either; a programme that avoids cleaning never needs more of it, and never ends later
//! with as much, but may give up an early end with a cleaning for a later one without.

use super::cure::Cure;
use super::hours::Hours;
use super::solve::{self, Link, MOST_ORDERS, Network, Node, Times};
use super::task::{self, Draft};
use super::{CleaningChoice, Programme, Stage, work_minutes};
use crate::system::System;

/// Before which tasks the layer below is cleaned: section and position in it.
pub(super) type Cleaned = Vec<(usize, usize)>;

/// Most choices of what is cleaned times orders of sections that are all tried.
const MOST_TRIALS: u64 = 4_000;
/// Most places at which whether to clean is chosen, where sections are treated alike.
const MOST_PLACES: usize = 8;

/// The tasks of a job, before it is chosen what is cleaned.
pub(super) struct Site<'a> {
    programme: &'a Programme,
    dry: Vec<Draft<'a>>,
    sections: Vec<Vec<Draft<'a>>>,
    /// How each layer cures, by its rank.
    cures: Vec<Cure>,
    /// How each layer cures that was cleaned.
    renewed: Vec<Option<Cure>>,
    /// When each layer may be laid.
    laid: Vec<solve::Hours>,
    /// When layers may be cleaned.
    cleaning: (Vec<std::ops::Range<solve::Minute>>, Vec<std::ops::Range<solve::Minute>>),
    /// When dry work may be done.
    dry_hours: solve::Hours,
}

impl<'a> Site<'a> {
    pub(super) fn new(
        system: &'a System,
        programme: &'a Programme,
        hours: &Hours<'_>,
        dry: Vec<Draft<'a>>,
        sections: Vec<Vec<Draft<'a>>>,
    ) -> Self {
        let laid = |layer| {
            let (work, air) = hours.wet(layer);
            solve::Hours::AtOnce { work, air, cure: hours.stays_dry(layer) }
        };
        let renewed = |layer: &crate::system::Layer| layer.renewal.as_ref().map(|renewal| hours.renewed(renewal));
        Site {
            cures: system.layers.iter().map(|layer| hours.cure(layer)).collect(),
            renewed: system.layers.iter().map(renewed).collect(),
            laid: system.layers.iter().map(laid).collect(),
            cleaning: hours.cleaning(),
            dry_hours: solve::Hours::Broken(hours.dry()),
            programme,
            dry,
            sections,
        }
    }

    /// The best choice of what is cleaned: by the programme, the fewest cleanings or the earliest end; then the other.
    pub(super) fn best(&self) -> Result<(Network, Vec<Draft<'a>>, Times), usize> {
        let (choices, all) = self.choices();
        let mut best: Option<(Network, Vec<Draft<'a>>, Times, usize)> = None;
        let mut stuck = None;
        for cleaned in &choices {
            let fewer = best.as_ref().is_some_and(|(.., count)| *count < cleaned.len());
            if fewer && self.programme.cleaning != CleaningChoice::Allow {
                break;
            }
            let (network, drafts) = self.network(cleaned);
            match network.solve() {
                // Choices come by number, so an equal end with more cleaning is no better.
                Ok(times) if best.as_ref().is_none_or(|(_, _, best, _)| times.finish < best.finish) => {
                    best = Some((network, drafts, times, cleaned.len()));
                }
                Ok(_) => {}
                Err(task) => {
                    stuck.get_or_insert(task);
                }
            }
        }
        match best {
            Some((network, drafts, times, _)) => {
                let all_orders = times.all_orders && all;
                Ok((network, drafts, Times { all_orders, ..times }))
            }
            None => Err(stuck.unwrap_or(0)),
        }
    }

    /// The choices in the order of their number of cleanings, and whether they are all.
    fn choices(&self) -> (Vec<Cleaned>, bool) {
        let mut places: Cleaned = Vec::new();
        if self.programme.cleaning != CleaningChoice::Never {
            for (section, tasks) in self.sections.iter().enumerate() {
                let cleanable = |&at: &usize| self.renewed[tasks[at - 1].rank].is_some();
                places.extend((1..tasks.len()).filter(cleanable).map(|at| (section, at)));
            }
        }
        // With a cleaning wherever there may be one.
        let chain = |(index, tasks): (usize, &Vec<Draft<'_>>)| {
            let places = &places;
            let steps = |(at, task)| [Some(None).filter(|_| places.contains(&(index, at))), Some(Some(stage(task)))];
            tasks.iter().enumerate().flat_map(steps).flatten().collect()
        };
        let chains: Vec<Vec<Option<usize>>> = self.sections.iter().enumerate().map(chain).collect();
        let orders = solve::orders(&chains, MOST_ORDERS).min(MOST_ORDERS);
        let all = places.len() < 12 && orders << places.len() <= MOST_TRIALS;
        // Where there are too many, all sections are treated alike.
        let groups: Vec<Cleaned> = if all {
            places.iter().map(|&place| vec![place]).collect()
        } else {
            let longest = self.sections.iter().map(Vec::len).max().unwrap_or(0);
            let at = |at: usize| places.iter().copied().filter(|place| place.1 == at).collect::<Cleaned>();
            (1..longest).map(at).filter(|group| !group.is_empty()).take(MOST_PLACES).collect()
        };
        let chosen = |choice: u32| {
            let taken = groups.iter().enumerate().filter(|(bit, _)| choice >> bit & 1 == 1);
            taken.flat_map(|(_, group)| group.iter().copied()).collect::<Cleaned>()
        };
        let mut choices: Vec<Cleaned> = (0..1_u32 << groups.len()).map(chosen).collect();
        choices.sort_by_key(Vec::len);
        (choices, all)
    }

    /// The tasks and links of a choice.
    pub(super) fn network(&self, cleaned: &[(usize, usize)]) -> (Network, Vec<Draft<'a>>) {
        let mut drafts = self.dry.clone();
        let mut cures = self.cures.clone();
        let renewed = cures.len();
        // Every layer keeps its place, whether it can be cleaned or not.
        cures.extend(
            self.renewed.iter().zip(&self.cures).map(|(renewed, cure)| renewed.as_ref().unwrap_or(cure).clone()),
        );
        let mut network = Network {
            step: i64::from(self.programme.step_min),
            first: (0..drafts.len()).collect(),
            cures,
            ..Network::default()
        };
        for (index, tasks) in self.sections.iter().enumerate() {
            let mut chain = Vec::new();
            // Indices of the section's own tasks, and of what is cleaned before them.
            let mut own: Vec<usize> = Vec::new();
            let mut before: Vec<Option<usize>> = Vec::new();
            for (at, task) in tasks.iter().enumerate() {
                let below = at.checked_sub(1).map(|below| &tasks[below]).filter(|_| cleaned.contains(&(index, at)));
                let cleaning = below.and_then(|below| {
                    let renewal = below.layer?.renewal.as_ref()?;
                    drafts.push(task::cleaning(below.layer?, renewal, below));
                    Some(drafts.len() - 1)
                });
                chain.extend(cleaning);
                before.push(cleaning);
                drafts.push(task.clone());
                own.push(drafts.len() - 1);
                chain.push(drafts.len() - 1);
            }
            network.links.extend(links(tasks, &own, &before, renewed));
            network.sections.push(chain);
        }
        network.nodes = drafts.iter().map(|draft| self.node(draft)).collect();
        network.stages = drafts.iter().map(|draft| draft.layer.map(|_| stage(draft))).collect();
        (network, drafts)
    }

    fn node(&self, draft: &Draft<'_>) -> Node {
        let hours = match (draft.layer, draft.cleans) {
            (Some(_), _) => self.laid[draft.rank].clone(),
            (None, Some(_)) => {
                let (work, air) = self.cleaning.clone();
                let cure = self.renewed[draft.rank].as_ref().unwrap_or(&self.cures[draft.rank]);
                solve::Hours::AtOnce { work, air, cure: cure.ready.clone() }
            }
            (None, None) => self.dry_hours.clone(),
        };
        Node { work: work_minutes(draft, self.programme), hours }
    }
}

/// Which of all stages of wet work a task is: details come before the main area of a layer.
fn stage(draft: &Draft<'_>) -> usize {
    2 * draft.rank + usize::from(draft.stage != Stage::Details)
}

/// Every task after those of its own layer at once, and after those of the layer below within the window; where something is
/// cleaned in between, after the cleaning within the window that it opens. `renewed` is where the ways to cure of cleaned
/// layers begin.
fn links(tasks: &[Draft<'_>], own: &[usize], cleaned: &[Option<usize>], renewed: usize) -> Vec<Link> {
    let mut links = Vec::new();
    for (after, task) in tasks.iter().enumerate() {
        let below = tasks[..after].iter().rev().map(|task| task.rank).find(|&rank| rank < task.rank);
        for (before, under) in tasks[..after].iter().enumerate() {
            let same = under.rank == task.rank;
            if !same && Some(under.rank) != below {
                continue;
            }
            let cure = Some(under.rank);
            // The last cleaning between the two.
            let between = (before + 1..=after).rev().find_map(|at| Some((cleaned[at]?, tasks[at - 1].rank)));
            match between {
                None => {
                    let least = cure.filter(|_| !same);
                    links.push(Link { before: own[before], after: own[after], least, most: cure });
                }
                Some((cleaning, rank)) => {
                    let cure = Some(renewed + rank);
                    links.push(Link { before: cleaning, after: own[after], least: cure, most: cure });
                }
            }
            // What is cleaned has cured.
            for &cleaning in cleaned[before + 1..=after].iter().flatten() {
                links.push(Link { before: own[before], after: cleaning, least: cure, most: None });
            }
        }
    }
    links.sort_by_key(|link| (link.after, link.before));
    links.dedup();
    links
}
