//! The outline of a roof, analysed: rings in their normal direction, stretches, and how they turn into one another.

use super::bend::{Bend, Direction};
use super::{Boundary, CornerChoice, Kind, Roof};
use crate::error::Error;
use crate::geometry::{Point, Polygon, Ring, Side};
use crate::length::Length;
use crate::system::{EndRule, Limits};

/// Most holes in one roof.
pub const MOST_HOLES: usize = 1_000;
/// Most outlets in one roof.
pub const MOST_OUTLETS: usize = 1_000;
/// Most pipes in one roof.
pub const MOST_PIPES: usize = 1_000;

/// An analysed roof.
///
/// The outer ring runs counter-clockwise and holes clockwise, so that the roof lies to the left of every edge. A ring
/// that was given the other way round is reversed and its kinds follow their edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The outer ring, then the holes.
    pub rings: Vec<OutlineRing>,
    /// Levels of the deck inside it, at most [`MOST_SPOT_LEVELS`]: which way it falls between its corners.
    pub spot_levels: Vec<(Point, Length)>,
}

/// Of more levels inside an outline every so-manieth is kept: they show the fall as well.
pub const MOST_SPOT_LEVELS: usize = 500;

/// One ring of an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineRing {
    /// The points; the first is the first as given.
    pub points: Vec<Point>,
    /// The kind of the edge from each point to the next.
    pub kinds: Vec<Kind>,
    /// Height of the deck at each point; empty where it is level.
    pub levels: Vec<Length>,
    /// Whether the ring was given the other way round.
    pub reversed: bool,
    /// Its stretches, in order; the last ends where the first begins.
    pub stretches: Vec<Stretch>,
    /// How the stretch before turns into each stretch: `vertices[i]` is where `stretches[i]` begins.
    pub vertices: Vec<Vertex>,
}

/// A straight stretch of one kind: edges in line with one another are one stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Its first edge.
    pub first: usize,
    /// How many edges it has.
    pub edges: usize,
    /// Its kind.
    pub kind: Kind,
    /// Its length along the slope, nearest micrometre.
    pub length: Length,
}

/// Where one stretch turns into the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Vertex {
    /// Which point of the ring.
    pub point: usize,
    /// The turn in plan.
    pub plan: Bend,
    /// The turn in the plane that the two edges span as they lie on the deck: what trims are cut to. On a level deck the
    /// same as in plan.
    pub laid: Bend,
    /// What the job chooses for it: the end rules of the stretch before and of the stretch after, and the patches.
    pub choice: Option<Choice>,
}

impl Outline {
    /// The outline with levels read inside it; those beside it are left out.
    #[must_use]
    pub fn with_spot_levels(mut self, readings: &[(Point, Length)]) -> Self {
        let polygon = self.polygon();
        let every = readings.len().div_ceil(MOST_SPOT_LEVELS).max(1);
        let inside = |(at, _): &&(Point, Length)| polygon.locate(*at) != Side::Outside;
        self.spot_levels = readings.iter().step_by(every).filter(inside).copied().collect();
        self
    }

    /// Analyses a roof that stands at `path` in the job.
    ///
    /// Takes time in proportion to the number of points, beside the validity check.
    ///
    /// # Errors
    /// All problems at once: the codes of the 100 block for rings that make no roof, [`KindCount`](crate::Code::KindCount),
    /// [`TooMany`](crate::Code::TooMany), [`OutletOutside`](crate::Code::OutletOutside),
    /// [`OutOfRange`](crate::Code::OutOfRange).
    ///
    /// ```
    /// use upstand::roof::{Boundary, Kind, Outline, Roof};
    /// use upstand::system::Limits;
    /// use upstand::{Code, Length};
    ///
    /// let at = |x, y| (Length::from_mm(x), Length::from_mm(y)).into();
    /// let mut roof = Roof {
    ///     outer: Boundary {
    ///         points: vec![at(0, 0), at(0, 4000), at(6000, 4000), at(6000, 0)],
    ///         kinds: vec![Kind::Drip, Kind::Abutment, Kind::Drip, Kind::Drip],
    ///         ..Boundary::default()
    ///     },
    ///     ..Roof::default()
    /// };
    /// // Given clockwise: it is turned, and the wall stays where it was.
    /// let outline = Outline::new(&roof, &Limits::default(), "/roofs/0").unwrap();
    /// let ring = &outline.rings[0];
    /// assert_eq!((ring.points[1], ring.points[2]), (at(6000, 0), at(6000, 4000)));
    /// assert_eq!(ring.kinds[2], Kind::Abutment);
    /// assert_eq!(ring.stretches.len(), 4);
    ///
    /// roof.outer.kinds.pop();
    /// let error = Outline::new(&roof, &Limits::default(), "/roofs/0").unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::KindCount, "/roofs/0/outer/kinds"));
    /// ```
    pub fn new(roof: &Roof, limits: &Limits, path: &str) -> Result<Outline, Error> {
        Error::from_problems(super::check::problems(roof, limits, path))?;
        let boundaries = std::iter::once(&roof.outer).chain(&roof.holes);
        let rings = boundaries.enumerate().map(|(i, boundary)| OutlineRing::new(boundary, i == 0, limits)).collect();
        Ok(Outline { rings, spot_levels: Vec::new() })
    }

