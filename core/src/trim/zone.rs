//! Where the wind pulls hardest: zones of a flat roof, for denser fixings.
//!
//! The zones are those of EN 1991-1-4, 7.2.3, for each of the four directions along the sides of the rectangle around
//! the roof: with `b` across the wind, `d` along it, `h` the height above ground and `e = min(b, 2h)`, corner zones F
//! reach `e / 4` from either end of the windward side and `e / 10` in from it; G is the rest of that strip; H reaches to
//! `e / 2`; I is the rest. A place has the densest spacing of all directions.
//!
//! This is geometry, not design: how many fixings of which kind hold against the wind is the responsible designer's to say.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::end::nearest;
use super::fixing::SpacedZone;
use super::result::TrimRun;
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::OutlineRing;

/// Denser fixings where the wind pulls hardest.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindFixing {
    /// Height of the roof above the ground.
    pub height: Length,
    /// Widest spacing of fixings in edge zones.
    pub edge: Length,
    /// Widest spacing of fixings in corner zones.
    pub corner: Length,
}

/// The zones of a rectangular flat roof for one wind direction.
///
/// ```
/// use upstand::{Length, trim::WindZones};
///
/// // 6 m across the wind, 4 m along it, 3 m high.
/// let zones = WindZones::new([6, 4, 3].map(|m| Length::from_mm(m * 1000)));
/// assert_eq!(zones.extent, Length::from_mm(6000));
/// assert_eq!((zones.corner_across, zones.edge_deep), (Length::from_mm(1500), Length::from_mm(600)));
/// let rounded = zones.areas_m2().map(|area| (area * 100.0).round() / 100.0);
/// assert_eq!(rounded, [1.8, 1.8, 14.4, 6.0]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WindZones {
    /// Width of the roof across the wind: `b`.
    pub across: Length,
    /// Depth of the roof along the wind: `d`.
    pub along: Length,
    /// `e`, the lesser of `b` and twice the height.
    pub extent: Length,
    /// How far each corner zone reaches along the windward side: `e / 4`.
    pub corner_across: Length,
    /// How far corner and edge zones reach in from the windward side: `e / 10`.
    pub edge_deep: Length,
    /// How far the next zone reaches in: `e / 2`.
    pub next_deep: Length,
}

impl WindZones {
    /// The zones of a roof of so much across the wind, along it, and above the ground.
    pub fn new([across, along, height]: [Length; 3]) -> Self {
        let extent = across.min(height * 2);
        WindZones { across, along, extent, corner_across: extent / 4, edge_deep: extent / 10, next_deep: extent / 2 }
    }

    /// Areas of the zones F (both corners), G, H and I in square metres. They add up to the roof's.
    pub fn areas_m2(&self) -> [f64; 4] {
        let strip = |from: Length, to: Length| (to.min(self.along) - from.min(self.along)).m() * self.across.m();
        let edge = strip(Length::ZERO, self.edge_deep);
        let corners = 2.0 * self.corner_across.m() * self.edge_deep.min(self.along).m();
        [corners, edge - corners, strip(self.edge_deep, self.next_deep), strip(self.next_deep, self.along)]
    }
}

/// The rectangle around a roof, in the direction of its longest edge.
pub(super) struct Frame {
    along: (f64, f64),
    low: (f64, f64),
    high: (f64, f64),
}

impl Frame {
    pub(super) fn around(ring: &OutlineRing) -> Option<Frame> {
        let n = ring.points.len();
        let edges = (0..n).map(|i| (ring.points[i], ring.points[(i + 1) % n]));
        let longest = edges.max_by(|a, b| a.0.distance(a.1).cmp(&b.0.distance(b.1)))?;
        let along = crate::geometry::unit(longest.0, longest.1)?;
        let mut frame =
            Frame { along, low: (f64::INFINITY, f64::INFINITY), high: (f64::NEG_INFINITY, f64::NEG_INFINITY) };
        for &point in &ring.points {
            let (x, y) = frame.place(point);
            frame.low = (frame.low.0.min(x), frame.low.1.min(y));
            frame.high = (frame.high.0.max(x), frame.high.1.max(y));
        }
        Some(frame)
    }

    /// A point along the frame and across it, in micrometres.
    fn place(&self, point: Point) -> (f64, f64) {
        let (x, y) = (point.x.um() as f64, point.y.um() as f64);
        (x * self.along.0 + y * self.along.1, y * self.along.0 - x * self.along.1)
    }

