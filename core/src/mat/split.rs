//! Zones: a deck with inner corners laid in parts, each in its own direction from its own beginning.
//!
//! A deck is split along *chords*: the lines on which its inner corners go on straight, from the corner to the next side.
//! (An L has two, a T and a U four.) Of all chords the one is taken whose two zones, each laid at its best, need the least
//! mat, if that is less than one zone needs; then the zones are split further in the same way. The upper zone runs over the
//! chord by a lap: that of two pieces of a strip or that of two strips, whichever is more.

use super::choose::{Scheme, Site};
use super::deck::place;
use super::direction::Axis;
use super::fall::Levels;
use super::profile::Budget;
use crate::geometry::{Point, Polygon, Ring, SharedEdge, Side, Vector, cross, dot, orient, reach_over};
use crate::length::Length;
use crate::roof::Penetration;

/// A part of the deck, how it is laid, and where in the order of work it comes.
#[derive(Clone, Debug)]
pub(super) struct Zone {
    pub(super) parts: Vec<Polygon>,
    pub(super) scheme: Scheme,
}

/// Where one zone laps over another: along the line from `from` to `to`, the upper zone on its left and a lap beyond it.
#[derive(Clone, Copy, Debug)]
pub(super) struct ZoneLap {
    pub(super) from: Point,
    pub(super) to: Point,
    pub(super) width: Length,
    /// How far the lap goes on beyond `from` and beyond `to`.
    pub(super) beyond: (Length, Length),
    pub(super) over: usize,
    pub(super) under: usize,
}

impl ZoneLap {
    /// Whether the lap lies nearer to the rim of a penetration than `clear`.
    fn comes_near(&self, penetration: &Penetration, clear: Length) -> bool {
        let reach = (penetration.diameter / 2 + clear).um() as f64;
        let (along, left) = place(Axis { origin: self.from, ahead: self.to }, penetration.at);
        let (first, last) = (-self.beyond.0.um() as f64, (self.from.distance(self.to) + self.beyond.1).um() as f64);
        left < reach && left > -reach - self.width.um() as f64 && along > first - reach && along < last + reach
    }
}

/// A deck in zones, in the order of laying.
#[derive(Clone, Debug)]
pub(super) struct Zones {
    pub(super) zones: Vec<Zone>,
    pub(super) laps: Vec<ZoneLap>,
    /// What the whole deck would take as one zone.
    pub(super) one_zone: Length,
    /// How many splits were looked into.
    pub(super) compared: usize,
}

/// Most zones of a deck, and most inner corners of one that is split.
const MOST_ZONES: usize = 6;
const MOST_INNER: usize = 16;
/// Most visits of an edge by a strip while the two zones of one chord are compared, and those of all chords.
const MOST_VISITS: usize = 20_000;
const MOST_VISITS_IN_ALL: usize = 150_000;

/// Splits a deck where that saves mat. `fixed` is the axis that the system asks for, which holds in the zone that its edge
/// bounds.
pub(super) fn split(
    site: &Site<'_>,
    deck: Vec<Polygon>,
    fixed: Option<Axis>,
    levels: Option<&Levels>,
    whole: Scheme,
) -> Zones {
    let one_zone = whole.need.length;
    let mut zones = vec![Zone { parts: deck, scheme: whole }];
    let mut laps: Vec<ZoneLap> = Vec::new();
    let mut budget = Budget(MOST_VISITS_IN_ALL);
    let (mut at, mut compared) = (0, 0);
    while at < zones.len() && zones.len() < MOST_ZONES {
        let Some((lower, upper, chord)) = best_split(site, &zones[at], fixed, levels, &mut budget, &mut compared)
        else {
            at += 1;
            continue;
        };
        // Laps with the zone that is split are now laps with one of its parts, or with both.
        let mut more = Vec::new();
        for lap in &mut laps {
            for of in [&mut lap.over, &mut lap.under] {
                if *of > at {
                    *of += 1;
                }
            }
            if lap.over == at || lap.under == at {
                let mut other = *lap;
                if other.over == at {
                    other.over = at + 1
                } else {
                    other.under = at + 1
                }
                more.push(other);
            }
        }
        laps.extend(more);
        laps.push(ZoneLap { over: at + 1, under: at, ..chord });
        zones[at] = lower;
        zones.insert(at + 1, upper);
    }
    Zones { zones, laps, one_zone, compared }
}

