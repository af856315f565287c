//! Effort spent, in counted work; the clock and whoever watches only ever end a search earlier.

use crate::cutting::budget::Budget;

/// Inner work (roughly, one addition and comparison) that is allowed before the first node and again with each node.
const FREE_WORK: u64 = 40_000_000;
const NODE_WORK: u64 = 4_000_000;
/// Work between two looks at the clock and at whoever watches.
const LOOK: u64 = 2_000_000;

/// Counts nodes and inner work against the limits.
pub(super) struct Meter<'a> {
    budget: &'a Budget<'a>,
    nodes: u64,
    work: u64,
    most_work: u64,
    late: bool,
    next_look: u64,
    /// Nodes and work at the last look.
    looked: (u64, u64),
}

impl<'a> Meter<'a> {
    pub(super) fn new(budget: &'a Budget<'a>) -> Self {
        Meter {
            budget,
            nodes: 0,
            work: 0,
            most_work: FREE_WORK.saturating_add(budget.nodes.saturating_mul(NODE_WORK)),
            late: budget.over(),
            next_look: LOOK,
            looked: (0, 0),
        }
    }

    /// Adds inner work.
    pub(super) fn spend(&mut self, work: u64) {
        self.work = self.work.saturating_add(work);
        if self.work >= self.next_look {
            self.next_look = self.work.saturating_add(LOOK);
            let (nodes, work) = std::mem::replace(&mut self.looked, (self.nodes, self.work));
            self.late |= self.budget.look(self.nodes - nodes, self.work - work);
        }
    }

    /// Whether the work or the time is used up.
    pub(super) fn spent(&self) -> bool {
        self.late || self.work >= self.most_work
    }

    /// Work that is left.
    pub(super) fn left(&self) -> u64 {
        self.most_work.saturating_sub(self.work)
    }

    /// Takes one node, unless none is left.
    pub(super) fn enter(&mut self) -> bool {
        if self.spent() || self.nodes >= self.budget.nodes {
            return false;
        }
        self.nodes += 1;
        true
    }

    pub(super) fn nodes(&self) -> u64 {
        self.nodes
    }

    /// Whoever watches is told of values through it.
    pub(super) fn budget(&self) -> &'a Budget<'a> {
        self.budget
    }
}
