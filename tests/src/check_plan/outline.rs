//! Rings, corners and runs: computed again from the job.

use upstand::roof::Boundary;
use upstand::system::{CornerShape, EndCut, Reach, Section, System, Trim};
use upstand::trim::{Corner, End, Hand, TrimRun, Turn};
use upstand::{Job, Kind, Plan};

use super::Faults;
use crate::plane::{self, P};

/// The trim of a kind of edge.
pub(super) fn trim(system: &System, kind: Kind) -> &Trim {
    match kind {
        Kind::Drip => &system.trims.drip,
        Kind::Abutment => &system.trims.abutment,
        Kind::OpenSide => &system.trims.open_side,
    }
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    let mut marks: Vec<&str> = plan.roofs.iter().flat_map(|r| &r.trims.runs).map(|run| run.mark.as_str()).collect();
    marks.sort_unstable();
    faults.expect(marks.windows(2).all(|pair| pair[0] != pair[1]), || "two runs of one mark".into());

    for (index, (given, planned)) in job.roofs.iter().zip(&plan.roofs).enumerate() {
        let here = format!("roof {index}");
        let name = given.name.clone().unwrap_or_else(|| format!("roof {}", index + 1));
        faults.same(&planned.name, &name, || format!("{here}: name"));
        faults.same(planned.rings.len(), 1 + given.holes.len(), || format!("{here}: rings"));
        if planned.rings.len() != 1 + given.holes.len() {
            continue;
        }
        let mut area = 0;
        let mut seen_runs = 0;
        let mut seen_corners = 0;
        for (r, ring) in planned.rings.iter().enumerate() {
            let here = format!("{here} ring {r}");
            let points = plane::ring(&ring.points);
            let boundary = if r == 0 { &given.outer } else { &given.holes[r - 1] };
            let turned = plane::area2(&points);
            area += turned;
            faults.expect((turned > 0) == (r == 0), || format!("{here} runs the wrong way round"));
            if points.len() != ring.kinds.len() {
                faults.expect(false, || format!("{here}: {} points, {} kinds", points.len(), ring.kinds.len()));
                continue;
            }
            faults.expect(is_given(boundary, &points, &ring.kinds), || format!("{here} is not the job's"));
            let stretches = stretches(&points, &ring.kinds, job.system.limits.straight_deg);
            seen_runs += check_runs(job, planned, r, &stretches, faults, &here);
            seen_corners += check_corners(job, planned, r, &stretches, faults, &here);
        }
        faults.same(planned.trims.runs.len(), seen_runs, || format!("{here}: runs"));
        faults.same(planned.trims.corners.len(), seen_corners, || format!("{here}: corners"));
        faults.close(planned.area_m2, area as f64 / 2e12, 1e-6, || format!("{here}: area"));
    }
}

/// Whether points and kinds are the boundary's, begun anywhere and run either way; a repeated closing point left out.
fn is_given(boundary: &Boundary, points: &[P], kinds: &[Kind]) -> bool {
    let mut given = plane::ring(&boundary.points);
    if given.len() > 1 && given.first() == given.last() {
        given.pop();
    }
    let n = given.len();
    let given_kinds = if boundary.kinds.is_empty() { vec![Kind::Abutment; n] } else { boundary.kinds.clone() };
    if n != points.len() || n != given_kinds.len() {
        return false;
    }
    (0..n).any(|start| {
        (0..n).all(|i| points[i] == given[(start + i) % n] && kinds[i] == given_kinds[(start + i) % n])
            // Run backwards, the edge after a point is the one that led to it.
            || (0..n).all(|i| {
                let at = (start + n - i) % n;
                points[i] == given[at] && kinds[i] == given_kinds[(at + n - 1) % n]
            })
    })
}

/// A run as the ring has it: its points from corner to corner.
struct Stretch {
    first: usize,
    points: Vec<P>,
    kind: Kind,
}

