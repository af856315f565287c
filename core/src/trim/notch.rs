//! Notches: what has to come off an end so that two trims close without clashing.
//!
//! Each facet of a trim is a slab: as long as the trim, as wide as the facet, as thick as the material. The trim that is
//! fixed second lies on the first, higher by its thickness. Where a slab of the trim that stops meets a slab of the one
//! that goes through, the two bodies clash; the clash is computed as the convex body of both, cast upon the facet, and all
//! of the facet from there to its end is cut off, because nothing gets past a slab.
//!
//! A notch is marked on the outer surface and reaches to the mark of the end. At an end that is cut at an angle and longer
//! than the plane that bisects the corner, or on the skew and the one that is cut back, the hidden surface of a leaning
//! facet may reach past the mark, by up to the thickness times the tangent of the angle; where only that clashes there is
//! nothing to mark, and it is left to a file. By the default table no such end is cut back.
//!
//! Two ends mitred in one plane lie on either side of it and never clash. What a trim is bent round the corner by lies
//! along the other edge, from the mitre of its face to where it ends, and the other trim is cut back to there. Two trims
//! that are both bent round lie over one another, as laps do: nothing is notched but their slits.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::end::{nearest, skew_slope};
use super::result::End;
use crate::length::Length;
use crate::roof::Bend;
use crate::system::{EndCut, Section};

/// What comes off one facet at the end of a trim.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Notch {
    /// Which facet.
    pub facet: usize,
    /// Its outline on the flat: girth, and how far beyond the corner; closed.
    pub outline: Vec<(Length, Length)>,
}

impl Notch {
    /// The notch with this outline in millimetres; none where rounding leaves nothing of it.
    fn of(facet: usize, outline: &[(f64, f64)]) -> Option<Notch> {
        let outline: Vec<_> =
            outline.iter().map(|&(girth, along)| (nearest(girth * 1e3), nearest(along * 1e3))).collect();
        let um = |(girth, along): (Length, Length)| (i128::from(girth.um()), i128::from(along.um()));
        let next = outline.iter().cycle().skip(1);
        let cross = |(a, b): (&(Length, Length), &(Length, Length))| um(*a).0 * um(*b).1 - um(*a).1 * um(*b).0;
        (outline.iter().zip(next).map(cross).sum::<i128>() != 0).then_some(Notch { facet, outline })
    }

    /// From where to where beyond the corner it takes away the line at this girth.
    pub(super) fn across(&self, girth: Length) -> Option<(Length, Length)> {
        let next = self.outline.iter().cycle().skip(1);
        let sides = self.outline.iter().zip(next);
        let met = sides.filter(|(a, b)| a.0.min(b.0) <= girth && girth <= a.0.max(b.0)).flat_map(|(a, b)| {
            if a.0 == b.0 {
                return [a.1, b.1];
            }
            let share = (girth - a.0).um() as f64 / (b.0 - a.0).um() as f64;
            [a.1 + nearest((b.1 - a.1).um() as f64 * share); 2]
        });
        met.fold(None, |range: Option<(Length, Length)>, x| Some(range.map_or((x, x), |(a, b)| (a.min(x), b.max(x)))))
    }

    /// From where to where beyond the corner it reaches.
    pub(super) fn along(&self) -> Option<(Length, Length)> {
        let along = || self.outline.iter().map(|at| at.1);
        along().min().zip(along().max())
    }
}

/// Trims reach this far back from a corner, in millimetres: far more than what meets there.
const BACK: f64 = 100_000.0;
/// Bodies that share less than this depth, in millimetres, lie against one another: a few of the micrometres to which
/// ends are rounded. However small, what goes deeper is a notch, or the ends would not close.
const PLAY: f64 = 0.002;

/// One of the two trims at a corner, with its end.
#[derive(Clone, Copy)]
pub(super) struct Body<'a> {
    pub section: &'a Section,
    pub end: &'a End,
    /// How much higher than on the bare deck it lies.
    pub lift: Length,
}

/// The end of a body: it reaches as far as `gain + slope * u` beyond the corner on the line at `u`.
#[derive(Clone, Copy)]
struct EndPlane {
    slope: f64,
    gain: f64,
}

/// A point of a section, in (outward, up).
type At = (Length, Length);

