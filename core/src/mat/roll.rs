//! Cutting pieces of mat from rolls.

use std::collections::BTreeMap;

use super::deck::box_of;
use super::direction::Axis;
use super::end_lap::{EndLaps, bands_of_penetrations, least_apart};
use super::layer::{Layout, cut_bands, piece};
use super::nest::{Size, beside};
use super::result::{RoofMat, StripPiece};
use crate::cutting::{self, Bar, Effort, Problem, Rules, Run};
use crate::error::Error;
use crate::geometry::{Point, Polygon, Ring};
use crate::length::Length;
use crate::system::{Mat, MatRoll, System};

/// Search nodes for the rolls. Rolls are long beside pieces, so the first plan is nearly always the best.
const NODES: u64 = 1;
/// Most pieces that the engine is asked about, and most rolls: an end lap more is nothing beside a longer search for it.
const MOST_SEARCHED: (usize, u64) = (16, 3);

/// Numbers the rolls that pieces come from, cuts narrow pieces from beside one another, splits pieces that no roll is long
/// enough for, and marks all pieces. Gives the rolls and the roofs on which end laps of neighbouring strips lie too near to one
/// another.
///
/// Rolls are filled with whole pieces where that can be, and pieces are joined from two, with the system's end lap, where
/// that saves a roll. Where this takes as few rolls as the total length allows, nothing can be better; otherwise the
/// cutting engine is asked, as far as the job is small. Of several lengths of roll each is tried for the whole job, and then
/// every roll that is not used up becomes the cheapest that holds what it is used for.
pub(super) fn cut_from_rolls(
    system: &System,
    roofs: &mut [RoofMat],
    layouts: &[Layout],
) -> Result<(Vec<MatRoll>, Vec<usize>), Error> {
    let mat = &system.mat;
    let sizes: Vec<Size> = pieces(roofs).map(|piece| Size { length: piece.length, width: piece.width }).collect();
    let offered: Vec<MatRoll> = mat.rolls().collect();
    let priced = offered.iter().all(|roll| roll.price.is_some());
    let tried = offered.iter().map(|roll| {
        let (hosts, parts) = cut(mat, roll.length, &sizes);
        let rolls = cheapest(&offered, priced, roll, &hosts, &parts);
        (cost(&rolls, priced), rolls, hosts, parts)
    });
    let Some((_, rolls, hosts, parts)) = tried.min_by_key(|tried| tried.0) else { return Ok(Default::default()) };
    let left = left_over(&rolls, &hosts, &parts);
    let (wholes, in_line) = split(system, roofs, layouts, parts, left)?;
    for roof in roofs.iter_mut() {
        mark(roof);
    }
    name_hosts(roofs, &wholes, &hosts);
    for roof in roofs {
        let pieces = roof.strips.iter().flat_map(|strip| &strip.pieces);
        roof.off_roll = pieces.filter(|piece| piece.beside.is_none()).map(|piece| piece.length).sum();
    }
    Ok((rolls, in_line))
}

/// What rolls cost, in parts of the unit of money; where a price is missing, their area.
pub(super) fn cost(rolls: &[MatRoll], priced: bool) -> u128 {
    let area =
        |roll: &MatRoll| u128::from(roll.width.um().unsigned_abs()) * u128::from(roll.length.um().unsigned_abs());
    let price = |roll: &MatRoll| roll.price.map_or(0, |price| u128::from(price.parts()));
    rolls.iter().map(|roll| if priced { price(roll) } else { area(roll) }).sum()
}

/// For each roll that parts come from the cheapest on offer that is long enough.
fn cheapest(
    offered: &[MatRoll],
    priced: bool,
    cut_from: &MatRoll,
    hosts: &[Option<usize>],
    parts: &[Vec<Part>],
) -> Vec<MatRoll> {
    let of = |used: Length| {
        let enough = offered.iter().filter(|roll| roll.length >= used);
        *enough.min_by_key(|&&roll| cost(&[roll], priced)).unwrap_or(cut_from)
    };
    used(hosts, parts).into_iter().map(of).collect()
}

