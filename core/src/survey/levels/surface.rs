//! The deck as a surface of triangles through its levels.

use std::collections::BTreeMap;

use spade::{ConstrainedDelaunayTriangulation, DelaunayTriangulation, HasPosition, Point2, PositionInTriangulation};
use spade::{Triangulation, handles::FixedVertexHandle};

use crate::geometry::{Point, Vector, dot, orient};
use crate::length::Length;
use crate::roof::{Outlet, Outline};

/// A surface of triangles inside an outline. Corners of the outline come first, ring by ring, then outlets, then readings.
#[derive(Clone, Debug)]
pub struct Surface {
    /// Where its vertices are.
    pub(super) at: Vec<Point>,
    /// Their heights, in micrometres.
    pub(super) level: Vec<i64>,
    /// Its triangles, counter-clockwise.
    pub(super) faces: Vec<[usize; 3]>,
    /// The triangle beyond each side of each triangle; side `k` runs from corner `k` to the next.
    pub(super) across: Vec<[Option<usize>; 3]>,
    /// The edge of the outline that each side lies on, counted over all rings.
    pub(super) border: Vec<[Option<usize>; 3]>,
    /// The vertex of each outlet.
    pub(super) outlets: Vec<usize>,
}

#[derive(Clone, Copy)]
struct Node(Point2<f64>);

impl HasPosition for Node {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.0
    }
}

/// Differences of micrometres are exact in f64 up to 9e15, far beyond the library's limits.
fn node(origin: Point, at: Point) -> Node {
    let way = Vector::between(origin, at);
    Node(Point2::new(way.x as f64, way.y as f64))
}

impl Surface {
    /// The surface through the levels of an outline's points and of readings: the constrained Delaunay triangulation of the
    /// points, edges of the outline kept. Where two levels are given for one point the first counts.
    ///
    /// Corners of holes without levels, and outlets, take the height of the surface of the other points. None where a corner
    /// of the outer ring has no level.
    ///
    /// Time grows as n log n with the number of points. Which side a point lies on is decided exactly.
    pub fn new(outline: &Outline, outlets: &[Outlet], readings: &[(Point, Length)]) -> Option<Surface> {
        let outer = outline.rings.first()?;
        if outer.levels.len() != outer.points.len() {
            return None;
        }
        let origin = *outer.points.first()?;
        let mut known: BTreeMap<Point, i64> = BTreeMap::new();
        for ring in outline.rings.iter().filter(|ring| ring.levels.len() == ring.points.len()) {
            for (&at, level) in ring.points.iter().zip(&ring.levels) {
                known.entry(at).or_insert(level.um());
            }
        }
        for (at, level) in readings {
            known.entry(*at).or_insert(level.um());
        }
        let wanted =
            outline.rings.iter().flat_map(|ring| ring.points.iter().copied()).chain(outlets.iter().map(|o| o.at));
        let unknown: Vec<Point> = wanted.filter(|at| !known.contains_key(at)).collect();
        let found = interpolate(origin, &known, &unknown)?;
        known.extend(unknown.into_iter().zip(found));

        let mut number: BTreeMap<Point, usize> = BTreeMap::new();
        let (mut at, mut level) = (Vec::new(), Vec::new());
        let mut add = |point: Point| {
            *number.entry(point).or_insert_with(|| {
                at.push(point);
                level.push(known.get(&point).copied().unwrap_or_default());
                at.len() - 1
            })
        };
        let rings: Vec<Vec<usize>> =
            outline.rings.iter().map(|ring| ring.points.iter().map(|&point| add(point)).collect()).collect();
        let outlets: Vec<usize> = outlets.iter().map(|outlet| add(outlet.at)).collect();
        readings.iter().for_each(|&(point, _)| {
            add(point);
        });
        let edges: Vec<[usize; 2]> =
            rings.iter().flat_map(|ring| (0..ring.len()).map(|i| [ring[i], ring[(i + 1) % ring.len()]])).collect();
        let nodes: Vec<Node> = at.iter().map(|&point| node(origin, point)).collect();
        let mesh = ConstrainedDelaunayTriangulation::<Node>::try_bulk_load_cdt(nodes, edges.clone(), |_| ()).ok()?;
        if mesh.num_vertices() != at.len() {
            return None;
        }
        let mut surface = Surface { at, level, faces: Vec::new(), across: Vec::new(), border: Vec::new(), outlets };
        surface.take_inside(&mesh, &edges);
        (!surface.faces.is_empty()).then_some(surface)
    }