impl Stretch {
    fn from(&self) -> P {
        self.points[0]
    }
    fn to(&self) -> P {
        self.points[self.points.len() - 1]
    }
    fn length(&self) -> f64 {
        self.points.windows(2).map(|pair| plane::distance(pair[0], pair[1])).sum()
    }
}

/// Breaks a ring where the kind changes, where it turns by at least `straight_deg`, and where an edge has turned away
/// from the first of its stretch by as much. None where nothing breaks the ring.
fn stretches(points: &[P], kinds: &[Kind], straight_deg: f64) -> Vec<Stretch> {
    let n = points.len();
    let at = |i: usize| points[i % n];
    let corner = |i: usize| {
        kinds[(i + n - 1) % n] != kinds[i % n] || plane::turn_deg(at(i + n - 1), at(i), at(i + 1)).abs() >= straight_deg
    };
    let Some(start) = (0..n).find(|&i| corner(i)) else { return Vec::new() };
    let mut breaks = vec![start];
    for i in start + 1..start + n {
        let (ux, uy) = plane::vector(at(breaks[breaks.len() - 1]), at(breaks[breaks.len() - 1] + 1));
        let (vx, vy) = plane::vector(at(i), at(i + 1));
        let drift = (ux * vy - uy * vx).atan2(ux * vx + uy * vy).to_degrees();
        if corner(i) || drift.abs() >= straight_deg {
            breaks.push(i);
        }
    }
    breaks.push(start + n);
    breaks
        .windows(2)
        .map(|pair| Stretch {
            first: pair[0] % n,
            points: (pair[0]..=pair[1]).map(at).collect(),
            kind: kinds[pair[0] % n],
        })
        .collect()
}

/// Turn in degrees from one stretch into the next.
fn turn_between(before: &Stretch, after: &Stretch) -> f64 {
    plane::turn_deg(before.points[before.points.len() - 2], after.points[0], after.points[1])
}

fn check_runs(
    job: &Job,
    planned: &upstand::plan::RoofPlan,
    ring: usize,
    stretches: &[Stretch],
    faults: &mut Faults,
    here: &str,
) -> usize {
    let n = stretches.len();
    for (s, stretch) in stretches.iter().enumerate() {
        let matching: Vec<&TrimRun> = planned
            .trims
            .runs
            .iter()
            .filter(|run| {
                run.ring == ring
                    && (run.from, run.to) == (plane::point(stretch.from()), plane::point(stretch.to()))
                    && run.kind == stretch.kind
            })
            .collect();
        let [run] = matching[..] else {
            faults.expect(false, || format!("{here}: {} runs for edge from {:?}", matching.len(), stretch.from()));
            continue;
        };
        let here = format!("{here} run {}", run.mark);
        let number = run.mark.strip_prefix(run.kind.letter()).and_then(|n| n.parse::<u32>().ok());
        faults.expect(number.is_some(), || format!("{here}: bad mark"));
        faults.same(run.first_edge, stretch.first, || format!("{here}: first edge"));
        faults.same(run.edge_count, stretch.points.len() - 1, || format!("{here}: number of edges"));
        let length = stretch.length();
        faults
            .close(run.line_length.um() as f64, length, stretch.points.len() as f64, || format!("{here}: line length"));

        let before = &stretches[(s + n - 1) % n];
        let after = &stretches[(s + 1) % n];
        let own = stretch.kind;
        let first = Meeting { own, other: before.kind, turn_deg: turn_between(before, stretch) };
        check_end(&job.system, &first, &run.start, faults, &format!("{here} start"));
        let last = Meeting { own, other: after.kind, turn_deg: turn_between(stretch, after) };
        check_end(&job.system, &last, &run.end, faults, &format!("{here} end"));

        let exact = (run.line_length + run.start.gain + run.end.gain).um();
        let step = job.system.cutting_increment.um();
        let cut = run.cut_length.um();
        if exact <= 0 {
            faults.same(cut, 0, || format!("{here}: cut length of a run that is taken up whole"));
        } else {
            faults.expect(cut % step == 0 && cut >= exact && cut - exact < step, || {
                format!("{here}: cut length {} is not {exact} um rounded up", run.cut_length)
            });
        }
    }
    n
}

