//! Where the end laps of a piece lie that comes from several rolls: in the order of its parts, and by how much is cut from each
//! roll, they keep clear of outlets and pipes and of the end laps of the strips beside.

use super::deck::{nearest, place};
use super::direction::Axis;
use super::layer::Layout;
use super::near::comes_near;
use super::roll::Part;
use crate::geometry::Polygon;
use crate::length::Length;
use crate::roof::Penetration;
use crate::system::System;

/// More parts than this keep their order, or turn it round.
const MOST_SHUFFLED: usize = 5;

/// How near the end laps of parts come to others; far where there are none.
pub(super) fn least_apart(parts: &[Part], near: &[Length]) -> Length {
    let joints = parts[1..].iter().map(|part| part.from);
    joints.flat_map(|joint| near.iter().map(move |&at| (joint - at).abs())).min().unwrap_or(Length::from_um(i64::MAX))
}

/// Stretches along a piece, from its beginning, in which no end lap should lie: beside outlets and pipes.
pub(super) fn bands_of_penetrations(
    system: &System,
    layout: &Layout,
    axis: Axis,
    piece: &[Polygon],
    start: Length,
) -> Vec<(Length, Length)> {
    let band = |penetration: &Penetration| {
        let reach = penetration.diameter / 2 + system.mat.outlet_clear;
        let along = nearest(place(axis, penetration.at).0) - start;
        comes_near(piece, penetration, reach).then_some((along - reach, along + reach))
    };
    layout.penetrations.iter().filter_map(band).collect()
}

/// What the end laps of one piece have to keep clear of, as stretches and places along it.
pub(super) struct EndLaps<'a> {
    pub(super) system: &'a System,
    pub(super) bands: Vec<(Length, Length)>,
    /// End laps of the strips beside.
    pub(super) near: &'a [Length],
}

/// Parts in one order, how well they lie, and what they leave of the rolls.
struct Placed {
    /// End laps in bands, then how much nearer one lies to another than it should.
    faults: (usize, Length),
    parts: Vec<Part>,
    left: Vec<Length>,
}

impl EndLaps<'_> {
    /// The parts in the order that has the fewest end laps in bands and keeps them furthest from those nearby, their lengths
    /// changed by as much as that takes and `left` of the rolls allows.
    pub(super) fn place(&self, parts: Vec<Part>, left: &mut Vec<Length>) -> Vec<Part> {
        let laps: Vec<Length> = parts.windows(2).map(|pair| pair[0].from + pair[0].length - pair[1].from).collect();
        let in_order = |order: &[usize]| {
            let mut from = Length::ZERO;
            let mut placed = Vec::with_capacity(order.len());
            for (at, &i) in order.iter().enumerate() {
                placed.push(Part { from, ..parts[i] });
                from = from + parts[i].length - laps.get(at).copied().unwrap_or_default();
            }
            self.cleared(placed, left.clone())
        };
        let mut order: Vec<usize> = (0..parts.len()).collect();
        let mut best = in_order(&order);
        let mut offer = |order: &[usize]| {
            if best.faults > (0, Length::ZERO) {
                let placed = in_order(order);
                if placed.faults < best.faults {
                    best = placed;
                }
            }
        };
        order.reverse();
        offer(&order);
        if parts.len() <= MOST_SHUFFLED {
            order.reverse();
            // All orders, by Heap's algorithm (B. R. Heap, The Computer Journal 6 (1963) 293).
            let mut counters = vec![0; order.len()];
            let mut i = 1;
            while i < order.len() {
                if counters[i] < i {
                    order.swap(if i % 2 == 0 { 0 } else { counters[i] }, i);
                    offer(&order);
                    counters[i] += 1;
                    i = 1;
                } else {
                    counters[i] = 0;
                    i += 1;
                }
            }
        }
        *left = best.left;
        best.parts
    }

    /// Whether a lap that begins there lies in a band.
    fn meets(&self, from: Length, lap: Length) -> bool {
        self.bands.iter().any(|band| from < band.1 && from + lap > band.0)
    }

    /// Moves end laps out of bands along the piece, as little as will do, where what is left of the rolls allows it; rather
    /// without coming too near to end laps beside them than with.
    fn cleared(&self, mut parts: Vec<Part>, mut left: Vec<Length>) -> Placed {
        let mat = &self.system.mat;
        let step = self.system.cutting_increment.max(Length::from_um(1));
        let least = mat.least_piece.max(mat.end_lap + Length::from_um(1));
        let mut hits = 0;
        for k in 1..parts.len() {
            let (before, after) = (parts[k - 1], parts[k]);
            let lap = before.from + before.length - after.from;
            if !self.meets(after.from, lap) {
                continue;
            }
            // Back to where the lap ends at a band, or on to where it begins at one, in whole steps.
            let moves = self.bands.iter().flat_map(|&(low, high)| {
                [-(after.from + lap - low).round_up(step), (high - after.from).round_up(step)]
            });
            let room = |roll: u64| left.get(roll as usize - 1).copied().unwrap_or_default();
            let apart = |from: Length| self.near.iter().all(|&at| (from - at).abs() >= mat.stagger);
            let can = |by: &Length| {
                !self.meets(after.from + *by, lap)
                    && before.length + *by >= least
                    && after.length - *by >= least
                    && (before.roll == after.roll || (*by <= room(before.roll) && -*by <= room(after.roll)))
            };
            let Some(by) = moves.filter(can).min_by_key(|by| (!apart(after.from + *by), by.abs(), *by)) else {
                hits += 1;
                continue;
            };
            parts[k - 1].length += by;
            parts[k].from += by;
            parts[k].length -= by;
            for (roll, more) in [(before.roll, by), (after.roll, -by)] {
                if let Some(left) = left.get_mut(roll as usize - 1) {
                    *left -= more;
                }
            }
        }
        let short = (mat.stagger - least_apart(&parts, self.near)).max(Length::ZERO);
        Placed { faults: (hits, short), parts, left }
    }
}
