//! Bounds and their proof: prices from the engine and from plain length, verified anew for chains of any length.

use super::answer::{Answer, Bound, Prices, Status};
use super::dual::Dual;
use super::exact::Certificate;
use super::model::{Aims, Item, Model};
use super::problem::{Minimise, Problem};
use super::search::Found;

/// Fills in the answer's bounds, proof and status.
pub(super) fn prove(model: &Model, problem: &Problem, found: &Found, answer: &mut Answer) {
    let Aims { first, second } = found.aims;
    let proof = Prover { model, problem, scale: scale_for(first.max(second)) };
    let unit = model.unit();
    let by_length = proof.by_length();
    let by_engine = proof.by_engine(&found.first, None);
    // Worth nothing, which holds for any problem: all there is to prove of one without runs.
    let none = Prices {
        runs: vec![0; problem.runs.len()],
        bars: vec![0; problem.bars.len()],
        first: 0,
        scale: proof.scale,
        worth: 0,
    };
    answer.proof.first = better(by_engine, by_length.or(Some(none.clone())));
    let by_engine = found.second.as_ref().and_then(|prices| proof.by_engine(prices, Some(first)));
    let by_joints = proof.by_joints();
    answer.proof.second = better(by_engine, by_joints.or(Some(none)));

    let (priced, searched) = (
        Aims { first: answer.proof.first.least(unit.first), second: answer.proof.second.least(unit.second) },
        found.least,
    );
    let mut least = priced;
    if found.searched {
        least.first = least.first.max(searched.first);
        if searched.first == first {
            least.second = least.second.max(searched.second);
        }
    }
    if least != priced {
        answer.proof.nodes = found.nodes.max(1);
    }
    if least == found.aims {
        answer.status = Status::ProvenBest;
    }
    let (cost, joints) = match problem.minimise {
        Minimise::Bars | Minimise::Cost => (least.first, least.second),
        Minimise::Joints => (least.second, least.first),
    };
    answer.bound = Bound { bars: proof.least_bars(least), cost, joints };
}

impl Prices {
    /// What no answer's aim is below, where aims are multiples of `unit`.
    fn least(&self, unit: u64) -> u64 {
        let step = u128::from(self.scale.max(1)) * u128::from(unit);
        u64::try_from(u128::from(self.worth).div_ceil(step) * u128::from(unit)).unwrap_or(u64::MAX)
    }
}

/// The prices that are worth more, the first among equals.
fn better(first: Option<Prices>, second: Option<Prices>) -> Prices {
    match (first, second) {
        (Some(first), Some(second)) if second.worth > first.worth => second,
        (Some(prices), _) | (None, Some(prices)) => prices,
        (None, None) => Prices::default(),
    }
}

struct Prover<'a> {
    model: &'a Model,
    problem: &'a Problem,
    scale: u64,
}

