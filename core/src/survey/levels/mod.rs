//! Levels and water: falls, ponds, and where the water goes.
//!
//! # Method
//! Levels at the corners of the outline and spot levels inside become a surface of triangles (constrained Delaunay
//! triangulation, the outline's edges kept: [`Surface`]). On it
//!
//! - *slopes* are neighbouring triangles that fall alike; their fall is drop per run, 0.0125 for 1:80;
//! - *ponds* are found by flooding from the ways out inward, the lowest first (priority-flood): every vertex gets the level at
//!   which its water would overflow. Depth, area and volume follow exactly from the triangles;
//! - *water paths* run down the steepest line, along valleys, and over the spill of a pond to a drip edge or an outlet;
//! - *drained areas* are those of small parts of triangles, each followed to its way out. Where there are more than
//!   [`FEW_TRIANGLES`] triangles, whole triangles are followed from vertex to vertex instead.
//!
//! Run-off is `Q = r A C`: rainfall intensity `r` in l/(s m2), area `A` in m2 and `C` = 1 (BS EN 12056-3, as reprinted). A wall above
//! the roof adds half of its area (Approved Document H, 2015, H3, table 1: over 70 degrees elevation x 0.5).
//!
//! # Limits
//! Between levels the deck is taken as flat triangles: what no level was read for is not seen. A few millimetres of levelling
//! error make or hide a shallow pond. Outlets are taken at the height of the deck. Deflection under load is not
//! reckoned. Capacities are for a first look only: a designer confirms them.

mod flood;
mod inspect;
mod path;
mod slope;
mod surface;
#[cfg(test)]
mod tests;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{LevelReading, MOST_LEVELS, Surveyed};
use crate::error::{Code, Error};
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::{Kind, Outlet, Outline, Roof};
use crate::system::Limits;
use crate::wire;
use flood::Flood;
pub(crate) use inspect::inspect;
use path::{Exit, Tracer};
pub use surface::Surface;

/// Up to so many triangles drained areas are followed through parts of triangles.
pub const FEW_TRIANGLES: usize = 2_000;
/// Parts of triangles that are followed on a small surface, about.
const PARTS: usize = 600;
/// Most slopes and ponds that are listed: the largest.
const MOST_LISTED: usize = 100;

/// What the levels of a roof say about its water.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drainage {
    /// Slopes, the largest first.
    pub slopes: Vec<Slope>,
    /// Where water stands, the deepest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ponds: Vec<Pond>,
    /// What drains over each drip edge and into each outlet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ways_out: Vec<WayOut>,
    /// Edges that hold water back and that water runs against on its way.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub met: Vec<EdgeMet>,
}

/// A part of the deck that falls one way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Slope {
    /// Its area in plan, in square metres.
    pub area_m2: f64,
    /// Drop per run along the steepest line: 0.0125 is 1:80.
    pub fall: f64,
    /// Unit vector down the steepest line; (0, 0) where it is level.
    pub downhill: (f64, f64),
    /// A point of it.
    pub middle: Point,
    /// Whether it falls away from the place where its water leaves in the end: a back-fall.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub backward: bool,
}

/// Water that cannot run off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pond {
    /// Its deepest point.
    pub at: Point,
    /// Depth there.
    pub depth: Length,
    /// The level at which it overflows.
    pub spill_level: Length,
    /// Its area, in square metres.
    pub area_m2: f64,
    /// Its volume, in litres.
    pub volume_l: f64,
}

/// A drip edge or an outlet and what drains through it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WayOut {
    /// The ring of a drip edge, counted as in the plan; none for an outlet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ring: Option<usize>,
    /// The edge within its ring, or the outlet, from 0.
    pub index: usize,
    /// Area of roof that drains through it, in square metres.
    pub area_m2: f64,
    /// Half of the area of walls above whose water comes down to it, in square metres.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub wall_m2: f64,
    /// Run-off in heavy rain, in litres per second.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub flow_l_s: f64,
    /// The way that water takes from the middle of the largest slope that drains through it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub path: Vec<Point>,
}

