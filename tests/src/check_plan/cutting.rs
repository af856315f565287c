//! Cut lists: every run made, every piece in its bar, every rule of the cut kept.

use std::collections::BTreeMap;

use upstand::cutting::Status;
use upstand::system::BarSold;
use upstand::trim::{BarSource, Corner, CutList, End, Hand, MarkedPiece, Material, PieceEnd, TrimRun, Turn};
use upstand::{Job, Kind, Length, Plan};

use super::fixings::check_fixings;
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
    /// Length and price, if known, in the smallest unit of money.
    sold: Vec<(i64, Option<u64>)>,
    on_hand: Vec<(i64, u64)>,
    lap: i64,
    kerf: i64,
    least_piece: i64,
    clear: i64,
}

fn sold(bars: &[BarSold]) -> Vec<(i64, Option<u64>)> {
    bars.iter().map(|bar| (bar.length.um(), bar.price.map(|price| price.parts()))).collect()
}

fn rules(job: &Job, material: Material) -> Rules {
    match kind(material) {
        Some(kind) => {
            let trim = trim(&job.system, kind);
            let on_hand = job.stock.trims.iter().filter(|bar| bar.kind == kind);
            Rules {
                sold: sold(&trim.bars),
                on_hand: on_hand.map(|bar| (bar.length.um(), u64::from(bar.count))).collect(),
                lap: trim.lap.um(),
                kerf: 0,
                least_piece: job.preferences.least_piece.um(),
                clear: job.preferences.joint_clear.um(),
            }
        }
        None => Rules {
            sold: sold(&job.system.batten.bars),
            on_hand: job.stock.battens.iter().map(|bar| (bar.length.um(), u64::from(bar.count))).collect(),
            lap: 0,
            kerf: job.system.batten.kerf.um(),
            least_piece: job.system.batten.least_piece.um(),
            clear: 0,
        },
    }
}

/// Whether the plan names the run in a finding as one that cannot be cut.
fn excused(plan: &Plan, at: RunAt, run: &TrimRun) -> bool {
    plan.findings.iter().any(|finding| {
        finding.code == "uncuttable_run"
            && finding.place.starts_with(&format!("/roofs/{}/", at.0))
            && finding.text.contains(&format!("un {} of", run.mark))
    })
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    faults.expect(plan.cut_lists.windows(2).all(|pair| pair[0].material < pair[1].material), || {
        "cut lists are not in order, one for each material".into()
    });

    for material in [Material::Drip, Material::Abutment, Material::OpenSide, Material::Batten] {
        let list = plan.cut_lists.iter().find(|list| list.material == material);
        let wanted: Vec<RunAt> = plan
            .roofs
            .iter()
            .enumerate()
            .flat_map(|(r, roof)| roof.trims.runs.iter().enumerate().map(move |(i, run)| ((r, i), run)))
            .filter(|(at, run)| match kind(material) {
                Some(kind) => run.kind == kind && run.cut_length.is_positive(),
                None => trim(&job.system, run.kind).battened && batten(job, plan, *at).0.is_positive(),
            })
            .filter(|(at, run)| !excused(plan, *at, run))
            .map(|(at, _)| at)
            .collect();
        match list {
            Some(list) => check_list(job, plan, list, &wanted, faults),
            None => faults.expect(wanted.is_empty(), || format!("no cut list of {material:?}")),
        }
    }
}