    /// Keeps the triangles inside the outline: crossing an edge of the outline changes sides.
    fn take_inside(&mut self, mesh: &ConstrainedDelaunayTriangulation<Node>, edges: &[[usize; 2]]) {
        let of_outline = self.pieces(mesh, edges);
        let edge_between = |a: usize, b: usize| of_outline.get(&(a.min(b), a.max(b))).copied();
        let count = mesh.num_all_faces();
        let mut inside: Vec<Option<bool>> = vec![None; count];
        inside[mesh.outer_face().fix().index()] = Some(false);
        let mut queue = Vec::new();
        for edge in mesh.convex_hull() {
            // The hull's edges have the outer face on one side.
            let (one, other) = (edge, edge.rev());
            let face = if one.is_outer_edge() { other.face() } else { one.face() };
            let crossed = edge_between(edge.from().index(), edge.to().index()).is_some();
            if inside[face.index()].is_none() {
                inside[face.index()] = Some(crossed);
                queue.push(face.index());
            }
        }
        let faces: Vec<_> = mesh.inner_faces().collect();
        let mut by_index: Vec<Option<usize>> = vec![None; count];
        for (position, face) in faces.iter().enumerate() {
            by_index[face.index()] = Some(position);
        }
        while let Some(index) = queue.pop() {
            let Some(face) = by_index[index].map(|position| faces[position]) else { continue };
            for edge in face.adjacent_edges() {
                let next = edge.rev().face().index();
                if inside[next].is_none() {
                    let crossed = edge_between(edge.from().index(), edge.to().index()).is_some();
                    inside[next] = inside[index].map(|here| here != crossed);
                    queue.push(next);
                }
            }
        }
        let mut kept: Vec<Option<usize>> = vec![None; count];
        for (number, face) in faces.iter().filter(|face| inside[face.index()] == Some(true)).enumerate() {
            kept[face.index()] = Some(number);
        }
        for face in faces.iter().filter(|face| kept[face.index()].is_some()) {
            let sides = face.adjacent_edges();
            self.faces.push(sides.map(|side| side.from().index()));
            self.across.push(sides.map(|side| kept[side.rev().face().index()]));
            self.border.push(sides.map(|side| edge_between(side.from().index(), side.to().index())));
        }
    }

    /// Which edge of the outline each of its pieces belongs to: readings that lie on an edge divide it.
    fn pieces(
        &self,
        mesh: &ConstrainedDelaunayTriangulation<Node>,
        edges: &[[usize; 2]],
    ) -> BTreeMap<(usize, usize), usize> {
        let mut pieces = BTreeMap::new();
        for (number, &[from, to]) in edges.iter().enumerate() {
            let mut here = from;
            while here != to {
                let ahead = |&next: &usize| {
                    let (a, b, c) = (self.at[here], self.at[next], self.at[to]);
                    orient(a, c, b) == 0 && dot(Vector::between(a, b), Vector::between(a, c)) > 0
                };
                let vertex = mesh.vertex(FixedVertexHandle::from_index(here));
                let Some(next) = vertex.out_edges().map(|edge| edge.to().index()).find(ahead) else { break };
                pieces.insert((here.min(next), here.max(next)), number);
                here = next;
            }
        }
        pieces
    }

    /// Plan coordinates of a vertex in millimetres from the first.
    pub(super) fn xy(&self, vertex: usize) -> (f64, f64) {
        let way = Vector::between(self.at[0], self.at[vertex]);
        (way.x as f64 / 1e3, way.y as f64 / 1e3)
    }

    /// Height of a vertex in millimetres above the first.
    pub(super) fn z(&self, vertex: usize) -> f64 {
        self.level[vertex].saturating_sub(self.level[0]) as f64 / 1e3
    }

    /// Area of a triangle in plan, in square millimetres.
    pub(super) fn face_area(&self, face: usize) -> f64 {
        let [a, b, c] = self.faces[face].map(|vertex| self.xy(vertex));
        ((b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)) / 2.0
    }

