use proptest::prelude::*;

use super::corner::{add, inner, scale};
use super::*;
use crate::geometry::point::{Point, Vector, cross, dot, orient};
use crate::geometry::{Ring, RingLimits, Side, check};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn ring(points: &[(i64, i64)]) -> Ring {
    Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect())
}

fn even(polygon: &Polygon, distance: Length) -> Vec<Polygon> {
    let distances: Vec<Vec<Length>> = polygon.rings().map(|ring| vec![distance; ring.len()]).collect();
    inset(polygon, &distances).expect("distances fit")
}

fn double_area(polygons: &[Polygon]) -> i128 {
    polygons.iter().map(Polygon::double_area).sum()
}

const L_SHAPE: &[(i64, i64)] = &[(0, 0), (6000, 0), (6000, 2000), (2000, 2000), (2000, 5000), (0, 5000)];

#[test]
fn corners_are_mitred_each_by_its_own_two_distances() {
    let distances = [85, 90, 95, 100, 105, 110].map(mm).to_vec();
    let deck = inset(&ring(L_SHAPE).into(), &[distances]).expect("six distances");
    let expected = [(110, 85), (5910, 85), (5910, 1905), (1900, 1905), (1900, 4895), (110, 4895)];
    assert_eq!(deck, [Polygon::from(ring(&expected))]);
}

#[test]
fn rings_that_run_the_other_way_keep_the_distances_of_their_edges() {
    let outline = ring(L_SHAPE);
    let distances: Vec<Length> = [85, 90, 95, 100, 105, 110].map(mm).to_vec();
    let mut backward = distances.clone();
    backward.reverse();
    let forward = inset(&outline.clone().into(), &[distances]).expect("six distances");
    assert_eq!(inset(&outline.reversed().into(), &[backward]).expect("six distances"), forward);
}

#[test]
fn necks_close_and_holes_grow() {
    let dumbbell = ring(&[
        (0, 0),
        (3000, 0),
        (3000, 1000),
        (5000, 1000),
        (5000, 0),
        (8000, 0),
        (8000, 3000),
        (5000, 3000),
        (5000, 1200),
        (3000, 1200),
        (3000, 3000),
        (0, 3000),
    ]);
    let neck = |d| even(&dumbbell.clone().into(), Length::from_um(d));
    assert_eq!(neck(99_999).len(), 1);
    let parts = neck(100_000);
    let squares = [ring(&[(100, 100), (2900, 100), (2900, 2900), (100, 2900)]), {
        ring(&[(5100, 100), (7900, 100), (7900, 2900), (5100, 2900)])
    }];
    assert_eq!(parts, squares.map(Polygon::from));

    let kerb = ring(&[(1000, 1000), (2000, 1000), (2000, 2000), (1000, 2000)]);
    let roof = Polygon { outer: Ring::rectangle(mm(6000), mm(4000)), holes: vec![kerb] };
    let deck = even(&roof, mm(100));
    assert_eq!(deck[0].holes, [ring(&[(900, 900), (900, 2100), (2100, 2100), (2100, 900)])]);
    // Bands from the south edge and from the kerb meet, and the deck becomes a U.
    let deck = inset(&roof, &[vec![mm(0), mm(0), mm(0), mm(0)], vec![mm(1000), mm(0), mm(0), mm(0)]]).expect("fits");
    assert_eq!(deck.len(), 1);
    assert!(deck[0].holes.is_empty());
    assert_eq!(deck[0].double_area(), 2 * (24_000_000 - 2_000_000) * 1_000_000);
}

#[test]
fn short_edges_vanish_into_the_corner_that_they_cut_off() {
    let chamfered = ring(&[(0, 0), (4000, 0), (4000, 3990), (3990, 4000), (0, 4000)]);
    let deck = even(&chamfered.into(), mm(100));
    assert_eq!(deck, [Polygon::from(ring(&[(100, 100), (3900, 100), (3900, 3900), (100, 3900)]))]);
}

#[test]
fn in_line_edges_with_different_distances_make_a_step() {
    let outline = ring(&[(0, 0), (3000, 0), (6000, 0), (6000, 4000), (0, 4000)]);
    let deck = inset(&outline.into(), &[[100, 200, 0, 0, 0].map(mm).to_vec()]).expect("five distances");
    let expected = [(0, 100), (3000, 100), (3000, 200), (6000, 200), (6000, 4000), (0, 4000)];
    assert_eq!(deck, [Polygon::from(ring(&expected))]);
}

