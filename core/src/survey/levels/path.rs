//! The way water takes over the surface, down the steepest line.

use super::flood::Flood;
use super::surface::{Neighbours, Surface};

/// Slopes below this are level: a tenth of a millimetre in a hundred metres.
const LEVEL: f64 = 1e-6;

/// Where water is.
#[derive(Clone, Copy, Debug)]
enum Place {
    /// In a triangle, at a point in millimetres; it came in over this side.
    Face(usize, (f64, f64), Option<usize>),
    Vertex(usize),
}

/// Where a way ends, and which edge of the outline it met first and ran along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Arrival {
    /// The exit: a vertex, or an edge of the outline.
    pub(super) exit: Exit,
    /// The first edge that was no exit but was met on the way.
    pub(super) met: Option<usize>,
}

/// A way out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Exit {
    Vertex(usize),
    Edge(usize),
}

/// What ways are traced on.
pub(super) struct Tracer<'a> {
    pub(super) surface: &'a Surface,
    pub(super) beside: &'a Neighbours,
    pub(super) flood: &'a Flood,
    /// Vertices where water leaves.
    pub(super) exits: &'a [bool],
    /// Edges of the outline over which water leaves.
    pub(super) drips: &'a [bool],
    /// The triangles at each vertex.
    pub(super) around: Vec<Vec<usize>>,
}

impl<'a> Tracer<'a> {
    pub(super) fn new(
        surface: &'a Surface,
        beside: &'a Neighbours,
        flood: &'a Flood,
        exits: &'a [bool],
        drips: &'a [bool],
    ) -> Self {
        let mut around = vec![Vec::new(); surface.at.len()];
        for (face, corners) in surface.faces.iter().enumerate() {
            corners.iter().for_each(|&corner| around[corner].push(face));
        }
        Tracer { surface, beside, flood, exits, drips, around }
    }

    /// Follows water from the point of a triangle, in millimetres; `visit` is told every bend.
    ///
    /// Between vertices the way falls, out of a pond it goes on below the pond's spill level: so it ends. The count is a
    /// guard against rounding.
    pub(super) fn follow(&self, face: usize, from: (f64, f64), visit: &mut dyn FnMut((f64, f64))) -> Option<Arrival> {
        let mut met = None;
        let mut place = Place::Face(face, from, None);
        visit(from);
        for _ in 0..4 * (self.surface.faces.len() + 16) {
            place = match place {
                Place::Vertex(vertex) if self.exits[vertex] => {
                    return Some(Arrival { exit: Exit::Vertex(vertex), met });
                }
                Place::Vertex(vertex) => self.leave_vertex(vertex),
                Place::Face(face, at, over) => match self.cross(face, at, over) {
                    None => Place::Vertex(self.lowest(&self.surface.faces[face])),
                    Some((side, to)) => {
                        visit(to);
                        match (self.surface.across[face][side], self.surface.border[face][side]) {
                            (Some(next), None) => self.enter(next, face, side, to),
                            (_, Some(edge)) if self.drips[edge] => {
                                return Some(Arrival { exit: Exit::Edge(edge), met });
                            }
                            (_, edge) => {
                                met = met.or(edge);
                                Place::Vertex(self.lowest(&self.ends(face, side)))
                            }
                        }
                    }
                },
            };
            if let Place::Vertex(vertex) = place {
                visit(self.surface.xy(vertex));
            }
        }
        None
    }

    /// Where the steepest line from a point of a triangle leaves it: the side and the point. None on a level triangle.
    fn cross(&self, face: usize, from: (f64, f64), over: Option<usize>) -> Option<(usize, (f64, f64))> {
        let (gx, gy) = self.surface.gradient(face);
        if gx * gx + gy * gy < LEVEL * LEVEL {
            return None;
        }
        let corners = self.surface.faces[face].map(|corner| self.surface.xy(corner));
        let mut best: Option<(f64, usize)> = None;
        for side in (0..3).filter(|&side| Some(side) != over) {
            let (a, b) = (corners[side], corners[(side + 1) % 3]);
            // The way out over this side: its outward normal against the direction of the fall.
            let (nx, ny) = (b.1 - a.1, a.0 - b.0);
            let speed = -(gx * nx + gy * ny);
            if speed <= 0.0 {
                continue;
            }
            let time = ((a.0 - from.0) * nx + (a.1 - from.1) * ny).max(0.0) / speed;
            if best.is_none_or(|(least, _)| time < least) {
                best = Some((time, side));
            }
        }
        best.map(|(time, side)| (side, (from.0 - time * gx, from.1 - time * gy)))
    }

    /// Goes on in the next triangle, or along the valley between the two.
    fn enter(&self, next: usize, face: usize, side: usize, at: (f64, f64)) -> Place {
        let ends = self.ends(face, side);
        let (a, b) = (self.surface.xy(ends[0]), self.surface.xy(ends[1]));
        let (gx, gy) = self.surface.gradient(next);
        // Out of the old triangle is into the next one.
        let onward = -(gx * (b.1 - a.1) + gy * (a.0 - b.0));
        let length = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
        if onward > LEVEL * length {
            let over = (0..3).find(|&k| self.surface.across[next][k] == Some(face) && self.same_side(next, k, ends));
            Place::Face(next, at, over)
        } else {
            Place::Vertex(self.lowest(&ends))
        }
    }

