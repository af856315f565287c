//! Laying out: from outlines and trims to seams, strips, rolls and patches.

use super::choose::choose;
use super::deck::{Deck, gather, span_of};
use super::direction::{Axis, given_edge};
use super::patch::patches;
use super::result::{RoofMat, Seam, Strip, StripPiece};
use super::roll::cut_from_rolls;
use super::row::Row;
use super::zone::{mat_zone, seam_zone};
use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::geometry::{Polygon, Ring, Slab, clip};
use crate::job::Job;
use crate::length::Length;
use crate::roof::Outline;
use crate::system::{Direction, System};
use crate::trim::RoofTrims;

/// Most strips on one roof.
pub const MOST_STRIPS: i64 = 10_000;

/// What the mat stage works out for a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LaidOut {
    /// The reinforcement, roof by roof.
    pub roofs: Vec<RoofMat>,
    /// What a person has to look at.
    pub findings: Vec<Finding>,
}

/// Everything that keeps the mat of these outlines from being laid out: strips along an edge that an outline does not
/// have, roofs that would take too many strips.
pub fn check(job: &Job, outlines: &[Outline]) -> Vec<Error> {
    let mut problems = Vec::new();
    for (i, outline) in outlines.iter().enumerate() {
        if let Direction::Edge(edge) = job.system.mat.direction
            && let Err(error) = given_edge(outline, edge)
        {
            problems.push(error);
        }
        let step = job.system.mat.width - job.system.mat.lap;
        // No direction has more strips than the diagonal of the box around the outline.
        let points = &outline.rings[0].points;
        let size = |along: fn(&crate::geometry::Point) -> Length| {
            points.iter().map(along).max().unwrap_or_default() - points.iter().map(along).min().unwrap_or_default()
        };
        let across = size(|point| point.x) + size(|point| point.y);
        if step.is_positive() && across / step > MOST_STRIPS {
            let message =
                format!("strips of {} across {across}: more than {MOST_STRIPS} may be needed", job.system.mat.width);
            problems.push(Error::new(Code::TooManyStrips, format!("/roofs/{i}"), message));
        }
    }
    problems
}

/// Lays out the mat of all roofs of a job and cuts it from common rolls. `outlines` are the job's roofs, analysed, and
/// `trims` what [`trim::set_out`](crate::trim::set_out) says of them. The job must have passed
/// [`Job::check`](crate::Job::check).
///
/// O(n log n) in the number of points for each strip's share of them; comparing directions takes time in proportion to
/// directions, corners and strips.
///
/// # Errors
/// [`Code::BadMat`] and [`Code::TooManyStrips`] as found by [`check`].
pub fn lay_out(job: &Job, outlines: &[Outline], trims: &[RoofTrims]) -> Result<LaidOut, Error> {
    Error::from_problems(check(job, outlines))?;
    let mut out = LaidOut::default();
    let mut axes = Vec::new();
    for (i, (outline, trims)) in outlines.iter().zip(trims).enumerate() {
        let (roof, axis) = lay(&job.system, outline, trims)?;
        if roof.strips.is_empty() {
            out.findings.push(no_deck(i));
        }
        out.roofs.push(roof);
        axes.push(axis);
    }
    cut_from_rolls(&job.system, &mut out.roofs, &axes)?;
    Ok(out)
}

fn no_deck(roof: usize) -> Finding {
    Finding {
        grade: Grade::Note,
        code: "no_bare_deck".into(),
        place: format!("/roofs/{roof}/outer"),
        value: None,
        limit: None,
        unit: None,
        basis: "the deck flanges of the trims".into(),
        text: "The trims' flanges cover the whole roof: there is no seam to tape and no mat to lay. See that they fit."
            .into(),
    }
}

