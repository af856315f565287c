//! One roof as it lies on the sheet: from plan coordinates to paper, and the symbols of its parts.

use super::at::At;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Layer, Lettering, Line, Pen, Stroke};
use super::paper::{BOLD, FINE, Scale, THIN};
use super::place::{Holder, Place, Room};
use crate::geometry::Point;
use crate::length::Length;
use crate::plan::RoofPlan;
use crate::roof::Kind;
use crate::system::Closing;
use crate::trim::TrimRun;

/// Colours of the kinds: dark enough to print black, apart enough to tell at a glance. The line styles alone suffice.
pub(super) const fn kind_ink(kind: Kind) -> Ink {
    match kind {
        Kind::Drip => Ink::new(0x17, 0x4f, 0x7a),
        Kind::Abutment => Ink::new(0x7a, 0x2e, 0x1f),
        Kind::OpenSide => Ink::new(0x2c, 0x5a, 0x33),
    }
}

/// What a kind is called on sheets.
pub(super) const fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Drip => "drip",
        Kind::Abutment => "abutment: wall, kerb",
        Kind::OpenSide => "open side: raised trim",
    }
}

/// How far edge symbols reach outward on paper.
pub(super) const EDGE_DEPTH: f64 = 2.6;

/// The layers of a roof plan, the lowest first.
pub(super) struct RoofLayers {
    pub(super) deck: Layer,
    pub(super) mat: Layer,
    pub(super) seams: Layer,
    pub(super) openings: Layer,
    pub(super) edges: Layer,
    pub(super) patches: Layer,
    pub(super) joints: Layer,
    pub(super) outlets: Layer,
    pub(super) dimensions: Layer,
    pub(super) labels: Layer,
}

impl RoofLayers {
    pub(super) fn new() -> Self {
        RoofLayers {
            deck: Layer::new("deck"),
            mat: Layer::new("mat"),
            seams: Layer::new("seams"),
            openings: Layer::new("openings"),
            edges: Layer::new("edges"),
            patches: Layer::new("patches"),
            joints: Layer::new("joints"),
            outlets: Layer::new("outlets"),
            dimensions: Layer::new("dimensions"),
            labels: Layer::new("labels"),
        }
    }

    pub(super) fn into_vec(self) -> Vec<Layer> {
        vec![
            self.deck,
            self.mat,
            self.seams,
            self.openings,
            self.edges,
            self.patches,
            self.joints,
            self.outlets,
            self.dimensions,
            self.labels,
        ]
    }
}

/// Where a roof lies on the sheet.
#[derive(Clone, Copy)]
pub(super) struct View {
    /// The plan point that lies at `corner`.
    pub(super) origin: Point,
    pub(super) corner: At,
    pub(super) scale: Scale,
}

impl View {
    pub(super) fn at(&self, point: Point) -> At {
        let x = self.scale.on_paper((point.x - self.origin.x).mm());
        let y = self.scale.on_paper((point.y - self.origin.y).mm());
        self.corner + At::new(x, y)
    }

    /// How large symbols of joints and patches are: smaller than usual below 1:100, where they would hide the edge.
    pub(super) fn symbol(&self) -> f64 {
        self.scale.on_paper(100.0).clamp(0.4, 1.0)
    }

    pub(super) fn ring(&self, points: &[Point]) -> Line {
        Line::closed(points.iter().map(|&point| self.at(point)).collect::<Vec<_>>())
    }

    /// Where on a run a distance from the start of its cut length lies.
    pub(super) fn along(&self, run: &TrimRun, distance: Length) -> At {
        let (from, to) = (self.at(run.from), self.at(run.to));
        from + (to - from).unit() * self.scale.on_paper((distance - run.start.gain).mm())
    }
}

/// Lower left and upper right corner of a roof's outline.
pub(super) fn bounds(roof: &RoofPlan) -> Option<(Point, Point)> {
    let mut points = roof.rings.iter().flat_map(|ring| &ring.points);
    let first = *points.next()?;
    Some(points.fold((first, first), |(low, high), point| {
        (
            Point { x: low.x.min(point.x), y: low.y.min(point.y) },
            Point { x: high.x.max(point.x), y: high.y.max(point.y) },
        )
    }))
}

/// Draws deck, mat, seams, openings and outlets.
pub(super) fn ground(layers: &mut RoofLayers, roof: &RoofPlan, view: &View) {
    let rings: Vec<Line> = roof.rings.iter().map(|ring| view.ring(&ring.points)).collect();
    layers.deck.fill(Ink::PALE, rings);
    let seams: Vec<Line> = roof.mat.seams.iter().map(|seam| view.ring(&seam.points)).collect();
    if !seams.is_empty() {
        layers.deck.fill(Ink::WHITE, seams.clone());
        layers.seams.stroke(FINE.dashed(Dash::Chain), seams);
    }
    mat(layers, roof, view);
    for ring in roof.rings.iter().skip(1) {
        let points: Vec<At> = ring.points.iter().map(|&point| view.at(point)).collect();
        layers.openings.fill(Ink::WHITE, [Line::closed(points.clone())]);
        opening(&mut layers.openings, &points);
    }
    penetrations(&mut layers.outlets, roof, view);
}

