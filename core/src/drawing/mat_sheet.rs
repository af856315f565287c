//! The mat's lay-out: every piece of one roof in laying order, on one sheet to scale.
//!
//! Pieces are drawn in the order in which they are laid, each over the ones before: a full line is an edge that lies on
//! top, a dashed one an edge that another piece covers. Feathers stand on torn edges that lap over. A table says what each
//! piece is, from which roll, and which pieces it laps over.

use std::collections::BTreeMap;

use super::at::At;
use super::label::StripLabel;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Item, Layer, Lettering, Line, Pen, Sheet, Stroke};
use super::paper::{self, BOLD, FINE, Paper, Scale, THIN, TITLE_HEIGHT, Title};
use super::place::Room;
use super::plan_sheet::{COLUMN, arrange, fixed, whole_mm};
use super::view::{self, View};
use crate::mat::{EdgeFinish, LapKind, RoofMat, StripPiece};
use crate::plan::{Plan, RoofPlan};

/// The pen of edges of mat that lie on top.
const EDGE: Stroke = Stroke::new(Pen::Medium, Ink::BLACK);
/// Feathers of torn edges: their length and from one to the next.
const FEATHER: f64 = 1.3;
const FEATHER_PITCH: f64 = 2.6;
/// Most feathers on a sheet.
const MOST_FEATHERS: usize = 4_000;
/// Most labels that a person could read.
const MOST_LABELS: usize = 400;
/// Most labels beside their pieces.
const MOST_LED: usize = 100;
/// From one row of the table to the next.
const PITCH: f64 = 3.9;

/// The lay-out of one roof, which must be one of the plan's.
pub(super) fn sheet(plan: &Plan, index: usize) -> Option<Sheet> {
    let roof = plan.roofs.get(index)?;
    let bounds = view::bounds(roof)?;
    let (paper, placed) = arrange(&[(index, roof, bounds)]);
    let view = placed.first()?.view;
    let (low, high) = paper::field(paper);

    let (mut deck, mut mat, mut torn) = (Layer::new("deck"), Layer::new("mat"), Layer::new("torn-edges"));
    let (mut openings, mut labels, mut frame) = (Layer::new("openings"), Layer::new("labels"), Layer::new("frame"));
    let mut room = Room::new(low + At::new(1.0, 10.0), At::new(high.x - COLUMN - 1.0, high.y - 1.0));

    outline(&mut deck, roof, &view);
    pieces(&mut mat, &mut torn, roof, &view);
    for item in &torn.items {
        let Item::Path { lines, .. } = item else { continue };
        for line in lines {
            if let [foot, end] = line.points[..] {
                room.take_band(foot, end, 0.2);
            }
        }
    }
    for ring in roof.rings.iter().skip(1) {
        let points: Vec<At> = ring.points.iter().map(|&point| view.at(point)).collect();
        openings.fill_stroke(Ink::WHITE, BOLD, [Line::closed(points.clone())]);
        view::opening(&mut openings, &points);
        for (&from, &to) in points.iter().zip(points.iter().cycle().skip(1)) {
            room.take_band(from, to, 0.4);
        }
    }
    view::penetrations(&mut openings, roof, &view);
    view::take_penetrations(&mut room, roof, &view);
    let missing = draw_labels(&mut labels, &mut room, roof, &view);

    paper::border(&mut frame, paper);
    frame.stroke(BOLD, [Line::open([At::new(high.x - COLUMN, low.y), At::new(high.x - COLUMN, high.y)])]);
    paper::scale_bar(&mut frame, low + At::new(5.0, 3.0), view.scale, 90.0);
    let name = format!("mat lay-out: {}", roof.name);
    let title = title(plan, roof, &name, paper, view.scale);
    paper::title_block(&mut frame, &title, COLUMN);
    let left = high.x - COLUMN + 3.0;
    let top = legend(&mut frame, At::new(left, high.y - 3.0), roof);
    table(&mut frame, roof, missing, At::new(left, top), low.y + TITLE_HEIGHT + 2.0);
    let layers = vec![deck, mat, torn, openings, labels, frame];
    let title = format!("{}: {name}", title.job);
    Some(Sheet { title, width: paper.width(), height: paper.height(), layers })
}

