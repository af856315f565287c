//! Motions of jobs that leave a plan's numbers as they are.

use upstand::Job;
use upstand::roof::Boundary;

use crate::plane::{self, P};

/// The job with every point moved by `f`.
pub fn moved(job: &Job, f: impl Fn(P) -> P) -> Job {
    let mut job = job.clone();
    let shift = |at: upstand::geometry::Point| plane::point(f((at.x.um(), at.y.um())));
    for roof in &mut job.roofs {
        for boundary in std::iter::once(&mut roof.outer).chain(&mut roof.holes) {
            boundary.points = boundary.points.iter().map(|&at| shift(at)).collect();
        }
        for outlet in &mut roof.outlets {
            outlet.at = shift(outlet.at);
        }
        for pipe in &mut roof.pipes {
            pipe.at = shift(pipe.at);
        }
    }
    for reading in &mut job.survey.moisture {
        reading.at = reading.at.map(shift);
    }
    job
}

/// Turned by the angle of the 3-4-5 triangle: exact where coordinates are multiples of five micrometres.
pub fn turned_3_4_5(job: &Job) -> Job {
    moved(job, |(x, y)| ((3 * x - 4 * y) / 5, (4 * x + 3 * y) / 5))
}

/// Turned by any angle, to the nearest micrometre.
pub fn turned(job: &Job, angle: f64) -> Job {
    let (sin, cos) = angle.sin_cos();
    moved(job, |(x, y)| {
        let (x, y) = (x as f64, y as f64);
        ((x * cos - y * sin).round() as i64, (x * sin + y * cos).round() as i64)
    })
}

/// Mirrored left to right. Points keep their order, so rings run the other way round.
pub fn mirrored(job: &Job) -> Job {
    moved(job, |(x, y)| (-x, y))
}

/// Every ring begun `by` points later.
pub fn begun_later(job: &Job, by: usize) -> Job {
    let mut job = job.clone();
    for roof in &mut job.roofs {
        for boundary in std::iter::once(&mut roof.outer).chain(&mut roof.holes) {
            begin_later(boundary, by);
        }
    }
    job
}

fn begin_later(boundary: &mut Boundary, by: usize) {
    let n = boundary.points.len();
    if n == 0 {
        return;
    }
    boundary.points.rotate_left(by % n);
    if boundary.kinds.len() == n {
        boundary.kinds.rotate_left(by % n);
    }
    for room in &mut boundary.upstands {
        room.edge = (room.edge + n - by % n) % n;
    }
}
