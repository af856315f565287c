//! Polygons that touch or overlap, as one.

use super::frame::Frame;
use super::overlay;
use super::ring::Polygon;

/// What any of the polygons covers, as polygons. They should lie within [`Length::LIMIT`](crate::Length::LIMIT).
/// O(n log n).
pub(crate) fn join(polygons: &[Polygon]) -> Vec<Polygon> {
    let around = polygons.iter().flat_map(|polygon| polygon.outer.points().iter().copied()).collect::<Vec<_>>();
    let Some(frame) = Frame::around(&Polygon::from(super::ring::Ring::new(around))) else { return Vec::new() };
    let paths: Vec<_> = polygons.iter().flat_map(|polygon| frame.paths(&polygon.oriented())).collect();
    frame.settle(overlay::normalise(&paths))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Ring};

    #[test]
    fn rectangles_side_by_side_are_one() {
        let rectangle = |x: i64, width: i64, height: i64| {
            let corners = [(x, 0), (x + width, 0), (x + width, height), (x, height)];
            Polygon::from(Ring::new(corners.map(|(x, y)| Point::from_mm(x, y)).to_vec()))
        };
        let both = join(&[rectangle(1000, 500, 1000), rectangle(0, 1000, 1000)]);
        assert_eq!(both, [rectangle(0, 1500, 1000)]);
        assert_eq!(join(&[rectangle(0, 100, 100), rectangle(200, 100, 100)]).len(), 2);
    }
}
