use super::*;
use proptest::prelude::*;

use super::super::cure::{Closing, Rounding};

/// An hour, the grid of these cases.
const HOUR: Minute = 60;

/// Spells of the hours that are fit.
fn spells(fit: &[bool]) -> Vec<Range<Minute>> {
    let mut spells: Vec<Range<Minute>> = Vec::new();
    for (hour, _) in fit.iter().enumerate().filter(|(_, fit)| **fit) {
        let begin = hour as Minute * HOUR;
        match spells.last_mut() {
            Some(last) if last.end == begin => last.end += HOUR,
            _ => spells.push(begin..begin + HOUR),
        }
    }
    spells
}

/// A small problem as the brute force sees it: fit hours as flags, nothing of the solver's.
#[derive(Clone, Debug)]
struct Case {
    /// Work, whether in one go, hours to stay dry: in hours.
    tasks: Vec<(usize, bool, usize)>,
    fit: Vec<bool>,
    air: Vec<bool>,
    /// The tasks of a second section begin here.
    split: usize,
    /// Hours that the wait for the next layer takes at the temperature of each hour; none where nothing cures.
    least: Vec<Option<usize>>,
    /// Hours that the window stays open at the temperature of each hour.
    most: Vec<usize>,
    /// Hours of rain, which closes the window.
    rain: Vec<bool>,
}

impl Case {
    fn network(&self) -> Network {
        let node = |&(work, at_once, cure): &(usize, bool, usize)| Node {
            work: work as Minute * HOUR,
            hours: if at_once {
                let both: Vec<bool> = self.fit.iter().zip(&self.air).map(|(fit, air)| *fit && *air).collect();
                let cure = Clock::even(cure as Minute * HOUR, Rounding::Up);
                Hours::AtOnce { work: spells(&both), air: spells(&self.air), cure }
            } else {
                Hours::Broken(spells(&self.fit))
            },
        };
        let mut sections = vec![(0..self.split).collect::<Vec<_>>()];
        if self.split < self.tasks.len() {
            sections.push((self.split..self.tasks.len()).collect());
        }
        let links = sections.iter().flat_map(|section| section.windows(2).map(|pair| self.link(pair[0], pair[1])));
        let links = links.collect();
        let minutes = |hours: usize| hours as Minute * HOUR;
        let least = self.least.iter().map(|hours| hours.map(minutes));
        let most = self.most.iter().map(|&hours| Some(minutes(hours)));
        let cure = Cure {
            ready: Clock::by_hours(HOUR, 0, least, Rounding::Up),
            closing: Some(Closing { clock: Clock::by_hours(HOUR, 0, most, Rounding::Down), rain: spells(&self.rain) }),
        };
        let nodes = self.tasks.iter().map(node).collect();
        let stage = |task| Some(if task < self.split { task } else { task - self.split });
        let stages = (0..self.tasks.len()).map(stage).collect();
        Network { nodes, links, cures: vec![cure], first: Vec::new(), sections, stages, step: HOUR }
    }

    fn link(&self, before: usize, after: usize) -> Link {
        Link { before, after, least: Some(0), most: self.tasks[before].1.then_some(0) }
    }

    /// Whether a task may begin in an hour after one that ended in another, by what each hour between counts.
    fn follows(&self, before: usize, end: usize, begin: usize) -> bool {
        if begin < end {
            return false;
        }
        // Sixtieths of the whole: waits are of 1 to 6 hours.
        let cured: usize = self.least[end..begin].iter().map(|hours| hours.map_or(0, |hours| 60 / hours)).sum();
        let passed: usize = self.most[end..begin].iter().map(|hours| 60 / hours).sum();
        let dry = !self.rain[end..begin].contains(&true);
        cured >= 60 && (!self.tasks[before].1 || passed <= 60 && dry)
    }

    /// Hours in which a task that begins at `begin` is worked on, if it can.
    fn worked(&self, task: usize, begin: usize) -> Option<Vec<usize>> {
        let (work, at_once, cure) = self.tasks[task];
        if at_once {
            let done = begin + work;
            let fits = done + cure <= self.fit.len()
                && (begin..done).all(|m| self.fit[m])
                && (begin..done + cure).all(|m| self.air[m]);
            fits.then(|| (begin..done).collect())
        } else {
            let minutes: Vec<usize> = (begin..self.fit.len()).filter(|&m| self.fit[m]).take(work).collect();
            (minutes.len() == work && minutes.first() == Some(&begin)).then_some(minutes)
        }
    }

    /// The earliest end over all begins of all tasks: each minute of each task is tried.
    fn by_trying(&self) -> Option<usize> {
        fn place(case: &Case, task: usize, placed: &mut Vec<Vec<usize>>, best: &mut Option<usize>) {
            if task == case.tasks.len() {
                let end = placed.iter().filter_map(|minutes| minutes.last()).max().map_or(0, |last| last + 1);
                if best.is_none_or(|best| end < best) {
                    *best = Some(end);
                }
                return;
            }
            for begin in 0..case.fit.len() {
                let Some(minutes) = case.worked(task, begin) else { continue };
                let span = |minutes: &[usize]| (minutes[0], minutes[minutes.len() - 1] + 1);
                let (from, to) = span(&minutes);
                // One crew: nothing else from the beginning to the end of a task.
                let clear = placed.iter().map(|other| span(other)).all(|(f, t)| to <= f || t <= from);
                let chained =
                    task == 0 || task == case.split || { case.follows(task - 1, span(&placed[task - 1]).1, from) };
                // Sections pass each stage in their order.
                let twin = task.checked_sub(case.split).filter(|_| task >= case.split);
                let follows = twin.is_none_or(|twin| twin >= case.split || span(&placed[twin]).0 < from);
                if clear && chained && follows {
                    placed.push(minutes);
                    place(case, task + 1, placed, best);
                    placed.pop();
                }
            }
        }
        let mut best = None;
        place(self, 0, &mut Vec::new(), &mut best);
        best
    }