/// How much of each roll the parts take.
fn used(hosts: &[Option<usize>], parts: &[Vec<Part>]) -> Vec<Length> {
    let mut used: Vec<Length> = vec![Length::ZERO; roll_count(parts) as usize];
    for (own, _) in parts.iter().zip(hosts).filter(|(_, host)| host.is_none()) {
        for part in own {
            used[part.roll as usize - 1] += part.length;
        }
    }
    used
}

/// What is left at the end of each roll.
fn left_over(rolls: &[MatRoll], hosts: &[Option<usize>], parts: &[Vec<Part>]) -> Vec<Length> {
    rolls.iter().zip(used(hosts, parts)).map(|(roll, used)| roll.length - used).collect()
}

/// From beside which piece each is cut, and the parts that each comes in.
fn cut(mat: &Mat, roll: Length, sizes: &[Size]) -> (Vec<Option<usize>>, Vec<Vec<Part>>) {
    let rule = RollRule { roll, lap: mat.end_lap, least_piece: mat.least_piece };
    // Pieces that are joined from several have none cut from beside them.
    let mut joined = vec![false; sizes.len()];
    loop {
        let hosts = beside(sizes, mat.width, |i| joined[i] || sizes[i].length > roll);
        let own: Vec<usize> = (0..sizes.len()).filter(|&i| hosts[i].is_none()).collect();
        let lengths: Vec<Length> = own.iter().map(|&i| sizes[i].length).collect();
        let mut parts = vec![Vec::new(); sizes.len()];
        for (&i, own) in own.iter().zip(cut_lengths(&rule, &lengths)) {
            parts[i] = own;
        }
        let mut again = false;
        for host in hosts.iter().flatten() {
            if parts[*host].len() > 1 && !joined[*host] {
                (joined[*host], again) = (true, true);
            }
        }
        if again {
            continue;
        }
        for (i, host) in hosts.iter().enumerate() {
            if let Some(host) = host {
                let roll = parts[*host].first().map_or(1, |part| part.roll);
                parts[i] = vec![Part { from: Length::ZERO, length: sizes[i].length, roll }];
            }
        }
        return (hosts, parts);
    }
}

/// What holds for lengths cut from rolls.
#[derive(Clone, Copy, Debug)]
pub(super) struct RollRule {
    pub(super) roll: Length,
    /// Overlap where two parts of a length join.
    pub(super) lap: Length,
    pub(super) least_piece: Length,
}

/// The parts that lengths come in.
pub(super) fn cut_lengths(rule: &RollRule, lengths: &[Length]) -> Vec<Vec<Part>> {
    let fewest = fewest(lengths, rule.roll);
    let parts = filled(rule, lengths);
    if roll_count(&parts) > fewest && lengths.len() <= MOST_SEARCHED.0 && fewest <= MOST_SEARCHED.1 {
        let better = searched(rule, lengths).filter(|better| roll_count(better) < roll_count(&parts));
        return better.unwrap_or(parts);
    }
    parts
}

/// Says of each piece cut from beside another which one that is. `wholes` gives the number that each piece, or the one that
/// it is a part of, had before; neither host nor guest comes in parts.
fn name_hosts(roofs: &mut [RoofMat], wholes: &[usize], hosts: &[Option<usize>]) {
    if hosts.iter().all(Option::is_none) {
        return;
    }
    let mut names: Vec<(usize, String)> = vec![Default::default(); hosts.len()];
    let of_roofs = roofs.iter().enumerate().flat_map(|(r, roof)| {
        roof.strips.iter().flat_map(move |strip| strip.pieces.iter().map(move |piece| (r, piece)))
    });
    for ((r, piece), &whole) in of_roofs.zip(wholes) {
        names[whole] = (r, piece.mark.clone());
    }
    let mut wholes = wholes.iter();
    for (r, roof) in roofs.iter_mut().enumerate() {
        for piece in roof.strips.iter_mut().flat_map(|strip| &mut strip.pieces) {
            let host = wholes.next().and_then(|&whole| hosts[whole]).map(|host| &names[host]);
            piece.beside =
                host.map(|(of, name)| if *of == r { name.clone() } else { format!("{name} of roof {}", of + 1) });
        }
    }
}