fn corner_shape(turn: Turn) -> CornerShape {
    match turn {
        Turn::Outer => CornerShape::Outer,
        Turn::Inner => CornerShape::Inner,
        Turn::Straight => CornerShape::Straight,
    }
}

fn shape(turn_deg: f64, straight_deg: f64) -> Turn {
    if turn_deg.abs() < straight_deg {
        Turn::Straight
    } else if turn_deg > 0.0 {
        Turn::Outer
    } else {
        Turn::Inner
    }
}

/// Outward offsets of a section's points in micrometres: least and greatest.
fn outward(section: &Section) -> (f64, f64) {
    let all = || section.points.iter().map(|p| p.0.um() as f64);
    (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
}

/// Outward offset of the line that a square end reaches on the other trim.
fn line_of(section: &Section, reach: Reach) -> f64 {
    let (least, greatest) = outward(section);
    match reach {
        Reach::Outline => 0.0,
        Reach::Outermost => greatest,
        Reach::BehindFace => greatest - section.thickness.um() as f64,
        Reach::Foot => section.points[section.deck_flange + 1].0.um() as f64,
        Reach::Seam => least,
    }
}

/// The corner at one end of a run, seen from that run.
struct Meeting {
    own: Kind,
    other: Kind,
    turn_deg: f64,
}

fn check_end(system: &System, meeting: &Meeting, end: &End, faults: &mut Faults, here: &str) {
    let &Meeting { own, other, turn_deg } = meeting;
    let turn = shape(turn_deg, system.limits.straight_deg);
    let rule = system.corners.iter().find_map(|rule| {
        if rule.shape != corner_shape(turn) {
            None
        } else if rule.kinds == (own, other) {
            Some(&rule.ends.0)
        } else if rule.kinds == (other, own) {
            Some(&rule.ends.1)
        } else {
            None
        }
    });
    if turn == Turn::Straight {
        faults.same(end.cut, EndCut::Square, || format!("{here}: cut in line"));
        faults.same(end.closing, rule.and_then(|rule| rule.closing), || format!("{here}: what closes it"));
        return;
    }
    let Some(rule) = rule else {
        faults.expect(false, || format!("{here}: no row of the corner table"));
        return;
    };
    // A square end would run far past a gentle corner; a corner sharper than the limit is left square for the fitter.
    let sharp = 180.0 - turn_deg.abs() < system.limits.sharpest_mitre_deg;
    let gentle = turn_deg.abs() < system.limits.gentlest_square_deg;
    let mitred = !sharp && (gentle || rule.cut == EndCut::Mitre);
    let (least, greatest) = outward(&trim(system, own).section);
    // Where our line at outward offset u, p = s d + u n, meets the other trim's line p . m = w: the run's direction
    // d and its outward normal n make d . m = sin t and n . m = cos t with the other edge's outward normal m.
    let w = line_of(&trim(system, other).section, rule.reach);
    let (sin, cos) = turn_deg.to_radians().sin_cos();
    let (inner, outer) = ((w - least * cos) / sin, (w - greatest * cos) / sin);
    // An end on the skew, or behind a face, is square where that leaves no more open than the material is thick.
    let square = (inner - outer).abs() <= trim(system, own).section.thickness.um() as f64;
    let skew = !sharp && !mitred && rule.cut == EndCut::Skew && !square;
    let cut = if mitred {
        EndCut::Mitre
    } else if skew {
        EndCut::Skew
    } else {
        EndCut::Square
    };
    faults.same(end.cut, cut, || format!("{here}: cut"));
    let closing = rule.closing.filter(|_| !mitred);
    faults.same(end.closing, closing, || format!("{here}: what closes it"));
    if mitred {
        let tan = (turn_deg / 2.0).to_radians().tan();
        faults.close(end.angle_deg, turn_deg.abs() / 2.0, 2e-6, || format!("{here}: angle"));
        let furthest = (greatest * tan).max(least * tan) + rule.gain.um() as f64;
        faults.close(end.gain.um() as f64, furthest, 1.5, || format!("{here}: gain"));
        let hand = if turn_deg > 0.0 { Hand::Right } else { Hand::Left };
        faults.same(end.hand, Some(hand), || format!("{here}: longer side"));
    } else if skew {
        let angle = (90.0 - turn_deg.abs()).abs();
        faults.close(end.angle_deg, angle, 2e-6, || format!("{here}: angle on the skew"));
        let hand = if outer > inner { Hand::Right } else { Hand::Left };
        faults.same(end.hand, Some(hand), || format!("{here}: longer side on the skew"));
        let gain = rule.gain.um() as f64;
        faults.close(end.gain.um() as f64, inner.max(outer) + gain, 1.5, || format!("{here}: gain on the skew"));
        faults.close(end.short.um() as f64, inner.min(outer) + gain, 1.5, || format!("{here}: short on the skew"));
    } else {
        faults.close(end.angle_deg, 0.0, 0.0, || format!("{here}: angle of a square cut"));
        faults.same(end.hand, None, || format!("{here}: longer side of a square cut"));
        faults.same(end.short, end.gain, || format!("{here}: shortest line of a square cut"));
        if sharp {
            faults.same(end.gain.um(), 0, || format!("{here}: gain at a corner too sharp"));
            return;
        }
        // Running through, every line of the end reaches it; stopping, or behind a face that is square but for less than the
        // material's thickness, no line passes it.
        let behind = rule.cut == EndCut::Skew || rule.reach == Reach::BehindFace && square;
        let through = matches!(rule.reach, Reach::Outermost | Reach::BehindFace) && !behind;
        let reached = if through { inner.max(outer) } else { inner.min(outer) };
        faults.close(end.gain.um() as f64, reached + rule.gain.um() as f64, 1.5, || format!("{here}: gain"));
    }
}

fn check_corners(
    job: &Job,
    planned: &upstand::plan::RoofPlan,
    ring: usize,
    stretches: &[Stretch],
    faults: &mut Faults,
    here: &str,
) -> usize {
    let n = stretches.len();
    faults.expect(planned.trims.corners.iter().enumerate().all(|(i, corner)| corner.after == i), || {
        format!("{here}: corners are not in the order of the runs that begin there")
    });
    for s in 0..n {
        let (before, after) = (&stretches[s], &stretches[(s + 1) % n]);
        let here = format!("{here} corner {:?}", before.to());
        let is_here = |corner: &&Corner| corner.ring == ring && corner.at == plane::point(before.to());
        let found: Vec<&Corner> = planned.trims.corners.iter().filter(is_here).collect();
        let [corner] = found[..] else {
            faults.expect(false, || format!("{here}: {} corners", found.len()));
            continue;
        };
        let turn_deg = turn_between(before, after);
        faults.close(corner.turn_deg, turn_deg, 2e-6, || format!("{here}: turn"));
        faults.same(corner.turn, shape(turn_deg, job.system.limits.straight_deg), || format!("{here}: shape"));
        let runs = &planned.trims.runs;
        let ends = runs.get(corner.before).is_some_and(|run| (run.ring, run.to) == (ring, corner.at));
        let begins = runs.get(corner.after).is_some_and(|run| (run.ring, run.from) == (ring, corner.at));
        faults.expect(ends && begins, || format!("{here}: names the wrong runs"));
        let shape = corner_shape(corner.turn);
        let row = job.system.corners.iter().find(|rule| {
            rule.shape == shape && (rule.kinds == (before.kind, after.kind) || rule.kinds == (after.kind, before.kind))
        });
        let patches = match corner.turn {
            Turn::Straight => row.map(|row| row.patches).or(Some(job.system.patch.at_joint)),
            Turn::Outer | Turn::Inner => row.map(|row| row.patches),
        };
        faults.same(Some(corner.patches), patches, || format!("{here}: patches"));
        faults.same(corner.point, after.first, || format!("{here}: index of the point"));
    }
    n
}
