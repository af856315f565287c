//! What there is to do: tasks with their amounts, from what trims and mat have worked out.

use super::{Place, Programme, Stage};
use crate::caution::Hazard;
use crate::roof::Kind;
use crate::survey::Survey;
use crate::system::{Layer, Renewal, System};
use crate::wet::{self, Portion, RoofWork};

/// A task without its times.
#[derive(Clone, Debug)]
pub(super) struct Draft<'a> {
    pub(super) name: String,
    pub(super) stage: Stage,
    pub(super) kind: Option<Kind>,
    pub(super) layer: Option<&'a Layer>,
    /// The layer that is cleaned.
    pub(super) cleans: Option<&'a Layer>,
    /// Square metres that the layer covers there, or that are cleaned.
    pub(super) covered_m2: f64,
    /// Position of the layer in the system.
    pub(super) rank: usize,
    pub(super) places: Vec<Place>,
    pub(super) amount: f64,
    pub(super) unit: &'static str,
    pub(super) person_hours: f64,
    pub(super) hazards: Vec<Hazard>,
}

/// Most sections of one job: a schedule of more tasks is for another tool.
pub(super) const MOST_SECTIONS: usize = 100;

/// The dry tasks in order, and the wet ones of each section in order; none where there are too many sections.
pub(super) type Drafts<'a> = (Vec<Draft<'a>>, Vec<Vec<Draft<'a>>>);

pub(super) fn drafts<'a>(
    system: &'a System,
    survey: &Survey,
    programme: &Programme,
    roofs: &[RoofWork<'_>],
) -> Option<Drafts<'a>> {
    let sections = sections(programme.section_m2, roofs)?;
    let wet = sections.iter().map(|places| wet(system, roofs, places)).collect();
    Some((dry(system, survey, roofs), wet))
}

/// Roofs grouped into sections in their order: several small ones together, a large one in equal parts.
fn sections(most_m2: f64, roofs: &[RoofWork<'_>]) -> Option<Vec<Vec<Place>>> {
    // A roof of exactly the largest area is one section.
    const HAIR: f64 = 1e-9;
    let mut sections: Vec<Vec<Place>> = Vec::new();
    let mut held_m2 = f64::INFINITY;
    for (roof, work) in roofs.iter().enumerate() {
        let parts = (work.area_m2 / most_m2 - HAIR).ceil().max(1.0);
        if sections.len() as f64 + parts > MOST_SECTIONS as f64 {
            return None;
        }
        let parts = parts as u64;
        if parts == 1
            && held_m2 + work.area_m2 <= most_m2
            && let Some(last) = sections.last_mut()
        {
            last.push(Place { roof, part: 1, parts: 1 });
            held_m2 += work.area_m2;
            continue;
        }
        sections.extend((1..=parts).map(|part| vec![Place { roof, part, parts }]));
        held_m2 = if parts == 1 { work.area_m2 } else { f64::INFINITY };
    }
    Some(sections)
}

fn everywhere(roofs: &[RoofWork<'_>]) -> Vec<Place> {
    (0..roofs.len()).map(|roof| Place { roof, part: 1, parts: 1 }).collect()
}

fn dry<'a>(system: &'a System, survey: &Survey, roofs: &[RoofWork<'_>]) -> Vec<Draft<'a>> {
    let work = &system.work;
    let area_m2: f64 = roofs.iter().map(|roof| roof.area_m2).sum();
    let mut drafts = vec![Draft {
        name: "make the deck ready".into(),
        stage: Stage::Preparation,
        kind: None,
        layer: None,
        cleans: None,
        covered_m2: 0.0,
        rank: 0,
        places: everywhere(roofs),
        amount: area_m2,
        unit: "m2",
        person_hours: area_m2 / work.preparation_m2,
        hazards: Hazard::of_preparation(survey),
    }];
    for kind in work.trim_order {
        let length_m = |roof: &RoofWork<'_>| -> f64 {
            roof.trims.runs.iter().filter(|run| run.kind == kind).map(|run| run.cut_length.m()).sum()
        };
        let places: Vec<Place> =
            everywhere(roofs).into_iter().filter(|place| length_m(&roofs[place.roof]) > 0.0).collect();
        let total_m: f64 = roofs.iter().map(length_m).sum();
        let of_kind = roofs.iter().flat_map(|roof| &roof.trims.runs).filter(|run| run.kind == kind);
        let joints = of_kind.map(|run| run.joints.len()).sum::<usize>() as f64;
        drafts.push(Draft {
            name: format!("fix {}s", system.trims.of(kind).name),
            stage: Stage::Trims,
            kind: Some(kind),
            layer: None,
            cleans: None,
            covered_m2: 0.0,
            rank: 0,
            places,
            amount: total_m,
            unit: "m",
            person_hours: total_m / work.trim_m + joints / work.joints,
            hazards: Hazard::OF_TRIMS.to_vec(),
        });
    }
    drafts.retain(|draft| draft.amount > 0.0);
    drafts
}

/// The wet tasks of one section: every layer in order, the glass in two stages.
fn wet<'a>(system: &'a System, roofs: &[RoofWork<'_>], places: &[Place]) -> Vec<Draft<'a>> {
    let mut drafts = Vec::new();
    for (rank, layer) in system.layers.iter().enumerate() {
        for &stage in wet::stages(layer) {
            let portion = Portion { layer: rank, stage, places: places.to_vec(), task: None, surface_c: None };
            let (amount, unit) = portion.amount(system, roofs);
            if amount <= 0.0 {
                continue;
            }
            let name = match stage {
                Stage::Details => format!("details: tape and patches in {}", layer.name),
                Stage::Laminate => format!("main area: mat in {}", layer.name),
                _ => format!("lay {}", layer.name),
            };
            drafts.push(Draft {
                name,
                stage,
                kind: None,
                layer: Some(layer),
                cleans: None,
                covered_m2: portion.covered_m2(system, roofs),
                rank,
                amount,
                unit,
                person_hours: portion.person_hours(system, roofs),
                hazards: Hazard::of_wet_work(layer.hardener.is_some(), stage != Stage::Coat),
                places: portion.places,
            });
        }
    }
    drafts
}

/// What a task is called that cleans a layer.
pub(crate) fn cleaning_name(renewal: &Renewal, layer: &Layer) -> String {
    format!("{}: {}", renewal.how, layer.name)
}

/// What makes the layer of a task fit again before the next one.
pub(super) fn cleaning<'a>(layer: &'a Layer, renewal: &Renewal, laid: &Draft<'a>) -> Draft<'a> {
    Draft {
        name: cleaning_name(renewal, layer),
        stage: Stage::Cleaning,
        kind: None,
        layer: None,
        cleans: Some(layer),
        covered_m2: laid.covered_m2,
        rank: laid.rank,
        places: laid.places.clone(),
        amount: laid.covered_m2,
        unit: "m2",
        person_hours: laid.covered_m2 / renewal.m2_per_person_hour,
        hazards: Hazard::OF_CLEANING.to_vec(),
    }
}
