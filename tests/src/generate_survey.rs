//! Jobs whose roofs come from the tape.

use upstand::Length;
use upstand::job::Job;
use upstand::roof::{Boundary, Roof};
use upstand::survey::adjust::{MeasuredOutlet, Measurement, Network};

use crate::generate::{Dressing, Family, Random, footprint, job, kerbs, kinds};
use crate::plane::{self, P};

/// A job with one roof that is given by measurements, now and then with a misread one.
pub fn measured_job(seed: u64) -> Job {
    let mut job = job(seed);
    let mut random = Random::new(seed ^ 0x7a9e);
    let family = *random.pick(&[Family::Rectangle, Family::Letter, Family::Convex]);
    let outer = footprint(&mut random, family);
    let most = random.between(0, 2);
    let holes = kerbs(&mut random, &outer, most, 350_000.0);
    let mut network = Network::default();
    let mut corners: Vec<(String, P)> = Vec::new();
    for (i, &at) in outer.iter().enumerate() {
        corners.push((format!("P{}", i + 1), at));
    }
    network.outline = corners.iter().map(|corner| corner.0.clone()).collect();
    for hole in &holes {
        let first = corners.len();
        corners.extend(hole.iter().enumerate().map(|(i, &at)| (format!("K{}", i + 1), at)));
        network.holes.push(corners[first..].iter().map(|corner| corner.0.clone()).collect());
    }
    let middle = |ring: &[P]| {
        let n = ring.len() as i64;
        (ring.iter().map(|p| p.0).sum::<i64>() / n, ring.iter().map(|p| p.1).sum::<i64>() / n)
    };
    let rings: Vec<Vec<P>> = std::iter::once(outer.clone()).chain(holes.iter().cloned()).collect();
    let at = middle(&outer);
    let real = (at.0 as f64, at.1 as f64);
    if random.once_in(3) && plane::inside(real, &rings) && plane::distance_to_rings(real, &rings) > 200_000.0 {
        corners.push(("W".into(), at));
        network.outlets.push(MeasuredOutlet { point: "W".into(), diameter: Length::from_mm(100) });
    }
    tape(&mut random, &mut network, &corners, outer.len());
    let dressing = if random.once_in(2) { Dressing::Extension } else { Dressing::Mixed(random.bits()) };
    job.roofs = vec![Roof {
        outer: Boundary { kinds: kinds(&outer, dressing), ..Boundary::default() },
        measured: Some(network),
        ..Roof::default()
    }];
    job.survey.moisture.iter_mut().for_each(|reading| reading.at = None);
    job
}

/// Reads a tape: sides, ties of every point from the first two corners, some further diagonals, squares and angles.
fn tape(random: &mut Random, network: &mut Network, corners: &[(String, P)], sides: usize) {
    let name = |k: usize| corners[k].0.clone();
    let mut read = |random: &mut Random, a: usize, b: usize| {
        let exact = plane::distance(corners[a].1, corners[b].1) / 1e3;
        // About a normal distribution of 3 mm.
        let noise: f64 = (0..12).map(|_| random.unit()).sum::<f64>() - 6.0;
        let blunder = if random.once_in(150) { random.between(-150, 150) as f64 } else { 0.0 };
        let length = Length::from_um((exact + 3.0 * noise + blunder).round().max(1.0) as i64 * 1_000);
        let sd = random.once_in(6).then(|| random.between(1, 8) as f64);
        network.measurements.push(Measurement::Distance { from: name(a), to: name(b), length, sd });
    };
    for k in 0..sides {
        read(random, k, (k + 1) % sides);
    }
    for k in 2..corners.len() {
        for from in [0, 1] {
            let side = k < sides && (k == from + 1 || (from == 0 && k + 1 == sides));
            if !side {
                read(random, from, k);
            }
        }
        if k > 3 && random.once_in(2) {
            read(random, 2, k);
        }
    }
    let angle = |a: usize, b: usize, c: usize| {
        let ((ax, ay), (bx, by)) =
            (plane::vector(corners[a].1, corners[b].1), plane::vector(corners[a].1, corners[c].1));
        (ax * by - ay * bx).atan2(ax * bx + ay * by).to_degrees()
    };
    for k in 1..sides.saturating_sub(1) {
        let degrees = angle(k, k + 1, k - 1);
        let (at, from, to) = (name(k), name(k + 1), name(k - 1));
        if (degrees.abs() - 90.0).abs() < 1e-6 && random.once_in(2) {
            network.measurements.push(Measurement::RightAngle { at, from, to, sd: None });
        } else if random.once_in(4) {
            let degrees = ((degrees + 0.2 * (random.unit() - 0.5) + 360.0) % 360.0 * 10.0).round() / 10.0;
            network.measurements.push(Measurement::Angle { at, from, to, degrees, sd: Some(0.3) });
        } else if random.once_in(3) {
            // How far a corner lies off the line of two others.
            let (dx, dy) = plane::vector(corners[k - 1].1, corners[k].1);
            let (px, py) = plane::vector(corners[k - 1].1, corners[k + 1].1);
            let off = (dx * py - dy * px) / dx.hypot(dy) / 1e3;
            let length = Length::from_um((off + 4.0 * (random.unit() - 0.5)).round() as i64 * 1_000);
            network.measurements.push(Measurement::Offset { point: from, from: to, to: at, length, sd: None });
        }
    }
}
