//! Random footprints, kinds and jobs from a seed: the same seed gives the same job everywhere.

use upstand::job::{OnHand, TrimOnHand};
use upstand::roof::{Boundary, Outlet, Pipe, UpstandRoom};
use upstand::survey::{Covering, MoistureReading};
use upstand::system::{BarSold, Direction, ZoneChoice};
use upstand::{Job, Kind, Length, Money, Roof};

use crate::plane::{self, P};

/// A small generator of numbers (SplitMix64: Steele, Lea and Flood, OOPSLA 2014), the same on every platform.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A generator that begins at `seed`.
    pub fn new(seed: u64) -> Self {
        Random(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `low` to `high`, both included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        low + (self.bits() % (high - low + 1) as u64) as i64
    }

    /// True once in `times`.
    pub fn once_in(&mut self, times: u64) -> bool {
        self.bits().is_multiple_of(times)
    }

    /// A number from 0 to 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[(self.bits() % of.len() as u64) as usize]
    }
}

/// Families of footprints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// A rectangle.
    Rectangle,
    /// An L, T or U.
    Letter,
    /// Right angles only, many notches and bays.
    Rectilinear,
    /// A convex polygon.
    Convex,
    /// A polygon that one point sees whole.
    Star,
    /// A sheared rectilinear one.
    Skewed,
    /// A rectilinear one turned by any angle.
    Turned,
    /// Steps and necks not much wider than the flanges of two trims: edges vanish and decks fall apart.
    Narrow,
    /// Corners sharper than any saw cuts.
    Wedge,
    /// Points that lie in a straight line or hardly off it.
    Bent,
}

impl Family {
    /// All families.
    pub const ALL: [Family; 10] = [
        Family::Rectangle,
        Family::Letter,
        Family::Rectilinear,
        Family::Convex,
        Family::Star,
        Family::Skewed,
        Family::Turned,
        Family::Narrow,
        Family::Wedge,
        Family::Bent,
    ];
}

const MM: i64 = 1000;

fn rectangle(random: &mut Random) -> Vec<P> {
    let (w, h) = (random.between(800, 14_000) * MM, random.between(800, 9_000) * MM);
    vec![(0, 0), (w, 0), (w, h), (0, h)]
}

fn letter(random: &mut Random) -> Vec<P> {
    let (w, h) = (random.between(4_000, 14_000) * MM, random.between(4_000, 10_000) * MM);
    let (a, b) = (random.between(1_000, 1_900) * MM, random.between(1_000, 1_900) * MM);
    let c = random.between(1_000, 3_000) * MM;
    match random.between(0, 2) {
        0 => vec![(0, 0), (w, 0), (w, c), (a, c), (a, h), (0, h)],
        1 => vec![(0, h - c), (a, h - c), (a, 0), (w - b, 0), (w - b, h - c), (w, h - c), (w, h), (0, h)],
        _ => vec![(0, 0), (w, 0), (w, h), (w - b, h), (w - b, c), (a, c), (a, h), (0, h)],
    }
}

/// Columns as in [`rectilinear`], many of them hardly wider or taller than trims.
fn narrow(random: &mut Random) -> Vec<P> {
    let (mut lower, mut upper) = (Vec::new(), Vec::new());
    let mut x = 0;
    for _ in 0..random.between(2, 6) {
        let width = if random.once_in(2) { random.between(60, 400) } else { random.between(400, 3_000) } * MM;
        let floor = if random.once_in(2) { 0 } else { random.between(-300, 90) * MM };
        let ceiling = if random.once_in(3) { random.between(160, 500) } else { random.between(500, 3_000) } * MM;
        lower.extend([(x, floor), (x + width, floor)]);
        upper.extend([(x, ceiling), (x + width, ceiling)]);
        x += width;
    }
    upper.reverse();
    lower.extend(upper);
    without_repeats(lower)
}

/// A long triangle, or one with its foot cut off.
fn wedge(random: &mut Random) -> Vec<P> {
    let (long, tall) = (random.between(3_000, 9_000) * MM, random.between(150, 1_800) * MM);
    let lean = random.between(-1_000, 1_000) * MM;
    if random.once_in(2) {
        vec![(0, 0), (long, 0), (lean, tall)]
    } else {
        vec![(0, 0), (long, 0), (long - 900 * MM, tall / 3), (lean, tall)]
    }
}