/// The batten behind a run: its length, that of its longer side, and its ends. Where two battens meet in a mitre, at an
/// outer corner the outer side runs past the corner by its thickness times the tangent of half the turn.
fn batten(job: &Job, plan: &Plan, at: RunAt) -> (Length, (PieceEnd, PieceEnd)) {
    let trims = &plan.roofs[at.0].trims;
    let run = &trims.runs[at.1];
    let end = |corner: Option<&Corner>| {
        let Some(corner) = corner else { return (PieceEnd::Square, 0) };
        let both = [corner.before, corner.after]
            .iter()
            .all(|&i| trims.runs.get(i).is_some_and(|run| trim(&job.system, run.kind).battened));
        let sharp = 180.0 - corner.turn_deg.abs() < job.system.limits.sharpest_mitre_deg;
        if !both || sharp || corner.turn == Turn::Straight {
            return (PieceEnd::Square, 0);
        }
        let hand = if corner.turn == Turn::Outer { Hand::Right } else { Hand::Left };
        let past = job.system.batten.thickness.um() as f64 * (corner.turn_deg / 2.0).to_radians().tan();
        // Each gain to the nearest micrometre, the sum up to the next step.
        (PieceEnd::Mitre { angle_deg: corner.turn_deg.abs() / 2.0, hand }, past.max(0.0).round() as i64)
    };
    let (start, first) = end(trims.corners.iter().find(|corner| corner.after == at.1));
    let (end, last) = end(trims.corners.iter().find(|corner| corner.before == at.1));
    let step = job.system.cutting_increment.um();
    let length = (run.line_length.um() + first + last + step - 1).div_euclid(step) * step;
    (Length::from_um(length), (start, end))
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
    let mut lengths = Vec::new();
    for (at, mut pieces) in made {
        let Some(run) = plan.roofs.get(at.0).and_then(|roof| roof.trims.runs.get(at.1)) else {
            faults.expect(false, || format!("{here}: a piece of run {at:?}, which is not there"));
            continue;
        };
        if kind(list.material).is_some() {
            check_fixings(job, plan, run, &pieces, faults, &format!("{here} {}", run.mark));
        }
        faults.expect(wanted.contains(&at), || format!("{here}: run {} is made without need", run.mark));
        let (total, ends) = match list.material {
            Material::Batten => batten(job, plan, at),
            _ => (run.cut_length, (piece_end(&run.start), piece_end(&run.end))),
        };
        lengths.push(total.um());
        pieces.sort_by_key(|piece| piece.start_along);
        check_run(
            job,
            list.material,
            (run, total.um(), ends),
            &pieces,
            &rules,
            faults,
            &format!("{here} {}", run.mark),
        );
    }
    check_counts(list, &lengths, &rules, faults, &here);
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
            BarSource::Bought => rules.sold.iter().any(|sold| sold.0 == length),
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
    job: &Job,
    material: Material,
    (run, total, ends): (&TrimRun, i64, (PieceEnd, PieceEnd)),
    pieces: &[&MarkedPiece],
    rules: &Rules,
    faults: &mut Faults,
    here: &str,
) {
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
                let over = if material == Material::Batten { None } else { lies_over(job, run) };
                check_lap((piece, next), lap, over, faults, &here);
            }
        }
    }
    let sum: i64 = pieces.iter().map(|piece| piece.length.um()).sum();
    faults.same(sum, total + laps, || format!("{here}: pieces add up to the run and its laps"));
    faults.same(&pieces[0].start, &ends.0, || format!("{here}: start"));
    faults.same(&pieces[last].end, &ends.1, || format!("{here}: end"));
    if material == Material::Batten {
        return;
    }
    let beads = i64::from(job.system.adhesive.beads_per_lap);
    let wanted = pieces.windows(2).flat_map(|pair| {
        let (from, to) = (pair[1].start_along.um(), (pair[0].start_along + pair[0].length).um());
        (0..beads).map(move |i| from as f64 + (to - from) as f64 * (i as f64 + 0.5) / beads as f64)
    });
    let wanted: Vec<f64> = if rules.lap > 0 { wanted.collect() } else { Vec::new() };
    let off = run.beads.iter().zip(&wanted).map(|(bead, at)| (bead.um() as f64 - at).abs()).fold(0.0, f64::max);
    faults.expect(run.beads.len() == wanted.len() && off <= 1.0, || format!("{here}: beads in its laps"));
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

