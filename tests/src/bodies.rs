//! The two trims of a corner as bodies in space, from a plan's marks and notches alone: how far apart their cut ends are,
//! whether they clash, and whether more was notched away than would clash.
//!
//! Nothing here knows how a mitre or a notch is worked out. Each facet is a slab as thick as the material, up to the plane
//! that the mark lies in, less its notches: a few convex bodies, whose deepest common point is found among their planes.

use upstand::geometry::Point;
use upstand::roof::OutlineRing;
use upstand::system::{EndCut, Section};
use upstand::trim::{Corner, EndTemplate, RunEnd, SetOut, TrimRun, Turn};
use upstand::{Job, Kind, Length};

type V3 = [f64; 3];

/// How far back from the corner bodies are looked at, in millimetres: further than sections reach.
const BACK: f64 = 5_000.0;
/// Bodies that share no more than this depth, in millimetres, are taken to touch: outlines are given to the micrometre.
const LEAST: f64 = 0.001;

/// The half space `n . p <= c`, with `n` of length 1.
type Plane = (V3, f64);

/// Whether some point within one convex body lies in the other by at least `depth`. Both are bounded, so what they share
/// has a vertex, on three of their planes.
fn share(one: &[Plane], other: &[Plane], depth: f64) -> bool {
    let smaller = |by: f64| move |&(normal, height): &Plane| (normal, height - by);
    let planes: Vec<Plane> = one.iter().map(smaller(LEAST)).chain(other.iter().map(smaller(depth))).collect();
    let inside = |p: V3| planes.iter().all(|&(normal, height)| dot(normal, p) <= height + 1e-7);
    (0..planes.len()).any(|i| {
        (i + 1..planes.len()).any(|j| {
            let line = cross(planes[i].0, planes[j].0);
            dot(line, line) > 1e-18
                && (j + 1..planes.len()).any(|k| {
                    let volume = dot(line, planes[k].0);
                    if volume.abs() < 1e-10 {
                        return false;
                    }
                    let (ca, bc) = (cross(planes[k].0, planes[i].0), cross(planes[j].0, planes[k].0));
                    let sum = plus(plus(line.map(|part| part * planes[k].1), ca, planes[j].1), bc, planes[i].1);
                    inside(sum.map(|part| part / volume))
                })
        })
    })
}

fn plus(a: V3, b: V3, times: f64) -> V3 {
    [0, 1, 2].map(|i| a[i] + b[i] * times)
}

fn dot(a: V3, b: V3) -> f64 {
    (0..3).map(|i| a[i] * b[i]).sum()
}

fn cross(a: V3, b: V3) -> V3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(a: V3) -> V3 {
    a.map(|part| part / dot(a, a).sqrt())
}

fn distance(a: V3, b: V3) -> f64 {
    let apart = plus(a, b, -1.0);
    dot(apart, apart).sqrt()
}

/// The largest found of each measure over some corners, in millimetres.
#[derive(Clone, Copy, Debug, Default)]
pub struct Measured {
    /// Corners where both ends are mitred.
    pub mitred: usize,
    /// Of which two unlike trims meet.
    pub unlike: usize,
    /// Corners where one trim runs through and the other stops.
    pub stopped: usize,
    /// Of which one lies over the other.
    pub lapped: usize,
    /// Of which one is cut on the skew.
    pub skewed: usize,
    /// Corners of kerbs.
    pub kerbs: usize,
    /// Of which the sides fall.
    pub falling_kerbs: usize,
    /// Notches.
    pub notches: usize,
    /// How far cut ends lie from the plane that bisects their corner.
    pub off_plane: f64,
    /// How far apart points of the two cut ends are that should be one: all of two like trims, the common part of the deck
    /// flanges of two unlike ones.
    pub apart: f64,
    /// How deep the deepest point of one body, as cut, lies inside the other.
    pub clash: f64,
    /// How far the edge of a notch lies from the other body, where it is furthest.
    pub spare: f64,
}

impl Measured {
    /// Takes in what was measured elsewhere.
    pub fn add(&mut self, other: &Measured) {
        self.mitred += other.mitred;
        self.unlike += other.unlike;
        self.stopped += other.stopped;
        self.lapped += other.lapped;
        self.skewed += other.skewed;
        self.kerbs += other.kerbs;
        self.falling_kerbs += other.falling_kerbs;
        self.notches += other.notches;
        self.clash = self.clash.max(other.clash);
        self.off_plane = self.off_plane.max(other.off_plane);
        self.apart = self.apart.max(other.apart);
        self.spare = self.spare.max(other.spare);
    }
}

