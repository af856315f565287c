//! Sequential heuristics: one pattern after another from what is left.
//!
//! `greedy` is first-fit decreasing, pattern by pattern, with every stock tried for the longest item left and the
//! cheapest per filled length kept; it never expands counts. `corrected` is sequential value correction (Mukhacheva;
//! Belov and Scheithauer 2007): patterns are filled by a short knapsack search over pseudo-values, which rise for items
//! that ended in wasteful patterns, and the whole is repeated.

use super::knapsack::{self, Load};
use super::meter::Meter;
use super::reduce::{Core, Cut};

/// What is to be filled: lengths falling, counts, and what is left of the supplies.
pub(super) struct Rest<'a> {
    pub(super) core: &'a Core,
    pub(super) length: &'a [u64],
    pub(super) count: &'a [u64],
    pub(super) supply: &'a [u64],
    /// Most total cost; patterns are not begun that would pass it.
    pub(super) cost_limit: Option<u64>,
}

/// Most stocks that are tried for each pattern.
const MOST_TRIED: usize = 16;

/// Items of one pattern with their numbers.
type Uses = Vec<(u32, u64)>;

/// Skips items that are used up.
struct Next(Vec<u32>);

impl Next {
    fn new(kinds: usize) -> Self {
        Next((0..=kinds as u32).collect())
    }

    fn find(&mut self, at: usize) -> usize {
        let mut root = at;
        while self.0[root] as usize != root {
            root = self.0[root] as usize;
        }
        let mut walk = at;
        while self.0[walk] as usize != root {
            walk = std::mem::replace(&mut self.0[walk], root as u32) as usize;
        }
        root
    }

    fn remove(&mut self, at: usize) {
        self.0[at] = at as u32 + 1;
    }
}

/// Fills `capacity` with the longest items that fit, the longest left first.
fn fill(rest: &Rest<'_>, left: &[u64], next: &mut Next, capacity: u64) -> (Uses, u64) {
    let kinds = rest.length.len();
    let mut free = capacity;
    let mut uses = Vec::new();
    let mut at = next.find(0);
    while at < kinds {
        if rest.length[at] > free {
            // Falling lengths: jump to the first that fits.
            let skip = rest.length[at..].partition_point(|&l| l > free);
            at = next.find(at + skip);
            continue;
        }
        let copies = left[at].min(free / rest.length[at]);
        if copies > 0 {
            uses.push((at as u32, copies));
            free -= copies * rest.length[at];
        }
        at = next.find(at + 1);
    }
    (uses, free)
}

/// Stocks that hold `length`, among those left, with the least (cost, tie).
fn cheapest(rest: &Rest<'_>, supply: &[u64], length: u64) -> Option<usize> {
    (0..rest.core.stocks.len())
        .filter(|&s| rest.core.stocks[s].length >= length && rest.core.room(s, supply) > 0)
        .min_by_key(|&s| (rest.core.stocks[s].cost, rest.core.stocks[s].tie, rest.core.stocks[s].length))
}

/// Whether `a` costs less per filled length than `b`: (cost, tie, filled).
fn better(a: (u64, u64, u64), b: (u64, u64, u64)) -> bool {
    let (left, right) = (u128::from(a.0) * u128::from(b.2), u128::from(b.0) * u128::from(a.2));
    let (left_tie, right_tie) = (u128::from(a.1) * u128::from(b.2), u128::from(b.1) * u128::from(a.2));
    (left, left_tie) < (right, right_tie) || ((left, left_tie) == (right, right_tie) && a.2 > b.2)
}

/// First-fit decreasing over all stocks. `None` if the supply or the cost limit ends it, or the effort does and no answer is
/// `needed`.
pub(super) fn greedy(rest: &Rest<'_>, cheap_stock: bool, needed: bool, meter: &mut Meter<'_>) -> Option<Vec<Cut>> {
    let kinds = rest.length.len();
    let mut left = rest.count.to_vec();
    let mut supply = rest.supply.to_vec();
    let mut next = Next::new(kinds);
    let mut spent = 0_u64;
    let mut cuts = Vec::new();
    (0..kinds).filter(|&i| left[i] == 0).for_each(|i| next.remove(i));
    loop {
        if !needed && meter.spent() {
            return None;
        }
        let first = next.find(0);
        if first >= kinds {
            return Some(cuts);
        }
        let mut best: Option<(usize, Uses, (u64, u64, u64))> = None;
        let tried: Vec<usize> = if cheap_stock {
            cheapest(rest, &supply, rest.length[first]).into_iter().collect()
        } else {
            // Stocks fall in length: of very many, the shortest that hold the longest item left.
            let holding = rest.core.stocks.partition_point(|stock| stock.length >= rest.length[first]);
            (0..holding).rev().filter(|&s| rest.core.room(s, &supply) > 0).take(MOST_TRIED).collect()
        };
        for s in tried {
            let (uses, free) = fill(rest, &left, &mut next, rest.core.stocks[s].length);
            meter.spend(8 * uses.len() as u64 + 20);
            let filled = rest.core.stocks[s].length - free;
            // What was put in may fit a cheaper stock.
            let Some(fit) = cheapest(rest, &supply, filled) else { continue };
            let score = (rest.core.stocks[fit].cost, rest.core.stocks[fit].tie, filled);
            if best.as_ref().is_none_or(|b| better(score, b.2)) {
                best = Some((fit, uses, score));
            }
        }
        let (stock, uses, _) = best?;
        let mut times = uses.iter().map(|&(i, n)| left[i as usize] / n).min()?.min(rest.core.room(stock, &supply));
        if let Some(limit) = rest.cost_limit {
            let cost = rest.core.stocks[stock].cost;
            times = times.min((limit - spent).checked_div(cost).unwrap_or(times));
            spent += cost * times;
        }
        if times == 0 {
            return None;
        }
        rest.core.draw(stock, times, &mut supply);
        for &(i, n) in &uses {
            let i = i as usize;
            left[i] -= n * times;
            if left[i] == 0 {
                next.remove(i);
            }
        }
        cuts.push(Cut { stock: stock as u32, uses, times });
    }
}

