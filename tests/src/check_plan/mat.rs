//! Reinforcement: seams, cover and laps by lines laid across the strips, areas, rolls, patches.

use std::collections::BTreeMap;

use upstand::mat::{PatchShape, RoofMat, Strip, TapePlace};
use upstand::plan::RoofPlan;
use upstand::system::{Direction, System};
use upstand::{Job, Kind, Length, Plan};

use super::{Faults, outline::trim};
use crate::plane::{self, Frame, P};

/// What the grid of micrometres may cost a line laid across a piece, in micrometres: slanting edges whose ends are
/// rounded move by this much where the line meets them at a shallow angle.
const GRID: f64 = 50.0;

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    let mut rolls: BTreeMap<u64, i64> = BTreeMap::new();
    for (index, roof) in plan.roofs.iter().enumerate() {
        let here = format!("roof {index} mat");
        check_seams(job, roof, faults, &here);
        check_strips(job, roof, faults, &here);
        check_patches(job, roof, faults, &here);
        check_tape(job, roof, faults, &here);
        let own = || roof.mat.strips.iter().flat_map(|strip| &strip.pieces).filter(|piece| piece.beside.is_none());
        faults.same(roof.mat.off_roll.um(), own().map(|piece| piece.length.um()).sum(), || format!("{here}: off roll"));
        check_beside(job, plan, roof, faults, &here);
        check_laps(roof, faults, &here);
        for piece in own() {
            *rolls.entry(piece.roll).or_default() += piece.length.um();
        }
    }
    let mut tape: BTreeMap<u64, i64> = BTreeMap::new();
    for piece in plan.roofs.iter().flat_map(|roof| &roof.mat.tape_pieces) {
        *tape.entry(piece.roll).or_default() += piece.length.um();
    }
    let roll = job.system.tape.roll.um();
    let spare = tape.values().sum::<i64>() <= roll && tape.len() > 1;
    faults.expect(!spare, || format!("{} rolls of tape where one would do", tape.len()));
    for (number, (&at, &used)) in (1..).zip(&tape) {
        faults.expect(at == number && used <= roll, || format!("roll {at} of tape gives {used} um"));
    }
    // One roll is not left for another before it is used up.
    let spare = rolls.values().sum::<i64>() <= job.system.mat.roll.um() && rolls.len() > 1;
    faults.expect(!spare, || format!("{} rolls where one would do", rolls.len()));
    for (number, (&roll, &used)) in rolls.iter().enumerate() {
        faults.same(roll, number as u64 + 1, || "rolls are numbered from 1".into());
        faults.expect(used <= job.system.mat.roll.um(), || format!("roll {roll} gives {used} um"));
    }
}

/// Pieces cut from beside a wider one fit beside it, together.
fn check_beside(job: &Job, plan: &Plan, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let all = |roof: &RoofPlan| roof.mat.strips.iter().flat_map(|strip| strip.pieces.clone()).collect::<Vec<_>>();
    let pieces = all(roof);
    for host in pieces.iter().filter(|piece| piece.beside.is_none()) {
        let own = pieces.iter().filter(|piece| piece.beside.as_ref() == Some(&host.mark));
        let area: f64 = own.clone().map(|piece| piece.length.mm() * piece.width.mm()).sum();
        let free = (job.system.mat.width - host.width).mm();
        faults.expect(area <= free * host.length.mm() + 1.0, || format!("{here}: too much beside {}", host.mark));
        for piece in own {
            let fits = piece.width.mm() <= free && piece.length <= host.length && piece.roll == host.roll;
            faults.expect(fits, || format!("{here}: {} does not fit beside {}", piece.mark, host.mark));
        }
    }
    for piece in pieces.iter().filter(|piece| piece.beside.is_some()) {
        let name = piece.beside.clone().unwrap_or_default();
        let found = match name.split_once(" of roof ") {
            None => pieces.iter().any(|host| host.mark == name && host.beside.is_none()),
            Some((mark, number)) => {
                let other = number.parse::<usize>().ok().and_then(|number| plan.roofs.get(number - 1));
                other.is_some_and(|roof| all(roof).iter().any(|host| host.mark == mark && host.beside.is_none()))
            }
        };
        faults.expect(found, || format!("{here}: {} from beside {name}, which is not there", piece.mark));
    }
}

