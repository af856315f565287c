//! Alternatives: what the job would take and cost with other lengths of bar, another mat, or fewer joints.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::cutting::Minimise;
use crate::length::Length;
use crate::money::Money;
use crate::system::{BarSold, System};
use crate::takeoff::{self, TakeoffLine};
use crate::trim::{CutList, Material};

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
}

/// Most alternatives of one job: each is planned anew.
pub const MOST_ALTERNATIVES: usize = 8;

impl Alternative {
    /// The system with what this alternative has in its place.
    pub(crate) fn system(&self, system: &System) -> System {
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

impl Compared {
    pub(crate) fn new(
        name: &str,
        cut_lists: &[CutList],
        lines: &[TakeoffLine],
        (strips, mat_m2): (u64, f64),
        area_m2: f64,
    ) -> Self {
        let trims = || {
            let of_trims = [Material::Drip, Material::Abutment, Material::OpenSide];
            cut_lists.iter().filter(move |list| of_trims.contains(&list.material))
        };
        let bought = |line: &&TakeoffLine| ["drip", "abutment", "open_side"].contains(&line.material.as_str());
        let packs = || lines.iter().filter(bought).flat_map(|line| &line.packs);
        let costs = takeoff::costs(lines, area_m2);
        // The empty sum is -0: nothing added makes it 0.
        let thousandth = |value: f64| (value * 1_000.0).round() / 1_000.0 + 0.0;
        Compared {
            name: name.into(),
            bars: packs().map(|pack| pack.count).sum(),
            bars_m: thousandth(packs().map(|pack| pack.size * pack.count as f64).sum()),
            joints: trims().map(|list| list.joint_count).sum(),
            strips,
            mat_m2: thousandth(mat_m2),
            cost: costs.as_ref().and_then(|costs| costs.total),
            per_m2: costs.and_then(|costs| costs.per_m2),
        }
    }
}