/// Strips in laying order: each covers the edge of the one below, whose hidden edge is then drawn dashed.
fn mat(layers: &mut RoofLayers, roof: &RoofPlan, view: &View) {
    let tints = [Ink::WHITE, Ink::new(0xf3, 0xf5, 0xee)];
    let mut hidden = Vec::new();
    for (index, strip) in roof.mat.strips.iter().enumerate() {
        for piece in &strip.pieces {
            let rings: Vec<Line> = piece.outline.iter().map(|ring| view.ring(ring)).collect();
            hidden.extend(rings.iter().cloned());
            layers.mat.fill_stroke(tints[index % 2], Stroke::new(Pen::Fine, Ink::GREY), rings);
        }
    }
    // Two lines closer than this would be read as one.
    if !hidden.is_empty() && view.scale.on_paper(roof.mat.lap.mm()) >= 0.4 {
        layers.mat.stroke(Stroke::new(Pen::Fine, Ink::GREY).dashed(Dash::Dashed), hidden);
    }
}

/// An opening: crossed from corner to corner if it has four, from its middle to every corner otherwise.
pub(super) fn opening(layer: &mut Layer, points: &[At]) {
    let stroke = Stroke::new(Pen::Fine, Ink::GREY);
    if let [a, b, c, d] = *points {
        layer.stroke(stroke, [Line::open([a, c]), Line::open([b, d])]);
    } else if !points.is_empty() && points.len() <= 24 {
        let middle = points.iter().fold(At::default(), |sum, &point| sum + point) * (1.0 / points.len() as f64);
        layer.stroke(stroke, points.iter().map(|&point| Line::open([middle, point])).collect::<Vec<_>>());
    }
}

/// Draws outlets, and pipes with their names.
pub(super) fn penetrations(layer: &mut Layer, roof: &RoofPlan, view: &View) {
    for outlet in &roof.outlets {
        outlet_symbol(layer, view.at(outlet.at), radius(view, outlet.diameter));
    }
    for pipe in &roof.pipes {
        let (at, radius) = (view.at(pipe.at), radius(view, pipe.diameter));
        pipe_symbol(layer, at, radius);
        if let Some(name) = &pipe.name {
            layer.text(at + At::new(radius + NAME_OFF, -1.0), Anchor::Start, Lettering::Small, name.as_str());
        }
    }
}

/// From the rim of a pipe to its name.
const NAME_OFF: f64 = 1.6;

fn radius(view: &View, diameter: Length) -> f64 {
    view.scale.on_paper(diameter.mm() / 2.0).max(0.9)
}

/// Keeps labels off outlets and pipes, and off the names of these.
pub(super) fn take_penetrations(room: &mut Room, roof: &RoofPlan, view: &View) {
    let pipes = roof.pipes.iter().map(|pipe| (pipe.at, pipe.diameter));
    for (at, diameter) in roof.outlets.iter().map(|outlet| (outlet.at, outlet.diameter)).chain(pipes) {
        let size = 2.0 * radius(view, diameter) + 4.0;
        room.take(Place::level(view.at(at), size, size), Holder::Drawing);
    }
    for pipe in &roof.pipes {
        let Some(name) = &pipe.name else { continue };
        let width = lettering::width(name, Lettering::Small, false);
        let left = radius(view, pipe.diameter) + NAME_OFF;
        room.take(Place::level(view.at(pipe.at) + At::new(left + width / 2.0, 0.0), width, 3.0), Holder::Text);
    }
}

/// A pipe: its section, hatched by a slanting cross, and the sleeve around it.
pub(super) fn pipe_symbol(layer: &mut Layer, at: At, radius: f64) {
    layer.circle(at, radius + 0.7, Some(THIN), Some(Ink::WHITE));
    layer.circle(at, radius, Some(BOLD), None);
    let arm = radius * std::f64::consts::FRAC_1_SQRT_2;
    let cross = [At::new(arm, arm), At::new(arm, -arm)].map(|arm| Line::open([at - arm, at + arm]));
    layer.stroke(FINE, cross);
}

pub(super) fn outlet_symbol(layer: &mut Layer, at: At, radius: f64) {
    layer.circle(at, radius + 0.7, Some(THIN), Some(Ink::WHITE));
    layer.circle(at, radius, Some(THIN), None);
    let arm = radius + 2.0;
    let cross = [At::new(arm, 0.0), At::new(0.0, arm)].map(|arm| Line::open([at - arm, at + arm]));
    layer.stroke(FINE, cross);
}

