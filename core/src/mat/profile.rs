//! The length of mat off the roll as a function of where the first strip begins: exactly, by its events.
//!
//! Let `F(v)` be the length that one strip takes whose lower edge lies at level `v` of the deck. All strips of a lay-out
//! that begins `b` before the low edge together take `f(b) = F(-b) + F(step - b) + F(2 step - b) + ...`.
//!
//! Between two levels at which an edge of the strip passes a corner of the deck, the strip meets the same edges of the
//! deck. The ends of the stretches it covers move evenly, so that `F` is piecewise linear: it bends where one end
//! overtakes another, and jumps where a gap becomes as short as the widest that a piece runs across. `f` is a sum of
//! such functions, folded at the step. It is least at one of these events or just beside it, so that comparing them
//! all gives the exact optimum, and no grid of offsets does better.

use super::deck::{Deck, Side};
use super::row::SLACK;
use crate::length::Length;
use crate::system::Mat;

/// `F` from one event to the next: a value there and a slope. At a level that passes a corner, the value exactly there
/// may differ, because a strip that only touches an edge does not cover it.
#[derive(Clone, Copy, Debug)]
struct Leg {
    from: f64,
    to: f64,
    value: f64,
    slope: f64,
    here: Option<f64>,
}

/// How many visits of an edge by a strip are left for comparing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Budget(pub(super) usize);

impl Budget {
    /// Takes visits away; `false` where there are none left.
    pub(super) fn take(&mut self, visits: usize) -> bool {
        self.0 = self.0.saturating_sub(visits.max(1));
        self.0 > 0
    }
}

/// A place along the strips that moves evenly as the strip moves up.
#[derive(Clone, Copy)]
struct Place {
    at: f64,
    slope: f64,
}

impl Place {
    /// How far up the strip has to move until this place meets another; infinite where it never does.
    fn until(self, other: Place, gap: f64) -> f64 {
        let (apart, closing) = (other.at - self.at - gap, self.slope - other.slope);
        let way = apart / closing;
        if way > 0.0 { way } else { f64::INFINITY }
    }
}

/// A line is looked at this far beyond its event, in micrometres, where what happens there is past beyond doubt. Strips
/// begin on whole micrometres.
const PAST: f64 = 1e-3;

/// What the strip with its lower edge at one level covers.
struct Look<'a> {
    deck: &'a Deck,
    width: f64,
    gap: f64,
    /// Sides that the strip meets.
    active: Vec<usize>,
    passes: Vec<Place>,
    stretches: Vec<(Place, Place)>,
}

impl Look<'_> {
    /// The value of `F` at level `v`, its slope, and how far the line goes.
    fn measure(&mut self, v: f64) -> (f64, f64, f64) {
        let high = v + self.width;
        self.passes.clear();
        self.stretches.clear();
        let moving = |side: &Side, up: f64| Place { at: side.at(up), slope: side.lean() };
        let still = |at: f64| Place { at, slope: 0.0 };
        for side in self.active.iter().map(|&side| &self.deck.sides[side]) {
            if side.upper.1 >= high {
                self.passes.push(moving(side, high));
            }
            let bottom = if side.lower.1 < v { moving(side, v) } else { still(side.lower.0) };
            let top = if side.upper.1 > high { moving(side, high) } else { still(side.upper.0) };
            let forward = side.lower.0 <= side.upper.0;
            self.stretches.push(if forward { (bottom, top) } else { (top, bottom) });
        }
        let order = |a: &Place, b: &Place| a.at.total_cmp(&b.at).then(a.slope.total_cmp(&b.slope));
        self.passes.sort_unstable_by(order);
        self.stretches.extend(self.passes.chunks_exact(2).map(|pair| (pair[0], pair[1])));
        self.stretches.sort_unstable_by(|a, b| order(&a.0, &b.0));
        let (mut value, mut slope, mut way) = (0.0, 0.0, f64::INFINITY);
        let mut open: Option<(Place, Place)> = None;
        let mut before: Option<Place> = None;
        for &(from, to) in &self.stretches {
            if let Some(before) = before {
                way = way.min(before.until(from, 0.0));
            }
            before = Some(from);
            match &mut open {
                Some((_, end)) if from.at - end.at <= self.gap => {
                    way = way.min(end.until(from, self.gap)).min(end.until(to, 0.0));
                    if (to.at, to.slope) > (end.at, end.slope) {
                        *end = to;
                    }
                }
                _ => {
                    if let Some((begin, end)) = open {
                        value += end.at - begin.at;
                        slope += end.slope - begin.slope;
                        way = way.min(end.until(from, self.gap));
                    }
                    open = Some((from, to));
                }
            }
        }
        if let Some((begin, end)) = open {
            value += end.at - begin.at;
            slope += end.slope - begin.slope;
        }
        (value, slope, way)
    }
}