/// The two parts that a chord leaves, and its lap, the upper part on its left.
struct Parts {
    lower: Vec<Polygon>,
    upper: Vec<Polygon>,
    lap: ZoneLap,
}

/// The two zones of the best chord, the lower first, if they need less than the zone as it is. Chords are looked into in the order of
/// what both parts take from their low edges on, for as long as the budget lasts.
fn best_split(
    site: &Site<'_>,
    zone: &Zone,
    fixed: Option<Axis>,
    levels: Option<&Levels>,
    budget: &mut Budget,
    compared: &mut usize,
) -> Option<(Zone, Zone, ZoneLap)> {
    let [deck] = zone.parts.as_slice() else { return None };
    let width = site.mat.lap.max(site.mat.end_lap);
    let edges = |parts: &[Polygon]| parts.iter().flat_map(Polygon::rings).flat_map(Ring::edges).collect::<Vec<_>>();
    let mut all: Vec<(Length, Parts)> = Vec::new();
    for chord in chords(deck) {
        let Some((left, right)) = halves(deck, &chord) else { continue };
        let left_is_upper = upper_is_left(site, &chord, &left, &right, levels);
        let (upper, lower) = if left_is_upper { (left, right) } else { (right, left) };
        let (from, to) = if left_is_upper { (chord.from, chord.to) } else { (chord.to, chord.from) };
        let beyond = reaches(&chord, left_is_upper, width);
        let lap = ZoneLap { from, to, width, beyond, over: 0, under: 0 };
        if site.penetrations.iter().any(|penetration| lap.comes_near(penetration, site.mat.outlet_clear)) {
            continue;
        }
        let Some(upper) = over_chord(&upper, &lower, SharedEdge { from, to }, width, beyond) else { continue };
        *compared += 1;
        let parts = Parts { lower: vec![lower], upper, lap };
        let least = |parts| least_length(parts, site.mat.width);
        if least(&parts.lower) + least(&parts.upper) >= zone.scheme.need.length {
            continue;
        }
        let mut look = |parts: &[Polygon]| {
            let own = site.penetrations_near(parts);
            Site { penetrations: &own, ..*site }.first_look(edges(parts).into_iter(), parts, budget)
        };
        let (Some(low), Some(high)) = (look(&parts.lower), look(&parts.upper)) else { break };
        all.push((low.length + high.length, parts));
    }
    all.sort_by_key(|(length, _)| *length);
    let mut best: Option<(Zone, Zone, ZoneLap)> = None;
    let mut least = zone.scheme.need.length;
    for (_, Parts { lower, upper, lap }) in all {
        let (least_low, least_high) = (least_length(&lower, site.mat.width), least_length(&upper, site.mat.width));
        if least_low + least_high >= least {
            continue;
        }
        let mut own = Budget(MOST_VISITS.min(budget.0));
        let before = own.0;
        let mut lay = |parts: &[Polygon], other: &[Polygon], under: Length| {
            let near = site.penetrations_near(parts);
            let site = Site { penetrations: &near, ..*site };
            match fixed.filter(|axis| nearness(parts, axis) <= nearness(other, axis)) {
                Some(axis) => site.along(parts, axis, &mut own),
                None => site.best_along(edges(parts).into_iter(), parts, Some(under), &mut own),
            }
        };
        let low = lay(&lower, &upper, least - least_high);
        if low.need.length + least_high >= least {
            if !budget.take(before - own.0) {
                break;
            }
            continue;
        }
        let high = lay(&upper, &lower, least - low.need.length);
        let length = low.need.length + high.need.length;
        let worse = low.need.near_penetrations + high.need.near_penetrations > zone.scheme.need.near_penetrations;
        if length < least && !worse {
            least = length;
            best = Some((Zone { parts: lower, scheme: low }, Zone { parts: upper, scheme: high }, lap));
        }
        if !budget.take(before - own.0) {
            break;
        }
    }
    best
}

