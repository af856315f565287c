//! What a job is refused for: over thousands of jobs spoiled in many ways, [`Job::check`] and [`plan`](upstand::plan) name
//! the same problems in the same order, and neither panics. What the check passes is planned.
//!
//! `UPSTAND_REFUSAL_CASES` sets the number of spoiled jobs (600 by default).

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use upstand::geometry::Point;
use upstand::job::{OnHand, TrimOnHand};
use upstand::roof::{Boundary, CornerChoice, Outlet, Pipe, UpstandRoom, WallAbove};
use upstand::survey::MoistureReading;
use upstand::system::{Closing, EndCut, EndRule, Leg, Reach, Section, Trim};
use upstand::trim::WindFixing;
use upstand::{Code, Job, Kind, Length, System};
use upstand_tests::generate::{self, Random};

/// A length at or beyond the border of what makes sense.
fn odd(random: &mut Random) -> Length {
    let mm = Length::from_mm;
    let all = [
        -Length::LIMIT,
        mm(-1000),
        Length::from_um(-1),
        Length::ZERO,
        Length::from_um(1),
        mm(1),
        mm(60),
        mm(3_000),
        mm(200_000),
        mm(100_000_001),
        Length::LIMIT,
    ];
    *random.pick(&all)
}

/// A number at or beyond the border of what makes sense.
fn odd_number(random: &mut Random) -> f64 {
    *random.pick(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300, -1.0, 0.0, 1e-9, 0.5, 91.0, 400.0, 1e9, 1e300])
}

fn ring<'a>(job: &'a mut Job, random: &mut Random) -> &'a mut Boundary {
    let roof = random.between(0, job.roofs.len() as i64 - 1) as usize;
    let roof = &mut job.roofs[roof];
    if !roof.holes.is_empty() && random.once_in(3) { &mut roof.holes[0] } else { &mut roof.outer }
}

fn place(boundary: &Boundary, random: &mut Random) -> usize {
    random.between(0, boundary.points.len().max(1) as i64 - 1) as usize
}

fn trim<'a>(job: &'a mut Job, random: &mut Random) -> &'a mut Trim {
    let trims = &mut job.system.trims;
    match random.between(0, 2) {
        0 => &mut trims.drip,
        1 => &mut trims.abutment,
        _ => &mut trims.open_side,
    }
}

fn rule(random: &mut Random) -> EndRule {
    let cuts = [EndCut::Mitre, EndCut::Square, EndCut::Lap, EndCut::Return, EndCut::Skew];
    let reaches = [Reach::Outline, Reach::Outermost, Reach::BehindFace, Reach::Foot, Reach::Seam];
    let gain = if random.once_in(2) { odd(random) } else { Length::from_mm(random.between(-50, 150)) };
    let closing = *random.pick(&[None, Some(Closing::Strip), Some(Closing::Cap)]);
    EndRule { cut: *random.pick(&cuts), reach: *random.pick(&reaches), gain, closing }
}

fn spoil_ring(job: &mut Job, random: &mut Random) {
    let boundary = ring(job, random);
    let at = place(boundary, random);
    match random.between(0, 16) {
        0 => drop(boundary.kinds.pop()),
        1 => boundary.kinds.push(Kind::Drip),
        2 => boundary.kinds.clear(),
        3 => boundary.points.truncate(random.between(0, 3) as usize),
        4 => boundary.points.insert(at, boundary.points[at]),
        5 => boundary.points.swap(at, 0),
        6 => boundary.points[at].x = odd(random),
        7 => boundary.points[at] = Point { x: odd(random), y: odd(random) },
        8 => boundary.points.iter_mut().for_each(|point| point.x += Length::from_mm(7_000)),
        9 => boundary.levels = vec![Length::ZERO; at],
        10 => boundary.levels = boundary.points.iter().map(|_| odd(random)).collect(),
        11 => {
            let point = if random.once_in(3) { boundary.points.len() + at } else { at };
            let patches = *random.pick(&[None, Some(0), Some(3), Some(u32::MAX)]);
            boundary.corners.push(CornerChoice { point, ends: (rule(random), rule(random)), patches });
        }
        12 => {
            let choice = CornerChoice { point: at, ends: (EndRule::mitre(), EndRule::mitre()), patches: None };
            boundary.corners.extend([choice.clone(), choice]);
        }
        13 => boundary.walls.push(WallAbove { edge: at + random.between(0, 2) as usize * 9, height: odd(random) }),
        14 => boundary.upstands.push(UpstandRoom {
            edge: at + random.between(0, 1) as usize * 99,
            height: odd(random),
            threshold: random.once_in(2),
            top: random.once_in(2).then(|| odd(random)),
        }),
        15 => boundary.points.clear(),
        _ => {
            // Out and back along the same line.
            let (a, b) = (boundary.points[at], boundary.points[(at + 1) % boundary.points.len()]);
            boundary.points.splice(at + 1..at + 1, [b, a]);
        }
    }
}