impl Body<'_> {
    /// Where the facet between these two points ends.
    fn end_plane(&self, facet: &[At], bend: Bend) -> EndPlane {
        let sloped = |slope: f64| {
            let longest = (self.section.innermost().mm() * slope).max(self.section.outermost().mm() * slope);
            EndPlane { slope, gain: self.end.gain.mm() - longest }
        };
        match self.end.cut {
            EndCut::Mitre => sloped(bend.tan_half()),
            EndCut::Skew => sloped(skew_slope(bend)),
            EndCut::Return => self.fold_plane(facet, bend),
            EndCut::Square | EndCut::Lap => EndPlane { slope: 0.0, gain: self.end.gain.mm() },
        }
    }

    /// Where a facet of a trim that is bent round the corner is slit, and where the part beyond the slit begins, each seen
    /// from its own edge: at the mitre, or in the fold where that is nearer. No facet reaches from one to the other.
    fn fold_plane(&self, facet: &[At], bend: Bend) -> EndPlane {
        let (tan, fold) = (bend.tan_half(), self.fold(bend));
        let middle = facet.iter().map(|at| at.0.mm()).sum::<f64>() / 2.0;
        if middle * tan < fold { EndPlane { slope: tan, gain: 0.0 } } else { EndPlane { slope: 0.0, gain: fold } }
    }

    /// How far beyond the corner the face of a trim is folded that is bent round it.
    fn fold(&self, bend: Bend) -> f64 {
        self.section.face_line().mm() * bend.tan_half()
    }

    /// Whether the end lies in the plane that bisects the corner, or short of it, and nothing of it beyond.
    fn is_mitred(&self, bend: Bend) -> bool {
        self.end.cut == EndCut::Mitre && self.end_plane(&[], bend).gain < 2e-3
    }

    /// What lies in the way of the other trim of the corner, in that trim's coordinates: the trim up to its end, and what
    /// of it is bent round the corner.
    fn obstacles(&self, bend: Bend) -> Vec<Slab> {
        let facets = self.section.points.windows(2);
        if self.end.cut != EndCut::Return {
            let up_to_end = |facet: &[At]| self.slab(facet, &self.end_plane(facet, bend)).seen_from_the_other(bend);
            return facets.map(up_to_end).collect();
        }
        // Along the other edge the part that is bent round lies as it would along its own.
        let by = self.end.gain.mm() - 2.0 * self.fold(bend);
        let near_and_far = |facet: &[At]| {
            let slab = self.slab(facet, &self.fold_plane(facet, bend));
            let mut far = slab.clone();
            far.0[5][3] = by;
            [slab.seen_from_the_other(bend), far]
        };
        let line = self.section.face_line();
        facets.flat_map(|facet| split(facet, line).windows(2).flat_map(near_and_far).collect::<Vec<_>>()).collect()
    }

    /// The slab of a facet, in (along, outward, up).
    fn slab(&self, facet: &[At], end: &EndPlane) -> Slab {
        let lift = self.lift.mm();
        let ((u0, v0), (u1, v1)) = (facet[0], facet[1]);
        let (u, v, du, dv) = (u0.mm(), v0.mm() + lift, (u1 - u0).mm(), (v1 - v0).mm());
        let width = (du * du + dv * dv).sqrt().max(1e-6);
        let (a, b) = (du / width, dv / width);
        let start = a * u + b * v;
        // Seen along the section, the material lies to the right of the outer surface.
        let outer = b * u - a * v;
        let end_norm = (1.0 + end.slope * end.slope).sqrt();
        Slab([
            [0.0, -a, -b, -start],
            [0.0, a, b, start + width],
            [0.0, -b, a, -outer],
            [0.0, b, -a, outer + self.section.thickness.mm()],
            [1.0 / end_norm, -end.slope / end_norm, 0.0, end.gain / end_norm],
            [-1.0, 0.0, 0.0, BACK],
        ])
    }
}

/// How much of a facet lies before it crosses the line at an outward offset; none where it does not.
fn share_before(facet: &[At], line: Length) -> Option<f64> {
    let (from, to) = ((line - facet[0].0).um() as f64, (line - facet[1].0).um() as f64);
    (from * to < 0.0).then(|| from / (from - to))
}

/// The points of a facet, with one more where it crosses the line at an outward offset.
fn split(facet: &[At], line: Length) -> Vec<At> {
    let up = |share: f64| facet[0].1 + nearest((facet[1].1 - facet[0].1).um() as f64 * share);
    let crossing = share_before(facet, line).map(|share| (line, up(share)));
    [facet[0]].into_iter().chain(crossing).chain([facet[1]]).collect()
}

