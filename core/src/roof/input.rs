//! A roof as it is given: rings of points, a kind for every edge, outlets and pipes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::error::Error;
use crate::geometry::Point;
use crate::length::Length;
use crate::survey::Network;
use crate::system::EndRule;
use crate::wire;

/// A roof as measured: its outer boundary, holes (kerbs of rooflights, plant bases, courtyards), outlets and pipes.
///
/// Plan coordinates in millimetres, x to the right and y up. Rings may run either way round.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Roof {
    /// Name printed on drawings; by default its number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The outer boundary. Its points are left out where the roof is measured.
    pub outer: Boundary,
    /// Holes in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Boundary>,
    /// Outlets in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<Outlet>,
    /// Pipes that come up through it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pipes: Vec<Pipe>,
    /// Tape measurements between named points, instead of coordinates: the adjusted outline becomes the roof's. Its first
    /// point is the origin and its first side lies along x, unless points are fixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Network>,
}

impl Roof {
    /// Reads one roof of a job from a JSON value.
    ///
    /// # Errors
    /// As for [`Job::from_json`](crate::Job::from_json), with places within the roof.
    ///
    /// ```
    /// use serde_json::json;
    /// use upstand::{Code, Roof};
    ///
    /// let roof = Roof::from_value(json!({"outer": {"points": [[0, 0], [4000, 0], [4000, 3000]]}})).unwrap();
    /// assert_eq!(roof.outer.points.len(), 3);
    /// let error = Roof::from_value(json!({"outer": {"points": [[0, "0"]]}})).unwrap_err();
    /// assert_eq!((error.code(), error.path()), (Code::BadValue, "/outer/points/0/1"));
    /// ```
    pub fn from_value(value: serde_json::Value) -> Result<Roof, Error> {
        wire::read_part(value)
    }

    /// All round things that the deck is pierced for: outlets, then pipes.
    pub(crate) fn penetrations(&self) -> Vec<Penetration> {
        use PenetrationKind::{Outlet, Pipe};
        let of = |kind, number, at, diameter| Penetration { kind, number, at, diameter };
        let outlets = self.outlets.iter().enumerate().map(|(i, outlet)| of(Outlet, i, outlet.at, outlet.diameter));
        let pipes = self.pipes.iter().enumerate().map(|(i, pipe)| of(Pipe, i, pipe.at, pipe.diameter));
        outlets.chain(pipes).collect()
    }

    /// The roof as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}

/// One closed ring and what its edges are. Edge `i` joins point `i` to the next.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Boundary {
    /// The points; the first need not be repeated at the end. Left out only where the roof is measured.
    #[serde(default)]
    pub points: Vec<Point>,
    /// One kind for each edge. A hole may leave them out: its edges are then abutments, the sides of a kerb.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<Kind>,
    /// Height of the deck at each point above one datum, where it falls; left out, the deck is level. Trims along sloping
    /// edges are measured along the slope, and mitred in the plane that bisects the two edges in space.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub levels: Vec<Length>,
    /// Corners that do not follow the system's corner table.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub corners: Vec<CornerChoice>,
    /// Walls above edges whose rain comes down on the roof.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub walls: Vec<WallAbove>,
    /// Where the height for an upstand is limited, by a sill, a threshold or a cladding.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub upstands: Vec<UpstandRoom>,
}

/// What happens at one corner, instead of what the corner table says.
///
/// A square end is measured to the other trim's line where the corner turns enough for that, and otherwise, as at a
/// point in a straight edge, from the corner itself. A choice at such a point breaks the run there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerChoice {
    /// Which point of the ring, as given.
    pub point: usize,
    /// What the trims do: of the edge that ends in the point, then of the edge that begins there, as given.
    pub ends: (EndRule, EndRule),
    /// How many patches lie on the corner; by default as the corner table says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub patches: Option<u32>,
}

/// A wall above an edge of the roof: half of its area sheds rain onto it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WallAbove {
    /// Which edge of the ring, as given.
    pub edge: usize,
    /// Height of the wall above the roof.
    pub height: Length,
}

/// The height that an abutment edge has for its upstand: either a height, or a level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UpstandRoom {
    /// Which edge of the ring, as given.
    pub edge: usize,
    /// Height above the deck as it is before work. Left out where a level is given.
    #[serde(default)]
    pub height: Length,
    /// Level of what limits it, above the datum of the levels: along a falling wall the least height counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top: Option<Length>,
    /// Whether it ends at the threshold of a door, where a lower upstand may be agreed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub threshold: bool,
}

/// An outlet in the roof: water leaves through it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// Its centre.
    pub at: Point,
    /// Its diameter.
    pub diameter: Length,
}

/// A pipe, vent or cable duct that comes up through the roof, and no water through it: it gets a collar, and mat is turned up
/// around it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pipe {
    /// Name printed on drawings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Its centre.
    pub at: Point,
    /// Its outer diameter.
    pub diameter: Length,
    /// How far it stands above the deck as it is before work, if known: whether that is enough for an upstand is then checked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
}

/// An outlet or a pipe, where only its place and its size matter: laps of mat and joints of trims keep clear of it, and it gets a
/// collar.
#[derive(Clone, Debug)]
pub(crate) struct Penetration {
    pub(crate) kind: PenetrationKind,
    number: usize,
    pub(crate) at: Point,
    pub(crate) diameter: Length,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PenetrationKind {
    Outlet,
    Pipe,
}

impl PenetrationKind {
    /// As texts and codes name it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            PenetrationKind::Outlet => "outlet",
            PenetrationKind::Pipe => "pipe",
        }
    }
}

impl Penetration {
    /// Where it stands in the job, below its roof.
    pub(crate) fn path(&self) -> String {
        format!("{}s/{}", self.kind.word(), self.number)
    }
}
