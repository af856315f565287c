//! Where bands end at the corners of a polygon.

use super::MITRE_LIMIT;
use crate::geometry::point::{Point, Vector, cross, dot};
use crate::length::Length;

/// A vector in micrometres, or a unit vector.
pub(super) type Way = (f64, f64);

/// A corner and where the bands of its two edges end.
#[derive(Clone, Copy)]
pub(super) struct Corner {
    pub(super) at: Point,
    /// End of the band of the edge that arrives, from the corner, in micrometres.
    pub(super) arriving: Gate,
    /// End of the band of the edge that leaves.
    pub(super) leaving: Gate,
    /// Whether both end on one line.
    pub(super) shared: bool,
}

/// The end of a band at one corner, seen from the corner.
#[derive(Clone, Copy)]
pub(super) struct Gate {
    /// Where the line that the end glides on ends.
    pub(super) reach: Way,
    /// On the moved edge, the other corner of a needle's mitre that is cut off.
    pub(super) cut: Option<Way>,
    /// On the moved edge, where it meets the other band's moved edge inside both bands.
    pub(super) mitre: Option<Way>,
}

impl Corner {
    pub(super) fn new(before: Point, at: Point, after: Point, arriving: Length, leaving: Length) -> Corner {
        let (a, b) = (Vector::between(before, at), Vector::between(at, after));
        let lengths = a.length() * b.length();
        let turn = Turn { sine: cross(a, b) as f64 / lengths, cosine: dot(a, b) as f64 / lengths };
        let units = (a.unit(), b.unit());
        let depths = (arriving.um() as f64, leaving.um() as f64);
        if turn.sine > 0.0 { Corner::outward(at, units, depths, turn) } else { Corner::inward(at, units, depths, turn) }
    }

    fn outward(at: Point, (a, b): (Way, Way), (d_a, d_b): (f64, f64), turn: Turn) -> Corner {
        let limit = MITRE_LIMIT * d_a.max(d_b);
        // How far past the corner each moved edge meets the other's line: at most one of the two is positive.
        let past = |own: f64, other: f64| (own * turn.cosine - other) / turn.sine;
        let (past_a, past_b) = (past(d_a, d_b), past(d_b, d_a));
        let mitre = add(scale(left(a), d_a), scale(a, past_a));
        let far = past_a.max(past_b) > 0.0 && inner(mitre, mitre) > limit * limit;
        let gate = |inward, depth, past: f64| match past > 0.0 {
            true if !far => Gate::at(mitre),
            true => Gate::at(scale(inward, depth)),
            false => Gate { mitre: (!far).then_some(mitre), ..Gate::at(scale(inward, depth)) },
        };
        Corner { at, arriving: gate(left(a), d_a, past_a), leaving: gate(left(b), d_b, past_b), shared: false }
    }

    fn inward(at: Point, (a, b): (Way, Way), (d_a, d_b): (f64, f64), turn: Turn) -> Corner {
        let limit = MITRE_LIMIT * d_a.max(d_b);
        let corner = |arriving, leaving| Corner { at, arriving, leaving, shared: true };
        // How far past the corner the lines of the moved edges intersect, along the edge that arrives.
        let difference = d_a - d_b;
        let step = if difference.abs() > 0.0 { difference / turn.sine } else { 0.0 };
        let past = step - d_a * turn.tangent_of_half();
        if d_a * d_a + past * past <= limit * limit {
            let mitre = Gate::at(add(scale(left(a), d_a), scale(a, past)));
            return corner(mitre, mitre);
        }
        if turn.cosine >= 0.0 {
            let bisector = add(left(a), left(b));
            let along = |depth: f64| Gate::at(scale(bisector, depth / (1.0 + turn.cosine)));
            return corner(along(d_a), along(d_b));
        }
        // The bisector of a needle points straight ahead.
        let ahead = add(a, scale(b, -1.0));
        let ahead = scale(ahead, 1.0 / inner(ahead, ahead).sqrt());
        let cut = |inward, along, depth: f64| {
            let foot = scale(inward, depth);
            let rest = limit - inner(foot, ahead);
            add(foot, scale(along, rest / inner(along, ahead)))
        };
        let gate = |cut| Gate { cut: Some(cut), ..Gate::at(scale(ahead, limit)) };
        corner(gate(cut(left(a), a, d_a)), gate(cut(left(b), scale(b, -1.0), d_b)))
    }
}

/// Sine and cosine of the turn at a corner.
#[derive(Clone, Copy)]
struct Turn {
    sine: f64,
    cosine: f64,
}

impl Turn {
    /// See [`tan_half_turn`](crate::geometry::tan_half_turn).
    fn tangent_of_half(self) -> f64 {
        if self.cosine >= 0.0 { self.sine / (1.0 + self.cosine) } else { (1.0 - self.cosine) / self.sine }
    }
}

impl Gate {
    fn at(reach: Way) -> Gate {
        Gate { reach, cut: None, mitre: None }
    }
}

/// A quarter turn to the left.
pub(super) fn left(a: Way) -> Way {
    (-a.1, a.0)
}

pub(super) fn add(a: Way, b: Way) -> Way {
    (a.0 + b.0, a.1 + b.1)
}

pub(super) fn scale(a: Way, by: f64) -> Way {
    (a.0 * by, a.1 * by)
}

pub(super) fn inner(a: Way, b: Way) -> f64 {
    a.0 * b.0 + a.1 * b.1
}
