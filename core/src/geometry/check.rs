//! What makes a polygon fit to plan on, and what is wrong with one that is not.
//!
//! A valid polygon has rings of three points or more without repeated points, spikes, crossings or contacts of any
//! kind, and its holes lie apart from each other inside the outer ring. Collinear points are valid: the kind of edge
//! may change there. This is stricter than the usual rule for polygons (OGC 06-103r4, 6.1.11), which lets rings touch
//! in single points: no trim can be made where two edges touch. Because nothing touches, nothing can cut the inside
//! in two, and that needs no test of its own.
//!
//! Edges that may meet are found by a tree of bounding boxes; whether they do is decided in whole numbers.
//! O(n log n) for outlines that look like roofs; at worst, where all boxes overlap, every pair of edges is looked at
//! once.

use std::collections::BTreeSet;

use super::boxes::{Bounds, BoxTree};
use super::point::{Point, orient};
use super::ring::{Polygon, Ring, Side, turns_back};
use crate::error::{Code, Error};
use crate::length::Length;

/// Limits that [`check`] holds a polygon against.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RingLimits {
    /// Most points in all rings together.
    pub points: usize,
    /// Shortest edge allowed.
    pub least_edge: Length,
    /// Most problems reported. Looking for more stops there.
    pub problems: usize,
}

impl Default for RingLimits {
    /// 20 000 points, no least edge, 100 problems.
    fn default() -> Self {
        RingLimits { points: 20_000, least_edge: Length::ZERO, problems: 100 }
    }
}

/// Everything that is wrong with a polygon, in the order of its rings and points: empty for a valid one.
///
/// Rings may run either way round. `path` is the JSON Pointer of the polygon; the problems point to
/// `{path}/outer/points/3`, `{path}/holes/0/points/2` and so on: to a point, or to the point where an edge begins.
/// At most `limits.problems` are listed.
///
/// Codes: 102 to 113 of [`Code`].
///
/// ```
/// use upstand::Code;
/// use upstand::geometry::{Point, Polygon, Ring, RingLimits, check};
///
/// let ring = |points: &[(i64, i64)]| Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect());
/// let l_shape = Polygon::from(ring(&[(0, 0), (6000, 0), (6000, 2000), (2000, 2000), (2000, 4000), (0, 4000)]));
/// assert!(check(&l_shape, &RingLimits::default(), "").is_empty());
///
/// let bow_tie = Polygon::from(ring(&[(0, 0), (6000, 4000), (6000, 0), (0, 4000)]));
/// let problems = check(&bow_tie, &RingLimits::default(), "/roofs/0");
/// assert_eq!(problems[0].code(), Code::SelfCrossing);
/// assert_eq!(problems[0].path(), "/roofs/0/outer/points/0");
/// ```
pub fn check(polygon: &Polygon, limits: &RingLimits, path: &str) -> Vec<Error> {
    let mut survey = Survey { limits, path, rings: Vec::new(), edges: Vec::new(), problems: Vec::new() };
    if polygon.len() > limits.points {
        let message = format!("{} points in all rings: at most {} are allowed", polygon.len(), limits.points);
        return vec![Error::new(Code::TooManyPoints, path, message)];
    }
    for (number, ring) in polygon.rings().enumerate() {
        survey.ring(number, ring);
    }
    if survey.problems.iter().all(|problem| problem.error.code() != Code::OutOfRange) {
        survey.contacts();
    }
    survey.finish()
}

/// A problem and where it stands in the document.
struct Problem {
    ring: usize,
    /// `None` for the ring as a whole.
    point: Option<usize>,
    error: Error,
}

/// A ring without repeated points, and the index of each point in the ring as given.
struct Clean {
    number: usize,
    ring: Ring,
    given: Vec<usize>,
    spikes: Vec<bool>,
}

/// An edge of a clean ring.
#[derive(Clone, Copy)]
struct Edge {
    ring: usize,
    index: usize,
    from: Point,
    to: Point,
}

struct Survey<'a> {
    limits: &'a RingLimits,
    path: &'a str,
    rings: Vec<Clean>,
    edges: Vec<Edge>,
    problems: Vec<Problem>,
}

