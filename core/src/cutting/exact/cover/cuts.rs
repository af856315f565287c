//! Subset-row cuts: of three items that are wanted once, one pattern at most holds two or more.

use std::collections::{BTreeMap, BTreeSet};

use super::{Cover, Node, Triple};
use crate::cutting::exact::listing::Uses;
use crate::cutting::exact::search::Search;

/// Cuts added at a time.
const CUTS: usize = 60;

impl Cover {
    /// Adds violated subset-row cuts to the root. Returns whether there were any.
    pub(super) fn separate(&mut self, search: &mut Search<'_>, root: &mut Node, levels: &[(u32, f64)]) -> bool {
        let mut shared: BTreeMap<(u32, u32), f64> = BTreeMap::new();
        let mut beside: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); root.left.len()];
        let part: Vec<&(u32, f64)> = levels.iter().filter(|l| l.1 < 1.0 - 1.0e-6).collect();
        for &&(c, x) in &part {
            let uses = &self.listed[c as usize].1;
            for (k, &(i, _)) in uses.iter().enumerate() {
                for &(j, _) in &uses[k + 1..] {
                    *shared.entry((i.min(j), i.max(j))).or_default() += x;
                    beside[i as usize].insert(j);
                    beside[j as usize].insert(i);
                }
            }
        }
        let share = |i: u32, j: u32| shared.get(&(i.min(j), i.max(j))).copied().unwrap_or(0.0);
        let known: BTreeSet<[u32; 3]> = self.cuts.iter().map(|c| c.rows).collect();
        let mut violated: Vec<(i64, [u32; 3])> = Vec::new();
        let mut seen: BTreeSet<[u32; 3]> = BTreeSet::new();
        for &(i, j) in shared.keys() {
            for &k in beside[i as usize].union(&beside[j as usize]) {
                let mut rows = [i, j, k];
                rows.sort_unstable();
                if k == i || k == j || rows.iter().any(|&r| root.left[r as usize] != 1) || known.contains(&rows) {
                    continue;
                }
                // Pairs count a pattern with all three three times.
                if share(i, j) + share(i, k) + share(j, k) <= 1.05 || !seen.insert(rows) {
                    continue;
                }
                let held = |c: u32| self.listed[c as usize].1.iter().filter(|u| rows.contains(&u.0)).count();
                let sum: f64 = part.iter().filter(|l| held(l.0) > 1).map(|l| l.1).sum();
                search.meter.spend(part.len() as u64 * 4);
                if sum > 1.02 {
                    violated.push(((sum * 1.0e6) as i64, rows));
                }
            }
        }
        violated.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        // Not too many through one item.
        let mut times = vec![0_u32; root.left.len()];
        let mut added = 0;
        for (_, rows) in violated {
            if added >= CUTS {
                break;
            }
            if rows.iter().any(|&r| times[r as usize] >= 5) {
                continue;
            }
            rows.iter().for_each(|&r| times[r as usize] += 1);
            let held = |uses: &Uses| uses.iter().filter(|u| rows.contains(&u.0)).count();
            let counted: Vec<u32> =
                (0..self.listed.len() as u32).filter(|&at| held(&self.listed[at as usize].1) > 1).collect();
            self.program.limit(&counted.iter().map(|&at| (at, 1.0)).collect::<Vec<_>>());
            self.cuts.push(Triple { rows, counted });
            added += 1;
        }
        search.meter.spend((added * self.listed.len() * 4) as u64);
        added > 0
    }
}
