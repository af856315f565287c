//! Alternatives: what the job would take and cost with other lengths of bar, another mat, or fewer joints.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::cutting::Minimise;
use crate::error::Error;
use crate::job::Job;
use crate::length::Length;
use crate::mat;
use crate::money::Money;
use crate::roof::Outline;
use crate::system::{BarSold, System};
use crate::takeoff::{self, Costs, RoofWork, StageCost, TakeoffLine};
use crate::trim::{self, CutList, Material, RoofTrims};

/// One alternative: what it has in place of the job's own. What is left out stays as it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// What it is called.
    pub name: String,
    /// The lengths in which trims are sold, for all kinds of trim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bars: Option<Vec<BarSold>>,
    /// The roll of mat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mat: Option<MatSold>,
    /// What the cut lists make least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimise: Option<Minimise>,
}

/// A roll of mat on offer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MatSold {
    /// Its width.
    pub width: Length,
    /// Its length.
    pub roll: Length,
    /// Its price, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}

/// What an alternative comes to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Compared {
    /// Its name; `as planned` for the job itself.
    pub name: String,
    /// Bars of trim bought.
    pub bars: u64,
    /// Length of the bars of trim bought, in metres.
    pub bars_m: f64,
    /// Joints in trims.
    pub joints: u64,
    /// Strips of mat, pieces counted one by one.
    pub strips: u64,
    /// Area of mat as laid, laps twice, in square metres.
    pub mat_m2: f64,
    /// What all packs cost, where every pack bought has a price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
    /// For each square metre of roof.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_m2: Option<Money>,
    /// Hours of one person, joints among them; rounded up to hundredths stage by stage.
    #[serde(default)]
    pub person_hours: f64,
    /// What they cost, where the system says what an hour costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labour: Option<Money>,
    /// Packs and labour together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_labour: Option<Money>,
}

/// What is compared: cut lists, order, stages of the work, roofs.
pub(crate) struct Options<'a> {
    pub(crate) cut_lists: &'a [CutList],
    pub(crate) lines: &'a [TakeoffLine],
    pub(crate) stages: Vec<StageCost>,
    pub(crate) roofs: &'a [RoofWork<'a>],
}

/// Most alternatives of one job: each is set out anew where it differs.
pub const MOST_ALTERNATIVES: usize = 8;

impl Alternative {
    /// The job with this alternative in place of its own, and no further ones.
    pub(crate) fn job(&self, job: &Job) -> Job {
        let mut other = Job { alternatives: Vec::new(), prices: Vec::new(), programme: None, ..job.clone() };
        other.system = self.system(&job.system);
        other.preferences.minimise = self.minimise.unwrap_or(job.preferences.minimise);
        other
    }

    /// The system with what this alternative has in its place.
    fn system(&self, system: &System) -> System {
        let mut system = system.clone();
        if let Some(bars) = &self.bars {
            let trims = &mut system.trims;
            for trim in [&mut trims.drip, &mut trims.abutment, &mut trims.open_side] {
                trim.bars.clone_from(bars);
            }
        }
        if let Some(MatSold { width, roll, price }) = self.mat {
            (system.mat.width, system.mat.roll, system.mat.price) = (width, roll, price);
        }
        system
    }
}

/// The job as planned, then its alternatives. What an alternative leaves as it is, is not set out again: trims where only the
/// mat differs, mat where trims come out the same.
pub(crate) fn compare(
    job: &Job,
    outlines: &[Outline],
    coldest: Option<f64>,
    planned: Options<'_>,
) -> Result<Vec<Compared>, Error> {
    let mut all = vec![Compared::new("as planned", &planned)];
    for chosen in &job.alternatives {
        let other = chosen.job(job);
        let set_out = if chosen.bars.is_some() || chosen.minimise.is_some() {
            Some(trim::set_out(&other, outlines)?)
        } else {
            None
        };
        let as_planned = || planned.roofs.iter().map(|roof| roof.trims);
        let same = set_out.as_ref().is_none_or(|found| found.roofs.iter().eq(as_planned()));
        let kept: Vec<RoofTrims>;
        let trims = match &set_out {
            Some(found) => &found.roofs,
            None => {
                kept = as_planned().cloned().collect();
                &kept
            }
        };
        let laid = if same && chosen.mat.is_none() { None } else { Some(mat::lay_out(&other, outlines, trims)?) };
        let roofs: Vec<RoofWork<'_>> = planned
            .roofs
            .iter()
            .enumerate()
            .map(|(i, roof)| RoofWork {
                area_m2: roof.area_m2,
                trims: &trims[i],
                mat: laid.as_ref().map_or(roof.mat, |laid| &laid.roofs[i]),
            })
            .collect();
        let cut_lists = set_out.as_ref().map_or(planned.cut_lists, |found| &found.cut_lists);
        let lines = takeoff::take_off(&other.system, coldest, &other.stock.materials, &roofs, cut_lists);
        let stages = takeoff::stage_costs(&other.system, &roofs, &lines, None);
        all.push(Compared::new(&chosen.name, &Options { cut_lists, lines: &lines, stages, roofs: &roofs }));
    }
    Ok(all)
}

impl Compared {
    fn new(name: &str, options: &Options<'_>) -> Self {
        let Options { cut_lists, lines, stages, roofs } = options;
        let trims = || {
            let of_trims = [Material::Drip, Material::Abutment, Material::OpenSide];
            cut_lists.iter().filter(move |list| of_trims.contains(&list.material))
        };
        let bought = |line: &&TakeoffLine| ["drip", "abutment", "open_side"].contains(&line.material.as_str());
        let packs = || lines.iter().filter(bought).flat_map(|line| &line.packs);
        let area_m2 = roofs.iter().map(|roof| roof.area_m2).sum();
        let costs = Costs::of(lines, stages.clone(), area_m2);
        let strips = || roofs.iter().flat_map(|roof| &roof.mat.strips);
        // The empty sum is -0: nothing added makes it 0.
        let thousandth = |value: f64| (value * 1_000.0).round() / 1_000.0 + 0.0;
        Compared {
            name: name.into(),
            bars: packs().map(|pack| pack.count).sum(),
            bars_m: thousandth(packs().map(|pack| pack.size * pack.count as f64).sum()),
            joints: trims().map(|list| list.joint_count).sum(),
            strips: strips().map(|strip| strip.pieces.len() as u64).sum(),
            mat_m2: thousandth(roofs.iter().map(|roof| roof.mat.laid_m2).sum()),
            cost: costs.as_ref().and_then(|costs| costs.total),
            per_m2: costs.as_ref().and_then(|costs| costs.per_m2),
            person_hours: thousandth(stages.iter().map(|stage| stage.person_hours).sum()),
            labour: costs.as_ref().and_then(|costs| costs.labour),
            with_labour: costs.and_then(|costs| costs.with_labour),
        }
    }
}
