//! The lay-out that takes the least mat: direction and place of the first strip.

use super::deck::{Deck, gather};
use super::direction::{Axis, axes, drip_axis, given_edge};
use super::profile::{Budget, beginnings};
use super::row::{Row, rows, rows_from};
use crate::error::Error;
use crate::geometry::Polygon;
use crate::length::Length;
use crate::roof::Outline;
use crate::system::{Direction, Mat};

/// How a deck is laid: along which axis, in which rows, with which lap.
#[derive(Clone, Debug)]
pub(super) struct Scheme {
    pub(super) axis: Axis,
    pub(super) rows: Vec<Row>,
    pub(super) lap: Length,
    pub(super) need: Need,
}

/// What a lay-out takes: length off the roll, then pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Need {
    pub(super) length: Length,
    pub(super) pieces: usize,
}

impl Need {
    fn of(deck: &Deck, rows: &[Row], mat: &Mat) -> Need {
        let spans = deck.spans(rows).flat_map(|spans| gather(spans, mat.most_cut_out));
        spans.fold(Need { length: Length::ZERO, pieces: 0 }, |need, (from, to)| Need {
            length: need.length + (to - from),
            pieces: need.pieces + 1,
        })
    }
}

/// Most visits of an edge by a strip while lay-outs of one roof are compared.
pub(super) const MOST_VISITS: usize = 1_500_000;

/// Chooses the direction and sets out the rows. `zone` must have a point.
///
/// # Errors
/// [`Code::BadMat`](crate::Code::BadMat) where the system asks for an edge that the roof does not have.
pub(super) fn choose(mat: &Mat, outline: &Outline, zone: &[Polygon]) -> Result<Scheme, Error> {
    Ok(match mat.direction {
        Direction::Drip => plain(&Deck::new(zone, drip_axis(outline)), mat),
        Direction::Edge(edge) => plain(&Deck::new(zone, given_edge(outline, edge)?), mat),
        Direction::Best => {
            let edges = outline.rings.iter().flat_map(|ring| {
                let next = ring.points.iter().cycle().skip(1);
                ring.points.iter().copied().zip(next.copied())
            });
            let axes = axes(outline, edges);
            let best = least(mat, &axes, zone, &mut Budget(MOST_VISITS));
            best.unwrap_or_else(|| plain(&Deck::new(zone, drip_axis(outline)), mat))
        }
    })
}

/// Strips from the low edge on, with spare width spread over the laps.
fn plain(deck: &Deck, mat: &Mat) -> Scheme {
    let (rows, lap) = rows(deck.extent(), mat);
    Scheme { axis: deck.axis(), need: Need::of(deck, &rows, mat), rows, lap }
}

/// The lay-out along one of the axes that takes the least length of mat; among equals the fewest pieces, then a first
/// strip at the low edge, then the first axis. Axes for which the budget does not last are laid from the low edge only.
pub(super) fn least(mat: &Mat, axes: &[Axis], zone: &[Polygon], budget: &mut Budget) -> Option<Scheme> {
    let mut best: Option<Scheme> = None;
    for &axis in axes {
        let deck = Deck::new(zone, axis);
        if !budget.take(deck.sides.len()) {
            break;
        }
        let own = least_along(mat, &deck, budget);
        if best.as_ref().is_none_or(|best| own.need < best.need) {
            best = Some(own);
        }
    }
    best
}

/// How many places of the first strip that promise no less length are tried for fewer pieces.
const MOST_TIES: usize = 8;

/// The lay-out along one axis that takes the least length of mat.
fn least_along(mat: &Mat, deck: &Deck, budget: &mut Budget) -> Scheme {
    let mut best = plain(deck, mat);
    // The same from the high edge down.
    let rows: Vec<Row> = best.rows.iter().rev().map(|row| row.mirrored(deck.extent())).collect();
    let need = Need::of(deck, &rows, mat);
    if need < best.need {
        best = Scheme { rows, need, ..best };
    }
    let offer = |best: &mut Scheme, before: Length| {
        let rows = rows_from(before, deck.extent(), mat);
        if let Some(rows) = rows {
            let need = Need::of(deck, &rows, mat);
            if need < best.need {
                *best = Scheme { axis: deck.axis(), rows, lap: mat.lap, need };
            }
        }
    };
    let Some(beginnings) = beginnings(deck, mat, budget) else { return best };
    // Where the first or the last strip would become a sliver, the lengths allowed end between events.
    let step = mat.width - mat.lap;
    let last_at_least = Length::from_um((mat.least_strip - deck.extent()).um().rem_euclid(step.um().max(1)));
    for before in [mat.width - mat.least_strip, last_at_least] {
        offer(&mut best, before);
    }
    let mut ties = 0;
    for begin in beginnings {
        // Lengths by events are exact, but for jumps at their own place, where they may be too short.
        if begin.length > best.need.length.um() as f64 - 1.0 {
            ties += 1;
        }
        if ties > MOST_TIES || begin.length > best.need.length.um() as f64 + 1.0 || !budget.take(deck.sides.len()) {
            break;
        }
        offer(&mut best, begin.before);
    }
    best
}

#[cfg(test)]
#[path = "choose_tests.rs"]
mod tests;
