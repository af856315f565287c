//! What must hold of a roof before it is analysed.

use super::bend::{cross, vector};
use super::outline::{MOST_HOLES, MOST_OUTLETS, open};
use super::{Boundary, Roof};
use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;
use crate::system::Limits;

/// All problems of the roof that stands at `path`.
pub(super) fn problems(roof: &Roof, _limits: &Limits, path: &str) -> Vec<Error> {
    let mut problems = Vec::new();
    let mut too_many = |found: usize, most: usize, what: &str| {
        if found > most {
            let message = format!("{found} {what}: at most {most} are taken");
            problems.push(Error::new(Code::TooMany, format!("{path}/{what}"), message));
        }
    };
    too_many(roof.holes.len(), MOST_HOLES, "holes");
    too_many(roof.outlets.len(), MOST_OUTLETS, "outlets");
    if !problems.is_empty() {
        return problems;
    }
    check_boundary(&roof.outer, true, &format!("{path}/outer"), &mut problems);
    for (i, hole) in roof.holes.iter().enumerate() {
        check_boundary(hole, false, &format!("{path}/holes/{i}"), &mut problems);
    }
    if problems.is_empty() {
        check_outlets(roof, path, &mut problems);
    }
    problems
}

fn check_boundary(boundary: &Boundary, outer: bool, path: &str, problems: &mut Vec<Error>) {
    let edges = open(&boundary.points).len();
    if edges < 3 {
        let message = format!("{edges} points: a ring has at least three");
        problems.push(Error::new(Code::TooFewPoints, format!("{path}/points"), message));
    }
    let left_out = !outer && boundary.kinds.is_empty();
    if !left_out && boundary.kinds.len() != edges {
        let message = format!("{} kinds for {edges} edges: one kind for each edge is needed", boundary.kinds.len());
        problems.push(Error::new(Code::KindCount, format!("{path}/kinds"), message));
    }
    for (i, room) in boundary.upstands.iter().enumerate() {
        if room.edge >= edges {
            let message = format!("edge {} of a ring with {edges} edges: they are numbered from 0", room.edge);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/upstands/{i}/edge"), message));
        }
    }
}

fn check_outlets(roof: &Roof, path: &str, problems: &mut Vec<Error>) {
    for (i, outlet) in roof.outlets.iter().enumerate() {
        if !outlet.diameter.is_positive() {
            let message = format!("a diameter of {} is none: more than 0 is needed", outlet.diameter);
            problems.push(Error::new(Code::OutOfRange, format!("{path}/outlets/{i}/diameter"), message));
        }
        let on_roof = encloses(open(&roof.outer.points), outlet.at)
            && !roof.holes.iter().any(|hole| encloses(open(&hole.points), outlet.at));
        if !on_roof {
            let (x, y): (Length, Length) = outlet.at.into();
            let message = format!("the outlet's centre ({x}, {y}) is not on the roof");
            problems.push(Error::new(Code::OutletOutside, format!("{path}/outlets/{i}/at"), message));
        }
    }
}

/// Whether a point lies inside a ring, by the crossings of a ray to the right; exact.
fn encloses(points: &[Point], at: Point) -> bool {
    let mut inside = false;
    for (i, &a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        if (a.y > at.y) != (b.y > at.y) {
            let left = cross(vector(a, b), vector(a, at)) > 0;
            inside ^= left == (b.y > a.y);
        }
    }
    inside
}
