//! The plan: all that the library works out for a job. Document kind `upstand/plan/1`.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::alternative::{self, Alternative, Compared, MOST_ALTERNATIVES, Options};
use crate::caution;
use crate::error::{Code, Error};
use crate::finding::Finding;
use crate::geometry::Point;
use crate::job::Job;
use crate::length::Length;
use crate::mat::{self, RoofMat};
use crate::roof::{Kind, Outlet, Outline, Pipe};
use crate::schedule::{self, Schedule};
use crate::survey::levels::{self, Drainage};
use crate::survey::{self, Measured, Surveyed};
use crate::system::{Stage, System};
use crate::takeoff::{self, Costs, RoofWork, TakeoffLine};
use crate::trim::{self, CutList, EndTemplate, RoofTrims};
use crate::wet::{self, LaidLayer, Mixing, Portion};
use crate::wire::{self, Document};

/// All that the library works out for a job.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The kind of document.
    #[schemars(schema_with = "plan_tag")]
    pub schema: wire::Tag<Plan>,
    /// The job's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The roofs in the job's order.
    pub roofs: Vec<RoofPlan>,
    /// How to cut trims and battens.
    pub cut_lists: Vec<CutList>,
    /// How to mark and cut the mitred ends of trims, one template for all ends alike.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub templates: Vec<EndTemplate>,
    /// Every layer of the wet work, piece by piece.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub layers: Vec<LaidLayer>,
    /// How every layer with hardener is mixed, stage by stage: at the surface temperature forecast for it, or else at the one
    /// that was read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mixing: Vec<Mixing>,
    /// What is done when, where the job says when work may be done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub schedule: Option<Schedule>,
    /// What to order.
    pub takeoff: Vec<TakeoffLine>,
    /// What it costs, where packs have prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub costs: Option<Costs>,
    /// The job as planned and its alternatives, where it has any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Compared>,
    /// What the checks found, gravest first.
    pub findings: Vec<Finding>,
    /// Cautions that belong to the work as a whole.
    pub cautions: Vec<String>,
}

/// One roof of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoofPlan {
    /// Its name: as given, or `roof 1` and so on.
    pub name: String,
    /// Its rings, the outer one counter-clockwise first, then the holes clockwise.
    pub rings: Vec<PlanRing>,
    /// Its outlets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<Outlet>,
    /// Its pipes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pipes: Vec<Pipe>,
    /// Area inside the outline, less the holes, in square metres.
    pub area_m2: f64,
    /// Corners and runs.
    pub trims: RoofTrims,
    /// Reinforcement.
    pub mat: RoofMat,
    /// Where its water goes, if its corners have levels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drainage: Option<Drainage>,
    /// How the outline was adjusted, where the roof was given by measurements.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
}

/// One ring of a roof as planned: in its normal direction, with the kind of every edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanRing {
    /// The points.
    pub points: Vec<Point>,
    /// The kind of the edge from each point to the next.
    pub kinds: Vec<Kind>,
}

/// Most roofs in one job.
pub const MOST_ROOFS: usize = 1_000;
/// Longest outlines of all roofs of a job together: 100 km. What is larger is in the wrong unit, and would take as many
/// pieces to list.
pub const LONGEST_OUTLINES: Length = Length::from_mm(100_000_000);

impl Job {
    /// Everything that is wrong with the job, in the order of the document; empty if [`plan`] will take it.
    ///
    /// ```
    /// use upstand::{Code, Job};
    ///
    /// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
    ///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "abutment"]}}]}"#)?;
    /// let problems = job.check();
    /// assert_eq!((problems[0].code(), problems[0].path()), (Code::KindCount, "/roofs/0/outer/kinds"));
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn check(&self) -> Vec<Error> {
        analyse(self).err().unwrap_or_default()
    }

