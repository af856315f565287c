//! From the solver's answer to a cut list that a person can cut from: marks, ends, laps, offcuts.

use crate::cutting::{Answer, CutBar, Problem};
use crate::length::Length;

use super::cut::Wanted;
use super::result::{BarSource, CutList, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd, RoofTrims, RunEnd};

/// The answer as a cut list of `wanted`, which are the problem's runs.
pub(super) fn marked_list(
    material: Material,
    problem: &Problem,
    answer: &Answer,
    wanted: &[Wanted],
    roofs: &[RoofTrims],
) -> CutList {
    let mut bars: Vec<MarkedBar> = Vec::new();
    for cut in answer.chains.iter().flat_map(|chain| &chain.bars) {
        let number = bars.len() as u64 + 1;
        bars.push(marked_bar(problem, cut, number, wanted, roofs));
    }
    fill_in_laps(&mut bars, roofs);
    let bought = bars.iter().filter(|bar| bar.source == BarSource::Bought).count() as u64;
    let mut offcuts: Vec<Offcut> = bars
        .iter()
        .filter(|bar| bar.offcut.is_positive() && bar.offcut >= problem.rules.least_useful)
        .map(|bar| Offcut { bar: bar.number, length: bar.offcut })
        .collect();
    offcuts.sort_by_key(|offcut| (-offcut.length, offcut.bar));
    let dearest = problem.bars.iter().filter_map(|bar| bar.cost).max().unwrap_or(0).max(1);
    CutList {
        material,
        bar_count: bars.len() as u64,
        bought,
        joint_count: answer.joint_count,
        status: answer.status,
        bound: answer.bound.cost.div_ceil(dearest),
        bars,
        offcuts,
    }
}

fn marked_bar(problem: &Problem, cut: &CutBar, number: u64, wanted: &[Wanted], roofs: &[RoofTrims]) -> MarkedBar {
    let mut at = problem.rules.trim_off;
    let mut pieces = Vec::new();
    for piece in &cut.pieces {
        let one = &wanted[piece.run];
        let run = &roofs[one.roof].runs[one.run];
        let last = piece.part + 1 == piece.parts;
        let mark = if piece.parts == 1 { run.mark.clone() } else { format!("{}{}", run.mark, letters(piece.part)) };
        // The overlap with a neighbour is filled in once all pieces of the run are known.
        let lap = |over| PieceEnd::Lap { length: Length::ZERO, over };
        pieces.push(MarkedPiece {
            mark,
            roof: one.roof,
            run: one.run,
            at,
            start_along: piece.start,
            length: piece.length,
            start: if piece.part == 0 { one.start.clone() } else { lap(true) },
            end: if last { one.end.clone() } else { lap(false) },
        });
        at += piece.length + problem.rules.kerf;
    }
    let bar = &problem.bars[cut.bar];
    MarkedBar {
        number,
        length: bar.length,
        source: if bar.available.is_some() { BarSource::OnHand } else { BarSource::Bought },
        pieces,
        offcut: cut.offcut,
    }
}

/// a, b, ... z, aa, ab, ...
pub(crate) fn letters(mut n: u32) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + (n % 26) as u8));
        if n < 26 {
            break;
        }
        n = n / 26 - 1;
    }
    letters.iter().rev().collect()
}

/// Writes into each pair of neighbouring pieces how far they overlap, and which lies over.
fn fill_in_laps(bars: &mut [MarkedBar], roofs: &[RoofTrims]) {
    let mut places: Vec<(usize, usize, Length, usize, usize)> = Vec::new();
    for (b, bar) in bars.iter().enumerate() {
        places.extend(bar.pieces.iter().enumerate().map(|(p, piece)| (piece.roof, piece.run, piece.start_along, b, p)));
    }
    places.sort_unstable();
    for pair in places.windows(2) {
        let ((roof, run, _, b0, p0), (next_roof, next_run, begins, b1, p1)) = (pair[0], pair[1]);
        if (roof, run) != (next_roof, next_run) {
            continue;
        }
        let before = &mut bars[b0].pieces[p0];
        let overlap = before.start_along + before.length - begins;
        let later = roofs[roof].runs[run].over == RunEnd::End;
        before.end = PieceEnd::Lap { length: overlap, over: !later };
        bars[b1].pieces[p1].start = PieceEnd::Lap { length: overlap, over: later };
    }
}

/// Writes the joints of a trim's cut list into its runs.
pub(super) fn mark_joints(roofs: &mut [RoofTrims], list: &CutList) {
    for piece in list.bars.iter().flat_map(|bar| &bar.pieces) {
        if piece.start_along.is_positive() {
            roofs[piece.roof].runs[piece.run].joints.push(piece.start_along);
        }
    }
    for run in roofs.iter_mut().flat_map(|roof| &mut roof.runs) {
        run.joints.sort_unstable();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let written: Vec<String> = [0, 1, 25, 26, 27, 51, 52, 701, 702].map(letters).to_vec();
        assert_eq!(written, ["a", "b", "z", "aa", "ab", "az", "ba", "zz", "aaa"]);
    }
}
