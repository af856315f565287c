//! Effort spent, in counted work; the clock only ever ends a search earlier.

use std::time::{Duration, Instant};

use crate::cutting::Effort;

/// Inner work (roughly, one addition and comparison) that is allowed before the first node and again with each node.
const FREE_WORK: u64 = 40_000_000;
const NODE_WORK: u64 = 4_000_000;

/// Counts nodes and inner work against the limits.
pub(super) struct Meter {
    nodes: u64,
    most_nodes: u64,
    work: u64,
    most_work: u64,
    end: Option<Instant>,
    late: bool,
    next_look: u64,
}

impl Meter {
    pub(super) fn new(effort: &Effort) -> Self {
        Meter {
            nodes: 0,
            most_nodes: effort.nodes,
            work: 0,
            most_work: FREE_WORK.saturating_add(effort.nodes.saturating_mul(NODE_WORK)),
            end: effort.time.and_then(|time: Duration| Instant::now().checked_add(time)),
            late: false,
            next_look: 0,
        }
    }

    /// Adds inner work.
    pub(super) fn spend(&mut self, work: u64) {
        self.work = self.work.saturating_add(work);
        if self.work >= self.next_look {
            self.next_look = self.work.saturating_add(2_000_000);
            self.late = self.late || self.end.is_some_and(|end| Instant::now() >= end);
        }
    }

    /// Whether the work or the time is used up.
    pub(super) fn spent(&self) -> bool {
        self.late || self.work >= self.most_work
    }

    /// Takes one node, unless none is left.
    pub(super) fn enter(&mut self) -> bool {
        if self.spent() || self.nodes >= self.most_nodes {
            return false;
        }
        self.nodes += 1;
        true
    }

    pub(super) fn nodes(&self) -> u64 {
        self.nodes
    }
}
