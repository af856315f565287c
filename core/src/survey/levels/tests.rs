use std::cmp::Reverse;
use std::collections::BinaryHeap;

use proptest::prelude::*;

use super::*;
use crate::roof::{Boundary, Roof};
use crate::system::Limits;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn outline(points: &[(i64, i64)], kinds: &[Kind], levels: &[i64]) -> Outline {
    let points = points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
    let levels = levels.iter().map(|&level| mm(level)).collect();
    let outer = Boundary { points, kinds: kinds.to_vec(), levels, ..Boundary::default() };
    Outline::new(&Roof { outer, ..Roof::default() }, &Limits::default(), "").expect("a sound roof")
}

const RECTANGLE: [(i64, i64); 4] = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)];
const ONE_DRIP: [Kind; 4] = [Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];

fn close(found: f64, wanted: f64, tolerance: f64) {
    assert!((found - wanted).abs() <= tolerance, "{found} is not {wanted}");
}

// Arithmetic: 60 mm over 3 m are 1:50; all of the 12 m2 leaves over the drip.
#[test]
fn a_plane_drains_over_its_drip() {
    let drained = drain(&outline(&RECTANGLE, &ONE_DRIP, &[0, 0, 60, 60]), &[], &[], &[]).expect("levels");
    assert_eq!(drained.slopes.len(), 1);
    assert_eq!((drained.slopes[0].fall, drained.slopes[0].downhill), (0.02, (0.0, -1.0)));
    assert_eq!((&drained.ponds[..], &drained.met[..]), (&[][..], &[][..]));
    assert_eq!((drained.ways_out[0].ring, drained.ways_out[0].index), (Some(0), 0));
    close(drained.ways_out[0].area_m2, 12.0, 0.01);
    let path = &drained.ways_out[0].path;
    assert_eq!(path[0].x, path[path.len() - 1].x);
    assert_eq!(path[path.len() - 1].y, Length::ZERO);
}

// A pyramid upside down: a third of base times height. 2 m by 2 m and 30 mm deep are 40 litres.
#[test]
fn a_pyramid_of_water() {
    let square = [(0, 0), (2000, 0), (2000, 2000), (0, 2000)];
    let outline = outline(&square, &[Kind::Drip; 4], &[0; 4]);
    let drained = drain(&outline, &[], &[(Point::from_mm(1000, 1000), mm(-30))], &[]).expect("levels");
    let pond = &drained.ponds[0];
    assert_eq!((pond.depth, pond.spill_level, pond.at), (mm(30), mm(0), Point::from_mm(1000, 1000)));
    close(pond.area_m2, 4.0, 1e-4);
    close(pond.volume_l, 40.0, 1e-3);
    // An outlet in the middle takes it all.
    let outlet = Outlet { at: Point::from_mm(1000, 1000), diameter: mm(75) };
    let drained = drain(&outline, &[outlet], &[(Point::from_mm(1000, 1000), mm(-30))], &[]).expect("levels");
    assert!(drained.ponds.is_empty());
    let outlet = drained.ways_out.iter().find(|way| way.ring.is_none()).expect("the outlet");
    close(outlet.area_m2, 4.0, 0.01);
}

// A ridge along the middle: each half drains over its own drip.
#[test]
fn a_ridge_divides_the_water() {
    let kinds = [Kind::Drip, Kind::OpenSide, Kind::Drip, Kind::OpenSide];
    let readings = [(Point::from_mm(0, 1000), mm(40)), (Point::from_mm(4000, 1000), mm(40))];
    let drained = drain(&outline(&RECTANGLE, &kinds, &[0, 0, 0, 0]), &[], &readings, &[]).expect("levels");
    assert_eq!(drained.slopes.len(), 2);
    close(drained.slopes[0].fall, 0.02, 1e-6);
    close(drained.slopes[1].fall, 0.04, 1e-6);
    close(drained.ways_out[0].area_m2, 4.0, 0.01);
    close(drained.ways_out[1].area_m2, 8.0, 0.01);
    assert!(drained.ways_out.iter().all(|way| way.path.len() >= 2));
}

