//! Footprints of real buildings: every valid one plans under several ways to give its edges their kinds and passes the
//! checker; every invalid one gets a coded error or a plan, and none a panic.
//!
//! `UPSTAND_DATA` names a folder with GeoJSON Features, one a line: `footprints.jsonl` (`properties.units` m,
//! `properties.valid`) and `pathological.jsonl` (`properties.expected_valid`). Without it, the same procedure runs over
//! generated footprints, and over broken ones made from them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::time::Instant;

use serde_json::Value;
use upstand::cutting::Status;
use upstand::roof::Boundary;
use upstand::system::{Direction, ZoneChoice};
use upstand::trim::Material;
use upstand::{Error, Job, Kind, Plan, Roof};
use upstand_tests::generate::{self, Dressing, Family, Random};
use upstand_tests::{check_plan, plane};

/// One footprint: rings in micrometres, as given.
struct Footprint {
    id: String,
    rings: Vec<Vec<plane::P>>,
    valid: bool,
}

/// Features of a file; coordinates in metres. `None` for coordinates that no length holds.
fn read(path: &Path, valid: &str) -> Vec<Footprint> {
    let text = std::fs::read_to_string(path).expect("the folder that UPSTAND_DATA names has this file");
    let feature = |line: &str| {
        let feature: Value = serde_json::from_str(line).expect("one Feature a line");
        let to_um = |v: &Value| v.as_f64().filter(|m| m.abs() < 1e6).map(|m| (m * 1e6).round() as i64);
        let rings = feature["geometry"]["coordinates"].as_array()?.iter().map(|ring| {
            ring.as_array()?.iter().map(|p| Some((to_um(&p[0])?, to_um(&p[1])?))).collect::<Option<Vec<_>>>()
        });
        Some(Footprint {
            id: feature["id"].as_str().unwrap_or("?").into(),
            rings: rings.collect::<Option<Vec<_>>>()?,
            valid: feature["properties"][valid].as_bool().unwrap_or(false),
        })
    };
    text.lines().filter(|line| !line.trim().is_empty()).filter_map(feature).collect()
}

/// Generated footprints, and ones spoilt by exchanging or repeating points.
fn generated() -> Vec<Footprint> {
    let mut random = Random::new(7);
    let mut all = Vec::new();
    for i in 0..140 {
        let ring = generate::footprint(&mut random, Family::ALL[i % Family::ALL.len()]);
        let mut spoilt = ring.clone();
        let (a, b) = (random.between(0, ring.len() as i64 - 1), random.between(0, ring.len() as i64 - 1));
        match i % 3 {
            0 => spoilt.swap(a as usize, b as usize),
            1 => spoilt.insert(a as usize, ring[b as usize]),
            _ => spoilt[a as usize] = ring[b as usize],
        }
        let valid = plane::simple(&spoilt);
        all.push(Footprint { id: format!("spoilt {i}"), rings: vec![spoilt], valid });
        let kerbs = generate::kerbs(&mut random, &ring, 2, 400_000.0);
        let rings = std::iter::once(ring).chain(kerbs).collect();
        all.push(Footprint { id: format!("generated {i}"), rings, valid: true });
    }
    all
}

/// The roof of a footprint; `None` where rings are too few or too short to name kinds for.
fn roof(footprint: &Footprint, dressing: Dressing) -> Roof {
    // The same point again in a row, the closing one among them, is left out: it makes an edge of no length, which
    // no kind could be given.
    let open = |ring: &[plane::P]| {
        let mut open = ring.to_vec();
        open.dedup();
        while open.len() > 1 && open.first() == open.last() {
            open.pop();
        }
        open
    };
    let boundary = |ring: &Vec<plane::P>, kinds: bool| {
        let ring = open(ring);
        let kinds = if kinds { generate::kinds(&ring, dressing) } else { Vec::new() };
        generate::boundary(&ring, kinds)
    };
    Roof {
        outer: footprint.rings.first().map_or_else(Boundary::default, |ring| boundary(ring, true)),
        holes: footprint.rings.iter().skip(1).map(|ring| boundary(ring, false)).collect(),
        ..Roof::default()
    }
}

/// What came of a number of plans.
#[derive(Default)]
struct Tally {
    planned: usize,
    refused: BTreeMap<&'static str, usize>,
    findings: BTreeMap<String, usize>,
    faults: Vec<String>,
    /// Cut lists of trims with up to forty runs, those proven best among them, and the largest that is not.
    lists: (usize, usize, String),
    seconds: f64,
    slowest: (f64, String),
}