/// One trim at a corner: its axis runs towards the corner, its outside lies along `out`.
struct Body {
    kind: Kind,
    points: Vec<(f64, f64)>,
    girth: Vec<f64>,
    thickness: f64,
    axis: V3,
    out: V3,
    up: V3,
    mark: Vec<f64>,
    /// How far it reaches beyond the corner at outward offset `u`: `end.0 * u + end.1`.
    end: (f64, f64),
    notches: Vec<(usize, Vec<(f64, f64)>)>,
}

impl Body {
    fn place(&self, along: f64, (u, v): (f64, f64)) -> V3 {
        plus(plus(plus([0.0; 3], self.axis, along), self.out, u), self.up, v)
    }

    fn facet(&self, i: usize) -> ((f64, f64), (f64, f64), f64) {
        let (p, q) = (self.points[i], self.points[i + 1]);
        let width = (q.0 - p.0).hypot(q.1 - p.1);
        (p, ((q.0 - p.0) / width, (q.1 - p.1) / width), width)
    }

    /// Outward and up at so far across a facet, so deep in the material, which lies to the right of the outer surface.
    fn inside(&self, i: usize, across: f64, deep: f64) -> (f64, f64) {
        let (p, (a, b), _) = self.facet(i);
        (p.0 + a * across + b * deep, p.1 + b * across - a * deep)
    }

    /// How far a point is outside the body, whatever its notches; negative inside.
    fn outside(&self, point: V3) -> f64 {
        let (along, u, v) = (dot(point, self.axis), dot(point, self.out), dot(point, self.up));
        let beyond = (along - self.end.0 * u - self.end.1) / (1.0 + self.end.0 * self.end.0).sqrt();
        let facets = (0..self.points.len() - 1).map(|i| {
            let (p, (a, b), width) = self.facet(i);
            let (across, deep) = ((u - p.0) * a + (v - p.1) * b, (u - p.0) * b - (v - p.1) * a);
            [-across, across - width, -deep, deep - self.thickness, beyond]
                .into_iter()
                .fold(f64::NEG_INFINITY, f64::max)
        });
        facets.fold(f64::INFINITY, f64::min)
    }

    /// The planes of facet `i`, up to the end and no further back than where the other trim can be.
    fn slab(&self, i: usize) -> Vec<Plane> {
        let (p, (a, b), width) = self.facet(i);
        let across = plus(plus([0.0; 3], self.out, a), self.up, b);
        let deep = plus(plus([0.0; 3], self.out, b), self.up, -a);
        let (from, outer) = (p.0 * a + p.1 * b, p.0 * b - p.1 * a);
        let norm = (1.0 + self.end.0 * self.end.0).sqrt();
        let end = plus(self.axis, self.out, -self.end.0).map(|part| part / norm);
        let back = self.axis.map(|part| -part);
        vec![
            (across.map(|part| -part), -from),
            (across, from + width),
            (deep.map(|part| -part), -outer),
            (deep, outer + self.thickness),
            (end, self.end.1 / norm),
            (back, BACK),
        ]
    }

