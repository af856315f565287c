//! The deck seen along the strips: what each strip has to cover.

use super::direction::Axis;
use super::nest::Squares;
use super::row::Row;
use crate::geometry::{Point, Polygon, Vector, cross, dot};
use crate::length::Length;
use crate::roof::Penetration;
use crate::system::Mat;

/// A point in the coordinates of an axis: along it, and up from the lowest corner, in micrometres. Levels across the
/// strips are whole micrometres, so that where strips begin and end is decided exactly.
pub(super) type Local = (f64, f64);

/// An edge of the deck from its lower end to its upper one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Side {
    pub(super) lower: Local,
    pub(super) upper: Local,
}

impl Side {
    /// How far it runs along the strips for each micrometre up.
    pub(super) fn lean(&self) -> f64 {
        let up = self.upper.1 - self.lower.1;
        if up > 0.0 { (self.upper.0 - self.lower.0) / up } else { 0.0 }
    }

    /// Where it passes a level.
    pub(super) fn at(&self, up: f64) -> f64 {
        self.lower.0 + self.lean() * (up - self.lower.1)
    }
}

/// The zone of the mat in the coordinates of an axis.
///
/// These are rounded values for comparing and for lengths; outlines of pieces are cut exactly from the zone itself.
pub(super) struct Deck {
    axis: Axis,
    /// How far left of the axis the lowest corner lies.
    base: Length,
    extent: Length,
    /// By their lower ends.
    pub(super) sides: Vec<Side>,
    /// Levels between which no lap should lie: those of outlets and pipes.
    pub(super) penetrations: Vec<(Length, Length)>,
    /// Patches to be cut from what strips leave.
    pub(super) patches: Squares,
}

impl Deck {
    pub(super) fn new(zone: &[Polygon], axis: Axis) -> Deck {
        let way = axis.way();
        let length = way.length();
        let place = |point: Point| {
            let at = Vector::between(axis.origin, point);
            (dot(way, at) as f64 / length, (cross(way, at) as f64 / length).round())
        };
        let mut sides = Vec::with_capacity(zone.iter().map(Polygon::len).sum());
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for ring in zone.iter().flat_map(Polygon::rings) {
            let Some(&last) = ring.points().last() else { continue };
            let mut from = place(last);
            for &point in ring.points() {
                let to = place(point);
                (low, high) = (low.min(to.1), high.max(to.1));
                sides.push(if from.1 <= to.1 {
                    Side { lower: from, upper: to }
                } else {
                    Side { lower: to, upper: from }
                });
                from = to;
            }
        }
        let (low, high) = if low <= high { (low, high) } else { (0.0, 0.0) };
        for side in &mut sides {
            side.lower.1 -= low;
            side.upper.1 -= low;
        }
        sides.sort_by(|a, b| a.lower.1.total_cmp(&b.lower.1).then(a.lower.0.total_cmp(&b.lower.0)));
        Deck {
            axis,
            base: Length::from_um(low as i64),
            extent: Length::from_um((high - low) as i64),
            sides,
            penetrations: Vec::new(),
            patches: Squares::default(),
        }
    }

    /// Marks where laps should not lie.
    pub(super) fn with_penetrations(mut self, penetrations: &[Penetration], mat: &Mat) -> Deck {
        self.penetrations = penetrations
            .iter()
            .map(|penetration| {
                let up = nearest(place(self.axis, penetration.at).1) - self.base;
                let clear = penetration.diameter / 2 + mat.outlet_clear;
                (up - clear, up + clear)
            })
            .collect();
        self
    }

    /// Index of the penetration and of the upper row of each lap that lies nearer to it than it should.
    pub(super) fn near_penetrations<'a>(&'a self, rows: &'a [Row]) -> impl Iterator<Item = (usize, usize)> + 'a {
        self.penetrations.iter().enumerate().flat_map(move |(i, &(low, high))| {
            // Few of them, and rows in order: the first row that ends above the lower level is enough to begin with.
            let first = rows.partition_point(|row| row.high <= low);
            let laps = (first..rows.len().saturating_sub(1)).take_while(move |&row| rows[row + 1].low < high);
            laps.map(move |row| (i, row + 1))
        })
    }

    /// Width across the strips.
    pub(super) fn extent(&self) -> Length {
        self.extent
    }

    /// About how many times a strip of a lay-out meets an edge of the deck.
    pub(super) fn visits(&self, mat: &Mat) -> usize {
        let step = (mat.width - mat.lap).um().max(1) as f64;
        self.sides.iter().map(|side| 1 + ((side.upper.1 - side.lower.1) / step) as usize).sum()
    }

    /// How far left of the axis a row's edge lies.
    pub(super) fn left(&self, up: Length) -> Length {
        self.base + up
    }

    /// The point of the plan at local coordinates, to the nearest micrometre.
    pub(super) fn point(&self, (along, up): Local) -> Point {
        let (way, left) = (self.axis.way().unit(), up + self.base.um() as f64);
        let (x, y) = (along * way.0 - left * way.1, along * way.1 + left * way.0);
        Point { x: self.axis.origin.x + nearest(x), y: self.axis.origin.y + nearest(y) }
    }

    pub(super) fn axis(&self) -> Axis {
        self.axis
    }