/// How far symbols reach into an opening: less where it is narrow, measured by its area over its girth.
pub(super) fn opening_depth(points: &[At]) -> f64 {
    let next = || points.iter().zip(points.iter().cycle().skip(1));
    let area: f64 = next().map(|(&a, &b)| a.cross(b)).sum::<f64>().abs() / 2.0;
    let girth: f64 = next().map(|(&a, &b)| (b - a).norm()).sum();
    if girth > 0.0 { (0.6 * area / girth).min(EDGE_DEPTH) } else { EDGE_DEPTH }
}

/// An edge in the manner of its kind; the outer side is to the right of `from`-`to`, and symbols reach `depth` that way.
pub(super) fn edge(layer: &mut Layer, kind: Kind, from: At, to: At, depth: f64) {
    let ink = kind_ink(kind);
    let along = (to - from).unit();
    let outward = along.right();
    let length = (to - from).norm();
    layer.stroke(
        Stroke::new(if kind == Kind::OpenSide { Pen::Bold } else { Pen::Heavy }, ink),
        [Line::open([from, to])],
    );
    match kind {
        // Arrow heads that point the way the water goes.
        Kind::Drip => {
            let count = ((length / 12.0) as usize).clamp(1, 400);
            let step = length / count as f64;
            let heads: Vec<Line> = (0..count)
                .map(|index| {
                    let foot = from + along * (step * (index as f64 + 0.5));
                    let half = 0.9_f64.min(length / 2.0).min(depth / 2.4);
                    Line::closed([foot - along * half, foot + along * half, foot + outward * (half * 2.4)])
                })
                .collect();
            layer.fill(ink, heads);
        }
        // Slanted strokes, as walls are hatched (45 degrees).
        Kind::Abutment => {
            let count = ((length / 1.8) as usize).clamp(1, 1_000);
            let step = length / count as f64;
            let slant = (outward + along) * depth.min(length);
            let strokes: Vec<Line> = (0..count)
                .map(|index| {
                    let foot = from + along * (step * index as f64);
                    Line::open([foot, foot + slant * (1.0 - f64::from(u8::from(index + 1 == count)) * 0.5)])
                })
                .collect();
            layer.stroke(Stroke::new(Pen::Thin, ink), strokes);
        }
        // A second line: the raised rim.
        Kind::OpenSide => {
            let rim = outward * (depth / 2.0);
            layer.stroke(Stroke::new(Pen::Thin, ink), [Line::open([from, from + rim, to + rim, to])]);
        }
    }
}

/// A lap: two strokes across the trim where it begins and ends; one where lengths butt or the lap is too short to
/// show. `size` is 1 where there is room.
pub(super) fn joint(layer: &mut Layer, at: At, along: At, lap: f64, size: f64) {
    let inward = along.left();
    let across = |foot: At| Line::open([foot - inward * (1.2 * size), foot + inward * (2.6 * size)]);
    let mut strokes = vec![across(at)];
    if lap > 0.35 {
        strokes.push(across(at + along * lap.max(0.7)));
    }
    layer.stroke(Stroke::new(Pen::Medium, Ink::BLACK), strokes);
}

/// What closes the end of a trim that points `away`: a bar across it for a piece of strip, a filled triangle for a cap.
pub(super) fn closing(layer: &mut Layer, at: At, away: At, closing: Closing, size: f64) {
    let (tip, side) = (away * (2.2 * size), away.left() * (1.6 * size));
    match closing {
        Closing::Strip => layer.stroke(Stroke::new(Pen::Bold, Ink::BLACK), [Line::open([at - side, at + side])]),
        Closing::Cap => layer.fill(Ink::BLACK, [Line::closed([at - side, at + side, at + tip])]),
    }
}

/// A patch: a small square with a corner folded for each layer beyond the first.
pub(super) fn patch(layer: &mut Layer, at: At, layers: u32, size: f64) {
    let half = 1.5 * size;
    let corner = |sx: f64, sy: f64| at + At::new(half * sx, half * sy);
    layer.fill_stroke(Ink::WHITE, THIN, [Line::rectangle(corner(-1.0, -1.0), half * 2.0, half * 2.0)]);
    let mut lines = Vec::new();
    if layers > 1 {
        lines.push(Line::open([corner(-1.0, -1.0), corner(1.0, 1.0)]));
    }
    if layers > 2 {
        lines.push(Line::open([corner(-1.0, 1.0), corner(1.0, -1.0)]));
    }
    if !lines.is_empty() {
        layer.stroke(FINE, lines);
    }
}