    /// What is left of facet `i` beside its notches, as convex bodies.
    fn left(&self, i: usize) -> Vec<Vec<Plane>> {
        let slab = self.slab(i);
        let (p, (a, b), width) = self.facet(i);
        let across = plus(plus([0.0; 3], self.out, a), self.up, b);
        let at = |girth: f64| girth - self.girth[i] + p.0 * a + p.1 * b;
        let outlines: Vec<&Vec<(f64, f64)>> =
            self.notches.iter().filter(|(of, _)| *of == i).map(|(_, outline)| outline).collect();
        let mut stations: Vec<f64> = outlines.iter().flat_map(|outline| outline.iter().map(|point| point.0)).collect();
        stations.extend([self.girth[i], self.girth[i] + width]);
        stations.sort_by(f64::total_cmp);
        let mut parts = Vec::new();
        for pair in stations.windows(2).filter(|pair| pair[0] < pair[1]) {
            let strip = [(across.map(|part| -part), -at(pair[0])), (across, at(pair[1]))];
            // The sides of outlines that run through the strip, as slope and height at its middle, but for those on the end:
            // beyond them nothing is left, though a bevelled end reaches further on the hidden side.
            let middle = (pair[0] + pair[1]) / 2.0;
            let on_end = |at: &(f64, f64)| {
                let share = (at.0 - self.girth[i]) / width;
                (self.mark[i] + share * (self.mark[i + 1] - self.mark[i]) - at.1).abs() < 0.003
            };
            let sides = outlines.iter().flat_map(|outline| {
                outline.iter().zip(outline.iter().cycle().skip(1)).filter_map(|(a, b)| {
                    if on_end(a) && on_end(b) {
                        return None;
                    }
                    let (low, high) = if a.0 < b.0 { (a, b) } else { (b, a) };
                    let slope = (high.1 - low.1) / (high.0 - low.0);
                    (low.0 < middle && middle < high.0).then_some((slope, low.1 + slope * (middle - low.0)))
                })
            });
            let mut sides: Vec<(f64, f64)> = sides.collect();
            sides.sort_by(|a, b| a.1.total_cmp(&b.1));
            // Along the strip, what is left and what is cut out take turns.
            let half_space = |side: (f64, f64), sign: f64| {
                let normal = plus(self.axis, across, -side.0).map(|part| part * sign);
                let norm = dot(normal, normal).sqrt();
                let height = (side.1 - side.0 * at(middle)) * sign;
                (normal.map(|part| part / norm), height / norm)
            };
            for k in (0..=sides.len()).step_by(2) {
                let mut part = slab.clone();
                part.extend(strip);
                part.extend(k.checked_sub(1).map(|below| half_space(sides[below], -1.0)));
                part.extend(sides.get(k).map(|above| half_space(*above, 1.0)));
                parts.push(part);
            }
        }
        parts
    }

    /// How deep the deepest point of this body, as cut, lies inside the other; 0 below `LEAST`.
    fn clash(&self, other: &Body) -> f64 {
        let slabs: Vec<Vec<Plane>> = (0..other.points.len() - 1).map(|i| other.slab(i)).collect();
        let mut deepest = 0.0_f64;
        for i in 0..self.points.len() - 1 {
            let own = self.slab(i);
            let near: Vec<&Vec<Plane>> = slabs.iter().filter(|slab| share(&own, slab, LEAST)).collect();
            if near.is_empty() {
                continue;
            }
            for (part, slab) in self.left(i).iter().flat_map(|part| near.iter().map(move |slab| (part, slab))) {
                if share(part, slab, LEAST.max(deepest)) {
                    let (mut low, mut high) = (LEAST.max(deepest), other.thickness);
                    for _ in 0..16 {
                        let middle = (low + high) / 2.0;
                        if share(part, slab, middle) { low = middle } else { high = middle }
                    }
                    deepest = low;
                }
            }
        }
        deepest
    }

    /// How far the clash side of the notches lies from the other body, at most.
    fn spare(&self, other: &Body) -> f64 {
        let mut worst = 0.0_f64;
        for (facet, outline) in &self.notches {
            // The last two points lie on the end.
            for pair in outline[..outline.len().saturating_sub(2)].windows(2).filter(|pair| pair[1].0 > pair[0].0) {
                let (girth, along) = ((pair[0].0 + pair[1].0) / 2.0, (pair[0].1 + pair[1].1) / 2.0);
                let gap = |part: f64| {
                    let deep = self.thickness * part;
                    other.outside(self.place(along, self.inside(*facet, girth - self.girth[*facet], deep)))
                };
                let coarse = (0..=40).map(|i| f64::from(i) / 40.0).min_by(|a, b| gap(*a).total_cmp(&gap(*b)));
                let near = coarse.unwrap_or(0.0);
                let fine = (-40..=40).map(|i| (near + f64::from(i) / 1600.0).clamp(0.0, 1.0));
                worst = worst.max(fine.map(gap).fold(f64::INFINITY, f64::min));
            }
        }
        worst
    }
}

