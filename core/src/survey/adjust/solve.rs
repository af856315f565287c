//! Least squares: Gauss-Newton with halved steps, over sparse normal equations.

use nalgebra_sparse::factorization::CscCholesky;
use nalgebra_sparse::na::DMatrix;
use nalgebra_sparse::{CooMatrix, CscMatrix};

use super::number::{Numbered, Xy};
use super::start;
use crate::error::{Code, Error};

/// Which coordinates move. Without fixed points the first point stays and the second stays in its direction: the frame
/// of whoever lays a tape along the first side.
pub(super) struct Unknowns {
    /// Column of each point's x and y, if it moves.
    pub(super) columns: Vec<[Option<usize>; 2]>,
    pub(super) count: usize,
}

impl Unknowns {
    /// The frame must have its first two free points on a line parallel to the x axis: see [`level`].
    pub(super) fn new(network: &Numbered) -> Self {
        let fixed: Vec<bool> = network.fixed.iter().map(Option::is_some).collect();
        let known = fixed.iter().filter(|&&yes| yes).count();
        let (first, second) = start::base(network, &fixed);
        let mut count = 0;
        let mut columns = vec![[None; 2]; fixed.len()];
        for (point, column) in columns.iter_mut().enumerate() {
            for (axis, slot) in column.iter_mut().enumerate() {
                let stays =
                    fixed[point] || (known == 0 && point == first) || (known <= 1 && point == second && axis == 1);
                if !stays {
                    *slot = Some(count);
                    count += 1;
                }
            }
        }
        Unknowns { columns, count }
    }
}

/// Turns a set of positions so that the base lies along +x (nothing to do where two points are fixed).
pub(super) fn level(network: &Numbered, at: &mut [Xy]) {
    let fixed: Vec<bool> = network.fixed.iter().map(Option::is_some).collect();
    if fixed.iter().filter(|&&yes| yes).count() > 1 {
        return;
    }
    let (first, second) = start::base(network, &fixed);
    let origin = at[first];
    let (dx, dy) = (at[second].0 - origin.0, at[second].1 - origin.1);
    let far = (dx * dx + dy * dy).sqrt();
    if far == 0.0 {
        return;
    }
    let (cos, sin) = (dx / far, dy / far);
    let stays = if fixed[first] { origin } else { (0.0, 0.0) };
    for xy in at.iter_mut() {
        let (x, y) = (xy.0 - origin.0, xy.1 - origin.1);
        *xy = (stays.0 + x * cos + y * sin, stays.1 - x * sin + y * cos);
    }
    at[second].1 = stays.1;
}

/// The factored normal equations at some positions.
pub(super) struct Normal {
    factor: CscCholesky<f64>,
    /// Largest diagonal element: the yardstick of what counts as floating.
    scale: f64,
}

/// What is added to the diagonal, as a part of its largest element: keeps a singular system solvable, so that the floating
/// points can be named, and is far below what any real measurement contributes.
const LIFT: f64 = 1e-13;

impl Normal {
    pub(super) fn new(network: &Numbered, unknowns: &Unknowns, at: &[Xy]) -> Result<Self, Error> {
        let n = unknowns.count;
        let mut entries: Vec<(usize, usize, f64)> = Vec::with_capacity(network.equations.len() * 36);
        let mut diagonal = vec![0.0f64; n];
        for equation in &network.equations {
            let row = row(equation, unknowns, at);
            for &(i, a) in row.iter().flatten() {
                diagonal[i] += a * a;
                for &(j, b) in row.iter().flatten() {
                    entries.push((i, j, a * b));
                }
            }
        }
        let scale = diagonal.iter().copied().fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        let mut matrix = CooMatrix::new(n, n);
        for (i, j, value) in entries {
            matrix.push(i, j, value);
        }
        for i in 0..n {
            matrix.push(i, i, LIFT * scale);
        }
        let factor = CscCholesky::factor(&CscMatrix::from(&matrix)).map_err(|_| {
            Error::new(
                Code::Clash,
                "/measurements",
                "the normal equations cannot be solved: the measurements contradict each other",
            )
        })?;
        Ok(Normal { factor, scale })
    }

    pub(super) fn solve(&self, right: Vec<f64>) -> Vec<f64> {
        let n = right.len();
        let solution: DMatrix<f64> = self.factor.solve(&DMatrix::from_vec(n, 1, right));
        solution.as_slice().to_vec()
    }
}

/// The covariances of coordinates that occur together in a measurement: all that the report needs, so that
/// memory stays in proportion to the measurements.
pub(super) struct Covariance {
    /// For each column, those not before it and their covariance, in order.
    columns: Vec<Vec<(usize, f64)>>,
    /// A variance beyond this means that nothing holds the coordinate.
    pub(super) floating: f64,
}

