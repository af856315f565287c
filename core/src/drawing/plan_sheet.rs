//! The marked plan: every roof with its edges, trims, joints, patches and mat, on one sheet to scale.

use std::collections::BTreeMap;

use super::at::At;
use super::label::{OPENING, OUTSIDE, RunLabel, StripLabel};
use super::lettering;
use super::model::{Anchor, Layer, Lettering, Line, Sheet};
use super::panel;
use super::paper::{self, BOLD, Paper, Scale, TITLE_HEIGHT, Title};
use super::place::{Holder, Place, Room};
use super::view::{self, EDGE_DEPTH, RoofLayers, View, kind_ink};
use crate::geometry::Point;
use crate::length::Length;
use crate::plan::{Plan, RoofPlan};
use crate::trim::{CutList, Material, PieceEnd, TrimRun};

/// Width of the column with legend, cautions and title block.
pub(super) const COLUMN: f64 = 70.0;
/// Room around a roof for its dimensions.
const MARGIN: f64 = 24.0;
/// Room below a roof for its name, and below all of them for the scale bar.
const NAME: f64 = 8.0;
/// Roofs on one sheet; further ones are named in a note.
const MOST_ROOFS: usize = 12;
/// Labels on one sheet: what a person could read.
const MOST_LABELS: usize = 600;
/// No roof plan is drawn larger than this.
const LARGEST: u64 = 10;
/// Runs that an A4 sheet has room to label.
const A4_RUNS: usize = 24;

/// A roof on the sheet.
pub(super) struct Placed<'a> {
    index: usize,
    roof: &'a RoofPlan,
    pub(super) view: View,
    high: At,
}

/// The marked plan of the roofs with the given indices.
pub(super) fn sheet(plan: &Plan, indices: &[usize]) -> Sheet {
    let roofs: Vec<(usize, &RoofPlan, (Point, Point))> = indices
        .iter()
        .filter_map(|&index| plan.roofs.get(index).map(|roof| (index, roof)))
        .filter_map(|(index, roof)| view::bounds(roof).map(|bounds| (index, roof, bounds)))
        .collect();
    let left_out = roofs.len().saturating_sub(MOST_ROOFS);
    let shown = &roofs[..roofs.len() - left_out];
    let (paper, placed) = arrange(shown);

    let mut layers = RoofLayers::new();
    let (low, high) = paper::field(paper);
    let mut room = Room::new(low + At::new(1.0, NAME + 4.0), At::new(high.x - COLUMN - 1.0, high.y - 1.0));
    let laps = laps(&plan.cut_lists);
    for placed in &placed {
        draw_parts(&mut layers, &mut room, placed, &laps);
    }
    let missing = draw_labels(&mut layers, &mut room, &placed);

    let mut frame = Layer::new("frame");
    paper::border(&mut frame, paper);
    frame.stroke(BOLD, [Line::open([At::new(high.x - COLUMN, low.y), At::new(high.x - COLUMN, high.y)])]);
    let scale = placed.first().map(|placed| placed.view.scale);
    if let Some(scale) = scale {
        paper::scale_bar(&mut frame, low + At::new(5.0, 3.0), scale, 90.0);
    }
    let sheet_name = match shown {
        [(_, roof, _)] => format!("roof plan: {}", roof.name),
        _ => "roof plan".to_string(),
    };
    let area: f64 = shown.iter().map(|(_, roof, _)| roof.area_m2).sum();
    let title = Title {
        job: plan.name.as_deref().unwrap_or("roof"),
        sheet: &sheet_name,
        lines: vec![
            format!("{} on {paper:?}", scale.map_or("no scale".into(), Scale::designation)),
            format!("area {} m²", fixed(area, 2)),
            "dimensions in mm".into(),
        ],
        paper,
    };
    paper::title_block(&mut frame, &title, COLUMN);
    let mut notes = Vec::new();
    if missing.labels > 0 {
        notes.push(format!("Labels without room on this sheet: {}. See the cutting sheets.", missing.labels));
    }
    if missing.strips > 0 {
        notes.push(format!("Strips too narrow to number at this scale: {}. See the cutting sheets.", missing.strips));
    }
    if left_out > 0 {
        notes.push(format!("Roofs without room on this sheet: {left_out}. Draw each on its own."));
    }
    let roofs: Vec<&RoofPlan> = shown.iter().map(|(_, roof, _)| *roof).collect();
    let left = high.x - COLUMN + 3.0;
    let top = panel::legend(&mut frame, At::new(left, high.y - 3.0), &roofs);
    panel::remarks(&mut frame, plan, notes, At::new(left, top), low.y + TITLE_HEIGHT + 2.0, COLUMN - 5.0);
    let mut all = layers.into_vec();
    all.push(frame);
    Sheet { title: format!("{}: {sheet_name}", title.job), width: paper.width(), height: paper.height(), layers: all }
}

