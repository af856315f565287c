//! Lengths for a layout whose pieces are already assigned to bars: a circulation with bounds.
//!
//! The unknowns are where pieces start and end. A piece's length, a lap and a bar's load are differences and sums of
//! these in which each unknown appears once with each sign, so the conditions are the conservation laws of a flow
//! and a whole-numbered solution exists whenever any does.

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
    /// Least flows are sent first; what they leave unbalanced is a maximum-flow problem, solved by blocking flows in
    /// layered networks (Dinitz 1970): `O(nodes^2 * arcs)`, in practice a few layered networks.
    pub(super) fn circulation(&self) -> Option<Vec<i64>> {
        if self.arcs.iter().any(|arc| arc.least > arc.most) {
            return None;
        }
        let mut excess = vec![0_i64; self.nodes];
        let mut residual = Residual::new(self.nodes + 2, self.arcs.len() + self.nodes);
        for arc in &self.arcs {
            excess[arc.to] += arc.least;
            excess[arc.from] -= arc.least;
            residual.add(arc.from, arc.to, arc.most - arc.least);
        }
        let (source, sink) = (self.nodes, self.nodes + 1);
        let mut missing = 0;
        for (node, &excess) in excess.iter().enumerate() {
            if excess > 0 {
                residual.add(source, node, excess);
                missing += excess;
            } else if excess < 0 {
                residual.add(node, sink, -excess);
            }
        }
        while missing > 0 {
            let pushed = residual.block(source, sink);
            if pushed == 0 {
                return None;
            }
            missing -= pushed;
        }
        Some(self.arcs.iter().enumerate().map(|(at, arc)| arc.least + residual.room[2 * at + 1]).collect())
    }
}

/// No arc, no node.
const NONE: usize = usize::MAX;

/// What can still be sent: arcs in pairs, forwards at even places, backwards at odd ones.
struct Residual {
    to: Vec<usize>,
    room: Vec<i64>,
    /// The next arc out of the same node, and each node's first.
    next: Vec<usize>,
    first: Vec<usize>,
    layer: Vec<usize>,
    /// The arc out of each node that is tried next.
    tried: Vec<usize>,
    /// Nodes in the order of layers; then the arcs of a path.
    list: Vec<usize>,
}

impl Residual {
    fn new(nodes: usize, arcs: usize) -> Self {
        Residual {
            to: Vec::with_capacity(2 * arcs),
            room: Vec::with_capacity(2 * arcs),
            next: Vec::with_capacity(2 * arcs),
            first: vec![NONE; nodes],
            layer: vec![NONE; nodes],
            tried: vec![NONE; nodes],
            list: Vec::with_capacity(nodes),
        }
    }

    fn add(&mut self, from: usize, to: usize, room: i64) {
        for (from, to, room) in [(from, to, room), (to, from, 0)] {
            self.next.push(self.first[from]);
            self.first[from] = self.to.len();
            self.to.push(to);
            self.room.push(room);
        }
    }

    /// Sends a flow that no path of fewest arcs can add to, and returns how much that is.
    fn block(&mut self, source: usize, sink: usize) -> i64 {
        self.layer.fill(NONE);
        self.layer[source] = 0;
        self.list.clear();
        self.list.push(source);
        let mut at = 0;
        while let Some(&node) = self.list.get(at) {
            at += 1;
            let mut arc = self.first[node];
            while arc != NONE {
                let to = self.to[arc];
                if self.room[arc] > 0 && self.layer[to] == NONE {
                    self.layer[to] = self.layer[node] + 1;
                    self.list.push(to);
                }
                arc = self.next[arc];
            }
        }
        if self.layer[sink] == NONE {
            return 0;
        }
        self.tried.copy_from_slice(&self.first);
        self.list.clear();
        let (mut node, mut pushed) = (source, 0);
        loop {
            if node == sink {
                let push = self.list.iter().map(|&arc| self.room[arc]).min().unwrap_or(0);
                pushed += push;
                for &arc in &self.list {
                    self.room[arc] -= push;
                    self.room[arc ^ 1] += push;
                }
                let full = self.list.iter().position(|&arc| self.room[arc] == 0).unwrap_or(0);
                node = self.to[self.list[full] ^ 1];
                self.list.truncate(full);
            }
            let arc = self.tried[node];
            if arc == NONE {
                // Nothing leads on from here: step back, and never come here again.
                let Some(last) = self.list.pop() else { return pushed };
                node = self.to[last ^ 1];
                self.tried[node] = self.next[last];
            } else if self.room[arc] > 0 && self.layer[self.to[arc]] == self.layer[node] + 1 {
                self.list.push(arc);
                node = self.to[arc];
            } else {
                self.tried[node] = self.next[arc];
            }
        }
    }
}
