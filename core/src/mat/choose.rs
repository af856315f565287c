//! The lay-out that takes the least mat: direction and place of the first strip.

use super::deck::Deck;
use super::direction::{Axis, angle_axis, axes, drip_axis, given_edge};
use super::layer::width_in;
use super::near::comes_near;
use super::nest::{Size, Squares, off_roll};
use super::profile::{Budget, beginnings};
use super::row::{Row, ripped_from, rows, rows_from};
use crate::error::Error;
use crate::geometry::{Point, Polygon};
use crate::length::Length;
use crate::roof::{Outline, Penetration};
use crate::system::{Direction, Mat};

/// How a deck is laid: along which axis, in which rows, with which lap.
#[derive(Clone, Debug)]
pub(super) struct Scheme {
    pub(super) axis: Axis,
    pub(super) rows: Vec<Row>,
    pub(super) lap: Length,
    pub(super) need: Need,
}

/// What a lay-out takes: laps beside outlets and pipes first, then length off the roll, then pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Need {
    /// Laps that run nearer past an outlet or a pipe than they should.
    pub(super) near_penetrations: usize,
    /// Length off the roll, narrow pieces cut from beside one another.
    pub(super) length: Length,
    /// Length off the roll of the patches for which nothing is left beside narrow pieces.
    pub(super) patches: Length,
    pub(super) pieces: usize,
}

impl Need {
    fn of(deck: &Deck, rows: &[Row], mat: &Mat) -> Need {
        measure(deck, rows, mat).0
    }
}

/// What rows take, and how long all their pieces are together.
fn measure(deck: &Deck, rows: &[Row], mat: &Mat) -> (Need, Length) {
    let mut sizes: Vec<Size> = Vec::with_capacity(2 * rows.len());
    let mut all = Length::ZERO;
    deck.each_stretch(rows, mat.most_cut_out, |row, part| {
        let length = part.to - part.from;
        all += length;
        sizes.push(Size { length, width: width_in(&rows[row], part.low, part.high) });
    });
    let (length, patches) = off_roll(&sizes, mat.width, deck.patches);
    let near_penetrations = deck.near_penetrations(rows).count();
    (Need { near_penetrations, length, patches, pieces: sizes.len() }, all)
}

/// Most visits of an edge by a strip while lay-outs of one roof are compared.
pub(super) const MOST_VISITS: usize = 300_000;

/// What lay-outs of one roof are compared under.
#[derive(Clone, Copy)]
pub(super) struct Site<'a> {
    pub(super) mat: &'a Mat,
    pub(super) increment: Length,
    pub(super) outline: &'a Outline,
    pub(super) penetrations: &'a [Penetration],
    pub(super) patches: Squares,
}

