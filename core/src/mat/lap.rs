//! Which piece laps over which, and how the edges of pieces are made.
//!
//! Every lap leads from a piece to one that is laid before it, so that the laps of a roof have no cycle. Where levels are
//! known, the piece that water comes from lies over the other.

use super::deck::{Deck, place};
use super::layer::{LaidZone, Layout};
use super::result::{EdgeFinish, LapKind, MatLap, PieceEdges, RoofMat, StripPiece};
use super::roll::polygons;
use super::split::ZoneLap;
use crate::error::Error;
use crate::geometry::{Point, Polygon, Slab, Vector, clip, shared_double_area};
use crate::length::Length;
use crate::system::System;

/// Laps shorter or narrower than this, in micrometres, are rounding.
const LEAST: f64 = 5.0;

/// A piece by its strip and its index there, and where it lies along its strip.
#[derive(Clone, Copy)]
struct Laid {
    strip: usize,
    piece: usize,
    from: f64,
    to: f64,
}

/// A lap on its way into the plan.
struct Found {
    over: (usize, usize),
    under: (usize, usize),
    kind: LapKind,
    width: f64,
    length: f64,
}

/// Lists the laps of a roof whose pieces are numbered, and says how the edges of its pieces are made.
///
/// # Errors
/// Coordinates out of range, as of [`clip`].
pub(super) fn join_pieces(system: &System, roof: &mut RoofMat, layout: &Layout) -> Result<(), Error> {
    let mut found = Vec::new();
    for (index, zone) in layout.zones.iter().enumerate() {
        side_laps(roof, layout, index, zone, &mut found)?;
    }
    for lap in &layout.zone_laps {
        zone_laps(roof, lap, &mut found)?;
    }
    finish(system, roof, layout, &found);
    let mark = |(strip, piece): (usize, usize)| roof.strips[strip].pieces[piece].mark.clone();
    let um = |um: f64| Length::from_um(um.round() as i64);
    found.sort_by_key(|lap| (lap.over, lap.under));
    roof.laps = found
        .iter()
        .map(|lap| MatLap {
            over: mark(lap.over),
            under: mark(lap.under),
            kind: lap.kind,
            width: um(lap.width),
            length: um(lap.length),
        })
        .collect();
    Ok(())
}

/// Side laps of neighbouring strips of a zone, and end laps within its strips.
fn side_laps(
    roof: &RoofMat,
    layout: &Layout,
    index: usize,
    zone: &LaidZone,
    found: &mut Vec<Found>,
) -> Result<(), Error> {
    // The pieces of each row, in order along it.
    let mut rows: Vec<Vec<Laid>> = vec![Vec::new(); zone.rows.len()];
    for (strip, &(_, row)) in layout.strips.iter().enumerate().filter(|(_, at)| at.0 == index) {
        for (piece, of) in roof.strips[strip].pieces.iter().enumerate() {
            let places = of.outline.iter().flatten().map(|&point| place(zone.axis, point).0);
            let (from, to) = places.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), at| (a.min(at), b.max(at)));
            rows[row].push(Laid { strip, piece, from, to });
        }
        rows[row].sort_by(|a, b| a.from.total_cmp(&b.from));
        for pair in rows[row].windows(2) {
            let width = pair[0].to - pair[1].from;
            // Pieces of a strip are in the order of laying.
            let (over, under) = if pair[0].piece > pair[1].piece { (pair[0], pair[1]) } else { (pair[1], pair[0]) };
            let of = &roof.strips[strip].pieces[over.piece];
            if width > LEAST {
                let lap = Found {
                    over: (over.strip, over.piece),
                    under: (under.strip, under.piece),
                    kind: LapKind::End,
                    width,
                    length: end_lap_length(of, zone, pair[1].from, pair[0].to)?,
                };
                found.push(lap);
            }
        }
    }
    let deck = Deck::new(&zone.parts, zone.axis);
    let middles: Vec<Length> = zone.rows.windows(2).map(|pair| (pair[0].high + pair[1].low) / 2).collect();
    for (row, line) in deck.lines(&middles).enumerate() {
        let width = (zone.rows[row].high - zone.rows[row + 1].low).um() as f64;
        let (lower, upper) = (&rows[row], &rows[row + 1]);
        let mut first = 0;
        for a in lower {
            while upper.get(first).is_some_and(|b| b.to < a.from) {
                first += 1;
            }
            for b in upper[first..].iter().take_while(|b| b.from < a.to) {
                let length = length_within(&line, a.from.max(b.from), a.to.min(b.to));
                if length > LEAST {
                    let (over, under) = if zone.next_over[row] { (b, a) } else { (a, b) };
                    let (over, under) = ((over.strip, over.piece), (under.strip, under.piece));
                    found.push(Found { over, under, kind: LapKind::Side, width, length });
                }
            }
        }
    }
    Ok(())
}

