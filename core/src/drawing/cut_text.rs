//! The cut list as plain text, for a terminal or a message.

use std::fmt::Write;

use super::cut_sheet::{material_name, summary};
use crate::length::Length;
use crate::plan::{Plan, RoofPlan};
use crate::trim::{BarSource, CutList, Hand, MarkedBar, MarkedPiece, Material, PieceEnd};

/// Width of a drawn bar in characters: the whole fits an 80-column terminal.
const COLUMNS: usize = 72;
/// More pieces than this are not drawn as a bar; their lines say all.
const MOST_DRAWN: usize = 24;

/// All cut lists of a plan as text of at most 80 columns, ASCII as far as the marks are.
pub(super) fn cut_list_text(plan: &Plan) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "CUT LIST{}", plan.name.as_ref().map(|name| format!(": {name}")).unwrap_or_default());
    text.push_str("Lengths in mm. A bar is seen from above, the side of the roof upward:\n");
    text.push_str("/ and \\ are mitres, | square cuts, . what is left. \"mitre 45.0 outer\" is cut at\n");
    text.push_str("45.0 degrees from square with the outer side the longer.\n");
    for list in &plan.cut_lists {
        let _ = writeln!(text, "\n{}: {}", material_name(list.material).to_uppercase(), summary(list));
        for bar in &list.bars {
            write_bar(&mut text, list, bar);
        }
    }
    for roof in plan.roofs.iter().filter(|roof| !roof.mat.strips.is_empty()) {
        write_mat(&mut text, roof);
    }
    text
}

/// The pieces of mat of one roof, in laying order.
fn write_mat(text: &mut String, roof: &RoofPlan) {
    let mat = &roof.mat;
    let _ = writeln!(text, "\nMAT, {}: length off the roll x width, in laying order, lap {}", roof.name, mm(mat.lap));
    let _ = writeln!(text);
    for piece in mat.strips.iter().flat_map(|strip| &strip.pieces) {
        let size = format!("{} x {}", mm(piece.length), mm(piece.width));
        let beside = piece.beside.as_ref().map(|host| format!(", from beside {host}")).unwrap_or_default();
        let _ = writeln!(text, "    {:<6}{size:>16}   roll {}{beside}", piece.mark, piece.roll);
    }
    let patches: u64 = mat.patches.iter().map(|place| u64::from(place.layers)).sum();
    let _ = writeln!(text, "    tape {} m, patches {patches}", (mat.tape.m() * 100.0).round() / 100.0);
}

fn write_bar(text: &mut String, list: &CutList, bar: &MarkedBar) {
    let source = match bar.source {
        BarSource::Bought => "new",
        BarSource::OnHand => "on hand",
    };
    let name = match list.material {
        Material::Mat | Material::Tape => "roll",
        _ => "bar",
    };
    let _ = writeln!(text, "\n  {name} {} ({source}, {})", bar.number, mm(bar.length));
    if bar.pieces.len() <= MOST_DRAWN {
        let _ = writeln!(text, "  {}", picture(bar));
    }
    for piece in &bar.pieces {
        let ends = format!("{}, {}", end(&piece.start), end(&piece.end));
        let place = format!("{} to {}", mm(piece.at), mm(piece.at + piece.length));
        let _ = writeln!(text, "    {:<6}{:>8}   {place:<14} {ends}", piece.mark, mm(piece.length));
    }
    if bar.offcut.is_positive() {
        let kept = list.offcuts.iter().any(|offcut| offcut.bar == bar.number);
        let what = if kept { "offcut: keep" } else { "waste" };
        let _ = writeln!(text, "    {:<6}{:>8}   {what}", "", mm(bar.offcut));
    }
}

/// Millimetres without unit, exact.
fn mm(length: Length) -> String {
    format!("{}", length.mm())
}

fn end(end: &PieceEnd) -> String {
    match end {
        PieceEnd::Square => "square".into(),
        PieceEnd::Mitre { angle_deg, hand } => {
            let hand = match hand {
                Hand::Left => "roof",
                Hand::Right => "outer",
            };
            format!("mitre {angle_deg:.1} {hand}")
        }
        PieceEnd::Lap { length, .. } if !length.is_positive() => "butt".into(),
        PieceEnd::Lap { length, over } => format!("lap {} {}", mm(*length), if *over { "over" } else { "under" }),
    }
}

/// One line that shows the bar to scale, as near as characters allow.
fn picture(bar: &MarkedBar) -> String {
    let whole = bar.length.um().max(1);
    let column = |at: Length| {
        let at = at.um().clamp(0, whole);
        (i128::from(at) * (COLUMNS as i128 - 1) / i128::from(whole)) as usize
    };
    let mut cells = vec!['.'; COLUMNS];
    cells[0] = '|';
    cells[COLUMNS - 1] = '|';
    for (i, piece) in bar.pieces.iter().enumerate() {
        let (from, to) = (column(piece.at), column(piece.at + piece.length));
        // One sign serves two cuts that lean alike; others stand side by side.
        let next = bar.pieces.get(i + 1).filter(|next| column(next.at) == to);
        let aside = next.is_some_and(|next| sign(&next.start, true) != sign(&piece.end, false)) && to > from + 1;
        draw(&mut cells, piece, from, if aside { to - 1 } else { to });
    }
    cells.into_iter().collect()
}

fn draw(cells: &mut [char], piece: &MarkedPiece, from: usize, to: usize) {
    if to <= from {
        return;
    }
    cells[from + 1..to].fill(' ');
    cells[from] = sign(&piece.start, true);
    cells[to] = sign(&piece.end, false);
    let room = to - from - 1;
    let both = format!("{} {}", piece.mark, mm(piece.length));
    let label = if both.chars().count() <= room { both } else { piece.mark.clone() };
    let width = label.chars().count();
    if width <= room {
        let start = from + 1 + (room - width) / 2;
        for (cell, character) in cells[start..].iter_mut().zip(label.chars()) {
            *cell = character;
        }
    }
}

/// The character that leans as the cut does, with the side of the roof upward.
fn sign(end: &PieceEnd, at_start: bool) -> char {
    match end {
        PieceEnd::Mitre { hand, .. } if (*hand == Hand::Left) == at_start => '\\',
        PieceEnd::Mitre { .. } => '/',
        _ => '|',
    }
}