fn spoil_section(section: &mut Section, random: &mut Random) {
    let at = random.between(0, section.points.len() as i64 - 1) as usize;
    match random.between(0, 7) {
        0 => section.face = random.between(0, 9) as usize,
        1 => section.deck_flange = *random.pick(&[1, 2, 9, usize::MAX]),
        2 => section.thickness = odd(random),
        3 => section.bead_radius = odd(random),
        4 => section.points.truncate(at),
        5 => section.points[at] = (odd(random), odd(random)),
        6 => section.points.insert(at, section.points[at]),
        _ => section.points.reverse(),
    }
}

fn spoil_trim(job: &mut Job, random: &mut Random) {
    let trim = trim(job, random);
    match random.between(0, 8) {
        0 => trim.bars.clear(),
        1 => trim.bars[0].length = odd(random),
        2 => trim.lap = odd(random),
        3 => trim.fixing_lines = *random.pick(&[0, 3, 100, 101, u32::MAX]),
        4 => trim.fixing_legs = vec![*random.pick(&[Leg::Edge, Leg::DeckFlange, Leg::Rise, Leg::Face, Leg::Return])],
        5 => trim.mat_onto = odd(random),
        _ => spoil_section(&mut trim.section, random),
    }
}

fn spoil_system(job: &mut Job, random: &mut Random) {
    let system = &mut job.system;
    let row = random.between(0, system.corners.len() as i64 - 1) as usize;
    match random.between(0, 21) {
        0 => system.cutting_increment = odd(random),
        1 => drop(system.corners.remove(row)),
        2 => system.corners.clear(),
        3 => system.corners.push(system.corners[row].clone()),
        4 => system.corners[row].patches = *random.pick(&[0, 100, 101, u32::MAX]),
        5 => system.corners[row].ends = (rule(random), rule(random)),
        6 => system.closing.strip.bars.clear(),
        7 => system.closing.strip.piece = odd(random),
        8 => system.closing.cap.pack = 0,
        9 => system.batten.bars[0].length = odd(random),
        10 => {
            let batten = &mut system.batten;
            let parts = [&mut batten.kerf, &mut batten.least_piece, &mut batten.joint_clear, &mut batten.height];
            *parts.into_iter().nth(row % 4).expect("one of four") = odd(random);
        }
        11 => system.fixing.spacing = odd(random),
        12 => system.fixing.end_distance = odd(random),
        13 => system.fixing.pack = 0,
        14 => system.adhesive.bead = odd(random),
        15 => system.adhesive.beads_per_lap = *random.pick(&[0, 101, u32::MAX]),
        16 => {
            let mat = &mut system.mat;
            let parts = [&mut mat.width, &mut mat.roll, &mut mat.lap, &mut mat.end_lap, &mut mat.least_piece];
            *parts.into_iter().nth(row % 5).expect("one of five") = odd(random);
        }
        17 => system.tape.lap = odd(random),
        18 => system.patch.side = odd(random),
        19 => {
            let limits = &mut system.limits;
            let parts = [
                &mut limits.sharpest_mitre_deg,
                &mut limits.gentlest_square_deg,
                &mut limits.straight_deg,
                &mut limits.fall,
                &mut limits.moisture_percent,
                &mut limits.pot_life_share,
            ];
            *parts.into_iter().nth(row % 6).expect("one of six") = odd_number(random);
        }
        20 => system.limits.least_edge = odd(random),
        _ => system.limits.most_points = *random.pick(&[0, 3, 5]),
    }
}

fn spoil_rest(job: &mut Job, random: &mut Random) {
    let preferences = &mut job.preferences;
    let count = *random.pick(&[0, 1, u32::MAX]);
    match random.between(0, 14) {
        0 => preferences.least_piece = odd(random),
        1 => preferences.joint_clear = odd(random),
        2 => preferences.least_useful = odd(random),
        3 => preferences.weather_from_deg = Some(odd_number(random)),
        4 => preferences.wind = Some(WindFixing { height: odd(random), edge: odd(random), corner: odd(random) }),
        5 => job.stock.trims.push(TrimOnHand { kind: *random.pick(&Kind::ALL), length: odd(random), count }),
        6 => job.stock.battens.push(OnHand { length: odd(random), count }),
        7 => job.roofs.clear(),
        8 => job.survey.surface_c = Some(odd_number(random)),
        9 => {
            let roof = random.between(0, 4) as usize;
            job.survey.moisture.push(MoistureReading { percent: odd_number(random), roof, at: None });
        }
        10 => {
            let at = Point { x: odd(random), y: odd(random) };
            let diameter = odd(random);
            if random.once_in(2) {
                job.roofs[0].outlets.push(Outlet { at, diameter });
            } else {
                job.roofs[0].pipes.push(Pipe { name: None, at, diameter, height: Some(odd(random)) });
            }
        }
        11 => {
            let hole = job.roofs[0].outer.clone();
            job.roofs[0].holes.push(hole);
        }
        12 => {
            let again = job.roofs[0].holes.clone();
            job.roofs[0].holes.extend(again);
        }
        13 => job.system.layers[0].packs.clear(),
        _ => job.system.hardeners[0].bands.clear(),
    }
}