impl Site<'_> {
    /// The direction that the system fixes, if it does.
    ///
    /// # Errors
    /// [`Code::BadMat`](crate::Code::BadMat) where the system asks for an edge that the roof does not have.
    pub(super) fn fixed_axis(&self) -> Result<Option<Axis>, Error> {
        Ok(match self.mat.direction {
            Direction::Drip => Some(drip_axis(self.outline)),
            Direction::Edge(edge) => Some(given_edge(self.outline, edge)?),
            Direction::AngleDeg(angle) => Some(angle_axis(self.outline, angle)),
            Direction::Best => None,
        })
    }

    /// The penetrations that laps of a zone could come near.
    pub(super) fn penetrations_near(&self, zone: &[Polygon]) -> Vec<Penetration> {
        let near = |penetration: &&Penetration| {
            comes_near(zone, penetration, penetration.diameter / 2 + self.mat.outlet_clear)
        };
        self.penetrations.iter().filter(near).cloned().collect()
    }

    pub(super) fn deck(&self, zone: &[Polygon], axis: Axis) -> Deck {
        let mut deck = Deck::new(zone, axis).with_penetrations(self.penetrations, self.mat);
        deck.patches = self.patches;
        deck
    }

    /// Along a fixed axis: from the low edge, unless a lap would then lie beside an outlet or a pipe.
    pub(super) fn along(&self, zone: &[Polygon], axis: Axis, budget: &mut Budget) -> Scheme {
        let deck = self.deck(zone, axis);
        let plain = plain(&deck, self.mat);
        if plain.need.near_penetrations == 0 {
            return plain;
        }
        let other = least_along(self.mat, &deck, plain.clone(), None, budget);
        if other.need.near_penetrations < plain.need.near_penetrations { other } else { plain }
    }

    /// Along the edge of the outline that takes the least mat. `zone` must have a point.
    pub(super) fn best(&self, zone: &[Polygon], budget: &mut Budget) -> Scheme {
        let edges = self.outline.rings.iter().flat_map(|ring| {
            let next = ring.points.iter().cycle().skip(1);
            ring.points.iter().copied().zip(next.copied())
        });
        self.best_along(edges, zone, None, budget)
    }

    /// Along the one of these edges that takes the least mat. Where that is not `under` a length, any lay-out will do.
    pub(super) fn best_along(
        &self,
        edges: impl Iterator<Item = (Point, Point)>,
        zone: &[Polygon],
        under: Option<Length>,
        budget: &mut Budget,
    ) -> Scheme {
        let axes = axes(self.outline, edges);
        let best = self.least(&axes, zone, under, budget);
        best.unwrap_or_else(|| plain(&self.deck(zone, drip_axis(self.outline)), self.mat))
    }

    /// The lay-out along one of the axes that takes the least length of mat; among equals the fewest pieces, then a first
    /// strip at the low edge, then the first axis. Those axes come first that are best from the low edge; axes for which the
    /// budget does not last are laid from there only, or not at all.
    fn least(&self, axes: &[Axis], zone: &[Polygon], under: Option<Length>, budget: &mut Budget) -> Option<Scheme> {
        let mut tried: Vec<(usize, Deck, Scheme)> = Vec::with_capacity(axes.len());
        for (number, &axis) in axes.iter().enumerate() {
            let deck = self.deck(zone, axis);
            if !budget.take(deck.visits(self.mat)) {
                break;
            }
            let scheme = plain(&deck, self.mat);
            tried.push((number, deck, scheme));
        }
        tried.sort_by_key(|(number, _, scheme)| (scheme.need, *number));
        let mut best: Option<(usize, Scheme)> = None;
        for (number, deck, scheme) in tried {
            let found = best.as_ref().filter(|(_, best)| best.need.near_penetrations == 0);
            let limit = found.map(|(_, best)| best.need.length).into_iter().chain(under).min();
            let own = least_along(self.mat, &deck, scheme, limit, budget);
            if best.as_ref().is_none_or(|(first, best)| (own.need, number) < (best.need, *first)) {
                best = Some((number, own));
            }
        }
        best.map(|(_, scheme)| scheme)
    }

    /// What strips from the low edge on take at the best of these edges: a first look.
    pub(super) fn first_look(
        &self,
        edges: impl Iterator<Item = (Point, Point)>,
        zone: &[Polygon],
        budget: &mut Budget,
    ) -> Option<Need> {
        let needs = axes(self.outline, edges).into_iter().map_while(|axis| {
            let deck = self.deck(zone, axis);
            budget.take(deck.visits(self.mat)).then(|| plain(&deck, self.mat).need)
        });
        needs.min()
    }
}

/// Strips from the low edge on. Where the last would be a sliver, spare width is spread over the laps, or the last strips are
/// ripped and what is left beside them serves for other narrow pieces and for patches: whichever takes less, else the wider laps.
fn plain(deck: &Deck, mat: &Mat) -> Scheme {
    let (rows, lap) = rows(deck.extent(), mat);
    let spread = Scheme { axis: deck.axis(), need: Need::of(deck, &rows, mat), rows, lap };
    if lap == mat.lap {
        return spread;
    }
    let Some(rows) = ripped_from(Length::ZERO, deck.extent(), mat) else { return spread };
    let need = Need::of(deck, &rows, mat);
    let clearer = need.near_penetrations < spread.need.near_penetrations;
    let (ripped, wider) = (need.length + need.patches, spread.need.length + spread.need.patches);
    let less = need.near_penetrations == spread.need.near_penetrations && ripped + LEAST_SAVED <= wider;
    if clearer || less { Scheme { need, rows, lap: mat.lap, ..spread } } else { spread }
}

/// Strips are not ripped lengthwise to save less than this.
const LEAST_SAVED: Length = Length::from_mm(10);

/// How many places of the first strip are tried beyond the shortest by events: for fewer pieces, or narrow ones that share a
/// length.
const MOST_TIES: usize = 12;
/// How many places are tried at which the first or the last strip would be a sliver, unless its neighbour is ripped.
const MOST_RIPPED: usize = 16;
/// Narrow pieces cut from beside one another do not save more than this part of a length.
const MOST_SAVED: f64 = 0.1;