/// Whether the later piece lies over at the laps of a run, where something says so: the upper one, else the one nearer
/// to the weather, else the later.
fn lies_over(job: &Job, run: &TrimRun) -> Option<bool> {
    let boundaries = job.roofs.iter().flat_map(|roof| std::iter::once(&roof.outer).chain(&roof.holes));
    if boundaries.clone().any(|boundary| !boundary.levels.is_empty()) {
        return None;
    }
    let Some(degrees) = job.preferences.weather_from_deg else { return Some(true) };
    let (a, b) = (crate::plane::ring(&[run.from])[0], crate::plane::ring(&[run.to])[0]);
    let (x, y) = crate::plane::vector(a, b);
    let (sin, cos) = degrees.to_radians().sin_cos();
    let toward = (x * cos + y * sin) / x.hypot(y);
    (toward.abs() > 1e-6).then_some(toward > 0.0)
}

fn check_lap(
    (piece, next): (&MarkedPiece, &MarkedPiece),
    lap: i64,
    later_over: Option<bool>,
    faults: &mut Faults,
    here: &str,
) {
    match (&piece.end, &next.start) {
        (PieceEnd::Lap { length: a, over: over_a }, PieceEnd::Lap { length: b, over: over_b }) => {
            faults
                .expect(a.um() == lap && b.um() == lap, || format!("{here}: lap said to be {a} and {b}, is {lap} um"));
            faults.expect(over_a != over_b, || format!("{here}: neither or both pieces lie over"));
            faults
                .expect(later_over.is_none_or(|over| over == *over_b), || format!("{here}: laps against the weather"));
        }
        ends => faults.expect(false, || format!("{here}: a joint with ends {ends:?}")),
    }
}

/// How the end of a trim shows on its piece.
fn piece_end(end: &End) -> PieceEnd {
    match end.hand {
        Some(hand) => PieceEnd::Mitre { angle_deg: end.angle_deg, hand },
        None => PieceEnd::Square,
    }
}

/// Counts against bounds of our own: material from below, first fit decreasing from above.
fn check_counts(list: &CutList, lengths: &[i64], rules: &Rules, faults: &mut Faults, here: &str) {
    let unit = rules.sold.iter().map(|bar| bar.0).fold(0, gcd).max(1);
    let priced = rules.sold.iter().all(|bar| bar.1.is_some());
    let cost = |bar: &(i64, Option<u64>)| bar.1.filter(|_| priced).unwrap_or((bar.0 / unit) as u64);
    let bought = list.bars.iter().filter(|bar| bar.source == BarSource::Bought);
    let spent: u64 = bought.filter_map(|bar| rules.sold.iter().find(|sold| sold.0 == bar.length.um())).map(cost).sum();
    let dearest = rules.sold.iter().map(cost).max().unwrap_or(0).max(1);
    // The bound is on what is bought, counted in the dearest bars.
    let reached = spent.div_ceil(dearest);
    faults.expect(list.bound <= reached, || format!("{here}: bound {} is above {reached}", list.bound));
    if list.status == Status::ProvenBest {
        faults.same(list.bound, reached, || format!("{here}: bound of a proven list"));
    }
    let ([(bar, _)], true) = (&rules.sold[..], rules.on_hand.is_empty()) else { return };
    // A saw cut after each piece is as good as longer pieces from longer bars, with longer laps.
    let (bar, lap) = (bar + rules.kerf, rules.lap + rules.kerf);
    let lengths: Vec<i64> = lengths.iter().map(|length| length + rules.kerf).collect();
    let total: i64 = lengths.iter().sum();
    // Every bar beyond the number of runs has to be joined to another and loses a lap.
    let holds = |bars: i64| bars * bar - (bars - lengths.len() as i64).max(0) * lap;
    let least = (0..).find(|&bars| holds(bars) >= total).unwrap_or(0) as u64;
    faults.expect(list.bar_count >= least, || format!("{here}: {} bars cannot hold {total} um", list.bar_count));
    if list.status == Status::ProvenBest {
        let most = first_fit_decreasing(&lengths, bar, lap);
        faults.expect(list.bar_count <= most, || {
            format!("{here}: {} bars are said to be least, first fit needs {most}", list.bar_count)
        });
    }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
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
