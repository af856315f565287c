//! The cutting sheets: every bar to scale, with its pieces, their ends, and what is left.
//!
//! A trim's bar is seen from above with the side of the roof upward, so a mitre is drawn to the hand to which it is cut.
//! Below a bar stand the distances of its cuts from its left end: one tape, hooked on once, marks them all.

use libm::tan;

use super::at::At;
use super::hatch;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Layer, Lettering, Line, Pen, Sheet, Stroke};
use super::pages::Pages;
use super::paper::{self, FINE, Paper, Scale, THIN};
use super::plan_sheet::whole_mm;
use crate::cutting::Status;
use crate::length::Length;
use crate::plan::{Plan, RoofPlan};
use crate::trim::{BarSource, CutList, Hand, MarkedBar, MarkedPiece, Material, PieceEnd};

/// Width of the column with a bar's number and source.
const COLUMN: f64 = 24.0;
/// Height of a bar on paper.
const BAR: f64 = 8.0;
/// From one bar to the next.
const PITCH: f64 = 16.0;
/// Height of a cut list's heading.
const HEADING: f64 = 11.0;
/// Pieces of one bar that are drawn; a roll of mat may hold hundreds.
const MOST_PIECES: usize = 200;

/// What a material is called on sheets.
pub(super) const fn material_name(material: Material) -> &'static str {
    match material {
        Material::Drip => "drip trim",
        Material::Abutment => "wall trim",
        Material::OpenSide => "raised trim",
        Material::Batten => "batten",
        Material::Mat => "mat",
        Material::Tape => "tape",
    }
}

/// The sheets, as many as the bars need.
pub(super) fn sheets(plan: &Plan) -> Vec<Sheet> {
    let mut pages = Pages::new(1);
    for list in &plan.cut_lists {
        let longest = list.bars.iter().map(|bar| bar.length).max().unwrap_or(Length::ZERO);
        let (low, high) = paper::field(Paper::A4);
        let scale =
            Scale::fitting(longest.mm(), high.x - low.x - COLUMN - 2.0).max(Scale::new(5).unwrap_or(Scale::FULL));
        for (index, bar) in list.bars.iter().enumerate() {
            // A heading is never left alone at the foot of a sheet, and each sheet says what it cuts.
            let head = if index == 0 || !pages.has_room(PITCH) { HEADING } else { 0.0 };
            let (page, corner) = pages.room(head + PITCH);
            if head > 0.0 {
                heading(page, list, index > 0, scale, corner.y);
            }
            draw_bar(page, list, bar, scale, corner.y - head);
        }
    }
    for roof in plan.roofs.iter().filter(|roof| !roof.mat.strips.is_empty()) {
        mat_table(&mut pages, roof);
    }
    let remark = "mm from the bar's left end, roof side up; dark: lap over, half dark: lap under";
    pages.into_sheets(plan, "cutting sheet", remark)
}

/// Width of one entry of a table of mat, and height of its rows.
const ENTRY: f64 = 52.0;
const ROW: f64 = 5.0;

/// The pieces of mat of one roof in laying order: mark, length off the roll, width, roll.
fn mat_table(pages: &mut Pages, roof: &RoofPlan) {
    let pieces: Vec<_> = roof.mat.strips.iter().flat_map(|strip| &strip.pieces).collect();
    let across = ((pages.width() - 6.0) / ENTRY) as usize;
    for (index, row) in pieces.chunks(across.max(1)).enumerate() {
        let head = if index == 0 || !pages.has_room(ROW) { HEADING } else { 0.0 };
        let (page, corner) = pages.room(head + ROW);
        if head > 0.0 {
            page.bold(corner + At::new(3.0, -6.0), Anchor::Start, Lettering::Normal, "mat");
            let what = format!("{}: length off the roll × width, in laying order", roof.name);
            page.text(corner + At::new(15.0, -6.0), Anchor::Start, Lettering::Small, what);
        }
        for (column, piece) in row.iter().enumerate() {
            let base = corner + At::new(3.0 + ENTRY * column as f64, -head - ROW + 1.6);
            let size = format!("{} × {}  roll {}", whole_mm(piece.length), whole_mm(piece.width), piece.roll);
            page.bold(base, Anchor::Start, Lettering::Small, piece.mark.as_str());
            page.text(base + At::new(9.0, 0.0), Anchor::Start, Lettering::Small, size);
        }
    }
}

