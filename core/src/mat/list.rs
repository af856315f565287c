//! Cut lists of mat and tape: what is cut from each roll, in order. Marks are those of the roof's own lay-out; where a job has
//! several roofs they begin with the roof's number, as in `2-3a`.

use super::result::{LapKind, RoofMat, StripPiece};
use super::roll::fewest;
use crate::cutting::Status;
use crate::length::Length;
use crate::system::{MatRoll, System};
use crate::trim::{BarSource, CutList, MarkedBar, MarkedPiece, Material, Offcut, PieceEnd};

/// A length cut from a roll, on its way into a list.
struct Cut {
    mark: String,
    roof: usize,
    run: usize,
    roll: u64,
    length: Length,
    start: PieceEnd,
    end: PieceEnd,
    /// Where it begins along what it is a part of.
    along: Length,
}

/// The rolls of mat; the run of a piece is the index of its strip. Pieces from beside others are cut when their host is, and have
/// no place of their own along the roll. `None` where there is no mat.
pub(super) fn mat_list(rolls: &[MatRoll], roofs: &[RoofMat], least_useful: Length) -> Option<CutList> {
    let mut cuts = Vec::new();
    let (mut joints, mut wholes) = (0, Vec::new());
    for (r, roof) in roofs.iter().enumerate() {
        let joined = |piece: &StripPiece, over: bool| {
            roof.laps.iter().find(|lap| {
                lap.kind == LapKind::End && if over { lap.over == piece.mark } else { lap.under == piece.mark }
            })
        };
        for (s, strip) in roof.strips.iter().enumerate() {
            let mut whole = Length::ZERO;
            for piece in strip.pieces.iter().filter(|piece| piece.beside.is_none()) {
                let (under, over) = (joined(piece, true), joined(piece, false));
                let end = |lap: Option<&super::MatLap>, over| {
                    lap.map_or(PieceEnd::Square, |lap| PieceEnd::Lap { length: lap.width, over })
                };
                if let Some(lap) = under {
                    joints += 1;
                    whole += piece.length - lap.width;
                } else {
                    wholes.extend(whole.is_positive().then_some(whole));
                    whole = piece.length;
                }
                cuts.push(Cut {
                    mark: piece.mark.clone(),
                    roof: r,
                    run: s,
                    roll: piece.roll,
                    length: piece.length,
                    start: end(under, true),
                    end: end(over, false),
                    along: whole - piece.length,
                });
            }
            wholes.extend(whole.is_positive().then_some(whole));
        }
    }
    name_roofs(&mut cuts, roofs.len());
    let lengths: Vec<Length> = rolls.iter().map(|roll| roll.length).collect();
    list(Material::Mat, &lengths, cuts, joints, &wholes, least_useful)
}

/// The rolls of tape; the run of a piece is its index among the roof's pieces of tape. `None` where there is none.
pub(super) fn tape_list(system: &System, roofs: &[RoofMat], least_useful: Length) -> Option<CutList> {
    let mut cuts: Vec<Cut> = Vec::new();
    let (mut joints, mut wholes): (u64, Vec<Length>) = (0, Vec::new());
    let lap = |over| PieceEnd::Lap { length: system.tape.lap, over };
    for (r, roof) in roofs.iter().enumerate() {
        for (i, piece) in roof.tape_pieces.iter().enumerate() {
            let before = cuts.last_mut().filter(|_| i > 0 && roof.tape_pieces[i - 1].on == piece.on);
            let (mut start, mut along) = (PieceEnd::Square, Length::ZERO);
            match before {
                Some(before) => {
                    joints += 1;
                    (start, before.end) = (lap(true), lap(false));
                    along = before.along + before.length - system.tape.lap;
                    if let Some(whole) = wholes.last_mut() {
                        *whole = along + piece.length;
                    }
                }
                None => wholes.push(piece.length),
            }
            cuts.push(Cut {
                mark: piece.mark.clone(),
                roof: r,
                run: i,
                roll: piece.roll,
                length: piece.length,
                start,
                end: PieceEnd::Square,
                along,
            });
        }
    }
    name_roofs(&mut cuts, roofs.len());
    let rolls = cuts.iter().map(|cut| cut.roll).max().unwrap_or(0);
    list(Material::Tape, &vec![system.tape.roll; rolls as usize], cuts, joints, &wholes, least_useful)
}

fn name_roofs(cuts: &mut [Cut], roofs: usize) {
    for cut in cuts.iter_mut().filter(|_| roofs > 1) {
        cut.mark = format!("{}-{}", cut.roof + 1, cut.mark);
    }
}

fn list(
    material: Material,
    rolls: &[Length],
    cuts: Vec<Cut>,
    joint_count: u64,
    wholes: &[Length],
    least_useful: Length,
) -> Option<CutList> {
    if cuts.is_empty() {
        return None;
    }
    let mut bars: Vec<MarkedBar> = (1..)
        .zip(rolls)
        .map(|(number, &length)| MarkedBar {
            number,
            length,
            source: BarSource::Bought,
            pieces: Vec::new(),
            offcut: length,
        })
        .collect();
    for cut in cuts {
        let Some(bar) = bars.get_mut(cut.roll as usize - 1) else { continue };
        let at = bar.length - bar.offcut;
        bar.offcut -= cut.length;
        bar.pieces.push(MarkedPiece {
            mark: cut.mark,
            roof: cut.roof,
            run: cut.run,
            at,
            start_along: cut.along,
            length: cut.length,
            start: cut.start,
            end: cut.end,
        });
    }
    let useful = bars.iter().filter(|bar| bar.offcut.is_positive() && bar.offcut >= least_useful);
    let mut offcuts: Vec<Offcut> = useful.map(|bar| Offcut { bar: bar.number, length: bar.offcut }).collect();
    offcuts.sort_by_key(|offcut| (-offcut.length, offcut.bar));
    // No fewer rolls of the longest length hold all pieces.
    let bound = fewest(wholes, rolls.iter().copied().max().unwrap_or_default());
    let bar_count = bars.len() as u64;
    Some(CutList {
        material,
        bar_count,
        bought: bar_count,
        joint_count,
        status: if bar_count == bound { Status::ProvenBest } else { Status::BestFound },
        bound,
        bars,
        offcuts,
    })
}