/// One roof, all of its pieces as if from an endless roll.
fn lay(system: &System, outline: &Outline, trims: &RoofTrims) -> Result<(RoofMat, Option<Axis>), Error> {
    let seam_zone = seam_zone(system, outline)?;
    let mat_zone = mat_zone(system, outline)?;
    let seams: Vec<Seam> = seam_zone
        .iter()
        .flat_map(Polygon::rings)
        .map(|ring| Seam { points: ring.points().to_vec(), length: ring.perimeter() })
        .collect();
    let deck_area: f64 = seam_zone.iter().map(Polygon::area_m2).sum();
    let mut roof = RoofMat {
        tape: seams.iter().map(|seam| seam.length).sum(),
        seams,
        area_m2: deck_area,
        bare_deck_m2: deck_area,
        lap: system.mat.lap,
        patches: patches(system, outline, trims),
        ..RoofMat::default()
    };
    if mat_zone.is_empty() {
        return Ok((roof, None));
    }
    let scheme = choose(&system.mat, outline, &mat_zone)?;
    let deck = Deck::new(&mat_zone, scheme.axis);
    roof.lap = scheme.lap;
    roof.direction = scheme.axis.way().unit();
    let mut strips = Vec::with_capacity(scheme.rows.len());
    let bands: Vec<(Length, Length)> =
        scheme.rows.iter().map(|row| (deck.left(row.low), deck.left(row.high))).collect();
    cut_bands(&mat_zone, scheme.axis, &bands, &mut strips)?;
    for (row, parts) in scheme.rows.iter().zip(strips) {
        let pieces = pieces(system, scheme.axis, row, parts);
        if !pieces.is_empty() {
            roof.strips.push(Strip { number: 0, pieces });
        }
    }
    roof.laid_m2 = roof.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.area_m2).sum();
    Ok((roof, Some(scheme.axis)))
}

/// From this many points on, bands are cut from halves of the deck, not from the whole.
const MANY_POINTS: usize = 64;

/// The parts of polygons in each of several bands along an axis, given in order by their distances to its left. The
/// polygons are halved until few points or a single band is left, so that each cut sees only what lies near it.
pub(super) fn cut_bands(
    zone: &[Polygon],
    axis: Axis,
    bands: &[(Length, Length)],
    found: &mut Vec<Vec<Polygon>>,
) -> Result<(), Error> {
    let cut = |zone: &[Polygon], low: Length, high: Length| -> Result<Vec<Polygon>, Error> {
        let slab = Slab { origin: axis.origin, ahead: axis.ahead, low, high };
        let mut parts = Vec::new();
        for polygon in zone {
            parts.extend(clip(polygon, &slab)?);
        }
        Ok(parts)
    };
    if bands.len() <= 1 || zone.iter().map(Polygon::len).sum::<usize>() < MANY_POINTS {
        for &(low, high) in bands {
            found.push(cut(zone, low, high)?);
        }
        return Ok(());
    }
    // The margin keeps these cuts clear of the edges of the bands.
    let margin = Length::from_mm(1);
    let (lower, upper) = bands.split_at(bands.len() / 2);
    for half in [lower, upper] {
        if let (Some(first), Some(last)) = (half.first(), half.last()) {
            let near = cut(zone, first.0 - margin, last.1 + margin)?;
            cut_bands(&near, axis, half, found)?;
        }
    }
    Ok(())
}

/// The pieces of one strip: parts whose stretches along the strip lie close enough are one piece.
fn pieces(system: &System, axis: Axis, row: &Row, parts: Vec<Polygon>) -> Vec<StripPiece> {
    let mut parts: Vec<((Length, Length), Polygon)> =
        parts.into_iter().map(|part| (span_of(&part, axis), part)).collect();
    parts.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.outer.points().cmp(b.1.outer.points())));
    let spans = gather(parts.iter().map(|(span, _)| *span).collect(), system.mat.most_cut_out);
    spans
        .into_iter()
        .map(|(from, to)| {
            let own = parts.iter().filter(|(span, _)| from <= span.0 && span.1 <= to).map(|(_, part)| part);
            piece(system, row.high - row.low, to - from, own)
        })
        .collect()
}

/// One piece of the parts given.
pub(super) fn piece<'a>(
    system: &System,
    width: Length,
    length: Length,
    parts: impl Iterator<Item = &'a Polygon> + Clone,
) -> StripPiece {
    // Corners are rounded to the micrometre, which must not cost a whole step of the cutting increment.
    let exact = length - Length::from_um(1);
    StripPiece {
        mark: String::new(),
        length: exact.round_up(system.cutting_increment),
        // A row may be wider than the roll by the rounding that it puts down to slack.
        width: width.min(system.mat.width),
        roll: 1,
        outline: parts.clone().flat_map(Polygon::rings).map(|ring: &Ring| ring.points().to_vec()).collect(),
        area_m2: parts.map(Polygon::area_m2).sum(),
    }
}
