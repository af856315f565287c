//! The fine grid on which results are built, and the way back to micrometres.
//!
//! Corners of insets and cuts seldom lie on the micrometre grid. They are rounded to a grid that is finer by
//! [`FINE`], combined there, and only the outcome is rounded to micrometres: so two bands that meet leave cracks of
//! fractions of a micrometre at most, which the second rounding closes.

use super::boxes::Bounds;
use super::overlay::{self, Node, Path, REACH, left_of};
use super::point::{Point, Vector, cross, dot};
use super::ring::{Polygon, Ring};
use crate::length::Length;

/// Steps of the fine grid in a micrometre.
pub(super) const FINE: i64 = 1024;

/// A part of a result as narrow as this is what rounding has left of nothing, and is dropped.
const SLIVER: f64 = 2.0;

/// A local origin: the low corner of the input. Results do not depend on where the survey's origin lies.
#[derive(Clone, Copy)]
pub(super) struct Frame {
    origin: Point,
}

impl Frame {
    /// `None` for a polygon without points.
    pub(super) fn around(polygon: &Polygon) -> Option<Frame> {
        let bounds = Bounds::of(polygon.outer.points().iter().copied())?;
        Some(Frame { origin: Point::from_um(bounds.low.0, bounds.low.1) })
    }

    /// A point of the input on the fine grid: exactly.
    pub(super) fn node(&self, point: Point) -> Node {
        let way = Vector::between(self.origin, point);
        (way.x.saturating_mul(FINE), way.y.saturating_mul(FINE))
    }

    /// The node nearest to `from` moved by (`x`, `y`) micrometres.
    pub(super) fn node_near(&self, from: Point, (x, y): (f64, f64)) -> Node {
        let (from_x, from_y) = self.node(from);
        let fine = |c: f64| (c * FINE as f64).round() as i64;
        let within = |c: i64| c.clamp(-REACH, REACH);
        (within(from_x.saturating_add(fine(x))), within(from_y.saturating_add(fine(y))))
    }

    pub(super) fn paths(&self, polygon: &Polygon) -> Vec<Path> {
        polygon.rings().map(|ring| ring.points().iter().map(|&point| self.node(point)).collect()).collect()
    }

    /// Rounds shapes to micrometres and puts them in order: simple polygons without slivers, each ring from its lowest
    /// point in (x, y), polygons and holes in the order of these points.
    pub(super) fn settle(&self, shapes: Vec<Vec<Path>>) -> Vec<Polygon> {
        let round = |c: i64| (c + FINE / 2).div_euclid(FINE);
        let mut paths: Vec<Path> = shapes.into_iter().flatten().collect();
        for path in &mut paths {
            drop_each(path, is_straight);
        }
        for node in paths.iter_mut().flatten() {
            *node = (round(node.0), round(node.1));
        }
        let mut polygons: Vec<Polygon> = overlay::normalise(&paths)
            .into_iter()
            .filter_map(|shape| {
                let mut rings = shape.into_iter().map(|path| self.ring(&path));
                let outer = rings.next().flatten()?;
                let mut holes: Vec<Ring> = rings.flatten().collect();
                holes.sort_by(|a, b| a.points().cmp(b.points()));
                Some(Polygon { outer, holes }.oriented())
            })
            .collect();
        polygons.sort_by(|a, b| a.outer.points().cmp(b.outer.points()));
        polygons
    }

    /// `None` for a sliver.
    fn ring(&self, path: &Path) -> Option<Ring> {
        let place =
            |&(x, y): &Node| Point { x: self.origin.x + Length::from_um(x), y: self.origin.y + Length::from_um(y) };
        let mut points: Vec<Point> = path.iter().map(place).collect();
        drop_each(&mut points, is_whisker);
        let first = points.iter().enumerate().min_by_key(|&(_, point)| point)?.0;
        points.rotate_left(first);
        let ring = Ring::new(points);
        let area = ring.double_area().unsigned_abs() as f64 / 2.0;
        (ring.len() >= 3 && area > SLIVER * ring.perimeter().um() as f64 / 2.0).then_some(ring)
    }
}

/// Takes points out of a closed path for as long as there is one that `drops`, seen between its neighbours. O(n).
fn drop_each<P: Copy>(points: &mut Vec<P>, drops: impl Fn(P, P, P) -> bool) {
    let count = points.len();
    let mut left = count;
    let mut before: Vec<usize> = (0..count).map(|i| (i + count - 1) % count).collect();
    let mut after: Vec<usize> = (0..count).map(|i| (i + 1) % count).collect();
    let mut dropped = vec![false; count];
    let (mut at, mut passed) = (0, 0);
    while left >= 3 && passed < left {
        let (back, ahead) = (before[at], after[at]);
        if drops(points[back], points[at], points[ahead]) {
            dropped[at] = true;
            (after[back], before[ahead]) = (ahead, back);
            left -= 1;
            // Its two neighbours have to be looked at again.
            at = back;
            passed = passed.saturating_sub(2);
        } else {
            at = ahead;
            passed += 1;
        }
    }
    let mut dropped = dropped.into_iter();
    points.retain(|_| !dropped.next().unwrap_or(false));
}

/// Whether a node lies straight between its neighbours, to a few steps of the fine grid: most of these are where two
/// parts of one moved edge join.
fn is_straight(before: Node, here: Node, after: Node) -> bool {
    let way = ((after.0 - before.0) as f64, (after.1 - before.1) as f64);
    let (a, b) = ((here.0 - before.0) as f64, (here.1 - before.1) as f64);
    let (c, d) = ((after.0 - here.0) as f64, (after.1 - here.1) as f64);
    let off = left_of(before, after, here).unsigned_abs() as f64;
    a * c + b * d > 0.0 && off <= 3.0 * (way.0 * way.0 + way.1 * way.1).sqrt()
}

/// Whether the ring runs out to a point and back within the width of a sliver, or straight through it.
fn is_whisker(before: Point, here: Point, after: Point) -> bool {
    let (a, b) = (Vector::between(before, here), Vector::between(here, after));
    let (sine, cosine) = (cross(a, b), dot(a, b));
    if sine == 0 {
        return true;
    }
    // How far the end of the shorter side is from the longer one.
    cosine < 0 && (sine.unsigned_abs() as f64) <= SLIVER * a.length().max(b.length())
}
