//! A portion of the wet work: one layer, one stage, some roofs or parts of roofs; how much it is, how long it takes, and
//! what its pieces are in the order of laying.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::quantity::trim_m2;
use crate::geometry::Point;
use crate::mat::{PatchPlace, RoofMat};
use crate::system::{Covers, Layer, Rate, Stage, System};
use crate::trim::{RoofTrims, TrimRun};

/// What one roof takes, as the stages before have worked it out.
#[derive(Clone, Copy, Debug)]
pub struct RoofWork<'a> {
    /// Area inside the outline, less the holes, in square metres.
    pub area_m2: f64,
    /// Its corners and runs.
    pub trims: &'a RoofTrims,
    /// Its reinforcement.
    pub mat: &'a RoofMat,
}

/// A roof, or a part of one that is worked on by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Which roof, from 0.
    pub roof: usize,
    /// Which of its equal parts, from 1; 1 of 1 is the whole roof.
    pub part: u64,
    /// Of how many.
    pub parts: u64,
}

/// A layer laid in one stage on some places.
#[derive(Clone, Debug, PartialEq)]
pub struct Portion {
    /// Index of the layer in the system.
    pub layer: usize,
    /// The stage: [`Stage::Details`] and [`Stage::Laminate`] for a layer that wets glass, [`Stage::Coat`] for others.
    pub stage: Stage,
    /// Where.
    pub places: Vec<Place>,
    /// Number of the task that it is in the schedule, if there is one.
    pub task: Option<u64>,
    /// Coldest and warmest surface while it is laid, in degrees Celsius, if known.
    pub surface_c: Option<(f64, f64)>,
}

/// A piece of a portion: a strip, a run with its tape and patches, a whole deck.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Item {
    pub(super) roof: usize,
    pub(super) mark: String,
    /// Mass of the layer that it takes, without allowance.
    pub(super) kg: f64,
    /// What it is of the portion's amount.
    pub(super) amount: f64,
}

/// The stages of a layer.
pub(crate) fn stages(layer: &Layer) -> &'static [Stage] {
    match layer.rate {
        Rate::PerGlass(_) => &[Stage::Details, Stage::Laminate],
        Rate::KgPerM2(_) => &[Stage::Coat],
    }
}

impl Portion {
    /// All portions of a job whose roofs are worked on together, at one surface temperature.
    pub fn of_all(system: &System, roofs: usize, surface_c: Option<f64>) -> Vec<Portion> {
        let places: Vec<Place> = (0..roofs).map(|roof| Place { roof, part: 1, parts: 1 }).collect();
        let of_layer = |(layer, of): (usize, &Layer)| {
            let portion = |&stage: &Stage| Portion {
                layer,
                stage,
                places: places.clone(),
                task: None,
                surface_c: surface_c.map(|surface_c| (surface_c, surface_c)),
            };
            stages(of).iter().map(portion).collect::<Vec<_>>()
        };
        system.layers.iter().enumerate().flat_map(of_layer).collect()
    }

