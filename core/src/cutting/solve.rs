//! From a problem to its cut list.

use std::collections::BTreeMap;

use crate::error::{Code, Error};
use crate::length::Length;

use super::answer::{Answer, Bound, Chain, CutBar, Piece, Proof, Status};
use super::engine::{self, Instance, Pattern};
use super::layout::{Laid, lay_out};
use super::model::Model;
use super::problem::{Effort, Problem};
use super::stock::{Offer, offer};

/// The best cut list found within the effort, with a bound and what proves it.
///
/// # Errors
/// Every problem that [`Problem::check`] finds, and [`Code::Uncuttable`] where the bars on hand do not suffice.
///
/// ```
/// use upstand::{Code, Length, cutting::{self, Bar, Effort, Problem, Run}};
///
/// let bars = vec![Bar::of(Length::from_mm(3000))];
/// let runs = [1900, 1800, 900, 700, 300, 300].map(|mm| Run::of(Length::from_mm(mm), 1)).to_vec();
/// let answer = cutting::solve(&Problem::new(bars, runs.clone()), &Effort::default())?;
/// assert_eq!(answer.bar_count, 2);
///
/// let error = cutting::solve(&Problem::new(Vec::new(), runs), &Effort::default()).unwrap_err();
/// assert_eq!(error.code(), Code::Uncuttable);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn solve(problem: &Problem, effort: &Effort) -> Result<Answer, Error> {
    Error::from_problems(problem.check())?;
    let model = Model::new(problem)?;
    refuse_uncuttable(&model)?;
    let offer = offer(&model);
    let instance = Instance {
        stocks: offer
            .stocks
            .iter()
            .map(|stock| engine::Stock { length: stock.capacity, cost: stock.weight, supply: stock.supply })
            .collect(),
        items: (0..model.items.len())
            .map(|item| engine::Item { length: model.item_size(item), count: model.items[item].count })
            .collect(),
    };
    let mut laid = Known::new();
    let outcome =
        engine::solve(&instance, effort, &mut |pattern| layout_of(&model, &offer, pattern, &mut laid).is_some());
    let outcome = outcome.map_err(|_| {
        Error::new(
            Code::Uncuttable,
            "/bars",
            "the bars on hand do not suffice for all runs: offer more, or a kind without limit",
        )
    })?;
    let mut hand_out = HandOut::new(&model);
    let mut chains = Vec::new();
    for pattern in &outcome.patterns {
        let cut = layout_of(&model, &offer, pattern, &mut laid).unwrap_or_default();
        hand_out.chains(&offer, pattern, &cut, &mut chains);
    }
    Ok(answer(&model, offer.complete, chains, &outcome))
}

fn refuse_uncuttable(model: &Model) -> Result<(), Error> {
    let longest = model.kinds.iter().map(|kind| kind.usable).max().unwrap_or(0);
    let mut problems = Vec::new();
    for item in model.items.iter().filter(|item| item.length > longest && item.site.most_joints == 0) {
        for &(run, _) in &item.runs {
            let message = format!(
                "a run of {} must be in one piece, but the longest bar gives {}",
                Length::from_um(item.length),
                Length::from_um(longest)
            );
            problems.push(Error::new(Code::Uncuttable, format!("/runs/{run}/length"), message));
        }
    }
    problems.sort_by_key(|problem| problem.path().len());
    Error::from_problems(problems)
}

/// Per bar its pieces.
type Cut = Vec<Vec<Laid>>;

/// What is known of patterns, by their stock and uses.
type Known = BTreeMap<(usize, Vec<(usize, u64)>), Option<Cut>>;

fn layout_of(model: &Model, offer: &Offer, pattern: &Pattern, laid: &mut Known) -> Option<Cut> {
    let entry = laid.entry((pattern.stock, pattern.uses.clone()));
    entry
        .or_insert_with(|| {
            let bars = spread(&offer.stocks[pattern.stock].bars);
            let runs: Vec<usize> =
                pattern.uses.iter().flat_map(|&(item, count)| (0..count).map(move |_| item)).collect();
            lay_out(model, &bars, &runs)
        })
        .clone()
}

fn spread(counts: &[u32]) -> Vec<usize> {
    counts.iter().enumerate().flat_map(|(kind, &count)| (0..count).map(move |_| kind)).collect()
}

/// Hands out the problem's runs to the slots of patterns, where alike runs have been merged.
struct HandOut<'a> {
    model: &'a Model,
    /// Per item: which of its runs comes next, and how many of that one are left.
    next: Vec<(usize, u64)>,
}

impl<'a> HandOut<'a> {
    fn new(model: &'a Model) -> Self {
        let next = model.items.iter().map(|item| (0, item.runs.first().map_or(0, |run| run.1))).collect();
        HandOut { model, next }
    }

    /// Turns a pattern into chains: one, unless its slots change from one run to an alike one along the way.
    fn chains(&mut self, offer: &Offer, pattern: &Pattern, cut: &[Vec<Laid>], chains: &mut Vec<Chain>) {
        let bars = spread(&offer.stocks[pattern.stock].bars);
        // Per slot: stretches of (run, how many times).
        let mut stretches: Vec<Vec<(usize, u64)>> = Vec::new();
        for &(item, count) in &pattern.uses {
            for _ in 0..count {
                stretches.push(self.take(item, pattern.times));
            }
        }
        let mut left = pattern.times;
        while left > 0 {
            let times = stretches.iter().filter_map(|slot| slot.last().map(|&(_, times)| times)).min().unwrap_or(left);
            let runs: Vec<usize> = stretches.iter().filter_map(|slot| slot.last().map(|&(run, _)| run)).collect();
            chains.push(chain(self.model, &bars, &runs, cut, times));
            for slot in &mut stretches {
                if let Some(last) = slot.last_mut() {
                    last.1 -= times;
                    if last.1 == 0 {
                        slot.pop();
                    }
                }
            }
            left -= times;
        }
    }