fn title<'a>(plan: &'a Plan, roof: &RoofPlan, name: &'a str, paper: Paper, scale: Scale) -> Title<'a> {
    let mat = &roof.mat;
    Title {
        job: plan.name.as_deref().unwrap_or("roof"),
        sheet: name,
        lines: vec![
            format!("{} on {paper:?}", scale.designation()),
            format!("{} m off the roll, {} m² laid", fixed(mat.off_roll.m(), 2), fixed(mat.laid_m2, 2)),
            "dimensions in mm".into(),
        ],
        paper,
    }
}

fn outline(deck: &mut Layer, roof: &RoofPlan, view: &View) {
    let rings: Vec<Line> = roof.rings.iter().map(|ring| view.ring(&ring.points)).collect();
    deck.fill(Ink::PALE, rings.clone());
    deck.stroke(BOLD, rings);
    let seams: Vec<Line> = roof.mat.seams.iter().map(|seam| view.ring(&seam.points)).collect();
    if !seams.is_empty() {
        deck.fill(Ink::WHITE, seams);
    }
}

/// The pieces in laying order, hidden edges, and feathers on the torn edges of laps.
fn pieces(mat: &mut Layer, torn: &mut Layer, roof: &RoofPlan, view: &View) {
    let tints = [Ink::WHITE, Ink::new(0xf0, 0xf0, 0xf0)];
    let mut hidden = Vec::new();
    let mut feathers = Vec::new();
    for (index, strip) in roof.mat.strips.iter().enumerate() {
        for piece in &strip.pieces {
            let rings: Vec<Line> = piece.outline.iter().map(|ring| view.ring(ring)).collect();
            hidden.extend(rings.iter().cloned());
            feather(&mut feathers, &roof.mat, strip.zone, piece, &rings);
            if roof.mat.laps.iter().any(|lap| lap.kind == LapKind::Zone && lap.over == piece.mark) {
                let under = roof.mat.zones.iter().take(strip.zone);
                let under: Vec<Vec<Line>> =
                    under.map(|zone| zone.outline.iter().map(|ring| view.ring(ring)).collect()).collect();
                feather_over_zones(&mut feathers, &rings, &under);
            }
            mat.fill_stroke(tints[index % 2], EDGE, rings);
        }
    }
    // Two lines closer than this would be read as one.
    if !hidden.is_empty() && view.scale.on_paper(roof.mat.lap.mm()) >= 0.4 {
        mat.stroke(FINE.dashed(Dash::Dashed), hidden);
    }
    if !feathers.is_empty() {
        torn.stroke(FINE, feathers);
    }
}

/// Feathers on the edges of a piece that lie over zones laid before.
fn feather_over_zones(feathers: &mut Vec<Line>, rings: &[Line], under: &[Vec<Line>]) {
    for (&a, &b) in rings.iter().flat_map(|ring| ring.points.iter().zip(ring.points.iter().cycle().skip(1))) {
        let outward = (b - a).unit().right();
        let beside = (a + b) * 0.5 + outward * 0.3;
        if under.iter().any(|zone| inside(zone, beside)) {
            feather_edge(feathers, a, b, outward);
        }
    }
}

/// Whether a point lies inside rings taken together, by the even-odd rule.
fn inside(rings: &[Line], at: At) -> bool {
    let edges = rings.iter().flat_map(|ring| ring.points.iter().zip(ring.points.iter().cycle().skip(1)));
    let crossed =
        edges.filter(|(a, b)| (a.y > at.y) != (b.y > at.y) && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y));
    crossed.count() % 2 == 1
}

/// Feathers along one edge.
fn feather_edge(feathers: &mut Vec<Line>, a: At, b: At, outward: At) {
    let count = ((b - a).norm() / FEATHER_PITCH) as usize;
    let way = (b - a).unit();
    for k in 0..count.min(MOST_FEATHERS.saturating_sub(feathers.len())) {
        let foot = a + way * (FEATHER_PITCH * (k as f64 + 0.5));
        feathers.push(Line::open([foot, foot - outward * FEATHER + way * (0.4 * FEATHER)]));
    }
}