    /// The same job with every measured roof given by the coordinates of its adjusted outline.
    ///
    /// # Errors
    /// As for [`survey::adjust::adjust`], with places in the job.
    ///
    /// ```
    /// use upstand::{Code, Job};
    ///
    /// let text = r#"{"schema": "upstand/job/1", "roofs": [{"outer": {"kinds": ["drip", "abutment", "open_side"]},
    ///     "measured": {"outline": ["A", "B", "C"], "measurements": [
    ///         {"distance": {"from": "A", "to": "B", "length": 3000}},
    ///         {"distance": {"from": "B", "to": "C", "length": 5000}},
    ///         {"distance": {"from": "C", "to": "A", "length": 4000}}]}}]}"#;
    /// let job = Job::from_json(text)?.outlined()?;
    /// assert_eq!(job.roofs[0].outer.points[1], upstand::geometry::Point::from_mm(3000, 0));
    ///
    /// let floating = Job::from_json(&text.replace(r#""from": "C""#, r#""from": "B""#))?;
    /// assert!(floating.outlined().is_err());
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn outlined(&self) -> Result<Job, Error> {
        let surveyed = Surveyed::of(&self.roofs);
        Error::from_problems(surveyed.problems.into_iter().map(|(_, problem)| problem).collect())?;
        Ok(Job { roofs: surveyed.roofs.into_owned(), ..self.clone() })
    }
}

/// A job whose roofs are analysed.
struct Analysed<'a> {
    /// The job with every outline in coordinates.
    job: Cow<'a, Job>,
    surveyed: Surveyed<'a>,
    outlines: Vec<Outline>,
    /// The trims before they are cut.
    trims: trim::Drafted,
}

/// The job's roofs, analysed, or everything that is wrong with the job.
fn analyse(job: &Job) -> Result<Analysed<'_>, Vec<Error>> {
    let count = job.roofs.len();
    if count == 0 {
        return Err(vec![Error::new(Code::NoRoofs, "/roofs", "a job without a roof: at least one is needed")]);
    }
    if count > MOST_ROOFS {
        let message = format!("{count} roofs: at most {MOST_ROOFS} are taken");
        return Err(vec![Error::new(Code::TooMany, "/roofs", message)]);
    }
    let surveyed = Surveyed::of(&job.roofs);
    let mut outlines = Vec::with_capacity(count);
    let mut problems = Vec::new();
    for (i, roof) in surveyed.roofs.iter().enumerate() {
        let of_roof = |&&(which, _): &&(usize, Error)| which == i;
        if surveyed.problems.iter().any(|problem| of_roof(&problem)) {
            problems.extend(surveyed.problems.iter().filter(of_roof).map(|(_, error)| error.clone()));
            continue;
        }
        match Outline::new(roof, &job.system.limits, &format!("/roofs/{i}")) {
            Ok(outline) => {
                let of_roof = job.survey.levels.iter().filter(|reading| reading.roof == i);
                let readings: Vec<_> = of_roof.map(|reading| (reading.at, reading.level)).collect();
                outlines.push(outline.with_spot_levels(&readings));
            }
            Err(error) => problems.extend(error.problems().cloned()),
        }
    }
    let around = outlines.iter().flat_map(|outline| &outline.rings).flat_map(|ring| &ring.stretches);
    let total = around.fold(Length::ZERO, |sum, stretch| Length::from_um(sum.um().saturating_add(stretch.length.um())));
    if total > LONGEST_OUTLINES {
        let message = format!("outlines of {total} in all: at most {LONGEST_OUTLINES} are taken");
        problems.push(Error::new(Code::OutOfRange, "/roofs", message));
    }
    problems.extend(job.system.check());
    problems.extend(takeoff::check(&job.system, &job.stock.materials));
    problems.extend(job.programme.iter().flat_map(schedule::check));
    problems.extend(survey::check(&surveyed.roofs, &job.system, &job.survey));
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut job = match &surveyed.roofs {
        Cow::Borrowed(_) => Cow::Borrowed(job),
        Cow::Owned(roofs) => Cow::Owned(Job { roofs: roofs.clone(), ..job.clone() }),
    };
    if !job.prices.is_empty() {
        let Job { system, prices, .. } = job.to_mut();
        problems.extend(takeoff::put_prices(system, prices));
    }
    let mut trims = trim::draft(&job, &outlines);
    problems.append(&mut trims.problems);
    problems.extend(mat::check(&job, &outlines));
    if problems.is_empty() {
        problems = alternative_problems(&job, &outlines);
    }
    if problems.is_empty() { Ok(Analysed { job, surveyed, outlines, trims }) } else { Err(problems) }
}

