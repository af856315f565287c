//! Roofs given by measurements: adjusted again with dense matrices and slopes by differences.

use upstand::roof::{Boundary, Outlet, Roof};
use upstand::survey::adjust::{Adjusted, Measurement, Network, Residual};
use upstand::{Grade, Job, Plan};

use super::Faults;
use super::findings::Bare;
use crate::plane::{self, P};

/// Two-sided 99.9 % point of the normal distribution, as printed in statistical tables (from memory).
const CRITICAL: f64 = 3.29;

/// The job with the adjusted corners of the plan in place of measurements; none where the plan lacks them.
pub(super) fn outlined(job: &Job, plan: &Plan) -> Option<Job> {
    let mut job = job.clone();
    for (roof, planned) in job.roofs.iter_mut().zip(&plan.roofs) {
        let Some(network) = roof.measured.take() else { continue };
        let adjusted = &planned.measured.as_ref()?.adjusted;
        let at = |name: &String| adjusted.points.iter().find(|point| point.point == *name).map(|point| point.at);
        roof.outer.points = network.outline.iter().map(at).collect::<Option<_>>()?;
        if roof.holes.is_empty() {
            roof.holes = vec![Boundary::default(); network.holes.len()];
        }
        for (hole, names) in roof.holes.iter_mut().zip(&network.holes) {
            hole.points = names.iter().map(at).collect::<Option<_>>()?;
        }
        for outlet in &network.outlets {
            roof.outlets.push(Outlet { at: at(&outlet.point)?, diameter: outlet.diameter });
        }
    }
    Some(job)
}

pub(super) fn check(job: &Job, plan: &Plan, faults: &mut Faults) {
    for (index, (given, planned)) in job.roofs.iter().zip(&plan.roofs).enumerate() {
        let here = format!("roof {index}, measured");
        let (Some(network), Some(measured)) = (&given.measured, &planned.measured) else {
            faults.same(planned.measured.is_some(), given.measured.is_some(), || here);
            continue;
        };
        let names = names(network);
        let listed: Vec<_> = measured.adjusted.points.iter().map(|point| point.point.clone()).collect();
        faults.same(&listed, &names, || format!("{here}: points"));
        if listed != names {
            continue;
        }
        let Some(own) = Adjustment::of(network, &names, &measured.adjusted) else {
            faults.expect(false, || format!("{here}: cannot be adjusted"));
            continue;
        };
        points(&own, &measured.adjusted, faults, &here);
        sides(&own, network, &measured.adjusted, faults, &here);
        residuals(&own, network, &measured.adjusted, faults, &here);
        // Every run from one named corner to another, in the order of the runs.
        let place = |at: P| own.at.iter().position(|xy| plane::point(at) == grid(*xy)).or_else(|| corner(measured, at));
        let mut wanted = Vec::new();
        for run in &planned.trims.runs {
            let Some(ring) = planned.rings.get(run.ring).map(|ring| plane::ring(&ring.points)) else { continue };
            let end = |edge: usize| place(ring[edge % ring.len()]);
            let ends = end(run.first_edge).zip(end(run.first_edge + run.edge_count));
            // The corners of a hole in coordinates are not in doubt.
            if let Some((from, to)) = ends.filter(|_| run.ring == 0 || !network.holes.is_empty()) {
                wanted.push((run.mark.clone(), 2.0 * own.sd_of_distance(from, to)));
            }
        }
        let marks: Vec<_> = measured.runs.iter().map(|run| run.mark.clone()).collect();
        faults.same(marks, wanted.iter().map(|run| run.0.clone()).collect(), || format!("{here}: runs"));
        for (run, (mark, uncertainty)) in measured.runs.iter().zip(&wanted) {
            faults.close(run.uncertainty_mm, *uncertainty, 0.0501, || format!("{here}: run {mark}"));
            let tenths = run.uncertainty_mm * 10.0;
            faults.close(tenths, tenths.round(), 1e-6, || format!("{here}: tenths of run {mark}"));
        }
    }
}

