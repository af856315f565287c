//! Where to begin: rough positions by triangulation, point after point.
//!
//! Each new point is where two things known about it meet: circles of distances, lines of offsets, rays of angles.
//! Two circles meet twice, so several sets of positions are carried along (a beam), judged by how well *all*
//! measurements between placed points fit, robustly, so that one blunder does not decide. What fits equally well (a mirror
//! image) is decided by the outline, which runs counter-clockwise and does not cross itself, and by the sketch.

use super::number::{Equation, Numbered, Shape, Xy};
use crate::error::{Code, Error};

/// Sets of positions carried along.
const BEAM: usize = 64;
/// Sets handed on to the adjustment.
const KEPT: usize = 6;
/// A misfit counts at most like this many standard deviations.
const CAP: f64 = 30.0;
/// Sets that fit worse than the best by more than two blunders are given up.
const HOPELESS: f64 = 2.5 * CAP * CAP;

/// Something known about where a point lies.
#[derive(Clone, Copy)]
enum Locus {
    Circle(Xy, f64),
    Line(Xy, Xy),
}

/// One set of positions and how badly it fits.
#[derive(Clone)]
struct Set {
    at: Vec<Xy>,
    misfit: f64,
    spread: Spread,
}

/// How far the placed points lie apart. A sheet of triangles folded along a line of points fits local measurements just
/// as well as the flat one; of sets that fit alike the widest is the likeliest.
#[derive(Clone, Copy, Default)]
struct Spread {
    count: f64,
    sum: Xy,
    squares: f64,
}

impl Spread {
    fn with(mut self, point: Xy) -> Self {
        self.count += 1.0;
        self.sum = (self.sum.0 + point.0, self.sum.1 + point.1);
        self.squares += point.0 * point.0 + point.1 * point.1;
        self
    }

    fn size(self) -> f64 {
        self.squares - (self.sum.0 * self.sum.0 + self.sum.1 * self.sum.1) / self.count.max(1.0)
    }
}

/// A set with one point more, before its positions are copied.
struct Grown {
    misfit: f64,
    spread: Spread,
    /// The set it grew from.
    from: usize,
    /// Where the new point is.
    to: Xy,
}

