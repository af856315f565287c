//! Time of the mat stage by itself, and mat off the roll, over footprints.
//!
//!     cargo run --release -p upstand-benches --bin mat_layout                  # growth on outlines drawn here, a minute
//!     cargo run --release -p upstand-benches --bin mat_layout -- --growth star # on some of them
//!     cargo run --release -p upstand-benches --bin mat_layout -- FILE.jsonl    # every footprint of a GeoJSON file
//!     cargo run --release -p upstand-benches --bin mat_layout -- --each FILE.jsonl    # and each roof by itself

use std::time::Instant;

use upstand::geometry::Point;
use upstand::roof::{Boundary, Outline};
use upstand::system::{Direction, ZoneChoice};
use upstand::trim::RoofTrims;
use upstand::{Job, Kind, Length, Roof, mat};

/// What laying one roof took.
struct Laid {
    name: String,
    corners: usize,
    ms: f64,
    pieces: usize,
    metres: f64,
}

/// A way of laying: its name, the direction of the strips, in how many zones.
type Way = (&'static str, Direction, ZoneChoice);

const WAYS: [Way; 3] = [
    ("drip", Direction::Drip, ZoneChoice::One),
    ("best", Direction::Best, ZoneChoice::One),
    ("best in zones", Direction::Best, ZoneChoice::Least),
];

/// Lays one roof `times` and keeps the shortest time.
fn lay(name: &str, roof: &Roof, (_, direction, zones): Way, times: usize) -> Option<Laid> {
    let mut job = Job { roofs: vec![roof.clone()], ..Job::default() };
    job.system.mat.direction = direction;
    job.system.mat.zones = zones;
    job.system.limits.most_points = usize::MAX;
    let said = |error: upstand::Error| println!("{name}: {error}");
    let outline = Outline::new(roof, &job.system.limits, "/roofs/0").map_err(said).ok()?;
    let corners = outline.rings.iter().map(|ring| ring.points.len()).sum();
    let outlines = [outline];
    // Trims only say where patches lie, which takes next to no time.
    let trims = [RoofTrims::default()];
    let mut laid = Laid { name: name.into(), corners, ms: f64::INFINITY, pieces: 0, metres: 0.0 };
    for _ in 0..times {
        let begun = Instant::now();
        let out = mat::lay_out(&job, &outlines, &trims).map_err(said).ok()?;
        laid.ms = laid.ms.min(begun.elapsed().as_secs_f64() * 1e3);
        laid.pieces = out.roofs.iter().flat_map(|roof| &roof.strips).map(|strip| strip.pieces.len()).sum();
        laid.metres = out.roofs.iter().map(|roof| roof.off_roll.m()).sum();
    }
    Some(laid)
}

fn print(what: &str, all: &[Laid]) {
    let mut ms: Vec<f64> = all.iter().map(|laid| laid.ms).collect();
    ms.sort_by(f64::total_cmp);
    let at = |part: f64| ms.get((ms.len().saturating_sub(1) as f64 * part) as usize).copied().unwrap_or(0.0);
    println!("{what}: {} roofs, median {:.3} ms, 99 % {:.3} ms, worst {:.3} ms", all.len(), at(0.5), at(0.99), at(1.0));
    let mut slowest: Vec<&Laid> = all.iter().collect();
    slowest.sort_by(|a, b| b.ms.total_cmp(&a.ms));
    for laid in slowest.iter().take(4) {
        println!("    {}: {} corners, {:.3} ms, {:.2} m off the roll", laid.name, laid.corners, laid.ms, laid.metres);
    }
}

/// The rings of a GeoJSON polygon in metres, as a roof with drips all round.
fn roof(rings: &serde_json::Value) -> Option<Roof> {
    let boundary = |ring: &serde_json::Value| {
        let um = |value: &serde_json::Value| value.as_f64().map(|m| Length::from_um((m * 1e6).round() as i64));
        let points: Option<Vec<Point>> =
            ring.as_array()?.iter().map(|at| Some(Point { x: um(&at[0])?, y: um(&at[1])? })).collect();
        let mut points = points?;
        points.dedup();
        if points.first() == points.last() {
            points.pop();
        }
        Some(Boundary { kinds: vec![Kind::Drip; points.len()], points, ..Boundary::default() })
    };
    let rings: Option<Vec<Boundary>> = rings.as_array()?.iter().map(boundary).collect();
    let mut rings = rings?.into_iter();
    Some(Roof { outer: rings.next()?, holes: rings.collect(), ..Roof::default() })
}

/// A comb to both sides: `teeth` in all along a long building, four corners each, sides a little out of square.
fn comb(teeth: i64) -> Roof {
    let pitch = 700;
    let side = (teeth / 2).max(1);
    let tooth = |i: i64| {
        let (x, lean) = (i * pitch, i * 7 % 13);
        [(x, 2_200), (x + 300, 2_200 + lean), (x + 300 + lean, 4_000), (x + pitch, 4_000 + lean)]
    };
    let upper = (0..side).flat_map(tooth);
    let lower = upper.clone().map(|(x, y)| (x, -y));
    let points: Vec<Point> =
        lower.chain(upper.collect::<Vec<_>>().into_iter().rev()).map(|(x, y)| Point::from_mm(x, y)).collect();
    let kinds = vec![Kind::Drip; points.len()];
    Roof { outer: Boundary { points, kinds, ..Boundary::default() }, ..Roof::default() }
}

/// A field of rooflights in rows a little out of line, `side` by `side` of them, each round with so many corners.
fn rooflights(side: i64, corners: i64) -> Roof {
    let (pitch, radius) = (2_500, 450.0);
    let mut holes = Vec::new();
    for (i, j) in (0..side).flat_map(|i| (0..side).map(move |j| (i, j))) {
        let (x, y) = (1_250 + pitch * i + (i * 5 + j * 7) % 11, 1_250 + pitch * j + (i * 3 + j) % 13);
        let corner = |k: i64| {
            let angle = (0.5 - k as f64) / corners as f64 * std::f64::consts::TAU;
            Point::from_mm(x + (radius * angle.cos()) as i64, y + (radius * angle.sin()) as i64)
        };
        holes.push(Boundary { points: (0..corners).map(corner).collect(), ..Boundary::default() });
    }
    let end = pitch * side + 300;
    let points = [(0, 0), (end, 0), (end, end), (0, end)].map(|(x, y)| Point::from_mm(x, y)).to_vec();
    Roof { outer: Boundary { kinds: vec![Kind::Drip; 4], points, ..Boundary::default() }, holes, ..Roof::default() }
}

/// A round roof of 50 m, larger where its corners would be nearer than 16 mm; star-shaped, each up to 40 mm off the circle.
fn star(corners: i64) -> Roof {
    round(corners, 50_000_000.0 * corners.max(20_000) as f64 / 20_000.0)
}

/// The same with corners 16 mm apart, however many.
fn dense(corners: i64) -> Roof {
    round(corners, 2_500.0 * corners as f64)
}

/// A round roof of this radius in micrometres.
fn round(corners: i64, round: f64) -> Roof {
    let mut seed = 1_u64;
    let corner = |k: i64| {
        // A linear congruential generator (Knuth's MMIX constants), of which the high bits serve.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let off = (seed >> 33) as f64 / (1_u64 << 31) as f64 * 80_000.0 - 40_000.0;
        let angle = k as f64 / corners as f64 * std::f64::consts::TAU;
        let radius = round + off;
        Point::from_um((radius * angle.cos()) as i64, (radius * angle.sin()) as i64)
    };
    let points: Vec<Point> = (0..corners).map(corner).collect();
    let kinds = vec![Kind::Drip; points.len()];
    Roof { outer: Boundary { points, kinds, ..Boundary::default() }, ..Roof::default() }
}

/// A corridor some 3 m wide that runs up a slope in steps of 200 by 150 mm.
fn staircase(corners: i64) -> Roof {
    let steps = corners / 4;
    let tread = |i: i64| [(200 * i, 150 * i), (200 * (i + 1), 150 * i)];
    let lower: Vec<(i64, i64)> = (0..steps).flat_map(tread).collect();
    let upper = lower.iter().rev().map(|&(x, y)| (x - 2_000, y + 3_000));
    let points: Vec<Point> = lower.iter().copied().chain(upper).map(|(x, y)| Point::from_mm(x, y)).collect();
    let kinds = vec![Kind::Drip; points.len()];
    Roof { outer: Boundary { points, kinds, ..Boundary::default() }, ..Roof::default() }
}

/// The table of growth: for each outline and way the time, and how many nanoseconds that is for each of n log2 n.
fn growth(only: &[String]) {
    println!("| outline | strips | corners | pieces | ms | ns for each of n log2 n |");
    println!("|---|---|---|---|---|---|");
    type Draw = fn(i64) -> Roof;
    let outlines: [(&str, Draw); 5] = [
        ("comb", |corners| comb(corners / 4)),
        ("star", star),
        ("dense star", dense),
        ("staircase", staircase),
        // As many rooflights as a roof may have, then more corners to each.
        ("rooflights", |corners| {
            let side = ((corners as f64 / 10.0).sqrt() as i64).min(31);
            rooflights(side, corners / (side * side))
        }),
    ];
    let wanted = |outline: &str| only.is_empty() || only.iter().any(|word| word == outline);
    for (outline, draw) in outlines.into_iter().filter(|(outline, _)| wanted(outline)) {
        // Outlines with so many inner corners are not split into zones.
        for way in [WAYS[0], WAYS[1]] {
            for corners in [1_000, 3_000, 10_000, 30_000, 100_000] {
                let times = if corners > 5_000 { 3 } else { 9 };
                let Some(laid) = lay(outline, &draw(corners), way, times) else { continue };
                let n = laid.corners as f64;
                let each = laid.ms * 1e6 / (n * n.log2());
                println!("| {outline} | {} | {} | {} | {:.1} | {each:.0} |", way.0, laid.corners, laid.pieces, laid.ms);
            }
        }
    }
}

fn main() {
    let mut files: Vec<String> = std::env::args().skip(1).collect();
    if files.first().is_none_or(|file| file == "--growth") {
        growth(files.get(1..).unwrap_or_default());
        return;
    }
    let each = files.iter().any(|file| file == "--each");
    files.retain(|file| file != "--each");
    for file in &files {
        let Ok(text) = std::fs::read_to_string(file) else {
            println!("cannot read {file}");
            continue;
        };
        for way in WAYS {
            let lines = text.lines().filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok());
            let laid = lines.filter_map(|line| {
                let name = line["id"].as_str()?;
                lay(name, &roof(&line["geometry"]["coordinates"])?, way, 3)
            });
            let laid: Vec<Laid> = laid.collect();
            for one in laid.iter().filter(|_| each) {
                println!("{}\t{}\t{:.3} ms\t{:.3} m", way.0, one.name, one.ms, one.metres);
            }
            print(&format!("{file}, {}", way.0), &laid);
        }
    }
}
