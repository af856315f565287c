//! Findings: those that a reading, a size or a corner calls for are there, and no others of their codes.

use upstand::roof::Boundary;
use upstand::trim::Turn;
use upstand::{Finding, Grade, Job, Kind, Plan};

use super::Faults;
use crate::plane;

/// A finding without its prose.
pub(super) type Bare = (Grade, String, String, Option<f64>, Option<f64>);

/// Codes whose findings follow from job and plan alone.
const CERTAIN: [&str; 17] = [
    "asbestos",
    "deck_moisture",
    "no_moisture_reading",
    "hardener_table",
    "no_surface_temperature",
    "old_covering",
    "upstand_height",
    "upstand_not_wall",
    "upstand_room",
    "pipe_height",
    "mitre_limit",
    "short_run",
    "measurement_suspect",
    "measurement_unchecked",
    "measurements_disagree",
    "outline_unchecked",
    "run_uncertain",
];

/// Whether findings of this code follow from job and plan alone, so that none may be missing or too many.
pub fn is_certain(code: &str) -> bool {
    CERTAIN.contains(&code)
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    faults.expect(plan.findings.windows(2).all(|pair| pair[0].grade <= pair[1].grade), || {
        "findings are not in the order of their grades".into()
    });
    let bare =
        |finding: &Finding| (finding.grade, finding.code.clone(), finding.place.clone(), finding.value, finding.limit);
    let mut found: Vec<Bare> =
        plan.findings.iter().filter(|finding| CERTAIN.contains(&finding.code.as_str())).map(bare).collect();
    let mut wanted = Vec::new();
    super::measured::wanted(job, plan, &mut wanted);
    let Some(job) = &super::measured::outlined(job, plan) else { return };
    moisture(job, &mut wanted);
    temperature(job, &mut wanted);
    upstands(job, &mut wanted);
    pipes(job, &mut wanted);
    corners(job, plan, &mut wanted);
    let order = |a: &Bare, b: &Bare| (&a.2, &a.1).cmp(&(&b.2, &b.1));
    found.sort_by(order);
    wanted.sort_by(order);
    for missing in wanted.iter().filter(|bare| !found.contains(bare)) {
        faults.expect(false, || format!("finding missing: {missing:?}"));
    }
    for needless in found.iter().filter(|bare| !wanted.contains(bare)) {
        faults.expect(false, || format!("finding without cause: {needless:?}"));
    }
    faults.same(found.len(), wanted.len(), || "number of findings".into());
    for finding in &plan.findings {
        let told = !finding.text.is_empty() && !finding.basis.is_empty() && finding.place.starts_with('/');
        faults.expect(told, || format!("finding {} says nothing", finding.code));
        faults.same(finding.value.is_some(), finding.unit.is_some(), || format!("unit of finding {}", finding.code));
    }
}

fn moisture(job: &Job, wanted: &mut Vec<Bare>) {
    let limit = job.system.limits.moisture_percent;
    for (i, reading) in job.survey.moisture.iter().enumerate() {
        if reading.percent > limit.min(job.system.limits.moisture_caution_percent) {
            let place = format!("/survey/moisture/{i}/percent");
            let grade = if reading.percent > limit { Grade::Refuse } else { Grade::Caution };
            wanted.push((grade, "deck_moisture".into(), place, Some(reading.percent), Some(limit)));
        }
    }
    for roof in 0..job.roofs.len() {
        if job.survey.moisture.iter().all(|reading| reading.roof != roof) {
            wanted.push((Grade::Note, "no_moisture_reading".into(), format!("/roofs/{roof}"), None, None));
        }
    }
    use upstand::survey::Covering::{Asphalt, Felt, Other};
    let place = || "/survey/covering".to_string();
    match job.survey.covering {
        None => wanted.push((Grade::Note, "old_covering".into(), place(), None, None)),
        Some(Felt | Asphalt | Other) => wanted.push((Grade::Caution, "asbestos".into(), place(), None, None)),
        Some(_) => {}
    }
    use upstand::survey::Board;
    if job.survey.boards.is_some_and(|boards| matches!(boards.board, Board::FibreCement | Board::Other)) {
        wanted.push((Grade::Caution, "asbestos".into(), "/survey/boards/board".into(), None, None));
    }
}

fn temperature(job: &Job, wanted: &mut Vec<Bare>) {
    let place = || "/survey/surface_c".to_string();
    let Some(at) = job.survey.surface_c else {
        wanted.push((Grade::Note, "no_surface_temperature".into(), place(), None, None));
        return;
    };
    for hardener in &job.system.hardeners {
        let bands = &hardener.bands;
        if super::takeoff::dose_at(hardener, at).is_none() {
            let ends = bands.iter().flat_map(|band| [band.from_c, band.to_c]);
            let nearest = ends.min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs()));
            wanted.push((Grade::Refuse, "hardener_table".into(), place(), Some(at), nearest));
        }
    }
}