/// The part of a body between six planes: `n . p <= c` for each `[n, c]`, `n` of length 1.
#[derive(Clone)]
struct Slab([[f64; 4]; 6]);

impl Slab {
    /// The same slab in the coordinates of the other trim of the corner. Seen from either trim the other lies alike, so
    /// the way there is the way back.
    fn seen_from_the_other(&self, bend: Bend) -> Slab {
        Slab(self.0.map(|[x, u, v, c]| [u * bend.sin - x * bend.cos, x * bend.sin + u * bend.cos, v, c]))
    }

    fn smaller(&self, by: f64) -> Slab {
        Slab(self.0.map(|[x, u, v, c]| [x, u, v, c - by]))
    }

    /// The corners of the slab: each on one of every two planes that lie opposite.
    fn corners(&self) -> Vec<[f64; 3]> {
        let [a, b, c, d, e, f] = &self.0;
        let pairs = [a, b].into_iter().flat_map(|p| [c, d].map(|q| (p, q)));
        pairs.flat_map(|(p, q)| [e, f].map(|r| (p, q, r))).filter_map(|(p, q, r)| meet(p, q, r)).collect()
    }

    /// Whether one of the slab's planes has all corners of another on its far side, or no more than `PLAY` within: they
    /// cannot clash then. Most slabs of a corner are told apart in this way at little cost.
    fn keeps_off(&self, corners: &[[f64; 3]]) -> bool {
        self.0.iter().any(|n| corners.iter().all(|p| n[0] * p[0] + n[1] * p[1] + n[2] * p[2] >= n[3] - PLAY))
    }

    /// The vertices of what two slabs share.
    fn meet(&self, other: &Slab) -> Vec<[f64; 3]> {
        let planes: Vec<[f64; 4]> = self.0.iter().chain(&other.0).copied().collect();
        let mut vertices = Vec::new();
        for i in 0..planes.len() {
            for j in i + 1..planes.len() {
                for k in j + 1..planes.len() {
                    let Some(p) = meet(&planes[i], &planes[j], &planes[k]) else { continue };
                    let inside = |n: &[f64; 4]| n[0] * p[0] + n[1] * p[1] + n[2] * p[2] <= n[3] + 1e-6;
                    if planes.iter().all(inside) {
                        vertices.push(p);
                    }
                }
            }
        }
        vertices
    }
}

