//! Linear programs over patterns: revised primal simplex with sparse factors of the basis.
//!
//! Rows are few (one per kind of item), columns many, sparse and growing. A basis may be started from any set of columns and any right-hand side: a basic
//! column that would be negative is replaced by its negation at a high cost, which the simplex then drives out
//! (a composite of both phases). The right-hand side is perturbed to break ties (Charnes); callers prove bounds from
//! the duals in integers, so neither this nor rounding can harm a proof.

use super::factor::{Entries, Factor};

/// Cost of a replaced (artificial) column, where proper costs are about 1.
const ARTIFICIAL: f64 = 1.0e4;
const PRICE_TOLERANCE: f64 = 1.0e-9;
const PIVOT_TOLERANCE: f64 = 1.0e-8;
const REINVERT_AFTER: usize = 60;

struct Column {
    entries: Vec<(u32, f64)>,
    cost: f64,
    /// May enter the basis.
    open: bool,
}

/// Minimise cost subject to rows that are each at least or at most their right-hand side.
pub(super) struct Lp {
    rows: usize,
    rhs: Vec<f64>,
    columns: Vec<Column>,
    /// Column that is basic in each row.
    basis: Vec<usize>,
    basic: Vec<bool>,
    factor: Factor,
    level: Vec<f64>,
    dual: Vec<f64>,
    age: usize,
    work: u64,
    /// Where the search for an entering column goes on.
    next: usize,
}

impl Lp {
    /// A program without proper columns; `at_least` says the sense of each row.
    pub(super) fn new(rhs: &[f64], at_least: &[bool]) -> Self {
        let rows = rhs.len();
        let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
        let perturbed = rhs
            .iter()
            .zip(at_least)
            .map(|(&b, &least)| {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                let part = 0.5 + (seed >> 40) as f64 / f64::from(1_u32 << 24);
                // Limits are loosened by more than all demands together gain, so that none becomes impossible.
                b + 1.0e-7 * if least { part } else { (part + 2.0) * rows as f64 }
            })
            .collect();
        let columns: Vec<Column> = at_least
            .iter()
            .enumerate()
            .map(|(row, &least)| Column {
                entries: vec![(row as u32, if least { -1.0 } else { 1.0 })],
                cost: 0.0,
                open: true,
            })
            .collect();
        let mut lp = Lp {
            rows,
            rhs: perturbed,
            basic: vec![false; rows],
            columns,
            basis: Vec::new(),
            factor: Factor::default(),
            level: Vec::new(),
            dual: Vec::new(),
            age: 0,
            work: 0,
            next: 0,
        };
        lp.start(&[]);
        lp
    }

    /// Adds a column and returns its index.
    pub(super) fn add(&mut self, entries: Vec<(u32, f64)>, cost: f64) -> usize {
        self.columns.push(Column { entries, cost, open: true });
        self.basic.push(false);
        self.columns.len() - 1
    }

    /// Starts from the basis made of as many of `chosen` as are independent, and slacks.
    pub(super) fn start(&mut self, chosen: &[usize]) {
        let m = self.rows;
        self.basic.iter_mut().for_each(|b| *b = false);
        let views: Vec<&Entries> = chosen.iter().map(|&c| self.columns[c].entries.as_slice()).collect();
        let slack: Vec<f64> = (0..m).map(|row| self.columns[row].entries[0].1).collect();
        let taken = self.factor.build(&views, &slack);
        self.basis = taken.iter().enumerate().map(|(row, at)| at.map_or(row, |at| chosen[at])).collect();
        self.basis.iter().for_each(|&c| self.basic[c] = true);
        self.work += 4 * self.factor.size() as u64;
        self.settle();
    }

    /// Recomputes levels and duals; negative levels become artificial columns.
    fn settle(&mut self) {
        self.level.clone_from(&self.rhs);
        self.factor.forward(&mut self.level);
        for row in 0..self.rows {
            if self.level[row] < -1.0e-10 {
                let old = self.basis[row];
                let entries = self.columns[old].entries.iter().map(|&(r, v)| (r, -v)).collect();
                self.columns.push(Column { entries, cost: ARTIFICIAL, open: false });
                self.basic.push(true);
                self.basic[old] = false;
                self.basis[row] = self.columns.len() - 1;
                self.level[row] = -self.level[row];
                self.factor.negate(row);
            }
        }
        self.price();
        self.age = 0;
    }

