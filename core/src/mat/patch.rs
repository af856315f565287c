//! Where patches lie: on corners and on trim joints.

use super::nest::{Size, squares_beside};
use super::result::{Collar, PatchPlace, PatchShape, Sleeve, StripPiece};
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::{Outline, Penetration, PenetrationKind};
use crate::system::System;
use crate::trim::{RoofTrims, TrimRun, Turn};

/// The patches of a roof: corners in their order, then joints run by run.
///
/// Corners have as many layers as the corner table says, joints as many as the system says (two layers of a hand-sized
/// square at every corner and trim joint: common practice, no source).
pub(super) fn patches(system: &System, outline: &Outline, trims: &RoofTrims) -> Vec<PatchPlace> {
    let corners = trims.corners.iter().filter(|corner| corner.patches > 0);
    let mut places: Vec<PatchPlace> = corners
        .map(|corner| PatchPlace {
            at: corner.at,
            layers: corner.patches,
            corner: true,
            shape: match corner.turn {
                Turn::Outer => PatchShape::Lapped,
                Turn::Inner => PatchShape::Opened,
                Turn::Straight => PatchShape::Square,
            },
        })
        .collect();
    let layers = system.patch.at_joint;
    if layers > 0 {
        for run in &trims.runs {
            let lap = system.trims.of(run.kind).lap;
            let along = run.joints.iter().map(|&joint| joint - run.start.gain + lap / 2);
            places.extend(along.map(|along| PatchPlace {
                at: on_run(outline, run, along),
                layers,
                ..PatchPlace::default()
            }));
        }
    }
    places
}

/// The collars of a roof: squares that reach beyond the rims of its outlets and pipes as far as the system says, and around each
/// pipe a sleeve as high as an upstand has to be above the finished roof.
pub(super) fn collars(system: &System, penetrations: &[Penetration]) -> Vec<Collar> {
    let limits = system.limits_in_force();
    let collar = |penetration: &Penetration| {
        let pipe = penetration.kind == PenetrationKind::Pipe;
        let girth = Length::from_um((penetration.diameter.um() as f64 * std::f64::consts::PI).ceil() as i64);
        let length = girth.round_up(system.cutting_increment) + system.mat.lap;
        let sleeve = Sleeve { length, height: limits.upstand + limits.build_up };
        Collar {
            at: penetration.at,
            hole: penetration.diameter,
            side: penetration.diameter + system.patch.collar * 2,
            layers: if pipe { system.patch.at_pipe } else { system.patch.at_outlet },
            sleeve: pipe.then_some(sleeve).filter(|sleeve| sleeve.height.is_positive()),
        }
    };
    penetrations.iter().map(collar).filter(|collar| collar.layers > 0).collect()
}

/// How many squares of a side there are beside ripped pieces from beside which nothing else is cut.
pub(super) fn from_offcuts<'a>(system: &System, pieces: impl Iterator<Item = &'a StripPiece> + Clone) -> u64 {
    let side = system.patch.side;
    let used: Vec<&str> = pieces.clone().filter_map(|piece| piece.beside.as_deref()).collect();
    let free = pieces.filter(|piece| piece.beside.is_none() && !used.contains(&piece.mark.as_str()));
    squares_beside(free.map(|piece| Size { length: piece.length, width: piece.width }), system.mat.width, side)
}

/// The point of the outline at a distance along a run.
fn on_run(outline: &Outline, run: &TrimRun, along: Length) -> Point {
    let points = &outline.rings[run.ring].points;
    let mut left = along;
    for edge in run.first_edge..run.first_edge + run.edge_count {
        let (from, to) = (points[edge % points.len()], points[(edge + 1) % points.len()]);
        let length = from.distance(to);
        if left <= length || edge + 1 == run.first_edge + run.edge_count {
            let part = left.um() as f64 / length.um().max(1) as f64;
            let step = |a: Length, b: Length| Length::from_um(a.um() + ((b - a).um() as f64 * part).round() as i64);
            return Point { x: step(from.x, to.x), y: step(from.y, to.y) };
        }
        left -= length;
    }
    run.to
}
