//! From patterns of chains to the canonical answer: alike runs handed out, pieces numbered, waste gathered.

use std::collections::BTreeMap;

use crate::length::Length;

use super::answer::{Answer, Bound, Chain, CutBar, Piece, Proof, Status};
use super::layout::{Cut, Laid};
use super::model::Model;
use super::problem::Problem;
use super::search::Found;

/// Writes down the chains that were found. Bounds and proof are still to be filled in.
pub(super) fn assemble(model: &Model, problem: &Problem, found: &Found) -> Answer {
    let mut hand_out = HandOut::new(model);
    let mut chains = Vec::new();
    for made in &found.chains {
        hand_out.chains(&made.bars, &made.runs, &made.cut, made.times, &mut chains);
    }
    chains.sort_by(|a, b| b.bars.len().cmp(&a.bars.len()).then_with(|| a.bars.cmp(&b.bars)));
    chains.dedup_by(|next, first| {
        let same = next.bars == first.bars;
        if same {
            first.times += next.times;
        }
        same
    });
    let runs: u64 = problem.runs.iter().map(|run| run.quantity).sum();
    let bars = |chain: &Chain| chain.bars.iter().map(|bar| problem.cost_of(bar.bar)).sum::<u64>();
    let mut answer = Answer {
        status: Status::BestFound,
        bar_count: chains.iter().map(|chain| chain.times * chain.bars.len() as u64).sum(),
        joint_count: 0,
        cost: chains.iter().map(|chain| chain.times * bars(chain)).sum(),
        bound: Bound { bars: 0, cost: 0, joints: 0 },
        chains,
        proof: Proof::default(),
    };
    answer.joint_count = answer.piece_count() - runs;
    answer
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
    fn chains(&mut self, bars: &[usize], items: &[usize], cut: &Cut, times: u64, chains: &mut Vec<Chain>) {
        // Per slot: stretches of (run, how many times), last first.
        let mut stretches: Vec<Vec<(usize, u64)>> = items.iter().map(|&item| self.take(item, times)).collect();
        let mut left = times;
        while left > 0 {
            let times = stretches.iter().filter_map(|slot| slot.last().map(|&(_, times)| times)).min().unwrap_or(left);
            let runs: Vec<usize> = stretches.iter().filter_map(|slot| slot.last().map(|&(run, _)| run)).collect();
            chains.push(chain(self.model, bars, &runs, cut, times));
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
            taken.push((runs[*at].0, now));
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

/// One chain with the problem's own indices. Bars from which nothing is cut are dropped.
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
