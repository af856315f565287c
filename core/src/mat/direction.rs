//! Which way the strips run, and where the first one begins.

use super::piece::{Deck, gather};
use super::row::{Row, rows, rows_from};
use crate::error::{Code, Error};
use crate::geometry::{Point, Polygon, Vector, cross};
use crate::length::Length;
use crate::roof::{Kind, Outline};
use crate::system::{Direction, Mat};

/// A line along the strips; the strips lie to its left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Axis {
    pub(super) origin: Point,
    pub(super) ahead: Point,
}

impl Axis {
    pub(super) fn way(self) -> Vector {
        Vector::between(self.origin, self.ahead)
    }

    /// The same line, seen from the other end: what was to its left is to its right.
    fn turned(self) -> Axis {
        Axis { origin: self.ahead, ahead: self.origin }
    }
}

/// How a deck is laid: along which axis, in which rows, with which lap.
#[derive(Clone, Debug)]
pub(super) struct Scheme {
    pub(super) axis: Axis,
    pub(super) rows: Vec<Row>,
    pub(super) lap: Length,
}

/// Most visits of an edge by a strip while directions are compared. Large outlines compare their longest edges only.
const MOST_VISITS: usize = 20_000_000;
/// Most visits while places of the first strip are compared, the most promising directions first.
const MOST_SHIFT_VISITS: usize = 3_000_000;

/// Chooses the direction and sets out the rows. `zone` must have a point.
///
/// # Errors
/// [`Code::BadMat`] where the system asks for an edge that the roof does not have.
pub(super) fn choose(mat: &Mat, outline: &Outline, zone: &[Polygon]) -> Result<Scheme, Error> {
    let fixed = |axis: Axis| {
        let (rows, lap) = rows(Deck::new(zone, axis).extent(), mat);
        Scheme { axis, rows, lap }
    };
    match mat.direction {
        Direction::Drip => {
            let longest =
                longest_stretch(outline, |kind| kind == Kind::Drip).or_else(|| longest_stretch(outline, |_| true));
            Ok(fixed(longest.unwrap_or(first_edge(outline))))
        }
        Direction::Edge(edge) => Ok(fixed(given_edge(outline, edge)?)),
        Direction::Best => Ok(best(mat, outline, zone).unwrap_or_else(|| fixed(first_edge(outline)))),
    }
}

/// The edge of the outer ring that was given as number `edge`.
pub(super) fn given_edge(outline: &Outline, edge: usize) -> Result<Axis, Error> {
    let ring = &outline.rings[0];
    let count = ring.points.len();
    let Some(i) = (0..count).find(|&i| ring.given_edge(i) == edge) else {
        let message = format!("strips along edge {edge} of an outline with {count} edges, which are numbered from 0");
        return Err(Error::new(Code::BadMat, "/system/mat/direction", message));
    };
    Ok(Axis { origin: ring.points[i], ahead: ring.points[(i + 1) % count] })
}

fn first_edge(outline: &Outline) -> Axis {
    let points = &outline.rings[0].points;
    Axis { origin: points[0], ahead: points[1] }
}

/// The longest stretch of the outer ring whose kind is `wanted`, the first among equals.
fn longest_stretch(outline: &Outline, wanted: impl Fn(Kind) -> bool) -> Option<Axis> {
    let ring = &outline.rings[0];
    let count = ring.points.len();
    let longest = ring
        .stretches
        .iter()
        .filter(|stretch| wanted(stretch.kind))
        .reduce(|longest, stretch| if stretch.length > longest.length { stretch } else { longest })?;
    let (origin, ahead) = (ring.points[longest.first], ring.points[(longest.first + longest.edges) % count]);
    (origin != ahead).then_some(Axis { origin, ahead })
}

