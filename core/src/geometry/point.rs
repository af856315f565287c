use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// A point in plan: `[x, y]` on the wire.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(from = "(Length, Length)", into = "(Length, Length)")]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Up.
    pub y: Length,
}

impl From<(Length, Length)> for Point {
    fn from((x, y): (Length, Length)) -> Self {
        Point { x, y }
    }
}

impl From<Point> for (Length, Length) {
    fn from(point: Point) -> Self {
        (point.x, point.y)
    }
}