/// `F` over all levels at which a strip of a lay-out can begin. `None` where the budget ends first.
fn legs(deck: &Deck, mat: &Mat, budget: &mut Budget) -> Option<Vec<Leg>> {
    let width = mat.width.um() as f64;
    let step = (mat.width - mat.lap).um() as f64;
    // A strip that begins higher has nothing left to cover.
    let last = (deck.extent() - mat.lap - SLACK).um() as f64;
    let mut levels: Vec<f64> = deck.sides.iter().flat_map(|side| [side.lower.1, side.upper.1]).collect();
    levels.extend(deck.sides.iter().flat_map(|side| [side.lower.1 - width, side.upper.1 - width]));
    levels.push(-step);
    levels.retain(|&level| level >= -step && level < last);
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let mut look = Look {
        deck,
        width,
        gap: mat.most_cut_out.um() as f64,
        active: Vec::new(),
        passes: Vec::new(),
        stretches: Vec::new(),
    };
    let mut legs = Vec::with_capacity(2 * levels.len());
    let mut next = 0;
    let mut enter = |look: &mut Look<'_>, within: &dyn Fn(f64) -> bool, v: f64| {
        while let Some(side) = deck.sides.get(next)
            && within(side.lower.1 - width)
        {
            if side.upper.1 > v {
                look.active.push(next);
            }
            next += 1;
        }
    };
    for (i, &level) in levels.iter().enumerate() {
        look.active.retain(|&side| deck.sides[side].upper.1 > level);
        enter(&mut look, &|low| low < level, level);
        // At the first level a strip would only cover what the next one does.
        let here = Some(if level > -step { look.measure(level).0 } else { 0.0 });
        enter(&mut look, &|low| low <= level, level);
        let end = levels.get(i + 1).copied().unwrap_or(last);
        let mut from = level;
        while from + PAST < end {
            if !budget.take(2 * look.active.len() + 4) {
                return None;
            }
            let (value, slope, way) = look.measure(from + PAST);
            let to = (from + PAST + way).min(end);
            let here = if from > level { None } else { here };
            legs.push(Leg { from, to, value: value - slope * PAST, slope, here });
            from = to;
        }
    }
    Some(legs)
}

/// A place of the first strip and the length off the roll that it takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Begin {
    /// How far before the low edge the first strip begins.
    pub(super) before: Length,
    /// Length of all strips off the roll, in micrometres.
    pub(super) length: f64,
}

/// All places of the first strip at which the length off the roll can be least, each with its length, shortest first.
/// `None` where the budget ends first.
///
/// O(n log n + e k) for n corners, e events and k edges that a strip meets.
pub(super) fn beginnings(deck: &Deck, mat: &Mat, budget: &mut Budget) -> Option<Vec<Begin>> {
    let step = (mat.width - mat.lap).um() as f64;
    let legs = legs(deck, mat, budget)?;
    // What changes at each place t = v mod step, in order: value and slope of the line, and what holds at t alone.
    let mut changes: Vec<(f64, f64, f64, f64)> = Vec::with_capacity(2 * legs.len() + 2);
    for leg in &legs {
        let (mut from, mut here) = (leg.from, leg.here);
        while from < leg.to {
            let turn = libm::floor(from / step) * step;
            let to = leg.to.min(turn + step);
            let value = leg.value + leg.slope * (from - leg.from);
            let (t, end) = (from - turn, to - turn);
            changes.push((t, value, leg.slope, here.map_or(0.0, |here| here - value)));
            changes.push((end, -(value + leg.slope * (end - t)), -leg.slope, 0.0));
            (from, here) = (to, None);
        }
    }
    changes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut begins: Vec<Begin> = Vec::new();
    let mut offer = |t: f64, length: f64| {
        let t = if t >= step { t - step } else { t };
        let before = if t > 0.0 { step - t } else { 0.0 };
        begins.push(Begin { before: Length::from_um(before as i64), length });
    };
    let (mut value, mut slope) = (0.0, 0.0);
    let mut at = 0.0;
    let mut i = 0;
    while i < changes.len() {
        let t = changes[i].0;
        // The last whole micrometres before this event, if they lie after the one before.
        for whole in [libm::ceil(t) - 1.0, libm::ceil(t) - 2.0] {
            if whole > at {
                offer(whole, value + slope * (whole - at));
            }
        }
        value += slope * (t - at);
        let mut alone = 0.0;
        while let Some(&(_, more, steeper, only)) = changes.get(i).filter(|change| change.0 <= t) {
            (value, slope, alone) = (value + more, slope + steeper, alone + only);
            i += 1;
        }
        at = t;
        let end = changes.get(i).map_or(step, |change| change.0);
        if t < step {
            if libm::ceil(t) <= t {
                offer(t, value + alone);
            }
            let whole = libm::floor(t) + 1.0;
            if whole < end {
                offer(whole, value + slope * (whole - t));
            }
        }
    }
    begins.sort_by(|a, b| a.length.total_cmp(&b.length).then(a.before.cmp(&b.before)));
    begins.dedup_by_key(|begin| begin.before);
    Some(begins)
}
