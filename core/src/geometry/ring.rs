use std::cmp::Ordering;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::point::{Point, Vector, cross, dot, orient};
use crate::length::Length;

/// A closed ring of points, without the first repeated at the end.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(from = "Vec<Point>", into = "Vec<Point>")]
pub struct Ring {
    points: Vec<Point>,
}

impl From<Vec<Point>> for Ring {
    fn from(points: Vec<Point>) -> Self {
        Ring::new(points)
    }
}

impl From<Ring> for Vec<Point> {
    fn from(ring: Ring) -> Self {
        ring.points
    }
}

/// Where a point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Inside.
    Inside,
    /// On an edge or a corner.
    Boundary,
    /// Outside.
    Outside,
}

impl Ring {
    /// A ring of these points. One last point that repeats the first is dropped.
    pub fn new(mut points: Vec<Point>) -> Self {
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        Ring { points }
    }

    /// The rectangle from the origin to (`width`, `depth`), counter-clockwise.
    pub fn rectangle(width: Length, depth: Length) -> Self {
        let zero = Length::ZERO;
        Ring::new([(zero, zero), (width, zero), (width, depth), (zero, depth)].map(Point::from).to_vec())
    }

    /// The points.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// Number of points, which is the number of edges.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Whether there are no points.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// The edges in order, from point to point and back to the first.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().zip(next).map(|(&from, &to)| (from, to))
    }

    /// Twice the signed area in square micrometres, exactly: positive for a counter-clockwise ring.
    ///
    /// The first point is taken as origin, so the sum does not grow with the distance from the survey's origin.
    pub fn double_area(&self) -> i128 {
        let Some(&origin) = self.points.first() else { return 0 };
        self.edges().fold(0, |sum, (from, to)| sum.saturating_add(orient(origin, from, to)))
    }

    /// Area in square metres, whichever way the ring runs.
    ///
    /// ```
    /// use upstand::{Length, geometry::Ring};
    ///
    /// let roof = Ring::rectangle(Length::from_mm(6000), Length::from_mm(4000));
    /// assert_eq!(roof.area_m2(), 24.0);
    /// ```
    pub fn area_m2(&self) -> f64 {
        square_metres(self.double_area())
    }

    /// Length of all edges, each rounded to the nearest micrometre.
    pub fn perimeter(&self) -> Length {
        self.edges()
            .map(|(from, to)| from.distance(to))
            .fold(Length::ZERO, |sum, edge| Length::from_um(sum.um().saturating_add(edge.um())))
    }

    /// Whether the ring runs counter-clockwise.
    pub fn is_counter_clockwise(&self) -> bool {
        self.double_area() > 0
    }

    /// The same ring run the other way, from the same first point.
    #[must_use]
    pub fn reversed(&self) -> Ring {
        let mut points = self.points.clone();
        if let Some(rest) = points.get_mut(1..) {
            rest.reverse();
        }
        Ring { points }
    }

    /// Where `point` lies, by the even-odd rule, in exact arithmetic. O(n).
    pub fn locate(&self, point: Point) -> Side {
        let mut inside = false;
        for (from, to) in self.edges() {
            if from == point {
                return Side::Boundary;
            }
            // An edge counts where it crosses the level of the point, its upper end excluded.
            let (low, high) = if from.y <= to.y { (from, to) } else { (to, from) };
            if point.y < low.y || point.y > high.y {
                continue;
            }
            match orient(low, high, point).cmp(&0) {
                Ordering::Equal => {
                    let (left, right) = (from.x.min(to.x), from.x.max(to.x));
                    if left <= point.x && point.x <= right {
                        return Side::Boundary;
                    }
                }
                Ordering::Greater => inside ^= point.y < high.y,
                Ordering::Less => {}
            }
        }
        if inside { Side::Inside } else { Side::Outside }
    }
}

/// An outer ring and the holes in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Polygon {
    /// The outer boundary.
    pub outer: Ring,
    /// The holes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Ring>,
}

impl From<Ring> for Polygon {
    fn from(outer: Ring) -> Self {
        Polygon { outer, holes: Vec::new() }
    }
}

impl Polygon {
    /// The outer ring, then the holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Number of points in all rings.
    pub fn len(&self) -> usize {
        self.rings().map(Ring::len).sum()
    }

    /// Whether there are no points.
    pub fn is_empty(&self) -> bool {
        self.rings().all(Ring::is_empty)
    }

    /// Twice the area in square micrometres, exactly, whichever way the rings run.
    pub fn double_area(&self) -> i128 {
        let size = |ring: &Ring| ring.double_area().saturating_abs();
        self.holes.iter().fold(size(&self.outer), |rest, hole| rest.saturating_sub(size(hole)))
    }

