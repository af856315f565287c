//! Boolean operations on the integer grid: the only place that knows the overlay engine.
//!
//! The engine (`i_overlay`) works on 64-bit integers as they are, so no scale is taken from the extent of the input.
//! Fill rules are explicit: outer rings counter-clockwise and holes clockwise, any winding other than zero is inside.
//! Results are simple polygons, outer ring first, which may touch themselves or each other in single points; points
//! that lie straight between their neighbours are dropped.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::i_float::int::point::IntPoint;

/// A point on the grid at hand, whatever its unit.
pub(super) type Node = (i64, i64);

/// A closed path without the first node repeated.
pub(super) type Path = Vec<Node>;

/// How far left of the line from `a` to `b` a node lies, times the length of that line.
pub(super) fn left_of(a: Node, b: Node, node: Node) -> i128 {
    let (u, v) = ((b.0 - a.0, b.1 - a.1), (node.0 - a.0, node.1 - a.1));
    i128::from(u.0) * i128::from(v.1) - i128::from(u.1) * i128::from(v.0)
}

/// Coordinates stay within this, well inside the engine's own limit of 2^62.
pub(super) const REACH: i64 = 1 << 61;

/// `subject` without `clip`.
pub(super) fn difference(subject: &[Path], clip: &[Path]) -> Vec<Vec<Path>> {
    run(subject, clip, OverlayRule::Difference)
}

/// What `subject` and `clip` share.
pub(super) fn intersection(subject: &[Path], clip: &[Path]) -> Vec<Vec<Path>> {
    run(subject, clip, OverlayRule::Intersect)
}

/// The paths as simple polygons: what was pushed over itself by rounding is put in order.
pub(super) fn normalise(subject: &[Path]) -> Vec<Vec<Path>> {
    run(subject, &[], OverlayRule::Subject)
}

fn run(subject: &[Path], clip: &[Path], rule: OverlayRule) -> Vec<Vec<Path>> {
    let capacity = subject.iter().chain(clip).map(Vec::len).sum();
    // One thread, so that the order of work, and with it the answer, is the same everywhere.
    let solver = Solver { multithreading: None, ..Solver::AUTO };
    let mut overlay = Overlay::<i64>::new_custom(capacity, IntOverlayOptions::ogc(), solver);
    for (paths, side) in [(subject, ShapeType::Subject), (clip, ShapeType::Clip)] {
        for path in paths {
            overlay.add_path_iter(path.iter().map(|&(x, y)| IntPoint::new(x, y)), side);
        }
    }
    let shapes = overlay.overlay(rule, FillRule::NonZero);
    let path = |contour: &Vec<IntPoint<i64>>| contour.iter().map(|point| (point.x, point.y)).collect();
    shapes.iter().map(|shape| shape.iter().map(path).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: i64, y: i64, side: i64) -> Path {
        vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    }

    #[test]
    fn squares_that_touch_in_a_point_stay_two_polygons() {
        let both = normalise(&[square(0, 0, 10), square(10, 10, 10)]);
        assert_eq!(both.len(), 2, "{both:?}");
        let pinched = difference(&[square(0, 0, 20)], &[square(0, 10, 10), square(10, 0, 10)]);
        assert_eq!(pinched.len(), 2, "{pinched:?}");
    }

    #[test]
    fn holes_come_after_their_outer_ring_and_run_the_other_way() {
        let frame = difference(&[square(0, 0, 30)], &[square(10, 10, 10)]);
        assert_eq!(frame.len(), 1);
        assert_eq!(frame[0].len(), 2);
        assert_eq!(frame[0][0].len(), 4);
        assert_eq!(frame[0][1].len(), 4);
    }

    #[test]
    fn the_engine_is_exact_at_the_reach_of_the_grid() {
        let far = REACH - 100;
        let both = intersection(&[square(far, -far, 10)], &[square(far + 4, 5 - far, 10)]);
        let mut corners = both[0][0].clone();
        corners.sort_unstable();
        let (x, y) = (far + 4, 5 - far);
        assert_eq!(corners, [(x, y), (x, y + 5), (x + 6, y), (x + 6, y + 5)]);
    }
}