/// What is wrong with the alternatives; the job itself is sound, so only what an alternative changes is looked at.
fn alternative_problems(job: &Job, outlines: &[Outline]) -> Vec<Error> {
    let count = job.alternatives.len();
    if count > MOST_ALTERNATIVES {
        let message = format!("{count} alternatives: at most {MOST_ALTERNATIVES} are compared");
        return vec![Error::new(Code::TooMany, "/alternatives", message)];
    }
    let of = |(index, chosen): (usize, &Alternative)| {
        let other = chosen.job(job);
        let mut problems = other.system.check();
        if problems.is_empty() {
            problems.extend(trim::check(&other, outlines));
            problems.extend(mat::check(&other, outlines));
        }
        problems.into_iter().map(move |error| error.under(&format!("/alternatives/{index}")))
    };
    job.alternatives.iter().enumerate().flat_map(of).collect()
}

/// Works out everything for a job: trims and their cut lists, mat, take-off, findings.
///
/// The same job gives the same plan on every platform.
///
/// # Errors
/// Everything that [`Job::check`] finds, in one error that carries all problems.
///
/// ```
/// use upstand::{Code, Job};
///
/// let mut job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [5890, 0], [5890, 4000], [0, 4000]],
///     "kinds": ["drip", "open_side", "abutment", "open_side"]}}]}"#)?;
/// let plan = upstand::plan(&job)?;
/// assert_eq!(plan.roofs[0].trims.runs.len(), 4);
/// assert_eq!(plan.roofs[0].area_m2, 23.56);
///
/// job.roofs.clear();
/// assert_eq!(upstand::plan(&job).unwrap_err().code(), Code::NoRoofs);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn plan(job: &Job) -> Result<Plan, Error> {
    let Analysed { job, surveyed, outlines, trims } = match analyse(job) {
        Ok(analysed) => analysed,
        Err(problems) => return Error::from_problems(problems).map(|()| Plan::default()),
    };
    // Rates as the surface and the finish ask for.
    let system = job.system.with_rates_for(&job.survey, job.preferences.finish);
    let job = if system == job.system { job } else { Cow::Owned(Job { system, ..job.into_owned() }) };
    let job = job.as_ref();
    // Rates are no matter of the trims: what was drafted still holds.
    let trims = trim::cut(job, &outlines, trims)?;
    let mats = mat::lay_out(job, &outlines, &trims.roofs)?;
    // From here on the mat is sold in the width that was chosen.
    let in_width;
    let job = if mats.mat == job.system.mat {
        job
    } else {
        in_width = Job { system: System { mat: mats.mat, ..job.system.clone() }, ..job.clone() };
        &in_width
    };
    let mut survey_findings = survey::inspect(&job.roofs, &job.system, &job.survey);
    let roofs = job.roofs.iter().zip(&outlines).zip(trims.roofs).zip(mats.roofs).enumerate();
    let roofs = roofs.map(|(i, (((roof, outline), trims), mat))| RoofPlan {
        name: roof.name.clone().unwrap_or_else(|| format!("roof {}", i + 1)),
        rings: outline
            .rings
            .iter()
            .map(|ring| PlanRing { points: ring.points.clone(), kinds: ring.kinds.clone() })
            .collect(),
        outlets: roof.outlets.clone(),
        pipes: roof.pipes.clone(),
        area_m2: outline.polygon().area_m2(),
        drainage: levels::inspect(i, roof, outline, &job.system, &job.survey, &mut survey_findings),
        measured: surveyed.inspect(i, outline, &trims, &job.system, &mut survey_findings),
        trims,
        mat,
    });
    let mut plan = Plan {
        schema: wire::Tag::default(),
        name: job.name.clone(),
        roofs: roofs.collect(),
        cut_lists: trims.cut_lists.into_iter().chain(mats.cut_lists).collect(),
        templates: trims.templates,
        layers: Vec::new(),
        mixing: Vec::new(),
        schedule: None,
        takeoff: Vec::new(),
        costs: None,
        alternatives: Vec::new(),
        findings: Vec::new(),
        cautions: caution::hazards(&job.system, &job.survey).iter().map(|hazard| hazard.text().into()).collect(),
    };
    plan.findings.extend(survey_findings);
    plan.findings.extend(trims.findings);
    plan.findings.extend(mats.findings);
    plan.findings.extend(wet::inspect(&job.system, &job.survey));
    let works = plan.roofs.iter().map(|roof| RoofWork { area_m2: roof.area_m2, trims: &roof.trims, mat: &roof.mat });
    let works: Vec<_> = works.collect();
    let scheduled =
        job.programme.as_ref().map(|programme| schedule::schedule(&job.system, &job.survey, programme, &works));
    let (schedule, findings) = scheduled.unwrap_or_default();
    let portions = match &schedule {
        Some(schedule) => schedule.portions(&job.system, job.survey.surface_c),
        None => Portion::of_all(&job.system, works.len(), job.survey.surface_c),
    };
    let crew = job.programme.as_ref().map_or(schedule::default_crew(), |programme| programme.crew);
    let (mixing, doubts) = wet::mix(&job.system, crew, &portions, &works);
    // The order covers the dose of the coldest stage.
    let coldest = portions.iter().filter_map(|portion| Some(portion.surface_c?.0)).min_by(f64::total_cmp);
    plan.takeoff = takeoff::take_off(&job.system, coldest, &job.stock.materials, &works, &plan.cut_lists);
    let area_m2 = plan.roofs.iter().map(|roof| roof.area_m2).sum();
    let stages = |schedule: Option<&Schedule>| takeoff::stage_costs(&job.system, &works, &plan.takeoff, schedule);
    plan.layers = wet::laid(&job.system, &works);
    plan.costs = Costs::of(&plan.takeoff, stages(schedule.as_ref()), area_m2);
    if !job.alternatives.is_empty() {
        // Without what the weather asks to be cleaned: that is not a matter of materials.
        let planned = Options { cut_lists: &plan.cut_lists, lines: &plan.takeoff, stages: stages(None), roofs: &works };
        plan.alternatives = alternative::compare(job, &outlines, coldest, planned)?;
    }
    plan.mixing = mixing;
    plan.schedule = schedule;
    plan.findings.extend(doubts);
    plan.findings.extend(findings);
    // The sort is stable: among equals the order of the stages stays.
    plan.findings.sort_by_key(|finding| finding.grade);
    Ok(plan)
}