// Falling away from the drip to the wall: all of it runs against the wall and stands there.
#[test]
fn a_back_fall_runs_to_the_wall() {
    let drained = drain(&outline(&RECTANGLE, &ONE_DRIP, &[60, 60, 0, 0]), &[], &[], &[]).expect("levels");
    assert_eq!((drained.met.len(), drained.met[0].edge, drained.met[0].kind), (1, 2, Kind::Abutment));
    close(drained.met[0].area_m2, 12.0, 0.01);
    // A wedge of water: half of base times height.
    close(drained.ponds[0].volume_l, 4.0 * 3.0 * 60.0 / 2.0, 1e-3);
    assert_eq!(drained.ponds[0].depth, mm(60));
    // No way out at all: slopes only.
    let shut = [Kind::OpenSide, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];
    let drained = drain(&outline(&RECTANGLE, &shut, &[60, 60, 0, 0]), &[], &[], &[]).expect("levels");
    assert_eq!((drained.slopes.len(), drained.ponds.len(), drained.ways_out.len()), (1, 0, 0));
}

#[test]
fn holes_take_the_height_of_the_deck_and_part_the_water() {
    let outer = Boundary {
        points: RECTANGLE.iter().map(|&(x, y)| Point::from_mm(x, y)).collect(),
        kinds: ONE_DRIP.to_vec(),
        levels: [0, 0, 60, 60].map(mm).to_vec(),
        ..Boundary::default()
    };
    let kerb = [(1500, 1000), (2500, 1000), (2500, 2000), (1500, 2000)];
    let hole = Boundary { points: kerb.iter().map(|&(x, y)| Point::from_mm(x, y)).collect(), ..Boundary::default() };
    let roof = Roof { outer, holes: vec![hole], ..Roof::default() };
    let outline = Outline::new(&roof, &Limits::default(), "").expect("a sound roof");
    let drained = drain(&outline, &[], &[], &[]).expect("levels");
    close(drained.ways_out[0].area_m2, 11.0, 0.01);
    // One square metre of deck above the kerb runs against its upper side.
    assert_eq!(drained.met.len(), 1);
    close(drained.met[0].area_m2, 1.0, 0.1);
    assert_eq!((drained.met[0].ring, drained.met[0].kind), (1, Kind::Abutment));
    // Water caught behind the kerb finds its way around, for the deck there is not level along it in this triangulation.
    assert!(drained.ponds.iter().all(|pond| pond.depth < mm(1)), "{:?}", drained.ponds);
}