    fn price(&mut self) {
        self.dual.clear();
        self.dual.extend(self.basis.iter().map(|&c| self.columns[c].cost));
        self.factor.backward(&mut self.dual);
        self.work += self.factor.size() as u64;
    }

    fn forward(&mut self, column: usize) -> Vec<f64> {
        let mut alpha = vec![0.0; self.rows];
        self.columns[column].entries.iter().for_each(|&(r, v)| alpha[r as usize] += v);
        self.factor.forward(&mut alpha);
        self.work += self.factor.size() as u64 / 2;
        alpha
    }

    fn reduced_cost(&self, column: usize) -> f64 {
        let c = &self.columns[column];
        c.cost - c.entries.iter().map(|&(r, v)| self.dual[r as usize] * v).sum::<f64>()
    }

    /// A column of negative reduced cost: the best of a block, going round from where the last search ended.
    fn entering(&mut self) -> Option<usize> {
        let all = self.columns.len();
        let block = (all / 8).max(100);
        let mut best = None;
        let mut least = -PRICE_TOLERANCE;
        let mut seen = 0;
        while seen < all {
            for _ in 0..block.min(all - seen) {
                self.next = if self.next + 1 >= all { 0 } else { self.next + 1 };
                seen += 1;
                if self.basic[self.next] || !self.columns[self.next].open {
                    continue;
                }
                let cost = self.reduced_cost(self.next);
                if cost < least {
                    least = cost;
                    best = Some(self.next);
                }
            }
            if best.is_some() {
                break;
            }
        }
        self.work += 3 * seen as u64;
        best
    }

    /// Runs the simplex to optimality over the present columns.
    pub(super) fn solve(&mut self) {
        let m = self.rows;
        let most = 50 * (m + 20) + 4 * self.columns.len();
        for _ in 0..most {
            if self.age >= REINVERT_AFTER {
                let basis = self.basis.clone();
                self.start(&basis);
            }
            let Some(column) = self.entering() else { return };
            let alpha = self.forward(column);
            let mut leaving: Option<usize> = None;
            let mut step = f64::INFINITY;
            for row in 0..m {
                let a = alpha[row];
                if a > PIVOT_TOLERANCE {
                    let ratio = self.level[row].max(0.0) / a;
                    let tied = (ratio - step).abs() <= 1.0e-12;
                    if ratio < step - 1.0e-12 || (tied && leaving.is_some_and(|l| a > alpha[l])) {
                        step = ratio;
                        leaving = Some(row);
                    }
                }
            }
            let Some(row) = leaving else {
                // No proper column is unbounded; rounding has spoilt this one.
                self.columns[column].open = false;
                continue;
            };
            for (r, a) in alpha.iter().enumerate() {
                self.level[r] -= step * a;
            }
            self.level[row] = step;
            self.factor.exchange(row, &alpha);
            self.basic[self.basis[row]] = false;
            self.basic[column] = true;
            self.basis[row] = column;
            self.price();
            self.age += 1;
        }
    }

    pub(super) fn duals(&self) -> &[f64] {
        &self.dual
    }

    /// Basic columns with their levels.
    pub(super) fn levels(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.basis.iter().copied().zip(self.level.iter().copied())
    }

    /// Cost of the present solution.
    pub(super) fn value(&self) -> f64 {
        self.levels().map(|(c, level)| self.columns[c].cost * level).sum()
    }

    /// Sum of levels of artificial columns: above zero, the rows cannot all be met with the present columns.
    pub(super) fn shortfall(&self) -> f64 {
        self.levels().filter(|&(c, _)| self.columns[c].cost >= ARTIFICIAL).map(|(_, level)| level).sum()
    }

    /// Elementary steps since the last call.
    pub(super) fn take_work(&mut self) -> u64 {
        std::mem::take(&mut self.work)
    }
}
