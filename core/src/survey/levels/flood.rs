//! Flooding the surface to its spill levels: where water stands, and how deep.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Pond;
use super::surface::{Neighbours, Surface};
use crate::length::Length;

/// The surface flooded until it overflows.
pub(super) struct Flood {
    /// Height of the water, or of the dry surface, at each vertex, in micrometres.
    pub(super) water: Vec<i64>,
    /// The vertex that each drains to, towards a way out; an exit drains to itself.
    pub(super) towards: Vec<usize>,
    /// When each was reached: never before what it drains to.
    pub(super) rank: Vec<usize>,
}

impl Flood {
    /// Priority-flood (Barnes, Lehman and Mulla 2014, from memory) on the edges of the triangles: from the exits inward, the
    /// lowest first. On a surface of triangles it is exact, for what lies below a level is connected as the vertices
    /// below it are.
    ///
    /// None where a vertex has no way to an exit. n log n.
    pub(super) fn of(surface: &Surface, beside: &Neighbours, exits: &[bool]) -> Option<Flood> {
        let count = surface.at.len();
        let mut flood =
            Flood { water: surface.level.clone(), towards: (0..count).collect(), rank: vec![usize::MAX; count] };
        let mut seen = exits.to_vec();
        let mut heap: BinaryHeap<Reverse<(i64, usize)>> =
            (0..count).filter(|&v| exits[v]).map(|v| Reverse((surface.level[v], v))).collect();
        let mut reached = 0;
        while let Some(Reverse((level, vertex))) = heap.pop() {
            flood.water[vertex] = level;
            flood.rank[vertex] = reached;
            reached += 1;
            for &next in beside.of(vertex) {
                if !seen[next] {
                    seen[next] = true;
                    flood.towards[next] = vertex;
                    heap.push(Reverse((level.max(surface.level[next]), next)));
                }
            }
        }
        // Readings outside the outline belong to no triangle.
        (0..count).all(|v| seen[v] || beside.of(v).is_empty()).then_some(flood)
    }

    fn ponded(&self, surface: &Surface, vertex: usize) -> bool {
        self.water[vertex] > surface.level[vertex]
    }

    /// Every pond, the deepest first. Neighbouring vertices under water share their level, so a pond is a connected set of
    /// them; its edge runs through triangles that are partly dry.
    pub(super) fn ponds(&self, surface: &Surface, beside: &Neighbours) -> Vec<Pond> {
        let count = surface.at.len();
        let mut pond_of: Vec<Option<usize>> = vec![None; count];
        let mut deepest: Vec<usize> = Vec::new();
        for start in 0..count {
            if !self.ponded(surface, start) || pond_of[start].is_some() {
                continue;
            }
            let pond = deepest.len();
            deepest.push(start);
            let mut queue = vec![start];
            pond_of[start] = Some(pond);
            while let Some(vertex) = queue.pop() {
                if surface.level[vertex] < surface.level[deepest[pond]] {
                    deepest[pond] = vertex;
                }
                for &next in beside.of(vertex) {
                    if pond_of[next].is_none() && self.ponded(surface, next) {
                        pond_of[next] = Some(pond);
                        queue.push(next);
                    }
                }
            }
        }
        let mut sizes = vec![(0.0, 0.0); deepest.len()];
        for &face in &surface.faces {
            let Some(pond) = face.iter().find_map(|&vertex| pond_of[vertex]) else { continue };
            let spill = self.water[deepest[pond]];
            let corners = face.map(|vertex| (surface.xy(vertex), (spill - surface.level[vertex]) as f64 / 1e3));
            let (area, volume) = wetted(corners);
            sizes[pond].0 += area;
            sizes[pond].1 += volume;
        }
        let mut ponds: Vec<Pond> = deepest
            .iter()
            .zip(sizes)
            .map(|(&vertex, (area, volume))| Pond {
                at: surface.at[vertex],
                depth: Length::from_um(self.water[vertex] - surface.level[vertex]),
                spill_level: Length::from_um(self.water[vertex]),
                area_m2: super::digits(area / 1e6, 1e4),
                volume_l: super::digits(volume / 1e6, 1e3),
            })
            .collect();
        ponds.sort_by(|a, b| b.depth.cmp(&a.depth).then(a.at.cmp(&b.at)));
        ponds
    }
}

/// Area and volume of the part of a triangle that is under water: each corner with its depth, negative where it is dry.
fn wetted(corners: [((f64, f64), f64); 3]) -> (f64, f64) {
    let mut part: Vec<((f64, f64), f64)> = Vec::with_capacity(4);
    for (i, &(p, depth)) in corners.iter().enumerate() {
        let (q, next) = corners[(i + 1) % 3];
        if depth >= 0.0 {
            part.push((p, depth));
        }
        if (depth > 0.0 && next < 0.0) || (depth < 0.0 && next > 0.0) {
            let share = depth / (depth - next);
            part.push(((p.0 + share * (q.0 - p.0), p.1 + share * (q.1 - p.1)), 0.0));
        }
    }
    let (mut area, mut volume) = (0.0, 0.0);
    for pair in part.get(1..).unwrap_or_default().windows(2) {
        let ((o, first), (p, second), (q, third)) = (part[0], pair[0], pair[1]);
        let size = ((p.0 - o.0) * (q.1 - o.1) - (p.1 - o.1) * (q.0 - o.0)) / 2.0;
        area += size;
        volume += size * (first + second + third) / 3.0;
    }
    (area, volume)
}
