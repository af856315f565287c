//! Which chains to make: the engine's patterns, laid out under the rules of the site.
//!
//! The engine packs runs into chains by length. A pattern that cannot be laid out is refused, and the engine goes
//! on. Two passes make the result exact under the rules of the site, where a layout may need more joints than a tree
//! has:
//!
//! 1. Patterns count as their trees but may be laid out with any number of joints. What the engine then proves
//!    least bounds every answer from below, as each answer's chains are among those patterns.
//! 2. Only if that is not reached: each chain is offered as a tree, with one joint more, with two, and with three or
//!    more, and pays for them. Every answer's chains are among these at no more than what they come to.

use std::collections::BTreeMap;

use super::budget::Budget;
use super::exact::{self, Certificate, Instance, Outcome, Pattern, Refusal};
use super::greedy::greedy;
use super::layout::{Cut, Demand, Task, Verdict};
use super::model::{Aims, Kind, Model};
use super::stock::Offer;
use super::subset;

/// Steps spent on a chain that the usual number leaves undecided, and on all of them.
const HARD: u32 = 120_000;
const RESERVE: u32 = 600_000;

/// The chains that were found, and what is known about better ones.
#[derive(Default)]
pub(super) struct Found {
    pub(super) chains: Vec<Made>,
    pub(super) aims: Aims,
    /// No answer is below this, if `searched`.
    pub(super) least: Aims,
    /// Whether the search went through everything: otherwise only the certificates bound what others could reach.
    pub(super) searched: bool,
    pub(super) nodes: u64,
    pub(super) first: Certificate,
    pub(super) second: Option<Certificate>,
}

/// A chain laid out, with kinds of bar and items of the model.
#[derive(Clone)]
pub(super) struct Made {
    pub(super) times: u64,
    pub(super) bars: Vec<usize>,
    /// The item in each slot.
    pub(super) runs: Vec<usize>,
    pub(super) cut: Cut,
}

/// The best chains found, or nothing where the bars on hand do not suffice.
pub(super) fn search(model: &Model, offer: &Offer, budget: &Budget<'_>) -> Option<Found> {
    let limited = model.kinds.iter().any(|kind| kind.available.is_some());
    if limited && let Some(found) = subset::search(model, budget) {
        return Some(found);
    }
    let found = passes(model, offer, budget)?;
    if limited
        || budget.nodes == 0
        || budget.over()
        || !model.bound_by_site()
        || (found.searched && found.aims == found.least)
    {
        return Some(found);
    }
    // Rules of the site got in the way of a proof.
    match subset::search(model, budget) {
        Some(settled) if settled.searched || settled.aims < found.aims => {
            Some(Found { first: found.first, second: found.second, ..settled })
        }
        _ => Some(found),
    }
}

fn passes(model: &Model, offer: &Offer, budget: &Budget<'_>) -> Option<Found> {
    let loose = pass(model, offer, budget, true, None)?;
    let plain = loose.bound;
    let spent = budget.nodes == 0 || budget.over();
    if (loose.aims <= plain && !loose.doubt) || loose.gave_up || spent {
        return Some(loose.found(plain));
    }
    let Some(mut paid) = pass(model, &offer.with_extra_joints(model), budget, false, None) else {
        return Some(loose.found(plain));
    };
    paid.nodes += loose.nodes;
    let least = match (paid.searched, loose.searched) {
        (true, _) => paid.bound,
        (false, true) => plain,
        (false, false) => Aims::default(),
    };
    let searched = paid.searched || loose.searched;
    // The prices are those of the first pass: chains without what they pay for extra joints are all chains.
    let (first, second, nodes) = (loose.first.clone(), loose.second.clone(), paid.nodes);
    let best = if paid.aims <= loose.aims { paid } else { loose };
    Some(Pass { searched, nodes, first, second, ..best }.found(least))
}

