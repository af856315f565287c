//! Glass: mat, tape, patches, tissue, and how much of it has to be wetted.

use super::RoofWork;
use super::line::{Draft, TakeoffLine};
use super::on_hand::{MaterialOnHand, amount};
use super::pack::{PackSold, Purchase};
use crate::amount::Amount;
use crate::length::Length;
use crate::system::System;
use crate::trim::{CutList, Material};

/// All glass of a job, as it comes off rolls.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Glass {
    /// Area of mat as laid, laps counted twice.
    laid_m2: f64,
    /// Length of all strips off the roll.
    strips: Amount,
    /// Tape along all seams.
    seams: Amount,
    /// Tape off the roll, laps included.
    tape: Amount,
    /// Straight stretches of tape: each laps onto the next.
    tape_pieces: u64,
    /// Layers of patches, all places together.
    patches: u64,
    /// How many of them what is left beside ripped strips gives.
    from_offcuts: u64,
    /// Length off the roll of all collars and sleeves.
    collars: Amount,
    /// Tape up trim joints.
    joints: Amount,
    /// Corners that get a square of tissue.
    corners: u64,
}

impl Glass {
    pub(super) fn measure(system: &System, roofs: &[RoofWork<'_>]) -> Self {
        let mut glass = Glass::default();
        for roof in roofs {
            let mat = roof.mat;
            glass.laid_m2 += mat.laid_m2;
            for piece in mat.strips.iter().flat_map(|strip| &strip.pieces) {
                if piece.beside.is_none() {
                    glass.strips = glass.strips + Amount::metres(piece.length);
                }
            }
            glass.seams = glass.seams + Amount::metres(mat.tape);
            glass.tape_pieces += mat.seams.iter().map(|seam| seam.points.len() as u64).sum::<u64>();
            glass.tape = glass.tape + Amount::metres(mat.tape_off_roll(system.tape.lap));
            glass.patches += mat.patch_count();
            glass.from_offcuts += mat.patches_from_offcuts;
            for collar in &mat.collars {
                let (layers, width) = (u64::from(collar.layers), system.mat.width);
                glass.collars = glass.collars + off_roll(layers, collar.side, width);
                if let Some(sleeve) = collar.sleeve {
                    glass.collars = glass.collars + rectangles(layers, sleeve.length, sleeve.height, width);
                }
            }
            glass.joints = glass.joints + Amount::metres(mat.joint_tape());
            glass.corners += roof.trims.visible_corners();
        }
        glass
    }

    pub(super) fn lines(&self, system: &System, on_hand: &[MaterialOnHand], cut_lists: &[CutList]) -> Vec<TakeoffLine> {
        let mut lines = Vec::new();
        lines.extend(self.mat_line(system, on_hand, cut_lists));
        lines.extend(self.patch_line(system));
        lines.extend(self.tape_line(system, on_hand));
        lines.extend(self.tissue_line(system, on_hand));
        lines
    }

    fn mat_line(&self, system: &System, on_hand: &[MaterialOnHand], cut_lists: &[CutList]) -> Option<TakeoffLine> {
        let mat = &system.mat;
        let allowance = self.strips.part(mat.allowance);
        // Patches come first out of what is left beside ripped strips, then out of what strips leave over at the ends of
        // rolls, so that the allowance holds them as far as it reaches.
        let patches =
            off_roll(self.patches.saturating_sub(self.from_offcuts), system.patch.side, mat.width) + self.collars;
        let more = patches.less(allowance);
        let net = self.strips + more;
        if net == Amount::ZERO {
            return None;
        }
        let sold: Vec<PackSold> = mat
            .rolls()
            .map(|roll| PackSold { size: Amount::metres(roll.length).millionths(), price: roll.price })
            .collect();
        let on_hand = amount(on_hand, "mat").min(net + allowance);
        // Strips do not always fill a roll to its end, so cutting may open more rolls than the length alone would; whole
        // rolls on hand are among them, the shortest first.
        let list = cut_lists.iter().find(|list| list.material == Material::Mat);
        let opened = list.iter().flat_map(|list| &list.bars).map(|bar| Amount::metres(bar.length).millionths());
        let mut opened: Vec<u64> = opened.collect();
        opened.sort_unstable();
        let mut in_stock = on_hand.millionths();
        opened.retain(|&size| {
            let covered = size <= in_stock;
            in_stock -= if covered { size } else { 0 };
            !covered
        });
        let missing = (net + allowance).less(on_hand);
        if missing == Amount::ZERO {
            opened.clear();
        }
        let kind = |size: u64| sold.iter().copied().find(|roll| roll.size == size);
        let mut bought: Vec<(PackSold, u64)> = opened.into_iter().filter_map(|size| Some((kind(size)?, 1))).collect();
        let still = missing.less(Purchase::of(bought.iter().copied()).content());
        bought.extend(sold.iter().copied().zip(super::choose_packs(still.millionths(), &sold)));
        let line = Draft::new(
            "mat",
            "glass mat",
            "m",
            "length of all strips off the roll + what patches and collars need beyond offcuts and the allowance",
        )
        .input("strips", self.strips.value(), "m")
        .input("patches and collars off the roll", patches.value(), "m")
        .input("patches out of offcuts", self.from_offcuts as f64, "")
        .input("width of the roll", mat.width.m(), "m")
        .input("mat as laid, laps twice", round(self.laid_m2), "m2")
        .order(net, allowance, on_hand, Purchase::of(bought));
        Some(line)
    }

    fn patch_line(&self, system: &System) -> Option<TakeoffLine> {
        let side = system.patch.side;
        let line = Draft::new(
            "patch",
            "patches of mat",
            "piece",
            "layers at all corners and trim joints; out of offcuts of mat",
        )
        .input("side", side.mm(), "mm")
        .input("area", round(self.patches as f64 * area_m2(side)), "m2");
        (self.patches > 0).then(|| line.for_information(Amount::from_count(self.patches)))
    }

    fn tape_line(&self, system: &System, on_hand: &[MaterialOnHand]) -> Option<TakeoffLine> {
        let tape = &system.tape;
        let net = self.tape;
        if net == Amount::ZERO {
            return None;
        }
        let allowance = net.part(tape.allowance);
        let roll = PackSold { size: Amount::metres(tape.roll).millionths(), price: tape.price };
        let line = Draft::new(
            "tape",
            "glass tape",
            "m",
            "length of all seams + lap x straight stretches + up all trim joints",
        )
        .input("seams", self.seams.value(), "m")
        .input("straight stretches", self.tape_pieces as f64, "")
        .input("lap", tape.lap.mm(), "mm")
        .input("up trim joints", self.joints.value(), "m")
        .cover(net, allowance, on_hand, &[roll]);
        Some(line)
    }

    fn tissue_line(&self, system: &System, on_hand: &[MaterialOnHand]) -> Option<TakeoffLine> {
        let tissue = &system.tissue;
        let net = off_roll(self.corners, tissue.side, tissue.width);
        if net == Amount::ZERO {
            return None;
        }
        let allowance = net.part(tissue.allowance);
        let roll = PackSold { size: Amount::metres(tissue.roll).millionths(), price: tissue.price };
        let line = Draft::new("tissue", "surface tissue", "m", "one square per corner, in rows across the roll x side")
            .input("corners", self.corners as f64, "")
            .input("side", tissue.side.mm(), "mm")
            .input("width of the roll", tissue.width.m(), "m")
            .cover(net, allowance, on_hand, &[roll]);
        Some(line)
    }
}

/// Length of roll for `count` squares of `side`, as many side by side as the width holds.
fn off_roll(count: u64, side: Length, width: Length) -> Amount {
    rectangles(count, side, side, width)
}

/// Length of roll for `count` rectangles that long along it and that high across it, as many side by side as the width holds.
fn rectangles(count: u64, length: Length, height: Length, width: Length) -> Amount {
    let across = if height.is_positive() { (width / height).max(1) as u64 } else { 1 };
    Amount::from_millionths(count.div_ceil(across).saturating_mul(Amount::metres(length).millionths()))
}

fn area_m2(side: Length) -> f64 {
    side.m() * side.m()
}

fn round(m2: f64) -> f64 {
    (m2 * 1_000.0).round() / 1_000.0
}
