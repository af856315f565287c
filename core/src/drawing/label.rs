//! Labels of a roof plan: a dimension with its mark for every run, the numbers of the strips.
//!
//! A label is tried at a fixed list of places, the best first, and takes the first that is free. So the longest runs
//! get a dimension line in the usual place, and short ones a leader to where there is room. A label that fits nowhere
//! is left out and counted, never drawn over another.

use super::at::At;
use super::lettering;
use super::model::{Anchor, Ink, Item, Layer, Lettering, Line, Pen, Stroke, Text};
use super::paper::{FINE, THIN};
use super::place::{Holder, Place, Room};
use super::view::EDGE_DEPTH;

const LETTERING: Lettering = Lettering::Small;
/// Between the mark and the number of a label.
const GAP: f64 = 1.4;
/// Height of a label's place: capitals and a little air.
const HEIGHT: f64 = 4.1;
/// Air to the left and right of a label.
const SIDE: f64 = 0.8;

/// What a run's label says.
#[derive(Clone)]
pub(super) struct RunLabel {
    pub(super) mark: String,
    pub(super) ink: Ink,
    pub(super) number: String,
    /// Its edge on paper; the outer side to the right.
    pub(super) from: At,
    pub(super) to: At,
    /// Where joints lie, with the distance from the joint before (or the start).
    pub(super) joints: Vec<(At, String)>,
    /// The distance from the last joint to the end.
    pub(super) rest: String,
    /// Distances from the edge at which a dimension line is tried.
    pub(super) levels: &'static [f64],
}

/// Distances at which dimension lines outside the outline are tried.
pub(super) const OUTSIDE: &[f64] = &[7.5, 13.5, 19.5];
/// The same inside an opening, where there is less room.
pub(super) const OPENING: &[f64] = &[5.5, 9.0];

/// A text that begins at a point of its base line.
fn beginning(at: At, along: At, bold: bool, ink: Ink, text: &str) -> Item {
    Item::Text(Text { at, along, anchor: Anchor::Start, lettering: LETTERING, bold, ink, text: text.into() })
}

/// A text in black around its middle.
fn centred(centre: At, along: At, bold: bool, text: &str) -> Item {
    let at = centre - along.left() * (LETTERING.mm() / 2.0);
    let (anchor, ink) = (Anchor::Middle, Ink::BLACK);
    Item::Text(Text { at, along, anchor, lettering: LETTERING, bold, ink, text: text.into() })
}

impl RunLabel {
    fn mark_width(&self) -> f64 {
        lettering::width(&self.mark, LETTERING, true)
    }

    fn width(&self) -> f64 {
        if self.number.is_empty() {
            return self.mark_width();
        }
        self.mark_width() + GAP + lettering::width(&self.number, LETTERING, false)
    }

    /// Draws the label around a centre.
    fn write(&self, layer: &mut Layer, centre: At, along: At) {
        let start = centre - along * (self.width() / 2.0) - along.left() * (LETTERING.mm() / 2.0);
        layer.items.push(beginning(start, along, true, self.ink, &self.mark));
        if !self.number.is_empty() {
            let number = start + along * (self.mark_width() + GAP);
            layer.items.push(beginning(number, along, false, Ink::BLACK, &self.number));
        }
    }

    /// Draws the label with the best of the places that are free; false if there is none.
    pub(super) fn draw(&self, room: &mut Room, lines: &mut Layer, labels: &mut Layer) -> bool {
        // Where there is little room the mark alone says which line of the cut list to read; only where that does not
        // help may a leader cross other lines.
        let mark_alone = RunLabel { number: String::new(), ..self.clone() };
        self.dimension(room, lines, labels)
            || self.led(room, lines, labels, Room::is_free)
            || mark_alone.led(room, lines, labels, Room::is_free)
            || mark_alone.led(room, lines, labels, Room::is_free_of_text)
    }

