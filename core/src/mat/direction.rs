//! Which way the strips can run.

use crate::error::{Code, Error};
use crate::geometry::{Point, Vector, cross, dot};
use crate::length::Length;
use crate::roof::{Kind, Outline};
use crate::survey::fall;

/// A line along the strips; the strips lie to its left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Axis {
    pub(super) origin: Point,
    pub(super) ahead: Point,
}

impl Axis {
    pub(super) fn way(self) -> Vector {
        Vector::between(self.origin, self.ahead)
    }

    /// The same line, seen from the other end: what was to its left is to its right.
    fn turned(self) -> Axis {
        Axis { origin: self.ahead, ahead: self.origin }
    }
}

/// The edge of the outer ring that was given as number `edge`.
pub(super) fn given_edge(outline: &Outline, edge: usize) -> Result<Axis, Error> {
    let ring = &outline.rings[0];
    let count = ring.points.len();
    let Some(i) = (0..count).find(|&i| ring.given_edge(i) == edge) else {
        let message = format!("strips along edge {edge} of an outline with {count} edges, which are numbered from 0");
        return Err(Error::new(Code::BadMat, "/system/mat/direction", message));
    };
    Ok(Axis { origin: ring.points[i], ahead: ring.points[(i + 1) % count] })
}

/// The axis at an angle in degrees from the x axis, with the low side to its right.
pub(super) fn angle_axis(outline: &Outline, angle_deg: f64) -> Axis {
    let angle = angle_deg.to_radians();
    // A kilometre, so that rounding its end turns it by nothing that could be measured.
    let um = |part: f64| Length::from_um((part * 1e9).round() as i64);
    let origin = outline.rings[0].points[0];
    let ahead = Point { x: origin.x + um(libm::cos(angle)), y: origin.y + um(libm::sin(angle)) };
    LowSide::of(outline).to_the_right(Axis { origin, ahead })
}

fn first_edge(outline: &Outline) -> Axis {
    let points = &outline.rings[0].points;
    Axis { origin: points[0], ahead: points[1] }
}

/// The longest stretch of the outer ring whose kind is `wanted`, the first among equals.
fn longest_stretch(outline: &Outline, wanted: impl Fn(Kind) -> bool) -> Option<Axis> {
    let ring = &outline.rings[0];
    let count = ring.points.len();
    let longest = ring
        .stretches
        .iter()
        .filter(|stretch| wanted(stretch.kind))
        .reduce(|longest, stretch| if stretch.length > longest.length { stretch } else { longest })?;
    let (origin, ahead) = (ring.points[longest.first], ring.points[(longest.first + longest.edges) % count]);
    (origin != ahead).then_some(Axis { origin, ahead })
}

/// The axis along the longest drip edge, or along the longest edge where there is no drip.
pub(super) fn drip_axis(outline: &Outline) -> Axis {
    let drip = longest_stretch(outline, |kind| kind == Kind::Drip).or_else(|| longest_stretch(outline, |_| true));
    drip.unwrap_or(first_edge(outline))
}

/// Directions that differ by less than this, as the tangent of their angle, are compared last: one of them stands for all.
const ALIKE: f64 = 1e-3;

/// The directions of the edges given, each once, with the low side to the right: of those that are nearly alike the
/// longest first, the others at the end.
pub(super) fn axes(outline: &Outline, edges: impl Iterator<Item = (Point, Point)>) -> Vec<Axis> {
    let mut edges: Vec<(Length, Axis)> =
        edges.map(|(origin, ahead)| (origin.distance(ahead), Axis { origin, ahead })).collect();
    edges.sort_by_key(|&(length, _)| -length);
    let mut axes: Vec<Axis> = Vec::new();
    let mut alike: Vec<Axis> = Vec::new();
    for (_, axis) in edges {
        let way = axis.way();
        let tangent = |other: &Axis| {
            let cosine = dot(other.way(), way) as f64;
            (cross(other.way(), way) as f64 / cosine).abs()
        };
        if axes.iter().all(|other| tangent(other) > ALIKE) {
            axes.push(axis);
        } else if axes.iter().chain(&alike).all(|other| cross(other.way(), way) != 0) {
            alike.push(axis);
        }
        if axes.len() + alike.len() >= MOST_AXES {
            break;
        }
    }
    axes.extend(alike);
    let low_side = LowSide::of(outline);
    axes.into_iter().map(|axis| low_side.to_the_right(axis)).collect()
}

/// Most directions that are compared.
const MOST_AXES: usize = 1_000;

