//! Which way water runs over the deck, where levels are known.

use crate::geometry::Point;
use crate::roof::Outline;

/// Levels of the deck at the outline's points and inside it.
pub(super) struct Levels {
    /// Coordinates and level in metres.
    points: Vec<(f64, f64, f64)>,
}

/// Points count less beyond about this distance, in metres, so that a valley or ridge is seen from either side.
const NEAR_M: f64 = 1.0;
/// A deck that falls by less than this (1 mm in 10 m) is taken as level.
const LEAST_FALL: f64 = 1e-4;

impl Levels {
    /// `None` where no levels are known, or all are the same.
    pub(super) fn of(outline: &Outline) -> Option<Levels> {
        let origin = outline.rings.first()?.points.first()?;
        let known = outline.rings.iter().filter(|ring| ring.levels.len() == ring.points.len());
        let spots = outline.spot_levels.iter().map(|(at, level)| (at, level));
        let points = known.flat_map(|ring| ring.points.iter().zip(&ring.levels)).chain(spots);
        let points: Vec<(f64, f64, f64)> =
            points.map(|(at, level)| ((at.x - origin.x).m(), (at.y - origin.y).m(), level.m())).collect();
        let level = points.first()?.2;
        let fallen = points.iter().any(|point| (point.2 - level).abs() > 0.0);
        fallen.then_some(Levels { points })
    }

    /// How steeply the deck rises near a point of `outline` along a unit vector; zero where it is as good as level.
    ///
    /// The slope of a plane fitted to all levels by least squares, near ones counting most: exact on a plane deck.
    pub(super) fn rise(&self, outline: &Outline, at: Point, way: (f64, f64)) -> f64 {
        let Some(origin) = outline.rings.first().and_then(|ring| ring.points.first()) else { return 0.0 };
        let (x, y) = ((at.x - origin.x).m(), (at.y - origin.y).m());
        let (mut w, mut wx, mut wy, mut wz) = (0.0, 0.0, 0.0, 0.0);
        let weighed = |point: &(f64, f64, f64)| {
            let (dx, dy) = (point.0 - x, point.1 - y);
            let square = dx * dx + dy * dy + NEAR_M * NEAR_M;
            (1.0 / (square * square), dx, dy, point.2)
        };
        for (weight, dx, dy, z) in self.points.iter().map(weighed) {
            (w, wx, wy, wz) = (w + weight, wx + weight * dx, wy + weight * dy, wz + weight * z);
        }
        let (mx, my, mz) = (wx / w, wy / w, wz / w);
        let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (weight, dx, dy, z) in self.points.iter().map(weighed) {
            let (dx, dy, dz) = (dx - mx, dy - my, z - mz);
            (xx, xy, yy) = (xx + weight * dx * dx, xy + weight * dx * dy, yy + weight * dy * dy);
            (xz, yz) = (xz + weight * dx * dz, yz + weight * dy * dz);
        }
        let determinant = xx * yy - xy * xy;
        if determinant <= 1e-12 * xx * yy {
            return 0.0;
        }
        let (rise_x, rise_y) = ((xz * yy - yz * xy) / determinant, (yz * xx - xz * xy) / determinant);
        let rise = rise_x * way.0 + rise_y * way.1;
        if rise.abs() < LEAST_FALL { 0.0 } else { rise }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;
    use crate::roof::{Boundary, Kind, Roof};
    use crate::system::Limits;

    fn outline(points: &[(i64, i64)], level: impl Fn(i64, i64) -> i64) -> Outline {
        let outer = Boundary {
            points: points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect(),
            kinds: vec![Kind::Drip; points.len()],
            levels: points.iter().map(|&(x, y)| Length::from_mm(level(x, y))).collect(),
            ..Boundary::default()
        };
        Outline::new(&Roof { outer, ..Roof::default() }, &Limits::default(), "").expect("a sound roof")
    }

    #[test]
    fn a_plane_deck_rises_as_its_levels_say() {
        let deck =
            outline(&[(0, 0), (8000, 0), (8000, 2000), (3000, 2000), (3000, 6000), (0, 6000)], |x, y| x / 40 + y / 80);
        let levels = Levels::of(&deck).expect("levels");
        for at in [(1000, 1000), (7000, 1500), (500, 5500)] {
            let at = Point::from_mm(at.0, at.1);
            assert!((levels.rise(&deck, at, (1.0, 0.0)) - 1.0 / 40.0).abs() < 1e-9);
            assert!((levels.rise(&deck, at, (0.0, -1.0)) + 1.0 / 80.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_valley_is_seen_from_both_sides() {
        let points = [(0, 0), (6000, 0), (6000, 3000), (6000, 6000), (0, 6000), (0, 3000)];
        let deck = outline(&points, |_, y| (y - 3000).abs() / 40);
        let levels = Levels::of(&deck).expect("levels");
        assert!(levels.rise(&deck, Point::from_mm(3000, 700), (0.0, 1.0)) < 0.0);
        assert!(levels.rise(&deck, Point::from_mm(3000, 5300), (0.0, 1.0)) > 0.0);
    }

    #[test]
    fn a_valley_between_level_corners_is_seen_by_its_spot_levels() {
        let spots: Vec<_> = (1..6).map(|x| (Point::from_mm(x * 1000, 3000), Length::from_mm(-60))).collect();
        let deck = outline(&[(0, 0), (6000, 0), (6000, 6000), (0, 6000)], |_, _| 0).with_spot_levels(&spots);
        let levels = Levels::of(&deck).expect("levels");
        assert!(levels.rise(&deck, Point::from_mm(3000, 1500), (0.0, 1.0)) < 0.0);
        assert!(levels.rise(&deck, Point::from_mm(3000, 4500), (0.0, 1.0)) > 0.0);
    }

    #[test]
    fn a_level_deck_has_no_fall() {
        assert!(Levels::of(&outline(&[(0, 0), (8000, 0), (8000, 2000)], |_, _| 5)).is_none());
    }
}