/// What there is at the least offset at which there is something, up to [`MOST_BESIDE`] micrometres; none nearer is taken to be
/// found where one further out is not.
fn nearest<T>(at: impl Fn(i64) -> Option<T>) -> Option<T> {
    let mut far = 1;
    let mut found = at(far);
    while found.is_none() && far < MOST_BESIDE {
        far *= 2;
        found = at(far);
    }
    let mut near = far / 2;
    while found.is_some() && far - near > 1 {
        let middle = (near + far) / 2;
        match at(middle) {
            Some(nearer) => (found, far) = (Some(nearer), middle),
            None => near = middle,
        }
    }
    found
}

/// How far beside an event rounding may put a jump, in micrometres.
const MOST_BESIDE: i64 = 256;

/// The lay-out along one axis that takes the least length of mat. `best` is that from the low edge on; a length clearly over
/// the `limit`, such as that of another axis, is not looked into.
fn least_along(mat: &Mat, deck: &Deck, mut best: Scheme, limit: Option<Length>, budget: &mut Budget) -> Scheme {
    let visits = deck.visits(mat);
    let offer = |best: &mut Scheme, rows: Option<Vec<Row>>| {
        if let Some(rows) = rows {
            let need = Need::of(deck, &rows, mat);
            if need < best.need {
                *best = Scheme { axis: deck.axis(), rows, lap: mat.lap, need };
            }
        }
    };
    // The same from the high edge down.
    let rows: Vec<Row> = best.rows.iter().rev().map(|row| row.mirrored(deck.extent())).collect();
    let need = Need::of(deck, &rows, mat);
    if need < best.need {
        best = Scheme { rows, need, ..best };
    }
    let Some(beginnings) = beginnings(deck, mat, budget) else { return best };
    // Without narrow pieces beside one another, lengths by events are exact, but for jumps at their own place.
    let Some(shortest) = beginnings.first().map(|begin| begin.length) else { return best };
    if limit.is_some_and(|limit| shortest * (1.0 - MOST_SAVED) > limit.um() as f64) {
        return best;
    }
    let from = |before: Length| rows_from(before, deck.extent(), mat);
    // Where the first or the last strip would become a sliver, the lengths allowed end between events.
    let step = (mat.width - mat.lap).um().max(1);
    let turn = |level: Length| Length::from_um((-level).um().rem_euclid(step));
    offer(&mut best, from(mat.width - mat.least_strip));
    offer(&mut best, from(turn(deck.extent() - mat.least_strip)));
    // So they do where a lap comes too near to an outlet or a pipe.
    for &(low, high) in &deck.penetrations {
        offer(&mut best, from(turn(high)));
        offer(&mut best, from(turn(low - mat.lap)));
    }
    let (mut ties, mut ripped) = (0, 0);
    for begin in beginnings {
        let hopeless = best.need.near_penetrations == 0 && begin.length > best.need.length.um() as f64 + 1.0;
        if (hopeless && begin.length > shortest + 1.0) || ties > MOST_TIES || !budget.take(visits) {
            break;
        }
        match from(begin.before) {
            None if ripped < MOST_RIPPED => {
                ripped += 1;
                offer(&mut best, ripped_from(begin.before, deck.extent(), mat));
            }
            None => {}
            Some(rows) => {
                ties += usize::from(begin.length > shortest + 1.0);
                // Where a gap is as wide as a piece may run across, rounding decides whether it does: then the length jumps
                // some micrometres beside the place where it should.
                let jumped = |all: Length| all.um() as f64 > begin.length + mat.most_cut_out.um() as f64 / 2.0;
                let (need, all) = measure(deck, &rows, mat);
                if jumped(all) {
                    for side in [-1, 1] {
                        let place = |off: i64| {
                            let rows = from(begin.before + Length::from_um(side * off))?;
                            (!jumped(measure(deck, &rows, mat).1)).then_some(rows)
                        };
                        offer(&mut best, nearest(place));
                    }
                }
                if need < best.need {
                    best = Scheme { axis: deck.axis(), rows, lap: mat.lap, need };
                }
            }
        }
    }
    best
}

#[cfg(test)]
#[path = "choose_tests.rs"]
mod tests;
