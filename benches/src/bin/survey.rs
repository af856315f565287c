//! Times of the survey: adjusting tape measurements, flooding levels.
//!
//! `cargo run --release -p upstand-benches --bin survey`

use std::time::Instant;

use upstand::geometry::Point;
use upstand::roof::{Boundary, Outline, Roof};
use upstand::survey::adjust::{Measurement, Network, adjust};
use upstand::survey::levels;
use upstand::system::Limits;
use upstand::{Kind, Length};

/// A repeatable stream of numbers (xorshift, Marsaglia 2003, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// From -1 to 1.
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

fn distance(names: &[String], at: &[(f64, f64)], i: usize, j: usize, random: &mut Random) -> Measurement {
    let (dx, dy) = (at[j].0 - at[i].0, at[j].1 - at[i].1);
    let mm = (dx * dx + dy * dy).sqrt() + 5.0 * random.unit();
    let length = Length::try_from_mm_f64(mm).unwrap_or_default();
    Measurement::Distance { from: names[i].clone(), to: names[j].clone(), length, sd: None }
}

/// A roof of twelve corners: its sides, ties to the corner two before, and eight more.
fn twelve_corners() -> Network {
    let mut random = Random(7);
    let at: Vec<(f64, f64)> = (0..12)
        .map(|i| {
            let angle = f64::from(i) * std::f64::consts::TAU / 12.0;
            let radius = 5_000.0 + 1_500.0 * random.unit();
            (radius * angle.cos(), radius * angle.sin())
        })
        .collect();
    let names: Vec<String> = (0..12).map(|i| format!("P{i}")).collect();
    let mut measurements = Vec::new();
    for i in 0..12 {
        measurements.push(distance(&names, &at, i, (i + 1) % 12, &mut random));
    }
    for i in 0..10 {
        measurements.push(distance(&names, &at, i, i + 2, &mut random));
    }
    for i in 0..8 {
        measurements.push(distance(&names, &at, i, i + 4, &mut random));
    }
    Network { outline: names, measurements, ..Network::default() }
}

/// A net of `columns` by `rows` points: neighbours and both diagonals of every square.
fn net(columns: usize, rows: usize) -> Network {
    let mut random = Random(11);
    let at: Vec<(f64, f64)> = (0..columns * rows)
        .map(|i| {
            let place = |k: usize, random: &mut Random| 3_000.0 * k as f64 + 400.0 * random.unit();
            (place(i / rows, &mut random), place(i % rows, &mut random))
        })
        .collect();
    let names: Vec<String> = (0..at.len()).map(|i| format!("P{i}")).collect();
    let mut measurements = Vec::new();
    for i in 0..at.len() {
        let (column, row) = (i / rows, i % rows);
        let mut tie = |to: usize| measurements.push(distance(&names, &at, i, to, &mut random));
        if row + 1 < rows {
            tie(i + 1);
        }
        if column + 1 < columns {
            tie(i + rows);
            if row + 1 < rows {
                tie(i + rows + 1);
            }
            if row > 0 {
                tie(i + rows - 1);
            }
        }
    }
    Network { measurements, ..Network::default() }
}

fn bumpy_deck(columns: i64, rows: i64) -> (Outline, Vec<(Point, Length)>) {
    let mut random = Random(13);
    let mm = Length::from_mm;
    let (width, depth) = (columns * 100, rows * 100);
    let outer = Boundary {
        points: [(0, 0), (width, 0), (width, depth), (0, depth)].map(|(x, y)| Point::from_mm(x, y)).to_vec(),
        kinds: vec![Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide],
        levels: vec![mm(0), mm(0), mm(depth / 60), mm(depth / 60)],
        ..Boundary::default()
    };
    let outline = Outline::new(&Roof { outer, ..Roof::default() }, &Limits::default(), "").expect("a rectangle");
    let mut readings = Vec::new();
    for x in 0..columns {
        for y in 0..rows {
            let place = |k: i64, random: &mut Random| k * 100_000 + 50_000 + (30_000.0 * random.unit()) as i64;
            let at = Point::from_um(place(x, &mut random), place(y, &mut random));
            readings.push((at, Length::from_um(at.y.um() / 60 + (8_000.0 * random.unit()) as i64)));
        }
    }
    (outline, readings)
}

/// Median of some runs, in milliseconds.
fn time(runs: usize, mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

fn main() {
    let small = twelve_corners();
    let ms = time(201, || drop(std::hint::black_box(adjust(std::hint::black_box(&small)))));
    println!("adjust 12 points, {} measurements: {ms:.3} ms", small.measurements.len());
    let large = net(50, 20);
    let mut told = String::new();
    let ms = time(1, || match adjust(&large) {
        Ok(adjusted) => told = format!("{} degrees of freedom", adjusted.degrees_of_freedom),
        Err(error) => told = error.to_string(),
    });
    println!("adjust 1000 points, {} measurements ({told}): {ms:.0} ms", large.measurements.len());
    let (outline, readings) = bumpy_deck(500, 200);
    let mut count = 0;
    let ms = time(3, || count = levels::ponds(&outline, &[], &readings).map_or(0, |ponds| ponds.len()));
    println!("flood {} levels ({count} ponds): {ms:.0} ms", readings.len());
    let ms = time(3, || drop(std::hint::black_box(levels::drain(&outline, &[], &readings, &[]))));
    println!("flood them and share out their area: {ms:.0} ms");
}
