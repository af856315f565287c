//! Whether fixed columns can meet all rows: a dual simplex that starts again from any basis.
//!
//! Rows are equations or upper limits, columns are at least zero, and a closed column is zero. Only feasibility is asked for,
//! so costs are free: they are drawn at random, which breaks ties, and moved wherever a reduced cost would be
//! negative, so that every basis is dual feasible. Closing and opening columns, other right-hand sides and further rows thus
//! all continue from the basis at hand. (Koberstein 2005, The Dual Simplex Method, for bounds, the ratio test of
//! Harris and the shifting of costs; weights of leaving rows are those of Forrest and Goldfarb 1992, approximately.)

use super::factor::{Entries, Factor};

const FEASIBLE: f64 = 1.0e-7;
const LEAST_PIVOT: f64 = 1.0e-7;
const REINVERT_AFTER: usize = 60;
/// Column numbers from here on are slacks of rows.
const SLACK: u32 = 1 << 31;
const NOWHERE: u32 = u32::MAX;

/// What the columns can do.
pub(super) enum Verdict {
    /// Meet all rows: columns with their levels, all above zero.
    Met(Vec<(u32, f64)>),
    /// Not meet them, by these multipliers of the rows: summed up with them, the rows ask what no open column can give.
    Unmet(Vec<f64>),
    /// Rounding or effort got in the way.
    Unclear,
}

pub(super) struct Program {
    /// Rows that are upper limits; the others are equations.
    limit: Vec<bool>,
    columns: Vec<Vec<(u32, f64)>>,
    cost: Vec<f64>,
    open: Vec<bool>,
    right: Vec<f64>,
    /// Column that is basic in each row.
    basis: Vec<u32>,
    place: Vec<u32>,
    slack_place: Vec<u32>,
    factor: Factor,
    level: Vec<f64>,
    reduced: Vec<f64>,
    slack_reduced: Vec<f64>,
    weight: Vec<f64>,
    /// Open columns.
    active: Vec<u32>,
    /// Entries of open columns by row: where each row begins, then column and value.
    row_start: Vec<usize>,
    row_entries: Vec<(u32, f64)>,
    age: usize,
    work: u64,
    seed: u64,
}

impl Program {
    /// A program of `rows` equations whose columns are given by their entries.
    pub(super) fn new(rows: usize, columns: Vec<Vec<(u32, f64)>>) -> Self {
        let n = columns.len();
        let mut program = Program {
            limit: vec![false; rows],
            cost: vec![0.0; n],
            open: vec![true; n],
            right: vec![0.0; rows],
            basis: Vec::new(),
            place: vec![NOWHERE; n],
            slack_place: Vec::new(),
            columns,
            factor: Factor::default(),
            level: Vec::new(),
            reduced: vec![0.0; n],
            slack_reduced: Vec::new(),
            weight: Vec::new(),
            active: Vec::new(),
            row_start: Vec::new(),
            row_entries: Vec::new(),
            age: 0,
            work: 0,
            seed: 0x9e37_79b9_7f4a_7c15,
        };
        program.draw_costs();
        program
    }

    /// Adds a row that is an upper limit.
    pub(super) fn limit(&mut self, entries: &[(u32, f64)]) {
        let row = self.limit.len() as u32;
        self.limit.push(true);
        entries.iter().for_each(|&(column, value)| self.columns[column as usize].push((row, value)));
    }

    /// Draws all costs anew: another solution, if there are several.
    pub(super) fn draw_costs(&mut self) {
        for cost in &mut self.cost {
            self.seed = self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            *cost = 0.5 + (self.seed >> 40) as f64 / f64::from(1_u32 << 24);
        }
    }

    /// Begins with the columns that are open, the right-hand sides, and a basis that [`Program::basis`] gave, perhaps for fewer
    /// rows.
    pub(super) fn load(&mut self, open: &[bool], right: &[f64], basis: &[u32]) {
        self.open.copy_from_slice(open);
        self.right.clear();
        self.right.extend_from_slice(right);
        self.active.clear();
        self.active.extend((0..open.len()).filter(|&c| open[c]).map(|c| c as u32));
        let m = self.limit.len();
        let mut start = vec![0_usize; m + 1];
        for &column in &self.active {
            self.columns[column as usize].iter().for_each(|e| start[e.0 as usize + 1] += 1);
        }
        for row in 0..m {
            start[row + 1] += start[row];
        }
        self.row_entries.clear();
        self.row_entries.resize(start[m], (0, 0.0));
        let mut next = start.clone();
        for &column in &self.active {
            for &(row, value) in &self.columns[column as usize] {
                self.row_entries[next[row as usize]] = (column, value);
                next[row as usize] += 1;
            }
        }
        self.row_start = start;
        self.work += 3 * self.row_entries.len() as u64;
        let mut basis = basis.to_vec();
        basis.extend((basis.len()..m).map(|row| SLACK | row as u32));
        self.invert(&basis);
    }

    /// The present basis.
    pub(super) fn basis(&self) -> &[u32] {
        &self.basis
    }