/// The direction of an edge, and the place of the first strip, that take the least length of mat; among equals the
/// fewest pieces, then a first strip at the low edge, then the longest edge.
fn best(mat: &Mat, outline: &Outline, zone: &[Polygon]) -> Option<Scheme> {
    let mut plain: Vec<(Need, Axis)> = axes(mat, outline, zone)
        .into_iter()
        .map(|axis| {
            let deck = Deck::new(zone, axis);
            (Need::of(&deck, &rows(deck.extent(), mat).0, mat), axis)
        })
        .collect();
    plain.sort_by_key(|&(need, _)| need);
    let &(mut least, axis) = plain.first()?;
    let (first_rows, lap) = rows(Deck::new(zone, axis).extent(), mat);
    let mut best = Scheme { axis, rows: first_rows, lap };
    let mut visits = 0;
    for (_, axis) in plain {
        let deck = Deck::new(zone, axis);
        let events = deck.events(mat);
        visits += events.len().saturating_mul(deck.corner_count()).saturating_mul(deck.row_count(mat));
        if visits > MOST_SHIFT_VISITS {
            break;
        }
        for rows in events.into_iter().filter_map(|before| rows_from(before, deck.extent(), mat)) {
            let need = Need::of(&deck, &rows, mat);
            if need < least {
                least = need;
                best = Scheme { axis, rows, lap: mat.lap };
            }
        }
    }
    Some(best)
}

/// What a lay-out takes: length off the roll, then pieces.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Need {
    length: Length,
    pieces: usize,
}

impl Need {
    fn of(deck: &Deck, rows: &[Row], mat: &Mat) -> Need {
        let spans = rows.iter().flat_map(|row| gather(deck.spans(row), mat.most_cut_out));
        spans.fold(Need { length: Length::ZERO, pieces: 0 }, |need, (from, to)| Need {
            length: need.length + (to - from),
            pieces: need.pieces + 1,
        })
    }
}

/// The directions of edges, the longest edges first and each direction once, with the low side to the right: the side
/// of the drips, if there are any.
fn axes(mat: &Mat, outline: &Outline, zone: &[Polygon]) -> Vec<Axis> {
    let mut edges: Vec<Axis> = outline
        .rings
        .iter()
        .flat_map(|ring| {
            let next = ring.points.iter().cycle().skip(1);
            ring.points.iter().zip(next).map(|(&origin, &ahead)| Axis { origin, ahead })
        })
        .collect();
    edges.sort_by_key(|axis| -axis.origin.distance(axis.ahead));
    let Some(&longest) = edges.first() else { return Vec::new() };
    let deck = Deck::new(zone, longest);
    let most = MOST_VISITS / deck.corner_count().saturating_mul(deck.row_count(mat)).max(1);
    let mut axes: Vec<Axis> = Vec::new();
    for axis in edges {
        if axes.len() >= most.clamp(1, 1_000) {
            break;
        }
        if axes.iter().all(|other| cross(other.way(), axis.way()) != 0) {
            axes.push(axis);
        }
    }
    for axis in &mut axes {
        if drips_lie_left(outline, *axis) {
            *axis = axis.turned();
        }
    }
    axes
}

/// Whether the drip edges lie further to the left of an axis than the outline does on the whole.
fn drips_lie_left(outline: &Outline, axis: Axis) -> bool {
    let (way, length) = (axis.way(), axis.way().length());
    let mean = |wanted: &dyn Fn(Kind) -> bool| {
        let (mut sum, mut weight) = (0.0, 0.0);
        for ring in &outline.rings {
            for (i, _) in ring.kinds.iter().enumerate().filter(|&(_, &kind)| wanted(kind)) {
                let (from, to) = (ring.points[i], ring.points[(i + 1) % ring.points.len()]);
                let left = |point| cross(way, Vector::between(axis.origin, point)) as f64 / length;
                let size = from.distance(to).m();
                sum += size * (left(from) + left(to)) / 2.0;
                weight += size;
            }
        }
        (weight > 0.0).then(|| sum / weight)
    };
    match (mean(&|kind| kind == Kind::Drip), mean(&|_| true)) {
        // A micrometre of difference is rounding.
        (Some(drips), Some(all)) => drips > all + 1.0,
        _ => false,
    }
}