/// The names of points: the outline's, those of holes, then as measurements, known places and outlets name them.
fn names(network: &Network) -> Vec<String> {
    let mut all: Vec<String> = network.outline.iter().chain(network.holes.iter().flatten()).cloned().collect();
    let measured = network.measurements.iter().flat_map(Measurement::names).cloned();
    let known = network.fixed.iter().chain(&network.sketch).map(|known| known.point.clone());
    for name in measured.chain(known).chain(network.outlets.iter().map(|outlet| outlet.point.clone())) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

fn corner(measured: &upstand::survey::Measured, at: P) -> Option<usize> {
    measured.adjusted.points.iter().position(|point| point.at == plane::point(at))
}

fn grid(xy: (f64, f64)) -> upstand::geometry::Point {
    plane::point(((xy.0 * 1e3).round() as i64, (xy.1 * 1e3).round() as i64))
}

/// What a measurement computes from positions, and what it should give: millimetres or radians.
struct Equation {
    points: Vec<usize>,
    value: f64,
    sd: f64,
    what: What,
}

#[derive(Clone, Copy, PartialEq)]
enum What {
    Distance,
    Offset,
    Angle,
    Square,
}

impl Equation {
    fn of(network: &Network, names: &[String], measurement: &Measurement) -> Option<Equation> {
        let points = measurement.names().into_iter().map(|name| names.iter().position(|n| n == name));
        let own = &network.precision;
        let (what, value, usual) = match measurement {
            Measurement::Distance { length, .. } => {
                (What::Distance, length.um() as f64 / 1e3, own.tape.um() as f64 / 1e3)
            }
            Measurement::Offset { length, .. } => {
                (What::Offset, length.um() as f64 / 1e3, own.offset.um() as f64 / 1e3)
            }
            Measurement::InLine { .. } => (What::Offset, 0.0, own.offset.um() as f64 / 1e3),
            Measurement::Angle { degrees, .. } => (What::Angle, *degrees, own.angle_deg),
            Measurement::RightAngle { .. } => (What::Square, 90.0, own.angle_deg),
        };
        let sd = measurement.sd().unwrap_or(usual);
        let unit = if matches!(what, What::Angle | What::Square) { 1f64.to_radians() } else { 1.0 };
        Some(Equation { points: points.collect::<Option<_>>()?, value: value * unit, sd: sd * unit, what })
    }

    /// Measured less computed.
    fn misfit(&self, at: &[(f64, f64)]) -> f64 {
        let p = |k: usize| at[self.points[k]];
        let way = |a: (f64, f64), b: (f64, f64)| (b.0 - a.0, b.1 - a.1);
        let turn = || {
            let ((ax, ay), (bx, by)) = (way(p(0), p(1)), way(p(0), p(2)));
            (ax * by - ay * bx).atan2(ax * bx + ay * by)
        };
        match self.what {
            What::Distance => self.value - way(p(0), p(1)).0.hypot(way(p(0), p(1)).1),
            What::Offset => {
                let ((lx, ly), (px, py)) = (way(p(1), p(2)), way(p(1), p(0)));
                self.value - (lx * py - ly * px) / lx.hypot(ly)
            }
            What::Angle => {
                let off = self.value - turn();
                off.sin().atan2(off.cos())
            }
            // Either way round.
            What::Square => (self.value - turn().abs()) * turn().signum(),
        }
    }

    /// What a residual is reported in.
    fn unit(&self) -> f64 {
        if matches!(self.what, What::Angle | What::Square) { 1f64.to_degrees() } else { 1.0 }
    }
}

/// An adjustment of our own, begun at the reported positions.
struct Adjustment {
    at: Vec<(f64, f64)>,
    equations: Vec<Equation>,
    /// Point and axis of each unknown.
    free: Vec<(usize, usize)>,
    /// Their covariances.
    inverse: Vec<Vec<f64>>,
}

impl Adjustment {
    fn of(network: &Network, names: &[String], adjusted: &Adjusted) -> Option<Adjustment> {
        let equations: Vec<Equation> =
            network.measurements.iter().map(|m| Equation::of(network, names, m)).collect::<Option<_>>()?;
        let mut at: Vec<(f64, f64)> =
            adjusted.points.iter().map(|p| (p.at.x.um() as f64 / 1e3, p.at.y.um() as f64 / 1e3)).collect();
        let place = |name: &String| names.iter().position(|n| n == name);
        let known: Vec<usize> = network.fixed.iter().filter_map(|known| place(&known.point)).collect();
        for known in &network.fixed {
            at[place(&known.point)?] = (known.at.x.um() as f64 / 1e3, known.at.y.um() as f64 / 1e3);
        }
        // Without fixed points the first corner is the origin and the second lies on +x.
        let holds = |point: usize, axis: usize| match known.len() {
            0 => point == 0 || (point == 1 && axis == 1),
            _ => known.contains(&point),
        };
        if known.len() == 1 {
            return None;
        }
        let free: Vec<(usize, usize)> =
            (0..names.len()).flat_map(|point| [(point, 0), (point, 1)]).filter(|&(p, axis)| !holds(p, axis)).collect();
        let mut own = Adjustment { at, equations, free, inverse: Vec::new() };
        // The reported positions are rounded to the micrometre: three steps lead to the minimum beside them.
        for _ in 0..3 {
            let rows = own.rows();
            let n = own.free.len();
            let mut normal = vec![vec![0.0; n]; n];
            let mut right = vec![0.0; n];
            for (row, equation) in rows.iter().zip(&own.equations) {
                let misfit = equation.misfit(&own.at) / equation.sd;
                for i in 0..n {
                    right[i] += row[i] * misfit;
                    (0..n).for_each(|j| normal[i][j] += row[i] * row[j]);
                }
            }
            own.inverse = inverse(normal)?;
            for (i, &(point, axis)) in own.free.iter().enumerate() {
                let step: f64 = own.inverse[i].iter().zip(&right).map(|(a, b)| a * b).sum();
                if axis == 0 { own.at[point].0 += step } else { own.at[point].1 += step }
            }
        }
        Some(own)
    }

    /// Slopes of the computed values in standard deviations, by central differences.
    fn rows(&self) -> Vec<Vec<f64>> {
        self.equations.iter().map(|equation| self.row(equation)).collect()
    }

    fn row(&self, equation: &Equation) -> Vec<f64> {
        const STEP: f64 = 0.01;
        let slope = |&(point, axis): &(usize, usize)| {
            if !equation.points.contains(&point) {
                return 0.0;
            }
            let moved = |by: f64| {
                let mut at = self.at.clone();
                if axis == 0 {
                    at[point].0 += by
                } else {
                    at[point].1 += by
                }
                equation.misfit(&at)
            };
            (moved(-STEP) - moved(STEP)) / (2.0 * STEP) / equation.sd
        };
        self.free.iter().map(slope).collect()
    }

    fn variance(&self, row: &[f64]) -> f64 {
        let along = |line: &Vec<f64>| line.iter().zip(row).map(|(a, b)| a * b).sum::<f64>();
        self.inverse.iter().zip(row).map(|(line, a)| a * along(line)).sum()
    }

    fn sd_of_distance(&self, from: usize, to: usize) -> f64 {
        let distance = Equation { points: vec![from, to], value: 0.0, sd: 1.0, what: What::Distance };
        self.variance(&self.row(&distance)).max(0.0).sqrt()
    }

    /// Covariance of two coordinates of a point, 0 where one is held.
    fn of_point(&self, point: usize, one: usize, other: usize) -> f64 {
        let column = |axis: usize| self.free.iter().position(|&free| free == (point, axis));
        column(one).zip(column(other)).map_or(0.0, |(i, j)| self.inverse[i][j])
    }
}

/// By Gauss and Jordan, with the largest pivot of each column.
fn inverse(mut a: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    let mut b: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    for column in 0..n {
        let pivot = (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs()))?;
        a.swap(column, pivot);
        b.swap(column, pivot);
        let by = a[column][column];
        if by.abs() < 1e-12 {
            return None;
        }
        for k in 0..n {
            a[column][k] /= by;
            b[column][k] /= by;
        }
        for row in (0..n).filter(|&row| row != column) {
            let by = a[row][column];
            for k in 0..n {
                a[row][k] -= by * a[column][k];
                b[row][k] -= by * b[column][k];
            }
        }
    }
    Some(b)
}