    pub(super) fn take_work(&mut self) -> u64 {
        std::mem::take(&mut self.work)
    }

    fn is_open(&self, column: u32) -> bool {
        if column & SLACK == 0 { self.open[column as usize] } else { self.limit[(column ^ SLACK) as usize] }
    }

    /// Factors a basis anew; what depends on others makes room for slacks.
    fn invert(&mut self, basis: &[u32]) {
        let m = self.limit.len();
        let unit: Vec<Vec<(u32, f64)>> =
            basis.iter().filter(|&&c| c & SLACK != 0).map(|&c| vec![(c ^ SLACK, 1.0)]).collect();
        let mut slacks = unit.iter();
        let views: Vec<&Entries> = basis
            .iter()
            .map(|&c| {
                let slack = if c & SLACK == 0 { None } else { slacks.next() };
                slack.map_or_else(|| self.columns[c as usize].as_slice(), Vec::as_slice)
            })
            .collect();
        let taken = self.factor.build(&views, &vec![1.0; m]);
        self.basis = taken.iter().enumerate().map(|(row, at)| at.map_or(SLACK | row as u32, |at| basis[at])).collect();
        self.place.iter_mut().for_each(|p| *p = NOWHERE);
        self.slack_place.clear();
        self.slack_place.resize(m, NOWHERE);
        for (row, &column) in self.basis.iter().enumerate() {
            if column & SLACK == 0 {
                self.place[column as usize] = row as u32;
            } else {
                self.slack_place[(column ^ SLACK) as usize] = row as u32;
            }
        }
        self.weight.clear();
        self.weight.resize(m, 1.0);
        self.age = 0;
        self.level.clone_from(&self.right);
        self.factor.forward(&mut self.level);
        self.work += 6 * self.factor.size() as u64;
        self.price();
    }

    /// Recomputes reduced costs; costs of columns below zero are moved up to it.
    fn price(&mut self) {
        let m = self.limit.len();
        let mut dual: Vec<f64> =
            self.basis.iter().map(|&c| if c & SLACK == 0 { self.cost[c as usize] } else { 0.0 }).collect();
        self.factor.backward(&mut dual);
        for &column in &self.active {
            self.reduced[column as usize] = self.cost[column as usize];
        }
        for (row, &dual) in dual.iter().enumerate() {
            for &(column, value) in &self.row_entries[self.row_start[row]..self.row_start[row + 1]] {
                self.reduced[column as usize] -= dual * value;
            }
        }
        for &column in &self.active {
            let column = column as usize;
            if self.place[column] != NOWHERE {
                self.reduced[column] = 0.0;
            } else if self.reduced[column] < 0.0 {
                self.cost[column] -= self.reduced[column];
                self.reduced[column] = 0.0;
            }
        }
        // Slacks cost nothing; what is below zero for the moment is taken as zero.
        self.slack_reduced = (0..m).map(|row| (-dual[row]).max(0.0)).collect();
        self.work += self.row_entries.len() as u64 + self.factor.size() as u64;
    }

    /// Pivots until all rows are met or cannot be. `pivots` are allowed.
    pub(super) fn solve(&mut self, pivots: usize) -> Verdict {
        let m = self.limit.len();
        let mut row_alpha = vec![0.0; self.columns.len()];
        let mut failed = 0;
        for _ in 0..pivots {
            if self.age >= REINVERT_AFTER {
                let basis = self.basis.clone();
                self.invert(&basis);
            }
            let Some(row) = self.leaving() else {
                if self.age == 0 {
                    return Verdict::Met(self.levels());
                }
                // Once more with fresh factors, so that the levels are as exact as can be.
                let basis = self.basis.clone();
                self.invert(&basis);
                if self.leaving().is_none() {
                    return Verdict::Met(self.levels());
                }
                continue;
            };
            let sign = if self.level[row] < 0.0 { -1.0 } else { 1.0 };
            let mut rho = vec![0.0; m];
            rho[row] = 1.0;
            self.factor.backward(&mut rho);
            self.active.iter().for_each(|&c| row_alpha[c as usize] = 0.0);
            let mut seen = 0;
            for (r, &multiplier) in rho.iter().enumerate() {
                if multiplier.abs() > 1.0e-13 {
                    let entries = &self.row_entries[self.row_start[r]..self.row_start[r + 1]];
                    entries.iter().for_each(|&(c, v)| row_alpha[c as usize] += multiplier * v);
                    seen += entries.len();
                }
            }
            self.work += (seen + 3 * self.active.len() + self.factor.size()) as u64;
            let Some((column, alpha)) = self.entering(sign, &row_alpha, &rho) else {
                return Verdict::Unmet(rho.iter().map(|r| -sign * r).collect());
            };
            let mut column_alpha = vec![0.0; m];
            if column & SLACK == 0 {
                self.columns[column as usize].iter().for_each(|&(r, v)| column_alpha[r as usize] += v);
            } else {
                column_alpha[(column ^ SLACK) as usize] = 1.0;
            }
            self.factor.forward(&mut column_alpha);
            self.work += self.factor.size() as u64;
            let pivot = column_alpha[row];
            if (pivot - alpha).abs() > 1.0e-6 * (1.0 + alpha.abs()) || pivot.abs() < LEAST_PIVOT {
                failed += 1;
                if failed > 5 || self.age == 0 {
                    return Verdict::Unclear;
                }
                let basis = self.basis.clone();
                self.invert(&basis);
                continue;
            }
            self.pivot(row, column, sign, &row_alpha, &rho, &column_alpha);
        }
        Verdict::Unclear
    }

