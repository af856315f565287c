//! Bands: what the edges of a polygon sweep.
//!
//! A band is made of a body between the two ends of its edge and of wings beyond them. The points of an edge move
//! square to it; a wing is swept by the corner itself. Both end where these ways meet another side of the polygon.

use super::corner::{Corner, Way, add, inner, left, scale};
use super::sight::{Sight, seen};
use crate::error::{Code, Error};
use crate::geometry::boxes::{Bounds, BoxTree};
use crate::geometry::frame::Frame;
use crate::geometry::overlay::{Node, Path, left_of};
use crate::geometry::point::Vector;

/// An edge with its corners and its distance in micrometres.
pub(super) struct Edge {
    pub(super) start: Corner,
    pub(super) end: Corner,
    pub(super) distance: f64,
    /// Numbers of the edges before and after it on its ring.
    pub(super) before: usize,
    pub(super) after: usize,
}

/// A convex part of a band.
struct Part {
    edge: usize,
    path: Path,
    sight: Sight,
}

/// Most meetings of a band with other sides of the polygon. Real outlines have a few for each edge.
const MOST_MEETINGS: usize = 4_000_000;

/// The bands of all edges that move, on the fine grid, counter-clockwise.
///
/// # Errors
/// [`Code::TooManyPoints`] where so many bands run across so many sides that it would take too long.
pub(super) fn bands(edges: &[Edge], whole: &[Path], frame: &Frame) -> Result<Vec<Path>, Error> {
    let parts = parts(edges, frame);
    let sides: Vec<(Node, Node)> = whole.iter().flat_map(around).collect();
    let tree = BoxTree::new(sides.iter().map(|&(from, to)| Bounds::around(&[from, to])));
    let mut bands = Vec::with_capacity(parts.len());
    let mut meetings = 0;
    for part in parts {
        let mut entering = Vec::new();
        tree.meeting(Bounds::around(&part.path), |side| {
            meetings += 1;
            if meetings <= MOST_MEETINGS && side != part.edge && enters(&part.path, sides[side]) {
                entering.extend(clip(&part.path, sides[side].0, sides[side].1));
            }
        });
        if meetings > MOST_MEETINGS {
            let message = "the distances reach across too many edges of this outline: give fewer points";
            return Err(Error::new(Code::TooManyPoints, "", message));
        }
        bands.push(if entering.is_empty() { part.path } else { seen(&part.path, part.sight, &entering) });
    }
    Ok(bands)
}

/// The parts of all bands.
///
/// Where one band ends short on the line that it shares with its neighbour, the neighbour gets the same point on its
/// border, so that no crack opens between the two.
fn parts(edges: &[Edge], frame: &Frame) -> Vec<Part> {
    let apexes: Vec<Option<Way>> = edges.iter().map(Edge::apex).collect();
    // Where bands end on the line at the start of each edge, from the corner.
    let marks: Vec<[Way; 4]> = edges
        .iter()
        .zip(&apexes)
        .map(|(edge, apex)| {
            let Corner { arriving, leaving, .. } = edge.start;
            let way = Vector::between(edge.start.at, edges[edge.before].start.at);
            let before = apexes[edge.before].map(|apex| add(apex, (way.x as f64, way.y as f64)));
            [arriving.reach, leaving.reach, apex.unwrap_or(leaving.reach), before.unwrap_or(arriving.reach)]
        })
        .collect();
    let mut parts = Vec::new();
    for (number, edge) in edges.iter().enumerate() {
        if edge.distance == 0.0 {
            continue;
        }
        let (along, inward, _) = edge.axes();
        let (start, end) = (edge.start, edge.end);
        let (from, to) = (frame.node(start.at), frame.node(end.at));
        let near_start = |way: Way| frame.node_near(start.at, way);
        let near_end = |way: Way| frame.node_near(end.at, way);
        let foot = scale(inward, edge.distance);
        let (start_end, end_end) = (marks[number][2], marks[edge.after][3]);
        let start_line: Path = match start.shared {
            true => short_of(&marks[number], start_end).map(near_start).collect(),
            false => Vec::new(),
        };
        let end_line: Path = match end.shared {
            true => short_of(&marks[edge.after], end_end).map(near_end).collect(),
            false => Vec::new(),
        };
        let mut wing = |path: Path, ahead: Way| parts.push(Part { edge: number, path, sight: Sight::From(ahead) });
        let mut body = vec![from, to];
        if inner(end.arriving.reach, along) > 0.0 {
            let mut path = vec![to];
            path.extend(end_line);
            path.push(near_end(end_end));
            path.extend(end.arriving.cut.map(near_end));
            path.push(near_end(foot));
            wing(path, along);
            body.push(near_end(foot));
        } else {
            body.extend(end_line);
            // Where both ends meet, the point is taken from the start for both.
            body.extend(apexes[number].is_none().then(|| near_end(end_end)));
        }
        let (first, last) = edge.moved();
        if apexes[number].is_none() && first < last {
            body.extend(end.arriving.mitre.map(near_end));
            body.extend(start.leaving.mitre.map(near_start));
        }
        if inner(start.leaving.reach, along) < 0.0 {
            let mut path = vec![from, near_start(foot)];
            path.extend(start.leaving.cut.map(near_start));
            path.push(near_start(start_end));
            path.extend(start_line.into_iter().rev());
            wing(path, along);
            body.push(near_start(foot));
        } else {
            body.push(near_start(start_end));
            body.extend(start_line.into_iter().rev());
        }
        parts.push(Part { edge: number, path: body, sight: Sight::Along(along) });
    }
    parts
}