fn points(own: &Adjustment, adjusted: &Adjusted, faults: &mut Faults, here: &str) {
    for (k, point) in adjusted.points.iter().enumerate() {
        let here = format!("{here}: point {}", point.point);
        faults.close(point.at.x.um() as f64 / 1e3, own.at[k].0, 0.0006, || format!("{here}: x"));
        faults.close(point.at.y.um() as f64 / 1e3, own.at[k].1, 0.0006, || format!("{here}: y"));
        let (xx, xy, yy) = (own.of_point(k, 0, 0), own.of_point(k, 0, 1), own.of_point(k, 1, 1));
        faults.close(point.sd_x_mm, xx.max(0.0).sqrt(), 1e-4, || format!("{here}: deviation in x"));
        faults.close(point.sd_y_mm, yy.max(0.0).sqrt(), 1e-4, || format!("{here}: deviation in y"));
        // The ellipse, held to what it is: variances along its axes are extreme, and their sum is the trace.
        let (sin, cos) = point.major_deg.to_radians().sin_cos();
        let along = cos * cos * xx + 2.0 * sin * cos * xy + sin * sin * yy;
        let across = sin * sin * xx - 2.0 * sin * cos * xy + cos * cos * yy;
        faults.close(point.major_mm, along.max(0.0).sqrt(), 1e-3, || format!("{here}: longer half-axis"));
        faults.close(point.minor_mm, across.max(0.0).sqrt(), 1e-3, || format!("{here}: shorter half-axis"));
        faults.expect(point.major_mm >= point.minor_mm, || format!("{here}: axes"));
        let still = point.major_mm <= 0.0 && point.major_deg.abs() > 0.0;
        faults.expect(!still, || format!("{here}: direction of a point that does not move"));
        let skew = sin * cos * (yy - xx) + (cos * cos - sin * sin) * xy;
        // A hundredth of a degree of turn.
        faults.close(skew, 0.0, 1e-6 + 1.8e-4 * (along - across).abs(), || format!("{here}: direction of the ellipse"));
    }
}