#[test]
fn a_needle_is_cut_off_at_the_limit() {
    let notch = ring(&[(0, 0), (6000, 0), (6000, 4000), (3010, 4000), (3000, 2000), (2990, 4000), (0, 4000)]);
    let deck = inset(&notch.into(), &[[0, 0, 0, 100, 100, 0, 0].map(mm).to_vec()]).expect("seven distances");
    let lowest = deck[0].outer.points().iter().filter(|point| point.y > mm(0)).map(|point| point.y).min();
    assert_eq!(lowest, Some(mm(1200)));
}

#[test]
fn a_wide_band_stops_at_the_edge_of_its_arm() {
    // Two arms of 300 mm with a gap of 100 mm; 600 mm from the outer side of the left arm would reach the right one.
    let comb = [(0, 0), (700, 0), (700, 5000), (400, 5000), (400, 1000), (300, 1000), (300, 5000), (0, 5000)];
    let deck = inset(&ring(&comb).into(), &[[0, 0, 0, 0, 0, 0, 0, 600].map(mm).to_vec()]).expect("eight distances");
    let expected = [(400, 1000), (600, 1000), (600, 0), (700, 0), (700, 5000), (400, 5000)];
    assert_eq!(double_area(&deck), Polygon::from(ring(&expected)).double_area());
}

#[test]
fn no_points_are_left_where_the_parts_of_a_band_join() {
    let points = [(1_291_520, 2_898_190), (-374_286, 2_991_582), (-1_998_186, 2_750_019), (5_000_000, 0)];
    let outline = Ring::new(points.map(|(x, y)| Point::from_um(x, y)).to_vec());
    let deck = inset(&outline.into(), &[[406_731, 0, 0, 0].map(Length::from_um).to_vec()]).expect("four distances");
    // The intersection of half-planes, by clipping in double precision.
    let expected = [(-1_776_266, 2_662_813), (5_000_000, 0), (1_853_069, 2_459_338)];
    assert_eq!(deck, [Polygon::from(Ring::new(expected.map(|(x, y)| Point::from_um(x, y)).to_vec()))]);
}

/// A round outline of 10 m whose corners lie 21 mm apart and up to `rough` micrometres inside the circle: each band of 200 mm
/// overlaps a score of others, which are joined a few at a time.
fn round(corners: i64, rough: i64) -> Vec<Point> {
    let corner = |k: i64| {
        let angle = k as f64 / corners as f64 * std::f64::consts::TAU;
        let radius = 10e6 - (k * 7_919 % 101) as f64 / 100.0 * rough as f64;
        Point::from_um((radius * libm::cos(angle)).round() as i64, (radius * libm::sin(angle)).round() as i64)
    };
    (0..corners).map(corner).collect()
}

/// The inset of a regular polygon is one with an apothem less by the distance: n tan(pi / n) a^2.
#[test]
fn bands_joined_a_few_at_a_time_leave_the_regular_polygon() {
    let (corners, distance) = (3_000, mm(200));
    assert!(corners as usize >= MANY_BANDS);
    let deck = even(&Polygon::from(Ring::new(round(corners, 0))), distance);
    let half = std::f64::consts::PI / corners as f64;
    let apothem = 10.0 * libm::cos(half) - distance.m();
    let area = corners as f64 * libm::tan(half) * apothem * apothem;
    // A micrometre around a circumference of 62 m.
    assert!(deck.len() == 1 && (deck[0].area_m2() - area).abs() < 62e-6, "{} {area}", deck[0].area_m2());
}

/// No point of the inset is nearer to an edge than the distance, and it does not matter where the bands begin that are joined.
#[test]
fn bands_joined_a_few_at_a_time_take_all_that_is_near() {
    let distance = mm(200);
    let mut outline = round(3_000, 15_000);
    let deck = even(&Polygon::from(Ring::new(outline.clone())), distance);
    for &point in deck.iter().flat_map(Polygon::rings).flat_map(Ring::points) {
        for (&from, &to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            assert!(distance_to(point, from, to) > 200_000.0 - 2.0);
        }
    }
    outline.rotate_left(17);
    let other = even(&Polygon::from(Ring::new(outline)), distance);
    assert!((double_area(&deck) - double_area(&other)).abs() < 2 * 124_000_000, "{deck:?} {other:?}");
}