/// Every ring of the job with its pointer.
fn rings(job: &Job) -> impl Iterator<Item = (String, &Boundary)> {
    job.roofs.iter().enumerate().flat_map(|(r, roof)| {
        let holes = roof.holes.iter().enumerate().map(move |(h, hole)| (format!("/roofs/{r}/holes/{h}"), hole));
        std::iter::once((format!("/roofs/{r}/outer"), &roof.outer)).chain(holes)
    })
}

fn upstands(job: &Job, wanted: &mut Vec<Bare>) {
    let limits = &job.system.limits;
    let mm = |um: i64| Some(um as f64 / 1e3);
    let top = job.system.trims.abutment.section.points.iter().map(|p| p.1.um()).max().unwrap_or(0);
    let kind = |ring: &Boundary, edge: usize| ring.kinds.get(edge).copied().unwrap_or(Kind::Abutment);
    let walls = rings(job).any(|(_, ring)| ring.kinds.is_empty() || ring.kinds.contains(&Kind::Abutment));
    let stands = top - limits.build_up.um();
    if walls && stands < limits.upstand.um() {
        let place = "/system/trims/abutment/section".to_string();
        wanted.push((Grade::Refuse, "upstand_height".into(), place, mm(stands), mm(limits.upstand.um())));
    }
    for (path, ring) in rings(job) {
        for (i, room) in ring.upstands.iter().enumerate() {
            if kind(ring, room.edge) != Kind::Abutment {
                let place = format!("{path}/upstands/{i}/edge");
                wanted.push((Grade::Note, "upstand_not_wall".into(), place, None, None));
                continue;
            }
            let place = format!("{path}/upstands/{i}/height");
            let room = room.height.um() - job.survey.overlay.um();
            let left = room - limits.build_up.um();
            if left < limits.upstand.um() {
                wanted.push((Grade::Refuse, "upstand_height".into(), place, mm(left), mm(limits.upstand.um())));
            } else if room < top {
                wanted.push((Grade::Caution, "upstand_room".into(), place, mm(room), mm(top)));
            }
        }
    }
}

fn pipes(job: &Job, wanted: &mut Vec<Bare>) {
    let limits = &job.system.limits;
    for (r, roof) in job.roofs.iter().enumerate() {
        for (i, pipe) in roof.pipes.iter().enumerate() {
            let Some(height) = pipe.height else { continue };
            let left = height.um() - job.survey.overlay.um() - limits.build_up.um();
            if left < limits.upstand.um() {
                let place = format!("/roofs/{r}/pipes/{i}/height");
                let mm = |um: i64| Some(um as f64 / 1e3);
                wanted.push((Grade::Refuse, "pipe_height".into(), place, mm(left), mm(limits.upstand.um())));
            }
        }
    }
}

fn corners(job: &Job, plan: &Plan, wanted: &mut Vec<Bare>) {
    let sharpest = job.system.limits.sharpest_mitre_deg;
    for (r, (given, planned)) in job.roofs.iter().zip(&plan.roofs).enumerate() {
        let path = |ring: usize| match ring {
            0 => format!("/roofs/{r}/outer"),
            _ => format!("/roofs/{r}/holes/{}", ring - 1),
        };
        let boundary = |ring: usize| if ring == 0 { Some(&given.outer) } else { given.holes.get(ring - 1) };
        let index = |ring: usize, at| boundary(ring).and_then(|b| b.points.iter().position(|&p| p == at));
        for corner in planned.trims.corners.iter().filter(|corner| corner.turn != Turn::Straight) {
            let interior = 180.0 - corner.turn_deg;
            let sharp = interior.min(360.0 - interior);
            if let (true, Some(i)) = (180.0 - corner.turn_deg.abs() < sharpest, index(corner.ring, corner.at)) {
                let place = format!("{}/points/{i}", path(corner.ring));
                wanted.push((Grade::Caution, "mitre_limit".into(), place, Some(sharp), Some(sharpest)));
            }
        }
        for run in planned.trims.runs.iter().filter(|run| run.cut_length.um() == 0) {
            let Some(boundary) = boundary(run.ring) else { continue };
            // Given the other way round, an edge begins where the run's first edge ends.
            let turned = (plane::area2(&plane::ring(&boundary.points)) > 0) != (run.ring == 0);
            let begin = match planned.rings.get(run.ring) {
                Some(ring) if turned => ring.points[(run.first_edge + 1) % ring.points.len()],
                _ => run.from,
            };
            if let Some(i) = index(run.ring, begin) {
                let place = format!("{}/points/{i}", path(run.ring));
                let length = Some(run.line_length.um() as f64 / 1e3);
                wanted.push((Grade::Caution, "short_run".into(), place, length, None));
            }
        }
    }
}
