//! Sparse factors of a basis: left-looking elimination after peeling off singletons, and one eta for each exchange.
//!
//! Bases of pattern programs are nearly triangular, so that the factors hold little more than the patterns themselves.
//! Vectors are dense, but zeros are skipped. (Suhl and Suhl 1990, Computing sparse LU factorizations for large-scale
//! linear programming bases; the updates are the product form of Dantzig and Orchard-Hays 1954.)

/// Entries of one column: row, value.
pub(super) type Entries = [(u32, f64)];

const LEAST_PIVOT: f64 = 1.0e-7;

/// Sparse vectors one after another.
#[derive(Default)]
struct Heap {
    ends: Vec<usize>,
    entries: Vec<(u32, f64)>,
}

impl Heap {
    fn clear(&mut self) {
        self.ends.clear();
        self.entries.clear();
    }

    fn close(&mut self) {
        self.ends.push(self.entries.len());
    }

    fn get(&self, at: usize) -> &Entries {
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        &self.entries[start..self.ends[at]]
    }
}

/// The factored basis. Each basic column is named by the row in which it was pivoted.
#[derive(Default)]
pub(super) struct Factor {
    /// Rows in order of elimination, with their pivots.
    order: Vec<(u32, f64)>,
    /// For each step, the multipliers of rows eliminated later.
    lower: Heap,
    /// For each step, the entries in rows eliminated earlier.
    upper: Heap,
    /// Exchanges since: row and pivot, and the other entries.
    exchanged: Vec<(u32, f64)>,
    etas: Heap,
}

impl Factor {
    /// Factors as many of `columns` as are independent; rows left over get `slack` times their unit vector.
    /// Returns for each row the index of its column, or `None` for a slack.
    pub(super) fn build(&mut self, columns: &[&Entries], slack: &[f64]) -> Vec<Option<usize>> {
        let m = slack.len();
        self.order.clear();
        self.lower.clear();
        self.upper.clear();
        self.exchanged.clear();
        self.etas.clear();
        let mut row_count = vec![0_u32; m];
        columns.iter().for_each(|c| c.iter().for_each(|e| row_count[e.0 as usize] += 1));
        let mut taken: Vec<Option<usize>> = vec![None; m];
        let mut pivoted = vec![false; m];
        let mut step_of = vec![u32::MAX; m];
        let mut work = vec![0.0; m];
        for (at, wanted) in peel(columns, m) {
            let mut touched: Vec<u32> = columns[at].iter().map(|e| e.0).collect();
            columns[at].iter().for_each(|e| work[e.0 as usize] += e.1);
            self.eliminate(&mut work, &mut touched, &step_of);
            touched.sort_unstable();
            touched.dedup();
            let largest =
                touched.iter().filter(|&&r| !pivoted[r as usize]).map(|&r| work[r as usize].abs()).fold(0.0, f64::max);
            let fit = |r: u32| !pivoted[r as usize] && work[r as usize].abs() >= 0.1 * largest;
            let pivot = if largest <= LEAST_PIVOT {
                None
            } else if wanted.is_some_and(fit) {
                wanted
            } else {
                touched.iter().copied().filter(|&r| fit(r)).min_by_key(|&r| (row_count[r as usize], r))
            };
            if let Some(row) = pivot {
                let value = work[row as usize];
                for &r in &touched {
                    let v = work[r as usize];
                    if r == row || v.abs() < 1.0e-13 {
                        continue;
                    }
                    if pivoted[r as usize] {
                        self.upper.entries.push((r, v));
                    } else {
                        self.lower.entries.push((r, v / value));
                    }
                }
                self.close_step(row, value, &mut pivoted, &mut step_of);
                taken[row as usize] = Some(at);
            }
            touched.iter().for_each(|&r| work[r as usize] = 0.0);
        }
        for row in 0..m {
            if !pivoted[row] {
                self.close_step(row as u32, slack[row], &mut pivoted, &mut step_of);
            }
        }
        taken
    }

    fn close_step(&mut self, row: u32, pivot: f64, pivoted: &mut [bool], step_of: &mut [u32]) {
        step_of[row as usize] = self.order.len() as u32;
        pivoted[row as usize] = true;
        self.order.push((row, pivot));
        self.lower.close();
        self.upper.close();
    }