/// The best few sets of rough positions, the best first.
pub(super) fn begin(network: &Numbered) -> Result<Vec<Vec<Xy>>, Error> {
    let count = network.names.len();
    let mut of_point: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (i, equation) in network.equations.iter().enumerate() {
        let (points, many) = equation.points();
        for &point in &points[..many] {
            of_point[point].push(i);
        }
    }
    let mut placed = vec![false; count];
    let mut at = vec![(0.0, 0.0); count];
    for point in 0..count {
        if let Some(known) = network.fixed[point] {
            placed[point] = true;
            at[point] = known;
        }
    }
    let (first, second) = base(network, &placed);
    if !placed.iter().any(|&done| done) {
        placed[first] = true;
        at[first] = network.sketch[first].unwrap_or((0.0, 0.0));
    }
    if placed.iter().filter(|&&done| done).count() == 1 {
        let from = placed.iter().position(|&done| done).expect("one is placed");
        let other = if from == first { second } else { first };
        let apart = network.equations.iter().find_map(|equation| match equation.shape {
            Shape::Distance(a, b) if (a, b) == (from, other) || (a, b) == (other, from) => Some(equation.value),
            _ => None,
        });
        at[other] = match (network.sketch[from], network.sketch[other]) {
            (Some(a), Some(b)) => (at[from].0 + b.0 - a.0, at[from].1 + b.1 - a.1),
            _ => (at[from].0 + apart.unwrap_or(1_000.0), at[from].1),
        };
        placed[other] = true;
    }

    let spread = (0..count).filter(|&p| placed[p]).fold(Spread::default(), |spread, p| spread.with(at[p]));
    let mut beam = vec![Set { at, misfit: 0.0, spread }];
    let mut judged_by = 0usize;
    let mut loci_of: Vec<usize> = (0..count).map(|p| countable(network, &of_point[p], p, &placed)).collect();
    while let Some(next) = (0..count).filter(|&p| !placed[p]).max_by_key(|&p| (loci_of[p], std::cmp::Reverse(p))) {
        if loci_of[next] < 2 && network.sketch[next].is_none() {
            return Err(floating(network, &placed, next));
        }
        placed[next] = true;
        let equations: Vec<&Equation> = settled(network, &of_point[next], &placed).collect();
        let mut grown: Vec<Grown> = Vec::new();
        for (from, set) in beam.iter_mut().enumerate() {
            let before = grown.len();
            for candidate in candidates(network, &of_point[next], next, set, &placed) {
                set.at[next] = candidate;
                settle(&equations, next, &mut set.at);
                // What settles in one place is one candidate; else copies of one set would fill the beam.
                let to = set.at[next];
                let known = |other: &Grown| (other.to.0 - to.0).abs() + (other.to.1 - to.1).abs() < 0.5;
                if grown[before..].iter().any(known) {
                    continue;
                }
                let more: f64 = equations.iter().map(|equation| cost(equation, &set.at)).sum();
                grown.push(Grown { misfit: set.misfit + more, spread: set.spread.with(to), from, to });
            }
        }
        judged_by += equations.len();
        let least = grown.iter().map(|set| set.misfit).fold(f64::INFINITY, f64::min);
        grown.retain(|set| set.misfit <= least + HOPELESS);
        // Misfits that differ by no more than chance are alike.
        let chance = chance(judged_by);
        let alike = |misfit: f64| ((misfit - least) / chance) as u64;
        grown.sort_by(|a, b| alike(a.misfit).cmp(&alike(b.misfit)).then(b.spread.size().total_cmp(&a.spread.size())));
        // Positions are copied only for the sets that stay in the running.
        beam = grown
            .into_iter()
            .take(BEAM)
            .map(|Grown { misfit, spread, from, to }| {
                let mut at = beam[from].at.clone();
                at[next] = to;
                Set { at, misfit, spread }
            })
            .collect();
        for &equation in &of_point[next] {
            let (points, many) = network.equations[equation].points();
            for &point in &points[..many] {
                loci_of[point] = countable(network, &of_point[point], point, &placed);
            }
        }
    }
    // Judge the finished sets: what fits alike is decided by the outline and the sketch, then by spread.
    let least = beam.iter().map(|set| set.misfit).fold(f64::INFINITY, f64::min);
    let chance = chance(judged_by);
    let mut judged: Vec<_> = beam
        .into_iter()
        .map(|set| {
            let key = (((set.misfit - least) / chance) as u64, faults(network, &set.at));
            (key, set)
        })
        .collect();
    judged.sort_by(|(key, set), (other_key, other)| {
        key.cmp(other_key).then(other.spread.size().total_cmp(&set.spread.size()))
    });
    Ok(judged.into_iter().take(KEPT).map(|(_, set)| set.at).collect())
}

/// The two points to begin from when none is fixed: the outline's first side, or else the first distance.
pub(super) fn base(network: &Numbered, fixed: &[bool]) -> (usize, usize) {
    if let Some(known) = fixed.iter().position(|&yes| yes) {
        let partner = network.equations.iter().find_map(|equation| match equation.shape {
            Shape::Distance(a, b) if a == known => Some(b),
            Shape::Distance(a, b) if b == known => Some(a),
            _ => None,
        });
        return (known, partner.unwrap_or(usize::from(known == 0)));
    }
    if let [first, second, ..] = network.outline[..] {
        return (first, second);
    }
    let side = network.equations.iter().find_map(|equation| match equation.shape {
        Shape::Distance(a, b) => Some((a, b)),
        _ => None,
    });
    side.unwrap_or((0, 1))
}

fn floating(network: &Numbered, placed: &[bool], best: usize) -> Error {
    let names: Vec<&str> =
        (0..network.names.len()).filter(|&p| !placed[p]).map(|p| network.names[p].as_str()).take(8).collect();
    let text = format!(
        "point {} floats: nothing, or one thing only, ties it to the points before it (not placed: {}); measure another diagonal or offset, or give a sketch position",
        network.names[best],
        names.join(", ")
    );
    Error::new(Code::FloatingPoint, "/measurements", text)
}

/// The equations of a point all of whose points are placed.
fn settled<'a>(network: &'a Numbered, of: &'a [usize], placed: &'a [bool]) -> impl Iterator<Item = &'a Equation> {
    of.iter().map(|&i| &network.equations[i]).filter(|equation| {
        let (points, many) = equation.points();
        points[..many].iter().all(|&p| placed[p])
    })
}