/// A rectangle with points along its sides, in line or up to 60 mm off it.
fn bent(random: &mut Random) -> Vec<P> {
    let (w, h) = (random.between(3_000, 9_000) * MM, random.between(3_000, 7_000) * MM);
    let corners = [(0, 0), (w, 0), (w, h), (0, h)];
    let mut ring = Vec::new();
    for (i, &(x, y)) in corners.iter().enumerate() {
        ring.push((x, y));
        let (nx, ny) = corners[(i + 1) % 4];
        let parts = random.between(1, 4);
        for k in 1..parts {
            let off = if random.once_in(2) { 0 } else { random.between(-60_000, 60_000) };
            let (dx, dy) = ((nx - x).signum(), (ny - y).signum());
            ring.push((x + (nx - x) / parts * k - dy * off, y + (ny - y) / parts * k + dx * off));
        }
    }
    ring
}

/// Columns side by side whose floors and ceilings step up and down: simple as long as neighbours overlap.
fn rectilinear(random: &mut Random) -> Vec<P> {
    let columns = random.between(2, 7);
    let (mut lower, mut upper) = (Vec::new(), Vec::new());
    let mut x = 0;
    let (mut floor, mut ceiling) = (0, random.between(3_000, 6_000) * MM);
    for column in 0..columns {
        if column > 0 && random.once_in(2) {
            floor = random.between(-1_200, 1_200) * MM;
        }
        if column == 0 || random.once_in(2) {
            ceiling = random.between(2_200, 7_000) * MM;
        }
        let width = random.between(400, 4_000) * MM;
        lower.extend([(x, floor), (x + width, floor)]);
        upper.extend([(x, ceiling), (x + width, ceiling)]);
        x += width;
    }
    upper.reverse();
    lower.extend(upper);
    without_repeats(lower)
}

/// Drops points that repeat the one before and points in the middle of a straight line.
fn without_repeats(ring: Vec<P>) -> Vec<P> {
    let mut kept: Vec<P> = ring;
    loop {
        let n = kept.len();
        let needless = (0..n).find(|&i| {
            let (a, b, c) = (kept[(i + n - 1) % n], kept[i], kept[(i + 1) % n]);
            a == b || plane::cross(a, b, c) == 0
        });
        match needless {
            Some(i) => kept.remove(i),
            None => return kept,
        };
    }
}

fn on_angles(random: &mut Random, n: i64, mut radius: impl FnMut(&mut Random) -> f64, squash: f64) -> Vec<P> {
    let mut angles: Vec<f64> =
        (0..n).map(|i| (i as f64 + 0.1 + 0.8 * random.unit()) / n as f64 * std::f64::consts::TAU).collect();
    angles.sort_by(f64::total_cmp);
    angles
        .into_iter()
        .map(|angle| {
            let r = radius(random);
            ((r * angle.cos()).round() as i64 * MM, (r * squash * angle.sin()).round() as i64 * MM)
        })
        .collect()
}

fn turned(ring: &[P], angle: f64) -> Vec<P> {
    let (sin, cos) = angle.sin_cos();
    ring.iter()
        .map(|&(x, y)| {
            let (x, y) = (x as f64, y as f64);
            ((x * cos - y * sin).round() as i64, (x * sin + y * cos).round() as i64)
        })
        .collect()
}

/// A simple ring of a family, counter-clockwise, in micrometres.
pub fn footprint(random: &mut Random, family: Family) -> Vec<P> {
    loop {
        let ring = match family {
            Family::Rectangle => rectangle(random),
            Family::Letter => letter(random),
            Family::Rectilinear => rectilinear(random),
            Family::Narrow => narrow(random),
            Family::Wedge => wedge(random),
            Family::Bent => bent(random),
            Family::Convex => {
                let (n, r) = (random.between(3, 10), random.between(2_000, 9_000) as f64);
                let squash = 0.4 + 0.6 * random.unit();
                on_angles(random, n, |_| r, squash)
            }
            Family::Star => {
                let (n, r) = (random.between(4, 14), random.between(3_000, 9_000) as f64);
                on_angles(random, n, |random| r * (0.35 + 0.65 * random.unit()), 1.0)
            }
            Family::Skewed => {
                let per_mille = random.between(-600, 600);
                rectilinear(random).into_iter().map(|(x, y)| (x + y / 1000 * per_mille, y)).collect()
            }
            Family::Turned => {
                let angle = random.unit() * std::f64::consts::TAU;
                turned(&rectilinear(random), angle)
            }
        };
        let short = plane::edges(&ring).any(|(a, b)| plane::distance(a, b) < 60.0 * MM as f64);
        if !short && plane::simple(&ring) && plane::area2(&ring) > 0 {
            return ring;
        }
    }
}