    fn same_side(&self, face: usize, side: usize, ends: [usize; 2]) -> bool {
        let own = self.ends(face, side);
        own == ends || own == [ends[1], ends[0]]
    }

    fn ends(&self, face: usize, side: usize) -> [usize; 2] {
        let corners = self.surface.faces[face];
        [corners[side], corners[(side + 1) % 3]]
    }

    /// The vertex that the flood reached first: the lowest, and among equals the one nearer to a way out.
    fn lowest(&self, vertices: &[usize]) -> usize {
        let key = |&&vertex: &&usize| (self.surface.level[vertex], self.flood.rank[vertex]);
        vertices.iter().min_by_key(key).copied().unwrap_or(0)
    }

    /// From a vertex over the steepest triangle or along the steepest side; out of a pond to where it spills.
    fn leave_vertex(&self, vertex: usize) -> Place {
        let surface = self.surface;
        let at = surface.xy(vertex);
        let mut best = (LEVEL, None);
        for &face in &self.around[vertex] {
            let (gx, gy) = surface.gradient(face);
            let steep = (gx * gx + gy * gy).sqrt();
            let corners = surface.faces[face];
            let k = corners.iter().position(|&corner| corner == vertex).unwrap_or(0);
            let (p, q) = (surface.xy(corners[(k + 1) % 3]), surface.xy(corners[(k + 2) % 3]));
            // Downhill lies between the two sides at the vertex.
            let left_of_first = (p.0 - at.0) * -gy + (p.1 - at.1) * gx;
            let right_of_second = -gx * (q.1 - at.1) + gy * (q.0 - at.0);
            if steep > best.0 && left_of_first > 0.0 && right_of_second > 0.0 {
                best = (steep, Some(Place::Face(face, at, None)));
            }
        }
        for &next in self.beside.of(vertex) {
            let to = surface.xy(next);
            let length = ((to.0 - at.0) * (to.0 - at.0) + (to.1 - at.1) * (to.1 - at.1)).sqrt();
            let steep = (surface.z(vertex) - surface.z(next)) / length;
            // Along a side only where no triangle is steeper.
            if steep > best.0 {
                best = (steep, Some(Place::Vertex(next)));
            }
        }
        match best.1 {
            // The way over a triangle leaves by the side opposite to the vertex.
            Some(Place::Face(face, at, _)) => {
                let k = surface.faces[face].iter().position(|&corner| corner == vertex).unwrap_or(0);
                match self.cross_opposite(face, (k + 1) % 3, at) {
                    Some(to) => self.over_side(face, (k + 1) % 3, to),
                    None => self.spill(vertex),
                }
            }
            Some(place) => place,
            None => self.spill(vertex),
        }
    }

    fn cross_opposite(&self, face: usize, side: usize, from: (f64, f64)) -> Option<(f64, f64)> {
        let (gx, gy) = self.surface.gradient(face);
        let [a, b] = self.ends(face, side).map(|end| self.surface.xy(end));
        let (nx, ny) = (b.1 - a.1, a.0 - b.0);
        let speed = -(gx * nx + gy * ny);
        if speed <= 0.0 {
            return None;
        }
        let time = ((a.0 - from.0) * nx + (a.1 - from.1) * ny).max(0.0) / speed;
        Some((from.0 - time * gx, from.1 - time * gy))
    }

    fn over_side(&self, face: usize, side: usize, to: (f64, f64)) -> Place {
        match (self.surface.across[face][side], self.surface.border[face][side]) {
            (Some(next), None) => self.enter(next, face, side, to),
            // At the outline: seen again from a point just inside, which is on the side itself.
            _ => Place::Face(face, to, None),
        }
    }

    /// From the bottom of a pond to the first vertex beyond its spill that lies lower than the water, or to an exit.
    fn spill(&self, vertex: usize) -> Place {
        let water = self.flood.water[vertex];
        let mut here = vertex;
        while !self.exits[here] && (self.flood.water[here] >= water) {
            let next = self.flood.towards[here];
            if next == here {
                break;
            }
            here = next;
        }
        Place::Vertex(here)
    }

    /// The exit vertex of every vertex, from one to the steepest neighbour below it and out of ponds: for surfaces of many
    /// triangles.
    pub(super) fn way_ends(&self) -> Vec<usize> {
        let surface = self.surface;
        let mut order: Vec<usize> = (0..surface.at.len()).collect();
        order.sort_by_key(|&vertex| self.flood.rank[vertex]);
        let mut ends: Vec<usize> = (0..surface.at.len()).collect();
        for vertex in order {
            if self.exits[vertex] {
                continue;
            }
            let at = surface.xy(vertex);
            let mut best = (0.0, self.flood.towards[vertex]);
            for &next in self.beside.of(vertex) {
                let to = surface.xy(next);
                let square = (to.0 - at.0) * (to.0 - at.0) + (to.1 - at.1) * (to.1 - at.1);
                let drop = surface.z(vertex) - surface.z(next);
                // Only to what the flood reached before: the way out never turns back.
                if drop > 0.0 && self.flood.rank[next] < self.flood.rank[vertex] && drop * drop / square > best.0 {
                    best = (drop * drop / square, next);
                }
            }
            ends[vertex] = ends[best.1];
        }
        ends
    }
}
