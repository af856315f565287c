//! Cut lists of mat and tape: every piece of the lay-outs in its place on its roll, and nothing else.

use upstand::cutting::Status;
use upstand::mat::LapKind;
use upstand::trim::{BarSource, CutList, MarkedPiece, Material, PieceEnd};
use upstand::{Job, Length, Plan};

use super::Faults;

/// A piece as a lay-out has it, with how far it reaches over the one before where it goes on from there.
struct Wanted {
    mark: String,
    roof: usize,
    run: usize,
    length: i64,
    roll: u64,
    lap: Option<i64>,
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    let mat_rolls = job.system.mat.other_rolls.iter().map(|roll| roll.length.um());
    let mat_rolls: Vec<i64> = mat_rolls.chain([job.system.mat.roll.um()]).collect();
    for (material, wanted, rolls) in
        [(Material::Mat, mat(plan), mat_rolls), (Material::Tape, tape(job, plan), vec![job.system.tape.roll.um()])]
    {
        let list = plan.cut_lists.iter().find(|list| list.material == material);
        faults.expect(list.is_some() != wanted.is_empty(), || {
            format!("a cut list of {material:?} just where there is some")
        });
        if let Some(list) = list {
            check_list(job, list, &wanted, &rolls, faults);
        }
    }
}

/// The mark with the roof before it, where there are several.
fn mark(plan: &Plan, roof: usize, mark: &str) -> String {
    if plan.roofs.len() > 1 { format!("{}-{mark}", roof + 1) } else { mark.to_owned() }
}

fn mat(plan: &Plan) -> Vec<Wanted> {
    let mut all = Vec::new();
    for (r, roof) in plan.roofs.iter().enumerate() {
        for (s, strip) in roof.mat.strips.iter().enumerate() {
            for piece in strip.pieces.iter().filter(|piece| piece.beside.is_none()) {
                let end = |lap: &&upstand::mat::MatLap| lap.kind == LapKind::End && lap.over == piece.mark;
                all.push(Wanted {
                    mark: mark(plan, r, &piece.mark),
                    roof: r,
                    run: s,
                    length: piece.length.um(),
                    roll: piece.roll,
                    lap: roof.mat.laps.iter().find(end).map(|lap| lap.width.um()),
                });
            }
        }
    }
    all
}

fn tape(job: &Job, plan: &Plan) -> Vec<Wanted> {
    let mut all = Vec::new();
    for (r, roof) in plan.roofs.iter().enumerate() {
        for (i, piece) in roof.mat.tape_pieces.iter().enumerate() {
            let goes_on = i > 0 && roof.mat.tape_pieces[i - 1].on == piece.on;
            all.push(Wanted {
                mark: mark(plan, r, &piece.mark),
                roof: r,
                run: i,
                length: piece.length.um(),
                roll: piece.roll,
                lap: goes_on.then(|| job.system.tape.lap.um()),
            });
        }
    }
    all
}

fn check_list(job: &Job, list: &CutList, wanted: &[Wanted], rolls: &[i64], faults: &mut Faults) {
    let here = format!("{:?}", list.material);
    let count = wanted.iter().map(|piece| piece.roll).max().unwrap_or(0);
    faults.same((list.bar_count, list.bars.len() as u64, list.bought), (count, count, count), || {
        format!("{here}: rolls")
    });
    faults.same(list.joint_count, wanted.iter().filter(|piece| piece.lap.is_some()).count() as u64, || {
        format!("{here}: laps")
    });
    // Where each piece begins along what it is a part of, and how long the whole is.
    let mut along: Vec<i64> = Vec::new();
    let mut wholes = 0;
    for (i, piece) in wanted.iter().enumerate() {
        let begin = piece.lap.map_or(0, |lap| along[i - 1] + wanted[i - 1].length - lap);
        wholes += piece.length - piece.lap.unwrap_or(0);
        along.push(begin);
    }
    let longest = list.bars.iter().map(|bar| bar.length.um()).max().unwrap_or(1).max(1);
    let bound = (wholes + longest - 1).div_euclid(longest) as u64;
    let status = if bound == count { Status::ProvenBest } else { Status::BestFound };
    faults.same((list.bound, list.status), (bound, status), || format!("{here}: bound"));

    let mut offcuts = Vec::new();
    for (number, bar) in (1..).zip(&list.bars) {
        let here = format!("{here} roll {number}");
        faults.same((bar.number, bar.source), (number, BarSource::Bought), || format!("{here}: number and source"));
        faults.expect(rolls.contains(&bar.length.um()), || format!("{here}: there is no roll of {}", bar.length));
        let mut at = 0;
        let mut pieces = Vec::new();
        for (i, piece) in wanted.iter().enumerate().filter(|(_, piece)| piece.roll == number) {
            let lap = |lap: Option<i64>, over| {
                lap.map_or(PieceEnd::Square, |lap| PieceEnd::Lap { length: Length::from_um(lap), over })
            };
            pieces.push(MarkedPiece {
                mark: piece.mark.clone(),
                roof: piece.roof,
                run: piece.run,
                at: Length::from_um(at),
                start_along: Length::from_um(along[i]),
                length: Length::from_um(piece.length),
                start: lap(piece.lap, true),
                end: lap(wanted.get(i + 1).and_then(|next| next.lap), false),
            });
            at += piece.length;
        }
        faults.same(&bar.pieces, &pieces, || format!("{here}: pieces"));
        faults.same(bar.offcut.um(), bar.length.um() - at, || format!("{here}: what is left"));
        faults.expect(bar.offcut.um() >= 0, || format!("{here}: pieces are longer than the roll"));
        if bar.offcut.is_positive() && bar.offcut >= job.preferences.least_useful {
            offcuts.push((-bar.offcut.um(), bar.number));
        }
    }
    offcuts.sort_unstable();
    let kept: Vec<(i64, u64)> = list.offcuts.iter().map(|offcut| (-offcut.length.um(), offcut.bar)).collect();
    faults.same(kept, offcuts, || format!("{here}: what is worth keeping"));
}
