//! A tree of bounding boxes: which boxes meet which.
//!
//! Built by splitting the set at the median of the wider axis, so it suits any mixture of long and short edges in any
//! order. Building takes O(n log n); a query visits the boxes it reports and the path to them.

use super::point::Point;

/// A rectangle along the axes, its borders included, in micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Bounds {
    pub(crate) low: (i64, i64),
    pub(crate) high: (i64, i64),
}

impl Bounds {
    pub(crate) fn of(points: impl IntoIterator<Item = Point>) -> Option<Bounds> {
        points.into_iter().fold(None, |bounds: Option<Bounds>, point| {
            let at = (point.x.um(), point.y.um());
            let one = Bounds { low: at, high: at };
            Some(bounds.map_or(one, |bounds| bounds.join(one)))
        })
    }

    /// Around a path of (x, y), which must not be empty.
    pub(crate) fn around(path: &[(i64, i64)]) -> Bounds {
        let first = path.first().copied().unwrap_or_default();
        path.iter().fold(Bounds { low: first, high: first }, |bounds, &at| bounds.join(Bounds { low: at, high: at }))
    }

    pub(crate) fn join(self, other: Bounds) -> Bounds {
        Bounds {
            low: (self.low.0.min(other.low.0), self.low.1.min(other.low.1)),
            high: (self.high.0.max(other.high.0), self.high.1.max(other.high.1)),
        }
    }

    pub(crate) fn meets(self, other: Bounds) -> bool {
        self.low.0 <= other.high.0
            && other.low.0 <= self.high.0
            && self.low.1 <= other.high.1
            && other.low.1 <= self.high.1
    }

    /// Twice the middle along an axis, which is whole.
    fn middle(self, along_y: bool) -> i128 {
        if along_y {
            i128::from(self.low.1) + i128::from(self.high.1)
        } else {
            i128::from(self.low.0) + i128::from(self.high.0)
        }
    }
}

/// How many boxes a leaf holds.
const LEAF: usize = 6;

/// The tree. Boxes are known by their index in the list that it was built from.
pub(crate) struct BoxTree {
    /// Boxes with their indices, in tree order.
    items: Vec<(u32, Bounds)>,
    nodes: Vec<Node>,
}

struct Node {
    bounds: Bounds,
    from: u32,
    to: u32,
    /// The left child is the next node; 0 marks a leaf.
    right: u32,
}

impl BoxTree {
    /// More than `u32::MAX` boxes are never given: callers hold them in memory beside points of 16 bytes.
    pub(crate) fn new(boxes: impl IntoIterator<Item = Bounds>) -> BoxTree {
        let items = (0u32..).zip(boxes).collect();
        let mut tree = BoxTree { items, nodes: Vec::new() };
        tree.build(0, tree.items.len());
        tree
    }

    fn build(&mut self, from: usize, to: usize) {
        let Some(part) = self.items.get_mut(from..to) else { return };
        let Some(bounds) = part.iter().map(|&(_, bounds)| bounds).reduce(Bounds::join) else { return };
        let node = self.nodes.len();
        if part.len() > LEAF {
            let (wide, tall) = (spread(part, false), spread(part, true));
            let half = part.len() / 2;
            part.select_nth_unstable_by_key(half, |&(index, bounds)| (bounds.middle(tall > wide), index));
            self.nodes.push(Node { bounds, from: from as u32, to: to as u32, right: 0 });
            self.build(from, from + half);
            self.nodes[node].right = self.nodes.len() as u32;
            self.build(from + half, to);
        } else {
            self.nodes.push(Node { bounds, from: from as u32, to: to as u32, right: 0 });
        }
    }

    /// Calls `found` with every pair of boxes that meet, the lower index first, until it returns `false`.
    pub(crate) fn pairs(&self, mut found: impl FnMut(usize, usize) -> bool) {
        let mut open = if self.nodes.is_empty() { Vec::new() } else { vec![(0, 0)] };
        while let Some((a, b)) = open.pop() {
            let (one, two) = (&self.nodes[a], &self.nodes[b]);
            if !one.bounds.meets(two.bounds) {
                continue;
            }
            match (one.right, two.right) {
                (0, 0) => {
                    if !self.leaf_pairs(a, b, &mut found) {
                        return;
                    }
                }
                (right, _) if a == b => {
                    let right = right as usize;
                    open.extend([(right, right), (a + 1, right), (a + 1, a + 1)]);
                }
                (0, right) => open.extend([(a, right as usize), (a, b + 1)]),
                (right, 0) => open.extend([(right as usize, b), (a + 1, b)]),
                // The larger node is split: both sides then shrink together.
                (_, right) if two.to - two.from > one.to - one.from => {
                    open.extend([(a, right as usize), (a, b + 1)]);
                }
                (right, _) => open.extend([(right as usize, b), (a + 1, b)]),
            }
        }
    }

    /// Calls `found` with every box that meets `bounds`.
    pub(crate) fn meeting(&self, bounds: Bounds, mut found: impl FnMut(usize)) {
        let mut open = if self.nodes.is_empty() { Vec::new() } else { vec![0] };
        while let Some(at) = open.pop() {
            let node = &self.nodes[at];
            if !node.bounds.meets(bounds) {
                continue;
            }
            if node.right == 0 {
                self.leaf(at).iter().filter(|(_, item)| item.meets(bounds)).for_each(|&(i, _)| found(i as usize));
            } else {
                open.extend([node.right as usize, at + 1]);
            }
        }
    }

    fn leaf_pairs(&self, a: usize, b: usize, found: &mut impl FnMut(usize, usize) -> bool) -> bool {
        let (one, two) = (self.leaf(a), self.leaf(b));
        for (k, &(i, bounds)) in one.iter().enumerate() {
            let rest = if a == b { &two[k + 1..] } else { two };
            for &(j, other) in rest {
                if bounds.meets(other) && !found(i.min(j) as usize, i.max(j) as usize) {
                    return false;
                }
            }
        }
        true
    }

    fn leaf(&self, node: usize) -> &[(u32, Bounds)] {
        let node = &self.nodes[node];
        &self.items[node.from as usize..node.to as usize]
    }
}

fn spread(part: &[(u32, Bounds)], along_y: bool) -> i128 {
    let middles = || part.iter().map(|&(_, bounds)| bounds.middle(along_y));
    middles().max().unwrap_or(0) - middles().min().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn boxes() -> impl Strategy<Value = Vec<Bounds>> {
        let one = (0i64..60, 0i64..60, 0i64..20, 0i64..20)
            .prop_map(|(x, y, w, h)| Bounds { low: (x, y), high: (x + w, y + h) });
        prop::collection::vec(one, 0..60)
    }

    proptest! {
        #[test]
        fn the_tree_finds_every_pair_once(boxes in boxes()) {
            let mut found = Vec::new();
            BoxTree::new(boxes.clone()).pairs(|i, j| { found.push((i, j)); true });
            found.sort_unstable();
            let all = (0..boxes.len()).flat_map(|i| (i + 1..boxes.len()).map(move |j| (i, j)));
            let expected: Vec<_> = all.filter(|&(i, j)| boxes[i].meets(boxes[j])).collect();
            prop_assert_eq!(found, expected);
        }
    }
}