impl Covariance {
    pub(super) fn new(network: &Numbered, unknowns: &Unknowns, normal: Option<&Normal>) -> Self {
        let Some(normal) = normal else { return Covariance { columns: Vec::new(), floating: f64::INFINITY } };
        let mut together: Vec<Vec<usize>> = (0..unknowns.count).map(|column| vec![column]).collect();
        let mut link = |points: &[usize]| {
            let columns: Vec<usize> = points.iter().flat_map(|&p| unknowns.columns[p]).flatten().collect();
            for &i in &columns {
                together[i].extend(columns.iter().copied().filter(|&j| j > i));
            }
        };
        for equation in &network.equations {
            let (points, many) = equation.points();
            link(&points[..many]);
        }
        (0..unknowns.columns.len()).for_each(|point| link(&[point]));
        let columns = together
            .into_iter()
            .enumerate()
            .map(|(column, mut others)| {
                others.sort_unstable();
                others.dedup();
                let mut right = vec![0.0; unknowns.count];
                right[column] = 1.0;
                let solved = normal.solve(right);
                others.into_iter().map(|other| (other, solved[other])).collect()
            })
            .collect();
        Covariance { columns, floating: 1e-3 / (LIFT * normal.scale) }
    }

    /// Covariance of two coordinates; 0 where one does not move.
    pub(super) fn of(&self, one: Option<usize>, other: Option<usize>) -> f64 {
        let (Some(one), Some(other)) = (one, other) else { return 0.0 };
        let column = &self.columns[one.min(other)];
        column.binary_search_by_key(&one.max(other), |entry| entry.0).map_or(0.0, |found| column[found].1)
    }

    /// Variance of a combination of coordinates that occur together.
    pub(super) fn variance(&self, terms: &[(usize, f64)]) -> f64 {
        let mut sum = 0.0;
        for &(i, a) in terms {
            for &(j, b) in terms {
                sum += a * b * self.of(Some(i), Some(j));
            }
        }
        sum
    }
}

/// Weighted partial derivatives of an equation by the unknowns.
pub(super) type Row = [Option<(usize, f64)>; 6];

pub(super) fn row(equation: &super::number::Equation, unknowns: &Unknowns, at: &[Xy]) -> Row {
    let (slopes, many) = equation.slopes(at);
    let mut row = [None; 6];
    for (k, &(point, by_x, by_y)) in slopes[..many].iter().enumerate() {
        let [x, y] = unknowns.columns[point];
        row[2 * k] = x.map(|column| (column, by_x / equation.sd));
        row[2 * k + 1] = y.map(|column| (column, by_y / equation.sd));
    }
    row
}

/// Sum of squared standardised misfits.
pub(super) fn objective(network: &Numbered, at: &[Xy]) -> f64 {
    network
        .equations
        .iter()
        .map(|equation| {
            let deviations = equation.misfit(at) / equation.sd;
            deviations * deviations
        })
        .sum()
}

/// Moves positions to the nearest minimum. Returns the sum of squares there.
pub(super) fn descend(network: &Numbered, unknowns: &Unknowns, at: &mut Vec<Xy>) -> Result<f64, Error> {
    if unknowns.count == 0 {
        return Ok(objective(network, at));
    }
    let mut value = objective(network, at);
    for _ in 0..60 {
        let normal = Normal::new(network, unknowns, at)?;
        let mut right = vec![0.0; unknowns.count];
        for equation in &network.equations {
            let misfit = equation.misfit(at) / equation.sd;
            for &(column, slope) in row(equation, unknowns, at).iter().flatten() {
                right[column] += slope * misfit;
            }
        }
        let step = normal.solve(right);
        let mut share = 1.0;
        let mut moved = at.clone();
        let mut best = f64::INFINITY;
        for _ in 0..24 {
            for (point, columns) in unknowns.columns.iter().enumerate() {
                moved[point].0 = at[point].0 + columns[0].map_or(0.0, |c| share * step[c]);
                moved[point].1 = at[point].1 + columns[1].map_or(0.0, |c| share * step[c]);
            }
            best = objective(network, &moved);
            if best <= value {
                break;
            }
            share /= 2.0;
        }
        let furthest = step.iter().fold(0.0f64, |far, s| far.max(s.abs())) * share;
        if best > value {
            // No way down is left within rounding: the minimum.
            break;
        }
        value = best;
        std::mem::swap(at, &mut moved);
        // A ten-thousandth of a micrometre.
        if furthest < 1e-7 {
            break;
        }
    }
    Ok(value)
}