    /// A dimension line parallel to the edge, with a chain of joints nearer to the edge if there are any.
    fn dimension(&self, room: &mut Room, lines: &mut Layer, labels: &mut Layer) -> bool {
        let edge = self.to - self.from;
        let (along, length, width) = (edge.unit(), edge.norm(), self.width() + 2.0 * SIDE);
        if length < width + 2.0 {
            return false;
        }
        let outward = along.right();
        let chain = if self.joints.is_empty() { 0.0 } else { 5.5 };
        for &level in self.levels {
            let (a, b) = (self.from + outward * (level + chain), self.to + outward * (level + chain));
            let free_line = |room: &Room, off: f64| {
                let (a, b) = (self.from + outward * off + along * 0.6, self.to + outward * off - along * 0.6);
                room.is_free(&Place::line(a, b, 0.4))
            };
            if !free_line(room, level + chain) || (chain > 0.0 && !free_line(room, level)) {
                continue;
            }
            for part in [0.5, 0.38, 0.62, 0.25, 0.75] {
                let along_edge = (length * part).clamp(width / 2.0 + 1.0, length - width / 2.0 - 1.0);
                let centre = a + along * along_edge;
                let place = Place { centre, along, half_width: width / 2.0, half_height: HEIGHT / 2.0 };
                if !room.is_free(&place) {
                    continue;
                }
                if chain > 0.0 {
                    self.chain(room, lines, labels, level);
                }
                room.take(place, Holder::Text);
                room.take_band(a, b, 0.4);
                let half = along * (width / 2.0);
                lines.stroke(FINE, [Line::open([a, centre - half]), Line::open([centre + half, b])]);
                lines.stroke(Stroke::new(Pen::Medium, Ink::BLACK), [tick(a, along), tick(b, along)]);
                let foot = outward * (EDGE_DEPTH + 0.8);
                let over = outward * 1.2;
                for (corner, end) in [(self.from, a), (self.to, b)] {
                    room.take_band(corner + foot, end + over, 0.1);
                    lines.stroke(FINE, [Line::open([corner + foot, end + over])]);
                }
                self.write(labels, centre, readable(along));
                return true;
            }
        }
        false
    }

    /// The distances from joint to joint, at `level`.
    fn chain(&self, room: &mut Room, lines: &mut Layer, labels: &mut Layer, level: f64) {
        let along = (self.to - self.from).unit();
        let off = along.right() * level;
        let (a, b) = (self.from + off, self.to + off);
        room.take_band(a, b, HEIGHT / 2.0);
        let mut ticks = vec![tick(a, along), tick(b, along)];
        let mut strokes = Vec::new();
        let mut from = a;
        let ends = self.joints.iter().map(|(at, number)| (*at + off, number));
        for (to, number) in ends.chain([(b, &self.rest)]) {
            ticks.push(tick(to, along));
            let width = lettering::width(number, LETTERING, false) + 2.0 * SIDE;
            if (to - from).norm() >= width + 1.0 {
                let middle = (from + to) * 0.5;
                strokes.push(Line::open([from, middle - along * (width / 2.0)]));
                strokes.push(Line::open([middle + along * (width / 2.0), to]));
                let along = readable(along);
                labels.items.push(centred(middle, along, false, number));
            } else {
                strokes.push(Line::open([from, to]));
            }
            from = to;
        }
        lines.stroke(FINE, strokes);
        lines.stroke(Stroke::new(Pen::Medium, Ink::BLACK), ticks);
    }

    /// A level label with a leader to the middle of the edge: outward if there is room, otherwise over the roof.
    fn led(
        &self,
        room: &mut Room,
        lines: &mut Layer,
        labels: &mut Layer,
        may_cross: fn(&Room, &Place) -> bool,
    ) -> bool {
        let edge = self.to - self.from;
        let outward = edge.unit().right();
        let middle = (self.from + self.to) * 0.5;
        let (width, inside) = (self.width() + 2.0 * SIDE, self.levels == OPENING);
        // Outer labels start beyond the edge's symbol; over the roof they start at the edge.
        for side in if inside { [-1.0, 1.0] } else { [1.0, -1.0] } {
            let away = outward * side;
            let start = middle + away * if side > 0.0 { EDGE_DEPTH + 0.6 } else { 0.8 };
            for distance in [3.0, 5.0, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0, 41.0] {
                for (ahead, aside) in DIRECTIONS {
                    let towards = away * ahead + away.left() * aside;
                    // The label's centre is as far beyond the leader's end as the label reaches back.
                    let reach = towards.x.abs() * width / 2.0 + towards.y.abs() * HEIGHT / 2.0;
                    let place = Place::level(start + towards * (distance + reach * 0.6), width, HEIGHT);
                    let end = place.nearest(start);
                    let leader = Place::line(start + (end - start) * 0.02, end - (end - start).unit() * 0.1, 0.15);
                    if !room.is_free(&place) || !may_cross(room, &leader) {
                        continue;
                    }
                    room.take(place, Holder::Text);
                    room.take_band(start, end, 0.3);
                    lines.stroke(FINE, [Line::open([middle, end])]);
                    lines.circle(middle, 0.45, None, Some(Ink::BLACK));
                    labels.fill(
                        Ink::WHITE,
                        [Line::rectangle(place.centre - At::new(place.half_width, place.half_height), width, HEIGHT)],
                    );
                    self.write(labels, place.centre, At::new(1.0, 0.0));
                    return true;
                }
            }
        }
        false
    }
}