    /// Applies the steps so far to a sparse column, in their order.
    fn eliminate(&self, work: &mut [f64], touched: &mut Vec<u32>, step_of: &[u32]) {
        // Steps still to apply, smallest first; each may bring in later ones.
        let mut steps: std::collections::BTreeSet<u32> =
            touched.iter().map(|&r| step_of[r as usize]).filter(|&s| s != u32::MAX).collect();
        while let Some(step) = steps.pop_first() {
            let v = work[self.order[step as usize].0 as usize];
            if v == 0.0 {
                continue;
            }
            for &(r, l) in self.lower.get(step as usize) {
                if work[r as usize] == 0.0 {
                    touched.push(r);
                }
                work[r as usize] -= l * v;
                if step_of[r as usize] != u32::MAX {
                    steps.insert(step_of[r as usize]);
                }
            }
        }
    }

    /// Solves basis * x = v in place; x is named by the rows of the basic columns.
    pub(super) fn forward(&self, v: &mut [f64]) {
        for (step, &(row, _)) in self.order.iter().enumerate() {
            let x = v[row as usize];
            if x != 0.0 {
                self.lower.get(step).iter().for_each(|&(r, l)| v[r as usize] -= l * x);
            }
        }
        for (step, &(row, pivot)) in self.order.iter().enumerate().rev() {
            let x = v[row as usize];
            if x != 0.0 {
                let x = x / pivot;
                v[row as usize] = x;
                self.upper.get(step).iter().for_each(|&(r, u)| v[r as usize] -= u * x);
            }
        }
        for (at, &(row, pivot)) in self.exchanged.iter().enumerate() {
            let x = v[row as usize];
            if x != 0.0 {
                let x = x / pivot;
                v[row as usize] = x;
                self.etas.get(at).iter().for_each(|&(r, a)| v[r as usize] -= a * x);
            }
        }
    }

    /// Solves y * basis = c in place, c being named by the rows of the basic columns.
    pub(super) fn backward(&self, c: &mut [f64]) {
        for (at, &(row, pivot)) in self.exchanged.iter().enumerate().rev() {
            let dot: f64 = self.etas.get(at).iter().map(|&(r, a)| a * c[r as usize]).sum();
            c[row as usize] = (c[row as usize] - dot) / pivot;
        }
        for (step, &(row, pivot)) in self.order.iter().enumerate() {
            let dot: f64 = self.upper.get(step).iter().map(|&(r, u)| u * c[r as usize]).sum();
            c[row as usize] = (c[row as usize] - dot) / pivot;
        }
        for (step, &(row, _)) in self.order.iter().enumerate().rev() {
            let dot: f64 = self.lower.get(step).iter().map(|&(r, l)| l * c[r as usize]).sum();
            c[row as usize] -= dot;
        }
    }

    /// Exchanges the column in `row` for one that is `alpha` in terms of the present basis.
    pub(super) fn exchange(&mut self, row: usize, alpha: &[f64]) {
        self.exchanged.push((row as u32, alpha[row]));
        let others = alpha.iter().enumerate().filter(|&(r, a)| r != row && a.abs() > 1.0e-13);
        self.etas.entries.extend(others.map(|(r, &a)| (r as u32, a)));
        self.etas.close();
    }

    /// Replaces the column in `row` by its negation.
    pub(super) fn negate(&mut self, row: usize) {
        self.exchanged.push((row as u32, -1.0));
        self.etas.close();
    }

    /// Entries that one solve runs through.
    pub(super) fn size(&self) -> usize {
        self.order.len() + self.lower.entries.len() + self.upper.entries.len() + self.etas.entries.len()
    }
}

