//! Moving the edges of a polygon inward, each by its own distance.
//!
//! # Definition
//!
//! Edge `i` with distance `d_i` sweeps a *band*: it moves inward by `d_i`. The inset is the polygon less all bands.
//! How a band ends at a corner follows from the mitre line, which runs from the corner to the point where the lines of
//! the two moved edges intersect.
//!
//! * Where the polygon turns outward (interior angle under 180 degrees), a band ends square, or on the mitre line if
//!   that lies further out. The bands overlap up to the mitre line.
//! * Where it turns inward, both bands end on the mitre line and share it.
//! * Nearly straight corners whose edges move by different distances have a mitre point far away. If it lies further
//!   from the corner than [`MITRE_LIMIT`] times the larger distance, the bands end square where the polygon turns
//!   outward, and on the bisector of the corner where it turns inward: a step, as of two flanges of different width
//!   that butt.
//! * Needles that point into the polygon have a mitre point far away too. Beyond the same limit the mitre is cut off
//!   square to its bisector.
//!
//! Each point of an edge stops where its way would leave the polygon, so a wide band on the wall of a narrow arm takes
//! nothing from another arm beyond a gap.
//!
//! # What follows
//!
//! On a convex polygon the inset is the intersection of the half-planes left of the moved edges; with one distance for
//! all edges it is the negative buffer with mitred joins. Edges vanish, necks close and split the result, and holes
//! grow.
//!
//! # Precision
//!
//! Mitre points come from `sqrt` and the four operations in `f64`, relative to their corner, and are rounded to a fine
//! grid; the bands are combined there in integers and the result is rounded to micrometres. A corner of the result is
//! within one micrometre of its true place; parts narrower than two micrometres are dropped.
//!
//! O(n log n) for outlines that look like roofs.

mod band;
mod corner;
mod sight;

use self::band::Edge;
use self::corner::Corner;
use super::check::{RingLimits, check};
use super::frame::Frame;
use super::overlay::{self, Path};
use super::ring::Polygon;
use crate::error::{Code, Error};
use crate::length::Length;

/// How far a mitre point may lie from its corner, in multiples of the larger of the two distances.
pub const MITRE_LIMIT: f64 = 8.0;

/// The polygon with edge `i` of ring `r` moved inward by `distances[r][i]`: the outer ring's distances first, then the
/// holes'. The result may be empty or several polygons.
///
/// Rings may run either way round. Result rings run in their normal direction and have no points that lie straight
/// between their neighbours; they may touch in single points, and so may the rings given.
///
/// # Errors
/// [`Code::BadArgument`] where the numbers of distances and edges differ, [`Code::OutOfRange`] for a negative distance
/// and for distances and coordinates beyond [`Length::LIMIT`], [`Code::TooManyPoints`] where wide bands run across so many
/// edges of an outline with thousands of points that it would take too long, and what [`check`](super::check()) finds
/// wrong with the polygon.
///
/// ```
/// use upstand::geometry::{Point, Polygon, Ring, inset};
/// use upstand::{Code, Length};
///
/// let mm = Length::from_mm;
/// let roof = Polygon::from(Ring::rectangle(mm(6000), mm(4000)));
/// let [south, east, north, west] = [85, 90, 95, 90].map(mm);
/// let deck = inset(&roof, &[vec![south, east, north, west]]).unwrap();
/// assert_eq!(deck[0].outer.points()[0], Point::from_mm(90, 85));
/// assert_eq!(deck[0].outer.points()[2], Point::from_mm(5910, 3905));
///
/// assert!(inset(&roof, &[vec![mm(2000); 4]]).unwrap().is_empty());
/// assert_eq!(inset(&roof, &[vec![mm(85); 3]]).unwrap_err().code(), Code::BadArgument);
/// ```
pub fn inset(polygon: &Polygon, distances: &[Vec<Length>]) -> Result<Vec<Polygon>, Error> {
    refuse(polygon, distances)?;
    let touches = |problem: &Error| matches!(problem.code(), Code::SelfTouching | Code::HoleTouches);
    let limits = RingLimits { points: usize::MAX, ..RingLimits::default() };
    if let Some(problem) = check(polygon, &limits, "").into_iter().find(|problem| !touches(problem)) {
        return Err(problem);
    }
    let Some(frame) = Frame::around(polygon) else { return Ok(Vec::new()) };
    let normal = polygon.oriented();
    let mut edges = Vec::with_capacity(polygon.len());
    for ((given, ring), distances) in polygon.rings().zip(normal.rings()).zip(distances) {
        let count = ring.len();
        // A reversed ring keeps its first point, so its first edge was the last.
        let as_given = given == ring;
        let distance = |i: usize| if as_given { distances[i] } else { distances[count - 1 - i] };
        let points = ring.points();
        let corners = (0..count).map(|i| {
            let (before, at, after) = (points[(i + count - 1) % count], points[i], points[(i + 1) % count]);
            Corner::new(before, at, after, distance((i + count - 1) % count), distance(i))
        });
        let corners: Vec<Corner> = corners.collect();
        let first = edges.len();
        for (i, &start) in corners.iter().enumerate() {
            let (before, after) = (first + (i + count - 1) % count, first + (i + 1) % count);
            let end = corners[(i + 1) % count];
            edges.push(Edge { start, end, distance: distance(i).um() as f64, before, after });
        }
    }
    let whole = frame.paths(&normal);
    let bands = joined(band::bands(&edges, &whole, &frame)?);
    if bands.is_empty() {
        return Ok(frame.settle(vec![whole]));
    }
    Ok(frame.settle(overlay::difference(&whole, &bands)))
}

/// From this many bands on, those that follow one another are joined first, so many at a time.
const MANY_BANDS: usize = 2_000;
const BANDS_JOINED: usize = 64;

/// The bands, or where there are many, what bands that follow one another cover together: where an outline has many corners within
/// the width of a band, each band overlaps dozens of others, which is cheaper to sort out among neighbours than among all.
fn joined(bands: Vec<Path>) -> Vec<Path> {
    if bands.len() < MANY_BANDS {
        return bands;
    }
    bands.chunks(BANDS_JOINED).flat_map(|few| overlay::normalise(few).into_iter().flatten()).collect()
}

fn refuse(polygon: &Polygon, distances: &[Vec<Length>]) -> Result<(), Error> {
    let (rings, lists) = (polygon.holes.len() + 1, distances.len());
    if lists != rings {
        let message = format!("{lists} lists of distances for {rings} rings: one list per ring is needed");
        return Err(Error::new(Code::BadArgument, "", message));
    }
    for (number, (ring, list)) in polygon.rings().zip(distances).enumerate() {
        if list.len() != ring.len() {
            let message = format!("{} distances for {} edges: one per edge is needed", list.len(), ring.len());
            return Err(Error::new(Code::BadArgument, format!("/{number}"), message));
        }
        let far = |length: Length| length > Length::LIMIT || length < -Length::LIMIT;
        if let Some(i) = list.iter().position(|&distance| distance.is_negative() || far(distance)) {
            let message = format!("{} is no distance inward: 0 to 1 000 km is allowed", list[i]);
            return Err(Error::new(Code::OutOfRange, format!("/{number}/{i}"), message));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