    fn take(&mut self, item: usize, mut times: u64) -> Vec<(usize, u64)> {
        let runs = &self.model.items[item].runs;
        let mut taken = Vec::new();
        let (at, left) = &mut self.next[item];
        while times > 0 && *at < runs.len() {
            let now = times.min(*left);
            if now > 0 {
                taken.push((runs[*at].0, now));
            }
            times -= now;
            *left -= now;
            if *left == 0 {
                *at += 1;
                *left = runs.get(*at).map_or(0, |run| run.1);
            }
        }
        taken.reverse();
        taken
    }
}

fn chain(model: &Model, bars: &[usize], runs: &[usize], cut: &[Vec<Laid>], times: u64) -> Chain {
    let mut seen: BTreeMap<usize, u64> = BTreeMap::new();
    let copies: Vec<u64> = runs
        .iter()
        .map(|&run| {
            let seen = seen.entry(run).or_default();
            *seen += 1;
            *seen - 1
        })
        .collect();
    let mut parts = vec![0_u32; runs.len()];
    cut.iter().flatten().for_each(|piece| parts[piece.slot] += 1);
    let bars = bars.iter().zip(cut).filter(|(_, pieces)| !pieces.is_empty()).map(|(&kind, pieces)| {
        let used: i64 = pieces.iter().map(|piece| piece.length + model.kerf).sum();
        let pieces = pieces.iter().map(|piece| Piece {
            run: runs[piece.slot],
            copy: copies[piece.slot],
            part: piece.part,
            parts: parts[piece.slot],
            start: Length::from_um(piece.start),
            length: Length::from_um(piece.length),
        });
        let offcut = Length::from_um((model.kinds[kind].usable - used).max(0));
        CutBar { bar: model.kinds[kind].bar, pieces: pieces.collect(), offcut }
    });
    Chain { times, bars: bars.collect() }
}

fn answer(model: &Model, complete: bool, mut chains: Vec<Chain>, outcome: &engine::Outcome) -> Answer {
    chains.sort_by(|a, b| b.bars.len().cmp(&a.bars.len()).then_with(|| a.bars.cmp(&b.bars)));
    chains.dedup_by(|next, first| {
        let same = next.bars == first.bars;
        if same {
            first.times += next.times;
        }
        same
    });
    let runs: u64 = model.items.iter().map(|item| item.count).sum();
    let each = |bar: usize| model.kinds.iter().find(|kind| kind.bar == bar).map_or(0, |kind| kind.cost);
    let bar_count = chains.iter().map(|chain| chain.times * chain.bars.len() as u64).sum();
    let cost = chains.iter().map(|chain| chain.times * chain.bars.iter().map(|bar| each(bar.bar)).sum::<u64>()).sum();
    let mut answer = Answer {
        status: Status::BestFound,
        bar_count,
        joint_count: 0,
        cost,
        bound: Bound { bars: 0, cost: 0, joints: 0 },
        chains,
        proof: Proof {
            prices: outcome.prices.clone(),
            rents: vec![0; model.kinds.len()],
            scale: outcome.scale,
            worth: 0,
            nodes: outcome.nodes,
        },
    };
    answer.joint_count = answer.piece_count() - runs;
    if outcome.proven && complete {
        answer.status = Status::ProvenBest;
    }
    answer
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cutting::{Bar, Rules, Run, check};

    fn problem(bar: i64, lap: i64, runs: &[i64]) -> Problem {
        let runs = runs.iter().map(|&mm| Run::of(Length::from_mm(mm), 1)).collect();
        let rules = Rules { lap: Length::from_mm(lap), ..Rules::default() };
        Problem { rules, ..Problem::new(vec![Bar::of(Length::from_mm(bar))], runs) }
    }

    /// One straight run alone: `ceil((R - lap) / (S - lap))` bars, by counting covers end to end.
    #[test]
    fn a_run_alone_takes_the_bars_that_its_laps_leave() {
        for (run, bars) in [(3000, 1), (3010, 2), (5950, 2), (6000, 3), (8900, 3), (9000, 4), (12000, 5)] {
            let answer = solve(&problem(3000, 50, &[run]), &Effort::default()).expect("a valid problem");
            assert_eq!((answer.bar_count, answer.joint_count), (bars, bars - 1), "run {run}");
        }
    }

    proptest! {
        #[test]
        fn answers_pass_their_check(
            runs in proptest::collection::vec((1_i64..9000, 1_u64..4, any::<bool>()), 0..8),
            lap in 0_i64..200, kerf in 0_i64..5, trim in 0_i64..20, least in 0_i64..400, clear in 0_i64..300,
        ) {
            let runs = runs.into_iter().map(|(mm, quantity, join)| {
                let run = Run::of(Length::from_mm(mm), quantity);
                if join || mm > 2900 { run } else { run.whole() }
            });
            let mm = Length::from_mm;
            let rules = Rules { lap: mm(lap), kerf: mm(kerf), trim_off: mm(trim), least_piece: mm(least), clear: mm(clear), ..Rules::default() };
            let problem = Problem { rules, ..Problem::new(vec![Bar::of(mm(3000))], runs.collect()) };
            if let Ok(answer) = solve(&problem, &Effort::default()) {
                prop_assert_eq!(check(&problem, &answer), Ok(()));
            }
        }
    }
}