    /// The row that is furthest from being met, by its weight.
    fn leaving(&self) -> Option<usize> {
        let mut best = None;
        let mut most = 0.0;
        for (row, &x) in self.level.iter().enumerate() {
            if x >= -FEASIBLE && (x <= FEASIBLE || self.is_open(self.basis[row])) {
                continue;
            }
            let score = x * x / self.weight[row];
            if score > most {
                most = score;
                best = Some(row);
            }
        }
        best
    }

    /// The column whose reduced cost is used up first, or nearly so with a greater pivot, with its pivot.
    fn entering(&self, sign: f64, row_alpha: &[f64], rho: &[f64]) -> Option<(u32, f64)> {
        const SLIP: f64 = 1.0e-7;
        let mut most = f64::INFINITY;
        let structural = |c: usize| {
            let a = sign * row_alpha[c];
            (a > LEAST_PIVOT && self.place[c] == NOWHERE).then_some(a)
        };
        let slack = |r: usize| {
            let a = sign * rho[r];
            (a > LEAST_PIVOT && self.limit[r] && self.slack_place[r] == NOWHERE).then_some(a)
        };
        let mut fit: Vec<(u32, f64, f64)> = Vec::new();
        for &column in &self.active {
            let c = column as usize;
            if let Some(a) = structural(c) {
                most = most.min((self.reduced[c] + SLIP) / a);
                fit.push((column, a, self.reduced[c]));
            }
        }
        for r in 0..rho.len() {
            if let Some(a) = slack(r) {
                most = most.min((self.slack_reduced[r] + SLIP) / a);
                fit.push((SLACK | r as u32, a, self.slack_reduced[r]));
            }
        }
        let mut best: Option<(u32, f64)> = None;
        for (column, a, reduced) in fit {
            if reduced / a <= most && best.is_none_or(|b| a > b.1) {
                best = Some((column, a));
            }
        }
        best.map(|(column, a)| (column, sign * a))
    }

    fn pivot(&mut self, row: usize, column: u32, sign: f64, row_alpha: &[f64], rho: &[f64], column_alpha: &[f64]) {
        let pivot = column_alpha[row];
        let reduced = if column & SLACK == 0 {
            self.reduced[column as usize]
        } else {
            self.slack_reduced[(column ^ SLACK) as usize]
        };
        let step = reduced / pivot;
        if step != 0.0 {
            for &column in &self.active {
                let c = column as usize;
                if row_alpha[c] != 0.0 && self.place[c] == NOWHERE {
                    let d = self.reduced[c] - step * row_alpha[c];
                    if d < 0.0 {
                        self.cost[c] -= d;
                        self.reduced[c] = 0.0;
                    } else {
                        self.reduced[c] = d;
                    }
                }
            }
            for (r, &multiplier) in rho.iter().enumerate() {
                if self.slack_place[r] == NOWHERE {
                    self.slack_reduced[r] = (self.slack_reduced[r] - step * multiplier).max(0.0);
                }
            }
        }
        let leaving = self.basis[row];
        let left = (-step * sign).abs();
        if leaving & SLACK == 0 {
            self.place[leaving as usize] = NOWHERE;
            self.reduced[leaving as usize] = left;
        } else {
            self.slack_place[(leaving ^ SLACK) as usize] = NOWHERE;
            self.slack_reduced[(leaving ^ SLACK) as usize] = left;
        }
        let t = self.level[row] / pivot;
        let ratio = self.weight[row] / (pivot * pivot);
        for (r, &a) in column_alpha.iter().enumerate() {
            if a != 0.0 {
                self.level[r] -= t * a;
                self.weight[r] = self.weight[r].max(a * a * ratio);
            }
        }
        self.level[row] = t;
        self.weight[row] = ratio.max(1.0);
        self.factor.exchange(row, column_alpha);
        self.basis[row] = column;
        if column & SLACK == 0 {
            self.place[column as usize] = row as u32;
            self.reduced[column as usize] = 0.0;
        } else {
            self.slack_place[(column ^ SLACK) as usize] = row as u32;
            self.slack_reduced[(column ^ SLACK) as usize] = 0.0;
        }
        self.age += 1;
    }

    fn levels(&self) -> Vec<(u32, f64)> {
        let all = self.basis.iter().copied().zip(self.level.iter().copied());
        all.filter(|&(c, x)| c & SLACK == 0 && x > 1.0e-6).collect()
    }
}