/// Chooses paper and scale, and sets the roofs out in rows in their order.
pub(super) fn arrange<'a>(roofs: &[(usize, &'a RoofPlan, (Point, Point))]) -> (Paper, Vec<Placed<'a>>) {
    let runs: usize = roofs.iter().map(|(_, roof, _)| roof.trims.runs.len()).sum();
    let (scale, placed) = rows(Paper::A4, roofs);
    let (larger, placed_larger) = rows(Paper::A3, roofs);
    // A4 goes on a clipboard: A3 only where it makes small things readable.
    if larger < scale && (scale.ratio() > 50 || runs > A4_RUNS) || runs > 2 * A4_RUNS {
        (Paper::A3, placed_larger)
    } else {
        (Paper::A4, placed)
    }
}

fn rows<'a>(paper: Paper, roofs: &[(usize, &'a RoofPlan, (Point, Point))]) -> (Scale, Vec<Placed<'a>>) {
    let (low, high) = paper::field(paper);
    let (width, height) = (high.x - low.x - COLUMN, high.y - low.y - NAME);
    for scale in Scale::all().filter(|scale| scale.ratio() >= LARGEST) {
        let size = |&(_, _, (low, high)): &(usize, &RoofPlan, (Point, Point))| {
            At::new(scale.on_paper((high.x - low.x).mm()), scale.on_paper((high.y - low.y).mm()))
        };
        let mut rows: Vec<(Vec<usize>, At)> = Vec::new();
        for (position, roof) in roofs.iter().enumerate() {
            let cell = size(roof) + At::new(2.0 * MARGIN, 2.0 * MARGIN + NAME);
            match rows.last_mut() {
                Some((members, extent)) if extent.x + cell.x <= width => {
                    members.push(position);
                    *extent = At::new(extent.x + cell.x, extent.y.max(cell.y));
                }
                _ => rows.push((vec![position], cell)),
            }
        }
        let tall: f64 = rows.iter().map(|(_, extent)| extent.y).sum();
        if tall > height || rows.iter().any(|(_, extent)| extent.x > width) {
            continue;
        }
        // What is left over goes evenly between the rows and, within a row, between its roofs.
        let spare = (height - tall) / (rows.len() as f64 + 1.0);
        let mut placed = Vec::new();
        let mut top = high.y;
        for (members, extent) in &rows {
            top -= spare;
            let gap = (width - extent.x) / (members.len() as f64 + 1.0);
            let mut left = low.x;
            for &position in members {
                let (index, roof, (origin, _)) = roofs[position];
                let size = size(&roofs[position]);
                left += gap;
                let bottom = top - extent.y + MARGIN + NAME + (extent.y - size.y - 2.0 * MARGIN - NAME) / 2.0;
                let corner = At::new(left + MARGIN, bottom);
                placed.push(Placed { index, roof, view: View { origin, corner, scale }, high: corner + size });
                left += size.x + 2.0 * MARGIN;
            }
            top -= extent.y;
        }
        return (scale, placed);
    }
    (Scale::fitting(f64::INFINITY, 0.0), Vec::new())
}

/// Overlap at each joint of each run, by roof and run.
fn laps(cut_lists: &[CutList]) -> BTreeMap<(usize, usize), Length> {
    let trims = cut_lists.iter().filter(|list| list.material <= Material::OpenSide);
    let pieces = trims.flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces);
    pieces
        .filter_map(|piece| match (&piece.start, &piece.end) {
            (PieceEnd::Lap { length, .. }, _) | (_, PieceEnd::Lap { length, .. }) => {
                Some(((piece.roof, piece.run), *length))
            }
            _ => None,
        })
        .collect()
}