/// No piece laps over one that is laid after it, so that laps have no cycle; edges are torn over straight.
fn check_laps(roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let order: BTreeMap<&str, usize> = roof
        .mat
        .strips
        .iter()
        .flat_map(|strip| &strip.pieces)
        .enumerate()
        .map(|(at, piece)| (piece.mark.as_str(), at))
        .collect();
    for lap in &roof.mat.laps {
        let at = |mark: &str| order.get(mark).copied();
        let fine = matches!((at(&lap.over), at(&lap.under)), (Some(over), Some(under)) if over > under);
        faults.expect(fine, || format!("{here}: {} cannot lap over {}", lap.over, lap.under));
        faults.expect(lap.width.is_positive() && lap.length.is_positive(), || format!("{here}: an empty lap"));
    }
    use upstand::mat::{EdgeFinish, LapKind};
    for piece in roof.mat.strips.iter().flat_map(|strip| &strip.pieces) {
        let edges = [piece.edges.low, piece.edges.high];
        let count = |wanted| edges.iter().filter(|&&edge| edge == wanted).count();
        let of_side = |lap: &&upstand::mat::MatLap| lap.kind == LapKind::Side;
        let over = roof.mat.laps.iter().filter(of_side).any(|lap| lap.over == piece.mark);
        let under = roof.mat.laps.iter().filter(of_side).any(|lap| lap.under == piece.mark);
        faults.expect(!over || count(EdgeFinish::Torn) > 0, || format!("{here}: {} has no torn edge", piece.mark));
        let straight = count(EdgeFinish::Factory) + count(EdgeFinish::Cut);
        faults.expect(!under || straight > 0, || format!("{here}: {} has no straight edge", piece.mark));
    }
}

fn no_repeats(ring: &[P]) -> bool {
    plane::edges(ring).all(|(a, b)| a != b)
}

fn seams(mat: &RoofMat) -> Vec<Vec<P>> {
    mat.seams.iter().map(|seam| plane::ring(&seam.points)).collect()
}

/// The rings of one piece, along and across the strips. Pieces of one strip overlap at end laps, so that each is looked at by
/// itself.
type Framed = Vec<Vec<(f64, f64)>>;

/// How far the mat's edge lies inside an edge of a kind: the deck flange less what the mat covers of it.
fn inset(job: &Job, kind: Kind) -> f64 {
    let trim = trim(&job.system, kind);
    let inner = trim.section.points.iter().map(|p| p.0.um()).min().unwrap_or(0);
    (-inner - trim.mat_onto.um()).max(0) as f64
}

fn check_seams(job: &Job, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let mat = &roof.mat;
    let rings = seams(mat);
    let mut tape = 0;
    let mut area = 0;
    faults
        .expect(rings.first().is_none_or(|ring| plane::area2(ring) > 0), || format!("{here}: a hole before its deck"));
    faults.expect(rings.iter().all(|ring| no_repeats(ring)), || format!("{here}: a seam repeats a point"));
    for (seam, ring) in mat.seams.iter().zip(&rings) {
        tape += seam.length.um();
        area += plane::area2(ring);
        let length = plane::perimeter(ring);
        faults.close(seam.length.um() as f64, length, ring.len() as f64, || format!("{here}: length of a seam"));
    }
    faults.same(mat.tape.um(), tape, || format!("{here}: tape"));
    faults.close(mat.area_m2, area as f64 / 2e12, 1e-9, || format!("{here}: area"));
    faults.expect(mat.bare_deck_m2 <= roof.area_m2 + 1e-6, || format!("{here}: more bare deck than roof"));
    check_inset(job, roof, &rings, faults, here);
}