/// An edge that water runs against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EdgeMet {
    /// The ring, counted as in the plan.
    pub ring: usize,
    /// The edge within it.
    pub edge: usize,
    /// Its kind.
    pub kind: Kind,
    /// Area of roof whose water reaches it first, in square metres.
    pub area_m2: f64,
}

/// A wall above an edge of an outline, whose water comes down on the roof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wall {
    /// The ring.
    pub ring: usize,
    /// The edge within it.
    pub edge: usize,
    /// Height of the wall above the roof.
    pub height: Length,
}

/// Where water goes on a roof; none where a corner of the outer ring has no level.
///
/// Ways out are drip edges and outlets. Without any, only slopes are given. n log n with the number of levels, beside the
/// tracing of at most [`FEW_TRIANGLES`] triangles.
///
/// ```
/// use upstand::roof::{Boundary, Kind, Outline, Roof};
/// use upstand::survey::levels::drain;
/// use upstand::system::Limits;
/// use upstand::{Length, geometry::Point};
///
/// // 4 m by 3 m, falling 60 mm to a drip, with a hollow of 20 mm in the middle.
/// let mm = Length::from_mm;
/// let at = Point::from_mm;
/// let mut roof = Roof {
///     outer: Boundary {
///         points: vec![at(0, 0), at(4000, 0), at(4000, 3000), at(0, 3000)],
///         kinds: vec![Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide],
///         levels: vec![mm(0), mm(0), mm(60), mm(60)],
///         ..Boundary::default()
///     },
///     ..Roof::default()
/// };
/// let outline = Outline::new(&roof, &Limits::default(), "")?;
/// let drained = drain(&outline, &[], &[(at(2000, 1500), mm(-20))], &[]).unwrap();
/// assert_eq!(drained.ponds[0].depth, mm(20));
///
/// roof.outer.levels.clear();
/// let outline = Outline::new(&roof, &Limits::default(), "")?;
/// assert_eq!(drain(&outline, &[], &[(at(2000, 1500), mm(-20))], &[]), None);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn drain(outline: &Outline, outlets: &[Outlet], readings: &[(Point, Length)], walls: &[Wall]) -> Option<Drainage> {
    let surface = Surface::new(outline, outlets, readings)?;
    let slopes = slope::slopes(&surface);
    let edges = Edges::of(outline);
    let beside = surface.neighbours();
    let exits = edges.exits(&surface);
    let listed = slopes.iter().take(MOST_LISTED).map(|found| found.slope.clone()).collect();
    let mut drainage = Drainage { slopes: listed, ..Drainage::default() };
    if let Some(flood) = Flood::of(&surface, &beside, &exits).filter(|_| exits.contains(&true)) {
        drainage.ponds = flood.ponds(&surface, &beside);
        drainage.ponds.truncate(MOST_LISTED);
        let tracer = Tracer::new(&surface, &beside, &flood, &exits, &edges.drips);
        edges.share(&tracer, &mut drainage);
        edges.trace(&tracer, &slopes, &mut drainage);
        edges.add_walls(&tracer, walls, &mut drainage);
    }
    Some(drainage)
}