    fn solved(&self) -> Option<usize> {
        let network = self.network();
        let times = network.solve().ok()?;
        let end = |task: usize| network.nodes[task].end(times.begin[task]).expect("placed tasks end");
        // What is found can be done: each task alone, and no two at once.
        for (task, &begin) in times.begin.iter().enumerate() {
            assert!(self.worked(task, (begin / HOUR) as usize).is_some(), "{self:?}: {times:?}");
        }
        for link in &network.links {
            let (end, begin) = (end(link.before) / HOUR, times.begin[link.after] / HOUR);
            assert!(self.follows(link.before, end as usize, begin as usize), "{self:?}: {times:?}");
        }
        Some(((0..times.begin.len()).map(end).max().unwrap_or(0) / HOUR) as usize)
    }
}

fn cases(hours: usize) -> impl Strategy<Value = Case> {
    let task = (1usize..4, any::<bool>(), 0usize..3);
    let flags = move |p: f64| proptest::collection::vec(proptest::bool::weighted(p), hours);
    let least = proptest::collection::vec(proptest::option::weighted(0.9, 1usize..4), hours);
    let most = proptest::collection::vec(proptest::sample::select(vec![2usize, 3, 4, 5, 6]), hours);
    let weather = (flags(0.7), flags(0.85), flags(0.08));
    (proptest::collection::vec(task, 1..5), weather, 1usize..5, least, most).prop_map(
        |(tasks, (fit, air, rain), split, least, most)| {
            let split = split.min(tasks.len());
            Case { tasks, fit, air, split, least, most, rain }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn nothing_earlier_is_found_by_trying_all(case in cases(18)) {
        prop_assert_eq!(case.solved(), case.by_trying(), "{:?}", case);
    }

    #[test]
    fn more_hours_never_finish_later(case in cases(40), more in proptest::collection::vec(any::<bool>(), 40), air: bool) {
        let mut longer = case.clone();
        let flags = if air { &mut longer.air } else { &mut longer.fit };
        flags.iter_mut().zip(more).for_each(|(fit, more)| *fit |= more);
        if let Some(end) = case.solved() {
            prop_assert!(longer.solved().is_some_and(|earlier| earlier <= end));
        }
    }
}

/// Every beginning of a task of the first may have to wait for one far later: primer is not laid before a weekend that it
/// would not survive.
#[test]
fn a_longest_wait_holds_the_task_before_back() {
    let day = |n: Minute| n * 1_440 + 480..n * 1_440 + 1_020;
    let cure = Clock::even(60, Rounding::Up);
    let air = || std::iter::once(0..10_000).collect();
    let hours = || Hours::AtOnce { work: vec![day(0), day(3)], air: air(), cure: cure.clone() };
    let waits = |most| Cure {
        ready: Clock::even(60, Rounding::Up),
        closing: Some(Closing { clock: Clock::even(most, Rounding::Down), rain: Vec::new() }),
    };
    let node = |work| Node { work, hours: hours() };
    let mut network = Network {
        nodes: vec![node(120), node(480)],
        links: vec![Link { before: 0, after: 1, least: Some(0), most: Some(0) }],
        cures: vec![waits(42 * 60)],
        first: Vec::new(),
        sections: vec![vec![0, 1]],
        stages: vec![Some(0), Some(1)],
        step: 15,
    };
    // Two hours, an hour of curing and eight hours do not go into nine; from Friday to Monday are more than 42 hours.
    assert_eq!(network.solve(), Err(1));
    network.nodes[1].work = 300;
    assert_eq!(network.solve().map(|times| times.begin), Ok(vec![480, 660]));
    network.nodes[0].work = 240;
    assert_eq!(network.solve(), Err(1));
    network.cures = vec![waits(72 * 60)];
    assert_eq!(network.solve().map(|times| times.begin), Ok(vec![480, 3 * 1_440 + 480]));
}

#[test]
fn orders_are_counted() {
    // Standard Young tableaux of 2 x 4 and 3 x 4 (hook length formula): 14 and 462.
    let four = || (0..4).map(Some).collect::<Vec<_>>();
    assert_eq!(orders(&[four(), four()], 10_000), 14);
    assert_eq!(orders(&[four(), four(), four()], 10_000), 462);
    assert!(orders(&[four(), four(), four(), four()], 1_000) > 1_000);
    assert_eq!(orders(&[], 10), 1);
    // The second of two stages without the first: after the second of the section before, or nowhere else.
    assert_eq!(orders(&[vec![Some(0), Some(1)], vec![Some(1)]], 10), 1);
    // What is no stage goes anywhere between its neighbours: 2 before, among or after the other's.
    assert_eq!(orders(&[vec![Some(0), Some(1)], vec![None]], 10), 3);
}