#[test]
fn what_cannot_be_is_refused() {
    let square = Polygon::from(Ring::rectangle(mm(100), mm(100)));
    let error = |distances: &[Vec<Length>]| inset(&square, distances).expect_err("refused");
    assert_eq!(error(&[]).code(), Code::BadArgument);
    let negative = error(&[[0, 0, -1, 0].map(mm).to_vec()]);
    assert_eq!((negative.code(), negative.path()), (Code::OutOfRange, "/0/2"));
    let far = Polygon::from(Ring::new(vec![Point::from_um(i64::MAX, 0), Point::from_mm(0, 0), Point::from_mm(0, 1)]));
    assert_eq!(inset(&far, &[vec![mm(0); 3]]).expect_err("far").code(), Code::OutOfRange);
    assert_eq!(inset(&Polygon::default(), &[vec![]]).expect_err("empty").code(), Code::TooFewPoints);
    let bow_tie = ring(&[(0, 0), (6000, 4000), (6000, 0), (0, 4000)]);
    assert_eq!(inset(&bow_tie.into(), &[vec![mm(1); 4]]).expect_err("crossing").code(), Code::SelfCrossing);
}

/// Star-shaped outlines with random radii: simple, and with corners of every kind.
fn star(least: usize, most: usize) -> impl Strategy<Value = Ring> {
    prop::collection::vec((0.15f64..1.0, 0.05f64..1.0), least..most).prop_map(|spokes| {
        let whole: f64 = spokes.iter().map(|spoke| spoke.1).sum();
        let mut angle = 0.0;
        let mut points = Vec::new();
        for (radius, share) in spokes {
            // No sector as wide as a half turn, or the centre would lie outside.
            angle += (share / whole).min(0.45) * std::f64::consts::TAU;
            let at = |c: f64| (c * radius * 5e6) as i64;
            points.push(Point::from_um(at(libm::cos(angle)), at(libm::sin(angle))));
        }
        Ring::new(points)
    })
}

/// Points of a circle in order make a convex outline.
fn convex() -> impl Strategy<Value = Ring> {
    prop::collection::vec(0.05f64..1.0, 3..12).prop_map(|shares| {
        let whole: f64 = shares.iter().sum();
        let mut angle = 0.0;
        let place = |share: f64| {
            angle += share / whole * std::f64::consts::TAU;
            Point::from_um((libm::cos(angle) * 5e6) as i64, (libm::sin(angle) * 3e6) as i64)
        };
        Ring::new(shares.into_iter().map(place).collect())
    })
}

fn valid(ring: &Ring) -> bool {
    check(&ring.clone().into(), &RingLimits { least_edge: mm(5), ..RingLimits::default() }, "").is_empty()
}

/// Distance from a point to the segment between two others, in micrometres.
fn distance_to(point: Point, from: Point, to: Point) -> f64 {
    let (way, at) = (Vector::between(from, to), Vector::between(from, point));
    let along = (dot(way, at) as f64 / dot(way, way) as f64).clamp(0.0, 1.0);
    let (x, y) = (at.x as f64 - along * way.x as f64, at.y as f64 - along * way.y as f64);
    (x * x + y * y).sqrt()
}

/// How far a point lies to the left of a line, in micrometres.
fn depth(point: Point, from: Point, to: Point) -> f64 {
    let (way, at) = (Vector::between(from, to), Vector::between(from, point));
    cross(way, at) as f64 / way.length()
}

/// Whether the mitre of a reflex corner takes the point: it lies beyond both edges' ends, less deep than `d` below both
/// lines, and before the cut of a needle.
fn in_mitre(point: Point, before: Point, at: Point, after: Point, d: f64, slack: f64) -> bool {
    let (a, b) = (Vector::between(before, at), Vector::between(at, after));
    if cross(a, b) >= 0 {
        return false;
    }
    let here = Vector::between(at, point);
    let past = dot(a, here) as f64 / a.length() > -slack && (dot(b, here) as f64 / b.length()) < slack;
    let shallow = depth(point, before, at) < d + slack && depth(point, at, after) < d + slack;
    let (u, v) = (a.unit(), b.unit());
    let ahead = (u.0 - v.0, u.1 - v.1);
    let size = (ahead.0 * ahead.0 + ahead.1 * ahead.1).sqrt();
    let out = (here.x as f64 * ahead.0 + here.y as f64 * ahead.1) / size;
    past && shallow && out < MITRE_LIMIT * d + slack
}

