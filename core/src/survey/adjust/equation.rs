//! What each equation computes from positions, and how that changes as they move.

use super::number::{Equation, Shape, Xy};

const HALF_TURN: f64 = std::f64::consts::PI;

fn minus(a: Xy, b: Xy) -> Xy {
    (a.0 - b.0, a.1 - b.1)
}

fn dot(a: Xy, b: Xy) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

fn cross(a: Xy, b: Xy) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

fn length(a: Xy) -> f64 {
    dot(a, a).sqrt()
}

/// Never zero, so that coinciding points give a large but finite slope.
fn safe(length: f64) -> f64 {
    length.max(1e-6)
}

/// An angle brought into (-180, 180] degrees, in radians.
fn wrap(angle: f64) -> f64 {
    let turns = ((angle + HALF_TURN) / (2.0 * HALF_TURN)).ceil() - 1.0;
    angle - turns * 2.0 * HALF_TURN
}

impl Equation {
    /// Measured less computed: what the positions leave unexplained.
    pub(super) fn misfit(&self, at: &[Xy]) -> f64 {
        match self.shape {
            Shape::Distance(a, b) => self.value - length(minus(at[b], at[a])),
            Shape::Offset(p, a, b) => {
                let line = minus(at[b], at[a]);
                self.value - cross(line, minus(at[p], at[a])) / safe(length(line))
            }
            Shape::Angle(p, a, b) => {
                let (to_a, to_b) = (minus(at[a], at[p]), minus(at[b], at[p]));
                wrap(self.value - libm::atan2(cross(to_a, to_b), dot(to_a, to_b)))
            }
            Shape::Square(p, a, b) => {
                let (to_a, to_b) = (minus(at[a], at[p]), minus(at[b], at[p]));
                let angle = libm::atan2(cross(to_a, to_b), dot(to_a, to_b));
                if angle < 0.0 { -self.value - angle } else { self.value - angle }
            }
        }
    }

    /// Partial derivatives of the computed value: (point, by x, by y).
    pub(super) fn slopes(&self, at: &[Xy]) -> ([(usize, f64, f64); 3], usize) {
        let none = (usize::MAX, 0.0, 0.0);
        match self.shape {
            Shape::Distance(a, b) => {
                let way = minus(at[b], at[a]);
                let far = safe(length(way));
                let (ux, uy) = (way.0 / far, way.1 / far);
                ([(a, -ux, -uy), (b, ux, uy), none], 2)
            }
            Shape::Offset(p, a, b) => {
                let line = minus(at[b], at[a]);
                let far = safe(length(line));
                let (ux, uy) = (line.0 / far, line.1 / far);
                // Along the line, as a fraction of its length: how much of the point's offset each end carries.
                let share = dot((ux, uy), minus(at[p], at[a])) / far;
                let (nx, ny) = (-uy, ux);
                ([(p, nx, ny), (a, -(1.0 - share) * nx, -(1.0 - share) * ny), (b, -share * nx, -share * ny)], 3)
            }
            Shape::Angle(p, a, b) | Shape::Square(p, a, b) => {
                let turn = |from: Xy, to: Xy| {
                    let way = minus(to, from);
                    let square = safe(length(way)) * safe(length(way));
                    (-way.1 / square, way.0 / square)
                };
                let (ax, ay) = turn(at[p], at[a]);
                let (bx, by) = turn(at[p], at[b]);
                ([(p, ax - bx, ay - by), (a, -ax, -ay), (b, bx, by)], 3)
            }
        }
    }

    /// Whether the equation speaks of this point.
    pub(super) fn points(&self) -> ([usize; 3], usize) {
        match self.shape {
            Shape::Distance(a, b) => ([a, b, usize::MAX], 2),
            Shape::Offset(a, b, c) | Shape::Angle(a, b, c) | Shape::Square(a, b, c) => ([a, b, c], 3),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_those_of_small_moves() {
        let at = [(0.0, 0.0), (4_000.0, 300.0), (2_500.0, 3_100.0)];
        let shapes = [Shape::Distance(0, 2), Shape::Offset(2, 0, 1), Shape::Angle(1, 2, 0), Shape::Square(0, 1, 2)];
        for shape in shapes {
            let equation = Equation { shape, value: 1.0, sd: 1.0 };
            let (slopes, count) = equation.slopes(&at);
            for &(point, by_x, by_y) in &slopes[..count] {
                for (axis, slope) in [(0, by_x), (1, by_y)] {
                    let step = 1e-3;
                    let misfit_at = |sign: f64| {
                        let mut moved = at;
                        if axis == 0 {
                            moved[point].0 += sign * step
                        } else {
                            moved[point].1 += sign * step
                        }
                        equation.misfit(&moved)
                    };
                    let measured = -(misfit_at(1.0) - misfit_at(-1.0)) / (2.0 * step);
                    assert!((measured - slope).abs() < 1e-6 * (1.0 + slope.abs()), "{shape:?} {point} {axis}");
                }
            }
        }
    }

    #[test]
    fn angles_wrap_into_half_a_turn() {
        for (angle, wrapped) in [(3.5 * HALF_TURN, -0.5), (-HALF_TURN, 1.0), (HALF_TURN, 1.0), (0.25 * HALF_TURN, 0.25)]
        {
            assert!((wrap(angle) - wrapped * HALF_TURN).abs() < 1e-12);
        }
    }
}