/// Bars, joints and status of a cut list in one line.
pub(super) fn summary(list: &CutList) -> String {
    let count = |number: u64, one: &str, many: &str| format!("{number} {}", if number == 1 { one } else { many });
    let (bar, bars) = match list.material {
        Material::Mat | Material::Tape => ("roll", "rolls"),
        _ => ("bar", "bars"),
    };
    let status = match list.status {
        Status::ProvenBest => "proven best".to_string(),
        Status::BestFound => format!("best found, at least {} needed", list.bound),
    };
    format!(
        "{}, {} to buy, {}; {status}",
        count(list.bar_count, bar, bars),
        list.bought,
        count(list.joint_count, "joint", "joints")
    )
}

fn heading(page: &mut Layer, list: &CutList, continued: bool, scale: Scale, top: f64) {
    let (low, high) = paper::field(Paper::A4);
    let y = top - 6.0;
    let name = material_name(list.material);
    page.bold(At::new(low.x + 3.0, y), Anchor::Start, Lettering::Normal, name);
    let after = low.x + 8.0 + lettering::width(name, Lettering::Normal, true);
    let text = if continued { "continued".to_string() } else { summary(list) };
    page.text(At::new(after, y), Anchor::Start, Lettering::Small, text);
    page.text(At::new(high.x - 3.0, y), Anchor::End, Lettering::Small, scale.designation());
}

fn draw_bar(page: &mut Layer, list: &CutList, bar: &MarkedBar, scale: Scale, top: f64) {
    let low = paper::field(Paper::A4).0;
    let source = match bar.source {
        BarSource::Bought => "new",
        BarSource::OnHand => "on hand",
    };
    let foot = top - BAR - 1.0;
    page.bold(At::new(low.x + 2.0, foot + 4.6), Anchor::Start, Lettering::Small, bar.number.to_string());
    page.text(At::new(low.x + 8.0, foot + 4.6), Anchor::Start, Lettering::Small, source);
    page.text(At::new(low.x + 8.0, foot + 0.6), Anchor::Start, Lettering::Small, whole_mm(bar.length));
    let left = At::new(low.x + COLUMN, foot);
    let x = |length: Length| scale.on_paper(length.mm());
    let whole = Line::rectangle(left, x(bar.length), BAR);
    // Hatched from end to end: what the pieces leave of it, at the end and beside mitres, is what falls off.
    page.stroke(Stroke::new(Pen::Fine, Ink::GREY), hatch::lines(std::slice::from_ref(&whole), 1.6));
    page.stroke(FINE, [whole]);
    for piece in bar.pieces.iter().take(MOST_PIECES) {
        draw_piece(page, piece, left + At::new(x(piece.at), 0.0), x(piece.length), scale);
    }
    let kept = list.offcuts.iter().any(|offcut| offcut.bar == bar.number);
    let word = if kept { "offcut" } else { "waste" };
    let start_of_rest = bar.pieces.last().map_or(Length::ZERO, |piece| piece.at + piece.length);
    let text = format!("{word} {}", whole_mm(bar.offcut));
    leftover(page, left + At::new(x(start_of_rest), 0.0), x(bar.length - start_of_rest), &text);
    cut_marks(page, bar, left, &x);
}

/// The length of what is left of a bar, where there is room for it.
fn leftover(page: &mut Layer, corner: At, width: f64, text: &str) {
    let needed = lettering::width(text, Lettering::Small, false) + 2.0;
    if needed <= width {
        let middle = corner + At::new(width / 2.0, BAR / 2.0);
        page.fill(Ink::WHITE, [Line::rectangle(middle - At::new(needed / 2.0, 2.0), needed, 4.0)]);
        page.text(middle - At::new(0.0, 1.25), Anchor::Middle, Lettering::Small, text);
    }
}

/// How far the cut runs back on the shorter side: at the start, at the lower side if the left hand is the longer.
fn slant(end: &PieceEnd, most: f64) -> (f64, f64) {
    let PieceEnd::Mitre { angle_deg, hand } = end else { return (0.0, 0.0) };
    let back = (BAR * tan(angle_deg.abs().to_radians())).clamp(0.0, most);
    let back = if back.is_finite() { back } else { 0.0 };
    match hand {
        Hand::Left => (back, 0.0),
        Hand::Right => (0.0, back),
    }
}

