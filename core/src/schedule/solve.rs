//! Earliest times: the method.
//!
//! Tasks share one crew, so they follow one another in some order. For a fixed order the earliest times of *all* tasks
//! exist at once and are found by raising times until nothing is violated:
//!
//! - every condition has the form "task `j` begins no earlier than a rising function of when task `i` begins", or "task `j`
//!   begins within a given set of times". A longest wait between `i` and `j` is of that form too: it says that `i` begins no
//!   earlier than so long before `j`, and later for a later `j`. Waits that depend on temperature and rain rise in the same
//!   way (`cure.rs`).
//! - If two lists of times meet such conditions, so does the list of the earlier of both for each task: let it take its
//!   `j` from the first list; there `j` keeps its distance from the first list's `i`, hence from the earlier one.
//! - So there is a list that is earliest in every task. Beginning with the earliest time of each task alone, a violated
//!   condition proves that its task begins later in every list that meets all; raising it just so far, on to its next
//!   time, never passes that list. When nothing is violated, it is reached; when a time passes the end, there is none.
//!
//! From this follows a law: more working hours or better weather make the sets larger and the ends of interrupted tasks
//! earlier, and the times found never later.
//!
//! Which order? Preparation and trims come first and form a chain. Each section of the wet work is a chain too; sections
//! pass each stage in their own order, but for what is cleaned, which no other waits for. All orders that keep this are tried (with a bound: a beginning that finishes no
//! earlier than the best order so far is dropped), while there are no more than [`MOST_ORDERS`]; beyond that, groups of
//! 1, 2, 3, ... sections that go through their stages together.

use std::ops::Range;

use super::cure::{Clock, Cure};

/// A minute.
pub(super) type Minute = i64;

/// When a task may be worked on.
#[derive(Clone, Debug)]
pub(super) enum Hours {
    /// It goes on over nights and showers, in whatever of these times comes; in order, apart from one another.
    Broken(Vec<Range<Minute>>),
    /// It is done in one go within one of `work`, and then lies as long as `cure` waits within one of `air`.
    AtOnce { work: Vec<Range<Minute>>, air: Vec<Range<Minute>>, cure: Clock },
}

/// One task.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// Minutes of work.
    pub(super) work: Minute,
    pub(super) hours: Hours,
}

/// A task begins after another has ended, and within its window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Link {
    pub(super) before: usize,
    pub(super) after: usize,
    /// Which of the network's ways to cure it has to wait for.
    pub(super) least: Option<usize>,
    /// Which of them closes. Only after tasks that are done in one go: the end of others does not tell their beginning.
    pub(super) most: Option<usize>,
}

/// A problem: tasks, links, and the chains that the crew passes through.
#[derive(Clone, Debug, Default)]
pub(super) struct Network {
    pub(super) nodes: Vec<Node>,
    pub(super) links: Vec<Link>,
    /// How layers cure.
    pub(super) cures: Vec<Cure>,
    /// Tasks before all sections, in order.
    pub(super) first: Vec<usize>,
    /// The tasks of each section, in order.
    pub(super) sections: Vec<Vec<usize>>,
    /// Which stage of its section each task is, rising along the section; none for those that no section waits for another
    /// with.
    pub(super) stages: Vec<Option<usize>>,
    pub(super) step: Minute,
}

/// Begin of each task, and whether no other order finishes earlier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Times {
    pub(super) finish: Minute,
    pub(super) begin: Vec<Minute>,
    pub(super) order: Vec<usize>,
    pub(super) all_orders: bool,
}

/// Most orders of sections that are all tried.
pub(super) const MOST_ORDERS: u64 = 1_000;

impl Node {
    /// The first minute from `at` on at which it may begin, on the grid of `step`.
    pub(super) fn next(&self, at: Minute, step: Minute) -> Option<Minute> {
        match &self.hours {
            Hours::Broken(spells) => {
                for spell in spells.iter().skip(past(spells, at)) {
                    let begin = up(at.max(spell.start), step);
                    if begin < spell.end {
                        return self.end(begin).map(|_| begin);
                    }
                }
                None
            }
            Hours::AtOnce { work, air, cure } => {
                let mut at = at;
                for spell in work.iter().skip(past(work, at)) {
                    at = up(at.max(spell.start), step);
                    while at + self.work <= spell.end {
                        // The air has to stay fit from the beginning to the end of curing.
                        let holding = air.get(past(air, at));
                        match holding {
                            Some(fit) if fit.start <= at && cure.over(at + self.work) <= fit.end => return Some(at),
                            Some(fit) if fit.start > at => at = up(fit.start, step),
                            Some(fit) => at = up(fit.end, step),
                            None => return None,
                        }
                    }
                }
                None
            }
        }
    }