/// No lay-out of these takes less off a roll of this width: mat off the roll has no less area than what it covers.
fn least_length(parts: &[Polygon], width: Length) -> Length {
    let double: i128 = parts.iter().map(Polygon::double_area).sum();
    Length::from_um((double / (2 * i128::from(width.um().max(1)))) as i64)
}

/// A line across the deck from an inner corner to a side.
#[derive(Clone, Copy, Debug)]
struct Chord {
    from: Point,
    to: Point,
    /// The corner's number on the outer ring, and that of the edge that the chord ends on.
    corner: usize,
    edge: usize,
    /// How far the side at its end runs along it for each step away from it.
    lean: f64,
    /// How far along it from its corner one has to go to be a step away from the other edge of the corner, at least one.
    overhang: f64,
}

/// The lines on which the two edges of each inner corner of the outer ring go on, up to the next side. None where that is
/// the side of a hole.
fn chords(deck: &Polygon) -> Vec<Chord> {
    let points = deck.outer.points();
    let n = points.len();
    let at = |i: usize| points[i % n];
    let inner: Vec<usize> = (0..n).filter(|&i| orient(at(i + n - 1), at(i), at(i + 1)) < 0).collect();
    if inner.len() > MOST_INNER {
        return Vec::new();
    }
    let mut chords = Vec::new();
    for corner in inner {
        let (before, here, after) = (at(corner + n - 1), at(corner), at(corner + 1));
        for (behind, other) in [(before, after), (after, before)] {
            let way = Vector::between(behind, here);
            let hit = (0..n)
                .filter(|&edge| edge != corner && (edge + 1) % n != corner)
                .filter_map(|edge| meets(here, way, at(edge), at(edge + 1)).map(|along| (along, edge)))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((along, edge)) = hit else { continue };
            let blocked = deck
                .holes
                .iter()
                .flat_map(Ring::edges)
                .any(|(a, b)| meets(here, way, a, b).is_some_and(|hole| hole <= along));
            let to = Point::from_um(
                here.x.um() + (way.x as f64 * along).round() as i64,
                here.y.um() + (way.y as f64 * along).round() as i64,
            );
            let side = Vector::between(at(edge), at(edge + 1));
            let lean = (dot(way, side) as f64 / cross(way, side) as f64).abs();
            if !blocked && to.distance(here) > SHORTEST {
                let other = Vector::between(here, other);
                let (ahead, aside) = (dot(way, other) as f64, (cross(way, other) as f64).abs());
                let overhang = if ahead < 0.0 { other.length() * way.length() / aside } else { 1.0 };
                chords.push(Chord { from: here, to, corner, edge, lean, overhang });
            }
        }
    }
    chords
}

/// No chord is shorter, and no zone leaves less of an edge beside one.
const SHORTEST: Length = Length::from_um(100);

/// How many times `way` from a point leads to a segment, if it does.
fn meets(from: Point, way: Vector, a: Point, b: Point) -> Option<f64> {
    let edge = Vector::between(a, b);
    let turn = cross(way, edge) as f64;
    let gap = Vector::between(from, a);
    if turn.abs() <= 0.0 {
        return None;
    }
    let (along, on_edge) = (cross(gap, edge) as f64 / turn, cross(gap, way) as f64 / turn);
    // Ends are not left out by rounding.
    let slack = 1e-9;
    (along > slack && (-slack..=1.0 + slack).contains(&on_edge)).then_some(along)
}