#[derive(Default)]
struct Pass {
    chains: Vec<Made>,
    /// What the chains come to as laid out.
    aims: Aims,
    /// What they come to with the joints of trees.
    bound: Aims,
    searched: bool,
    /// Whether nothing but chains that are hard to lay out stands in the way of a proof.
    doubt: bool,
    /// Whether the chains are not the engine's.
    gave_up: bool,
    nodes: u64,
    first: Certificate,
    second: Option<Certificate>,
}

impl Pass {
    fn found(self, least: Aims) -> Found {
        let Pass { chains, aims, searched, nodes, first, second, .. } = self;
        Found { chains, aims, least, searched, nodes, first, second }
    }
}

/// The answer with the least of the second aim among those whose first aim is at most `most`, and whether that is certain.
pub(super) fn search_within(model: &Model, offer: &Offer, budget: &Budget<'_>, most: u64) -> Option<(Found, bool)> {
    let paid = if model.bound_by_site() { Some(offer.with_extra_joints(model)) } else { None };
    let pass = pass(model, paid.as_ref().unwrap_or(offer), budget, false, Some(most))?;
    let proven = pass.searched && pass.aims <= pass.bound;
    let least = pass.bound;
    Some((Pass { searched: false, ..pass }.found(least), proven))
}

/// One run of the engine. Given `within`, the second aim is made least among answers whose first is at most that.
/// `loose` says that values told are those of answers without the rules of the site.
fn pass(model: &Model, offer: &Offer, budget: &Budget<'_>, loose: bool, within: Option<u64>) -> Option<Pass> {
    let peeled = model.peeled();
    let within = match within {
        Some(most) => Some(most.checked_sub(peeled.first)?),
        None => None,
    };
    let instance = instance(model, offer);
    // Joints beyond those of trees would add to the first aim what the engine does not know of.
    let same = within.is_none() && loose && (model.joint.first == 0 || !model.bound_by_site());
    let told = if same { budget.telling(peeled.first, offer.complete) } else { budget.quiet() };
    let mut known = Known { model, offer, verdicts: BTreeMap::new(), doubt: false, reserve: RESERVE };
    let accept = &mut |pattern: &Pattern| known.accepts(pattern);
    let solved = match within {
        Some(most) => exact::solve_within(&instance, most, &told, accept),
        None => exact::solve_on(&instance, &told, accept),
    };
    let (patterns, mut found) = match solved {
        Ok(outcome) => {
            let Outcome { patterns, cost, tie, proven, nodes, certificate, tie_certificate, .. } = outcome;
            let bound = Aims { first: cost + peeled.first, second: tie + peeled.second };
            let finished = proven && offer.complete;
            let (searched, doubt) = (finished && !known.doubt, finished && known.doubt);
            let (first, second) = (certificate, tie_certificate);
            (patterns, Pass { bound, searched, doubt, nodes, first, second, ..Pass::default() })
        }
        Err(Refusal::Short) if offer.complete => return None,
        // The engine gave up: what can be laid out chain by chain is an answer all the same.
        Err(_) if within.is_none() => {
            (greedy(model, offer, &mut |pattern| known.accepts(pattern))?, Pass { gave_up: true, ..Pass::default() })
        }
        Err(_) => return None,
    };
    for pattern in patterns {
        let (bars, runs) = spread(model, offer, &pattern);
        let Verdict::Laid(cut) = known.verdict(&pattern) else { return None };
        let joints = (cut.iter().map(Vec::len).sum::<usize>() - runs.len()) as u64;
        for (&kind, pieces) in bars.iter().zip(&cut) {
            if !pieces.is_empty() {
                found.aims.first += pattern.times * model.kinds[kind].aims.first;
                found.aims.second += pattern.times * model.kinds[kind].aims.second;
            }
        }
        found.aims.first += pattern.times * joints * model.joint.first;
        found.aims.second += pattern.times * joints * model.joint.second;
        found.chains.push(Made { times: pattern.times, bars, runs, cut });
    }
    Some(found)
}