    /// When it ends if it begins at `begin`.
    pub(super) fn end(&self, begin: Minute) -> Option<Minute> {
        let Hours::Broken(spells) = &self.hours else { return Some(begin + self.work) };
        let mut left = self.work;
        let mut end = begin;
        for spell in spells.iter().skip(past(spells, begin)) {
            let from = begin.max(spell.start);
            end = spell.end.min(from + left);
            left -= end - from;
            if left == 0 {
                return Some(end);
            }
        }
        (left == 0).then_some(end)
    }

    /// The spells in which it is worked on.
    pub(super) fn spells(&self, begin: Minute) -> Vec<Range<Minute>> {
        let Hours::Broken(spells) = &self.hours else { return std::iter::once(begin..begin + self.work).collect() };
        let mut left = self.work;
        let mut worked = Vec::new();
        for spell in spells.iter().skip(past(spells, begin)) {
            let from = begin.max(spell.start);
            let to = spell.end.min(from + left);
            worked.push(from..to);
            left -= to - from;
            if left == 0 {
                break;
            }
        }
        worked
    }
}

/// How many spells end at or before a minute.
fn past(spells: &[Range<Minute>], at: Minute) -> usize {
    spells.partition_point(|spell| spell.end <= at)
}

/// The next multiple of the step.
fn up(at: Minute, step: Minute) -> Minute {
    at + (-at).rem_euclid(step)
}

impl Network {
    /// When the task after a link may begin at the earliest, if the one before ends at `end`.
    pub(super) fn opens(&self, link: &Link, end: Minute) -> Minute {
        link.least.and_then(|cure| self.cures.get(cure)).map_or(end, |cure| cure.ready.over(end))
    }

    /// And at the latest.
    pub(super) fn closes(&self, link: &Link, end: Minute) -> Option<Minute> {
        Some(self.cures.get(link.most?)?.closing.as_ref()?.last(end))
    }

    /// The earliest times of the tasks of `order`, as far as it goes, not before `least`; or the task that has none.
    fn times(&self, order: &[usize], least: &mut [Minute]) -> Result<(), usize> {
        let placed = |task: usize| order.contains(&task);
        let links: Vec<Link> = self.links.iter().filter(|l| placed(l.before) && placed(l.after)).copied().collect();
        let crew = order.windows(2).map(|pair| Link { before: pair[0], after: pair[1], least: None, most: None });
        let links: Vec<Link> = crew.chain(links).collect();
        for &task in order {
            least[task] = self.nodes[task].next(least[task], self.step).ok_or(task)?;
        }
        loop {
            let mut moved = false;
            for link in &links {
                let end = self.nodes[link.before].end(least[link.before]).ok_or(link.before)?;
                moved |= self.raise(link.after, self.opens(link, end), least)?;
                if let Some(closing) = link.most.and_then(|cure| self.cures.get(cure)?.closing.as_ref()) {
                    // The end of a task done in one go is its beginning and its work.
                    let begin = closing.first(least[link.after]) - self.nodes[link.before].work;
                    moved |= self.raise(link.before, begin, least)?;
                }
            }
            if !moved {
                return Ok(());
            }
        }
    }

    fn raise(&self, task: usize, at: Minute, least: &mut [Minute]) -> Result<bool, usize> {
        if least[task] >= at {
            return Ok(false);
        }
        least[task] = self.nodes[task].next(at, self.step).ok_or(task)?;
        Ok(true)
    }

    fn finish(&self, order: &[usize], begin: &[Minute]) -> Minute {
        order.iter().filter_map(|&task| self.nodes[task].end(begin[task])).max().unwrap_or(Minute::MIN)
    }

    fn stage(&self, task: usize) -> Option<usize> {
        self.stages.get(task).copied().flatten()
    }