/// Points over the whole roof lie inside the seams just where no trim's flange reaches.
fn check_inset(job: &Job, roof: &RoofPlan, seams: &[Vec<P>], faults: &mut Faults, here: &str) {
    let rings: Vec<Vec<P>> = roof.rings.iter().map(|ring| plane::ring(&ring.points)).collect();
    if rings.is_empty() || roof.rings.iter().any(|ring| ring.points.len() != ring.kinds.len()) {
        faults.expect(false, || format!("{here}: rings without their kinds"));
        return;
    }
    let edges: Vec<(P, P, f64)> = roof
        .rings
        .iter()
        .zip(&rings)
        .flat_map(|(planned, ring)| {
            plane::edges(ring).zip(&planned.kinds).map(|((a, b), &kind)| (a, b, inset(job, kind)))
        })
        .collect();
    let clear = rings.iter().zip(&roof.rings).flat_map(|(ring, planned)| {
        let depths: Vec<f64> = planned.kinds.iter().map(|&kind| inset(job, kind)).collect();
        let n = ring.len();
        let mitre = |i: usize| mitre_along(ring, &depths, i % n);
        (0..n).map(|i| (mitre(i), mitre(i + 1))).collect::<Vec<_>>()
    });
    let clear: Vec<(f64, f64)> = clear.collect();
    let all = || rings[0].iter();
    let (x0, x1) = (all().map(|p| p.0).min().unwrap_or(0), all().map(|p| p.0).max().unwrap_or(0));
    let (y0, y1) = (all().map(|p| p.1).min().unwrap_or(0), all().map(|p| p.1).max().unwrap_or(0));
    let deepest = edges.iter().map(|edge| edge.2).fold(0.0, f64::max);
    // Fractions that no symmetry of a drawing meets.
    let steps = 37;
    for i in 0..steps * steps {
        let at = |low: i64, high: i64, k: usize| low as f64 + (high - low) as f64 * (k as f64 + 0.381) / steps as f64;
        let p = (at(x0, x1, i % steps), at(y0, y1, i / steps));
        if !plane::inside(p, &rings) {
            faults.expect(!plane::inside(p, seams), || format!("{here}: mat outside the roof at {p:?}"));
            continue;
        }
        let nearest = edges.iter().map(|&(a, b, depth)| plane::distance_to_segment(p, a, b) - depth);
        let margin = nearest.fold(f64::INFINITY, f64::min);
        let laid = plane::inside(p, seams);
        // Beyond the reach of every flange there is mat, whatever the corners do: a mitre reaches further than the
        // flange is deep, by a factor of at most 12 at corners of 10 degrees or more.
        if margin > 11.5 * deepest {
            faults.expect(laid, || format!("{here}: no mat at {p:?}, {margin} um from any flange"));
        }
        // Where the foot of the perpendicular stands well within an edge, its flange lies below.
        let covered = edges
            .iter()
            .zip(&clear)
            .any(|(&(a, b, depth), &clear)| over_flange(p, a, b, depth, clear) && sees(p, a, b, &rings));
        faults.expect(!(covered && laid), || format!("{here}: mat over a flange at {p:?}"));
    }
}

/// How far along an edge the mitre at corner `i` may reach: flanges of depths a and b whose edges turn by t meet
/// (b - a cos t) / sin t along the edge of a, far off at a gentle corner. No mitre is cut further off than eight times the
/// depth of the deeper flange.
fn mitre_along(ring: &[P], depths: &[f64], i: usize) -> f64 {
    let n = ring.len();
    let turn = plane::turn_deg(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]).to_radians();
    let (a, b) = (depths[(i + n - 1) % n], depths[i]);
    let along = |a: f64, b: f64| ((b - a * turn.cos()) / turn.sin()).abs();
    along(a, b).max(along(b, a)).max(a).max(b).min(8.0 * a.max(b))
}

/// Whether a point lies straight in from an edge by less than `depth`, and further than `clear` from the edge's ends.
fn over_flange(p: (f64, f64), a: P, b: P, depth: f64, clear: (f64, f64)) -> bool {
    let (dx, dy) = plane::vector(a, b);
    let length = dx.hypot(dy);
    let (px, py) = (p.0 - a.0 as f64, p.1 - a.1 as f64);
    let along = (px * dx + py * dy) / length;
    let left = (dx * py - dy * px) / length;
    left > 0.0 && left < depth - GRID && along > clear.0 && along < length - clear.1
}

