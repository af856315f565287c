//! Cut lists: every run made, every piece in its bar, every rule of the cut kept.

use std::collections::BTreeMap;

use upstand::cutting::Status;
use upstand::trim::{BarSource, CutList, End, MarkedPiece, Material, PieceEnd, TrimRun};
use upstand::{Job, Kind, Plan};

use super::{Faults, outline::trim};

/// A run by its roof and its index there.
type RunAt = (usize, usize);

fn kind(material: Material) -> Option<Kind> {
    match material {
        Material::Drip => Some(Kind::Drip),
        Material::Abutment => Some(Kind::Abutment),
        Material::OpenSide => Some(Kind::OpenSide),
        Material::Batten | Material::Mat | Material::Tape => None,
    }
}

/// The rules that hold for one material, in micrometres.
struct Rules {
    sold: Vec<i64>,
    on_hand: Vec<(i64, u64)>,
    lap: i64,
    kerf: i64,
    least_piece: i64,
    clear: i64,
}

fn rules(job: &Job, material: Material) -> Rules {
    match kind(material) {
        Some(kind) => {
            let trim = trim(&job.system, kind);
            let on_hand = job.stock.trims.iter().filter(|bar| bar.kind == kind);
            Rules {
                sold: trim.bars.iter().map(|bar| bar.length.um()).collect(),
                on_hand: on_hand.map(|bar| (bar.length.um(), u64::from(bar.count))).collect(),
                lap: trim.lap.um(),
                kerf: 0,
                least_piece: job.preferences.least_piece.um(),
                clear: job.preferences.joint_clear.um(),
            }
        }
        None => Rules {
            sold: job.system.batten.bars.iter().map(|bar| bar.length.um()).collect(),
            on_hand: job.stock.battens.iter().map(|bar| (bar.length.um(), u64::from(bar.count))).collect(),
            lap: 0,
            kerf: job.system.batten.kerf.um(),
            least_piece: job.system.batten.least_piece.um(),
            clear: 0,
        },
    }
}

/// Runs that the plan says it cannot cut: named by a finding.
fn excused(plan: &Plan, at: RunAt, run: &TrimRun) -> bool {
    plan.findings.iter().any(|finding| {
        ["uncuttable_run", "short_run"].contains(&finding.code.as_str())
            && finding.place.starts_with(&format!("/roofs/{}/", at.0))
            && finding.text.contains(&run.mark)
    })
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    let mut materials: Vec<Material> = plan.cut_lists.iter().map(|list| list.material).collect();
    let all = materials.len();
    materials.dedup();
    faults.same(materials.len(), all, || "two cut lists of one material".into());

    for material in [Material::Drip, Material::Abutment, Material::OpenSide, Material::Batten] {
        let list = plan.cut_lists.iter().find(|list| list.material == material);
        let wanted: Vec<RunAt> = plan
            .roofs
            .iter()
            .enumerate()
            .flat_map(|(r, roof)| roof.trims.runs.iter().enumerate().map(move |(i, run)| ((r, i), run)))
            .filter(|(at, run)| match kind(material) {
                Some(kind) => run.kind == kind && !excused(plan, *at, run),
                None => trim(&job.system, run.kind).battened && run.cut_length.is_positive(),
            })
            .map(|(at, _)| at)
            .collect();
        match list {
            Some(list) => check_list(job, plan, list, &wanted, faults),
            None => faults.expect(wanted.is_empty(), || format!("no cut list of {material:?}")),
        }
    }
}

fn check_list(job: &Job, plan: &Plan, list: &CutList, wanted: &[RunAt], faults: &mut Faults) {
    let here = format!("{:?}", list.material);
    let rules = rules(job, list.material);
    check_bars(list, &rules, job.preferences.least_useful.um(), faults, &here);

    let mut made: BTreeMap<RunAt, Vec<&MarkedPiece>> = BTreeMap::new();
    for piece in list.bars.iter().flat_map(|bar| &bar.pieces) {
        made.entry((piece.roof, piece.run)).or_default().push(piece);
    }
    let pieces: usize = made.values().map(Vec::len).sum();
    faults.same(list.joint_count, (pieces - made.len()) as u64, || format!("{here}: joints are pieces less runs"));
    for at in wanted {
        faults.expect(made.contains_key(at), || format!("{here}: run {at:?} is not made"));
    }
    for (at, mut pieces) in made {
        let Some(run) = plan.roofs.get(at.0).and_then(|roof| roof.trims.runs.get(at.1)) else {
            faults.expect(false, || format!("{here}: a piece of run {at:?}, which is not there"));
            continue;
        };
        faults.expect(wanted.contains(&at), || format!("{here}: run {} is made without need", run.mark));
        pieces.sort_by_key(|piece| piece.start_along);
        check_run(list.material, run, &pieces, &rules, faults, &format!("{here} {}", run.mark));
    }
    check_counts(list, plan, wanted, &rules, faults, &here);
}