/// An independent flooding: the surface as heights on a fine grid, flooded over eight neighbours.
fn grid_flood(
    surface: &Surface,
    step: f64,
    (nx, ny): (usize, usize),
    is_exit: impl Fn(f64, f64) -> bool,
) -> (f64, f64) {
    let height = |x: f64, y: f64| {
        let inside = surface.faces.iter().find_map(|face| {
            let [a, b, c] = face.map(|vertex| surface.xy(vertex));
            let cross =
                |o: (f64, f64), p: (f64, f64), q: (f64, f64)| (p.0 - o.0) * (q.1 - o.1) - (p.1 - o.1) * (q.0 - o.0);
            let whole = cross(a, b, c);
            let shares = [cross((x, y), b, c) / whole, cross((x, y), c, a) / whole, cross((x, y), a, b) / whole];
            let z: f64 = face.iter().zip(shares).map(|(&vertex, share)| share * surface.z(vertex)).sum();
            shares.iter().all(|&share| share >= -1e-9).then_some(z)
        });
        inside.expect("the grid lies on the surface")
    };
    let at = |i: usize| ((i % nx) as f64 * step, (i / nx) as f64 * step);
    let z: Vec<f64> = (0..nx * ny).map(|i| height(at(i).0, at(i).1)).collect();
    let mut water = vec![f64::INFINITY; nx * ny];
    let key = |z: f64| (z * 1e6).round() as i64;
    let mut heap = BinaryHeap::new();
    for i in 0..nx * ny {
        if is_exit(at(i).0, at(i).1) {
            water[i] = z[i];
            heap.push(Reverse((key(z[i]), i)));
        }
    }
    while let Some(Reverse((level, i))) = heap.pop() {
        if level > key(water[i]) {
            continue;
        }
        let (x, y) = (i % nx, i / nx);
        for v in y.saturating_sub(1)..(y + 2).min(ny) {
            for u in x.saturating_sub(1)..(x + 2).min(nx) {
                let j = v * nx + u;
                let over = water[i].max(z[j]);
                if over < water[j] {
                    water[j] = over;
                    heap.push(Reverse((key(over), j)));
                }
            }
        }
    }
    let depths = || water.iter().zip(&z).map(|(w, z)| w - z);
    (depths().fold(0.0, f64::max), depths().sum::<f64>() * step * step / 1e6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn flooding_agrees_with_a_fine_grid(
        readings in proptest::collection::vec((1i64..10, 1i64..7, -40i64..60), 1..14),
        corners in proptest::array::uniform4(0i64..60),
    ) {
        let outline = outline(&RECTANGLE, &ONE_DRIP, &corners);
        let readings: Vec<_> =
            readings.iter().map(|&(x, y, z)| (Point::from_mm(x * 400, y * 400), mm(z))).collect();
        let surface = Surface::new(&outline, &[], &readings).expect("levels");
        let found = ponds(&outline, &[], &readings).expect("a way out");
        let (depth, volume) = grid_flood(&surface, 25.0, (161, 121), |_, y| y == 0.0);
        let deepest = found.first().map_or(0.0, |pond| pond.depth.mm());
        // A spill between two nodes of the grid is missed by about a step's rise, and with it a layer of that height.
        let steepest = (0..surface.faces.len()).map(|face| surface.gradient(face)).map(|(x, y)| (x * x + y * y).sqrt());
        let rise = 25.0 * steepest.fold(0.0, f64::max);
        prop_assert!((deepest - depth).abs() < 0.1 + rise, "{} {} {}", deepest, depth, rise);
        let total: f64 = found.iter().map(|pond| pond.volume_l).sum();
        let area: f64 = found.iter().map(|pond| pond.area_m2).sum();
        prop_assert!((total - volume).abs() < 1.0 + 0.02 * volume + rise * area, "{} {} {} {}", total, volume, rise, area);
    }

    #[test]
    fn every_square_metre_finds_a_way_out(
        readings in proptest::collection::vec((-10i64..45, -10i64..35, -40i64..60), 0..30),
        corners in proptest::array::uniform4(-20i64..60),
        outlet in proptest::option::of((1i64..39, 1i64..29)),
    ) {
        let outline = outline(&RECTANGLE, &ONE_DRIP, &corners);
        let readings: Vec<_> =
            readings.iter().map(|&(x, y, z)| (Point::from_mm(x * 100, y * 100), mm(z))).collect();
        let outlets: Vec<_> =
            outlet.iter().map(|&(x, y)| Outlet { at: Point::from_mm(x * 100, y * 100), diameter: mm(75) }).collect();
        let drained = drain(&outline, &outlets, &readings, &[]).expect("levels");
        let area: f64 = drained.ways_out.iter().map(|way| way.area_m2).sum();
        prop_assert!((area - 12.0).abs() < 0.02, "{}", area);
        let slopes: f64 = drained.slopes.iter().map(|slope| slope.area_m2).sum();
        prop_assert!((slopes - 12.0).abs() < 0.01, "{}", slopes);
        prop_assert_eq!(&drained, &drain(&outline, &outlets, &readings, &[]).expect("levels"));
        // No vertex drains uphill but out of a pond, and a flooded surface has no hollow left (a vertex lower than all
        // around it that is no way out).
        let surface = Surface::new(&outline, &outlets, &readings).expect("levels");
        let beside = surface.neighbours();
        let exits = Edges::of(&outline).exits(&surface);
        let flood = Flood::of(&surface, &beside, &exits).expect("a way out");
        for vertex in (0..surface.at.len()).filter(|&v| !exits[v] && !beside.of(v).is_empty()) {
            prop_assert!(beside.of(vertex).iter().any(|&next| flood.water[next] <= flood.water[vertex]));
            prop_assert!(flood.water[flood.towards[vertex]] <= flood.water[vertex]);
        }
    }
}

#[test]
fn many_levels_are_shared_out_from_vertex_to_vertex() {
    let mut readings = Vec::new();
    for x in 1..40 {
        for y in 1..30 {
            // Off the lattice, so that no four lie on a circle.
            let (dx, dy) = ((x * 37 + y * 11) % 29, (x * 13 + y * 41) % 31);
            readings.push((Point::from_mm(x * 100 + dx, y * 100 + dy), mm((y * 100 + dy) / 50)));
        }
    }
    let drained = drain(&outline(&RECTANGLE, &ONE_DRIP, &[0, 0, 60, 60]), &[], &readings, &[]).expect("levels");
    close(drained.ways_out[0].area_m2, 12.0, 0.01);
}