impl Tally {
    fn plan(&mut self, footprint: &Footprint, dressing: Dressing, zones: ZoneChoice) {
        let mut job = Job { roofs: vec![roof(footprint, dressing)], ..Job::default() };
        if zones == ZoneChoice::Least {
            (job.system.mat.zones, job.system.mat.direction) = (zones, Direction::Best);
        }
        let begun = Instant::now();
        let result: Result<Plan, Error> = upstand::plan(&job);
        let took = begun.elapsed().as_secs_f64();
        self.seconds += took;
        if took > self.slowest.0 {
            self.slowest = (took, format!("{} {dressing:?}", footprint.id));
        }
        match result {
            Ok(plan) => {
                self.planned += 1;
                for finding in &plan.findings {
                    *self.findings.entry(finding.code.clone()).or_default() += 1;
                }
                for list in plan.cut_lists.iter().filter(|list| list.material < Material::Batten) {
                    let pieces = list.bars.iter().flat_map(|bar| &bar.pieces);
                    let runs = pieces.map(|piece| (piece.roof, &piece.run)).collect::<BTreeSet<_>>().len();
                    if runs <= 40 {
                        self.lists.0 += 1;
                        if list.status == Status::ProvenBest {
                            self.lists.1 += 1;
                        } else {
                            self.lists.2 = format!("{} {dressing:?} {:?}, {runs} runs", footprint.id, list.material);
                        }
                    }
                }
                let faults = check_plan::faults(&job, &plan);
                let said = faults.into_iter().map(|fault| format!("{} {dressing:?}: {fault}", footprint.id));
                self.faults.extend(said);
            }
            Err(error) => {
                *self.refused.entry(error.code().slug()).or_default() += 1;
                // Fine edges and large rings are limits of the system.
                if footprint.valid && !["short_edge", "too_many_points"].contains(&error.code().slug()) {
                    self.faults.push(format!("{} {dressing:?}: {error}", footprint.id));
                }
            }
        }
    }

    fn print(&self, what: &str) {
        println!(
            "{what}: {} plans, {} refused {:?}, findings {:?}, {} of {} trim lists of up to 40 runs proven best (not: {}), {:.2} s, slowest {:.1} ms ({})",
            self.planned,
            self.refused.values().sum::<usize>(),
            self.refused,
            self.findings,
            self.lists.1,
            self.lists.0,
            self.lists.2,
            self.seconds,
            self.slowest.0 * 1e3,
            self.slowest.1
        );
        for fault in self.faults.iter().take(40) {
            println!("  {fault}");
        }
    }
}

fn campaign(what: &str, footprints: &[Footprint], valid: bool) -> Tally {
    let mut tally = Tally::default();
    for (i, footprint) in footprints.iter().filter(|footprint| footprint.valid == valid).enumerate() {
        let mixed = Dressing::Mixed(i as u64);
        // Once with the mat in zones, in the best directions; twice from the drip.
        tally.plan(footprint, Dressing::All(Kind::ALL[i % 3]), ZoneChoice::Least);
        for dressing in [Dressing::Extension, mixed] {
            tally.plan(footprint, dressing, ZoneChoice::One);
        }
    }
    tally.print(what);
    tally
}

#[test]
fn every_valid_footprint_plans_and_no_invalid_one_panics() {
    let footprints = match std::env::var_os("UPSTAND_DATA") {
        Some(folder) => {
            let mut all = read(&Path::new(&folder).join("footprints.jsonl"), "valid");
            all.extend(read(&Path::new(&folder).join("pathological.jsonl"), "expected_valid").into_iter().map(|f| {
                // Other people's ideas of validity allow rings to touch; here a coded error may refuse that.
                Footprint { valid: false, ..f }
            }));
            all
        }
        None => generated(),
    };
    assert!(footprints.len() > 100, "only {} footprints", footprints.len());
    let valid = campaign("valid", &footprints, true);
    let invalid = campaign("invalid", &footprints, false);
    assert!(valid.faults.is_empty(), "{} faults", valid.faults.len());
    assert!(invalid.faults.is_empty(), "{} faults", invalid.faults.len());
    assert!(valid.planned > 0 && !invalid.refused.is_empty());
}
