//! Laying out a chain: which piece of which run is cut from which bar.

use super::model::Model;

/// One piece as laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Laid {
    /// Place of the run among the chain's runs.
    pub(super) slot: usize,
    pub(super) part: u32,
    pub(super) start: i64,
    pub(super) length: i64,
}

/// Lays runs (items of the model, one entry per run) along bars (kinds of the model), or says that it could not.
///
/// Each bar's pieces come in the order in which they are cut.
pub(super) fn lay_out(model: &Model, bars: &[usize], runs: &[usize]) -> Option<Vec<Vec<Laid>>> {
    if bars.len() == 1 {
        let mut cut = Vec::new();
        let mut left = model.kinds[bars[0]].usable + model.kerf;
        for (slot, &item) in runs.iter().enumerate() {
            let length = model.items[item].length;
            left -= length + model.kerf;
            cut.push(Laid { slot, part: 0, start: 0, length });
        }
        return (left >= 0).then_some(vec![cut]);
    }
    let mut order: Vec<usize> = (0..runs.len()).collect();
    for turn in 0..runs.len() {
        for flip in [false, true] {
            if flip {
                order.reverse();
            }
            if let Some(laid) = along(model, bars, runs, &order) {
                return Some(laid);
            }
            if flip {
                order.reverse();
            }
        }
        order.rotate_left(1);
        if turn > 24 {
            break;
        }
    }
    None
}

/// Fills the bars one after another with the runs in the order given, shortening a piece where a rule asks for it.
fn along(model: &Model, bars: &[usize], runs: &[usize], order: &[usize]) -> Option<Vec<Vec<Laid>>> {
    let mut cut: Vec<Vec<Laid>> = vec![Vec::new(); bars.len()];
    let mut left: Vec<i64> = bars.iter().map(|&kind| model.kinds[kind].usable + model.kerf).collect();
    let whole = |item: usize| model.items[item].site.most_joints == 0;
    for &slot in order.iter().filter(|&&slot| whole(runs[slot])) {
        let length = model.items[runs[slot]].length;
        let bar = (0..bars.len()).find(|&bar| left[bar] >= length + model.kerf)?;
        left[bar] -= length + model.kerf;
        cut[bar].push(Laid { slot, part: 0, start: 0, length });
    }
    let mut bar = 0;
    for &slot in order.iter().filter(|&&slot| !whole(runs[slot])) {
        let item = &model.items[runs[slot]];
        let (length, site) = (item.length, &item.site);
        let (mut start, mut part) = (0, 0);
        loop {
            let room = *left.get(bar)? - model.kerf;
            if room >= length - start && (part == 0 || length - start >= site.least_piece) {
                cut[bar].push(Laid { slot, part, start, length: length - start });
                left[bar] -= length - start + model.kerf;
                break;
            }
            // The furthest end that leaves the whole lap in a window and a last piece that is long enough.
            let most = (start + room).min(length - site.least_piece + model.lap).min(length - 1);
            let end = site
                .windows
                .iter()
                .rev()
                .find_map(|&(from, to)| (to.min(most) - from >= model.lap).then(|| to.min(most)));
            match end {
                Some(end) if end - start >= site.least_piece && end - start > model.lap && part < site.most_joints => {
                    cut[bar].push(Laid { slot, part, start, length: end - start });
                    left[bar] -= end - start + model.kerf;
                    start = end - model.lap;
                    part += 1;
                }
                _ => {}
            }
            bar += 1;
        }
    }
    Some(cut)
}