/// Moves one point to where all that ties it to placed points fits best, so that errors do not build up along a chain of
/// triangles. What fits worse than the cap does not pull.
fn settle(equations: &[&Equation], point: usize, at: &mut [Xy]) {
    if equations.len() < 3 {
        return;
    }
    for _ in 0..4 {
        let (mut xx, mut xy, mut yy, mut right_x, mut right_y) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for equation in equations {
            let misfit = equation.misfit(at) / equation.sd;
            if misfit.abs() > CAP {
                continue;
            }
            let (slopes, many) = equation.slopes(at);
            for &(of, by_x, by_y) in &slopes[..many] {
                if of == point {
                    let (a, b) = (by_x / equation.sd, by_y / equation.sd);
                    xx += a * a;
                    xy += a * b;
                    yy += b * b;
                    right_x += a * misfit;
                    right_y += b * misfit;
                }
            }
        }
        let det = xx * yy - xy * xy;
        // Nearly one direction only: leave the point on its loci.
        if det <= 1e-4 * xx * yy {
            return;
        }
        at[point].0 += (yy * right_x - xy * right_y) / det;
        at[point].1 += (xx * right_y - xy * right_x) / det;
    }
}

fn cost(equation: &Equation, at: &[Xy]) -> f64 {
    let deviations = (equation.misfit(at).abs() / equation.sd).min(CAP);
    deviations * deviations
}

/// How many loci the placed points give for a point.
fn countable(network: &Numbered, of: &[usize], point: usize, placed: &[bool]) -> usize {
    of.iter()
        .filter(|&&i| {
            let equation = &network.equations[i];
            let (points, many) = equation.points();
            let others = points[..many].iter().all(|&p| p == point || placed[p]);
            others && !matches!(equation.shape, Shape::Angle(p, ..) if p == point) && !is_line_end(equation, point)
        })
        .count()
}

/// An end of an offset's base line is bound by the offset, but not to a circle or line.
fn is_line_end(equation: &Equation, point: usize) -> bool {
    matches!(equation.shape, Shape::Offset(p, ..) if p != point)
}

fn locus(equation: &Equation, point: usize, at: &[Xy]) -> Option<Locus> {
    let toward = |a: Xy, b: Xy| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let far = (dx * dx + dy * dy).sqrt().max(1e-6);
        (dx / far, dy / far)
    };
    match equation.shape {
        Shape::Distance(a, b) => Some(Locus::Circle(at[if a == point { b } else { a }], equation.value)),
        Shape::Offset(p, a, b) if p == point => {
            let along = toward(at[a], at[b]);
            let from = (at[a].0 - along.1 * equation.value, at[a].1 + along.0 * equation.value);
            Some(Locus::Line(from, along))
        }
        Shape::Offset(..) => None,
        Shape::Angle(corner, a, b) | Shape::Square(corner, a, b) if corner != point => {
            let (arm, turn) = if b == point { (a, equation.value) } else { (b, -equation.value) };
            let along = toward(at[corner], at[arm]);
            let (sin, cos) = libm::sincos(turn);
            Some(Locus::Line(at[corner], (along.0 * cos - along.1 * sin, along.0 * sin + along.1 * cos)))
        }
        // Thales: the corner lies on the circle over its arms' ends.
        Shape::Square(_, a, b) => {
            let (p, q) = (at[a], at[b]);
            let middle = ((p.0 + q.0) / 2.0, (p.1 + q.1) / 2.0);
            let (dx, dy) = (p.0 - middle.0, p.1 - middle.1);
            Some(Locus::Circle(middle, (dx * dx + dy * dy).sqrt()))
        }
        Shape::Angle(..) => None,
    }
}

/// Where the point may be: meetings of the loci that cross best, and its place on the sketch.
fn candidates(network: &Numbered, of: &[usize], point: usize, set: &Set, placed: &[bool]) -> Vec<Xy> {
    // Enough to outvote a blunder, few enough to try all pairs.
    let loci: Vec<Locus> = settled(network, of, placed).filter_map(|e| locus(e, point, &set.at)).take(6).collect();
    let mut found: Vec<Xy> = network.sketch[point].into_iter().collect();
    for (i, &one) in loci.iter().enumerate() {
        for &other in &loci[i + 1..] {
            found.extend(meet(one, other));
        }
    }
    found.dedup_by(|a, b| (a.0 - b.0).abs() + (a.1 - b.1).abs() < 1e-3);
    if found.is_empty() {
        // Parallel lines or coinciding circles: begin anywhere on the first, the adjustment or the rank test decides.
        found.push(match loci.first() {
            Some(&Locus::Circle(centre, radius)) => (centre.0 + radius, centre.1),
            Some(&Locus::Line(from, along)) => (from.0 + along.0 * 1_000.0, from.1 + along.1 * 1_000.0),
            None => (0.0, 0.0),
        });
    }
    found
}

