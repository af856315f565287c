//! The part of a polygon between two parallel lines.

use super::frame::Frame;
use super::overlay;
use super::point::{Point, Vector};
use super::ring::Polygon;
use crate::error::{Code, Error};
use crate::length::Length;

/// What lies between two lines that are parallel to the line from `origin` to `ahead`, `low` and `high` to its left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slab {
    /// A point of the line that distances are measured from.
    pub origin: Point,
    /// Another point of it.
    pub ahead: Point,
    /// Distance of the lower line to the left; negative to the right.
    pub low: Length,
    /// Distance of the upper line.
    pub high: Length,
}

/// The part of a polygon inside a slab, as polygons: exactly where the slab lies along an axis, else to the nearest
/// micrometre.
///
/// The polygon should pass [`check`](super::check()). Rings of the result run in their normal direction. O(n log n).
///
/// # Errors
/// [`Code::BadArgument`] where origin and point ahead coincide, [`Code::OutOfRange`] for coordinates and distances
/// beyond [`Length::LIMIT`]; only the direction of the point ahead counts.
///
/// ```
/// use upstand::geometry::{Point, Polygon, Ring, Slab, clip};
/// use upstand::{Code, Length};
///
/// let mm = Length::from_mm;
/// let roof = Polygon::from(Ring::rectangle(mm(6000), mm(4000)));
/// let (origin, ahead) = (Point::from_mm(0, 0), Point::from_mm(6000, 0));
/// let strip = clip(&roof, &Slab { origin, ahead, low: mm(950), high: mm(1950) }).unwrap();
/// assert_eq!(strip[0].area_m2(), 6.0);
///
/// let error = clip(&roof, &Slab { origin, ahead: origin, low: mm(0), high: mm(1000) }).unwrap_err();
/// assert_eq!(error.code(), Code::BadArgument);
/// ```
pub fn clip(polygon: &Polygon, slab: &Slab) -> Result<Vec<Polygon>, Error> {
    let far = |length: Length| length > Length::LIMIT || length < -Length::LIMIT;
    let away = |point: &Point| far(point.x) || far(point.y);
    let mut points = polygon.rings().flat_map(|ring| ring.points()).chain([&slab.origin]);
    if points.any(away) || far(slab.low) || far(slab.high) {
        return Err(Error::new(Code::OutOfRange, "", "a point or distance is beyond 1 000 km"));
    }
    if slab.origin == slab.ahead {
        return Err(Error::new(Code::BadArgument, "", "the slab has no direction: two different points are needed"));
    }
    let Some(frame) = Frame::around(polygon) else { return Ok(Vec::new()) };
    if slab.low >= slab.high {
        return Ok(Vec::new());
    }
    // Long enough to pass the polygon at both ends, wherever the origin lies.
    let way = |point: &Point| Vector::between(slab.origin, *point).length();
    let reach = polygon.outer.points().iter().map(way).fold(0.0, f64::max) + 1.0;
    let along = Vector::between(slab.origin, slab.ahead).unit();
    let corner = |ahead: f64, left: Length| {
        let left = left.um() as f64;
        frame.node_near(slab.origin, (ahead * along.0 - left * along.1, ahead * along.1 + left * along.0))
    };
    let quad =
        vec![corner(-reach, slab.low), corner(reach, slab.low), corner(reach, slab.high), corner(-reach, slab.high)];
    Ok(frame.settle(overlay::intersection(&frame.paths(&polygon.oriented()), &[quad])))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::geometry::Ring;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn ring(points: &[(i64, i64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect())
    }

    #[test]
    fn notches_and_holes_split_a_strip() {
        let roof = Polygon {
            outer: ring(&[
                (0, 0),
                (6000, 0),
                (6000, 4000),
                (4000, 4000),
                (4000, 1500),
                (3000, 1500),
                (3000, 4000),
                (0, 4000),
            ]),
            holes: vec![ring(&[(1000, 2200), (1000, 2800), (1500, 2800), (1500, 2200)])],
        };
        let slab = |low, high| Slab {
            origin: Point::from_mm(0, 0),
            ahead: Point::from_mm(1, 0),
            low: mm(low),
            high: mm(high),
        };
        let parts = clip(&roof, &slab(2000, 3000)).expect("valid");
        let expected = [
            Polygon {
                outer: ring(&[(0, 2000), (3000, 2000), (3000, 3000), (0, 3000)]),
                holes: vec![ring(&[(1000, 2200), (1000, 2800), (1500, 2800), (1500, 2200)])],
            },
            Polygon::from(ring(&[(4000, 2000), (6000, 2000), (6000, 3000), (4000, 3000)])),
        ];
        assert_eq!(parts, expected);
        let parts = clip(&roof, &slab(2300, 2600)).expect("valid");
        assert_eq!(parts.len(), 3);
        assert!(clip(&roof, &slab(4000, 5000)).expect("valid").is_empty());
        assert!(clip(&roof, &slab(300, 300)).expect("valid").is_empty());
    }

    proptest! {
        /// Slabs side by side share nothing and leave nothing out, in any direction.
        #[test]
        fn slabs_side_by_side_cover_the_polygon_once(
            dx in -50i64..50,
            dy in -50i64..50,
            cuts in prop::collection::vec(-9_000_000i64..9_000_000, 1..6),
        ) {
            prop_assume!((dx, dy) != (0, 0));
            let roof = Polygon {
                outer: ring(&[(0, 0), (6000, 300), (6000, 4000), (4100, 4000), (3900, 1500), (3000, 1500), (3000, 4200), (0, 4000)]),
                holes: vec![ring(&[(1000, 2200), (1000, 2800), (1500, 2800), (1500, 2200)])],
            };
            let mut cuts: Vec<Length> = cuts.into_iter().map(Length::from_um).collect();
            cuts.extend([mm(-20_000), mm(20_000)]);
            cuts.sort_unstable();
            let (origin, ahead) = (Point::from_mm(2000, 2000), Point::from_mm(2000 + dx, 2000 + dy));
            let mut area = 0;
            for pair in cuts.windows(2) {
                let slab = Slab { origin, ahead, low: pair[0], high: pair[1] };
                for part in clip(&roof, &slab).expect("valid") {
                    area += part.double_area();
                    let way = Vector::between(origin, ahead);
                    for point in part.outer.points() {
                        let left = crate::geometry::cross(way, Vector::between(origin, *point)) as f64 / way.length();
                        prop_assert!(left > pair[0].um() as f64 - 1.0 && left < pair[1].um() as f64 + 1.0);
                    }
                }
            }
            // Each cut of some 20 m may be half a micrometre off on either side.
            let slack = 4 * 20_000_000 * cuts.len() as i128;
            prop_assert!((area - roof.double_area()).abs() < slack, "{area}");
        }
    }
}
