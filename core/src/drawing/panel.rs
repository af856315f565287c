//! The column beside a roof plan: the legend, and what must be known before work begins.

use std::collections::BTreeSet;

use super::at::At;
use super::label;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Layer, Lettering, Line, Pen, Stroke};
use super::paper::{FINE, THIN};
use super::view::{self, kind_name};
use crate::finding::Grade;
use crate::plan::{Plan, RoofPlan};
use crate::roof::Kind;
use crate::system::Closing;

/// Draws the legend of what is on the sheet from its upper left corner; gives the height where it ends.
pub(super) fn legend(layer: &mut Layer, corner: At, roofs: &[&RoofPlan]) -> f64 {
    let any = |has: fn(&RoofPlan) -> bool| roofs.iter().any(|roof| has(roof));
    let mut y = corner.y - 3.5;
    layer.bold(At::new(corner.x, y), Anchor::Start, Lettering::Normal, "Legend");
    y -= 6.0;
    let mut row = |layer: &mut Layer, text: &str, draw: &dyn Fn(&mut Layer, At, At)| {
        let (from, to) = (At::new(corner.x, y + 1.2), At::new(corner.x + 13.0, y + 1.2));
        draw(layer, from, to);
        layer.text(At::new(corner.x + 16.0, y), Anchor::Start, Lettering::Small, text);
        y -= 5.6;
    };
    for kind in Kind::ALL {
        if roofs.iter().any(|roof| roof.rings.iter().any(|ring| ring.kinds.contains(&kind))) {
            let text = format!("{} {}", kind.letter(), kind_name(kind));
            row(layer, &text, &|layer, from, to| {
                // Outward is up here: the symbol stands over its line.
                let down = At::new(0.0, -1.0);
                view::edge(layer, kind, to + down, from + down, view::EDGE_DEPTH);
            });
        }
    }
    if any(|roof| roof.trims.runs.iter().any(|run| !run.joints.is_empty())) {
        row(layer, "joint of two lengths", &|layer, from, to| {
            layer.stroke(Stroke::new(Pen::Heavy, Ink::BLACK), [Line::open([from, to])]);
            view::joint(layer, (from + to) * 0.5, At::new(1.0, 0.0), 1.0, 1.0);
        });
    }
    for (closing, text) in [(Closing::Strip, "end closed by strip"), (Closing::Cap, "end closed by cap")] {
        let ends = |roof: &RoofPlan| {
            roof.trims.runs.iter().any(|run| [&run.start, &run.end].iter().any(|end| end.closing == Some(closing)))
        };
        if roofs.iter().any(|roof| ends(roof)) {
            row(layer, text, &|layer, from, to| {
                view::closing(layer, (from + to) * 0.5, At::new(1.0, 0.0), closing, 1.0);
            });
        }
    }
    // The symbol tells one, two and more layers apart.
    let patches = roofs.iter().flat_map(|roof| &roof.mat.patches);
    let layers: BTreeSet<u32> = patches.map(|place| place.layers.clamp(1, 3)).collect();
    for layers in layers {
        let text = ["patch", "patch, two layers", "patch, more layers"][layers as usize - 1];
        row(layer, text, &|layer, from, to| view::patch(layer, (from + to) * 0.5, layers, 1.0));
    }
    if any(|roof| !roof.mat.seams.is_empty()) {
        row(layer, "seam under tape", &|layer, from, to| {
            layer.stroke(FINE.dashed(Dash::Chain), [Line::open([from, to])]);
        });
    }
    if any(|roof| !roof.mat.strips.is_empty()) {
        row(layer, "mat in laying order, off roll", &|layer, from, to| {
            let middle = (from + to) * 0.5;
            layer.fill_stroke(Ink::WHITE, THIN, [label::frame(middle, 2.3, At::new(1.0, 0.0))]);
            layer.bold(middle - At::new(0.0, 1.25), Anchor::Middle, Lettering::Small, "1");
        });
        row(layer, "edge of mat: over, under", &|layer, from, to| {
            let (grey, up) = (Stroke::new(Pen::Fine, Ink::GREY), At::new(0.0, 0.9));
            layer.stroke(grey, [Line::open([from + up, to + up])]);
            layer.stroke(grey.dashed(Dash::Dashed), [Line::open([from - up, to - up])]);
        });
    }
    if any(|roof| roof.rings.len() > 1) {
        row(layer, "opening, kerb", &|layer, from, to| {
            let corner = At::new((from.x + to.x) / 2.0 - 3.0, from.y - 1.8);
            let opening = Line::rectangle(corner, 6.0, 3.6);
            view::opening(layer, &opening.points);
            layer.stroke(THIN, [opening]);
        });
    }
    if any(|roof| !roof.outlets.is_empty()) {
        row(layer, "outlet", &|layer, from, to| view::outlet_symbol(layer, (from + to) * 0.5, 0.9));
    }
    if any(|roof| !roof.pipes.is_empty()) {
        row(layer, "pipe", &|layer, from, to| view::pipe_symbol(layer, (from + to) * 0.5, 0.9));
    }
    y
}

/// From one line of remarks to the next.
const PITCH: f64 = 3.9;

/// Writes the notes on the sheet itself, what the checks found and the cautions, each whole, from `corner` down to
/// `bottom`; what has no room is counted.
pub(super) fn remarks(layer: &mut Layer, plan: &Plan, notes: Vec<String>, corner: At, bottom: f64, width: f64) {
    let findings = plan.findings.iter().filter(|finding| finding.grade != Grade::Note);
    let texts: Vec<(bool, String)> = notes
        .into_iter()
        .map(|text| (false, text))
        .chain(findings.map(|finding| (finding.grade == Grade::Refuse, finding.text.clone())))
        .chain(plan.cautions.iter().map(|text| (false, text.clone())))
        .collect();
    if texts.is_empty() {
        return;
    }
    let mut y = corner.y - 3.5;
    layer.bold(At::new(corner.x, y), Anchor::Start, Lettering::Normal, "Before you start");
    y -= 5.5;
    for (index, (refuse, text)) in texts.iter().enumerate() {
        let room = ((y - bottom) / PITCH).max(0.0) as usize;
        let left = texts.len() - index;
        let lines = lettering::wrapped(text, Lettering::Small, width - 3.4, usize::MAX);
        // One line is kept for saying that there is more.
        if lines.len() + usize::from(left > 1) > room {
            let text = format!("and {left} more: see the order sheet");
            layer.bold(At::new(corner.x, y.max(bottom)), Anchor::Start, Lettering::Small, text);
            return;
        }
        mark(layer, At::new(corner.x + 0.9, y + 1.2), *refuse);
        for line in lines {
            layer.text(At::new(corner.x + 3.4, y), Anchor::Start, Lettering::Small, line);
            y -= PITCH;
        }
        y -= 1.0;
    }
}

/// A black square before what stops the work, a ring before what must be known.
pub(super) fn mark(layer: &mut Layer, at: At, refuse: bool) {
    if refuse {
        layer.fill(Ink::BLACK, [Line::rectangle(at - At::new(0.9, 1.2), 1.8, 2.5)]);
    } else {
        layer.circle(at, 0.6, Some(THIN), None);
    }
}