/// The point that three planes share (Cramer's rule); none where they have no single one.
fn meet(a: &[f64; 4], b: &[f64; 4], c: &[f64; 4]) -> Option<[f64; 3]> {
    let cross =
        |p: &[f64; 4], q: &[f64; 4]| [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
    let (bc, ca, ab) = (cross(b, c), cross(c, a), cross(a, b));
    let det = a[0] * bc[0] + a[1] * bc[1] + a[2] * bc[2];
    (det.abs() > 1e-9).then(|| [0, 1, 2].map(|i| (a[3] * bc[i] + b[3] * ca[i] + c[3] * ab[i]) / det))
}

/// What has to come off the end of `cut` so that it clears `other`, or so that it can be bent round the corner.
pub(super) fn notches(cut: Body<'_>, other: Body<'_>, bend: Bend) -> Vec<Notch> {
    if cut.end.cut == EndCut::Return {
        return slits(cut.section, bend);
    }
    if bend.sin == 0.0 || cut.is_mitred(bend) && other.is_mitred(bend) {
        return Vec::new();
    }
    let slabs: Vec<(Slab, Vec<[f64; 3]>)> = other
        .obstacles(bend)
        .into_iter()
        .map(|slab| {
            let corners = slab.corners();
            (slab, corners)
        })
        .collect();
    let girth = cut.section.girth();
    let mut notches = Vec::new();
    for (facet, ends) in cut.section.points.windows(2).enumerate() {
        let end = cut.end_plane(ends, bend);
        let own = cut.slab(ends, &end);
        let [_, [_, a, b, far], ..] = own.0;
        let own_corners = own.corners();
        let near = slabs.iter().filter(|(slab, corners)| !own.keeps_off(corners) && !slab.keeps_off(&own_corners));
        let clashes = near.map(|(slab, _)| slab).filter(|slab| !own.meet(&slab.smaller(PLAY)).is_empty());
        let (from, to) = (girth[facet].mm(), girth[facet + 1].mm());
        // On the flat: girth, and distance along.
        let flat = |p: &[f64; 3]| (a * p[1] + b * p[2] - far + to, p[0]);
        let chains: Vec<Vec<(f64, f64)>> = clashes
            .map(|slab| lower_chain(own.meet(slab).iter().map(flat).map(|(g, x)| (g.clamp(from, to), x)).collect()))
            .collect();
        let line = |g: f64| {
            let share = if to > from { (g - from) / (to - from) } else { 0.0 };
            end.gain + end.slope * (ends[0].0.mm() + share * (ends[1].0 - ends[0].0).mm())
        };
        notches.extend(below(&chains, line).iter().filter_map(|outline| Notch::of(facet, outline)));
    }
    notches
}

/// What is cut out of a trim that is bent round a corner on its face: between the mitre and its mirror image in the fold.
fn slits(section: &Section, bend: Bend) -> Vec<Notch> {
    let tan = bend.tan_half();
    let fold = section.face_line().mm() * tan;
    let girth = section.girth();
    let mut notches = Vec::new();
    for (facet, ends) in section.points.windows(2).enumerate() {
        let (from, to) = (girth[facet].mm(), girth[facet + 1].mm());
        let mitre = |at: &At| (at.0.mm() * tan).min(fold);
        let kink = share_before(ends, section.face_line()).map(|share| (from + share * (to - from), fold));
        let near: Vec<_> = [(from, mitre(&ends[0]))].into_iter().chain(kink).chain([(to, mitre(&ends[1]))]).collect();
        let far = near.iter().rev().map(|&(girth, along)| (girth, 2.0 * fold - along));
        let outline: Vec<_> = near.iter().copied().chain(far).collect();
        notches.extend(Notch::of(facet, &outline));
    }
    notches
}

/// The lower edge of the convex hull of some points, from left to right (Andrew's monotone chain, 1979).
fn lower_chain(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut chain: Vec<(f64, f64)> = Vec::new();
    for p in points {
        // Of points over one another, but for rounding, the lowest counts.
        if let Some(last) = chain.last().filter(|last| p.0 - last.0 < 1e-9) {
            if p.1 >= last.1 {
                continue;
            }
            chain.pop();
        }
        while let [.., a, b] = chain[..] {
            if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                break;
            }
            chain.pop();
        }
        chain.push(p);
    }
    chain
}

/// Height of a chain at `g`; infinite beside it.
fn height(chain: &[(f64, f64)], g: f64) -> f64 {
    let segment = chain.windows(2).find(|pair| pair[0].0 <= g && g <= pair[1].0);
    segment.map_or(f64::INFINITY, |pair| {
        let share = (g - pair[0].0) / (pair[1].0 - pair[0].0);
        pair[0].1 + share * (pair[1].1 - pair[0].1)
    })
}

/// What lies between the lowest of some chains and a line above them all: one outline for each stretch that they cover.
fn below(chains: &[Vec<(f64, f64)>], line: impl Fn(f64) -> f64) -> Vec<Vec<(f64, f64)>> {
    let mut stations: Vec<f64> = chains.iter().flatten().map(|point| point.0).collect();
    let segments: Vec<&[(f64, f64)]> = chains.iter().flat_map(|chain| chain.windows(2)).collect();
    for (i, p) in segments.iter().enumerate() {
        for q in &segments[i + 1..] {
            let slope = |s: &[(f64, f64)]| (s[1].1 - s[0].1) / (s[1].0 - s[0].0);
            let crossing = (q[0].1 - slope(q) * q[0].0 - p[0].1 + slope(p) * p[0].0) / (slope(p) - slope(q));
            if crossing.is_finite() {
                stations.push(crossing);
            }
        }
    }
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|a, b| *a - *b < 1e-9);
    let mut outlines: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut open = false;
    for pair in stations.windows(2) {
        // The lowest chain in the middle is the lowest between two stations.
        let middle = (pair[0] + pair[1]) / 2.0;
        let lowest = chains.iter().min_by(|a, b| height(a, middle).total_cmp(&height(b, middle)));
        let Some(lowest) = lowest.filter(|chain| height(chain, middle) < line(middle)) else {
            open = false;
            continue;
        };
        let reach = |g: f64| {
            let inside = g.clamp(lowest[0].0, lowest[lowest.len() - 1].0);
            (g, height(lowest, inside).min(line(g)))
        };
        let (a, b) = (reach(pair[0]), reach(pair[1]));
        if !open {
            outlines.push(Vec::new());
            open = true;
        }
        if let Some(outline) = outlines.last_mut() {
            add_to(outline, a);
            add_to(outline, b);
        }
    }
    for outline in &mut outlines {
        if let (Some(first), Some(last)) = (outline.first().copied(), outline.last().copied()) {
            outline.extend([(last.0, line(last.0)), (first.0, line(first.0))]);
        }
    }
    outlines
}