    /// Area in square metres: the outer ring's less the holes'.
    pub fn area_m2(&self) -> f64 {
        square_metres(self.double_area())
    }

    /// The same polygon with its outer ring counter-clockwise and its holes clockwise. A ring that runs the other way
    /// is reversed and keeps its first point.
    #[must_use]
    pub fn oriented(&self) -> Polygon {
        let turn = |ring: &Ring, ccw: bool| {
            if ring.is_counter_clockwise() == ccw { ring.clone() } else { ring.reversed() }
        };
        Polygon { outer: turn(&self.outer, true), holes: self.holes.iter().map(|hole| turn(hole, false)).collect() }
    }

    /// Where `point` lies. O(n).
    pub fn locate(&self, point: Point) -> Side {
        match self.outer.locate(point) {
            Side::Inside => {}
            side => return side,
        }
        for hole in &self.holes {
            match hole.locate(point) {
                Side::Outside => {}
                Side::Boundary => return Side::Boundary,
                Side::Inside => return Side::Outside,
            }
        }
        Side::Inside
    }
}

/// Square metres from twice as many square micrometres.
pub(crate) fn square_metres(double_um2: i128) -> f64 {
    double_um2.unsigned_abs() as f64 / 2e12
}

/// Whether the way from `before` over `at` to `after` runs straight back on itself.
pub(crate) fn turns_back(before: Point, at: Point, after: Point) -> bool {
    let (a, b) = (Vector::between(before, at), Vector::between(at, after));
    cross(a, b) == 0 && dot(a, b) < 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(i64, i64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect())
    }

    /// Textbook examples of the shoelace formula: a five-cornered figure of 16.5 and a rectangle of 60 000 square units
    /// (open course notes on area computations by coordinates).
    #[test]
    fn shoelace_areas_agree_with_textbooks() {
        let square_mm = |ring: &Ring| ring.double_area().abs() as f64 / 2e6;
        assert!((square_mm(&ring(&[(1, 6), (3, 1), (7, 2), (4, 4), (8, 5)])) - 16.5).abs() < 1e-12);
        let plot = ring(&[(0, 0), (0, 300), (200, 300), (200, 0)]);
        assert_eq!(plot.double_area(), -2 * 60_000 * 1_000_000);
        assert!(plot.reversed().is_counter_clockwise());
    }

    /// A right triangle of base 2 and height pi, moved by 1e9: summed from the origin in floating point, the digits are
    /// lost (a well-known trap of the shoelace formula).
    #[test]
    fn area_does_not_depend_on_the_origin() {
        let at = |far: i64| {
            let from = |x, y| Point::from_um(far + x, far + y);
            Ring::new(vec![from(0, 0), from(2_000, 0), from(0, 3_142)])
        };
        assert_eq!(at(0).double_area(), at(999_999_000_000).double_area());
        assert_eq!(at(0).double_area(), 2_000 * 3_142);
    }

    #[test]
    fn a_closing_point_is_dropped() {
        assert_eq!(ring(&[(0, 0), (5, 0), (5, 5), (0, 0)]), ring(&[(0, 0), (5, 0), (5, 5)]));
        assert_eq!(Ring::new(vec![Point::from_mm(1, 1)]).len(), 1);
    }

    /// Outer line of a 6000 x 4000 rectangle with a drip that projects 15 mm: 2 (L + B) + 8 x 15 = 20 120 mm.
    #[test]
    fn perimeter_adds_up_the_edges() {
        let mm = Length::from_mm;
        assert_eq!(Ring::rectangle(mm(6000), mm(4000)).perimeter(), mm(20_000));
        assert_eq!(Ring::rectangle(mm(6030), mm(4030)).perimeter(), mm(20_120));
    }

    #[test]
    fn points_are_located_exactly() {
        let notched = ring(&[(0, 0), (100, 0), (100, 100), (50, 40), (0, 100)]);
        for (x, y, side) in [
            (50, 20, Side::Inside),
            (50, 40, Side::Boundary),
            (50, 41, Side::Outside),
            (0, 50, Side::Boundary),
            (-1, 40, Side::Outside),
            (-1, 0, Side::Outside),
            (101, 100, Side::Outside),
            (75, 70, Side::Boundary),
            (1, 40, Side::Inside),
            (99, 40, Side::Inside),
        ] {
            assert_eq!(notched.locate(Point::from_mm(x, y)), side, "({x}, {y})");
        }
        let roof = Polygon { outer: notched, holes: vec![ring(&[(10, 10), (20, 10), (10, 20)])] };
        assert_eq!(roof.locate(Point::from_mm(12, 12)), Side::Outside);
        assert_eq!(roof.locate(Point::from_mm(15, 15)), Side::Boundary);
        assert_eq!(roof.locate(Point::from_mm(30, 10)), Side::Inside);
    }
}