fn meet(one: Locus, other: Locus) -> Vec<Xy> {
    match (one, other) {
        (Locus::Circle(a, r), Locus::Circle(b, s)) => {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let apart = (dx * dx + dy * dy).sqrt();
            if apart < 1e-6 {
                return Vec::new();
            }
            let along = (r * r - s * s + apart * apart) / (2.0 * apart);
            // Circles that miss each other by an error still say where the point is nearest.
            let aside = (r * r - along * along).max(0.0).sqrt();
            let (ux, uy) = (dx / apart, dy / apart);
            let foot = (a.0 + along * ux, a.1 + along * uy);
            vec![(foot.0 - aside * uy, foot.1 + aside * ux), (foot.0 + aside * uy, foot.1 - aside * ux)]
        }
        (Locus::Circle(centre, radius), Locus::Line(from, along))
        | (Locus::Line(from, along), Locus::Circle(centre, radius)) => {
            let to = (centre.0 - from.0, centre.1 - from.1);
            let foot = to.0 * along.0 + to.1 * along.1;
            let aside = to.0 * along.1 - to.1 * along.0;
            let half = (radius * radius - aside * aside).max(0.0).sqrt();
            [foot + half, foot - half].map(|t| (from.0 + t * along.0, from.1 + t * along.1)).to_vec()
        }
        (Locus::Line(from, along), Locus::Line(start, way)) => {
            let det = along.0 * way.1 - along.1 * way.0;
            if det.abs() < 1e-6 {
                return Vec::new();
            }
            let to = (start.0 - from.0, start.1 - from.1);
            let t = (to.0 * way.1 - to.1 * way.0) / det;
            vec![(from.0 + t * along.0, from.1 + t * along.1)]
        }
    }
}

/// What sums of squares of this many measurements differ by without meaning anything.
pub(super) fn chance(measurements: usize) -> f64 {
    10.0 + 3.0 * (2.0 * measurements as f64).sqrt()
}

/// How implausible positions are, whatever the measurements say: faults of the outline, then triples off the sketch.
pub(super) fn faults(network: &Numbered, at: &[Xy]) -> (u32, usize) {
    (outline_faults(&network.outline, at), off_sketch(network, at))
}

/// 1 for an outline that runs clockwise, and 2 for one that crosses itself or turns back on itself.
fn outline_faults(outline: &[usize], at: &[Xy]) -> u32 {
    if outline.len() < 3 {
        return 0;
    }
    let point = |i: usize| at[outline[i % outline.len()]];
    let side = |a: Xy, b: Xy, c: Xy| (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
    let first = point(0);
    let area: f64 = (1..outline.len()).map(|i| side(first, point(i), point(i + 1))).sum();
    let mut faults = u32::from(area < 0.0);
    // Sharper than 3 degrees: a point in line that was put on the wrong side of its neighbour.
    let folds = |i: usize| {
        let (a, b, c) = (point(i), point(i + 1), point(i + 2));
        let dot = (b.0 - a.0) * (c.0 - b.0) + (b.1 - a.1) * (c.1 - b.1);
        dot < 0.0 && side(a, b, c).abs() < 0.05 * -dot
    };
    if (0..outline.len()).any(folds) {
        return faults + 2;
    }
    // All pairs: enough for outlines that people measure by tape.
    if outline.len() <= 400 {
        let crosses = |i: usize, j: usize| {
            let (a, b, c, d) = (point(i), point(i + 1), point(j), point(j + 1));
            side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
        };
        let n = outline.len();
        if (0..n).any(|i| (i + 2..n).any(|j| (i, j) != (0, n - 1) && crosses(i, j))) {
            faults += 2;
        }
    }
    faults
}

/// How far the positions' turn senses are from the sketch's: count of triples seen from the other side.
fn off_sketch(network: &Numbered, at: &[Xy]) -> usize {
    let known: Vec<usize> = (0..at.len()).filter(|&p| network.sketch[p].is_some()).collect();
    let side = |a: Xy, b: Xy, c: Xy| (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
    let mut odd = 0;
    for triple in known.windows(3) {
        let drawn = |p: usize| network.sketch[p].expect("only sketched points are listed");
        let sketched = side(drawn(triple[0]), drawn(triple[1]), drawn(triple[2]));
        if sketched * side(at[triple[0]], at[triple[1]], at[triple[2]]) < 0.0 {
            odd += 1;
        }
    }
    odd
}
