//! Lengths for a layout whose pieces are already assigned to bars: a circulation with bounds.
//!
//! The unknowns are where pieces start and end. A piece's length, a lap and a bar's load are differences and sums of
//! these in which each unknown appears once with each sign, so the conditions are the conservation laws of a flow
//! and a whole-numbered solution exists whenever any does.

use std::collections::VecDeque;

/// A network with bounds on its arcs.
pub(super) struct Flow {
    nodes: usize,
    arcs: Vec<Arc>,
}

#[derive(Clone, Copy)]
struct Arc {
    from: usize,
    to: usize,
    least: i64,
    most: i64,
}

impl Flow {
    pub(super) fn new(nodes: usize) -> Self {
        Flow { nodes, arcs: Vec::new() }
    }

    /// Adds an arc and returns its index.
    pub(super) fn arc(&mut self, from: usize, to: usize, least: i64, most: i64) -> usize {
        self.arcs.push(Arc { from, to, least, most });
        self.arcs.len() - 1
    }

    /// A flow through every arc within its bounds that is conserved at every node, if there is one.
    ///
    /// Least flows are sent first; what they leave unbalanced is a maximum-flow problem, solved by shortest
    /// augmenting paths (Edmonds and Karp 1972): `O(nodes * arcs^2)`.
    pub(super) fn circulation(&self) -> Option<Vec<i64>> {
        if self.arcs.iter().any(|arc| arc.least > arc.most) {
            return None;
        }
        let (source, sink) = (self.nodes, self.nodes + 1);
        let mut excess = vec![0_i64; self.nodes];
        // Residual arcs in pairs: forwards at even places, backwards at odd ones.
        let mut residual: Vec<(usize, i64)> = Vec::with_capacity(2 * (self.arcs.len() + self.nodes));
        let mut leaving = vec![Vec::new(); self.nodes + 2];
        let mut add = |from: usize, to: usize, room: i64| {
            leaving[from].push(residual.len());
            residual.push((to, room));
            leaving[to].push(residual.len());
            residual.push((from, 0));
        };
        for arc in &self.arcs {
            excess[arc.to] += arc.least;
            excess[arc.from] -= arc.least;
            add(arc.from, arc.to, arc.most - arc.least);
        }
        let mut missing = 0;
        for (node, &excess) in excess.iter().enumerate() {
            if excess > 0 {
                add(source, node, excess);
                missing += excess;
            } else if excess < 0 {
                add(node, sink, -excess);
            }
        }
        while missing > 0 {
            let mut via = vec![usize::MAX; self.nodes + 2];
            let mut queue = VecDeque::from([source]);
            while let Some(node) = queue.pop_front() {
                for &at in &leaving[node] {
                    let (to, room) = residual[at];
                    if room > 0 && to != source && via[to] == usize::MAX {
                        via[to] = at;
                        queue.push_back(to);
                    }
                }
            }
            if via[sink] == usize::MAX {
                return None;
            }
            let mut push = missing;
            let mut node = sink;
            while node != source {
                push = push.min(residual[via[node]].1);
                node = residual[via[node] ^ 1].0;
            }
            node = sink;
            while node != source {
                let at = via[node];
                residual[at].1 -= push;
                residual[at ^ 1].1 += push;
                node = residual[at ^ 1].0;
            }
            missing -= push;
        }
        Some(self.arcs.iter().enumerate().map(|(at, arc)| arc.least + residual[2 * at + 1].1).collect())
    }
}
