//! Cutting pieces of mat from rolls.

use super::deck::place;
use super::direction::Axis;
use super::layer::{cut_bands, piece};
use super::result::{RoofMat, StripPiece};
use crate::cutting::{self, Bar, Effort, Problem, Rules, Run};
use crate::error::Error;
use crate::geometry::{Point, Polygon, Ring};
use crate::length::Length;
use crate::system::{Mat, System};

/// Search nodes for the rolls. Rolls are long beside pieces, so the first plan is nearly always the best.
const NODES: u64 = 1;
/// Most pieces that the engine is asked about, and most rolls: an end lap more is nothing beside a longer search for it.
const MOST_SEARCHED: (usize, u64) = (16, 3);

/// Numbers the rolls that pieces come from, splits pieces that no roll is long enough for, and marks all pieces.
///
/// Rolls are filled with whole pieces where that can be, and pieces are joined from two, with the system's end lap, where
/// that saves a roll. Where this takes as few rolls as the total length allows, nothing can be better; otherwise the
/// cutting engine is asked, as far as the job is small.
pub(super) fn cut_from_rolls(system: &System, roofs: &mut [RoofMat], axes: &[Option<Axis>]) -> Result<(), Error> {
    let mat = &system.mat;
    let lengths: Vec<Length> = pieces(roofs).map(|piece| piece.length).collect();
    let fewest = fewest(&lengths, mat.roll);
    let mut parts = filled(mat, &lengths);
    if roll_count(&parts) > fewest
        && lengths.len() <= MOST_SEARCHED.0
        && fewest <= MOST_SEARCHED.1
        && let Some(better) = searched(mat, &lengths).filter(|better| roll_count(better) < roll_count(&parts))
    {
        parts = better;
    }
    split(system, roofs, axes, parts)?;
    for roof in roofs {
        mark(roof);
    }
    Ok(())
}

fn pieces(roofs: &[RoofMat]) -> impl Iterator<Item = &StripPiece> {
    roofs.iter().flat_map(|roof| &roof.strips).flat_map(|strip| &strip.pieces)
}

/// No fewer rolls hold this much.
fn fewest(lengths: &[Length], roll: Length) -> u64 {
    let total: u64 = lengths.iter().fold(0, |sum, length| sum.saturating_add(length.um().unsigned_abs()));
    total.div_ceil(roll.um().unsigned_abs().max(1))
}

/// A part of a piece as laid: where it begins along the piece, its length, its roll.
#[derive(Clone, Copy, Debug)]
struct Part {
    from: Length,
    length: Length,
    roll: u64,
}

/// How many rolls the parts of all pieces come from.
fn roll_count(parts: &[Vec<Part>]) -> u64 {
    parts.iter().flatten().map(|part| part.roll).max().unwrap_or(0)
}