impl Prover<'_> {
    /// The engine's prices, for the first aim or, given what the answer comes to in that, for the second.
    fn by_engine(&self, prices: &Certificate, given: Option<u64>) -> Option<Prices> {
        if prices.scale == 0 || prices.prices.len() != self.model.items.len() {
            return None;
        }
        let scale = self.scale;
        let up = |price: u64| u64::try_from((u128::from(price) * u128::from(scale)).div_ceil(prices.scale.into())).ok();
        let first = up(prices.cost_price)?;
        let mut bars = vec![0; self.model.kinds.len()];
        let limited = self.model.kinds.iter().zip(&mut bars).filter(|(kind, _)| kind.available.is_some());
        for ((_, bar), &price) in limited.zip(&prices.supply_prices) {
            *bar = up(price)?;
        }
        let down = |price: u64| u128::from(price) * u128::from(scale) / u128::from(prices.scale);
        let runs = prices.prices.iter().map(|&price| down(price)).collect();
        self.finish(runs, bars, first, given)
    }

    /// Prices in proportion to length: what bars cost per length, at the best rate of any kind without limit.
    fn by_length(&self) -> Option<Prices> {
        let (model, scale) = (self.model, self.scale);
        let alone = model.all_whole();
        let offers = |kind: usize| {
            let paid = u128::from(scale) * u128::from(model.kinds[kind].aims.first);
            let single = (paid, model.kinds[kind].usable + model.kerf);
            let further =
                (paid + u128::from(scale) * u128::from(model.joint.first), model.kinds[kind].usable - model.lap);
            [Some(single), (!alone && further.1 > 0).then_some(further)].into_iter().flatten()
        };
        let rate_of = |kind: usize| offers(kind).min_by(by_rate);
        let endless = (0..model.kinds.len()).filter(|&kind| model.kinds[kind].available.is_none());
        let rates: Vec<(u128, i64)> = if endless.clone().next().is_some() {
            endless.filter_map(rate_of).min_by(by_rate).into_iter().collect()
        } else {
            (0..model.kinds.len()).filter_map(rate_of).collect()
        };
        let tries = rates.into_iter().filter_map(|(paid, length)| {
            let runs = (0..model.items.len())
                .map(|item| u128::from(model.size(item)).saturating_mul(paid) / wide(length))
                .collect();
            let short = |kind: usize| {
                let short = offers(kind).map(|(own, own_length)| {
                    paid.saturating_mul(wide(own_length)).div_ceil(wide(length)).saturating_sub(own)
                });
                u64::try_from(short.max().unwrap_or(0)).unwrap_or(u64::MAX)
            };
            let bars =
                (0..model.kinds.len()).map(|kind| if model.kinds[kind].available.is_some() { short(kind) } else { 0 });
            self.finish(runs, bars.collect(), 0, None)
        });
        tries.max_by_key(|prices| prices.worth)
    }

    /// For joints as the second aim: those that each run takes even alone, from the longest bars.
    fn by_joints(&self) -> Option<Prices> {
        let model = self.model;
        let longest = model.kinds.iter().map(|kind| kind.usable).max().unwrap_or(0);
        let joints = |item: &Item| {
            // Those of whole bars taken off long runs are added for all prices alike.
            let over = if item.peeled > 0 || longest <= model.lap { 0 } else { item.length - longest };
            if over > 0 { wide(over).div_ceil(wide(longest - model.lap)) } else { 0 }
        };
        let each = u128::from(self.scale) * u128::from(model.joint.second);
        let runs = model.items.iter().map(|item| joints(item) * each).collect();
        self.finish(runs, vec![0; model.kinds.len()], 0, Some(0))
    }

    /// Adds what whole bars taken off long runs earn, verifies the prices, and writes them down for the problem's runs.
    /// `given` is what the answer comes to in the first aim, for prices of the second.
    fn finish(&self, runs: Vec<u128>, mut bars: Vec<u64>, first: u64, given: Option<u64>) -> Option<Prices> {
        let (model, scale) = (self.model, self.scale);
        let own = |aims: Aims| if given.is_none() { aims.first } else { aims.second };
        let paid = |aims: Aims| scale.checked_mul(own(aims))?.checked_add(first.checked_mul(aims.first)?);
        let mut earned = 0_u128;
        let mut full = Vec::with_capacity(runs.len());
        for (item, price) in model.items.iter().zip(runs) {
            let price = match item.peeled {
                0 => price,
                peeled => {
                    let each = u128::from(paid(model.kinds[0].aims)?) + u128::from(paid(model.joint)?);
                    price + u128::from(peeled) * (each + u128::from(bars[0]))
                }
            };
            earned = earned.checked_add(price.checked_mul(item.count.into())?)?;
            full.push(u64::try_from(price).ok()?);
        }
        let mut due = u128::from(first) * u128::from(given.unwrap_or(0));
        for (kind, rent) in model.kinds.iter().zip(&mut bars) {
            match kind.available {
                Some(have) => due = due.checked_add(u128::from(*rent).checked_mul(have.into())?)?,
                None => *rent = 0,
            }
        }
        let mut dual = Dual { runs: full, bars: Vec::new(), joint: paid(model.joint)? };
        for (kind, &rent) in model.kinds.iter().zip(&bars) {
            dual.bars.push(paid(kind.aims)?.checked_add(rent)?);
        }
        if !dual.holds(model) {
            return None;
        }
        let mut prices = Prices {
            runs: vec![0; self.problem.runs.len()],
            bars: vec![0; self.problem.bars.len()],
            first,
            scale,
            worth: u64::try_from(earned.checked_sub(due)?).ok()?,
        };
        for (item, &price) in model.items.iter().zip(&dual.runs) {
            item.runs.iter().for_each(|&(run, _)| prices.runs[run] = price);
        }
        for (kind, &rent) in model.kinds.iter().zip(&bars) {
            prices.bars[kind.bar] = rent;
        }
        Some(prices)
    }

    /// No answer has fewer bars: by length, and where bars of one kind are what is paid for, by cost.
    fn least_bars(&self, least: Aims) -> u64 {
        let model = self.model;
        let longest = model.kinds.iter().map(|kind| wide(kind.usable + model.kerf)).max().unwrap_or(1).max(1);
        let total: u128 = model.items.iter().map(|item| wide(item.length + model.kerf) * u128::from(item.count)).sum();
        let by_length = u64::try_from(total.div_ceil(longest)).unwrap_or(u64::MAX);
        match (&self.problem.bars[..], self.problem.minimise) {
            ([_], Minimise::Bars) => by_length.max(least.first.div_ceil(self.problem.cost_of(0).max(1))),
            _ => by_length,
        }
    }
}

/// What a unit of either aim is paid where the larger of them comes to `value`: 2 to the 40, or less where sums would
/// grow beyond 56 bits. Fixed, so that a proof can be written in one way only.
fn scale_for(value: u64) -> u64 {
    1 << 56_u32.saturating_sub(64 - value.leading_zeros()).min(40)
}

/// Compares what is paid per length.
fn by_rate(a: &(u128, i64), b: &(u128, i64)) -> std::cmp::Ordering {
    a.0.saturating_mul(wide(b.1)).cmp(&b.0.saturating_mul(wide(a.1)))
}

fn wide(length: i64) -> u128 {
    u128::from(length.unsigned_abs())
}