/// Adds a point to a line, in place of its last one where that lies between.
fn add_to(line: &mut Vec<(f64, f64)>, p: (f64, f64)) {
    if let [.., a, b] = line[..]
        && ((b.0 - a.0) * (p.1 - b.1) - (b.1 - a.1) * (p.0 - b.0)).abs() < 1e-9
    {
        line.pop();
    }
    if line.last().is_none_or(|last| (last.0 - p.0).abs() > 1e-9 || (last.1 - p.1).abs() > 1e-9) {
        line.push(p);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::{EndRule, Reach, Trims};
    use crate::trim::end::{mitred, returned, skewed, square, squared};

    const SQUARE: Bend = Bend { sin: 1.0, cos: 0.0 };

    fn um(um: i64) -> Length {
        Length::from_um(um)
    }

    #[test]
    fn a_raised_trim_that_stops_at_a_wall_is_cut_to_the_wall_trims_fillet() {
        let trims = Trims::default();
        let (raised, wall) = (&trims.open_side.section, &trims.abutment.section);
        let stops = squared(&EndRule::square(Reach::Outline), SQUARE, raised, wall);
        let body = Body { section: raised, end: &stops, lift: wall.thickness };
        let against = |reach| {
            let through = squared(&EndRule::square(reach), SQUARE, wall, raised);
            notches(body, Body { section: wall, end: &through, lift: Length::ZERO }, SQUARE)
        };
        let found = against(Reach::BehindFace);
        // The fillet rises at 45 degrees from 28 mm off the wall to 28 mm up it. The flange meets its foot with its
        // underside, on the wall trim's flange.
        assert_eq!(found[0], Notch { facet: 0, outline: [(0, -28), (68, -28), (68, 0), (0, 0)].map(mm).to_vec() });
        // The rise is cut along it: where it is as high as 28 mm, at most, it reaches the wall.
        assert_eq!(found[1].facet, 1);
        let rise = |i: usize| (found[1].outline[i].0.mm() - 68.0, found[1].outline[i].1.mm());
        let slope = (36.0_f64 * 36.0 + 16.0 * 16.0).sqrt() / 36.0;
        let underside = 1.8 * 16.0 / (36.0 * slope);
        assert!(rise(0).0.abs() < 1e-3, "{found:?}");
        assert!((rise(0).1 - (1.8 - underside - 28.0)).abs() < 2e-3, "{found:?}");
        assert!((rise(1).0 - (28.0 - 1.8 + underside) * slope).abs() < 2e-3 && rise(1).1.abs() < 1e-3, "{found:?}");
        // The face hangs outside the end of the wall trim, and nothing comes off it.
        assert_eq!(found.len(), 2);
        // A wall trim as long as to the outside of the face would need a slit in it, for its flange of 95 mm and as high
        // as that is thick: why the wall trim ends behind the face.
        let found = against(Reach::Outermost);
        assert_eq!((found[2].facet, found.len()), (3, 3));
        let slit: Vec<Length> = found[2].outline.iter().filter(|at| at.1 == um(-95_000)).map(|at| at.0).collect();
        assert_eq!((slit.len(), slit[1] - slit[0]), (2, um(1_800)));
    }

    fn mm((g, x): (i64, i64)) -> (Length, Length) {
        (Length::from_mm(g), Length::from_mm(x))
    }

    #[test]
    fn a_skew_end_spares_the_face_its_slit() {
        let trims = Trims::default();
        let (raised, wall) = (&trims.open_side.section, &trims.abutment.section);
        // Interior angle 120.
        let bend = Bend { sin: 0.75_f64.sqrt(), cos: 0.5 };
        let stops = squared(&EndRule::square(Reach::Outline), bend, raised, wall);
        let body = Body { section: raised, end: &stops, lift: wall.thickness };
        let face = |end: &End| {
            let found = notches(body, Body { section: wall, end, lift: Length::ZERO }, bend);
            found.into_iter().filter(|notch| notch.facet == 3).flat_map(|notch| notch.outline).map(|at| at.1).min()
        };
        // Cut square behind the face, the wall trim's flange goes through it: the face is slit over 110 mm.
        let rule = EndRule::square(Reach::BehindFace);
        assert_eq!(face(&squared(&rule, bend, wall, raised)).map(|at| at.um() / 1_000), Some(-124));
        assert_eq!(face(&skewed(&EndRule { cut: EndCut::Skew, ..rule }, bend, wall, raised)), None);
    }

    #[test]
    fn a_trim_is_cut_back_to_the_end_of_what_is_bent_round_onto_its_edge() {
        let drip = Trims::default().drip.section;
        let turned = returned(SQUARE, &drip, Length::from_mm(100));
        let stops = squared(&EndRule::square(Reach::Outline), SQUARE, &drip, &drip);
        let body = |end, lift| Body { section: &drip, end, lift };
        let found = notches(body(&stops, drip.thickness), body(&turned, Length::ZERO), SQUARE);
        // The flange lies on the flange; the face and its return end where those of the other do, 100 mm from the corner.
        let back: Vec<_> = found.iter().map(|notch| notch.outline.iter().map(|at| at.1).min()).collect();
        assert_eq!(found.iter().map(|notch| notch.facet).collect::<Vec<_>>(), [1, 2]);
        assert_eq!(back, [Some(Length::from_mm(-100)); 2]);
        // Ended there by rule, nothing comes off.
        let short = square(Length::from_mm(-100));
        assert_eq!(notches(body(&short, drip.thickness), body(&turned, Length::ZERO), SQUARE), []);
    }

    #[test]
    fn mitres_in_one_plane_need_no_notch_and_longer_ones_do() {
        let drip = Trims::default().drip.section;
        let lift = drip.thickness;
        let clash = |extra: i64| {
            let end = mitred(SQUARE, &drip, Length::from_mm(extra));
            let (cut, other) =
                (Body { section: &drip, end: &end, lift }, Body { lift: Length::ZERO, section: &drip, end: &end });
            notches(cut, other, SQUARE)
        };
        assert_eq!(clash(0), []);
        assert_eq!(clash(-3), []);
        // Both faces run on through one another: the second stops at the outer surface of the first, 27 mm out, less
        // its thickness. Beside the fold it meets the flange of the first, which runs 5 mm past the mitre, before that.
        let face = clash(5).into_iter().find(|notch| notch.facet == 1).expect("faces that clash");
        let mut along: Vec<Length> = face.outline.iter().map(|point| point.1).collect();
        along.sort_unstable();
        along.dedup();
        assert_eq!(along, [20_200, 25_200, 32_000].map(um));
    }

    #[test]
    fn a_return_is_slit_between_the_mitre_and_its_mirror_image() {
        let drip = Trims::default().drip.section;
        let end = returned(SQUARE, &drip, Length::from_mm(100));
        assert_eq!((end.gain, end.cut), (Length::from_mm(154), EndCut::Return));
        let body = Body { section: &drip, end: &end, lift: Length::ZERO };
        let found = notches(body, body, SQUARE);
        // The flange from its edge at -85 to the face at 27: a wedge of 90 degrees, its point on the fold.
        assert_eq!(found[0].outline, [(0, -85), (112, 27), (112, 27), (0, 139)].map(mm));
        // The return of 6 mm below it likewise.
        assert_eq!(
            found[1],
            Notch { facet: 2, outline: [(170, 27), (176, 21), (176, 33), (170, 27)].map(mm).to_vec() }
        );
        assert_eq!(found.len(), 2);
    }

    #[test]
    fn a_facet_that_crosses_the_line_of_the_face_is_slit_to_the_fold_alone() {
        let mut section = Trims::default().drip.section;
        section.points[0].0 = Length::from_mm(87);
        section.points[0].1 = Length::from_mm(60);
        section.points[1].1 = Length::ZERO;
        section.points.insert(0, (Length::from_mm(-13), Length::from_mm(135)));
        (section.face, section.deck_flange) = (2, 0);
        let end = returned(SQUARE, &section, Length::from_mm(100));
        let body = Body { section: &section, end: &end, lift: Length::ZERO };
        // Facet 0 runs from -13 out to 87, 125 mm wide, past the face at 27 after 50 mm of it.
        let found = notches(body, body, SQUARE);
        assert_eq!(found[0].outline, [(0, -13), (50, 27), (125, 27), (125, 27), (50, 27), (0, 67)].map(mm));
    }
}
