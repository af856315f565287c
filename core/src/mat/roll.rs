//! Cutting pieces of mat from rolls.

use super::direction::Axis;
use super::layer::piece;
use super::piece::place;
use super::result::{RoofMat, StripPiece};
use crate::cutting::{self, Bar, Effort, Problem, Rules, Run};
use crate::error::Error;
use crate::geometry::{Point, Polygon, Ring, Slab, clip};
use crate::length::Length;
use crate::system::System;

/// Search nodes for the rolls. Rolls are long beside pieces, so the first plan is nearly always the best.
const NODES: u64 = 10;

/// Numbers the rolls that pieces come from, splits pieces that no roll is long enough for, and marks all pieces.
///
/// Where whole pieces fill as few rolls as their total length allows, nothing can be better. Otherwise the fewest rolls
/// are found by the cutting engine, with the system's end lap wherever a piece is joined from two.
pub(super) fn cut_from_rolls(system: &System, roofs: &mut [RoofMat], axes: &[Option<Axis>]) -> Result<(), Error> {
    let mat = &system.mat;
    let lengths: Vec<Length> = pieces(roofs).map(|piece| piece.length).collect();
    if let Some(rolls) = whole_pieces(&lengths, mat.roll) {
        let pieces = roofs.iter_mut().flat_map(|roof| &mut roof.strips).flat_map(|strip| &mut strip.pieces);
        for (piece, roll) in pieces.zip(rolls) {
            piece.roll = roll;
        }
    } else {
        let runs = pieces(roofs).map(|piece| Run::of(piece.length, 1)).collect();
        let rules = Rules { lap: mat.end_lap, least_piece: mat.least_piece, ..Rules::default() };
        let problem = Problem { rules, ..Problem::new(vec![Bar::of(mat.roll)], runs) };
        match cutting::solve(&problem, &Effort { nodes: NODES, time: None }) {
            Ok(answer) => {
                let mut parts = vec![Vec::new(); problem.runs.len()];
                let bars = answer.chains.iter().flat_map(|chain| (0..chain.times).flat_map(|_| &chain.bars));
                for (roll, bar) in (1..).zip(bars) {
                    for cut in &bar.pieces {
                        parts[cut.run].push(Part { from: cut.start, length: cut.length, roll });
                    }
                }
                split(system, roofs, axes, parts)?;
            }
            // Under rules that no lay-out keeps, the pieces are taken from the rolls one after the other.
            Err(_) => one_after_the_other(system, roofs, axes)?,
        }
    }
    for roof in roofs {
        mark(roof);
    }
    Ok(())
}

fn pieces(roofs: &[RoofMat]) -> impl Iterator<Item = &StripPiece> {
    roofs.iter().flat_map(|roof| &roof.strips).flat_map(|strip| &strip.pieces)
}

/// The roll that each piece comes from, if first fit, longest first, needs no more rolls than the total length does.
fn whole_pieces(lengths: &[Length], roll: Length) -> Option<Vec<u64>> {
    let total: i64 = lengths.iter().fold(0, |sum, length| sum.saturating_add(length.um()));
    let fewest = total / roll.um() + i64::from(total % roll.um() > 0);
    let mut order: Vec<usize> = (0..lengths.len()).collect();
    order.sort_by_key(|&i| (-lengths[i], i));
    let mut left: Vec<Length> = Vec::new();
    let mut rolls = vec![1; lengths.len()];
    for i in order {
        let at = left.iter().position(|&left| left >= lengths[i]).unwrap_or(left.len());
        if at == left.len() {
            left.push(roll);
        }
        if lengths[i] > left[at] || left.len() as i64 > fewest {
            return None;
        }
        left[at] -= lengths[i];
        rolls[i] = at as u64 + 1;
    }
    Some(rolls)
}

/// A part of a piece as laid: where it begins along the piece, its length, its roll.
#[derive(Clone, Copy)]
struct Part {
    from: Length,
    length: Length,
    roll: u64,
}

fn one_after_the_other(system: &System, roofs: &mut [RoofMat], axes: &[Option<Axis>]) -> Result<(), Error> {
    let mat = &system.mat;
    let (mut roll, mut left) = (1, mat.roll);
    let mut parts = Vec::new();
    for piece in pieces(roofs) {
        let mut own = Vec::new();
        let mut from = Length::ZERO;
        loop {
            let rest = piece.length - from;
            if rest <= left {
                own.push(Part { from, length: rest, roll });
                left -= rest;
                break;
            }
            if rest > mat.roll && left > mat.end_lap {
                own.push(Part { from, length: left, roll });
                from = from + left - mat.end_lap;
            }
            (roll, left) = (roll + 1, mat.roll);
        }
        parts.push(own);
    }
    split(system, roofs, axes, parts)
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
                    (many @ [_, _, ..], &Some(axis)) => {
                        for part in many {
                            pieces.push(part_of(system, &whole, axis, part)?);
                        }
                    }
                    (few, _) => pieces.push(StripPiece { roll: few.first().map_or(1, |part| part.roll), ..whole }),
                }
            }
            strip.pieces = pieces;
        }
        roof.laid_m2 = roof.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.area_m2).sum();
    }
    Ok(())
}

/// The part of a piece that comes from one roll.
fn part_of(system: &System, whole: &StripPiece, axis: Axis, part: &Part) -> Result<StripPiece, Error> {
    let polygons = polygons(whole);
    let along = |point: &Point| place(axis, *point).0.round() as i64;
    let start = whole.outline.iter().flatten().map(along).min().unwrap_or_default();
    // A line across the strips: what lies to its left lies ahead.
    let way = axis.way();
    let across = Point::from_um(axis.origin.x.um() + way.y, axis.origin.y.um() - way.x);
    let low = Length::from_um(start) + part.from;
    let slab = Slab { origin: axis.origin, ahead: across, low, high: low + part.length };
    let mut own = Vec::new();
    for polygon in &polygons {
        own.extend(clip(polygon, &slab)?);
    }
    let cut = piece(system, whole.width, part.length, own.iter());
    Ok(StripPiece { length: part.length, roll: part.roll, ..cut })
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
