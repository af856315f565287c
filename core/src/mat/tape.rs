//! Tape: along every seam between trims and deck, and up every trim joint.

use super::result::{RoofMat, TapePiece, TapePlace};
use super::roll::{RollRule, cut_lengths};
use crate::length::Length;
use crate::system::System;
use crate::trim::RoofTrims;

/// The tape of one roof, as if from an endless roll: a piece for each straight stretch of a seam, which laps onto the next,
/// then one for each trim joint, from the seam up the whole girth of the trim.
pub(super) fn stretches(system: &System, roof: &RoofMat, trims: &RoofTrims) -> Vec<TapePiece> {
    let piece = |on, length: Length| TapePiece {
        mark: String::new(),
        on,
        length: length.round_up(system.cutting_increment),
        roll: 1,
    };
    let seams = roof.seams.iter().enumerate().flat_map(|(seam, line)| {
        let next = line.points.iter().cycle().skip(1);
        let edges = line.points.iter().zip(next).enumerate();
        edges.map(move |(edge, (from, to))| piece(TapePlace::Seam { seam, edge }, from.distance(*to) + system.tape.lap))
    });
    let joints = trims.runs.iter().enumerate().flat_map(|(run, of)| {
        let girth = system.trims.of(of.kind).section.girth().last().copied().unwrap_or_default();
        (0..of.joints.len()).map(move |joint| piece(TapePlace::Joint { run, joint }, girth))
    });
    seams.chain(joints).filter(|piece| piece.length.is_positive()).collect()
}

/// Cuts the tape of all roofs from common rolls and marks its pieces `T1`, `T2` and so on, with a small letter where a stretch
/// comes in several.
pub(super) fn cut(system: &System, roofs: &mut [RoofMat]) {
    let tape = &system.tape;
    let lengths: Vec<Length> = roofs.iter().flat_map(|roof| &roof.tape_pieces).map(|piece| piece.length).collect();
    let rule = RollRule { roll: tape.roll, lap: tape.lap, least_piece: tape.least_piece };
    let mut parts = cut_lengths(&rule, &lengths).into_iter();
    for roof in roofs {
        let mut pieces = Vec::with_capacity(roof.tape_pieces.len());
        for (number, whole) in (1..).zip(std::mem::take(&mut roof.tape_pieces)) {
            let mut own = parts.next().unwrap_or_default();
            own.sort_by_key(|part| part.from);
            let several = own.len() > 1;
            for (i, part) in (0..).zip(own) {
                let letters = if several { crate::trim::letters(i) } else { String::new() };
                let mark = format!("T{number}{letters}");
                pieces.push(TapePiece { mark, length: part.length, roll: part.roll, ..whole.clone() });
            }
        }
        roof.tape_pieces = pieces;
    }
}