    /// The earliest times, or a task that has none.
    pub(super) fn solve(&self) -> Result<Times, usize> {
        let stages = |section: &Vec<usize>| section.iter().map(|&task| self.stage(task)).collect();
        let chains: Vec<Vec<Option<usize>>> = self.sections.iter().map(stages).collect();
        let all_orders = orders(&chains, MOST_ORDERS) <= MOST_ORDERS;
        let mut search = Search { network: self, best: None, stuck: None };
        let least = vec![Minute::MIN / 4; self.nodes.len()];
        if all_orders {
            let mut done = vec![0; self.sections.len()];
            search.extend(&mut self.first.clone(), &mut done, &least);
        } else {
            // Groups of about the same number, whatever the number of sections.
            for size in [1, 2, 3, 4, 6, 8, 12, 16, 24, self.sections.len()] {
                search.finish(&self.grouped(size.min(self.sections.len())), &least);
            }
        }
        match search.best {
            Some((finish, begin, order)) => Ok(Times { finish, begin, order, all_orders }),
            None => Err(search.stuck.unwrap_or(0)),
        }
    }

    /// The order in which groups of `size` sections go through their stages together.
    fn grouped(&self, size: usize) -> Vec<usize> {
        let mut order = self.first.clone();
        for group in self.sections.chunks(size.max(1)) {
            let stages = group.iter().map(Vec::len).max().unwrap_or(0);
            for stage in 0..stages {
                order.extend(group.iter().filter_map(|section| section.get(stage)));
            }
        }
        order
    }
}

struct Search<'a> {
    network: &'a Network,
    best: Option<(Minute, Vec<Minute>, Vec<usize>)>,
    stuck: Option<usize>,
}

impl Search<'_> {
    /// Times and finish of an order; none where it cannot be, or finishes no earlier than the best so far.
    fn times(&mut self, order: &[usize], least: &[Minute]) -> Option<(Minute, Vec<Minute>)> {
        let mut begin = least.to_vec();
        if let Err(task) = self.network.times(order, &mut begin) {
            self.stuck.get_or_insert(task);
            return None;
        }
        let finish = self.network.finish(order, &begin);
        let better = self.best.as_ref().is_none_or(|(best, ..)| finish < *best);
        better.then_some((finish, begin))
    }

    fn finish(&mut self, order: &[usize], least: &[Minute]) {
        if let Some((finish, begin)) = self.times(order, least) {
            self.best = Some((finish, begin, order.to_vec()));
        }
    }

    fn extend(&mut self, order: &mut Vec<usize>, done: &mut [usize], least: &[Minute]) {
        let Some((_, begin)) = self.times(order, least) else { return };
        let sections = &self.network.sections;
        if order.len() == self.network.nodes.len() {
            self.finish(order, &begin);
            return;
        }
        for section in 0..done.len() {
            let Some(&task) = sections[section].get(done[section]) else { continue };
            let left = section.checked_sub(1).map_or(&[][..], |before| &sections[before][done[before]..]);
            if overtakes(self.network.stage(task), left.iter().map(|&task| self.network.stage(task))) {
                continue;
            }
            order.push(task);
            done[section] += 1;
            self.extend(order, done, &begin);
            done[section] -= 1;
            order.pop();
        }
    }
}

/// Whether a stage would be passed before the section before has passed it, which has these left.
fn overtakes(stage: Option<usize>, mut left: impl Iterator<Item = Option<usize>>) -> bool {
    stage.is_some_and(|stage| left.any(|other| other.is_some_and(|other| other <= stage)))
}

/// In how many orders sections with these stages can be passed through so that none overtakes the one before; counted up to
/// a little more than `most`.
pub(super) fn orders(sections: &[Vec<Option<usize>>], most: u64) -> u64 {
    fn count(sections: &[Vec<Option<usize>>], done: &mut [usize], most: u64) -> u64 {
        let mut sum = 0;
        let mut last = true;
        for section in 0..done.len() {
            let Some(&stage) = sections[section].get(done[section]) else { continue };
            let left = section.checked_sub(1).map_or(&[][..], |before| &sections[before][done[before]..]);
            if sum > most || overtakes(stage, left.iter().copied()) {
                continue;
            }
            last = false;
            done[section] += 1;
            sum += count(sections, done, most - sum.min(most));
            done[section] -= 1;
        }
        if last { 1 } else { sum }
    }
    // Four sections of any length that matters are too many: counting would not end soon.
    if sections.len() > 4 { most + 1 } else { count(sections, &mut vec![0; sections.len()], most) }
}

#[cfg(test)]
#[path = "solve_tests.rs"]
mod tests;