/// Feathers on the edges of a piece that lap over others.
fn feather(feathers: &mut Vec<Line>, mat: &RoofMat, zone: usize, piece: &StripPiece, rings: &[Line]) {
    let over = |kind| mat.laps.iter().any(|lap| lap.kind == kind && lap.over == piece.mark);
    let along = direction(mat, zone);
    let up = along.left();
    let mut edges: Vec<At> = Vec::new();
    if over(LapKind::Side) {
        edges.extend((piece.edges.low == EdgeFinish::Torn).then_some(-up));
        edges.extend((piece.edges.high == EdgeFinish::Torn).then_some(up));
    }
    if over(LapKind::End) {
        edges.extend((piece.edges.start == EdgeFinish::Torn).then_some(-along));
        edges.extend((piece.edges.end == EdgeFinish::Torn).then_some(along));
    }
    for outward in edges {
        let points = || rings.iter().flat_map(|ring| &ring.points);
        let far = points().map(|point| point.dot(outward)).fold(f64::NEG_INFINITY, f64::max);
        for ring in rings {
            for (&a, &b) in ring.points.iter().zip(ring.points.iter().cycle().skip(1)) {
                // Only what lies on the edge as it came off the roll; the rest follows the outline.
                if (a.dot(outward) - far).abs() > 0.02 || (b.dot(outward) - far).abs() > 0.02 {
                    continue;
                }
                feather_edge(feathers, a, b, outward);
            }
        }
    }
}

fn direction(mat: &RoofMat, zone: usize) -> At {
    let (x, y) = mat.zones.get(zone).map_or(mat.direction, |zone| zone.direction);
    At::new(x, y).unit()
}

/// Writes mark, size and roll on every piece that has room, and beside one that has none, with a leader: outside the roof, else
/// over it. Says how many are without a label.
fn draw_labels(layer: &mut Layer, room: &mut Room, roof: &RoofPlan, view: &View) -> usize {
    let mut left = Vec::new();
    let mut budget = MOST_LABELS;
    for strip in &roof.mat.strips {
        for piece in &strip.pieces {
            let label = StripLabel {
                mark: &piece.mark,
                size: format!("{} × {}  roll {}", whole_mm(piece.length), whole_mm(piece.width), piece.roll),
                rings: piece.outline.iter().map(|ring| view.ring(ring)).collect(),
                along: direction(&roof.mat, strip.zone),
            };
            if budget == 0 || label.is_narrow() || !label.draw(room, layer) {
                left.push(label);
            }
            budget = budget.saturating_sub(1);
        }
    }
    let rings: Vec<Line> = roof.rings.iter().map(|ring| view.ring(&ring.points)).collect();
    for ring in &rings {
        for (&from, &to) in ring.points.iter().zip(ring.points.iter().cycle().skip(1)) {
            room.take_band(from, to, 0.4);
        }
    }
    let outside = |at: At| !inside(&rings, at);
    let led = |label: &&StripLabel<'_>| label.draw_led(room, layer, outside) || label.draw_led(room, layer, |_| true);
    let missing = left.len();
    missing - left.iter().take(MOST_LED).filter(led).count()
}

/// Draws what the lines mean from the upper left corner; gives the height where it ends.
fn legend(layer: &mut Layer, corner: At, roof: &RoofPlan) -> f64 {
    let mut y = corner.y - 3.5;
    layer.bold(At::new(corner.x, y), Anchor::Start, Lettering::Normal, "Legend");
    y -= 6.0;
    let mut row = |layer: &mut Layer, text: &str, draw: &dyn Fn(&mut Layer, At, At)| {
        let (from, to) = (At::new(corner.x, y + 1.2), At::new(corner.x + 13.0, y + 1.2));
        draw(layer, from, to);
        layer.text(At::new(corner.x + 16.0, y), Anchor::Start, Lettering::Small, text);
        y -= 5.2;
    };
    row(layer, "edge of mat on top", &|layer, from, to| layer.stroke(EDGE, [Line::open([from, to])]));
    row(layer, "edge of mat below", &|layer, from, to| {
        layer.stroke(FINE.dashed(Dash::Dashed), [Line::open([from, to])]);
    });
    row(layer, "torn edge on top", &|layer, from, to| {
        layer.stroke(EDGE, [Line::open([from, to])]);
        let feathers = (0..5).map(|k| {
            let foot = from + At::new(FEATHER_PITCH * (f64::from(k) + 0.5), 0.0);
            Line::open([foot, foot + At::new(0.4 * FEATHER, FEATHER)])
        });
        layer.stroke(FINE, feathers.collect::<Vec<_>>());
    });
    if roof.rings.len() > 1 {
        row(layer, "cut out", &|layer, from, to| {
            let box_of = Line::rectangle(At::new((from.x + to.x) / 2.0 - 3.0, from.y - 1.6), 6.0, 3.2);
            view::opening(layer, &box_of.points);
            layer.stroke(THIN, [box_of]);
        });
    }
    y
}

