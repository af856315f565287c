//! What must hold of a roof before it is analysed.

use std::collections::BTreeSet;

use super::outline::{MOST_HOLES, MOST_OUTLETS, MOST_PIPES};
use super::{Boundary, PenetrationKind, Roof};
use crate::error::{Code, Error};
use crate::geometry::{self, Polygon, Ring, RingLimits, Side};
use crate::length::Length;
use crate::system::Limits;

/// Far taller than any wall beside a flat roof.
const TALLEST_WALL: Length = Length::from_mm(1_000_000);
/// What is wider is a hole with a kerb.
const WIDEST_PIPE: Length = Length::from_mm(2_000);

/// All problems of the roof that stands at `path`.
pub(super) fn problems(roof: &Roof, limits: &Limits, path: &str) -> Vec<Error> {
    let mut problems = Vec::new();
    let mut too_many = |found: usize, most: usize, what: &str| {
        if found > most {
            let message = format!("{found} {what}: at most {most} are taken");
            problems.push(Error::new(Code::TooMany, format!("{path}/{what}"), message));
        }
    };
    too_many(roof.holes.len(), MOST_HOLES, "holes");
    too_many(roof.outlets.len(), MOST_OUTLETS, "outlets");
    too_many(roof.pipes.len(), MOST_PIPES, "pipes");
    if !problems.is_empty() {
        return problems;
    }
    let ring = |boundary: &Boundary| Ring::new(boundary.points.clone());
    let polygon = Polygon { outer: ring(&roof.outer), holes: roof.holes.iter().map(ring).collect() };
    let ring_limits = RingLimits { points: limits.most_points, least_edge: limits.least_edge, ..RingLimits::default() };
    problems.extend(geometry::check(&polygon, &ring_limits, path));
    let sound = problems.is_empty();
    check_boundary(&roof.outer, polygon.outer.len(), true, &format!("{path}/outer"), &mut problems);
    for (i, (hole, ring)) in roof.holes.iter().zip(&polygon.holes).enumerate() {
        check_boundary(hole, ring.len(), false, &format!("{path}/holes/{i}"), &mut problems);
    }
    check_penetrations(roof, sound.then_some(&polygon), path, &mut problems);
    problems
}

fn check_boundary(boundary: &Boundary, edges: usize, outer: bool, path: &str, problems: &mut Vec<Error>) {
    let left_out = !outer && boundary.kinds.is_empty();
    if !left_out && boundary.kinds.len() != edges {
        let message = format!("{} kinds for {edges} edges: one kind for each edge is needed", boundary.kinds.len());
        problems.push(Error::new(Code::KindCount, format!("{path}/kinds"), message));
    }
    if !boundary.levels.is_empty() && boundary.levels.len() != edges {
        let message = format!("{} levels for {edges} points: one for each point, or none", boundary.levels.len());
        problems.push(Error::new(Code::LevelCount, format!("{path}/levels"), message));
    }
    let mut chosen = BTreeSet::new();
    for (i, choice) in boundary.corners.iter().enumerate() {
        if choice.point >= edges {
            let message = format!("point {} of a ring with {edges} points: they are numbered from 0", choice.point);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/corners/{i}/point"), message));
        } else if !chosen.insert(choice.point) {
            let message = format!("point {} has a choice already: one for each corner", choice.point);
            problems.push(Error::new(Code::BadValue, format!("{path}/corners/{i}/point"), message));
        }
    }
    for (i, wall) in boundary.walls.iter().enumerate() {
        if wall.edge >= edges {
            let message = format!("edge {} of a ring with {edges} edges: they are numbered from 0", wall.edge);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/walls/{i}/edge"), message));
        }
        if wall.height.is_negative() || wall.height > TALLEST_WALL {
            let message = format!("{} is not the height of a wall: from 0 to {TALLEST_WALL}", wall.height);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/walls/{i}/height"), message));
        }
    }
    for (i, room) in boundary.upstands.iter().enumerate() {
        if room.edge >= edges {
            let message = format!("edge {} of a ring with {edges} edges: they are numbered from 0", room.edge);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/upstands/{i}/edge"), message));
        }
    }
}

/// Where an outlet or a pipe lies can be said only of sound rings.
fn check_penetrations(roof: &Roof, polygon: Option<&Polygon>, path: &str, problems: &mut Vec<Error>) {
    for penetration in roof.penetrations() {
        let (kind, own) = (penetration.kind.word(), format!("{path}/{}", penetration.path()));
        let is_pipe = penetration.kind == PenetrationKind::Pipe;
        if polygon.is_some_and(|polygon| polygon.locate(penetration.at) != Side::Inside) {
            let code = if is_pipe { Code::PipeOutside } else { Code::OutletOutside };
            let (x, y) = (penetration.at.x, penetration.at.y);
            let message = format!("the {kind}'s centre ({x}, {y}) is not on the roof");
            problems.push(Error::new(code, format!("{own}/at"), message));
        }
        let diameter = penetration.diameter;
        if !diameter.is_positive() {
            let message = format!("a diameter of {diameter} is none: more than 0 is needed");
            problems.push(Error::new(Code::OutOfRange, format!("{own}/diameter"), message));
        } else if is_pipe && diameter > WIDEST_PIPE {
            let message =
                format!("a diameter of {diameter} is no pipe's: up to {WIDEST_PIPE}; give a wider one as a hole");
            problems.push(Error::new(Code::OutOfRange, format!("{own}/diameter"), message));
        }
    }
    for (i, height) in roof.pipes.iter().enumerate().filter_map(|(i, pipe)| Some((i, pipe.height?))) {
        if height.is_negative() || height > TALLEST_WALL {
            let message = format!("{height} is not the height of a pipe: from 0 to {TALLEST_WALL}");
            problems.push(Error::new(Code::OutOfRange, format!("{path}/pipes/{i}/height"), message));
        }
    }
}