/// The cutting engine's answer; `None` under rules that no lay-out keeps.
fn searched(mat: &Mat, lengths: &[Length]) -> Option<Vec<Vec<Part>>> {
    let runs = lengths.iter().map(|&length| Run::of(length, 1)).collect();
    let rules = Rules { lap: mat.end_lap, least_piece: mat.least_piece, ..Rules::default() };
    let problem = Problem { rules, ..Problem::new(vec![Bar::of(mat.roll)], runs) };
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

/// Rolls filled with whole pieces for as long as the rest, laid one after the other and joined where a roll ends, then
/// takes no more rolls than it would at best.
fn filled(mat: &Mat, lengths: &[Length]) -> Vec<Vec<Part>> {
    if let Some(rolls) = whole_pieces(lengths, mat.roll) {
        let part = |(&length, roll)| vec![Part { from: Length::ZERO, length, roll }];
        return lengths.iter().zip(rolls).map(part).collect();
    }
    let mut rest: Vec<usize> = (0..lengths.len()).collect();
    let mut parts = vec![Vec::new(); lengths.len()];
    let count = |rest: &[usize]| roll_count(&one_after_the_other(mat, lengths, rest));
    let (mut used, all) = (0, count(&rest));
    while used < all {
        let full = fullest(lengths, &rest, mat.roll);
        let left: Vec<usize> = rest.iter().copied().filter(|i| !full.contains(i)).collect();
        if full.is_empty() || used + 1 + count(&left) > all {
            break;
        }
        used += 1;
        for i in full {
            parts[i].push(Part { from: Length::ZERO, length: lengths[i], roll: used });
        }
        rest = left;
    }
    for (i, own) in rest.iter().zip(one_after_the_other(mat, lengths, &rest)) {
        parts[*i].extend(own.into_iter().map(|part| Part { roll: part.roll + used, ..part }));
    }
    parts
}

/// Step of the sums that are compared while a roll is filled, and most pieces that are tried.
const SUM_STEP: i64 = 50_000;
const MOST_SUMMED: usize = 200;

/// The pieces, of those given, that fill a roll best without being joined: by all sums that they can come to.
fn fullest(lengths: &[Length], of: &[usize], roll: Length) -> Vec<usize> {
    let step = SUM_STEP.max(roll.um() / 4_000);
    let most = (roll.um() / step) as usize;
    // The piece by which each sum was reached first.
    let mut by: Vec<Option<usize>> = vec![None; most + 1];
    for &i in of.iter().take(MOST_SUMMED) {
        let size = lengths[i].um().unsigned_abs().div_ceil(step.unsigned_abs()) as usize;
        if size == 0 || size > most {
            continue;
        }
        for sum in (size..=most).rev() {
            if by[sum].is_none() && (sum == size || by[sum - size].is_some()) {
                by[sum] = Some(i);
            }
        }
    }
    let mut sum = (1..=most).rev().find(|&sum| by[sum].is_some()).unwrap_or(0);
    let mut full = Vec::new();
    while let Some(i) = by[sum].filter(|_| sum > 0) {
        full.push(i);
        sum -= lengths[i].um().unsigned_abs().div_ceil(step.unsigned_abs()) as usize;
    }
    full
}

/// The pieces given from rolls one after the other; where a roll ends within a piece, the next goes on.
fn one_after_the_other(mat: &Mat, lengths: &[Length], of: &[usize]) -> Vec<Vec<Part>> {
    let (mut roll, mut left) = (1, mat.roll);
    let least = mat.least_piece.max(mat.end_lap + Length::from_um(1));
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
            let short = left.min(rest + mat.end_lap - least);
            let fresh = left == mat.roll;
            let part = if fresh && short < least { left } else { short };
            if fresh || part >= least {
                own.push(Part { from, length: part, roll });
                from = from + part - mat.end_lap;
            }
            (roll, left) = (roll + 1, mat.roll);
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

/// Replaces each piece by its parts.
fn split(system: &System, roofs: &mut [RoofMat], axes: &[Option<Axis>], parts: Vec<Vec<Part>>) -> Result<(), Error> {
    let mut parts = parts.into_iter();
    for (roof, axis) in roofs.iter_mut().zip(axes) {
        for strip in &mut roof.strips {
            let mut pieces = Vec::with_capacity(strip.pieces.len());
            for whole in std::mem::take(&mut strip.pieces) {
                let mut own = parts.next().unwrap_or_default();
                own.sort_by_key(|part| part.from);
                match (own.as_slice(), axis) {
                    (many @ [_, _, ..], &Some(axis)) => pieces.extend(parts_of(system, &whole, axis, many)?),
                    (few, _) => pieces.push(StripPiece { roll: few.first().map_or(1, |part| part.roll), ..whole }),
                }
            }
            strip.pieces = pieces;
        }
        roof.laid_m2 = roof.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.area_m2).sum();
    }
    Ok(())
}

/// The parts of a piece that come from several rolls.
fn parts_of(system: &System, whole: &StripPiece, axis: Axis, parts: &[Part]) -> Result<Vec<StripPiece>, Error> {
    let along = |point: &Point| place(axis, *point).0.round() as i64;
    let start = whole.outline.iter().flatten().map(along).min().unwrap_or_default();
    // A line across the strips: what lies to its left lies ahead.
    let way = axis.way();
    let across = Point::from_um(axis.origin.x.um() + way.y, axis.origin.y.um() - way.x);
    let across = Axis { origin: axis.origin, ahead: across };
    let low = |part: &Part| Length::from_um(start) + part.from;
    let bands: Vec<(Length, Length)> = parts.iter().map(|part| (low(part), low(part) + part.length)).collect();
    let mut cuts = Vec::with_capacity(parts.len());
    cut_bands(&polygons(whole), across, &bands, &mut cuts)?;
    let pieces = parts.iter().zip(cuts).map(|(part, own)| {
        let cut = piece(system, whole.width, part.length, own.iter());
        StripPiece { length: part.length, roll: part.roll, ..cut }
    });
    Ok(pieces.collect())
}

/// The polygons of a piece: each counter-clockwise ring with the clockwise rings that follow it.
fn polygons(piece: &StripPiece) -> Vec<Polygon> {
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