fn pieces(roofs: &[RoofMat]) -> impl Iterator<Item = &StripPiece> {
    roofs.iter().flat_map(|roof| &roof.strips).flat_map(|strip| &strip.pieces)
}

/// No fewer rolls hold this much.
pub(super) fn fewest(lengths: &[Length], roll: Length) -> u64 {
    let total: u64 = lengths.iter().fold(0, |sum, length| sum.saturating_add(length.um().unsigned_abs()));
    total.div_ceil(roll.um().unsigned_abs().max(1))
}

/// A part of a piece as laid: where it begins along the piece, its length, its roll.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub(super) from: Length,
    pub(super) length: Length,
    pub(super) roll: u64,
}

/// How many rolls the parts of all pieces come from.
fn roll_count(parts: &[Vec<Part>]) -> u64 {
    parts.iter().flatten().map(|part| part.roll).max().unwrap_or(0)
}

/// The cutting engine's answer; `None` under rules that no lay-out keeps.
fn searched(rule: &RollRule, lengths: &[Length]) -> Option<Vec<Vec<Part>>> {
    let runs = lengths.iter().map(|&length| Run::of(length, 1)).collect();
    let rules = Rules { lap: rule.lap, least_piece: rule.least_piece, ..Rules::default() };
    let problem = Problem { rules, ..Problem::new(vec![Bar::of(rule.roll)], runs) };
    let answer = cutting::solve(&problem, &Effort { nodes: NODES, time: None }).ok()?;
    let mut parts = vec![Vec::new(); problem.runs.len()];
    let bars = answer.chains.iter().flat_map(|chain| (0..chain.times).flat_map(|_| &chain.bars));
    for (roll, bar) in (1..).zip(bars) {
        for cut in &bar.pieces {
            parts[cut.run].push(Part { from: cut.start, length: cut.length, roll });
        }
    }
    Some(parts)
}

/// More lengths than this are taken from the rolls one after the other: a lap more is nothing beside them.
const MOST_FILLED: usize = 2_000;

/// Rolls filled with whole pieces for as long as the rest, laid one after the other and joined where a roll ends, then
/// takes no more rolls than it would at best.
fn filled(rule: &RollRule, lengths: &[Length]) -> Vec<Vec<Part>> {
    let whole = if lengths.len() > MOST_FILLED { None } else { whole_pieces(lengths, rule.roll) };
    if let Some(rolls) = whole {
        let part = |(&length, roll)| vec![Part { from: Length::ZERO, length, roll }];
        return lengths.iter().zip(rolls).map(part).collect();
    }
    let mut rest: Vec<usize> = (0..lengths.len()).collect();
    if rest.len() > MOST_FILLED {
        return one_after_the_other(rule, lengths, &rest);
    }
    let mut parts = vec![Vec::new(); lengths.len()];
    let count = |rest: &[usize]| roll_count(&one_after_the_other(rule, lengths, rest));
    let (mut used, all) = (0, count(&rest));
    while used < all {
        let full = fullest(lengths, &rest, rule.roll);
        let mut taken = full.clone();
        taken.sort_unstable();
        let left: Vec<usize> = rest.iter().copied().filter(|i| taken.binary_search(i).is_err()).collect();
        if full.is_empty() || used + 1 + count(&left) > all {
            break;
        }
        used += 1;
        for i in full {
            parts[i].push(Part { from: Length::ZERO, length: lengths[i], roll: used });
        }
        rest = left;
    }
    for (i, own) in rest.iter().zip(one_after_the_other(rule, lengths, &rest)) {
        parts[*i].extend(own.into_iter().map(|part| Part { roll: part.roll + used, ..part }));
    }
    parts
}

/// Step of the sums that are compared while a roll is filled, and most pieces that are tried.
const SUM_STEP: i64 = 50_000;
const MOST_SUMMED: usize = 200;