/// Directions of leaders as (ahead, aside), straight ahead first: points of the unit circle with rational coordinates.
const DIRECTIONS: [(f64, f64); 9] = [
    (1.0, 0.0),
    (0.96, 0.28),
    (0.96, -0.28),
    (0.8, 0.6),
    (0.8, -0.6),
    (0.6, 0.8),
    (0.6, -0.8),
    (0.28, 0.96),
    (0.28, -0.96),
];

/// The oblique stroke that ends a dimension line.
fn tick(at: At, along: At) -> Line {
    let half = (along + along.left()) * 0.85;
    Line::open([at - half, at + half])
}

/// The direction in which text along a line reads from below or from the right.
pub(super) fn readable(along: At) -> At {
    if along.x < -1e-9 || (along.x < 1e-9 && along.y < 0.0) { -along } else { along }
}

/// What a piece of mat's label says: its mark in a ring and, where there is room, its size off the roll.
pub(super) struct StripLabel<'a> {
    pub(super) mark: &'a str,
    pub(super) size: String,
    /// Its outline on paper.
    pub(super) rings: Vec<Line>,
    /// Unit vector along the strip.
    pub(super) along: At,
}

/// Narrowest strip, in millimetres of paper, in which a number is read as that strip's.
const NARROWEST: f64 = 3.6;
/// Half the height of the frame around a strip's number.
const FRAME: f64 = 2.3;

impl StripLabel<'_> {
    /// Whether the strip is too narrow on paper for a number to be read as its own.
    pub(super) fn is_narrow(&self) -> bool {
        extent(&self.rings, self.along.left()).is_none_or(|(low, high)| high - low < NARROWEST)
    }

    /// Draws the label at the first of several places that is free, if it can inside its piece, if it must without the size; false
    /// if there is none.
    pub(super) fn draw(&self, room: &mut Room, layer: &mut Layer) -> bool {
        let size = GAP + lettering::width(&self.size, LETTERING, false) + SIDE;
        [true, false]
            .into_iter()
            .any(|within| self.draw_with(room, layer, size, within) || self.draw_with(room, layer, 0.0, within))
    }

    /// Whether an edge of the piece runs through a place.
    fn runs_through(&self, place: &Place) -> bool {
        let half = At::new(place.half_width, place.half_height);
        let local = |at: At| At::new((at - place.centre).dot(place.along), (at - place.centre).dot(place.along.left()));
        let mut edges = self.rings.iter().flat_map(|ring| ring.points.iter().zip(ring.points.iter().cycle().skip(1)));
        edges.any(|(&a, &b)| {
            let (a, b) = (local(a), local(b));
            let way = b - a;
            // The part of the edge between both pairs of the place's sides.
            let (mut low, mut high) = (0.0_f64, 1.0_f64);
            for (at, step, half) in [(a.x, way.x, half.x), (a.y, way.y, half.y)] {
                if step.abs() > 0.0 {
                    let (p, q) = ((-half - at) / step, (half - at) / step);
                    (low, high) = (low.max(p.min(q)), high.min(p.max(q)));
                } else if at.abs() >= half {
                    return false;
                }
            }
            low < high
        })
    }

    fn draw_with(&self, room: &mut Room, layer: &mut Layer, size: f64, within: bool) -> bool {
        let radius = (lettering::width(self.mark, LETTERING, true) / 2.0 + 0.9).max(FRAME);
        let half = radius + size / 2.0;
        let along = readable(self.along);
        let levels: &[f64] = if within { &[0.5, 0.38, 0.62, 0.25, 0.75] } else { &[0.5, 0.38, 0.62] };
        for &across in levels {
            let Some((from, to)) = widest_crossing(&self.rings, along, across) else { continue };
            for part in [0.5, 0.42, 0.58, 0.33, 0.67, 0.25, 0.75, 0.15, 0.85] {
                let centre = from + (to - from) * part;
                let place = Place { centre, along, half_width: half, half_height: FRAME };
                let fits = (to - from).norm() * part.min(1.0 - part) >= half;
                if !fits || !room.is_free(&place) || within && self.runs_through(&place) {
                    continue;
                }
                room.take(place, Holder::Text);
                let down = -along.left() * (LETTERING.mm() / 2.0);
                let ring = centre - along * (size / 2.0);
                self.number(layer, ring, radius, along);
                if size > 0.0 {
                    let start = ring + along * (radius + GAP) + down;
                    // Lines of laps run through a narrow strip.
                    let (rise, end) = (along.left() * LETTERING.mm(), along * (size - GAP - SIDE));
                    layer.fill(Ink::WHITE, [Line::closed([start, start + end, start + end + rise, start + rise])]);
                    layer.items.push(beginning(start, along, false, Ink::BLACK, &self.size));
                }
                return true;
            }
        }
        false
    }
}