/// Whether the perpendicular from a point onto an edge meets no other edge.
fn sees(p: (f64, f64), a: P, b: P, rings: &[Vec<P>]) -> bool {
    let (dx, dy) = plane::vector(a, b);
    let t = ((p.0 - a.0 as f64) * dx + (p.1 - a.1 as f64) * dy) / (dx * dx + dy * dy);
    let foot = ((a.0 as f64 + t * dx).round() as i64, (a.1 as f64 + t * dy).round() as i64);
    let p = (p.0.round() as i64, p.1.round() as i64);
    rings
        .iter()
        .flat_map(|ring| plane::edges(ring))
        .all(|edge| edge == (a, b) || !plane::segments_meet((p, foot), edge))
}

/// Least and greatest `across` of a strip's pieces.
fn extent(frame: &Frame, strip: &Strip) -> (f64, f64) {
    strip
        .pieces
        .iter()
        .flat_map(|piece| &piece.outline)
        .flat_map(|ring| plane::ring(ring))
        .map(|p| frame.of(p).1)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
}

fn check_strips(job: &Job, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let mat = &roof.mat;
    let rings = seams(mat);
    if rings.is_empty() {
        faults.expect(mat.strips.is_empty(), || format!("{here}: strips on no deck"));
        return;
    }
    faults.close(mat.direction.0.hypot(mat.direction.1), 1.0, 1e-9, || format!("{here}: direction"));
    if mat.zones.is_empty() {
        check_direction(job, roof, faults, here);
    }
    let frame = Frame { origin: rings[0][0], along: mat.direction };
    let area = frame.rings(&rings);
    let mut laid = 0.0;
    let mut strips: Vec<Vec<Framed>> = Vec::new();
    let whole = frame;
    for (index, strip) in mat.strips.iter().enumerate() {
        faults.same(strip.number, index as u64 + 1, || format!("{here}: number of a strip"));
        faults.expect(!strip.pieces.is_empty(), || format!("{here} strip {}: no pieces", strip.number));
        let mut framed = Vec::new();
        let zone = mat.zones.get(strip.zone);
        faults.expect(mat.zones.is_empty() || zone.is_some(), || format!("{here}: no zone {}", strip.zone));
        let direction = zone.map_or(mat.direction, |zone| zone.direction);
        let frame = Frame { along: direction, ..whole };
        for (i, piece) in strip.pieces.iter().enumerate() {
            let here = format!("{here} piece {}", piece.mark);
            let letter = if strip.pieces.len() == 1 { String::new() } else { super::cutting::part_letters(i) };
            faults.same(&piece.mark, &format!("{}{letter}", strip.number), || format!("{here}: mark"));
            let outline: Vec<Vec<P>> = piece.outline.iter().map(|ring| plane::ring(ring)).collect();
            faults.expect(outline.iter().all(|ring| no_repeats(ring)), || format!("{here}: repeats a point"));
            faults.expect(!outline.is_empty(), || format!("{here}: no outline"));
            // Outer rings run counter-clockwise, cut-outs clockwise.
            let own = outline.iter().map(|ring| plane::area2(ring)).sum::<i128>() as f64 / 2e12;
            faults.close(piece.area_m2, own, 1e-9, || format!("{here}: area"));
            laid += piece.area_m2;
            let box_of = frame.rings(&outline).concat();
            let size = |f: fn(&(f64, f64)) -> f64| {
                box_of.iter().map(f).fold(f64::NEG_INFINITY, f64::max)
                    - box_of.iter().map(f).fold(f64::INFINITY, f64::min)
            };
            let (long, wide) = (size(|p| p.0), size(|p| p.1));
            let (length, width) = (piece.length.um() as f64, piece.width.um() as f64);
            // Up to the next step, but not for the rounding of corners.
            let step = job.system.cutting_increment.um() as f64;
            let up = |um: f64| (um / step).ceil() * step;
            let square = (direction.0 * direction.1).abs() < 1e-12;
            let over = if square { 0.0 } else { 1.0 };
            faults.expect(length >= up(long - 3.0) && length <= up(long + over), || {
                format!("{here}: {length} um off the roll for {long}")
            });
            // What strips cover may fall short of the deck by 5 um, and two corners lie up to 0.71 um off.
            faults.expect(width >= wide - 6.5 && piece.width <= job.system.mat.width, || {
                format!("{here}: {width} um wide for {wide}")
            });
            framed.push(frame.rings(&outline));
        }
        strips.push(framed);
    }
    faults.close(mat.laid_m2, laid, 1e-9, || format!("{here}: area laid"));
    faults.expect(mat.lap >= job.system.mat.lap || mat.strips.len() < 2, || format!("{here}: lap {}", mat.lap));
    if mat.zones.is_empty() {
        check_cover(job, mat, &frame, &area, &strips, faults, here);
    } else {
        check_zones(job, mat, &frame, &area, &strips, faults, here);
    }
}

