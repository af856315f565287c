//! Dives: patterns taken one after another, in the hope of an answer.

use super::{Cover, Node, Seen};
use crate::cutting::exact::fill::{self, Rest};
use crate::cutting::exact::reduce::Cut;
use crate::cutting::exact::search::Search;

/// How often a dive may go back.
const FAILS: u32 = 10;
/// Items wanted for each further pattern that a dive takes at once.
const STEP: u64 = 64;

/// Patterns with how much of each the fractional solution uses.
type Levels = Vec<(u32, f64)>;

impl Cover {
    /// Takes patterns one after another until nothing is left. Where that fails, the last one taken is dropped instead, some
    /// times in all. `turn` varies the choice. Returns whether an answer of the value sought was found.
    pub(super) fn dive(
        &mut self,
        search: &mut Search<'_>,
        mut node: Node,
        mut levels: Vec<(u32, f64)>,
        turn: u64,
    ) -> bool {
        let mut fails = FAILS;
        let mut seed = turn;
        // How much keeping ways open counts against the fractional solution.
        let base = [0.2, 1.0, 0.05][(turn % 3) as usize];
        let mut path: Vec<(Node, Levels, u32)> = Vec::new();
        // Several patterns at a time, as long as that goes well.
        let mut share = STEP;
        loop {
            let ways = self.ways(&node);
            let mut ranked: Vec<(f64, u32, u64)> = Vec::with_capacity(levels.len());
            for &(c, x) in &levels {
                // What takes few patterns away from other items keeps most ways open.
                let loss: u32 = self.listed[c as usize].1.iter().map(|u| ways[u.0 as usize]).sum();
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                let noise = if turn == 0 { 1.0 } else { 0.5 + (seed >> 40) as f64 / f64::from(1_u32 << 24) };
                ranked.push(((base + x.min(1.0)) * noise / f64::from(loss.max(1)), c, ((x + 1.0e-5) as u64).max(1)));
            }
            ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            let Some(&(_, first, _)) = ranked.first() else { return false };
            let wanted: u64 = node.left.iter().sum();
            let number = 1 + (wanted / share) as usize;
            path.push((node.clone(), levels, first));
            let mut taken = 0;
            for &(_, c, times) in &ranked {
                if taken < number && node.open[c as usize] {
                    self.take(&mut node, c, times);
                    taken += 1;
                }
            }
            loop {
                if !search.meter.enter() {
                    return false;
                }
                match self.relax(search, &mut node) {
                    Seen::Open(_) if node.left.iter().all(|&l| l == 0) => {
                        return self.offer(search, &node.taken) && self.done(search);
                    }
                    Seen::Open(next) => {
                        levels = next;
                        break;
                    }
                    Seen::Unclear => return false,
                    Seen::Cut => {}
                }
                let Some((before, old, c)) = path.pop() else { return false };
                node = before;
                if taken > 1 {
                    share = u64::MAX;
                    levels = old;
                    break;
                }
                if fails == 0 {
                    self.complete(search, &node);
                    return false;
                }
                fails -= 1;
                node.open[c as usize] = false;
            }
        }
    }

    /// Completes what is taken by the greedy heuristic: no answer of the value sought, but perhaps one to go on with.
    fn complete(&self, search: &mut Search<'_>, node: &Node) {
        let rest = Rest {
            core: search.core,
            length: &search.core.length,
            count: &node.left,
            supply: &[],
            cost_limit: search.aim.cost_limit,
        };
        if let Some(more) = fill::greedy(&rest, false, false, &mut search.meter) {
            let taken = node.taken.iter().map(|&(pattern, times)| {
                let (stock, uses) = &self.listed[pattern as usize];
                Cut { stock: *stock, uses: uses.clone(), times }
            });
            search.offer(taken.chain(more).collect());
        }
    }
}