/// The pieces, of those given, that fill a roll best without being joined: by all sums that they can come to, a bit for each.
fn fullest(lengths: &[Length], of: &[usize], roll: Length) -> Vec<usize> {
    let step = SUM_STEP.max(roll.um() / 4_000);
    let most = (roll.um() / step).max(0) as usize;
    let size_of = |i: usize| lengths[i].um().unsigned_abs().div_ceil(step.unsigned_abs()) as usize;
    // The piece by which each sum was reached first.
    let mut by: Vec<Option<usize>> = vec![None; most + 1];
    let mut reached: Vec<u64> = vec![0; most / 64 + 1];
    reached[0] = 1;
    for &i in of.iter().take(MOST_SUMMED) {
        let size = size_of(i);
        if size == 0 || size > most {
            continue;
        }
        let (words, bits) = (size / 64, size % 64);
        // From above, so that no piece is taken twice.
        for word in (words..reached.len()).rev() {
            let mut moved = reached[word - words] << bits;
            if bits > 0 && word > words {
                moved |= reached[word - words - 1] >> (64 - bits);
            }
            let mut fresh = moved & !reached[word];
            reached[word] |= moved;
            while fresh != 0 {
                if let Some(by) = by.get_mut(word * 64 + fresh.trailing_zeros() as usize) {
                    *by = Some(i);
                }
                fresh &= fresh - 1;
            }
        }
    }
    let mut sum = (1..=most).rev().find(|&sum| by[sum].is_some()).unwrap_or(0);
    let mut full = Vec::new();
    while let Some(i) = by[sum].filter(|_| sum > 0) {
        full.push(i);
        sum -= size_of(i);
    }
    full
}

/// The pieces given from rolls one after the other; where a roll ends within a piece, the next goes on.
fn one_after_the_other(rule: &RollRule, lengths: &[Length], of: &[usize]) -> Vec<Vec<Part>> {
    let (mut roll, mut left) = (1, rule.roll);
    let least = rule.least_piece.max(rule.lap + Length::from_um(1));
    let take = |&i: &usize| {
        let mut own = Vec::new();
        let mut from = Length::ZERO;
        loop {
            let rest = lengths[i] - from;
            if rest <= left {
                own.push(Part { from, length: rest, roll });
                left -= rest;
                return own;
            }
            // What is left of the piece must be long enough too.
            let short = left.min(rest + rule.lap - least);
            let fresh = left == rule.roll;
            let part = if fresh && short < least { left } else { short };
            if fresh || part >= least {
                own.push(Part { from, length: part, roll });
                from = from + part - rule.lap;
            }
            (roll, left) = (roll + 1, rule.roll);
        }
    };
    of.iter().map(take).collect()
}

/// The roll that each piece comes from, if first fit, longest first, needs no more rolls than the total length does.
fn whole_pieces(lengths: &[Length], roll: Length) -> Option<Vec<u64>> {
    let fewest = fewest(lengths, roll);
    let mut order: Vec<usize> = (0..lengths.len()).collect();
    order.sort_by_key(|&i| (-lengths[i], i));
    let mut left: Vec<Length> = Vec::new();
    let mut rolls = vec![1; lengths.len()];
    for i in order {
        let at = left.iter().position(|&left| left >= lengths[i]).unwrap_or(left.len());
        if at == left.len() {
            left.push(roll);
        }
        if lengths[i] > left[at] || left.len() as u64 > fewest {
            return None;
        }
        left[at] -= lengths[i];
        rolls[i] = at as u64 + 1;
    }
    Some(rolls)
}