/// Each zone is covered by its own strips, and all zones together cover the deck and nothing else. Zones that share more than
/// a side lap.
fn check_zones(
    job: &Job,
    mat: &RoofMat,
    frame: &Frame,
    area: &[Vec<(f64, f64)>],
    strips: &[Vec<Framed>],
    faults: &mut Faults,
    here: &str,
) {
    let mut zones: Vec<Vec<Framed>> = Vec::new();
    for (index, zone) in mat.zones.iter().enumerate() {
        let here = format!("{here} zone {}", index + 1);
        let own = Frame { along: zone.direction, ..*frame };
        let rings: Vec<Vec<P>> = zone.outline.iter().map(|ring| plane::ring(ring)).collect();
        zones.push(vec![frame.rings(&rings)]);
        let seams = zone.outline.iter().map(|ring| upstand::mat::Seam { points: ring.clone(), length: Length::ZERO });
        let both = mat.strips.iter().zip(strips).filter(|(strip, _)| strip.zone == index);
        let (listed, framed): (Vec<Strip>, Vec<Vec<Framed>>) =
            both.map(|(strip, framed)| (strip.clone(), framed.clone())).unzip();
        let part = RoofMat { seams: seams.collect(), strips: listed, lap: zone.lap, ..RoofMat::default() };
        check_cover(job, &part, &own, &own.rings(&rings), &framed, faults, &here);
    }
    let pieces: Vec<&Framed> = zones.iter().flatten().collect();
    check_lines(area, &pieces, faults, &format!("{here} zones"));
    let over = |of: usize| mat.strips.iter().filter(move |strip| strip.zone == of).flat_map(|strip| &strip.pieces);
    let joined = mat.laps.iter().filter(|lap| lap.kind == upstand::mat::LapKind::Zone);
    for lap in joined.clone() {
        faults.expect(lap.width >= job.system.mat.lap, || format!("{here}: zone lap of {}", lap.width));
    }
    for zone in 1..mat.zones.len() {
        let laps = joined.clone().any(|lap| over(zone).any(|piece| piece.mark == lap.over || piece.mark == lap.under));
        faults.expect(laps, || format!("{here}: zone {} laps with no other", zone + 1));
    }
}

/// By default strips run along a longest drip run of the outer ring; along a longest run where there is no drip.
fn check_direction(job: &Job, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    if job.system.mat.direction != Direction::Drip || !job.roofs.iter().all(|roof| roof.outer.corners.is_empty()) {
        return;
    }
    let outer = || roof.trims.runs.iter().filter(|run| run.ring == 0);
    let drips = outer().any(|run| run.kind == Kind::Drip);
    let all = || outer().filter(|run| !drips || run.kind == Kind::Drip);
    let longest = all().map(|run| run.line_length).max();
    let (dx, dy) = roof.mat.direction;
    let along = all().filter(|run| Some(run.line_length) == longest).any(|run| {
        let ends = plane::ring(&[run.from, run.to]);
        let (x, y) = plane::vector(ends[0], ends[1]);
        (x * dy - y * dx).abs() <= 2.0
    });
    faults.expect(along, || format!("{here}: strips do not run along the longest drip edge"));
}

