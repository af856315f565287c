//! Every layer piece by piece: what goes where.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::portion::{Portion, RoofWork};
use crate::amount::Amount;
use crate::system::{Covers, Stage, System};

/// A layer laid in one stage, piece by piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LaidLayer {
    /// The layer's `material` in the system.
    pub layer: String,
    /// Its printed name.
    pub name: String,
    /// The stage.
    pub stage: Stage,
    /// What it covers.
    pub covers: Covers,
    /// How much there is to lay.
    pub amount: f64,
    /// Unit of the amounts: `m2`, for tape and patches `m` of seam (`piece`, where there is no tape).
    pub unit: String,
    /// What it takes without allowance, in kilograms, rounded up.
    pub net_kg: f64,
    /// Added for waste and residue, in kilograms, rounded up.
    pub allowance_kg: f64,
    /// The pieces in the order of laying; left out where there are more than 2000.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<LaidPiece>,
}

/// A piece of a layer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LaidPiece {
    /// Which roof, from 0.
    pub roof: usize,
    /// Which piece: `strip 2`, `seam at D1`, `edge S3`, `trim D1`, `deck`.
    pub piece: String,
    /// How much of the layer's amount.
    pub amount: f64,
    /// What it takes without allowance, in kilograms.
    pub kg: f64,
}

const MOST_PIECES: usize = 2_000;

/// Every layer of which anything is needed, stage by stage, with its pieces. Numbers are rounded to thousandths.
///
/// Linear in the number of pieces.
pub fn laid(system: &System, roofs: &[RoofWork<'_>]) -> Vec<LaidLayer> {
    // Nothing added is -0.
    let thousandth = |value: f64| (value * 1_000.0).round() / 1_000.0 + 0.0;
    let laid = |portion: Portion| {
        let layer = system.layers.get(portion.layer)?;
        let items = portion.items(system, roofs);
        let net = Amount::round_up(items.iter().map(|item| item.kg).sum());
        if net == Amount::ZERO {
            return None;
        }
        let (amount, unit) = portion.amount(system, roofs);
        let piece = |item: &super::portion::Item| LaidPiece {
            roof: item.roof,
            piece: item.mark.clone(),
            amount: thousandth(item.amount),
            kg: thousandth(item.kg),
        };
        Some(LaidLayer {
            layer: layer.material.clone(),
            name: layer.name.clone(),
            stage: portion.stage,
            covers: layer.covers,
            amount: thousandth(amount),
            unit: unit.into(),
            net_kg: net.value(),
            allowance_kg: net.part(layer.allowance).value(),
            pieces: if items.len() > MOST_PIECES { Vec::new() } else { items.iter().map(piece).collect() },
        })
    };
    Portion::of_all(system, roofs.len(), None).into_iter().filter_map(laid).collect()
}