/// State of sequential value correction: a pseudo-value for each item.
pub(super) struct Values(Vec<f64>);

impl Values {
    pub(super) fn new(length: &[u64]) -> Self {
        Values(length.iter().map(|&l| l as f64 * (1.0 + l as f64 / length[0].max(1) as f64 * 0.02)).collect())
    }
}

/// One round of sequential value correction; the values are corrected for the next round.
pub(super) fn corrected(rest: &Rest<'_>, values: &mut Values, round: u64, meter: &mut Meter<'_>) -> Option<Vec<Cut>> {
    let kinds = rest.length.len();
    let mut left = rest.count.to_vec();
    let mut supply = rest.supply.to_vec();
    let mut spent = 0_u64;
    let mut cuts = Vec::new();
    let longest = rest.core.stocks.iter().map(|s| s.length).max().unwrap_or(1).max(1) as f64;
    let scale = 1.0e9 / longest;
    let forced = !round.is_multiple_of(3);
    loop {
        let first = (0..kinds).find(|&i| left[i] > 0);
        let Some(first) = first else { return Some(cuts) };
        if meter.spent() {
            return None;
        }
        let price: Vec<u64> = values.0.iter().map(|&v| (v * scale) as u64 + 1).collect();
        let mut best: Option<(usize, Uses, u64, f64)> = None;
        for s in 0..rest.core.stocks.len() {
            let stock = &rest.core.stocks[s];
            if rest.core.room(s, &supply) == 0 || (forced && stock.length < rest.length[first]) {
                continue;
            }
            let mut most = left.clone();
            let mut capacity = stock.length;
            if forced {
                most[first] -= 1;
                capacity -= rest.length[first];
            }
            let load = Load { length: rest.length, most: &most, price: &price, apart: &[], banned: &[] };
            let mut uses = knapsack::good(&load, capacity, 400, meter);
            if forced {
                match uses.binary_search_by_key(&(first as u32), |u| u.0) {
                    Ok(at) => uses[at].1 += 1,
                    Err(at) => uses.insert(at, (first as u32, 1)),
                }
            }
            let filled: u64 = uses.iter().map(|&(i, n)| rest.length[i as usize] * n).sum();
            if filled == 0 {
                continue;
            }
            let Some(fit) = cheapest(rest, &supply, filled) else { continue };
            let worth: f64 = uses.iter().map(|&(i, n)| values.0[i as usize] * n as f64).sum();
            let cost = rest.core.stocks[fit].cost as f64 + rest.core.stocks[fit].tie as f64 * 1.0e-6 + 1.0e-9;
            let score = worth / cost;
            if best.as_ref().is_none_or(|b| score > b.3) {
                best = Some((fit, uses, filled, score));
            }
        }
        let (stock, uses, filled, _) = best?;
        let mut times = uses.iter().map(|&(i, n)| left[i as usize] / n).min()?.min(rest.core.room(stock, &supply));
        if let Some(limit) = rest.cost_limit {
            let cost = rest.core.stocks[stock].cost;
            times = times.min((limit - spent).checked_div(cost).unwrap_or(times));
            spent += cost * times;
        }
        if times == 0 {
            return None;
        }
        rest.core.draw(stock, times, &mut supply);
        let loss = rest.core.stocks[stock].length as f64 / filled as f64;
        for &(i, n) in &uses {
            let i = i as usize;
            // Items in wasteful patterns gain value and come earlier next time. The exponent slightly above one
            // favours long items, which are harder to place late.
            let length = rest.length[i] as f64;
            let target = length * (1.0 + length / longest * 0.04) * loss;
            let weight = (n * times) as f64 / (rest.count[i] as f64 + (n * times) as f64);
            values.0[i] = values.0[i] * (1.0 - 0.5 * weight) + target * 0.5 * weight;
            left[i] -= n * times;
        }
        cuts.push(Cut { stock: stock as u32, uses, times });
    }
}