    /// The stretches of a run that lie in edge or corner zones, measured from the start of its cut length.
    pub(super) fn zones(&self, run: &TrimRun, wind: &WindFixing) -> Vec<SpacedZone> {
        let (a, b) = (self.place(run.from), self.place(run.to));
        let size = (self.high.0 - self.low.0, self.high.1 - self.low.1);
        // Places measured from the windward side and from one end of it, for each of the four directions.
        let from_low = |p: (f64, f64)| (p.0 - self.low.0, p.1 - self.low.1);
        let from_high = |p: (f64, f64)| (self.high.0 - p.0, self.high.1 - p.1);
        let turned = |p: (f64, f64)| (p.1, p.0);
        let directions = [
            (from_low(a), from_low(b), size),
            (from_high(a), from_high(b), size),
            (turned(from_low(a)), turned(from_low(b)), turned(size)),
            (turned(from_high(a)), turned(from_high(b)), turned(size)),
        ];
        let mut found = Vec::new();
        for (from, to, (across, along)) in directions {
            let zones = WindZones::new([nearest(across), nearest(along), wind.height]);
            let (side, deep) = (zones.corner_across.um() as f64, zones.edge_deep.um() as f64);
            let far = across - side;
            let mut add = |left: f64, right: f64, spacing: Length| {
                if let Some((enter, leave)) = within(from, to, (left, 0.0), (right, deep)) {
                    let at = |share: f64| run.start.gain + nearest(share * run.line_length.um() as f64);
                    found.push(SpacedZone { from: at(enter), to: at(leave), spacing });
                }
            };
            add(0.0, across, wind.edge);
            add(0.0, side, wind.corner);
            add(far, across, wind.corner);
        }
        found
    }
}

/// The part of a segment, as shares of it, inside a rectangle (Liang and Barsky, 1984). A micrometre off is inside.
fn within(a: (f64, f64), b: (f64, f64), low: (f64, f64), high: (f64, f64)) -> Option<(f64, f64)> {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (direction, room) in [
        (a.0 - b.0, a.0 - low.0 + 1.0),
        (b.0 - a.0, high.0 - a.0 + 1.0),
        (a.1 - b.1, a.1 - low.1 + 1.0),
        (b.1 - a.1, high.1 - a.1 + 1.0),
    ] {
        if direction == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if direction < 0.0 {
            enter = enter.max(room / direction);
        } else {
            leave = leave.min(room / direction);
        }
    }
    (enter < leave).then_some((enter, leave))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_of_rectangles() {
        // EN 1991-1-4, 7.2.3: geometry of figure 7.6, the first two rows as in the tests of an open library of wind
        // loads (desssign, "flat roof with sharp eaves, low building"), the others by the closed formula.
        for ([b, d, h], [f, g, zone_h, i]) in [
            ([20, 10, 5], [5.0, 15.0, 80.0, 100.0]),
            ([10, 20, 5], [5.0, 5.0, 40.0, 150.0]),
            ([6, 4, 3], [1.8, 1.8, 14.4, 6.0]),
            ([4, 6, 3], [0.8, 0.8, 6.4, 16.0]),
            ([12, 8, 3], [1.8, 5.4, 28.8, 60.0]),
        ] {
            let zones = WindZones::new([b, d, h].map(|m| Length::from_mm(m * 1000)));
            let found = zones.areas_m2();
            for (found, wanted) in found.iter().zip([f, g, zone_h, i]) {
                assert!((found - wanted).abs() < 1e-9, "{b} {d} {h}: {found} {wanted}");
            }
            assert!((found.iter().sum::<f64>() - (b * d) as f64).abs() < 1e-9);
        }
        // The first row's polygons, from the same tests: F from (0, 0) to (1, 2.5), G between 2.5 and 17.5, H from 1 to 5
        // in from the windward side, I from there to 10.
        let zones = WindZones::new([20, 10, 5].map(|m| Length::from_mm(m * 1000)));
        assert_eq!([zones.edge_deep, zones.corner_across], [1_000, 2_500].map(Length::from_mm));
        assert_eq!([zones.across - zones.corner_across, zones.next_deep], [17_500, 5_000].map(Length::from_mm));
    }
}