/// Replaces each piece by its parts. Returns the number that each piece had, and the roofs on which end laps of neighbouring
/// strips are too near.
fn split(
    system: &System,
    roofs: &mut [RoofMat],
    layouts: &[Layout],
    parts: Vec<Vec<Part>>,
    mut left: Vec<Length>,
) -> Result<(Vec<usize>, Vec<usize>), Error> {
    let mut parts = parts.into_iter().enumerate();
    let mut wholes = Vec::new();
    let mut in_line = Vec::new();
    for (r, (roof, layout)) in roofs.iter_mut().zip(layouts).enumerate() {
        // Where end laps begin along the rows of each zone.
        let mut joints: BTreeMap<(usize, usize), Vec<Length>> = BTreeMap::new();
        for (strip, &(zone, row)) in roof.strips.iter_mut().zip(&layout.strips) {
            let laid = &layout.zones[zone];
            let mut pieces = Vec::with_capacity(strip.pieces.len());
            for whole in std::mem::take(&mut strip.pieces) {
                let (number, mut own) = parts.next().unwrap_or_default();
                own.sort_by_key(|part| part.from);
                if let [_, _, ..] = own.as_slice() {
                    let polygons = polygons(&whole);
                    let start = box_of(polygons.iter(), laid.axis).map_or(Length::ZERO, |[along, _]| along.0);
                    let beside = [row.checked_sub(1), Some(row + 1)].into_iter().flatten();
                    let near: Vec<Length> =
                        beside.filter_map(|row| joints.get(&(zone, row))).flatten().map(|&at| at - start).collect();
                    let bands = bands_of_penetrations(system, layout, laid.axis, &polygons, start);
                    let own = EndLaps { system, bands, near: &near }.place(own, &mut left);
                    if least_apart(&own, &near) < system.mat.stagger && in_line.last() != Some(&r) {
                        in_line.push(r);
                    }
                    joints.entry((zone, row)).or_default().extend(own[1..].iter().map(|part| start + part.from));
                    let parts = parts_of(system, &whole, laid.axis, &own, start)?;
                    pieces.extend(parts.into_iter().map(|part| (number, part)));
                } else {
                    let roll = own.first().map_or(1, |part| part.roll);
                    pieces.push((number, StripPiece { roll, ..whole }));
                }
            }
            if laid.falls_along {
                pieces.reverse();
            }
            wholes.extend(pieces.iter().map(|piece| piece.0));
            strip.pieces = pieces.into_iter().map(|piece| piece.1).collect();
        }
        roof.laid_m2 = roof.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.area_m2).sum();
    }
    Ok((wholes, in_line))
}

/// The parts of a piece that come from several rolls. Where the piece has a gap at its joint, a part is only as long as what
/// it covers.
fn parts_of(
    system: &System,
    whole: &StripPiece,
    axis: Axis,
    parts: &[Part],
    start: Length,
) -> Result<Vec<StripPiece>, Error> {
    // A line across the strips: what lies to its left lies ahead.
    let way = axis.way();
    let across = Point::from_um(axis.origin.x.um() + way.y, axis.origin.y.um() - way.x);
    let across = Axis { origin: axis.origin, ahead: across };
    let low = |part: &Part| start + part.from;
    let bands: Vec<(Length, Length)> = parts.iter().map(|part| (low(part), low(part) + part.length)).collect();
    let mut cuts = Vec::with_capacity(parts.len());
    cut_bands(&polygons(whole), across, &bands, &mut cuts)?;
    let pieces = parts.iter().zip(cuts).filter_map(|(part, own)| {
        let [along, _] = box_of(own.iter(), axis)?;
        let cut = piece(system.cutting_increment, whole.width, along.1 - along.0, own.iter());
        Some(StripPiece { length: cut.length.min(part.length), roll: part.roll, ..cut })
    });
    Ok(pieces.collect())
}

/// The polygons of a piece: each counter-clockwise ring with the clockwise rings that follow it.
pub(super) fn polygons(piece: &StripPiece) -> Vec<Polygon> {
    let mut polygons: Vec<Polygon> = Vec::new();
    for points in &piece.outline {
        let ring = Ring::new(points.clone());
        match polygons.last_mut() {
            Some(polygon) if !ring.is_counter_clockwise() => polygon.holes.push(ring),
            _ => polygons.push(Polygon::from(ring)),
        }
    }
    polygons
}

/// Numbers the strips and marks their pieces: `3`, or `3a`, `3b` where there are several.
fn mark(roof: &mut RoofMat) {
    for (number, strip) in (1..).zip(&mut roof.strips) {
        strip.number = number;
        let several = strip.pieces.len() > 1;
        for (i, piece) in (0..).zip(&mut strip.pieces) {
            piece.mark = if several { format!("{number}{}", crate::trim::letters(i)) } else { number.to_string() };
        }
    }
}