    /// How much there is to do and its unit: metres of tape (pieces, where there are only patches) or square metres.
    pub(crate) fn amount(&self, system: &System, roofs: &[RoofWork<'_>]) -> (f64, &'static str) {
        let sum = |value: &dyn Fn(&RoofWork<'_>) -> f64| self.sum(roofs, value);
        match self.stage {
            Stage::Details => match self.tape_m(system, roofs) {
                tape_m if tape_m > 0.0 => (tape_m, "m"),
                _ => (sum(&|roof| roof.mat.patch_count() as f64), "piece"),
            },
            Stage::Laminate if sum(&|roof| roof.mat.laid_m2) <= 0.0 => (0.0, "m2"),
            _ => {
                let layer = &system.layers[self.layer];
                let nothing = matches!(layer.rate, Rate::KgPerM2(rate) if rate <= 0.0);
                (if nothing { 0.0 } else { sum(&|roof| covered_m2(system, roof, layer.covers)) }, "m2")
            }
        }
    }

    /// Hours that one person would take.
    pub(crate) fn person_hours(&self, system: &System, roofs: &[RoofWork<'_>]) -> f64 {
        let (work, layer) = (&system.work, &system.layers[self.layer]);
        if self.stage == Stage::Details {
            let tape_m = self.tape_m(system, roofs);
            let patches = self.sum(roofs, &|roof| roof.mat.patch_count() as f64);
            return tape_m / work.tape_m + patches / work.patches;
        }
        self.amount(system, roofs).0 / layer.m2_per_person_hour.unwrap_or(work.coat_m2)
    }

    /// What it takes, without allowance, in kilograms.
    pub(crate) fn net_kg(&self, system: &System, roofs: &[RoofWork<'_>]) -> f64 {
        self.items(system, roofs).iter().map(|item| item.kg).sum()
    }

    /// Square metres that its layer covers there.
    pub(crate) fn covered_m2(&self, system: &System, roofs: &[RoofWork<'_>]) -> f64 {
        let covers = system.layers[self.layer].covers;
        self.sum(roofs, &|roof| covered_m2(system, roof, covers))
    }

    fn tape_m(&self, system: &System, roofs: &[RoofWork<'_>]) -> f64 {
        self.sum(roofs, &|roof| roof.mat.tape_off_roll(system.tape.lap).m())
    }

    fn sum(&self, roofs: &[RoofWork<'_>], value: &dyn Fn(&RoofWork<'_>) -> f64) -> f64 {
        let of = |place: &Place| roofs.get(place.roof).map_or(0.0, |roof| value(roof) / place.parts.max(1) as f64);
        self.places.iter().map(of).sum()
    }

    /// Its pieces in the order of laying. A part of a roof takes its share of the roof's pieces one after the other.
    pub(super) fn items(&self, system: &System, roofs: &[RoofWork<'_>]) -> Vec<Item> {
        let taped = self.tape_m(system, roofs) > 0.0;
        let mut items = Vec::new();
        for place in &self.places {
            let Some(roof) = roofs.get(place.roof) else { continue };
            let whole = self.of_roof(system, place.roof, roof, taped);
            let total: f64 = whole.iter().map(|item| item.kg).sum();
            let parts = place.parts.max(1) as f64;
            let (from, to) = (total * (place.part - 1) as f64 / parts, total * place.part as f64 / parts);
            let mut at = 0.0;
            for item in whole {
                let kept = ((at + item.kg).min(to) - at.max(from)).max(0.0);
                at += item.kg;
                // A sliver of rounding is no piece.
                if kept > item.kg * 1e-9 {
                    let share = kept / item.kg;
                    items.push(Item { kg: kept, amount: item.amount * share, ..item });
                }
            }
        }
        items
    }

    /// Where nothing is `taped`, details are counted by their patches.
    fn of_roof(&self, system: &System, index: usize, roof: &RoofWork<'_>, taped: bool) -> Vec<Item> {
        let layer = &system.layers[self.layer];
        let item = |mark: String, kg, amount| Item { roof: index, mark, kg, amount };
        match (self.stage, layer.rate) {
            (Stage::Details, Rate::PerGlass(ratio)) => details(system, roof)
                .into_iter()
                .map(|seam| {
                    item(seam.mark, seam.glass_kg * ratio, if taped { seam.tape_m } else { seam.patches as f64 })
                })
                .collect(),
            (Stage::Laminate, Rate::PerGlass(ratio)) => {
                let area_m2 = roof.mat.area_m2;
                let kg_m2 = system.mat.mass_g_m2 / 1_000.0 * ratio;
                let kg = |(mark, share)| item(mark, roof.mat.laid_m2 * share * kg_m2, area_m2 * share);
                strips(roof.mat).into_iter().map(kg).collect()
            }
            (_, Rate::KgPerM2(rate)) => {
                let coated = |(mark, m2): (String, f64)| item(mark, m2 * rate, m2);
                coat(system, roof, layer.covers).into_iter().map(coated).collect()
            }
            (_, Rate::PerGlass(_)) => Vec::new(),
        }
    }
}

fn covered_m2(system: &System, roof: &RoofWork<'_>, covers: Covers) -> f64 {
    match covers {
        Covers::BareDeck => roof.mat.bare_deck_m2,
        Covers::Laminate => roof.mat.area_m2,
        Covers::Roof => roof.area_m2,
        Covers::Trims => roof.trims.runs.iter().map(|run| trim_m2(system, run)).sum(),
    }
}

/// The strips of mat by their marks, each with its share of the area laid.
fn strips(mat: &RoofMat) -> Vec<(String, f64)> {
    let pieces = || mat.strips.iter().flat_map(|strip| &strip.pieces);
    let total: f64 = pieces().map(|piece| piece.area_m2).sum();
    let shared = |piece: &crate::mat::StripPiece| (format!("strip {}", piece.mark), piece.area_m2 / total);
    if total > 0.0 { pieces().map(shared).collect() } else { vec![("mat".into(), 1.0)] }
}

/// The pieces of a coat: edges first, then the field along the strips.
fn coat(system: &System, roof: &RoofWork<'_>, covers: Covers) -> Vec<(String, f64)> {
    let covered = covered_m2(system, roof, covers);
    if covered <= 0.0 {
        return Vec::new();
    }
    if covers == Covers::Trims {
        let trims = roof.trims.runs.iter().map(|run| (format!("trim {}", run.mark), trim_m2(system, run)));
        return trims.filter(|&(_, m2)| m2 > 0.0).collect();
    }
    if covers == Covers::BareDeck || roof.mat.strips.is_empty() {
        return vec![("deck".into(), covered)];
    }
    let field_m2 = roof.mat.area_m2.min(covered);
    let edges_m2 = covered - field_m2;
    let around: f64 = roof.trims.runs.iter().map(|run| run.line_length.m()).sum();
    let mut pieces = Vec::new();
    if edges_m2 > 0.0 && around > 0.0 {
        let edge = |run: &TrimRun| (format!("edge {}", run.mark), edges_m2 * run.line_length.m() / around);
        pieces.extend(roof.trims.runs.iter().map(edge));
    } else if edges_m2 > 0.0 {
        pieces.push(("edges".into(), edges_m2));
    }
    pieces.extend(strips(roof.mat).into_iter().map(|(mark, share)| (mark, field_m2 * share)));
    pieces
}

/// The seam beside a run, or all seams, or the collars.
struct Seam {
    mark: String,
    glass_kg: f64,
    tape_m: f64,
    patches: u64,
}

/// The seam beside each run with its tape and its patches.
fn details(system: &System, roof: &RoofWork<'_>) -> Vec<Seam> {
    let (mat, tape) = (roof.mat, &system.tape);
    let tape_m = mat.tape_off_roll(tape.lap).m();
    let tape_kg = tape_m * tape.width.m() * tape.mass_g_m2 / 1_000.0;
    let side_m = system.patch.side.m();
    let patch_kg = side_m * side_m * system.mat.mass_g_m2 / 1_000.0;
    let runs = &roof.trims.runs;
    let around: f64 = runs.iter().map(|run| run.line_length.m()).sum();
    let glass_kg = mat.collar_m2() * system.mat.mass_g_m2 / 1_000.0;
    let collars = (glass_kg > 0.0).then(|| Seam { mark: "collars".into(), glass_kg, tape_m: 0.0, patches: 0 });
    let seam = |mark: String, share: f64, patches: u64| {
        let glass_kg = tape_kg * share + patches as f64 * patch_kg;
        Seam { mark, glass_kg, tape_m: tape_m * share, patches }
    };
    if around <= 0.0 {
        return std::iter::once(seam("seams".into(), 1.0, mat.patch_count())).chain(collars).collect();
    }
    let mut patches = vec![0_u64; runs.len()];
    for patch in &mat.patches {
        patches[nearest(runs, patch)] += u64::from(patch.layers);
    }
    let beside =
        |(run, patches): (&TrimRun, u64)| seam(format!("seam at {}", run.mark), run.line_length.m() / around, patches);
    runs.iter().zip(patches).map(beside).chain(collars).collect()
}

/// The run whose line is nearest to a patch; the first of equally near ones.
fn nearest(runs: &[TrimRun], patch: &PatchPlace) -> usize {
    let apart = |from: Point, to: Point| (to.x.m() - from.x.m(), to.y.m() - from.y.m());
    let square = |run: &TrimRun| {
        let ((ux, uy), (vx, vy)) = (apart(run.from, run.to), apart(run.from, patch.at));
        let length = ux * ux + uy * uy;
        let along = if length > 0.0 { ((ux * vx + uy * vy) / length).clamp(0.0, 1.0) } else { 0.0 };
        let (dx, dy) = (vx - along * ux, vy - along * uy);
        dx * dx + dy * dy
    };
    (0..runs.len()).min_by(|&a, &b| square(&runs[a]).total_cmp(&square(&runs[b]))).unwrap_or(0)
}

/// Where, by the names of the roofs.
pub(crate) fn places_text(places: &[Place], roofs: &[String]) -> String {
    let word = |place: &Place| {
        let name = roofs.get(place.roof).cloned().unwrap_or_else(|| format!("roof {}", place.roof + 1));
        if place.parts > 1 { format!("{name}, part {} of {}", place.part, place.parts) } else { name }
    };
    places.iter().map(word).collect::<Vec<_>>().join(" and ")
}