/// Lines over an area: pieces cover all of it and nothing beyond.
fn check_lines(area: &[Vec<(f64, f64)>], pieces: &[&Framed], faults: &mut Faults, here: &str) {
    let low = area.iter().flatten().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = area.iter().flatten().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let mut heights: Vec<f64> = (0..97).map(|k| low + (high - low) * (f64::from(k) + 0.437) / 97.0).collect();
    // Beside every line where something begins or ends.
    for p in area.iter().chain(pieces.iter().copied().flatten()).flatten() {
        heights.extend([p.1 - 20.0, p.1 + 20.0]);
    }
    for &height in &heights {
        let wanted = plane::merge(plane::intervals(area, height));
        let all = plane::merge(pieces.iter().flat_map(|piece| plane::intervals(piece, height)).collect());
        let slack =
            GRID + plane::slack(area, height) + pieces.iter().map(|piece| plane::slack(piece, height)).sum::<f64>();
        let bare = plane::uncovered(&wanted, &all);
        faults.expect(bare <= slack, || format!("{here}: {bare} um bare at {height}"));
        let beyond = plane::uncovered(&all, &wanted);
        faults.expect(beyond <= slack, || format!("{here}: {beyond} um of mat beyond the seams at {height}"));
    }
}

/// Lines along the strips: all of the area is covered, nothing lies beyond it, neighbours lap.
fn check_cover(
    job: &Job,
    mat: &RoofMat,
    frame: &Frame,
    area: &[Vec<(f64, f64)>],
    strips: &[Vec<Framed>],
    faults: &mut Faults,
    here: &str,
) {
    let bands: Vec<(f64, f64)> = mat.strips.iter().map(|strip| extent(frame, strip)).collect();
    let low = area.iter().flatten().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = area.iter().flatten().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let all: Vec<&Framed> = strips.iter().flatten().collect();
    check_lines(area, &all, faults, here);
    let least = job.system.mat.lap.um() as f64;
    for (i, pair) in bands.windows(2).enumerate() {
        let lap = pair[0].1 - pair[1].0;
        // A lap is cut short where the deck itself ends, and there is none between parts that lie apart.
        let middle = plane::intervals(area, (pair[0].1 + pair[1].0) / 2.0);
        let below = plane::intervals(area, pair[0].1.min(pair[1].0) - 20.0);
        let above = plane::intervals(area, pair[0].1.max(pair[1].0) + 20.0);
        let apart =
            plane::common(&plane::common(&below, &middle), &above).iter().map(|p| p.1 - p.0).sum::<f64>() <= GRID;
        faults.expect(apart || lap >= least - 2.0, || format!("{here}: strips {} and {} lap {lap} um", i + 1, i + 2));
        if lap > 8.0 * GRID {
            let height = (pair[0].1 + pair[1].0) / 2.0;
            let wanted = plane::merge(plane::intervals(area, height));
            for strip in &strips[i..i + 2] {
                let laid = strip.iter().flat_map(|piece| plane::intervals(piece, height)).collect();
                let bare = plane::uncovered(&wanted, &plane::merge(laid));
                let rough: f64 = strip.iter().map(|piece| plane::slack(piece, height)).sum();
                let slack = GRID + plane::slack(area, height) + rough;
                faults.expect(bare <= slack, || format!("{here}: lap {} is bare over {bare} um", i + 1));
            }
        }
    }
    // One region is met by every line across its width: it needs ceil((B - p) / (s - p)) strips and no more, and all its
    // laps are as wide as the plan says. Where strips may begin before the edge to save length, or a narrow one comes off the
    // roll beside another, one more may be taken.
    if mat.seams.iter().filter(|seam| plane::area2(&plane::ring(&seam.points)) > 0).count() == 1 {
        let (width, lap) = (job.system.mat.width.um() as f64, least);
        let needed = (((high - low - 6.0 - lap) / (width - lap)).ceil()).max(1.0);
        let beside = mat.strips.iter().flat_map(|strip| &strip.pieces).any(|piece| piece.beside.is_some());
        let spare = if job.system.mat.direction == Direction::Best || beside { 1.0 } else { 0.0 };
        let count = mat.strips.len() as f64;
        faults.expect(count >= needed && count <= needed + spare, || {
            format!("{here}: {count} strips over {} um, {needed} would do", high - low)
        });
        for (strip, band) in mat.strips.iter().zip(&bands) {
            // A piece is as wide as its row, or as what it covers where that is much less; parts of one piece are alike.
            for piece in &strip.pieces {
                let with = |other: &&upstand::mat::StripPiece| {
                    other.mark == piece.mark
                        || mat.laps.iter().any(|lap| {
                            let both = [&lap.over, &lap.under];
                            lap.kind == upstand::mat::LapKind::End
                                && both.contains(&&piece.mark)
                                && both.contains(&&other.mark)
                        })
                };
                let own: Vec<upstand::mat::StripPiece> = strip.pieces.iter().filter(with).cloned().collect();
                let (from, to) = extent(frame, &Strip { pieces: own, ..Strip::default() });
                let width = piece.width.um() as f64;
                let near = |wanted: f64| (width - wanted).abs() <= 6.5;
                let full = piece.width == job.system.mat.width && to - from > width - 100_006.5;
                faults.expect(near(to - from) || near(band.1 - band.0) || full, || {
                    format!("{here}: piece {} is {width} um wide for {}", piece.mark, to - from)
                });
            }
        }
        for (i, pair) in bands.windows(2).enumerate() {
            faults.close(pair[0].1 - pair[1].0, mat.lap.um() as f64, 4.0, || format!("{here}: lap {}", i + 1));
        }
    }
}

