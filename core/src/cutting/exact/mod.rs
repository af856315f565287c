//! Exact one-dimensional cutting stock with stock of several lengths: the engine below [`cutting`](super).
//!
//! # Problem
//! Given kinds of stock (length, cost, tie, supply) and items (length, count), find patterns, each a multiset of items
//! that fits one stock, that together hold every item exactly as often as asked, at the least total cost and, among
//! those, the least total tie. Bin packing is the case of one stock and counts of one.
//!
//! # Method
//! 1. `reduce`: merge alike items, drop stock that another kind makes useless, divide by common factors.
//! 2. `fill`: sequential heuristics, the first answer.
//! 3. `bounds`: dual-feasible functions, the first bound.
//! 4. `relax`: the pattern formulation of Gilmore and Gomory, solved by column generation (`lp`, `knapsack`; `circle` where
//!    stocks are chains of equal bars, which begin with the patterns of `few`).
//! 5. `dive`: fix patterns of the fractional solution one after another, price again, with limited discrepancies.
//! 6. `cover`: where the bound leaves so little room that few patterns could take part in a better answer, these are listed
//!    (`listing`) and searched to the end, with subset-row cuts (`program`).
//! 7. `branch`: where the bound is still open, branch on two items sharing a bar or not (Ryan and Foster).
//!
//! # Proof
//! Duals leave the floating-point program as integers. An exact integer knapsack shows that no pattern holds more
//! price than its stock costs, so a bound never rests on rounding; [`Certificate`] carries it to whoever checks.
//! What the prices leave open, mostly nothing, a finished search closes; then `bound` is above the certificate's.
//! Floating point steers the search (which column, which branch), and every node is pruned by an integer bound only.
//! Patterns in the relaxation never hold more of an item than is wanted, which makes it tighter than the classical one.
//!
//! # Two aims
//! Costs come first, then ties: with the least cost known, the second search minimises ties under a row that limits
//! the cost. Folding both into one number would leave the relaxation free to use a fraction of a stock more.
//!
//! # Effort and complexity
//! Both aims are strongly NP-hard; no useful worst case exists. The relaxation prices in `O(kinds * length)` or by a
//! search that is usually far shorter. A node is one relaxation; inner work is counted too, so that even the first
//! relaxation ends. Only counted effort decides, unless a time limit is given: equal input, equal output, everywhere
//! (floating point is confined to the four operations in a fixed order).
//!
//! # Limits
//! - Above 1,500 kinds of item after merging the answer is that of the heuristics with a bound by step functions.
//! - Above 2^26 items in all, or a total length of 2^52 units, an instance is cut in `lots` of a power of two,
//!   and only its prices can tell whether that is best.
//! - Instances of some 600 and more distinct items without any waste, in a stock of 20,000 and more, may stay open by one.
//!
//! # Sources
//! Gilmore and Gomory 1961, 1963; Ryan and Foster 1981; Martello and Toth 1990; Vance 1998; Fekete and Schepers 2001;
//! Belov and Scheithauer 2006, 2007; Baldacci, Christofides and Mingozzi 2008; Jepsen et al. 2008; Delorme, Iori and Martello
//! 2016; Sadykov et al. 2019; da Silva and Schouery 2023 (arXiv 2308.03595). Named where they are used.

mod bounds;
mod branch;
mod circle;
mod cover;
mod dive;
mod factor;
mod few;
mod fill;
mod knapsack;
mod listing;
mod lots;
mod lp;
mod meter;
mod program;
mod reduce;
mod relax;
mod search;
#[cfg(test)]
mod tests;

use super::Effort;
use super::budget::Budget;

/// One kind of stock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Length that items may fill.
    pub length: u64,
    /// What one costs; the sum is made least first.
    pub cost: u64,
    /// What one adds to the second aim: among answers of equal cost, the sum of ties is made least.
    pub tie: u64,
}

/// Something of which there is only so much, and which stocks draw on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supply {
    /// How many units there are.
    pub limit: u64,
    /// How many units one of each stock takes, by index of stock.
    pub draws: Vec<u64>,
}

/// One kind of item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Its length.
    pub length: u64,
    /// How many are wanted.
    pub count: u64,
    /// Items of equal length and equal kind are interchangeable for whoever judges patterns.
    pub kind: u32,
}

/// A problem for [`solve`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Instance {
    /// The kinds of stock.
    pub stocks: Vec<Stock>,
    /// The kinds of item.
    pub items: Vec<Item>,
    /// What limits how much stock may be used; a stock may draw on several. Empty for as much as wanted.
    pub supplies: Vec<Supply>,
    /// Whether `accept` may refuse on a longer stock what it accepts on a shorter one. If not, stock is dropped where a
    /// longer one costs no more.
    pub particular: bool,
}

/// What is cut from one piece of stock, and how often.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pattern {
    /// Index of the stock.
    pub stock: usize,
    /// Index of each item used, ascending, with its number.
    pub uses: Vec<(usize, u64)>,
    /// How many times the pattern is cut.
    pub times: u64,
}