/// The parts of the deck left and right of a chord.
fn halves(deck: &Polygon, chord: &Chord) -> Option<(Polygon, Polygon)> {
    let points = deck.outer.points();
    let n = points.len();
    let ring = |first: usize, last: usize, start: Point, end: Point| {
        // From `start` through the points `first` to `last` to `end`.
        let count = (last + n - first) % n + 1;
        let mut ring = vec![start];
        ring.extend((0..count).map(|i| points[(first + i) % n]));
        ring.push(end);
        ring.dedup_by(|a, b| a.distance(*b) < SHORTEST);
        if ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) < SHORTEST {
            ring.pop();
        }
        Ring::new(ring)
    };
    // Counter-clockwise from the end of the chord to its corner lies its left side.
    let left = ring((chord.edge + 1) % n, (chord.corner + n - 1) % n, chord.to, chord.from);
    let right = ring((chord.corner + 1) % n, chord.edge, chord.from, chord.to);
    if left.len() < 3 || right.len() < 3 || !left.is_counter_clockwise() || !right.is_counter_clockwise() {
        return None;
    }
    let mut halves = (Polygon::from(left), Polygon::from(right));
    for hole in &deck.holes {
        let inside = hole.points().first().is_some_and(|&point| halves.0.outer.locate(point) == Side::Inside);
        if inside { halves.0.holes.push(hole.clone()) } else { halves.1.holes.push(hole.clone()) }
    }
    Some(halves)
}

/// How far the lap of the upper zone goes on beyond both ends of its chord, seen along the upper zone's left-hand edge: past the
/// inner corner until it is its own width away from both edges of the corner, and along the side at the other end, or past
/// the corner there, until it is as far away from that.
fn reaches(chord: &Chord, upper_is_left: bool, width: Length) -> (Length, Length) {
    let reach = |times: f64| Length::from_um((width.um() as f64 * times.min(MOST_LEAN)).ceil() as i64);
    let (at_corner, at_side) = (reach(chord.overhang.max(1.0)), reach((1.0 + chord.lean * chord.lean).sqrt()));
    if upper_is_left { (at_corner, at_side) } else { (at_side, at_corner) }
}

/// The upper zone with its lap over the lower one. `None` where the two would not be one polygon.
fn over_chord(
    upper: &Polygon,
    lower: &Polygon,
    edge: SharedEdge,
    width: Length,
    beyond: (Length, Length),
) -> Option<Vec<Polygon>> {
    let ends = (beyond.0.um() as f64, beyond.1.um() as f64);
    Some(vec![reach_over(upper, lower, edge, width.um() as f64, ends)?])
}

/// A lap goes on beyond its chord for no more than this many times its width.
const MOST_LEAN: f64 = 10.0;

/// Whether the zone left of a chord is the upper one: by levels, where they are known, else the one whose drips are further.
fn upper_is_left(site: &Site<'_>, chord: &Chord, left: &Polygon, right: &Polygon, levels: Option<&Levels>) -> bool {
    let middle = Point { x: (chord.from.x + chord.to.x) / 2, y: (chord.from.y + chord.to.y) / 2 };
    let (x, y) = Vector::between(chord.from, chord.to).unit();
    let rise = levels.map_or(0.0, |levels| levels.rise(site.outline, middle, (-y, x)));
    if rise.abs() > 0.0 {
        return rise > 0.0;
    }
    let drip = super::direction::drip_axis(site.outline);
    nearness(std::slice::from_ref(left), &drip) > nearness(std::slice::from_ref(right), &drip)
}

/// How far the middle of an axis' edge is from the nearest corner or side of polygons, in micrometres.
fn nearness(parts: &[Polygon], axis: &Axis) -> f64 {
    let middle = Point { x: (axis.origin.x + axis.ahead.x) / 2, y: (axis.origin.y + axis.ahead.y) / 2 };
    let edges = parts.iter().flat_map(Polygon::rings).flat_map(|ring| ring.edges());
    edges.map(|(a, b)| distance_to_segment(middle, a, b)).fold(f64::INFINITY, f64::min)
}

pub(super) fn distance_to_segment(point: Point, a: Point, b: Point) -> f64 {
    let (edge, at) = (Vector::between(a, b), Vector::between(a, point));
    let (ex, ey, px, py) = (edge.x as f64, edge.y as f64, at.x as f64, at.y as f64);
    let square = ex * ex + ey * ey;
    let part = if square > 0.0 { ((px * ex + py * ey) / square).clamp(0.0, 1.0) } else { 0.0 };
    let (dx, dy) = (px - part * ex, py - part * ey);
    (dx * dx + dy * dy).sqrt()
}