fn check_bars(list: &CutList, rules: &Rules, least_useful: i64, faults: &mut Faults, here: &str) {
    faults.same(list.bar_count, list.bars.len() as u64, || format!("{here}: bars"));
    let bought = list.bars.iter().filter(|bar| bar.source == BarSource::Bought).count() as u64;
    faults.same(list.bought, bought, || format!("{here}: bars bought"));
    for &(length, count) in &rules.on_hand {
        let alike: u64 = rules.on_hand.iter().filter(|bar| bar.0 == length).map(|bar| bar.1).sum();
        let used = list.bars.iter().filter(|bar| bar.source == BarSource::OnHand && bar.length.um() == length).count();
        faults
            .expect(used as u64 <= alike, || format!("{here}: {used} bars of {length} um on hand, there are {count}"));
    }
    for (index, bar) in list.bars.iter().enumerate() {
        let here = format!("{here} bar {}", bar.number);
        faults.same(bar.number, index as u64 + 1, || format!("{here}: number"));
        let length = bar.length.um();
        let known = match bar.source {
            BarSource::Bought => rules.sold.contains(&length),
            BarSource::OnHand => rules.on_hand.iter().any(|on_hand| on_hand.0 == length),
        };
        faults.expect(known, || format!("{here}: there is no bar of {}", bar.length));
        faults.expect(!bar.pieces.is_empty(), || format!("{here}: nothing is cut from it"));
        let mut free = 0;
        for piece in &bar.pieces {
            faults.same(piece.at.um(), free, || format!("{here} {}: place in the bar", piece.mark));
            faults.expect(piece.length.is_positive(), || format!("{here} {}: no length", piece.mark));
            free = piece.at.um() + piece.length.um() + rules.kerf;
        }
        // The last saw cut may fall beyond the bar's end.
        faults.expect(free - rules.kerf <= length, || format!("{here}: pieces are longer than the bar"));
        faults.same(bar.offcut.um(), (length - free).max(0), || format!("{here}: offcut"));
    }
    let mut useful: Vec<(i64, u64)> = list
        .bars
        .iter()
        .filter(|bar| bar.offcut.um() >= least_useful && bar.offcut.is_positive())
        .map(|bar| (-bar.offcut.um(), bar.number))
        .collect();
    useful.sort_unstable();
    let kept: Vec<(i64, u64)> = list.offcuts.iter().map(|offcut| (-offcut.length.um(), offcut.bar)).collect();
    faults.same(kept, useful, || format!("{here}: offcuts worth keeping"));
}

fn check_run(
    material: Material,
    run: &TrimRun,
    pieces: &[&MarkedPiece],
    rules: &Rules,
    faults: &mut Faults,
    here: &str,
) {
    let total: i64 = match material {
        Material::Batten => pieces.iter().map(|piece| piece.start_along.um() + piece.length.um()).max().unwrap_or(0),
        _ => run.cut_length.um(),
    };
    let last = pieces.len() - 1;
    faults.same(pieces[0].start_along.um(), 0, || format!("{here}: first piece begins"));
    let mut laps = 0;
    for (i, piece) in pieces.iter().enumerate() {
        let here = format!("{here} piece {i}");
        let letters = match pieces.len() {
            1 => String::new(),
            _ => part_letters(i),
        };
        faults.same(piece.mark.as_str(), &format!("{}{letters}", run.mark), || format!("{here}: mark"));
        if last > 0 {
            faults.expect(piece.length.um() >= rules.least_piece, || format!("{here}: {} is too short", piece.length));
        }
        let end = piece.start_along.um() + piece.length.um();
        match pieces.get(i + 1) {
            None => faults.same(end, total, || format!("{here}: last piece ends")),
            Some(next) => {
                let begin = next.start_along.um();
                let lap = end - begin;
                laps += lap;
                faults.expect(lap >= rules.lap, || format!("{here}: laps by {lap} um, least {}", rules.lap));
                faults.expect(begin >= rules.clear && total - end >= rules.clear, || {
                    format!("{here}: lap {begin}..{end} um of {total} is nearer than {} to an end", rules.clear)
                });
                check_lap(piece, next, lap, faults, &here);
            }
        }
    }
    let sum: i64 = pieces.iter().map(|piece| piece.length.um()).sum();
    faults.same(sum, total + laps, || format!("{here}: pieces add up to the run and its laps"));
    if material == Material::Batten {
        return;
    }
    check_outer_end(&pieces[0].start, &run.start, faults, &format!("{here} start"));
    check_outer_end(&pieces[last].end, &run.end, faults, &format!("{here} end"));
    let joints: Vec<i64> = pieces[1..].iter().map(|piece| piece.start_along.um()).collect();
    faults.same(run.joints.iter().map(|at| at.um()).collect(), joints, || format!("{here}: joints"));
}

