//! The outline of a roof, analysed: rings in their normal direction, stretches, and how they turn into one another.

use super::bend::Bend;
use super::{Boundary, Kind, Roof};
use crate::error::Error;
use crate::geometry::{Point, Polygon, Ring, Vector, cross};
use crate::length::Length;
use crate::system::Limits;

/// Most holes in one roof.
pub const MOST_HOLES: usize = 1_000;
/// Most outlets in one roof.
pub const MOST_OUTLETS: usize = 1_000;

/// An analysed roof.
///
/// The outer ring runs counter-clockwise and holes clockwise, so that the roof lies to the left of every edge. A ring
/// that was given the other way round is reversed and its kinds follow their edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The outer ring, then the holes.
    pub rings: Vec<OutlineRing>,
}

/// One ring of an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineRing {
    /// The points; the first is the first as given.
    pub points: Vec<Point>,
    /// The kind of the edge from each point to the next.
    pub kinds: Vec<Kind>,
    /// Whether the ring was given the other way round.
    pub reversed: bool,
    /// Its stretches, in order; the last ends where the first begins.
    pub stretches: Vec<Stretch>,
    /// How the stretch before turns into each stretch: `bends[i]` is where `stretches[i]` begins.
    pub bends: Vec<Bend>,
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
    /// Its length, nearest micrometre.
    pub length: Length,
}

impl Outline {
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
        Ok(Outline { rings })
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
            reversed,
            stretches: Vec::new(),
            bends: Vec::new(),
        };
        ring.find_stretches(libm::tan(limits.straight_deg.to_radians()));
        ring
    }

    fn point(&self, i: usize) -> Point {
        self.points[i % self.points.len()]
    }

    fn edge(&self, i: usize) -> Vector {
        Vector::between(self.point(i), self.point(i + 1))
    }

    /// How the edges turn at a point.
    fn bend_at(&self, i: usize) -> Bend {
        let n = self.points.len();
        Bend::between(self.edge((i + n - 1) % n), self.edge(i))
    }

    /// Splits the ring into stretches: at every change of kind, and where an edge turns away from its stretch's first edge by
    /// the straight limit or more. Measuring against the first edge keeps a finely divided curve from passing as one
    /// straight stretch.
    fn find_stretches(&mut self, straight_tan: f64) {
        let n = self.points.len();
        let breaks = |i: usize| self.kinds[i] != self.kinds[(i + n - 1) % n] || !self.bend_at(i).within(straight_tan);
        let start = (0..n).find(|&i| breaks(i)).unwrap_or_else(|| self.sharpest());
        let mut stretches = Vec::new();
        let mut first = start;
        for i in start + 1..=start + n {
            let ended =
                i == start + n || breaks(i % n) || !Bend::between(self.edge(first), self.edge(i)).within(straight_tan);
            if ended {
                let edges = i - first;
                let kind = self.kinds[first % n];
                stretches.push(Stretch { first: first % n, edges, kind, length: self.length_along(first, edges) });
                first = i;
            }
        }
        self.bends = stretches.iter().map(|stretch: &Stretch| self.bend_at(stretch.first)).collect();
        self.stretches = stretches;
    }

    /// The point that turns most, by place among equals: where a ring with no corner at all begins.
    fn sharpest(&self) -> usize {
        let key = |&i: &usize| {
            let bend = self.bend_at(i);
            (bend.cos, self.points[i])
        };
        (0..self.points.len())
            .min_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal))
            .unwrap_or(0)
    }

    /// Length along `edges` edges; edges exactly in line are measured as one, so that a point between them changes nothing.
    fn length_along(&self, first: usize, edges: usize) -> Length {
        let mut length = Length::ZERO;
        let mut from = first;
        for i in first + 1..=first + edges {
            if i == first + edges || cross(self.edge(i - 1), self.edge(i)) != 0 {
                length += self.point(from).distance(self.point(i));
                from = i;
            }
        }
        length
    }

    /// Index, in the ring as given, of the point that is point `i` here.
    pub fn given_point(&self, i: usize) -> usize {
        let n = self.points.len();
        if self.reversed { (n - i) % n } else { i }
    }

    /// Index, in the ring as given, of the edge that is edge `i` here.
    pub fn given_edge(&self, i: usize) -> usize {
        if self.reversed { self.points.len() - 1 - i } else { i }
    }
}