/// Where the low side of a roof lies: by the plane of its levels, at corners and inside, where it has any, otherwise by its
/// drips.
struct LowSide {
    /// Unit vector down the fall; of no length on a level deck.
    downhill: (f64, f64),
    /// From the middle of all edges to the middle of the drip edges, in micrometres, where there are any.
    to_drips: Option<(f64, f64)>,
}

impl LowSide {
    fn of(outline: &Outline) -> LowSide {
        let rings = outline.rings.iter().filter(|ring| ring.levels.len() == ring.points.len());
        let corners = rings.flat_map(|ring| ring.points.iter().copied().zip(ring.levels.iter().copied()));
        let levels: Vec<(Point, Length)> = corners.chain(outline.spot_levels.iter().copied()).collect();
        let origin = outline.rings[0].points[0];
        let middle = |wanted: &dyn Fn(Kind) -> bool| {
            let (mut x, mut y, mut weight) = (0.0, 0.0, 0.0);
            for ring in &outline.rings {
                for (i, _) in ring.kinds.iter().enumerate().filter(|&(_, &kind)| wanted(kind)) {
                    let (from, to) = (ring.points[i], ring.points[(i + 1) % ring.points.len()]);
                    let (a, b) = (Vector::between(origin, from), Vector::between(origin, to));
                    let size = from.distance(to).m();
                    x += size * (a.x + b.x) as f64 / 2.0;
                    y += size * (a.y + b.y) as f64 / 2.0;
                    weight += size;
                }
            }
            (weight > 0.0).then(|| (x / weight, y / weight))
        };
        let drips = middle(&|kind| kind == Kind::Drip);
        let to_drips = drips.zip(middle(&|_| true)).map(|(drips, all)| (drips.0 - all.0, drips.1 - all.1));
        LowSide { downhill: fall(&levels).map_or((0.0, 0.0), |fall| fall.downhill), to_drips }
    }

    fn lies_left(&self, axis: Axis) -> bool {
        let (x, y) = axis.way().unit();
        let left = |(dx, dy): (f64, f64)| dy * x - dx * y;
        let falls_left = left(self.downhill);
        // Strips that run down the fall, or a level deck: the drips decide. A micrometre of difference is rounding.
        if falls_left.abs() > 0.01 { falls_left > 0.0 } else { self.to_drips.is_some_and(|way| left(way) > 1.0) }
    }

    /// The axis turned so that the low side lies to its right.
    fn to_the_right(&self, axis: Axis) -> Axis {
        if self.lies_left(axis) { axis.turned() } else { axis }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::{Boundary, Roof};
    use crate::system::Limits;

    #[test]
    fn the_low_side_is_that_of_the_levels_and_else_that_of_the_drips() {
        let with_spots = |levels: &[i64], spots: &[(i64, i64, i64)]| {
            let points = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)].map(|(x, y)| Point::from_mm(x, y)).to_vec();
            let kinds = vec![Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
            let levels = levels.iter().map(|&mm| Length::from_mm(mm)).collect();
            let outer = Boundary { points, kinds, levels, ..Boundary::default() };
            let outline =
                Outline::new(&Roof { outer, ..Roof::default() }, &Limits::default(), "").expect("a sound roof");
            let spots: Vec<_> = spots.iter().map(|&(x, y, z)| (Point::from_mm(x, y), Length::from_mm(z))).collect();
            let outline = outline.with_spot_levels(&spots);
            LowSide::of(&outline).lies_left(Axis { origin: Point::from_mm(0, 0), ahead: Point::from_mm(4000, 0) })
        };
        let low_lies_left = |levels: &[i64]| with_spots(levels, &[]);
        // Strips begin to the right of the axis, at the drip along y = 0, unless the deck falls the other way.
        assert!(!low_lies_left(&[]));
        assert!(!low_lies_left(&[0, 0, 60, 60]));
        assert!(low_lies_left(&[60, 60, 0, 0]));
        // Falling along the strips: the drips decide.
        assert!(!low_lies_left(&[60, 0, 0, 60]));
        // Levels inside count: alone, and against corners that were taken as level.
        let away = [(1000, 500, 30), (3000, 500, 30), (2000, 2500, -30)];
        assert!(with_spots(&[], &away) && with_spots(&[0, 0, 0, 0], &away));
        // Beside the roof they do not.
        assert!(!with_spots(&[], &[(-1000, 500, 30), (5000, 500, 30), (2000, 3500, -30)]));
    }
}