/// Puts another number in the place of one, anywhere in the document; `None` where it does not read as a job then.
fn spoil_any_number(job: &Job, random: &mut Random) -> Option<Job> {
    fn numbers<'a>(value: &'a mut Value, found: &mut Vec<&'a mut Value>) {
        match value {
            Value::Object(fields) => fields.values_mut().for_each(|value| numbers(value, found)),
            Value::Array(items) => items.iter_mut().for_each(|value| numbers(value, found)),
            Value::Number(_) => found.push(value),
            _ => {}
        }
    }
    let mut value: Value = serde_json::from_str(&job.to_json()).ok()?;
    let mut found = Vec::new();
    numbers(&mut value, &mut found);
    let at = random.between(0, found.len() as i64 - 1) as usize;
    *found[at] = random.pick(&[-1.0, 0.0, 1.0, 7.0, 99.0, 1e5, 1e9].map(|x: f64| Value::from(x as i64))).clone();
    Job::from_json(&value.to_string()).ok()
}

/// Whether there is something left to spoil in every part.
fn has_parts(job: &Job) -> bool {
    let System { trims, corners, closing, batten, layers, hardeners, .. } = &job.system;
    let rings = job.roofs.iter().flat_map(|roof| std::iter::once(&roof.outer).chain(&roof.holes));
    let of_trim = |trim: &Trim| !trim.bars.is_empty() && !trim.section.points.is_empty();
    !job.roofs.is_empty()
        && rings.into_iter().all(|ring| !ring.points.is_empty())
        && [&trims.drip, &trims.abutment, &trims.open_side].into_iter().all(of_trim)
        && !(corners.is_empty() || closing.strip.bars.is_empty() || batten.bars.is_empty())
        && !(layers.is_empty() || hardeners.is_empty())
}

fn spoiled(seed: u64) -> Job {
    let mut random = Random::new(seed);
    let mut job = generate::job(random.bits());
    job.preferences.nodes = 20;
    for _ in 0..random.between(1, 3) {
        if !has_parts(&job) {
            break;
        }
        match random.between(0, 5) {
            0 => spoil_ring(&mut job, &mut random),
            1 => spoil_trim(&mut job, &mut random),
            2 => spoil_system(&mut job, &mut random),
            3 => spoil_rest(&mut job, &mut random),
            _ => job = spoil_any_number(&job, &mut random).unwrap_or(job),
        }
    }
    job
}

#[test]
fn check_and_plan_name_the_same_problems() {
    let cases = std::env::var("UPSTAND_REFUSAL_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(600);
    let (mut planned, mut seen) = (0, BTreeMap::<&str, u32>::new());
    for seed in 0..cases {
        let job = spoiled(seed);
        let checked: Vec<String> = job.check().iter().map(ToString::to_string).collect();
        match upstand::plan(&job) {
            Ok(_) => {
                assert_eq!(checked, Vec::<String>::new(), "seed {seed}: planned in spite of what the check finds");
                planned += 1;
            }
            Err(error) => {
                let refused: Vec<String> = error.problems().map(ToString::to_string).collect();
                assert_eq!(checked, refused, "seed {seed}");
                error.problems().for_each(|problem| *seen.entry(problem.code().slug()).or_default() += 1);
            }
        }
    }
    println!("{cases} jobs: {planned} planned, the others refused for {seen:?}");
    // Both ways are taken, and what a job can be refused for occurs.
    assert!(planned * 10 > cases && planned * 2 < cases, "{planned} of {cases}");
    let wanted = [
        Code::OutOfRange,
        Code::TooFewPoints,
        Code::RepeatedPoint,
        Code::SelfCrossing,
        Code::ShortEdge,
        Code::KindCount,
        Code::NoRoofs,
        Code::OutletOutside,
        Code::NoCornerRule,
        Code::LevelCount,
        Code::BadSection,
        Code::BadSize,
        Code::BadRate,
        Code::BadTable,
        Code::BadCutRule,
        Code::BadMat,
        Code::BadLiquid,
        Code::BadReading,
        Code::NoSuchPlace,
    ];
    let missing: BTreeSet<&str> = wanted.map(Code::slug).into_iter().filter(|code| !seen.contains_key(code)).collect();
    assert!(missing.is_empty(), "never provoked: {missing:?}");
}
