//! Trims, battens, fixings and flashing.

use super::RoofWork;
use super::line::{Draft, TakeoffLine};
use super::on_hand::MaterialOnHand;
use super::pack::{PackSold, Purchase};
use crate::amount::Amount;
use crate::length::Length;
use crate::roof::Kind;
use crate::system::{BarSold, Closing, System};
use crate::trim::{BarSource, CutList, Material, TrimRun};

/// Every run of every roof.
pub(super) fn runs<'a>(roofs: &[RoofWork<'a>]) -> impl Iterator<Item = &'a TrimRun> {
    roofs.iter().flat_map(|roof| &roof.trims.runs)
}

pub(super) fn lines(
    system: &System,
    on_hand: &[MaterialOnHand],
    roofs: &[RoofWork<'_>],
    cut_lists: &[CutList],
) -> Vec<TakeoffLine> {
    let mut lines = Vec::new();
    for list in cut_lists {
        let kind = match list.material {
            Material::Drip => Kind::Drip,
            Material::Abutment => Kind::Abutment,
            Material::OpenSide => Kind::OpenSide,
            Material::Batten => {
                lines.push(bars(list, "batten", "batten", &system.batten.bars, system.batten.allowance));
                continue;
            }
            Material::Mat | Material::Tape => continue,
        };
        let trim = system.trims.of(kind);
        lines.push(bars(list, kind.word(), &trim.name, &trim.bars, 0.0));
    }
    lines.extend(strips(system, roofs));
    lines.extend(caps(system, on_hand, roofs));
    lines.extend(fixings(system, on_hand, roofs));
    lines.extend(flashing(system, roofs));
    lines
}

/// Bars as the cut list buys them, and as many more as the allowance asks for.
fn bars(list: &CutList, material: &str, name: &str, sold: &[BarSold], allowance: f64) -> TakeoffLine {
    let cut_from = |source| {
        let bars = list.bars.iter().filter(move |bar| bar.source == source);
        bars.flat_map(|bar| &bar.pieces).map(|piece| Amount::metres(piece.length)).sum::<Amount>()
    };
    let (net, on_hand) = (cut_from(BarSource::Bought), cut_from(BarSource::OnHand));
    let allowance = net.part(allowance);
    let pack = |length: Length, price| PackSold { size: Amount::metres(length).millionths(), price };
    let price = |length| sold.iter().find(|bar| bar.length == length).and_then(|bar| bar.price);
    let bought = list.bars.iter().filter(|bar| bar.source == BarSource::Bought);
    let mut bought: Vec<_> = bought.map(|bar| (pack(bar.length, price(bar.length)), 1)).collect();
    let missing = (net + allowance).less(Purchase::of(bought.iter().copied()).content());
    let on_offer: Vec<_> = sold.iter().map(|bar| pack(bar.length, bar.price)).collect();
    let more = super::choose_packs(missing.millionths(), &on_offer);
    bought.extend(on_offer.into_iter().zip(more));
    Draft::new(
        material,
        name,
        "m",
        "all pieces of the cut list, laps included - pieces from stock on hand; whole bars as the cut list takes them",
    )
    .input("all pieces", (net + on_hand).value(), "m")
    .input("joints", list.joint_count as f64, "")
    .input("pieces from stock on hand", on_hand.value(), "m")
    .order(net, allowance, Amount::ZERO, Purchase::of(bought))
}

/// How many ends of runs that are cut are closed in one way.
fn closed(roofs: &[RoofWork<'_>], by: Closing) -> u64 {
    let cut = runs(roofs).filter(|run| run.cut_length.is_positive());
    cut.flat_map(|run| [&run.start, &run.end]).filter(|end| end.closing == Some(by)).count() as u64
}

/// Pieces of the flat strip that closes ends, from bars that each give so many.
fn strips(system: &System, roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let strip = &system.closing.strip;
    let count = closed(roofs, Closing::Strip);
    if count == 0 {
        return None;
    }
    let net: Amount = (0..count).map(|_| Amount::metres(strip.piece)).sum();
    // A bar is sold by its length and used by the whole pieces it gives.
    let given = |bar: &BarSold| u64::try_from(bar.length / strip.piece).unwrap_or_default();
    let on_offer: Vec<_> = strip.bars.iter().map(|bar| PackSold { size: given(bar), price: bar.price }).collect();
    let bars = super::choose_packs(count, &on_offer);
    let bought = strip
        .bars
        .iter()
        .zip(bars)
        .map(|(bar, count)| (PackSold { size: Amount::metres(bar.length).millionths(), price: bar.price }, count));
    let line =
        Draft::new("closing_strip", &strip.name, "m", "length of one piece x ends closed; whole pieces from a bar")
            .input("ends closed", count as f64, "")
            .input("one piece", strip.piece.mm(), "mm")
            .order(net, Amount::ZERO, Amount::ZERO, Purchase::of(bought));
    Some(line)
}

fn caps(system: &System, on_hand: &[MaterialOnHand], roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let cap = &system.closing.cap;
    let net = Amount::from_count(closed(roofs, Closing::Cap));
    let pack = PackSold { size: Amount::from_count(cap.pack.into()).millionths(), price: cap.price };
    let draft = Draft::new("end_cap", &cap.name, "piece", "ends of runs that a cap closes");
    (net > Amount::ZERO).then(|| draft.cover(net, Amount::ZERO, on_hand, &[pack]))
}

fn fixings(system: &System, on_hand: &[MaterialOnHand], roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let net = Amount::from_count(runs(roofs).fold(0, |sum, run| sum.saturating_add(run.fixings)));
    if net == Amount::ZERO {
        return None;
    }
    // A part of a fixing is a fixing.
    let allowance = Amount::from_count(net.part(system.fixing.allowance).millionths().div_ceil(1_000_000));
    let pack =
        PackSold { size: Amount::from_count(system.fixing.pack.into()).millionths(), price: system.fixing.price };
    let line = Draft::new("fixing", "fixings", "piece", "fixings along all runs, as set out on each piece")
        .input("runs", runs(roofs).count() as f64, "")
        .input("widest spacing", system.fixing.spacing.mm(), "mm")
        .cover(net, allowance, on_hand, &[pack]);
    Some(line)
}

/// For information: what a flashing has to cover. Its own laps and its making are another trade's.
fn flashing(system: &System, roofs: &[RoofWork<'_>]) -> Option<TakeoffLine> {
    let flashed = || runs(roofs).filter(|run| system.trims.of(run.kind).flashed);
    let net: Amount = flashed().map(|run| Amount::metres(run.cut_length)).sum();
    let draft = Draft::new(
        "flashing",
        "flashing over wall trims",
        "m",
        "cut length of all runs whose upper edge is covered by a flashing; its own laps are not included",
    );
    (net > Amount::ZERO).then(|| draft.input("runs", flashed().count() as f64, "").for_information(net))
}