impl Document for Plan {
    const SCHEMA: &'static str = "upstand/plan/1";
}

fn plan_tag(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    wire::tag_schema::<Plan>()
}

impl Plan {
    /// A stage of its costs, in words.
    pub fn stage_words(&self, cost: &takeoff::StageCost) -> String {
        let named = self.layers.iter().find(|layer| Some(&layer.layer) == cost.layer.as_ref());
        let name = named.map(|layer| layer.name.clone()).or(cost.layer.clone()).unwrap_or_else(|| "glass".into());
        match cost.stage {
            Stage::Preparation => "making ready".into(),
            Stage::Trims => "trims".into(),
            Stage::Coat => name,
            Stage::Details => "tape and patches".into(),
            Stage::Laminate => "main area".into(),
            Stage::Cleaning => format!("cleaning {name}"),
        }
    }

    /// Reads a plan from JSON text.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json).
    ///
    /// ```
    /// use upstand::{Code, Plan};
    ///
    /// let text = Plan::default().to_json();
    /// assert_eq!(Plan::from_json(&text).unwrap(), Plan::default());
    /// assert_eq!(Plan::from_json("{}").unwrap_err().code(), Code::WrongSchema);
    /// ```
    pub fn from_json(text: &str) -> Result<Plan, Error> {
        wire::read(text)
    }

    /// The plan as canonical JSON text: the same bytes for the same job on every platform and from every language.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}