/// Integer prices that prove a lower bound.
///
/// Let `aim[s]` be the cost of stock `s` in the first certificate and its tie in the second. For every stock `s` that the
/// supplies allow to be used at all, and every choice of items (none more often than its count) that fits it,
/// `sum(prices) <= aim[s] * scale + sum(supply_prices[k] * draws[k][s]) + cost_price * cost[s]`. Hence no answer (none of
/// cost above `cost_limit`) has less than [`Certificate::bound`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Certificate {
    /// Price of one item, by index of item.
    pub prices: Vec<u64>,
    /// What one unit of the aim is worth in prices.
    pub scale: u64,
    /// Price of drawing one unit, by index of supply.
    pub supply_prices: Vec<u64>,
    /// Price of one unit of cost; zero in the first certificate.
    pub cost_price: u64,
    /// The cost up to which answers are looked at; only meaningful with `cost_price`.
    pub cost_limit: u64,
}

impl Certificate {
    /// The bound that the prices prove: what they are worth over all items, less what supplies and cost are worth,
    /// over `scale`, rounded up.
    pub fn bound(&self, instance: &Instance) -> u64 {
        let gain: i128 =
            self.prices.iter().zip(&instance.items).map(|(&p, item)| i128::from(p) * i128::from(item.count)).sum();
        let drawn: i128 = self
            .supply_prices
            .iter()
            .zip(&instance.supplies)
            .map(|(&p, supply)| i128::from(p) * i128::from(supply.limit))
            .sum();
        let net = gain - drawn - i128::from(self.cost_price) * i128::from(self.cost_limit);
        if net <= 0 || self.scale == 0 {
            return 0;
        }
        let scale = i128::from(self.scale);
        u64::try_from((net + scale - 1) / scale).unwrap_or(u64::MAX)
    }
}

/// An answer with its bounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// The patterns; together they hold every item exactly `count` times.
    pub patterns: Vec<Pattern>,
    /// Sum of costs.
    pub cost: u64,
    /// Sum of ties.
    pub tie: u64,
    /// No answer costs less.
    pub bound: u64,
    /// No answer of cost up to `cost` has a smaller sum of ties.
    pub tie_bound: u64,
    /// Proves a bound on cost: `bound` itself, or less where only a finished search closed the rest.
    pub certificate: Certificate,
    /// Likewise for ties; `None` if there are none.
    pub tie_certificate: Option<Certificate>,
    /// The cost is least.
    pub cost_proven: bool,
    /// The cost is least, and among equals the tie.
    pub proven: bool,
    /// Search nodes spent.
    pub nodes: u64,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// This item is longer than every stock.
    TooLong(usize),
    /// This item has no length.
    NoLength(usize),
    /// The supply cannot hold the items, whichever way they are cut: proven.
    Short,
    /// No answer was found within the effort, and none was shown not to exist.
    NotFound,
    /// Lengths, counts or costs beyond what exact arithmetic here can hold.
    TooLarge,
}

/// Solves `instance` as well as `effort` allows.
///
/// `accept` may refuse a pattern that fits by length but cannot be used; refused patterns are never part of the
/// answer, and bounds stay those of the problem without refusals. It must give the same verdict each time, and is asked
/// with `times` of one. With nodes of 0 the answer is that of the heuristics and the bound that of the relaxation.
///
/// # Errors
/// See [`Refusal`].
///
/// ```
/// use upstand::cutting::{Effort, exact};
///
/// let stock = exact::Stock { length: 3000, cost: 1, tie: 0 };
/// let items = [1900, 1800, 900, 700, 300, 300].map(|length| exact::Item { length, count: 1, kind: 0 }).to_vec();
/// let mut instance = exact::Instance { stocks: vec![stock], items, ..Default::default() };
/// let found = exact::solve(&instance, &Effort::default(), &mut |_| true).unwrap();
/// assert_eq!((found.cost, found.bound, found.proven), (2, 2, true));
///
/// instance.items[0].length = 3001;
/// assert_eq!(exact::solve(&instance, &Effort::default(), &mut |_| true), Err(exact::Refusal::TooLong(0)));
/// ```
pub fn solve(
    instance: &Instance,
    effort: &Effort,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    search::solve(instance, &Budget::new(effort, None), accept)
}

/// As [`solve`], within a budget that is shared with other searches, and for counts of any size.
pub(super) fn solve_on(
    instance: &Instance,
    budget: &Budget<'_>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    match search::solve(instance, budget, accept) {
        Err(Refusal::TooLarge) => lots::solve(instance, budget, accept),
        outcome => outcome,
    }
}

/// The least sum of ties among answers whose cost is at most `most`; [`Outcome::proven`] then speaks of the tie alone.
///
/// # Errors
/// As for [`solve`]; [`Refusal::NotFound`] where no answer of such cost was found.
pub(super) fn solve_within(
    instance: &Instance,
    most: u64,
    budget: &Budget<'_>,
    accept: &mut dyn FnMut(&Pattern) -> bool,
) -> Result<Outcome, Refusal> {
    search::solve_within(instance, most, budget, accept)
}