fn draw_piece(page: &mut Layer, piece: &MarkedPiece, corner: At, width: f64, scale: Scale) {
    let most = width * 0.45;
    let ((start_low, start_high), (end_low, end_high)) = (slant(&piece.start, most), slant(&piece.end, most));
    let at = |x: f64, y: f64| corner + At::new(x, y);
    let outline =
        Line::closed([at(start_low, 0.0), at(width - end_low, 0.0), at(width - end_high, BAR), at(start_high, BAR)]);
    page.fill_stroke(Ink::WHITE, Stroke::new(Pen::Medium, Ink::BLACK), [outline]);
    for (end, from_start) in [(&piece.start, true), (&piece.end, false)] {
        if let PieceEnd::Lap { length, over } = end {
            let lap = scale.on_paper(length.mm()).min(width / 2.0);
            let x = if from_start { lap } else { width - lap };
            if lap > 0.0 {
                let dash = if *over { Dash::Continuous } else { Dash::Dashed };
                page.stroke(FINE.dashed(dash), [Line::open([at(x, 0.0), at(x, BAR)])]);
                let corner = if from_start { at(0.0, 0.0) } else { at(width - lap, 0.0) };
                page.fill(Ink::GREY, [Line::rectangle(corner, lap, if *over { BAR } else { BAR / 2.0 })]);
            }
        }
    }
    label(page, piece, corner, width, (start_low.max(start_high), end_low.max(end_high)));
}

/// Mark and length in the piece; the mark alone where there is little room, turned upright where there is least.
fn label(page: &mut Layer, piece: &MarkedPiece, corner: At, width: f64, slants: (f64, f64)) {
    let number = whole_mm(piece.length);
    let mark_width = lettering::width(&piece.mark, Lettering::Small, true);
    let number_width = lettering::width(&number, Lettering::Small, false);
    let room = width - 2.0 - (slants.0 + slants.1) * 0.6;
    let base = At::new(corner.x + (width + slants.0 * 0.6 - slants.1 * 0.6) / 2.0, corner.y);
    let both = mark_width + 1.4 + number_width;
    if both <= room {
        let start = base + At::new(-both / 2.0, BAR / 2.0 - 1.25);
        page.bold(start, Anchor::Start, Lettering::Small, piece.mark.as_str());
        page.text(start + At::new(mark_width + 1.4, 0.0), Anchor::Start, Lettering::Small, number);
    } else if mark_width.max(number_width) <= room {
        page.bold(base + At::new(0.0, 4.5), Anchor::Middle, Lettering::Small, piece.mark.as_str());
        page.text(base + At::new(0.0, 1.0), Anchor::Middle, Lettering::Small, number);
    } else if mark_width <= width {
        page.bold(base + At::new(0.0, BAR / 2.0 - 1.25), Anchor::Middle, Lettering::Small, piece.mark.as_str());
    }
}

/// Ticks and distances of the cuts from the bar's left end, each between the angles of the cuts to its left and right.
/// What would touch the one before is left out.
fn cut_marks(page: &mut Layer, bar: &MarkedBar, left: At, x: &impl Fn(Length) -> f64) {
    let mut free_from = left.x - 10.0;
    let angle = |end: &PieceEnd| match end {
        PieceEnd::Mitre { angle_deg, .. } => format!("{}°", (angle_deg * 10.0).round() / 10.0),
        _ => String::new(),
    };
    let pieces = &bar.pieces[..bar.pieces.len().min(MOST_PIECES)];
    let first = pieces.first().map_or(String::new(), |piece| angle(&piece.start));
    if !first.is_empty() {
        free_from = left.x + 1.0 + lettering::width(&first, Lettering::Small, false) + 1.0;
        page.text(left + At::new(1.0, -4.5), Anchor::Start, Lettering::Small, first);
    }
    for (index, piece) in pieces.iter().enumerate() {
        let cut = piece.at + piece.length;
        let foot = left + At::new(x(cut), 0.0);
        page.stroke(THIN, [Line::open([foot, foot - At::new(0.0, 1.4)])]);
        let number = whole_mm(cut);
        let (before, after) =
            (angle(&piece.end), pieces.get(index + 1).map_or(String::new(), |next| angle(&next.start)));
        let half = lettering::width(&number, Lettering::Small, false) / 2.0;
        let beside =
            |text: &str| if text.is_empty() { 0.0 } else { lettering::width(text, Lettering::Small, false) + 1.2 };
        if foot.x - half - beside(&before) < free_from {
            continue;
        }
        // A cut at the far end of the longest bar: its number must not cross the border.
        let most = paper::field(Paper::A4).1.x - 1.0 - half;
        let base = At::new(foot.x.min(most), foot.y - 4.5);
        page.text(base, Anchor::Middle, Lettering::Small, number);
        page.text(base - At::new(half + 1.2, 0.0), Anchor::End, Lettering::Small, before);
        free_from = foot.x + half + beside(&after) + 1.0;
        page.text(base + At::new(half + 1.2, 0.0), Anchor::Start, Lettering::Small, after);
    }
}
