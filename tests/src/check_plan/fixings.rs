//! Fixings along runs: where they go, and that they hold something there.

use upstand::system::Leg;
use upstand::trim::{EndTemplate, MarkedPiece, RunEnd, TrimRun};
use upstand::{Job, Plan};

use super::{Faults, outline::trim};

/// Where notches and slits take away what the fixings of a run go through: stretches of the run.
fn missing(job: &Job, plan: &Plan, run: &TrimRun) -> Vec<(f64, f64)> {
    let section = &trim(&job.system, run.kind).section;
    let mut missing = Vec::new();
    let ours = |template: &&EndTemplate| template.kind == run.kind && template.runs.contains(&run.mark);
    for template in plan.templates.iter().filter(ours) {
        let girth = |i: usize| template.development.mark[i].0.um() as f64;
        for (line, leg) in run.fixing_legs.iter().enumerate() {
            let alike = run.fixing_legs.iter().filter(|other| *other == leg).count() as f64;
            let nth = run.fixing_legs[..line].iter().filter(|other| *other == leg).count() as f64;
            let facets = (0..section.points.len() - 1).filter(|&facet| section.leg(facet) == Some(*leg));
            let width = |facet: usize| girth(facet + 1) - girth(facet);
            let Some(facet) = facets.reduce(|a, b| if width(b) > width(a) { b } else { a }) else { continue };
            let at = girth(facet) + width(facet) * (nth + 1.0) / (alike + 1.0);
            for notch in template.notches.iter().filter(|notch| notch.facet == facet) {
                let point = |i: usize| {
                    let (girth, along) = notch.outline[i % notch.outline.len()];
                    (girth.um() as f64 - at, along.um() as f64)
                };
                let mut crossed: Vec<f64> = Vec::new();
                for (a, b) in (0..notch.outline.len()).map(|i| (point(i), point(i + 1))) {
                    if a.0 * b.0 < 0.0 {
                        crossed.push((a.1 * b.0 - b.1 * a.0) / (b.0 - a.0));
                    }
                }
                crossed.sort_by(f64::total_cmp);
                let (Some(from), Some(to)) = (crossed.first(), crossed.last()) else { continue };
                missing.push(match template.end {
                    RunEnd::Start => (run.start.gain.um() as f64 - to, run.start.gain.um() as f64 - from),
                    RunEnd::End => {
                        let corner = (run.cut_length - run.end.gain).um() as f64;
                        (corner + from, corner + to)
                    }
                });
            }
        }
    }
    missing
}

/// Every piece is fixed at the end distance from either end (on a mitred end from its short point, beside a notch from the
/// notch), with equal spaces no wider and no more than needed between, and no fixing twice. None is within the end
/// distance of an end of a lap or of a slit, but where it goes through both pieces.
pub(super) fn check_fixings(
    job: &Job,
    plan: &Plan,
    run: &TrimRun,
    pieces: &[&MarkedPiece],
    faults: &mut Faults,
    here: &str,
) {
    let fixing = &job.system.fixing;
    let line: Vec<i64> = run.fixing_line.iter().map(|at| at.um()).collect();
    let lines = u64::from(trim(&job.system, run.kind).fixing_lines);
    let otherwise = std::iter::once(Leg::DeckFlange).chain(std::iter::repeat(Leg::Face)).take(lines as usize);
    let given = &trim(&job.system, run.kind).fixing_legs;
    let legs = if given.is_empty() { otherwise.collect() } else { given.clone() };
    faults.same(&run.fixing_legs, &legs, || format!("{here}: legs that are fixed"));
    faults.same(run.fixings, lines * line.len() as u64, || format!("{here}: fixings"));
    let distance = fixing.end_distance.um() as f64;
    let missing = missing(job, plan, run);
    for &at in &line {
        // A notch that is found crossing by crossing may differ by a rounding or two.
        let beside =
            missing.iter().any(|(from, to)| from - distance + 5.0 < at as f64 && (at as f64) < to + distance - 5.0);
        faults.expect(line.len() == 1 || !beside, || format!("{here}: the fixing at {at} um is at a notch"));
    }
    let (mut begin, mut end) =
        ((run.start.gain - run.start.short).um(), (run.cut_length - run.end.gain + run.end.short).um());
    if !missing.is_empty() {
        // Where the ends are is taken from the line itself: no fixing is at a notch, and what is next to one is next
        // to its edge.
        let edges = missing.iter().flat_map(|(from, to)| [from - distance, to + distance]);
        let edges: Vec<f64> = edges.chain([begin as f64 + distance, end as f64 - distance]).collect();
        for at in [line.first(), line.last()].into_iter().flatten().map(|&at| at as f64) {
            let near = edges.iter().any(|edge| (edge - at).abs() < 5.0);
            faults.expect(line.len() == 1 || near, || format!("{here}: the first or last fixing at {at} um"));
        }
        let slit = missing.iter().any(|&(from, to)| from > begin as f64 && to < end as f64);
        if slit || line.len() < 2 {
            return;
        }
        (begin, end) = (line[0] - fixing.end_distance.um(), line[line.len() - 1] + fixing.end_distance.um());
    }
    let (begin, end) = (begin + fixing.end_distance.um(), end - fixing.end_distance.um());
    if fixing.spacing < fixing.end_distance * 4 {
        // Spaces may have to keep clear of laps: tested by itself.
        return;
    }
    if lines == 0 || begin >= end {
        faults.same(line.len(), usize::from(lines > 0), || format!("{here}: fixings of a short run"));
        let off = line.first().map_or(0, |at| (2 * at - begin - end).abs());
        faults.expect(off <= 2, || format!("{here}: the one fixing is not in the middle"));
        return;
    }
    let mut wanted = vec![begin, end];
    for piece in pieces {
        let (from, to) = (piece.start_along.um(), (piece.start_along + piece.length).um());
        if from > 0 {
            wanted.push(from + fixing.end_distance.um());
        }
        if to < run.cut_length.um() {
            wanted.push(to - fixing.end_distance.um());
        }
    }
    wanted.retain(|&at| begin <= at && at <= end);
    wanted.sort_unstable();
    wanted.dedup();
    faults.expect(wanted.iter().all(|at| line.contains(at)), || format!("{here}: a piece's end is not fixed"));
    let mut places = vec![begin];
    for pair in wanted.windows(2) {
        let gap = pair[1] - pair[0];
        let spaces = (1..).find(|spaces| gap <= spaces * fixing.spacing.um()).unwrap_or(1);
        places.extend((1..=spaces).map(|i| pair[0] + gap * i / spaces));
    }
    let off = line.iter().zip(&places).map(|(a, b)| (a - b).abs()).max().unwrap_or(0);
    faults.expect(line.len() == places.len() && off <= 1, || {
        format!("{here}: {} fixings where {} belong, up to {off} um off", line.len(), places.len())
    });
}