fn size(piece: &StripPiece) -> String {
    format!("{} × {}", whole_mm(piece.length), whole_mm(piece.width))
}

/// Where the columns of the table begin: wide enough for what stands in each, and no narrower than they look well.
fn columns(mat: &RoofMat) -> [f64; 4] {
    const GAP: f64 = 1.5;
    let mut widths = [8.0, 25.0, 10.0];
    for piece in mat.strips.iter().flat_map(|strip| &strip.pieces) {
        let cells = [(piece.mark.clone(), true), (size(piece), false), (piece.roll.to_string(), false)];
        for (width, (text, bold)) in widths.iter_mut().zip(cells) {
            *width = (lettering::width(&text, Lettering::Small, bold) + GAP).max(*width);
        }
    }
    let [mark, size, roll] = widths;
    [0.0, mark, mark + size, mark + size + roll]
}

/// The pieces in laying order: size, roll, what each laps over, from beside what it is cut. What has no room is counted.
fn table(layer: &mut Layer, roof: &RoofPlan, missing: usize, corner: At, bottom: f64) {
    let mut over: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for lap in &roof.mat.laps {
        over.entry(&lap.over).or_default().push(&lap.under);
    }
    let columns = columns(&roof.mat);
    let mut y = corner.y - 3.5;
    let heads = ["", "size", "roll", "over"];
    for (column, head) in columns.iter().zip(heads) {
        layer.bold(At::new(corner.x + column, y), Anchor::Start, Lettering::Small, head);
    }
    y -= PITCH + 0.6;
    let all: Vec<&StripPiece> = roof.mat.strips.iter().flat_map(|strip| &strip.pieces).collect();
    let last = if missing > 0 { bottom + PITCH } else { bottom };
    for (index, piece) in all.iter().enumerate() {
        let lines = if piece.beside.is_some() { 2.0 } else { 1.0 };
        // One line is kept for saying that there is more.
        if y < last + PITCH * lines && index + 1 < all.len() {
            let text = format!("and {} more: see the cutting sheets", all.len() - index);
            layer.bold(At::new(corner.x, y), Anchor::Start, Lettering::Small, text);
            y -= PITCH;
            break;
        }
        let short =
            |text: &str, column: f64| lettering::shortened(text, Lettering::Small, false, COLUMN - 6.0 - column);
        let says = over.get(piece.mark.as_str()).map_or_else(String::new, |under| short(&under.join(", "), columns[3]));
        let cells = [piece.mark.clone(), size(piece), piece.roll.to_string(), says];
        for (at, (column, text)) in columns.iter().zip(cells).enumerate() {
            let place = At::new(corner.x + column, y);
            if at == 0 {
                layer.bold(place, Anchor::Start, Lettering::Small, text);
            } else {
                layer.text(place, Anchor::Start, Lettering::Small, text);
            }
        }
        y -= PITCH;
        if let Some(host) = &piece.beside {
            let text = short(&format!("from beside {host}"), columns[1]);
            layer.text(At::new(corner.x + columns[1], y), Anchor::Start, Lettering::Small, text);
            y -= PITCH;
        }
    }
    if missing > 0 {
        let text = format!("Pieces without room for their mark: {missing}.");
        layer.text(At::new(corner.x, y), Anchor::Start, Lettering::Small, text);
    }
}