/// Draws everything but labels, and takes its room.
fn draw_parts(layers: &mut RoofLayers, room: &mut Room, placed: &Placed<'_>, laps: &BTreeMap<(usize, usize), Length>) {
    let Placed { index, roof, view, high } = placed;
    view::ground(layers, roof, view);
    for (number, ring) in roof.rings.iter().enumerate() {
        let points: Vec<At> = ring.points.iter().map(|&point| view.at(point)).collect();
        let depth = if number == 0 { EDGE_DEPTH } else { view::opening_depth(&points) };
        layers.edges.stroke(BOLD, [Line::closed(points.clone())]);
        for (position, (&from, &to)) in points.iter().zip(points.iter().cycle().skip(1)).enumerate() {
            let Some(&kind) = ring.kinds.get(position) else { continue };
            view::edge(&mut layers.edges, kind, from, to, depth);
            let symbol = (to - from).unit().right() * (depth / 2.0);
            room.take_band(from + symbol, to + symbol, depth / 2.0 + 0.3);
        }
    }
    for (position, run) in roof.trims.runs.iter().enumerate() {
        let along = (view.at(run.to) - view.at(run.from)).unit();
        let lap = laps.get(&(*index, position)).map_or(0.0, |lap| view.scale.on_paper(lap.mm()));
        for &joint in &run.joints {
            let at = view.along(run, joint);
            view::joint(&mut layers.joints, at, along, lap, view.symbol());
            room.take(
                Place::level(at + along * (lap / 2.0), lap.max(2.0) * view.symbol(), 3.0 * view.symbol()),
                Holder::Drawing,
            );
        }
    }
    for run in &roof.trims.runs {
        let along = (view.at(run.to) - view.at(run.from)).unit();
        let ends = [(&run.start, Length::ZERO, along * -1.0), (&run.end, run.cut_length, along)];
        for (end, at, away) in ends {
            if let Some(closing) = end.closing {
                view::closing(&mut layers.joints, view.along(run, at), away, closing, view.symbol());
            }
        }
    }
    for patch in &roof.mat.patches {
        let at = view.at(patch.at);
        view::patch(&mut layers.patches, at, patch.layers, view.symbol());
        room.take(Place::level(at, 3.4 * view.symbol(), 3.4 * view.symbol()), Holder::Drawing);
    }
    view::take_penetrations(room, roof, view);
    let name = format!("{}, {} m²", roof.name, fixed(roof.area_m2, 2));
    let under = At::new((view.corner.x + high.x) / 2.0, view.corner.y - MARGIN - NAME + 3.0);
    let most = (high.x - view.corner.x) + 2.0 * MARGIN - 4.0;
    let name = lettering::shortened(&name, Lettering::Normal, true, most);
    let width = lettering::width(&name, Lettering::Normal, true);
    room.take(Place::level(under + At::new(0.0, 1.75), width, 5.0), Holder::Text);
    layers.labels.bold(under, Anchor::Middle, Lettering::Normal, name);
}

/// Draws strip numbers and the runs' labels; says how many found no room.
fn draw_labels(layers: &mut RoofLayers, room: &mut Room, placed: &[Placed<'_>]) -> Missing {
    let mut missing = Missing::default();
    let mut budget = MOST_LABELS;
    let mut labels = Vec::new();
    for Placed { roof, view, .. } in placed {
        labels.extend(roof.trims.runs.iter().map(|run| run_label(run, view)));
        let along = At::new(roof.mat.direction.0, roof.mat.direction.1).unit();
        for piece in roof.mat.strips.iter().flat_map(|strip| &strip.pieces) {
            let label = StripLabel {
                mark: &piece.mark,
                size: format!("{} × {}", whole_mm(piece.length), whole_mm(piece.width)),
                rings: piece.outline.iter().map(|ring| view.ring(ring)).collect(),
                along,
            };
            if label.is_narrow() {
                missing.strips += 1;
            } else {
                let drawn = budget > 0 && label.draw(room, &mut layers.labels);
                budget = budget.saturating_sub(1);
                missing.labels += usize::from(!drawn);
            }
        }
    }
    // The longest first: they have the fewest places to choose from. A stable sort keeps the order of equal ones.
    labels.sort_by(|a, b| (b.to - b.from).norm().total_cmp(&(a.to - a.from).norm()));
    for label in labels {
        let drawn = budget > 0 && label.draw(room, &mut layers.dimensions, &mut layers.labels);
        budget = budget.saturating_sub(1);
        missing.labels += usize::from(!drawn);
    }
    missing
}

/// What could not be written on a sheet.
#[derive(Default)]
struct Missing {
    /// Labels that found no room.
    labels: usize,
    /// Pieces of mat that are too narrow on paper.
    strips: usize,
}

fn run_label(run: &TrimRun, view: &View) -> RunLabel {
    let mut before = Length::ZERO;
    let mut joints = Vec::new();
    for &joint in &run.joints {
        let from_corner = joint - run.start.gain;
        joints.push((view.along(run, joint), whole_mm(from_corner - before)));
        before = from_corner;
    }
    RunLabel {
        mark: run.mark.clone(),
        ink: kind_ink(run.kind),
        number: whole_mm(run.line_length),
        from: view.at(run.from),
        to: view.at(run.to),
        rest: whole_mm(run.line_length - before),
        joints,
        levels: if run.ring == 0 { OUTSIDE } else { OPENING },
    }
}

/// Whole millimetres, as dimensions are written.
pub(super) fn whole_mm(length: Length) -> String {
    (length.um() + 500).div_euclid(1_000).to_string()
}

/// A number with so many decimals.
pub(super) fn fixed(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}")
}