/// Where water goes on one roof as it stands in a job, with levels read inside it: [`drain`] without a plan. Its walls above
/// count; flows, which need a system, are left at 0. The readings' own number of a roof is not looked at.
///
/// # Errors
/// Those of an outline that is not sound, with places within the roof; those of measurements, where it is measured;
/// [`Code::TooMany`] for more than 200 000 levels.
///
/// ```
/// use serde_json::json;
/// use upstand::{Code, Length, Roof};
/// use upstand::survey::levels::{drain_roof, readings};
///
/// let mut roof = Roof::from_value(json!({"outer": {"points": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]],
///     "kinds": ["drip", "open_side", "abutment", "open_side"], "levels": [0, 0, 60, 60]}}))?;
/// let hollow = readings(json!([{"at": [2000, 1500], "level": -20}]))?;
/// assert_eq!(drain_roof(&roof, &hollow)?.unwrap().ponds[0].depth, Length::from_mm(20));
///
/// roof.outer.levels.pop();
/// assert_eq!(drain_roof(&roof, &hollow).unwrap_err().code(), Code::LevelCount);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn drain_roof(roof: &Roof, readings: &[LevelReading]) -> Result<Option<Drainage>, Error> {
    if readings.len() > MOST_LEVELS {
        let message = format!("{} levels: at most {MOST_LEVELS} are taken", readings.len());
        return Err(Error::new(Code::TooMany, "/levels", message));
    }
    let surveyed = Surveyed::of(std::slice::from_ref(roof));
    // The job's path of its only roof is left out again.
    let without = |(_, error): &(usize, Error)| {
        Error::new(error.code(), error.path().trim_start_matches("/roofs/0"), error.message())
    };
    let problems = surveyed.problems.iter().map(without);
    Error::from_problems(problems.collect())?;
    let Some(roof) = surveyed.roofs.first() else { return Ok(None) };
    let outline = Outline::new(roof, &Limits::default(), "")?;
    let levels: Vec<(Point, Length)> = readings.iter().map(|reading| (reading.at, reading.level)).collect();
    Ok(drain(&outline, &roof.outlets, &levels, &inspect::walls(roof, &outline)))
}

/// Reads levels from a JSON value: a list of `{"at": [x, y], "level": z}`.
///
/// # Errors
/// [`Code::BadValue`], [`Code::MissingField`] and the like, with places below `/levels`.
///
/// ```
/// use serde_json::json;
/// use upstand::{Code, survey::levels::readings};
///
/// assert_eq!(readings(json!([{"at": [2000, 1500], "level": -20}])).unwrap().len(), 1);
/// let error = readings(json!([{"at": [2000, 1500]}])).unwrap_err();
/// assert_eq!((error.code(), error.path()), (Code::MissingField, "/levels/0/level"));
/// ```
pub fn readings(value: serde_json::Value) -> Result<Vec<LevelReading>, Error> {
    wire::read_part(value).map_err(|error| error.under("/levels"))
}

impl Drainage {
    /// The result as canonical JSON text.
    pub fn to_json(&self) -> String {
        wire::write(self)
    }
}

/// The ponds of a roof alone: what [`drain`] finds, without tracing.
///
/// None as for [`drain`], and where there is no way out.
pub fn ponds(outline: &Outline, outlets: &[Outlet], readings: &[(Point, Length)]) -> Option<Vec<Pond>> {
    let surface = Surface::new(outline, outlets, readings)?;
    let beside = surface.neighbours();
    let exits = Edges::of(outline).exits(&surface);
    let flood = Flood::of(&surface, &beside, &exits).filter(|_| exits.contains(&true))?;
    Some(flood.ponds(&surface, &beside))
}

/// The edges of an outline, counted over all rings.
struct Edges<'a> {
    outline: &'a Outline,
    /// Ring and edge of each.
    of: Vec<(usize, usize)>,
    drips: Vec<bool>,
}

impl<'a> Edges<'a> {
    fn of(outline: &'a Outline) -> Self {
        let rings = outline.rings.iter().enumerate();
        let of: Vec<(usize, usize)> = rings.flat_map(|(r, ring)| (0..ring.points.len()).map(move |e| (r, e))).collect();
        let drips = of.iter().map(|&(r, e)| outline.rings[r].kinds[e] == Kind::Drip).collect();
        Edges { outline, of, drips }
    }

    fn kind(&self, edge: usize) -> Kind {
        let (ring, edge) = self.of[edge];
        self.outline.rings[ring].kinds[edge]
    }

    /// Vertices where water leaves: outlets, and the ends of pieces of drip edges.
    fn exits(&self, surface: &Surface) -> Vec<bool> {
        let mut exits = vec![false; surface.at.len()];
        surface.outlets.iter().for_each(|&outlet| exits[outlet] = true);
        for (face, border) in surface.faces.iter().zip(&surface.border) {
            for (side, edge) in border.iter().enumerate() {
                if edge.is_some_and(|edge| self.drips[edge]) {
                    exits[face[side]] = true;
                    exits[face[(side + 1) % 3]] = true;
                }
            }
        }
        exits
    }