impl StripLabel<'_> {
    /// The mark in its frame.
    fn number(&self, layer: &mut Layer, centre: At, radius: f64, along: At) {
        layer.fill_stroke(Ink::WHITE, THIN, [frame(centre, radius, along)]);
        layer.items.push(centred(centre, along, true, self.mark));
    }

    /// Draws the mark beside the strip, with a leader to a dot on it, where `may_stand` allows; false if there is no room. A leader
    /// crosses lines but no text.
    pub(super) fn draw_led(&self, room: &mut Room, layer: &mut Layer, may_stand: impl Fn(At) -> bool) -> bool {
        let along = readable(self.along);
        let radius = (lettering::width(self.mark, LETTERING, true) / 2.0 + 0.9).max(FRAME);
        let level = At::new(1.0, 0.0);
        let Some((from, to)) = widest_crossing(&self.rings, along, 0.5) else { return false };
        for distance in [4.0, 6.0, 9.0, 13.0, 18.0, 24.0, 31.0] {
            for part in [0.5, 0.25, 0.75, 0.08, 0.92] {
                let dot = from + (to - from) * part;
                for away in [along.left(), along.right(), along, -along] {
                    for (ahead, aside) in DIRECTIONS {
                        let towards = away * ahead + away.left() * aside;
                        let place = Place::level(dot + towards * (distance + radius), 2.0 * radius, 2.0 * FRAME);
                        let end = place.nearest(dot);
                        let leader = Place::line(dot, end - (end - dot).unit() * 0.1, 0.15);
                        if !may_stand(place.centre) || !room.is_free(&place) || !room.is_free_of_text(&leader) {
                            continue;
                        }
                        room.take(place, Holder::Text);
                        room.take_band(dot, end, 0.3);
                        layer.stroke(FINE, [Line::open([dot, end])]);
                        layer.circle(dot, 0.45, None, Some(Ink::BLACK));
                        self.number(layer, place.centre, radius, level);
                        return true;
                    }
                }
            }
        }
        false
    }
}

/// A frame with cut corners, `half` to either side of its centre: what every number of a strip stands in.
pub(super) fn frame(centre: At, half: f64, along: At) -> Line {
    let corner = 1.0;
    let (x, y) = (half, FRAME);
    let points =
        [(corner - x, -y), (x - corner, -y), (x, corner - y), (x, y - corner), (x - corner, y), (corner - x, y)];
    let points = points.into_iter().chain([(-x, y - corner), (-x, corner - y)]);
    Line::closed(points.map(|(x, y)| centre + along * x + along.left() * y).collect::<Vec<_>>())
}

/// Least and greatest distance of the outer ring's points in a direction.
fn extent(rings: &[Line], direction: At) -> Option<(f64, f64)> {
    let heights = rings.first()?.points.iter().map(|point| point.dot(direction));
    Some(heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v))))
}

/// The longest stretch inside the rings of the line along `along` that lies `across` of their extent over them.
fn widest_crossing(rings: &[Line], along: At, across: f64) -> Option<(At, At)> {
    let up = along.left();
    let (low, high) = extent(rings, up)?;
    let level = low + (high - low) * across;
    let mut crossings = Vec::new();
    for ring in rings {
        let next = ring.points.iter().cycle().skip(1);
        for (a, b) in ring.points.iter().zip(next) {
            let (va, vb) = (a.dot(up), b.dot(up));
            if (va > level) != (vb > level) {
                let (ua, ub) = (a.dot(along), b.dot(along));
                crossings.push(ua + (ub - ua) * (level - va) / (vb - va));
            }
        }
    }
    crossings.sort_by(f64::total_cmp);
    let longest = crossings.chunks_exact(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
    let at = |u: f64| along * u + up * level;
    Some((at(longest[0]), at(longest[1])))
}