fn sides(own: &Adjustment, network: &Network, adjusted: &Adjusted, faults: &mut Faults, here: &str) {
    let n = network.outline.len();
    faults.same(adjusted.sides.len(), n, || format!("{here}: sides"));
    for (i, side) in adjusted.sides.iter().enumerate().take(n) {
        let here = format!("{here}: side {}-{}", side.from, side.to);
        let ends = (&network.outline[i], &network.outline[(i + 1) % n]);
        faults.same((&side.from, &side.to), ends, || format!("{here}: ends"));
        let (a, b) = (own.at[i], own.at[(i + 1) % n]);
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        faults.close(side.length.um() as f64 / 1e3, length, 0.0006, || format!("{here}: length"));
        faults.close(side.sd_mm, own.sd_of_distance(i, (i + 1) % n), 1e-4, || format!("{here}: deviation"));
    }
}

fn residuals(own: &Adjustment, network: &Network, adjusted: &Adjusted, faults: &mut Faults, here: &str) {
    faults.same(adjusted.residuals.len(), own.equations.len(), || format!("{here}: residuals"));
    let (mut squares, mut sizes) = (0.0, Vec::new());
    for (i, equation) in own.equations.iter().enumerate() {
        let Some(residual) = adjusted.residuals.get(i) else { return };
        let here = format!("{here}: measurement {i}");
        faults.same(&residual.measurement, &words(&network.measurements[i]), || format!("{here}: words"));
        let misfit = equation.misfit(&own.at);
        squares += (misfit / equation.sd).powi(2);
        let redundancy = (1.0 - own.variance(&own.row(equation))).clamp(0.0, 1.0);
        faults.close(residual.residual, misfit * equation.unit(), 1e-4, || format!("{here}: residual"));
        faults.close(residual.redundancy, redundancy, 1e-5, || format!("{here}: redundancy"));
        // Of what nothing checks only an error of more than a hundred deviations would stand out.
        let checked = redundancy > (CRITICAL / 100.0).powi(2);
        faults.same(residual.standardised.is_some(), checked, || format!("{here}: checked by others"));
        let standardised = misfit / (equation.sd * redundancy.sqrt());
        if checked {
            faults.close(residual.standardised.unwrap_or(f64::NAN), standardised, 2e-3, || {
                format!("{here}: standardised")
            });
        }
        sizes.push(if checked { (standardised, misfit * equation.unit() / redundancy) } else { (0.0, 0.0) });
    }
    faults.close(adjusted.sum_of_squares, squares, 1e-3, || format!("{here}: sum of squares"));
    let freedom = own.equations.len() - own.free.len();
    faults.same(adjusted.degrees_of_freedom, freedom, || format!("{here}: degrees of freedom"));
    faults.same(adjusted.limit.is_some(), freedom > 0, || format!("{here}: a limit"));
    if let Some(limit) = adjusted.limit {
        faults.close(chi_square(limit, freedom), 0.95, 1e-6, || format!("{here}: limit {limit}"));
    }
    let largest = sizes.iter().map(|size| size.0.abs()).fold(0.0, f64::max);
    let alike = |size: &(f64, f64), slack: f64| size.0.abs() >= largest * (0.999 - slack) && largest > CRITICAL;
    let named: Vec<usize> = adjusted.suspects.iter().map(|suspect| suspect.index).collect();
    faults.expect(named.windows(2).all(|pair| pair[0] < pair[1]), || format!("{here}: order of suspects"));
    for (i, size) in sizes.iter().enumerate() {
        let fine = if named.contains(&i) { alike(size, 1e-3) } else { !alike(size, -5e-4) };
        faults.expect(fine, || format!("{here}: measurement {i} as a suspect, {} of {largest}", size.0));
    }
    for suspect in &adjusted.suspects {
        let Some(&(_, blunder)) = sizes.get(suspect.index) else { continue };
        faults.close(suspect.blunder, blunder, 1e-5 * (10.0 + blunder.abs()), || format!("{here}: size of a blunder"));
        let names = network.measurements[suspect.index].names();
        let told = names.iter().all(|name| suspect.text.contains(name.as_str())) && suspect.text.contains("again");
        faults.expect(told, || format!("{here}: {:?} names no measurement", suspect.text));
    }
}

