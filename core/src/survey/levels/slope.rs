//! Slopes: neighbouring triangles that fall alike.

use super::surface::Surface;
use super::{Slope, digits};
use crate::geometry::Point;
use crate::length::Length;

/// Triangles whose gradients differ by more belong to two slopes: 1 in 200.
const ALIKE: f64 = 0.005;

/// A slope and the triangle that holds its middle.
pub(super) struct Found {
    pub(super) slope: Slope,
    pub(super) face: usize,
}

/// The slopes of a surface, the largest first. Each grows from the largest triangle that is left, over sides, to triangles
/// whose gradient is the first one's but for [`ALIKE`].
pub(super) fn slopes(surface: &Surface) -> Vec<Found> {
    let count = surface.faces.len();
    let areas: Vec<f64> = (0..count).map(|face| surface.face_area(face)).collect();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| areas[b].total_cmp(&areas[a]).then(a.cmp(&b)));
    let mut taken = vec![false; count];
    let mut found = Vec::new();
    for seed in order {
        if taken[seed] {
            continue;
        }
        taken[seed] = true;
        let (sx, sy) = surface.gradient(seed);
        let mut members = vec![seed];
        let mut next = 0;
        while let Some(&face) = members.get(next) {
            next += 1;
            for neighbour in surface.across[face].iter().flatten().copied() {
                let (gx, gy) = surface.gradient(neighbour);
                let off = (gx - sx) * (gx - sx) + (gy - sy) * (gy - sy);
                if !taken[neighbour] && off <= ALIKE * ALIKE {
                    taken[neighbour] = true;
                    members.push(neighbour);
                }
            }
        }
        found.push(describe(surface, &areas, &members));
    }
    found.sort_by(|a, b| b.slope.area_m2.total_cmp(&a.slope.area_m2).then(a.slope.middle.cmp(&b.slope.middle)));
    found
}

/// Fall and direction are those of the mean gradient, by area.
fn describe(surface: &Surface, areas: &[f64], members: &[usize]) -> Found {
    let (mut area, mut gx, mut gy) = (0.0, 0.0, 0.0);
    for &face in members {
        let (x, y) = surface.gradient(face);
        (area, gx, gy) = (area + areas[face], gx + areas[face] * x, gy + areas[face] * y);
    }
    (gx, gy) = (gx / area, gy / area);
    let steep = (gx * gx + gy * gy).sqrt();
    let downhill = if steep > 1e-9 { (-gx / steep, -gy / steep) } else { (0.0, 0.0) };
    let face = members.first().copied().unwrap_or(0);
    let (x, y) = middle(surface, face);
    let place = |mm: f64, from: Length| Length::from_um(from.um().saturating_add((mm * 1e3).round() as i64));
    let slope = Slope {
        area_m2: digits(area / 1e6, 1e4),
        fall: digits(steep, 1e6),
        downhill: (digits(downhill.0, 1e6), digits(downhill.1, 1e6)),
        backward: false,
        middle: Point { x: place(x, surface.at[0].x), y: place(y, surface.at[0].y) },
    };
    Found { slope, face }
}

/// The middle of a triangle, in millimetres from the first vertex.
pub(super) fn middle(surface: &Surface, face: usize) -> (f64, f64) {
    let [a, b, c] = surface.faces[face].map(|corner| surface.xy(corner));
    ((a.0 + b.0 + c.0) / 3.0, (a.1 + b.1 + c.1) / 3.0)
}
