//! The deck seen along the strips, and the pieces that strips fall into.

use super::direction::Axis;
use super::row::{Row, row_count};
use crate::geometry::{Point, Polygon, Vector, cross, dot};
use crate::length::Length;
use crate::system::Mat;

/// The zone of the mat in the coordinates of an axis: along it, and up from its lowest corner, in micrometres.
///
/// These are rounded values for comparing and for lengths; outlines of pieces are cut exactly from the zone itself.
pub(super) struct Deck {
    axis: Axis,
    /// How far left of the axis the lowest corner lies.
    base: Length,
    extent: Length,
    edges: Vec<[(f64, f64); 2]>,
}

impl Deck {
    pub(super) fn new(zone: &[Polygon], axis: Axis) -> Deck {
        let mut corners = zone.iter().flat_map(Polygon::rings).flat_map(|ring| ring.points());
        let place = |point: Point| place(axis, point).1;
        let first = corners.next().map_or(0.0, |&point| place(point));
        let (low, high) = corners.fold((first, first), |(low, high), &point| {
            let up = place(point);
            (low.min(up), high.max(up))
        });
        let (base, top) = (nearest(low), nearest(high));
        let local = |point: Point| {
            let (along, up) = self::place(axis, point);
            (along, up - base.um() as f64)
        };
        let edges = zone
            .iter()
            .flat_map(Polygon::rings)
            .flat_map(|ring| ring.edges())
            .map(|(from, to)| [local(from), local(to)])
            .collect();
        Deck { axis, base, extent: top - base, edges }
    }

    /// Width across the strips.
    pub(super) fn extent(&self) -> Length {
        self.extent
    }

    /// How far left of the axis a row's edge lies.
    pub(super) fn left(&self, up: Length) -> Length {
        self.base + up
    }

    pub(super) fn axis(&self) -> Axis {
        self.axis
    }

    pub(super) fn corner_count(&self) -> usize {
        self.edges.len()
    }

    pub(super) fn row_count(&self, mat: &Mat) -> usize {
        usize::try_from(row_count(self.extent, mat)).unwrap_or(usize::MAX)
    }

    /// How far before the low edge the first strip can begin so that some edge of a strip passes through a corner.
    pub(super) fn events(&self, mat: &Mat) -> Vec<Length> {
        let step = mat.width - mat.lap;
        let mut events: Vec<Length> = self
            .edges
            .iter()
            .flat_map(|[from, _]| {
                let up = nearest(from.1);
                [up, up - mat.width].map(|edge| Length::from_um((-edge.um()).rem_euclid(step.um())))
            })
            .filter(|before| before.is_positive())
            .collect();
        events.sort_unstable();
        events.dedup();
        events
    }

    /// The stretches along the axis where the deck has a part in a row, in order, each as long as it can be.
    ///
    /// From any point of such a part, the way up ends at an edge of the deck or at the upper edge of the row. So the
    /// stretches are those of the edges inside the row and those where the deck passes the row's upper edge.
    pub(super) fn spans(&self, row: &Row) -> Vec<(Length, Length)> {
        let (low, high) = (row.low.um() as f64, row.high.um() as f64);
        let mut spans = Vec::new();
        let mut passes = Vec::new();
        for &[from, to] in &self.edges {
            let (lower, upper) = if from.1 <= to.1 { (from, to) } else { (to, from) };
            let at = |up: f64| lower.0 + (upper.0 - lower.0) * ((up - lower.1) / (upper.1 - lower.1));
            if lower.1 < high && upper.1 >= high {
                passes.push(at(high));
            }
            // Edges that only touch the row from outside have no part in it.
            let inside = lower.1 < high && upper.1 > low;
            if inside {
                let a = if lower.1 < low { at(low) } else { lower.0 };
                let b = if upper.1 > high { at(high) } else { upper.0 };
                spans.push((a.min(b), a.max(b)));
            }
        }
        passes.sort_by(f64::total_cmp);
        spans.extend(passes.chunks_exact(2).map(|pair| (pair[0], pair[1])));
        spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let spans = spans.into_iter().map(|(from, to)| (nearest(from), nearest(to))).collect();
        gather(spans, Length::ZERO)
    }
}

/// Joins stretches, in order, across gaps no longer than `gap`.
pub(super) fn gather(spans: Vec<(Length, Length)>, gap: Length) -> Vec<(Length, Length)> {
    let mut joined: Vec<(Length, Length)> = Vec::with_capacity(spans.len());
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from - last.1 <= gap => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// A point along an axis and to its left, in micrometres.
pub(super) fn place(axis: Axis, point: Point) -> (f64, f64) {
    let (way, at) = (axis.way(), Vector::between(axis.origin, point));
    let length = way.length();
    (dot(way, at) as f64 / length, cross(way, at) as f64 / length)
}

/// The stretch along an axis that a polygon takes up.
pub(super) fn span_of(polygon: &Polygon, axis: Axis) -> (Length, Length) {
    let along = |point: &Point| nearest(place(axis, *point).0);
    let places = || polygon.outer.points().iter().map(along);
    (places().min().unwrap_or_default(), places().max().unwrap_or_default())
}

pub(super) fn nearest(um: f64) -> Length {
    Length::from_um(um.round() as i64)
}