/// Measures all corners of one roof where two trims meet by rule: neither in line, nor too sharp, nor bent round.
pub fn measure(job: &Job, rings: &[OutlineRing], set_out: &SetOut) -> Measured {
    let mut measured = Measured::default();
    let trims = &set_out.roofs[0];
    for corner in &trims.corners {
        let sharp = 180.0 - corner.turn_deg.abs() < job.system.limits.sharpest_mitre_deg;
        if corner.turn == Turn::Straight || sharp {
            continue;
        }
        let ends = [(&trims.runs[corner.before], RunEnd::End), (&trims.runs[corner.after], RunEnd::Start)];
        let cuts = ends.map(|(run, end)| cut(run, end));
        let mitred = cuts == [EndCut::Mitre; 2];
        let bodies = ends.map(|(run, end)| body(job, &rings[corner.ring], set_out, corner, run, end, cuts));
        // A run that is taken up whole has no end to cut.
        let [Some(one), Some(other)] = &bodies else { continue };
        if mitred {
            measured.mitred += 1;
            ends_meet(one, other, &mut measured);
        } else if !cuts.contains(&EndCut::Return) {
            measured.stopped += 1;
            measured.lapped += usize::from(cuts.contains(&EndCut::Lap));
            measured.skewed += usize::from(cuts.contains(&EndCut::Skew));
        } else {
            continue;
        }
        let levels = &rings[corner.ring].levels;
        measured.kerbs += usize::from(corner.ring > 0);
        measured.falling_kerbs += usize::from(corner.ring > 0 && levels.windows(2).any(|two| two[0] != two[1]));
        let (cut_back, kept) = if one.notches.is_empty() { (other, one) } else { (one, other) };
        measured.notches += cut_back.notches.len();
        measured.clash = measured.clash.max(cut_back.clash(kept));
        measured.spare = measured.spare.max(cut_back.spare(kept));
    }
    measured
}

/// What was found at corners that count as straight, where ends butt.
#[derive(Debug, Default)]
pub struct Butted {
    /// Corners measured.
    pub corners: usize,
    /// How far apart, or past one another, the ends are on any line that both trims have.
    pub apart: f64,
    /// How deep one body lies in the other.
    pub clash: f64,
}

impl Butted {
    /// What was found on another roof besides.
    pub fn add(&mut self, other: &Butted) {
        self.corners += other.corners;
        self.apart = self.apart.max(other.apart);
        self.clash = self.clash.max(other.clash);
    }
}

/// Measures the corners of one roof that count as straight.
pub fn butted(job: &Job, rings: &[OutlineRing], set_out: &SetOut) -> Butted {
    let mut found = Butted::default();
    let trims = &set_out.roofs[0];
    for corner in trims.corners.iter().filter(|corner| corner.turn == Turn::Straight) {
        let ends = [(&trims.runs[corner.before], RunEnd::End), (&trims.runs[corner.after], RunEnd::Start)];
        let cuts = ends.map(|(run, end)| cut(run, end));
        let bodies = ends.map(|(run, end)| body(job, &rings[corner.ring], set_out, corner, run, end, cuts));
        let [Some(one), Some(other)] = &bodies else { continue };
        found.corners += 1;
        found.clash = found.clash.max(one.clash(other)).max(other.clash(one));
        let range = |body: &Body| {
            let offsets = || body.points.iter().map(|point| point.0);
            (offsets().fold(f64::INFINITY, f64::min), offsets().fold(f64::NEG_INFINITY, f64::max))
        };
        let (a, b) = (range(one), range(other));
        for u in [a.0.max(b.0), a.1.min(b.1)] {
            let at = |body: &Body| body.place(body.end.0 * u + body.end.1, (u, 0.0));
            found.apart = found.apart.max(distance(at(one), at(other)));
        }
    }
    found
}

fn cut(run: &TrimRun, end: RunEnd) -> EndCut {
    if end == RunEnd::End { run.end.cut } else { run.start.cut }
}

/// Whether the marked ends of two bodies lie in the plane that bisects their axes, and meet.
fn ends_meet(one: &Body, other: &Body, measured: &mut Measured) {
    let across = unit(plus(one.axis, other.axis, -1.0));
    let marked = |body: &Body| -> Vec<V3> {
        body.points.iter().zip(&body.mark).map(|(&at, &along)| body.place(along, at)).collect()
    };
    let (a, b) = (marked(one), marked(other));
    let off = a.iter().chain(&b).map(|point| dot(*point, across).abs()).fold(0.0, f64::max);
    measured.off_plane = measured.off_plane.max(off);
    let apart = if one.kind == other.kind {
        a.iter().zip(&b).map(|(a, b)| distance(*a, *b)).fold(0.0, f64::max)
    } else {
        measured.unlike += 1;
        // The deck flange is the first facet of every section here, level at 0.
        let from = one.points[0].0.max(other.points[0].0);
        let to = one.points[1].0.min(other.points[1].0);
        let at = |body: &Body, u: f64| {
            let share = (u - body.points[0].0) / (body.points[1].0 - body.points[0].0);
            body.place(body.mark[0] + share * (body.mark[1] - body.mark[0]), (u, 0.0))
        };
        let common = if from < to { vec![from, to] } else { Vec::new() };
        common.into_iter().map(|u| distance(at(one, u), at(other, u))).fold(0.0, f64::max)
    };
    measured.apart = measured.apart.max(apart);
}