/// An order of elimination: columns with one entry left, or with an entry that is alone in its row, as long as there
/// are any, with the row to pivot in; then the others, the sparsest first.
fn peel(columns: &[&Entries], m: usize) -> Vec<(usize, Option<u32>)> {
    let mut in_row: Vec<Vec<u32>> = vec![Vec::new(); m];
    for (at, column) in columns.iter().enumerate() {
        column.iter().for_each(|e| in_row[e.0 as usize].push(at as u32));
    }
    let mut row_left: Vec<usize> = in_row.iter().map(Vec::len).collect();
    let mut column_left: Vec<usize> = columns.iter().map(|c| c.len()).collect();
    let mut row_done = vec![false; m];
    let mut column_done = vec![false; columns.len()];
    let mut order = Vec::with_capacity(columns.len());
    let mut queue: Vec<(bool, u32)> =
        (0..columns.len()).filter(|&c| column_left[c] == 1).map(|c| (true, c as u32)).collect();
    queue.extend((0..m).filter(|&r| row_left[r] == 1).map(|r| (false, r as u32)));
    let mut at = 0;
    while at < queue.len() {
        let (is_column, index) = queue[at];
        at += 1;
        let (column, row) = if is_column {
            let row = columns[index as usize].iter().map(|e| e.0).find(|&r| !row_done[r as usize]);
            (Some(index), row)
        } else {
            (in_row[index as usize].iter().copied().find(|&c| !column_done[c as usize]), Some(index))
        };
        let (Some(column), Some(row)) = (column, row) else { continue };
        if column_done[column as usize] || row_done[row as usize] {
            continue;
        }
        column_done[column as usize] = true;
        row_done[row as usize] = true;
        order.push((column as usize, Some(row)));
        for &(r, _) in columns[column as usize] {
            row_left[r as usize] -= 1;
            if row_left[r as usize] == 1 && !row_done[r as usize] {
                queue.push((false, r));
            }
        }
        for &c in &in_row[row as usize] {
            column_left[c as usize] -= 1;
            if column_left[c as usize] == 1 && !column_done[c as usize] {
                queue.push((true, c));
            }
        }
    }
    let mut rest: Vec<usize> = (0..columns.len()).filter(|&c| !column_done[c]).collect();
    rest.sort_by_key(|&c| (columns[c].len(), c));
    order.extend(rest.into_iter().map(|c| (c, None)));
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors, exchanges and solves against plain multiplication.
    #[test]
    fn solves_what_it_was_built_from() {
        let m = 40;
        let mut seed = 7_u64;
        let mut draw = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % n
        };
        let mut columns: Vec<Vec<(u32, f64)>> = Vec::new();
        for c in 0..60 {
            let mut column = vec![(c % m, 1.0 + draw(3) as f64)];
            for _ in 0..draw(4) {
                let r = draw(u64::from(m)) as u32;
                if column.iter().all(|e| e.0 != r) {
                    column.push((r, 1.0));
                }
            }
            columns.push(column);
        }
        let views: Vec<&Entries> = columns[..30].iter().map(Vec::as_slice).collect();
        let mut factor = Factor::default();
        let taken = factor.build(&views, &vec![-1.0; m as usize]);
        let mut basis: Vec<Vec<(u32, f64)>> = taken
            .iter()
            .enumerate()
            .map(|(row, at)| at.map_or_else(|| vec![(row as u32, -1.0)], |at| columns[at].clone()))
            .collect();
        assert!(taken.iter().flatten().count() > 25);
        for column in &columns[30..] {
            let mut alpha = vec![0.0; m as usize];
            column.iter().for_each(|&(r, v)| alpha[r as usize] += v);
            let wanted = alpha.clone();
            factor.forward(&mut alpha);
            let mut product = vec![0.0; m as usize];
            for (x, column) in alpha.iter().zip(&basis) {
                column.iter().for_each(|&(r, v)| product[r as usize] += v * x);
            }
            assert!(product.iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1.0e-8));
            let row = (0..m as usize).max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs())).unwrap_or(0);
            factor.exchange(row, &alpha);
            basis[row].clone_from(column);
            let cost: Vec<f64> = (0..m).map(|_| draw(10) as f64).collect();
            let mut dual = cost.clone();
            factor.backward(&mut dual);
            for (c, column) in cost.iter().zip(&basis) {
                let price: f64 = column.iter().map(|&(r, v)| v * dual[r as usize]).sum();
                assert!((price - c).abs() < 1.0e-7);
            }
        }
    }
}