/// `a` to `z`, then `aa` and so on.
pub(super) fn part_letters(index: usize) -> String {
    let mut letters = String::new();
    let mut rest = index + 1;
    while rest > 0 {
        letters.insert(0, char::from(b'a' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters
}

fn check_lap(piece: &MarkedPiece, next: &MarkedPiece, lap: i64, faults: &mut Faults, here: &str) {
    match (&piece.end, &next.start) {
        (PieceEnd::Lap { length: a, over: over_a }, PieceEnd::Lap { length: b, over: over_b }) => {
            faults
                .expect(a.um() == lap && b.um() == lap, || format!("{here}: lap said to be {a} and {b}, is {lap} um"));
            faults.expect(lap == 0 || over_a != over_b, || format!("{here}: neither or both pieces lie over"));
        }
        ends => faults.expect(false, || format!("{here}: a joint with ends {ends:?}")),
    }
}

fn check_outer_end(found: &PieceEnd, end: &End, faults: &mut Faults, here: &str) {
    let wanted = match end.hand {
        Some(hand) => PieceEnd::Mitre { angle_deg: end.angle_deg, hand },
        None => PieceEnd::Square,
    };
    faults.same(found, &wanted, || here.to_string());
}

/// Counts against bounds of our own: material from below, first fit decreasing from above.
fn check_counts(list: &CutList, plan: &Plan, wanted: &[RunAt], rules: &Rules, faults: &mut Faults, here: &str) {
    let ([bar], true, Some(_)) = (&rules.sold[..], rules.on_hand.is_empty(), kind(list.material)) else { return };
    let lengths: Vec<i64> = wanted.iter().map(|at| plan.roofs[at.0].trims.runs[at.1].cut_length.um()).collect();
    let total: i64 = lengths.iter().sum();
    // Bars joined end to end lose a lap at each joint: b bars make b S - (b - 1) p at most.
    let least = ((total - rules.lap).max(0) as u64).div_ceil((bar - rules.lap) as u64);
    faults.expect(list.bar_count >= least, || format!("{here}: {} bars cannot hold {total} um", list.bar_count));
    faults.expect(list.bound <= list.bar_count, || format!("{here}: bound {} is above the bars", list.bound));
    if list.status == Status::ProvenBest {
        faults.same(list.bound, list.bar_count, || format!("{here}: bound of a proven list"));
        let most = first_fit_decreasing(&lengths, *bar, rules.lap);
        faults.expect(list.bar_count <= most, || {
            format!("{here}: {} bars are said to be least, first fit needs {most}", list.bar_count)
        });
    }
}

/// Bars by first fit decreasing; a run longer than a bar takes whole bars, its rest is one more piece to fit.
fn first_fit_decreasing(lengths: &[i64], bar: i64, lap: i64) -> u64 {
    let mut whole = 0;
    let mut rests: Vec<i64> = Vec::new();
    for &length in lengths {
        if length <= bar {
            rests.push(length);
        } else {
            // Each run by itself: the rules of least piece and clear distance can be met by longer laps.
            whole += ((length - lap) as u64).div_ceil((bar - lap) as u64);
        }
    }
    rests.sort_unstable_by(|a, b| b.cmp(a));
    let mut room: Vec<i64> = Vec::new();
    for rest in rests {
        match room.iter_mut().find(|room| **room >= rest) {
            Some(room) => *room -= rest,
            None => room.push(bar - rest),
        }
    }
    whole + room.len() as u64
}