/// Tries to place rectangular kerbs inside a ring, clear of it and of each other by at least `clear` micrometres.
pub fn kerbs(random: &mut Random, ring: &[P], most: i64, clear: f64) -> Vec<Vec<P>> {
    let mut rings = vec![ring.to_vec()];
    let (low, high) = bounds(ring);
    for _ in 0..most * 8 {
        if rings.len() as i64 > most {
            break;
        }
        let (w, h) = (random.between(400, 1_500) * MM, random.between(400, 1_500) * MM);
        let (cx, cy) = (random.between(low.0, high.0) / MM * MM, random.between(low.1, high.1) / MM * MM);
        let mut kerb = vec![(-w / 2, -h / 2), (-w / 2, h / 2), (w / 2, h / 2), (w / 2, -h / 2)];
        if random.once_in(3) {
            kerb = turned(&kerb, random.unit() * 3.0);
        }
        let kerb: Vec<P> = kerb.into_iter().map(|(x, y)| (x + cx, y + cy)).collect();
        let far = kerb.iter().all(|&p| {
            let p = (p.0 as f64, p.1 as f64);
            plane::inside(p, &rings) && plane::distance_to_rings(p, &rings) >= clear
        }) && rings
            .iter()
            .flatten()
            .all(|&p| plane::distance_to_rings((p.0 as f64, p.1 as f64), std::slice::from_ref(&kerb)) >= clear);
        let swallows = rings[1..]
            .iter()
            .any(|other| plane::inside((other[0].0 as f64, other[0].1 as f64), std::slice::from_ref(&kerb)));
        if far && !swallows {
            rings.push(kerb);
        }
    }
    rings.split_off(1)
}

fn bounds(ring: &[P]) -> (P, P) {
    let x = |f: fn(i64, i64) -> i64| ring.iter().map(|p| p.0).reduce(f).unwrap_or(0);
    let y = |f: fn(i64, i64) -> i64| ring.iter().map(|p| p.1).reduce(f).unwrap_or(0);
    ((x(i64::min), y(i64::min)), (x(i64::max), y(i64::max)))
}

/// How kinds are given to the edges of a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dressing {
    /// All edges alike.
    All(Kind),
    /// As an extension stands: the longest edge at the wall, the one most opposite a drip, open sides between.
    Extension,
    /// Each edge at random.
    Mixed(u64),
}

/// One kind for each edge of a ring.
pub fn kinds(ring: &[P], dressing: Dressing) -> Vec<Kind> {
    match dressing {
        Dressing::All(kind) => vec![kind; ring.len()],
        Dressing::Mixed(seed) => {
            let mut random = Random::new(seed);
            ring.iter().map(|_| *random.pick(&Kind::ALL)).collect()
        }
        Dressing::Extension => {
            let all: Vec<(f64, f64)> = plane::edges(ring).map(|(a, b)| plane::vector(a, b)).collect();
            let long = (0..all.len())
                .max_by(|&i, &j| all[i].0.hypot(all[i].1).total_cmp(&all[j].0.hypot(all[j].1)))
                .unwrap_or(0);
            let wall = all[long];
            all.iter()
                .enumerate()
                .map(|(i, v)| {
                    let along = (v.0 * wall.0 + v.1 * wall.1) / (v.0.hypot(v.1) * wall.0.hypot(wall.1));
                    if i == long {
                        Kind::Abutment
                    } else if along < -0.7 {
                        Kind::Drip
                    } else {
                        Kind::OpenSide
                    }
                })
                .collect()
        }
    }
}

/// A boundary of the library's.
pub fn boundary(ring: &[P], kinds: Vec<Kind>) -> Boundary {
    Boundary { points: ring.iter().map(|&p| plane::point(p)).collect(), kinds, ..Boundary::default() }
}

/// A random roof: any family, any kinds, now and then kerbs, rings in either direction.
pub fn roof(random: &mut Random) -> Roof {
    let family = *random.pick(&Family::ALL);
    let outer = footprint(random, family);
    let dressing = match random.between(0, 5) {
        0 => Dressing::All(*random.pick(&Kind::ALL)),
        1 | 2 => Dressing::Extension,
        _ => Dressing::Mixed(random.bits()),
    };
    let most = if random.once_in(3) { random.between(1, 3) } else { 0 };
    let holes = kerbs(random, &outer, most, 350.0 * MM as f64);
    let mut roof = Roof {
        outer: boundary(&outer, kinds(&outer, dressing)),
        holes: holes.iter().map(|hole| boundary(hole, Vec::new())).collect(),
        ..Roof::default()
    };
    if random.once_in(3) {
        roof.outer = reversed(&roof.outer);
    }
    if random.once_in(3) {
        roof.holes = roof.holes.iter().map(reversed).collect();
    }
    roof
}