proptest! {
    /// Independent definition for one distance all round: the inset keeps the points that are further than that from
    /// every edge and outside the mitres of reflex corners that see them.
    #[test]
    fn one_distance_is_the_mitred_negative_buffer(
        outline in star(3, 14),
        d in 1.0f64..1500.0,
        samples in prop::collection::vec((-1.0f64..1.0, -1.0f64..1.0), 60),
    ) {
        prop_assume!(valid(&outline));
        let d = (d * 1000.0) as i64;
        let parts = even(&outline.clone().into(), Length::from_um(d));
        let edges: Vec<(Point, Point)> = outline.edges().collect();
        let corners: Vec<(Point, Point, Point)> =
            (0..edges.len()).map(|i| (edges[i].0, edges[i].1, edges[(i + 1) % edges.len()].1)).collect();
        let sees = |at: Point, point: Point| {
            let crosses = |&(from, to): &(Point, Point)| {
                let sides = orient(from, to, at).signum() * orient(from, to, point).signum();
                sides < 0 && orient(at, point, from).signum() * orient(at, point, to).signum() < 0
            };
            !edges.iter().any(crosses)
        };
        let taken = |point: Point, slack: f64| {
            outline.locate(point) != Side::Inside
                || edges.iter().any(|&(from, to)| distance_to(point, from, to) < d as f64 + slack)
                || corners.iter().any(|&(before, at, after)| {
                    in_mitre(point, before, at, after, d as f64, slack) && sees(at, point)
                })
        };
        // Corners of the result and points beside them are where errors would show.
        let mut points: Vec<Point> =
            samples.iter().map(|&(x, y)| Point::from_um((x * 5e6) as i64, (y * 5e6) as i64)).collect();
        for corner in parts.iter().flat_map(|part| part.outer.points()) {
            points.extend([(-9, 4), (9, 4), (4, -9), (-4, -9)].map(|(x, y)| {
                Point::from_um(corner.x.um() + x, corner.y.um() + y)
            }));
        }
        for point in points {
            let kept = parts.iter().any(|part| part.locate(point) == Side::Inside);
            if kept {
                prop_assert!(!taken(point, -2.5), "{point:?} should be taken by {d}");
            } else {
                prop_assert!(taken(point, 2.5), "{point:?} should be kept from {d}");
            }
        }
    }

    /// Independent definition on convex outlines: what lies left of every moved edge.
    #[test]
    fn on_convex_outlines_the_inset_is_an_intersection_of_half_planes(
        outline in convex(),
        distances in prop::collection::vec(0i64..900_000, 12),
    ) {
        prop_assume!(valid(&outline));
        let corners = outline.len();
        let distances: Vec<Length> = distances[..corners].iter().map(|&d| Length::from_um(d)).collect();
        // Nearly straight corners step instead of being mitred; they are tested by themselves.
        let points = outline.points();
        let turns = (0..corners).all(|i| {
            crate::geometry::turn_deg(points[i], points[(i + 1) % corners], points[(i + 2) % corners]) > 8.0
        });
        prop_assume!(turns);
        let parts = inset(&outline.clone().into(), std::slice::from_ref(&distances)).expect("fits");

        let mut clipped: Vec<(f64, f64)> = points.iter().map(|p| (p.x.um() as f64, p.y.um() as f64)).collect();
        for ((from, to), d) in outline.edges().zip(&distances) {
            let way = Vector::between(from, to);
            let normal = (-way.unit().1, way.unit().0);
            let height = |p: (f64, f64)| {
                inner(normal, (p.0 - from.x.um() as f64, p.1 - from.y.um() as f64)) - d.um() as f64
            };
            let mut next = Vec::new();
            for i in 0..clipped.len() {
                let (p, q) = (clipped[i], clipped[(i + 1) % clipped.len()]);
                let (h, k) = (height(p), height(q));
                if h >= 0.0 {
                    next.push(p);
                }
                if h * k < 0.0 {
                    next.push(add(p, scale((q.0 - p.0, q.1 - p.1), h / (h - k))));
                }
            }
            clipped = next;
        }
        let area = (0..clipped.len()).fold(0.0, |sum, i| {
            let (p, q) = (clipped[i], clipped[(i + 1) % clipped.len()]);
            sum + p.0 * q.1 - p.1 * q.0
        });
        // Every edge may be off by half a micrometre and a part as narrow as a sliver may be gone.
        let slack = 4.0 * outline.perimeter().um() as f64;
        prop_assert!((double_area(&parts) as f64 - area).abs() <= slack, "{parts:?} against {area}");
        for corner in parts.iter().flat_map(|part| part.outer.points()) {
            let near = clipped.iter().any(|p| {
                (p.0 - corner.x.um() as f64).abs() <= 1.0 && (p.1 - corner.y.um() as f64).abs() <= 1.0
            });
            prop_assert!(near, "{corner:?} is no corner of {clipped:?}");
        }
    }

    #[test]
    fn the_start_the_sense_and_the_origin_of_an_outline_do_not_matter(
        outline in star(3, 12),
        distances in prop::collection::vec(0i64..700_000, 12),
        start in 0usize..12,
        origin in (-999_000_000_000i64..990_000_000_000, -999_000_000_000i64..990_000_000_000),
    ) {
        prop_assume!(valid(&outline));
        let count = outline.len();
        let start = start % count;
        let distances: Vec<Length> = distances[..count].iter().map(|&d| Length::from_um(d)).collect();
        let parts = inset(&outline.clone().into(), std::slice::from_ref(&distances)).expect("fits");

        let (mut points, mut turned) = (outline.points().to_vec(), distances.clone());
        points.rotate_left(start);
        turned.rotate_left(start);
        prop_assert_eq!(&inset(&Ring::new(points).into(), &[turned]).expect("fits"), &parts);

        let mut backward = distances.clone();
        backward.reverse();
        prop_assert_eq!(&inset(&outline.reversed().into(), &[backward]).expect("fits"), &parts);

        let moved = |ring: &Ring| {
            let at = |p: &Point| Point::from_um(p.x.um() + origin.0, p.y.um() + origin.1);
            Ring::new(ring.points().iter().map(at).collect())
        };
        let far = inset(&moved(&outline).into(), &[distances]).expect("fits");
        let expected: Vec<Polygon> = parts
            .iter()
            .map(|part| Polygon { outer: moved(&part.outer), holes: part.holes.iter().map(moved).collect() })
            .collect();
        prop_assert_eq!(far, expected);
    }

    #[test]
    fn more_inset_leaves_less(
        outline in star(3, 12),
        distances in prop::collection::vec((0i64..500_000, 0i64..100_000), 12),
    ) {
        prop_assume!(valid(&outline));
        let count = outline.len();
        let near: Vec<Length> = distances[..count].iter().map(|d| Length::from_um(d.0)).collect();
        let whole = inset(&outline.clone().into(), std::slice::from_ref(&near)).expect("fits");
        prop_assert!(double_area(&whole) <= outline.double_area().abs());
        let d = near.iter().copied().max().unwrap_or_default();
        let more = even(&outline.clone().into(), d + Length::from_um(distances[0].1));
        let less = even(&outline.clone().into(), d);
        let slack = 4 * i128::from(outline.perimeter().um());
        prop_assert!(double_area(&more) <= double_area(&less) + slack);
    }

    /// Mitred insets add up where no corner is so sharp that its mitre is cut off.
    #[test]
    fn an_inset_of_an_inset_is_the_inset_by_the_sum(outline in star(3, 10), a in 1i64..300, b in 1i64..300) {
        prop_assume!(valid(&outline));
        let points = outline.points();
        let count = points.len();
        let sharp = (0..count).any(|i| {
            crate::geometry::turn_deg(points[i], points[(i + 1) % count], points[(i + 2) % count]) < -160.0
        });
        prop_assume!(!sharp);
        let twice: Vec<Polygon> =
            even(&outline.clone().into(), mm(a)).iter().flat_map(|part| even(part, mm(b))).collect();
        let once = even(&outline.clone().into(), mm(a + b));
        // A corner of the first inset that is off by half a micrometre moves the second one's corner by up to eight
        // times as much, and a reflex corner that the first inset has made by splitting is sharper than the outline's.
        let slack = 24.0 * outline.perimeter().um() as f64;
        let difference = (double_area(&twice) - double_area(&once)) as f64;
        prop_assert!(difference.abs() <= slack, "{difference}");
    }
}