/// Tape in pieces along every seam and up every trim joint.
fn check_tape(job: &Job, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let (mat, step) = (&roof.mat, job.system.cutting_increment.um());
    let up = |um: i64| (um + step - 1).div_euclid(step) * step;
    let mut wanted: Vec<(TapePlace, i64)> = Vec::new();
    for (seam, ring) in seams(mat).iter().enumerate() {
        let edges = plane::edges(ring).enumerate();
        wanted.extend(edges.map(|(edge, (a, b))| {
            (TapePlace::Seam { seam, edge }, up(plane::distance(a, b).round() as i64 + job.system.tape.lap.um()))
        }));
    }
    for (run, of) in roof.trims.runs.iter().enumerate() {
        let facets = trim(&job.system, of.kind).section.points.windows(2).map(|pair| {
            let (out, rise) = ((pair[1].0 - pair[0].0).um() as f64, (pair[1].1 - pair[0].1).um() as f64);
            out.hypot(rise).round() as i64
        });
        let girth = up(facets.sum());
        wanted.extend((0..of.joints.len()).map(|joint| (TapePlace::Joint { run, joint }, girth)));
    }
    let mut pieces = mat.tape_pieces.iter().peekable();
    for (number, (on, length)) in (1..).zip(wanted) {
        let mut own = Vec::new();
        while let Some(piece) = pieces.next_if(|piece| piece.on == on) {
            own.push(piece);
        }
        let sum: i64 = own.iter().map(|piece| piece.length.um()).sum();
        let laps = job.system.tape.lap.um() * (own.len() as i64 - 1);
        let fine = if own.len() == 1 { sum == length } else { sum >= length + laps };
        faults.expect(fine, || format!("{here}: tape of {sum} um on {on:?}, {length} are wanted"));
        for (i, piece) in own.iter().enumerate() {
            let letters = if own.len() == 1 { String::new() } else { super::cutting::part_letters(i) };
            faults.same(&piece.mark, &format!("T{number}{letters}"), || format!("{here}: mark of tape"));
        }
    }
    faults.expect(pieces.next().is_none(), || format!("{here}: tape where none is wanted"));
    let collars = roof.outlets.iter().map(|outlet| upstand::mat::Collar {
        at: outlet.at,
        hole: outlet.diameter,
        side: outlet.diameter + job.system.patch.collar * 2,
        layers: job.system.patch.at_outlet,
        sleeve: None,
    });
    let of_pipes = roof.pipes.iter().map(|pipe| upstand::mat::Collar {
        at: pipe.at,
        hole: pipe.diameter,
        side: pipe.diameter + job.system.patch.collar * 2,
        layers: job.system.patch.at_pipe,
        sleeve: Some(sleeve(&job.system, pipe.diameter)),
    });
    let wanted: Vec<_> = collars.chain(of_pipes).filter(|collar| collar.layers > 0).collect();
    faults.same(&mat.collars, &wanted, || format!("{here}: collars"));
    let squares = super::takeoff::offcut_squares(&job.system, mat);
    faults.same(mat.patches_from_offcuts, squares, || format!("{here}: patches from offcuts"));
}