/// The same boundary, run through the other way: edge kinds stay with their edges.
pub fn reversed(boundary: &Boundary) -> Boundary {
    let mut back = boundary.clone();
    back.points.reverse();
    if !back.kinds.is_empty() {
        // Reversed, edge i joins points n-1-i and n-2-i: the old edge n-2-i.
        let n = back.kinds.len();
        back.kinds = (0..n).map(|i| boundary.kinds[(2 * n - 2 - i) % n]).collect();
        for room in &mut back.upstands {
            room.edge = (2 * n - 2 - room.edge) % n;
        }
    }
    back
}

/// A random job of one to three roofs in the demonstration system, now and then with stock, readings or other sizes.
pub fn job(seed: u64) -> Job {
    let mut random = Random::new(seed);
    let roofs = if random.once_in(4) { random.between(2, 3) } else { 1 };
    let mut job = Job { roofs: (0..roofs).map(|_| roof(&mut random)).collect(), ..Job::default() };
    // Enough to prove most lists, few enough for thousands of jobs.
    job.preferences.nodes = 100;
    if random.once_in(4) {
        let kind = *random.pick(&Kind::ALL);
        let length = Length::from_mm(random.between(400, 2_900));
        job.stock.trims.push(TrimOnHand { kind, length, count: random.between(1, 3) as u32 });
    }
    if random.once_in(6) {
        let length = Length::from_mm(random.between(700, 4_000));
        job.stock.battens.push(OnHand { length, count: 2 });
    }
    if random.once_in(4) {
        let lap = Length::from_mm(random.between(0, 120));
        job.system.trims.drip.lap = lap;
        job.system.trims.open_side.lap = lap;
    }
    if random.once_in(4) {
        job.system.trims.abutment.bars = vec![
            BarSold { length: Length::from_mm(2_400), price: None },
            BarSold { length: Length::from_mm(3_600), price: None },
        ];
    }
    if random.once_in(4) {
        job.system.mat.width = Length::from_mm(random.between(800, 1_300));
        job.system.mat.lap = Length::from_mm(random.between(20, 90));
    }
    if random.once_in(3) {
        job.system.mat.direction = if random.once_in(2) { Direction::Best } else { Direction::Edge(0) };
        if random.once_in(2) {
            job.system.mat.zones = ZoneChoice::Least;
        }
    }
    if random.once_in(2) {
        job.survey.surface_c = Some(random.between(0, 35) as f64);
    }
    if random.once_in(3) {
        let percent = random.between(80, 260) as f64 / 10.0;
        job.survey.moisture.push(MoistureReading { percent, roof: 0, at: None });
        job.survey.covering = Some(*random.pick(&[Covering::Bare, Covering::Felt, Covering::Concrete]));
        job.survey.overlay = Length::from_mm(*random.pick(&[0, 0, 18]));
    }
    if random.once_in(4) {
        let outer = plane::ring(&job.roofs[0].outer.points);
        let (low, high) = bounds(&outer);
        let at = (random.between(low.0, high.0), random.between(low.1, high.1));
        let mut rings = vec![outer];
        rings.extend(job.roofs[0].holes.iter().map(|hole| plane::ring(&hole.points)));
        let real = (at.0 as f64, at.1 as f64);
        if plane::inside(real, &rings) && plane::distance_to_rings(real, &rings) > 60_000.0 {
            let (at, diameter) = (plane::point(at), Length::from_mm(100));
            if random.once_in(2) {
                job.roofs[0].outlets.push(Outlet { at, diameter });
            } else {
                let height = random.once_in(2).then(|| Length::from_mm(random.between(100, 300)));
                job.roofs[0].pipes.push(Pipe { name: None, at, diameter, height });
            }
        }
    }
    if random.once_in(4) {
        // Prices that favour now the shorter, now the longer bar.
        let bar = |length: i64, price: i64| BarSold {
            length: Length::from_mm(length),
            price: Some(Money::from_parts(price as u64 * 100)),
        };
        job.system.trims.open_side.bars =
            vec![bar(2_500, random.between(1_500, 2_500)), bar(3_000, random.between(1_800, 3_000))];
    }
    if random.once_in(3) {
        job.preferences.weather_from_deg = Some(random.between(-180, 180) as f64);
    }
    if random.once_in(3) {
        let edge = random.between(0, job.roofs[0].outer.kinds.len() as i64 - 1) as usize;
        job.roofs[0].outer.upstands.push(UpstandRoom {
            edge,
            height: Length::from_mm(random.between(140, 220)),
            threshold: false,
            top: None,
        });
    }
    job
}