    /// The outline as a polygon, in its normal direction.
    pub fn polygon(&self) -> Polygon {
        let mut rings = self.rings.iter().map(|ring| Ring::new(ring.points.clone()));
        Polygon { outer: rings.next().unwrap_or_default(), holes: rings.collect() }
    }
}

impl OutlineRing {
    /// `boundary` must have passed the checks.
    fn new(boundary: &Boundary, outer: bool, limits: &Limits) -> Self {
        let given = Ring::new(boundary.points.clone());
        let n = given.len();
        let kinds = if boundary.kinds.is_empty() { vec![Kind::Abutment; n] } else { boundary.kinds.clone() };
        let reversed = given.is_counter_clockwise() != outer;
        let ring = if reversed { given.reversed() } else { given };
        let mut ring = OutlineRing {
            points: ring.into(),
            kinds: if reversed { kinds.into_iter().rev().collect() } else { kinds },
            levels: boundary.levels.clone(),
            reversed,
            stretches: Vec::new(),
            vertices: Vec::new(),
        };
        if let (true, Some(rest)) = (reversed, ring.levels.get_mut(1..)) {
            rest.reverse();
        }
        let mut choices = vec![None; n];
        for choice in &boundary.corners {
            choices[ring.given_point(choice.point)] = Some(as_run(choice, reversed));
        }
        ring.find_stretches(libm::tan(limits.straight_deg.to_radians()), &choices);
        ring
    }

    fn edge(&self, i: usize) -> Direction {
        let n = self.points.len();
        let at = |i: usize| (self.points[i % n], self.levels.get(i % n).copied().unwrap_or_default());
        Direction::between(at(i), at(i + 1))
    }

    /// How the edges turn at a point, in plan.
    fn plan_bend(&self, i: usize) -> Bend {
        let n = self.points.len();
        Bend::between(self.edge(i + n - 1).level(), self.edge(i).level())
    }

    /// Splits the ring into stretches: at every change of kind, and where an edge turns away from its stretch's first edge by
    /// the straight limit or more. Measuring against the first edge keeps a finely divided curve from passing as one
    /// straight stretch.
    fn find_stretches(&mut self, straight_tan: f64, choices: &[Option<Choice>]) {
        let n = self.points.len();
        let turns = |a: usize, b: usize| {
            choices[b % n].is_some()
                || self.kinds[a % n] != self.kinds[b % n]
                || !Bend::between(self.edge(a).level(), self.edge(b).level()).within(straight_tan)
        };
        let start = (0..n).find(|&i| turns(i + n - 1, i)).unwrap_or_else(|| self.sharpest());
        let mut stretches = Vec::new();
        let mut first = start;
        for i in start + 1..=start + n {
            if i == start + n || turns(i - 1, i) || turns(first, i) {
                let edges = i - first;
                let kind = self.kinds[first % n];
                stretches.push(Stretch { first: first % n, edges, kind, length: self.length_along(first, edges) });
                first = i;
            }
        }
        let vertex = |stretch: &Stretch| {
            let point = stretch.first;
            Vertex {
                point,
                plan: self.plan_bend(point),
                laid: Bend::between(self.edge(point + n - 1), self.edge(point)),
                choice: choices[point].clone(),
            }
        };
        self.vertices = stretches.iter().map(vertex).collect();
        self.stretches = stretches;
    }

    /// The point that turns most, by place among equals: where a ring with no corner at all begins.
    fn sharpest(&self) -> usize {
        let key = |&i: &usize| {
            let bend = self.plan_bend(i);
            (bend.cos, self.points[i])
        };
        (0..self.points.len())
            .min_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal))
            .unwrap_or(0)
    }

    /// Length along `edges` edges; edges exactly in line are measured as one, so that a point between them changes nothing.
    fn length_along(&self, first: usize, edges: usize) -> Length {
        let mut length = Length::ZERO;
        let mut straight = self.edge(first);
        for edge in (first + 1..first + edges).map(|i| self.edge(i)) {
            if straight.in_line(edge) {
                straight = straight.plus(edge);
            } else {
                length += straight.length();
                straight = edge;
            }
        }
        length + straight.length()
    }

    /// Index, in the ring as given, of the point that is point `i` here; and the other way round.
    pub fn given_point(&self, i: usize) -> usize {
        let n = self.points.len();
        if self.reversed { (n - i) % n } else { i }
    }

    /// Index, in the ring as given, of the edge that is edge `i` here.
    pub fn given_edge(&self, i: usize) -> usize {
        if self.reversed { self.points.len() - 1 - i } else { i }
    }
}

/// What a job chooses for a corner, in the order in which the ring runs.
pub type Choice = (EndRule, EndRule, Option<u32>);

fn as_run(choice: &CornerChoice, reversed: bool) -> Choice {
    let (before, after) = choice.ends.clone();
    if reversed { (after, before, choice.patches) } else { (before, after, choice.patches) }
}