    /// Calls `found` with the number of a row and each stretch along the axis where the deck has a part in it, in order, each as
    /// long as it can be, those no further apart than `gap` taken together. Rows go up.
    ///
    /// From any point of such a part, the way up ends at an edge of the deck or at the upper edge of the row. So the
    /// stretches are those of the edges inside the row and those where the deck passes the row's upper edge.
    pub(super) fn each_stretch(&self, rows: &[Row], gap: Length, mut found: impl FnMut(usize, Stretch)) {
        let mut next = 0;
        let mut active: Vec<usize> = Vec::new();
        let mut passes: Vec<f64> = Vec::new();
        let mut stretches: Vec<Stretch> = Vec::new();
        for (number, row) in rows.iter().enumerate() {
            let (low, high) = (row.low.um() as f64, row.high.um() as f64);
            active.retain(|&side| self.sides[side].upper.1 > low);
            while let Some(side) = self.sides.get(next)
                && side.lower.1 < high
            {
                if side.upper.1 > low {
                    active.push(next);
                }
                next += 1;
            }
            passes.clear();
            stretches.clear();
            let stretch = |from: f64, to: f64, low, high| Stretch {
                from: nearest(from),
                to: nearest(to),
                low: nearest(low),
                high: nearest(high),
            };
            for side in active.iter().map(|&side| &self.sides[side]) {
                if side.lower.1 >= high {
                    // Entered for a row below that reaches further up than this one, as where the last one is ripped.
                    continue;
                }
                if side.upper.1 >= high {
                    passes.push(side.at(high));
                }
                let (bottom, top) = (side.lower.1.max(low), side.upper.1.min(high));
                let a = if side.lower.1 < low { side.at(low) } else { side.lower.0 };
                let b = if side.upper.1 > high { side.at(high) } else { side.upper.0 };
                stretches.push(stretch(a.min(b), a.max(b), bottom, top));
            }
            passes.sort_unstable_by(f64::total_cmp);
            stretches.extend(passes.chunks_exact(2).map(|pair| stretch(pair[0], pair[1], high, high)));
            stretches.sort_unstable_by_key(|stretch| (stretch.from, stretch.to));
            let mut open: Option<Stretch> = None;
            for &next in &stretches {
                match &mut open {
                    Some(last) if next.from - last.to <= gap => last.take_in(next),
                    _ => {
                        if let Some(last) = open.replace(next) {
                            found(number, last);
                        }
                    }
                }
            }
            if let Some(last) = open {
                found(number, last);
            }
        }
    }

    /// Where lines at these levels, which go up, run over the deck: stretches along the axis, in order.
    pub(super) fn lines<'a>(&'a self, levels: &'a [Length]) -> impl Iterator<Item = Vec<(f64, f64)>> + 'a {
        let mut next = 0;
        let mut active: Vec<usize> = Vec::new();
        levels.iter().map(move |level| {
            let level = level.um() as f64;
            active.retain(|&side| self.sides[side].upper.1 > level);
            while let Some(side) = self.sides.get(next)
                && side.lower.1 <= level
            {
                if side.upper.1 > level {
                    active.push(next);
                }
                next += 1;
            }
            let mut passes: Vec<f64> = active.iter().map(|&side| self.sides[side].at(level)).collect();
            passes.sort_by(f64::total_cmp);
            passes.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
        })
    }
}

/// A part of the deck in one row: where it lies along the axis, and across it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stretch {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) low: Length,
    pub(super) high: Length,
}

impl Stretch {
    fn take_in(&mut self, other: Stretch) {
        self.to = self.to.max(other.to);
        (self.low, self.high) = (self.low.min(other.low), self.high.max(other.high));
    }
}

/// Joins stretches, in order, across gaps no longer than `gap`.
pub(super) fn gather(stretches: impl Iterator<Item = Stretch>, gap: Length) -> Vec<Stretch> {
    let mut joined: Vec<Stretch> = Vec::new();
    for next in stretches {
        match joined.last_mut() {
            Some(last) if next.from - last.to <= gap => last.take_in(next),
            _ => joined.push(next),
        }
    }
    joined
}

/// The box around polygons in the coordinates of an axis: along it and to its left, to the nearest micrometre.
pub(super) fn box_of<'a>(polygons: impl Iterator<Item = &'a Polygon>, axis: Axis) -> Option<[(Length, Length); 2]> {
    let places = polygons.flat_map(|polygon| polygon.outer.points()).map(|&point| place(axis, point));
    let around = places.fold(None, |around: Option<[(f64, f64); 2]>, (along, up)| {
        let [a, u] = around.unwrap_or([(along, along), (up, up)]);
        Some([(a.0.min(along), a.1.max(along)), (u.0.min(up), u.1.max(up))])
    })?;
    Some(around.map(|(low, high)| (nearest(low), nearest(high))))
}

/// A point along an axis and to its left, in micrometres.
pub(super) fn place(axis: Axis, point: Point) -> (f64, f64) {
    let (way, at) = (axis.way(), Vector::between(axis.origin, point));
    let length = way.length();
    (dot(way, at) as f64 / length, cross(way, at) as f64 / length)
}

pub(super) fn nearest(um: f64) -> Length {
    // As `round`, half away from zero, without a call into the mathematics library.
    let whole = um as i64;
    let rest = um - whole as f64;
    Length::from_um(whole + i64::from(rest >= 0.5) - i64::from(rest <= -0.5))
}
