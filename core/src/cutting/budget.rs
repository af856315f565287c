//! What a search may spend, and whoever watches it.

use std::cell::{Cell, RefCell};
use std::ops::ControlFlow;
use std::time::{Duration, Instant};

use super::problem::Effort;

/// How far a search has come: what [`solve_with`](super::solve_with) tells whoever watches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Search nodes begun.
    pub nodes: u64,
    /// Counted work: roughly, additions with a comparison.
    pub steps: u64,
    /// The best answer so far, by what is made least first (cost; with [`Minimise::Joints`](super::Minimise::Joints)
    /// joints); `None` as long as none is known that the rules of the site allow.
    pub best: Option<u64>,
    /// No answer is below this.
    pub bound: u64,
}

/// Asked during a search whether to go on.
pub(super) type Watch<'a> = dyn FnMut(&Progress) -> ControlFlow<()> + 'a;

/// Effort with its clock begun, shared by all parts of one search.
pub(super) struct Budget<'a> {
    pub(super) nodes: u64,
    end: Option<Instant>,
    watched: Option<&'a (dyn Watching + 'a)>,
    /// What is added to values that are told, where this part's values are those of the whole problem.
    told: Option<u64>,
    /// Whether its bounds are, too.
    bounding: bool,
}

/// Someone who watches, and what they have been told.
pub(super) trait Watching {
    /// Adds work done and asks whether to go on.
    fn ask(&self, nodes: u64, steps: u64);
    fn stopped(&self) -> bool;
    /// Tells of an answer and of a bound.
    fn tell(&self, best: Option<u64>, bound: u64);
}

/// A watch that several parts of a search share.
pub(super) struct Watched<'a> {
    watch: RefCell<&'a mut Watch<'a>>,
    progress: Cell<Progress>,
    stopped: Cell<bool>,
}

impl<'a> Watched<'a> {
    pub(super) fn new(watch: &'a mut Watch<'a>) -> Self {
        Watched { watch: RefCell::new(watch), progress: Cell::default(), stopped: Cell::new(false) }
    }
}

impl Watching for Watched<'_> {
    fn ask(&self, nodes: u64, steps: u64) {
        let mut progress = self.progress.get();
        progress.nodes = progress.nodes.saturating_add(nodes);
        progress.steps = progress.steps.saturating_add(steps);
        self.progress.set(progress);
        // The watch knows nothing of this search, so that nobody else holds it.
        if let Ok(mut watch) = self.watch.try_borrow_mut()
            && !self.stopped.get()
        {
            self.stopped.set(watch(&progress).is_break());
        }
    }

    fn stopped(&self) -> bool {
        self.stopped.get()
    }

    fn tell(&self, best: Option<u64>, bound: u64) {
        let mut progress = self.progress.get();
        progress.best = [progress.best, best].into_iter().flatten().min();
        progress.bound = progress.bound.max(bound);
        self.progress.set(progress);
    }
}

impl<'a> Budget<'a> {
    /// Begins the clock, if there is a time limit: otherwise no clock is read.
    pub(super) fn new(effort: &Effort, watched: Option<&'a (dyn Watching + 'a)>) -> Self {
        let end = effort.time.and_then(|time: Duration| Instant::now().checked_add(time));
        Budget { nodes: effort.nodes, end, watched, told: None, bounding: false }
    }

    /// The same, where values found say nothing of the whole problem.
    pub(super) fn quiet(&self) -> Budget<'a> {
        Budget { told: None, ..*self }
    }

    /// The same, where values found are those of the whole problem less `base`, and bounds too if `bounding`.
    pub(super) fn telling(&self, base: u64, bounding: bool) -> Budget<'a> {
        Budget { told: Some(base), bounding, ..*self }
    }

    /// Adds work done and asks whoever watches: whether the search is to end now.
    pub(super) fn look(&self, nodes: u64, steps: u64) -> bool {
        if let Some(watched) = self.watched {
            watched.ask(nodes, steps);
        }
        self.over()
    }

    /// Whether the search is to end, by what was last said or by the clock.
    pub(super) fn over(&self) -> bool {
        self.watched.is_some_and(|watched| watched.stopped()) || self.end.is_some_and(|end| Instant::now() >= end)
    }

    /// Tells of an answer of this value.
    pub(super) fn reach(&self, value: u64) {
        if let (Some(watched), Some(base)) = (self.watched, self.told) {
            watched.tell(Some(value.saturating_add(base)), 0);
        }
    }

    /// Tells that no answer is below this.
    pub(super) fn raise(&self, bound: u64) {
        if let (Some(watched), Some(base), true) = (self.watched, self.told, self.bounding) {
            watched.tell(None, bound.saturating_add(base));
        }
    }
}