fn instance(model: &Model, offer: &Offer) -> Instance {
    let stocks = offer.stocks.iter().map(|stock| exact::Stock {
        length: stock.capacity,
        cost: stock.aims.first,
        tie: stock.aims.second,
    });
    let kinds = model.kinds.iter().enumerate();
    let supplies = kinds.filter_map(|(kind, Kind { available, .. })| {
        // Bars taken off long runs are drawn whatever the chains are.
        let taken = if model.kinds.len() == 1 { model.peeled_bars() } else { 0 };
        let draws = offer.stocks.iter().map(|stock| u64::from(stock.bars[kind])).collect();
        Some(exact::Supply { limit: (*available)?.saturating_sub(taken), draws })
    });
    let apart = model.bound_by_site() || model.items.iter().any(|item| item.site.most_joints == 0);
    let items = model.items.iter().enumerate().map(|(at, item)| exact::Item {
        length: model.size(at),
        count: item.count,
        // Runs of one size are interchangeable unless the site tells them apart.
        kind: if apart { u32::try_from(at).unwrap_or(u32::MAX) } else { 0 },
    });
    // A longer chain may be of bars that cannot be cut as a shorter one's can.
    let particular = model.bound_by_site() && (model.kinds.len() > 1 || offer.stocks.iter().any(|s| s.extra == 0));
    Instance { stocks: stocks.collect(), items: items.collect(), supplies: supplies.collect(), particular }
}

/// A pattern's stock and uses.
type Key = (usize, Vec<(usize, u64)>);

/// What is known of the patterns that the engine asked about.
struct Known<'a> {
    model: &'a Model,
    offer: &'a Offer,
    verdicts: BTreeMap<Key, Verdict>,
    /// Steps beyond the rule that may still be spent on chains that are hard to lay out.
    reserve: u32,
    /// Whether a pattern was refused without proof.
    doubt: bool,
}

impl Known<'_> {
    fn accepts(&mut self, pattern: &Pattern) -> bool {
        let verdict = self.verdict(pattern);
        let laid = matches!(verdict, Verdict::Laid(_));
        self.doubt |= verdict == Verdict::Undecided;
        laid
    }

    fn verdict(&mut self, pattern: &Pattern) -> Verdict {
        let key = (pattern.stock, pattern.uses.clone());
        if let Some(verdict) = self.verdicts.get(&key) {
            return verdict.clone();
        }
        let (bars, runs) = spread(self.model, self.offer, pattern);
        let most = (bars.len() as u64 - 1).saturating_add(self.offer.stocks[pattern.stock].extra);
        let task = task(self.model, &bars, &runs);
        let mut verdict = task.lay_out(most);
        if verdict == Verdict::Undecided && self.reserve > 0 {
            let given = self.reserve.min(HARD);
            let mut left = given;
            verdict = task.lay_out_within(most, &mut left);
            self.reserve -= given - left;
        }
        self.verdicts.insert(key, verdict.clone());
        verdict
    }
}

/// The bars (kinds) and runs (items) of a pattern, one entry each, with the whole bars of long runs put back.
fn spread(model: &Model, offer: &Offer, pattern: &Pattern) -> (Vec<usize>, Vec<usize>) {
    let runs: Vec<usize> = pattern.uses.iter().flat_map(|&(item, count)| (0..count).map(move |_| item)).collect();
    let peeled: u64 = runs.iter().map(|&item| model.items[item].peeled).sum();
    let counts = offer.stocks[pattern.stock].bars.iter().enumerate();
    let mut bars: Vec<usize> = counts.flat_map(|(kind, &count)| (0..count).map(move |_| kind)).collect();
    bars.extend((0..peeled).map(|_| 0));
    (bars, runs)
}

pub(super) fn task<'a>(model: &'a Model, bars: &[usize], runs: &[usize]) -> Task<'a> {
    let demand =
        |&item: &usize| Demand { length: model.items[item].length, site: &model.items[item].site, alike: item };
    Task {
        bars: bars.iter().map(|&kind| model.kinds[kind].usable + model.kerf).collect(),
        runs: runs.iter().map(demand).collect(),
        lap: model.lap,
        kerf: model.kerf,
        step: model.step,
    }
}