    /// Rise per run of a triangle along x and along y.
    pub(super) fn gradient(&self, face: usize) -> (f64, f64) {
        let [a, b, c] = self.faces[face];
        let (pa, pb, pc) = (self.xy(a), self.xy(b), self.xy(c));
        let (ux, uy, uz) = (pb.0 - pa.0, pb.1 - pa.1, self.z(b) - self.z(a));
        let (vx, vy, vz) = (pc.0 - pa.0, pc.1 - pa.1, self.z(c) - self.z(a));
        let area = ux * vy - uy * vx;
        ((uz * vy - vz * uy) / area, (vz * ux - uz * vx) / area)
    }

    /// The vertices beside each vertex, each once and in order.
    pub(super) fn neighbours(&self) -> Neighbours {
        let mut pairs: Vec<(usize, usize)> = Vec::with_capacity(self.faces.len() * 6);
        for &[a, b, c] in &self.faces {
            pairs.extend([(a, b), (b, a), (b, c), (c, b), (c, a), (a, c)]);
        }
        pairs.sort_unstable();
        pairs.dedup();
        let mut first = vec![0; self.at.len() + 1];
        for &(from, _) in &pairs {
            first[from + 1] += 1;
        }
        for i in 1..first.len() {
            first[i] += first[i - 1];
        }
        Neighbours { first, list: pairs.into_iter().map(|(_, to)| to).collect() }
    }
}

/// The vertices beside each vertex.
pub(super) struct Neighbours {
    first: Vec<usize>,
    list: Vec<usize>,
}

impl Neighbours {
    pub(super) fn of(&self, vertex: usize) -> &[usize] {
        &self.list[self.first[vertex]..self.first[vertex + 1]]
    }
}

/// Heights of further points on the surface of known ones; none where one of them lies outside it.
fn interpolate(origin: Point, known: &BTreeMap<Point, i64>, wanted: &[Point]) -> Option<Vec<i64>> {
    if wanted.is_empty() {
        return Some(Vec::new());
    }
    let nodes: Vec<Node> = known.keys().map(|&at| node(origin, at)).collect();
    let levels: Vec<i64> = known.values().copied().collect();
    let mesh = DelaunayTriangulation::<Node>::bulk_load(nodes).ok()?;
    // Vertices may have been put in another order.
    let level_at: Vec<f64> = mesh
        .vertices()
        .map(|vertex| {
            let place = vertex.position();
            let at =
                Point { x: origin.x + Length::from_um(place.x as i64), y: origin.y + Length::from_um(place.y as i64) };
            known.get(&at).map_or(0.0, |&um| (um - levels[0]) as f64)
        })
        .collect();
    wanted
        .iter()
        .map(|&at| {
            let place = node(origin, at).0;
            let height = match mesh.locate(place) {
                PositionInTriangulation::OnVertex(vertex) => level_at[vertex.index()],
                PositionInTriangulation::OnEdge(edge) => {
                    let [a, b] = mesh.directed_edge(edge).vertices();
                    let along = |p: Point2<f64>| (p.x - a.position().x, p.y - a.position().y);
                    let (way, part) = (along(b.position()), along(place));
                    let share = (way.0 * part.0 + way.1 * part.1) / (way.0 * way.0 + way.1 * way.1);
                    let (za, zb) = (level_at[a.index()], level_at[b.index()]);
                    za + share * (zb - za)
                }
                PositionInTriangulation::OnFace(face) => {
                    let corners = mesh.face(face).vertices();
                    let [a, b, c] = corners.map(|corner| corner.position());
                    let cross = |o: Point2<f64>, p: Point2<f64>, q: Point2<f64>| {
                        (p.x - o.x) * (q.y - o.y) - (p.y - o.y) * (q.x - o.x)
                    };
                    let whole = cross(a, b, c);
                    let shares = [cross(place, b, c) / whole, cross(place, c, a) / whole, cross(place, a, b) / whole];
                    corners.iter().zip(shares).map(|(corner, share)| level_at[corner.index()] * share).sum()
                }
                _ => return None,
            };
            Some(levels[0].saturating_add(height.round() as i64))
        })
        .collect()
}