/// How long an end lap is across its strip, in the mean: the deck may be narrower there than the strip.
fn end_lap_length(piece: &StripPiece, zone: &LaidZone, from: f64, to: f64) -> Result<f64, Error> {
    let (origin, way) = (zone.axis.origin, zone.axis.way());
    let ahead = Point::from_um(origin.x.um() + way.y, origin.y.um() - way.x);
    let um = |um: f64| Length::from_um(um.round() as i64);
    let slab = Slab { origin, ahead, low: um(from), high: um(to) };
    let mut area_m2 = 0.0;
    for polygon in polygons(piece) {
        area_m2 += clip(&polygon, &slab)?.iter().map(Polygon::area_m2).sum::<f64>();
    }
    Ok(area_m2 * 1e12 / (to - from))
}

/// How much of stretches in order lies between two places.
fn length_within(line: &[(f64, f64)], from: f64, to: f64) -> f64 {
    let first = line.partition_point(|stretch| stretch.1 <= from);
    let near = line[first..].iter().take_while(|stretch| stretch.0 < to);
    near.map(|stretch| (stretch.1.min(to) - stretch.0.max(from)).max(0.0)).sum()
}

/// A strip and a piece of it, and stretches of a line that it lies beside.
type Beside = ((usize, usize), Vec<(f64, f64)>);

/// Laps of the pieces of one zone over those of another.
fn zone_laps(roof: &RoofMat, lap: &ZoneLap, found: &mut Vec<Found>) -> Result<(), Error> {
    let along = Vector::between(lap.from, lap.to).unit();
    let length = lap.from.distance(lap.to).um() as f64;
    let slab = Slab { origin: lap.from, ahead: lap.to, low: -lap.width, high: Length::ZERO };
    // A lap goes on beyond both ends of its chord.
    let (least, most) = (-lap.beyond.0.um() as f64, length + lap.beyond.1.um() as f64);
    // The stretches of the chord beside which each piece of a zone lies within the lap.
    let beside = |zone: usize| -> Result<Vec<Beside>, Error> {
        let mut all = Vec::new();
        for (s, strip) in roof.strips.iter().enumerate().filter(|(_, strip)| strip.zone == zone) {
            for (p, piece) in strip.pieces.iter().enumerate() {
                let mut stretches = Vec::new();
                for polygon in polygons(piece) {
                    for part in clip(&polygon, &slab)? {
                        let places = part.outer.points().iter().map(|&point| {
                            let at = Vector::between(lap.from, point);
                            at.x as f64 * along.0 + at.y as f64 * along.1
                        });
                        let (from, to) =
                            places.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), at| (a.min(at), b.max(at)));
                        stretches.push((from.max(least), to.min(most)));
                    }
                }
                stretches.retain(|stretch| stretch.1 - stretch.0 > LEAST);
                if !stretches.is_empty() {
                    all.push(((s, p), stretches));
                }
            }
        }
        Ok(all)
    };
    let (over, under) = (beside(lap.over)?, beside(lap.under)?);
    let width = lap.width.um() as f64;
    for (a, of_a) in &over {
        for (b, of_b) in &under {
            let meet = of_a.iter().any(|a| of_b.iter().any(|b| a.1.min(b.1) - a.0.max(b.0) > LEAST));
            // How long a lap of the full width is that covers as much: its ends may be slanting.
            let length = if meet { shared(roof, *a, *b) / width } else { 0.0 };
            if length > LEAST {
                found.push(Found { over: *a, under: *b, kind: LapKind::Zone, width, length });
            }
        }
    }
    Ok(())
}