    /// Shares the area out over ways out and over the edges that water meets before.
    fn share(&self, tracer: &Tracer<'_>, drainage: &mut Drainage) {
        let surface = tracer.surface;
        let mut to_edge = vec![0.0; self.of.len()];
        let mut to_outlet = vec![0.0; surface.outlets.len()];
        let mut met = vec![0.0; self.of.len()];
        let targets = self.targets(surface);
        if surface.faces.len() <= FEW_TRIANGLES {
            // Each side in k parts makes k * k small triangles of one area.
            let k = (1..).find(|k| k * k * surface.faces.len() >= PARTS).unwrap_or(1);
            for face in 0..surface.faces.len() {
                let area = surface.face_area(face) / (k * k) as f64;
                for (u, v) in small_triangles(k) {
                    let [a, b, c] = surface.faces[face].map(|corner| surface.xy(corner));
                    let at = (a.0 + u * (b.0 - a.0) + v * (c.0 - a.0), a.1 + u * (b.1 - a.1) + v * (c.1 - a.1));
                    let Some(arrival) = tracer.follow(face, at, &mut |_| ()) else { continue };
                    match targets.of(arrival.exit) {
                        Some(Way::Edge(edge)) => to_edge[edge] += area,
                        Some(Way::Outlet(outlet)) => to_outlet[outlet] += area,
                        None => {}
                    }
                    if let Some(edge) = arrival.met {
                        met[edge] += area;
                    }
                }
            }
        } else {
            let ends = tracer.way_ends();
            for (face, corners) in surface.faces.iter().enumerate() {
                for &corner in corners {
                    let area = surface.face_area(face) / 3.0;
                    match targets.of(Exit::Vertex(ends[corner])) {
                        Some(Way::Edge(edge)) => to_edge[edge] += area,
                        Some(Way::Outlet(outlet)) => to_outlet[outlet] += area,
                        None => {}
                    }
                }
            }
        }
        let square_metres = |mm2: f64| digits(mm2 / 1e6, 1e2);
        for (edge, &area) in to_edge.iter().enumerate().filter(|&(edge, _)| self.drips[edge]) {
            let (ring, index) = self.of[edge];
            drainage.ways_out.push(WayOut {
                ring: Some(ring),
                index,
                area_m2: square_metres(area),
                ..WayOut::default()
            });
        }
        for (index, &area) in to_outlet.iter().enumerate() {
            drainage.ways_out.push(WayOut { ring: None, index, area_m2: square_metres(area), ..WayOut::default() });
        }
        for (edge, &area) in met.iter().enumerate().filter(|&(_, &area)| area > 0.0) {
            let (ring, index) = self.of[edge];
            let kind = self.kind(edge);
            drainage.met.push(EdgeMet { ring, edge: index, kind, area_m2: square_metres(area) });
        }
    }

    /// Which way out each exit vertex belongs to: an outlet there, or a drip edge.
    fn targets(&self, surface: &Surface) -> Targets {
        let mut of = vec![None; surface.at.len()];
        for (face, border) in surface.faces.iter().zip(&surface.border) {
            for (side, edge) in border.iter().enumerate() {
                if let Some(edge) = edge.filter(|&edge| self.drips[edge]) {
                    of[face[side]].get_or_insert(Way::Edge(edge));
                    of[face[(side + 1) % 3]].get_or_insert(Way::Edge(edge));
                }
            }
        }
        for (outlet, &vertex) in surface.outlets.iter().enumerate() {
            of[vertex] = Some(Way::Outlet(outlet));
        }
        Targets(of)
    }