/// The marks on a shared line between its corner and `end`, in order from the corner.
fn short_of(marks: &[Way; 4], end: Way) -> impl Iterator<Item = Way> + use<> {
    let size = |mark: Way| inner(mark, mark);
    let mut short = marks.to_vec();
    short.retain(|&mark| size(mark) > 0.0 && size(mark) < size(end));
    short.sort_by(|&a, &b| size(a).total_cmp(&size(b)));
    short.into_iter()
}

impl Edge {
    /// Unit vectors along the edge and inward, and its length.
    fn axes(&self) -> (Way, Way, f64) {
        let way = Vector::between(self.start.at, self.end.at);
        let along = way.unit();
        (along, left(along), way.length())
    }

    /// Where the moved edge begins and ends in the result as far as its two corners say, measured along the edge.
    fn moved(&self) -> (f64, f64) {
        let (along, _, length) = self.axes();
        let (start, end) = (self.start.leaving, self.end.arriving);
        (inner(start.mitre.unwrap_or(start.reach), along), length + inner(end.mitre.unwrap_or(end.reach), along))
    }

    /// Where the lines that its ends glide on meet, from the start, if they do before it has moved all the way.
    fn apex(&self) -> Option<Way> {
        if self.distance == 0.0 {
            return None;
        }
        let (along, inward, length) = self.axes();
        // Only lines that lean over the edge bound its body.
        let start = inner(self.start.leaving.reach, along).max(0.0) / self.distance;
        let end = inner(self.end.arriving.reach, along).min(0.0) / self.distance;
        let depth = length / (start - end);
        (start > end && depth < self.distance).then(|| add(scale(inward, depth), scale(along, depth * start)))
    }
}

/// The edges of a path.
fn around(path: &Path) -> impl Iterator<Item = (Node, Node)> + '_ {
    path.iter().zip(path.iter().cycle().skip(1)).map(|(&from, &to)| (from, to))
}

/// Whether a side of the polygon may have a part inside a convex path: false only where an edge of the path clearly has
/// the whole side on its outer side.
fn enters(path: &Path, (from, to): (Node, Node)) -> bool {
    let apart = |(a, b): (Node, Node)| {
        // Rounding moves nodes by less than a step.
        let slack = 4 * (i128::from(b.0 - a.0).abs() + i128::from(b.1 - a.1).abs());
        slack > 0 && left_of(a, b, from) <= slack && left_of(a, b, to) <= slack
    };
    !around(path).any(apart)
}

/// The part of a segment inside a convex path.
fn clip(path: &Path, from: Node, to: Node) -> Option<(Way, Way)> {
    let (mut low, mut high): (f64, f64) = (0.0, 1.0);
    for (a, b) in around(path) {
        let (p, q) = (left_of(a, b, from) as f64, left_of(a, b, to) as f64);
        if p <= 0.0 && q <= 0.0 && a != b {
            return None;
        }
        if p < 0.0 {
            low = low.max(p / (p - q));
        } else if q < 0.0 {
            high = high.min(p / (p - q));
        }
    }
    let way = ((to.0 - from.0) as f64, (to.1 - from.1) as f64);
    let at = |part: f64| add((from.0 as f64, from.1 as f64), scale(way, part));
    (low < high).then(|| (at(low), at(high)))
}