fn section(job: &Job, kind: Kind) -> &Section {
    &job.system.trims.of(kind).section
}

fn body(
    job: &Job,
    ring: &OutlineRing,
    set_out: &SetOut,
    corner: &Corner,
    run: &TrimRun,
    end: RunEnd,
    cuts: [EndCut; 2],
) -> Option<Body> {
    if !run.cut_length.is_positive() {
        return None;
    }
    let n = ring.points.len();
    let at = |i: usize| -> V3 {
        let (point, level): (Point, Length) = (ring.points[i % n], ring.levels.get(i % n).copied().unwrap_or_default());
        [point.x.mm(), point.y.mm(), level.mm()]
    };
    let here = at(corner.point);
    let arrives = unit(plus(here, at(corner.point + n - 1), -1.0));
    let leaves = unit(plus(at(corner.point + 1), here, -1.0));
    let normal = cross(arrives, leaves);
    // At inner corners the two edges turn the other way; up is up.
    let up = unit(if normal[2] < 0.0 { normal.map(|part| -part) } else { normal });
    let (axis, out) = match end {
        RunEnd::End => (arrives, cross(arrives, up)),
        RunEnd::Start => (leaves.map(|part| -part), cross(leaves, up)),
    };
    let trims = &set_out.roofs[0];
    let kinds = [trims.runs[corner.before].kind, trims.runs[corner.after].kind];
    // What laps, or else what is fixed second, lies on the other, but where both end in one plane.
    let upper = match cuts.map(|cut| cut == EndCut::Lap) {
        [true, false] => RunEnd::End,
        [false, true] => RunEnd::Start,
        _ if kinds[0] > kinds[1] => RunEnd::End,
        _ => RunEnd::Start,
    };
    let under = section(job, if end == RunEnd::End { kinds[1] } else { kinds[0] });
    let lift = if end == upper && cuts != [EndCut::Mitre; 2] { under.thickness.mm() } else { 0.0 };
    let own = section(job, run.kind);
    let here = |template: &&EndTemplate| template.end == end && template.runs.contains(&run.mark);
    let template = set_out.templates.iter().find(here);
    let gain = if end == RunEnd::End { run.end.gain } else { run.start.gain };
    let mark: Vec<f64> = match template {
        Some(template) => template.development.mark.iter().map(|mark| mark.1.mm()).collect(),
        None => vec![gain.mm(); own.points.len()],
    };
    let points: Vec<(f64, f64)> = own.points.iter().map(|&(u, v)| (u.mm(), v.mm() + lift)).collect();
    let furthest = |by: fn(f64, f64) -> bool| {
        (0..points.len()).reduce(|a, b| if by(points[b].0, points[a].0) { b } else { a }).unwrap_or(0)
    };
    let (low, high) = (furthest(|a, b| a < b), furthest(|a, b| a > b));
    let slope = (mark[high] - mark[low]) / (points[high].0 - points[low].0).max(1e-9);
    let girth = points.windows(2).scan(0.0, |sum, p| {
        *sum += (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1);
        Some(*sum)
    });
    let girth = std::iter::once(0.0).chain(girth).collect();
    let flat = |notch: &upstand::trim::Notch| {
        (notch.facet, notch.outline.iter().map(|&(girth, along)| (girth.mm(), along.mm())).collect())
    };
    Some(Body {
        kind: run.kind,
        end: (slope, mark[low] - slope * points[low].0),
        notches: template.map(|template| template.notches.iter().map(flat).collect()).unwrap_or_default(),
        points,
        girth,
        thickness: own.thickness.mm(),
        axis,
        out,
        up,
        mark,
    })
}