    fn way_out<'d>(&self, way: Option<Way>, drainage: &'d mut Drainage) -> Option<&'d mut WayOut> {
        let place = match way? {
            Way::Edge(edge) => (Some(self.of[edge].0), self.of[edge].1),
            Way::Outlet(outlet) => (None, outlet),
        };
        drainage.ways_out.iter_mut().find(|way| (way.ring, way.index) == place)
    }

    /// The ways of water from the middles of slopes, the largest first, and which of them fall backward.
    fn trace(&self, tracer: &Tracer<'_>, slopes: &[slope::Found], drainage: &mut Drainage) {
        let surface = tracer.surface;
        let targets = self.targets(surface);
        for (i, found) in slopes.iter().take(MOST_LISTED).enumerate() {
            let mut path = Vec::new();
            let from = slope::middle(surface, found.face);
            let Some(arrival) = tracer.follow(found.face, from, &mut |at| path.push(at)) else { continue };
            let to = path.last().copied().unwrap_or(from);
            let (fx, fy) = found.slope.downhill;
            drainage.slopes[i].backward = (to.0 - from.0) * fx + (to.1 - from.1) * fy < 0.0;
            let way = self.way_out(targets.of(arrival.exit), drainage);
            if let Some(way) = way.filter(|way| way.path.is_empty()) {
                way.path = path.into_iter().map(|xy| point(surface, xy)).collect();
                way.path.dedup();
            }
        }
    }

    /// Half of the area of each wall comes down along its edge.
    fn add_walls(&self, tracer: &Tracer<'_>, walls: &[Wall], drainage: &mut Drainage) {
        let surface = tracer.surface;
        let targets = self.targets(surface);
        let height =
            |edge: usize| walls.iter().find(|wall| (wall.ring, wall.edge) == self.of[edge]).map(|w| w.height.m());
        for (face, border) in surface.border.iter().enumerate() {
            for (side, edge) in border.iter().enumerate() {
                let Some(height) = edge.and_then(height) else { continue };
                let corners = surface.faces[face];
                let (a, b) = (surface.xy(corners[side]), surface.xy(corners[(side + 1) % 3]));
                let length = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt() / 1e3;
                // A little inside, for the foot of the wall itself is on the outline.
                let middle = slope::middle(surface, face);
                let inward = |p: f64, q: f64, m: f64| 0.99 * (p + q) / 2.0 + 0.01 * m;
                let from = (inward(a.0, b.0, middle.0), inward(a.1, b.1, middle.1));
                let Some(arrival) = tracer.follow(face, from, &mut |_| ()) else { continue };
                if let Some(way) = self.way_out(targets.of(arrival.exit), drainage) {
                    way.wall_m2 = digits(way.wall_m2 + height * length / 2.0, 1e4);
                }
            }
        }
    }
}

/// A way out: an edge, counted over all rings, or an outlet.
#[derive(Clone, Copy)]
enum Way {
    Edge(usize),
    Outlet(usize),
}

/// The way out of each exit vertex.
struct Targets(Vec<Option<Way>>);

impl Targets {
    fn of(&self, exit: Exit) -> Option<Way> {
        match exit {
            Exit::Edge(edge) => Some(Way::Edge(edge)),
            Exit::Vertex(vertex) => self.0[vertex],
        }
    }
}

fn point(surface: &Surface, (x, y): (f64, f64)) -> Point {
    let place = |mm: f64, from: Length| Length::from_um(from.um().saturating_add((mm * 1e3).round() as i64));
    Point { x: place(x, surface.at[0].x), y: place(y, surface.at[0].y) }
}

/// Middles of the small triangles of a side divided in `k`, as shares of the two sides at the first corner.
fn small_triangles(k: usize) -> impl Iterator<Item = (f64, f64)> {
    let share = move |i: usize, third: f64| (i as f64 + third) / k as f64;
    (0..k).flat_map(move |i| {
        (0..k - i).flat_map(move |j| {
            let upright = Some((share(i, 1.0 / 3.0), share(j, 1.0 / 3.0)));
            let turned = (i + j + 1 < k).then(|| (share(i, 2.0 / 3.0), share(j, 2.0 / 3.0)));
            [upright, turned].into_iter().flatten()
        })
    })
}

fn is_zero(value: &f64) -> bool {
    *value <= 0.0
}

/// Rounded to so many parts of one, without a negative zero.
fn digits(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit + 0.0
}