/// What goes up around a pipe: as long as its girth and a lap, as high as an upstand above the finished roof.
pub(super) fn sleeve(system: &System, diameter: Length) -> upstand::mat::Sleeve {
    let step = system.cutting_increment.um() as f64;
    let girth = (std::f64::consts::PI * diameter.um() as f64 / step).ceil() * step;
    let limits = system.limits_in_force();
    upstand::mat::Sleeve {
        length: Length::from_um(girth as i64) + system.mat.lap,
        height: limits.upstand + limits.build_up,
    }
}

fn check_patches(job: &Job, roof: &RoofPlan, faults: &mut Faults, here: &str) {
    let mut corners: Vec<(i64, i64, u32)> = roof
        .trims
        .corners
        .iter()
        .filter(|corner| corner.patches > 0)
        .map(|corner| (corner.at.x.um(), corner.at.y.um(), corner.patches))
        .collect();
    let mut found: Vec<(i64, i64, u32)> = roof
        .mat
        .patches
        .iter()
        .filter(|patch| patch.corner)
        .map(|patch| (patch.at.x.um(), patch.at.y.um(), patch.layers))
        .collect();
    for patch in roof.mat.patches.iter().filter(|patch| patch.corner) {
        let turn = roof.trims.corners.iter().find(|corner| corner.at == patch.at).map_or(0.0, |corner| corner.turn_deg);
        let shape = match patch.shape {
            PatchShape::Lapped => turn > 0.0,
            PatchShape::Opened => turn < 0.0,
            PatchShape::Square => turn.abs() < 10.0,
        };
        faults.expect(shape, || format!("{here}: a patch {:?} where the trims turn by {turn}", patch.shape));
    }
    corners.sort_unstable();
    found.sort_unstable();
    faults.same(found, corners, || format!("{here}: patches at corners"));
    let found: Vec<_> = roof.mat.patches.iter().filter(|patch| !patch.corner).collect();
    let joints = roof.trims.runs.iter().flat_map(|run| run.joints.iter().map(move |&joint| (run, joint)));
    let joints: Vec<_> = joints.filter(|_| job.system.patch.at_joint > 0).collect();
    faults.same(found.len(), joints.len(), || format!("{here}: patches at joints"));
    for (patch, (run, joint)) in found.iter().zip(joints) {
        faults.same(patch.layers, job.system.patch.at_joint, || format!("{here}: layers at a joint"));
        // In the middle of the least lap, on the run's line; a run with bends leaves its chord by a little.
        let ends = plane::ring(&[run.from, run.to]);
        let at = (patch.at.x.um(), patch.at.y.um());
        let off = plane::distance_to_segment((at.0 as f64, at.1 as f64), ends[0], ends[1]);
        let along = (joint - run.start.gain + trim(&job.system, run.kind).lap / 2).um() as f64;
        let slack = if run.edge_count == 1 { 3.0 } else { along * 0.01 };
        faults.expect(off <= slack, || format!("{here}: the patch of a joint of {} lies {off} um off", run.mark));
        faults
            .close(plane::distance(ends[0], at), along, slack, || format!("{here}: patch of a joint of {}", run.mark));
    }
}
