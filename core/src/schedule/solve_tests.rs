use super::*;
use proptest::prelude::*;

/// Spells of the minutes that are fit.
fn spells(fit: &[bool]) -> Vec<Range<Minute>> {
    let mut spells: Vec<Range<Minute>> = Vec::new();
    for (minute, _) in fit.iter().enumerate().filter(|(_, fit)| **fit) {
        let minute = minute as Minute;
        match spells.last_mut() {
            Some(last) if last.end == minute => last.end += 1,
            _ => spells.push(minute..minute + 1),
        }
    }
    spells
}

/// A small problem as the brute force sees it: fit minutes as flags, nothing of the solver's.
#[derive(Clone, Debug)]
struct Case {
    /// Work, whether in one go, curing.
    tasks: Vec<(usize, bool, usize)>,
    fit: Vec<bool>,
    air: Vec<bool>,
    /// The tasks of a second section begin here.
    split: usize,
    least: usize,
    most: usize,
}

impl Case {
    fn network(&self) -> Network {
        let node = |&(work, at_once, cure): &(usize, bool, usize)| Node {
            work: work as Minute,
            hours: if at_once {
                let both: Vec<bool> = self.fit.iter().zip(&self.air).map(|(fit, air)| *fit && *air).collect();
                Hours::AtOnce { work: spells(&both), air: spells(&self.air), cure: cure as Minute }
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
        Network { nodes: self.tasks.iter().map(node).collect(), links, first: Vec::new(), sections, step: 1 }
    }

    fn link(&self, before: usize, after: usize) -> Link {
        let most = self.tasks[before].1.then_some(self.most as Minute);
        Link { before, after, least: self.least as Minute, most }
    }

    /// Minutes at which a task that begins at `begin` is worked on, if it can.
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
                let chained = task == 0 || task == case.split || {
                    let end = span(&placed[task - 1]).1;
                    from >= end + case.least && (!case.tasks[task - 1].1 || from <= end + case.most)
                };
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
            assert!(self.worked(task, begin as usize).is_some(), "{self:?}: {times:?}");
        }
        for link in &network.links {
            let wait = times.begin[link.after] - end(link.before);
            assert!(wait >= link.least && link.most.is_none_or(|most| wait <= most), "{self:?}: {times:?}");
        }
        Some((0..times.begin.len()).map(end).max().unwrap_or(0) as usize)
    }
}

fn cases(minutes: usize) -> impl Strategy<Value = Case> {
    let task = (1usize..4, any::<bool>(), 0usize..3);
    let flags = |p: f64| proptest::collection::vec(proptest::bool::weighted(p), minutes);
    (proptest::collection::vec(task, 1..5), flags(0.7), flags(0.85), 1usize..5, 0usize..3, 0usize..5).prop_map(
        |(tasks, fit, air, split, least, most)| {
            let split = split.min(tasks.len());
            Case { tasks, fit, air, split, least, most: least + most }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn nothing_earlier_is_found_by_trying_all(case in cases(16)) {
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
    let hours = || Hours::AtOnce { work: vec![day(0), day(3)], air: std::iter::once(0..10_000).collect(), cure: 60 };
    let node = |work| Node { work, hours: hours() };
    let mut network = Network {
        nodes: vec![node(120), node(480)],
        links: vec![Link { before: 0, after: 1, least: 60, most: Some(42 * 60) }],
        first: Vec::new(),
        sections: vec![vec![0, 1]],
        step: 15,
    };
    // Two hours, an hour of curing and eight hours do not go into nine; from Friday to Monday are more than 42 hours.
    assert_eq!(network.solve(), Err(1));
    network.nodes[1].work = 300;
    assert_eq!(network.solve().map(|times| times.begin), Ok(vec![480, 660]));
    network.nodes[0].work = 240;
    assert_eq!(network.solve(), Err(1));
    network.links[0].most = Some(72 * 60);
    assert_eq!(network.solve().map(|times| times.begin), Ok(vec![480, 3 * 1_440 + 480]));
}

#[test]
fn orders_are_counted() {
    // Standard Young tableaux of 2 x 4 and 3 x 4 (hook length formula): 14 and 462.
    assert_eq!(orders(&[4, 4], 10_000), 14);
    assert_eq!(orders(&[4, 4, 4], 10_000), 462);
    assert!(orders(&[4, 4, 4, 4], 1_000) > 1_000);
    assert_eq!(orders(&[], 10), 1);
}