impl Survey<'_> {
    fn is_full(&self) -> bool {
        self.problems.len() >= self.limits.problems
    }

    fn report(&mut self, ring: usize, point: Option<usize>, code: Code, message: String) {
        if self.is_full() {
            return;
        }
        let mut path = match ring {
            0 => format!("{}/outer/points", self.path),
            hole => format!("{}/holes/{}/points", self.path, hole - 1),
        };
        if let Some(point) = point {
            path.push_str(&format!("/{point}"));
        }
        let error = Error::new(code, path, message);
        self.problems.push(Problem { ring, point, error });
    }

    /// What can be said of one ring without looking at pairs of its edges.
    fn ring(&mut self, number: usize, ring: &Ring) {
        let far = |length: Length| length > Length::LIMIT || length < -Length::LIMIT;
        let mut out_of_range = false;
        for (index, point) in ring.points().iter().enumerate() {
            if far(point.x) || far(point.y) {
                out_of_range = true;
                let message = format!("{} is out of range: at most 1 000 km either way", show(*point));
                self.report(number, Some(index), Code::OutOfRange, message);
            }
        }
        if out_of_range {
            return;
        }
        let (mut points, mut given): (Vec<Point>, Vec<usize>) = (Vec::new(), Vec::new());
        for (index, &point) in ring.points().iter().enumerate() {
            let closes_again = index + 1 == ring.len() && points.len() > 1 && points.first() == Some(&point);
            if points.last() == Some(&point) || closes_again {
                let message = format!("{} repeats the point next to it: leave one out", show(point));
                self.report(number, Some(index), Code::RepeatedPoint, message);
            } else {
                points.push(point);
                given.push(index);
            }
        }
        let distinct: BTreeSet<Point> = points.iter().copied().collect();
        if distinct.len() < 3 {
            let message = format!("{} distinct points: a ring needs at least 3", distinct.len());
            self.report(number, None, Code::TooFewPoints, message);
            return;
        }
        let count = points.len();
        let turn = |i: usize| turns_back(points[(i + count - 1) % count], points[i], points[(i + 1) % count]);
        let spikes: Vec<bool> = (0..count).map(turn).collect();
        for (index, _) in spikes.iter().enumerate().filter(|&(_, &spike)| spike) {
            let message = format!("the outline runs out to {} and straight back", show(points[index]));
            self.report(number, Some(given[index]), Code::Spike, message);
        }
        let clean = Ring::new(points);
        for (index, (from, to)) in clean.edges().enumerate() {
            let length = from.distance(to);
            if length < self.limits.least_edge {
                let least = self.limits.least_edge;
                let message = format!("an edge of {length}: the shortest allowed is {least}");
                self.report(number, Some(given[index]), Code::ShortEdge, message);
            }
            self.edges.push(Edge { ring: self.rings.len(), index, from, to });
        }
        self.rings.push(Clean { number, ring: clean, given, spikes });
    }

    /// What pairs of edges and pairs of rings do to each other.
    fn contacts(&mut self) {
        let bounds: Vec<Bounds> = self.edges.iter().filter_map(|edge| Bounds::of([edge.from, edge.to])).collect();
        let mut met: BTreeSet<(usize, usize)> = BTreeSet::new();
        let mut crossed: BTreeSet<(usize, usize)> = BTreeSet::new();
        BoxTree::new(bounds).pairs(|i, j| {
            let (one, two) = (self.edges[i], self.edges[j]);
            let rings = (one.ring, two.ring);
            match self.meeting(one, two) {
                Meeting::Apart => {}
                Meeting::Crossing => {
                    met.insert(rings);
                    crossed.insert(rings);
                    self.report_crossing(one, two);
                }
                Meeting::Touching => {
                    met.insert(rings);
                    self.report_touching(one, two);
                }
            }
            !self.is_full()
        });
        self.areas(&crossed);
        self.nesting(&met, &crossed);
    }

    fn meeting(&self, one: Edge, two: Edge) -> Meeting {
        if one.ring == two.ring {
            let count = self.rings[one.ring].ring.len();
            if (one.index + 1) % count == two.index || (two.index + 1) % count == one.index {
                return Meeting::Apart;
            }
        }
        let side = |edge: Edge, point| orient(edge.from, edge.to, point).signum();
        let (a, b) = (side(two, one.from), side(two, one.to));
        let (c, d) = (side(one, two.from), side(one, two.to));
        if a * b < 0 && c * d < 0 {
            return Meeting::Crossing;
        }
        let on = |which, edge: Edge, point: Point| which == 0 && within(edge, point);
        if on(a, two, one.from) || on(b, two, one.to) || on(c, one, two.from) || on(d, one, two.to) {
            return Meeting::Touching;
        }
        Meeting::Apart
    }

    fn report_crossing(&mut self, one: Edge, two: Edge) {
        let (ring, point) = self.given(one);
        let (other_ring, other_point) = self.given(two);
        let code = match (ring == other_ring, ring) {
            (true, _) => Code::SelfCrossing,
            (false, 0) => Code::HoleOutside,
            (false, _) => Code::HolesOverlap,
        };
        // Of two rings the later one is named: the hole, not the outer ring.
        let (at, other) = if ring == other_ring {
            ((ring, point), format!("edge {other_point}"))
        } else {
            ((other_ring, other_point), format!("edge {point} of {}", name(ring)))
        };
        let message = format!("the edge from here crosses {other} near {}", show(crossing_near(one, two)));
        self.report(at.0, Some(at.1), code, message);
    }

    /// Reports each point of contact once: a point belongs to the edge that begins in it, and an edge does not own its
    /// end.
    fn report_touching(&mut self, one: Edge, two: Edge) {
        let same_ring = one.ring == two.ring;
        for (mover, still) in [(one, two), (two, one)] {
            let point = mover.from;
            let inside = orient(still.from, still.to, point) == 0 && within(still, point) && point != still.to;
            let counted_elsewhere = point == still.from && (mover.ring, mover.index) < (still.ring, still.index);
            if !inside || counted_elsewhere || (same_ring && self.spike_explains(mover, still)) {
                continue;
            }
            let (ring, index) = self.given(mover);
            let (other_ring, other_index) = self.given(still);
            let code = if same_ring { Code::SelfTouching } else { Code::HoleTouches };
            let other = match (point == still.from, same_ring) {
                (true, true) => format!("point {other_index}"),
                (true, false) => format!("point {other_index} of {}", name(other_ring)),
                (false, true) => format!("edge {other_index}"),
                (false, false) => format!("edge {other_index} of {}", name(other_ring)),
            };
            let message = format!("{} touches {other}", show(point));
            self.report(ring, Some(index), code, message);
        }
    }

    /// Whether the contact is that of a spike's two sides, which is reported as a spike.
    fn spike_explains(&self, mover: Edge, still: Edge) -> bool {
        let clean = &self.rings[mover.ring];
        let count = clean.ring.len();
        let tip = (still.index + 1) % count;
        (clean.spikes[tip] && (tip + 1) % count == mover.index)
            || (clean.spikes[still.index] && (mover.index + 1) % count == still.index)
    }

    fn areas(&mut self, crossed: &BTreeSet<(usize, usize)>) {
        for ring in 0..self.rings.len() {
            if !crossed.contains(&(ring, ring)) && self.rings[ring].ring.double_area() == 0 {
                let message = String::from("the ring encloses no area");
                self.report(self.rings[ring].number, None, Code::ZeroArea, message);
            }
        }
    }

    /// Holes must lie in the outer ring and not in each other. Rings that cross have been reported already.
    fn nesting(&mut self, met: &BTreeSet<(usize, usize)>, crossed: &BTreeSet<(usize, usize)>) {
        let bounds: Vec<Bounds> =
            self.rings.iter().filter_map(|clean| Bounds::of(clean.ring.points().iter().copied())).collect();
        if self.rings.first().is_some_and(|first| first.number == 0) {
            for hole in 1..self.rings.len() {
                if self.is_full() || crossed.contains(&(0, hole)) {
                    continue;
                }
                if self.lies(hole, 0) == Side::Outside {
                    let message = String::from("the hole lies outside the outer ring");
                    self.report(self.rings[hole].number, None, Code::HoleOutside, message);
                }
            }
        }
        let mut overlaps = Vec::new();
        BoxTree::new(bounds).pairs(|a, b| {
            if self.rings[a].number == 0 || crossed.contains(&(a, b)) {
                return true;
            }
            let (a_in_b, b_in_a) = (self.lies(a, b), self.lies(b, a));
            if a_in_b == Side::Inside || b_in_a == Side::Inside || a_in_b == Side::Boundary && met.contains(&(a, b)) {
                overlaps.push((a, b));
            }
            overlaps.len() < self.limits.problems
        });
        for (a, b) in overlaps {
            let message = format!("the hole overlaps {}", name(self.rings[a].number));
            self.report(self.rings[b].number, None, Code::HolesOverlap, message);
        }
    }

    /// Where the ring `inner` lies in `outer`, as its first point that is not on the boundary of `outer` says.
    fn lies(&self, inner: usize, outer: usize) -> Side {
        let outer = &self.rings[outer].ring;
        let sides = self.rings[inner].ring.points().iter().map(|&point| outer.locate(point));
        sides.into_iter().find(|&side| side != Side::Boundary).unwrap_or(Side::Boundary)
    }

    fn given(&self, edge: Edge) -> (usize, usize) {
        let clean = &self.rings[edge.ring];
        (clean.number, clean.given[edge.index])
    }

    fn finish(mut self) -> Vec<Error> {
        self.problems.sort_by_key(|problem| (problem.ring, problem.point, problem.error.code()));
        self.problems.into_iter().map(|problem| problem.error).collect()
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Meeting {
    Apart,
    Touching,
    Crossing,
}

/// Whether a point on the line of an edge lies between its ends.
fn within(edge: Edge, point: Point) -> bool {
    let between = |a: Length, b: Length, c: Length| a.min(b) <= c && c <= a.max(b);
    between(edge.from.x, edge.to.x, point.x) && between(edge.from.y, edge.to.y, point.y)
}

/// Where two crossing edges meet, near enough for a message.
fn crossing_near(one: Edge, two: Edge) -> Point {
    let before = orient(two.from, two.to, one.from).unsigned_abs() as f64;
    let after = orient(two.from, two.to, one.to).unsigned_abs() as f64;
    let part = before / (before + after);
    let along = |a: Length, b: Length| Length::from_um(a.um() + ((b - a).um() as f64 * part) as i64);
    Point { x: along(one.from.x, one.to.x), y: along(one.from.y, one.to.y) }
}

fn name(ring: usize) -> String {
    match ring {
        0 => "the outer ring".into(),
        hole => format!("hole {}", hole - 1),
    }
}

fn show(point: Point) -> String {
    format!("({}, {})", point.x.mm(), point.y.mm())
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