/// The area that two pieces share, in square micrometres.
fn shared(roof: &RoofMat, one: (usize, usize), other: (usize, usize)) -> f64 {
    let of = |(strip, piece): (usize, usize)| polygons(&roof.strips[strip].pieces[piece]);
    let (one, other) = (of(one), of(other));
    let parts = one.iter().flat_map(|one| other.iter().map(move |other| shared_double_area(one, other)));
    parts.sum::<i128>() as f64 / 2.0
}

/// What each edge of a piece has to do with other pieces.
#[derive(Clone, Copy, Default)]
struct Edge {
    over: bool,
    under: bool,
}

/// Says how edges are made: torn over, straight under; the roll's own edge where it has one left.
fn finish(system: &System, roof: &mut RoofMat, layout: &Layout, found: &[Found]) {
    // Low, high, start, end of each piece.
    let mut edges: Vec<Vec<[Edge; 4]>> =
        roof.strips.iter().map(|strip| vec![[Edge::default(); 4]; strip.pieces.len()]).collect();
    let mut zoned: Vec<Vec<bool>> = roof.strips.iter().map(|strip| vec![false; strip.pieces.len()]).collect();
    let row = |strip: usize| layout.strips.get(strip).map_or(0, |at| at.1);
    for lap in found {
        let (over, under) = (lap.over, lap.under);
        let (of_over, of_under) = match lap.kind {
            LapKind::Side if row(over.0) > row(under.0) => (0, 1),
            LapKind::Side => (1, 0),
            LapKind::End => (2, 3),
            LapKind::Zone => {
                zoned[over.0][over.1] = true;
                continue;
            }
        };
        let (of_over, of_under) = match lap.kind {
            LapKind::End if !runs_on(roof, layout, over, under) => (of_under, of_over),
            _ => (of_over, of_under),
        };
        edges[over.0][over.1][of_over].over = true;
        edges[under.0][under.1][of_under].under = true;
    }
    for (s, strip) in roof.strips.iter_mut().enumerate() {
        for (p, piece) in strip.pieces.iter_mut().enumerate() {
            piece.edges = finished(system, piece, &edges[s][p], zoned[s][p]);
        }
    }
}

/// Whether the piece on top lies further along the strip.
fn runs_on(roof: &RoofMat, layout: &Layout, over: (usize, usize), under: (usize, usize)) -> bool {
    let Some(zone) = layout.strips.get(over.0).and_then(|at| layout.zones.get(at.0)) else { return true };
    let begin = |(strip, piece): (usize, usize)| {
        let points = roof.strips[strip].pieces[piece].outline.iter().flatten();
        points.map(|&point| place(zone.axis, point).0).fold(f64::INFINITY, f64::min)
    };
    begin(over) > begin(under)
}

fn finished(system: &System, piece: &StripPiece, edges: &[Edge; 4], over_zone: bool) -> PieceEdges {
    // A full strip has both of the roll's edges, a ripped one only one, a piece from beside another perhaps none.
    let mut own = match &piece.beside {
        Some(_) => 0,
        None if piece.width < system.mat.width => 1,
        None => 2,
    };
    let mut sides = [EdgeFinish::Torn; 2];
    let mut take = |straight: bool| {
        if own > 0 {
            own -= 1;
            EdgeFinish::Factory
        } else if straight {
            EdgeFinish::Cut
        } else {
            EdgeFinish::Torn
        }
    };
    for (side, edge) in sides.iter_mut().zip(edges) {
        if edge.under {
            *side = take(true);
        }
    }
    // What is left lies along the outline, unless the whole piece laps over another zone.
    for (side, edge) in sides.iter_mut().zip(edges) {
        if !edge.under && !edge.over && !over_zone {
            *side = take(false);
        }
    }
    let end = |edge: Edge| if edge.under && !edge.over { EdgeFinish::Cut } else { EdgeFinish::Torn };
    PieceEdges { low: sides[0], high: sides[1], start: end(edges[2]), end: end(edges[3]) }
}