fn words(measurement: &Measurement) -> String {
    let n = measurement.names();
    match measurement {
        Measurement::Distance { .. } => format!("distance {}-{}", n[0], n[1]),
        Measurement::Offset { .. } => format!("offset of {} from line {}-{}", n[0], n[1], n[2]),
        Measurement::Angle { .. } => format!("angle at {} from {} to {}", n[0], n[1], n[2]),
        Measurement::RightAngle { .. } => format!("right angle at {} between {} and {}", n[0], n[1], n[2]),
        Measurement::InLine { .. } => format!("{} in line with {}-{}", n[0], n[1], n[2]),
    }
}

/// Probability below `x`: for even degrees of freedom a finite sum, for odd ones from the error function's series
/// (Abramowitz and Stegun 26.4.4 and 26.4.5, from memory).
fn chi_square(x: f64, freedom: usize) -> f64 {
    if freedom.is_multiple_of(2) {
        let (mut term, mut sum) = (1.0, 1.0);
        for k in 1..freedom / 2 {
            term *= x / 2.0 / k as f64;
            sum += term;
        }
        return 1.0 - (-x / 2.0).exp() * sum;
    }
    // Normal probability within the root of x, by its series.
    let root = x.sqrt();
    let density = (-x / 2.0).exp() / std::f64::consts::TAU.sqrt();
    let (mut term, mut within) = (root, root);
    for k in 1..400 {
        term *= x / (2 * k + 1) as f64;
        within += term;
    }
    let (mut term, mut sum) = (root, 0.0);
    for k in 1..freedom.div_ceil(2) {
        sum += term;
        term *= x / (2 * k + 1) as f64;
    }
    2.0 * density * (within - sum)
}

/// Findings that the adjustment calls for.
pub(super) fn wanted(job: &Job, plan: &Plan, wanted: &mut Vec<Bare>) {
    let tenth = |x: f64| (x * 10.0).round() / 10.0;
    for (i, (roof, planned)) in job.roofs.iter().zip(&plan.roofs).enumerate() {
        let (Roof { measured: Some(_), .. }, Some(measured)) = (roof, &planned.measured) else { continue };
        let place = format!("/roofs/{i}/measured");
        let adjusted = &measured.adjusted;
        let size = |index: usize| adjusted.residuals.get(index).and_then(|residual| residual.standardised);
        for suspect in &adjusted.suspects {
            let place = format!("{place}/measurements/{}", suspect.index);
            let size = tenth(size(suspect.index).unwrap_or(0.0).abs());
            wanted.push((Grade::Refuse, "measurement_suspect".into(), place, Some(size), Some(CRITICAL)));
        }
        match adjusted.limit {
            None => wanted.push((Grade::Caution, "outline_unchecked".into(), place.clone(), None, None)),
            Some(limit) => {
                if adjusted.sum_of_squares > limit && adjusted.suspects.is_empty() {
                    let values = (Some(tenth(adjusted.sum_of_squares)), Some(tenth(limit)));
                    let code = "measurements_disagree".into();
                    wanted.push((Grade::Caution, code, place.clone(), values.0, values.1));
                }
                let hardly = |residual: &Residual| residual.redundancy < 0.05;
                if adjusted.residuals.iter().any(hardly) {
                    wanted.push((Grade::Note, "measurement_unchecked".into(), place.clone(), None, None));
                }
            }
        }
        let limit = job.system.limits.run_uncertainty.um() as f64 / 1e3;
        for run in measured.runs.iter().filter(|run| run.uncertainty_mm > limit) {
            let values = (Some(run.uncertainty_mm), Some(limit));
            wanted.push((Grade::Caution, "run_uncertain".into(), place.clone(), values.0, values.1));
        }
    }
}
