//! Bounds from integer prices, and prices from dual-feasible functions.
//!
//! `certify` turns prices into a certificate once it is known what each stock can hold of them: lengths priced by
//! themselves are held up to the stock's length, and dual-feasible functions up to one. `step_prices` are those of the
//! classical functions behind the bound L2 (Martello and Toth 1990; Fekete and Schepers 2001).

use super::reduce::Core;
use super::{Certificate, Instance};

/// What is to be least and under which limits: the cost, or the tie among answers of limited cost.
#[derive(Clone, Debug)]
pub(super) struct Aim {
    /// What each stock adds to the aim.
    pub(super) value: Vec<u64>,
    /// Most total cost, where the aim is the tie.
    pub(super) cost_limit: Option<u64>,
}

impl Aim {
    pub(super) fn cost(core: &Core) -> Self {
        Aim { value: core.stocks.iter().map(|s| s.cost).collect(), cost_limit: None }
    }

    pub(super) fn tie(core: &Core, cost_limit: u64) -> Self {
        Aim { value: core.stocks.iter().map(|s| s.tie).collect(), cost_limit: Some(cost_limit) }
    }
}

/// Prices on a [`Core`], with what they prove.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Prices {
    pub(super) item: Vec<u64>,
    pub(super) scale: u64,
    /// By supply.
    pub(super) supply: Vec<u64>,
    pub(super) cost: u64,
}

impl Prices {
    /// What the prices are worth, in units of the aim, rounded up.
    pub(super) fn bound(&self, count: &[u64], supply: &[u64], cost_limit: u64) -> u64 {
        if self.scale == 0 {
            return 0;
        }
        let gain: i128 = self.item.iter().zip(count).map(|(&p, &c)| i128::from(p) * i128::from(c)).sum();
        let drawn: i128 = self.supply.iter().zip(supply).map(|(&p, &u)| i128::from(p) * i128::from(u)).sum();
        let net = gain - drawn - i128::from(self.cost) * i128::from(cost_limit);
        let scale = i128::from(self.scale);
        if net <= 0 { 0 } else { u64::try_from((net + scale - 1) / scale).unwrap_or(u64::MAX) }
    }

    /// In the original indices.
    pub(super) fn certificate(&self, core: &Core, instance: &Instance, cost_limit: u64) -> Certificate {
        let mut prices = vec![0; instance.items.len()];
        for (kind, &price) in self.item.iter().enumerate() {
            for &(i, _) in core.origins(kind) {
                prices[i] = price;
            }
        }
        let supply_prices = self.supply.clone();
        let cost_limit = if self.cost > 0 { cost_limit } else { 0 };
        Certificate { prices, scale: self.scale, supply_prices, cost_price: self.cost, cost_limit }
    }
}

/// Makes item prices a proof, given what each stock can hold of them at most: the scale, and supply prices where even
/// that is not enough. `None` where free and endless stock lets nothing be proven.
pub(super) fn certify(core: &Core, aim: &Aim, item: Vec<u64>, held: &[u64]) -> Option<Prices> {
    let mut scale = 1;
    for (s, _) in core.draws.iter().enumerate().filter(|(_, draws)| draws.is_empty()) {
        scale = scale.max(held[s].div_ceil(Some(aim.value[s]).filter(|&v| v > 0)?));
    }
    // Stock that draws on one supply first: what it lacks nobody else can pay.
    let mut order: Vec<usize> = (0..core.stocks.len()).filter(|&s| !core.draws[s].is_empty()).collect();
    order.sort_by_key(|&s| core.draws[s].len());
    let mut supply = vec![0_u64; core.supplies.len()];
    for s in order {
        let drawn: u64 = core.draws[s].iter().fold(0, |sum, &(k, n)| sum.saturating_add(supply[k].saturating_mul(n)));
        let lacks = held[s].saturating_sub(aim.value[s].saturating_mul(scale).saturating_add(drawn));
        let units: u64 = core.draws[s].iter().map(|&(_, n)| n).sum();
        core.draws[s].iter().for_each(|&(k, _)| supply[k] += lacks.div_ceil(units));
    }
    Some(Prices { item, scale, supply, cost: 0 })
}

/// For one kind of stock: the prices of the best of the step functions, with the scale that they are meant for.
///
/// For a threshold `t`, an item above `capacity - t` counts as a whole stock, one of at least `t` by its length, a shorter
/// one nothing; or an item above half counts as one, of exactly half as a half. Each is dual feasible.
pub(super) fn step_prices(length: &[u64], count: &[u64], capacity: u64) -> (Vec<u64>, u64) {
    // Sums over the falling lengths, so that each threshold costs two binary searches.
    let mut sum = vec![0_u128; length.len() + 1];
    let mut number = vec![0_u128; length.len() + 1];
    for i in 0..length.len() {
        sum[i + 1] = sum[i] + u128::from(length[i]) * u128::from(count[i]);
        number[i + 1] = number[i] + u128::from(count[i]);
    }
    let mut best = (sum[length.len()], 0_u64);
    for &t in length.iter().filter(|&&t| 2 * t <= capacity) {
        let large = length.partition_point(|&l| l > capacity - t);
        let middle = length.partition_point(|&l| l >= t);
        let worth = number[large] * u128::from(capacity) + sum[middle] - sum[large];
        if worth > best.0 {
            best = (worth, t);
        }
    }
    let halves: u128 =
        length.iter().zip(count).map(|(&l, &c)| u128::from(half(l, capacity)) * u128::from(c)).sum::<u128>();
    if halves * u128::from(capacity) > best.0 * 2 {
        return (length.iter().map(|&l| half(l, capacity)).collect(), 2);
    }
    let t = best.1;
    let price = |l: u64| {
        if l > capacity - t {
            capacity
        } else if l >= t {
            l
        } else {
            0
        }
    };
    (length.iter().map(|&l| price(l)).collect(), capacity)
}

fn half(length: u64, capacity: u64) -> u64 {
    match (2 * length).cmp(&capacity) {
        std::cmp::Ordering::Less => 0,
        std::cmp::Ordering::Equal => 1,
        std::cmp::Ordering::Greater => 2,
    }
}
