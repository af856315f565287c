//! Laying out: from outlines and trims to seams, strips, rolls and patches.

use super::choose::{MOST_VISITS, Scheme, Site};
use super::deck::{Deck, Stretch, box_of, gather};
use super::direction::{Axis, given_edge};
use super::fall::Levels;
use super::lap::join_pieces;
use super::list::{mat_list, tape_list};
use super::near::laps_near;
use super::nest::Squares;
use super::patch::{collars, from_offcuts, patches};
use super::profile::Budget;
use super::result::{MatZone, RoofMat, Seam, Strip, StripPiece};
use super::roll::{cost, cut_from_rolls};
use super::row::Row;
use super::split::{Zone, ZoneLap, split};
use super::tape;
use super::zone::{mat_zone, seam_zone};
use crate::error::{Code, Error};
use crate::finding::{Finding, Grade};
use crate::geometry::{Point, Polygon, Ring, Slab, clip};
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::roof::{Outline, Penetration, Roof};
use crate::system::{Direction, Mat, MatRoll, System, ZoneChoice};
use crate::trim::{CutList, RoofTrims};

/// Most strips on one roof.
pub const MOST_STRIPS: i64 = 10_000;

/// What the mat stage works out for a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LaidOut {
    /// The reinforcement, roof by roof.
    pub roofs: Vec<RoofMat>,
    /// Cut lists of mat and tape, over all roofs.
    pub cut_lists: Vec<CutList>,
    /// The mat as it is sold in the width that was chosen.
    pub mat: Mat,
    /// What a person has to look at.
    pub findings: Vec<Finding>,
}

/// Everything that keeps the mat of these outlines from being laid out: what [`System::check`](crate::System::check) finds, or
/// else strips along an edge that an outline does not have, roofs that would take too many strips.
pub fn check(job: &Job, outlines: &[Outline]) -> Vec<Error> {
    let mut problems = job.system.check();
    if !problems.is_empty() {
        return problems;
    }
    for (i, outline) in outlines.iter().enumerate() {
        if let Direction::Edge(edge) = job.system.mat.direction
            && let Err(error) = given_edge(outline, edge)
        {
            problems.push(error);
        }
        let width = job.system.mat.rolls().map(|roll| roll.width).min().unwrap_or(job.system.mat.width);
        let step = width - job.system.mat.lap;
        // No direction has more strips than the diagonal of the box around the outline.
        let points = &outline.rings[0].points;
        let size = |along: fn(&crate::geometry::Point) -> Length| {
            points.iter().map(along).max().unwrap_or_default() - points.iter().map(along).min().unwrap_or_default()
        };
        let across = size(|point| point.x) + size(|point| point.y);
        if step.is_positive() && across / step > MOST_STRIPS {
            let message = format!("strips of {width} across {across}: more than {MOST_STRIPS} may be needed");
            problems.push(Error::new(Code::TooManyStrips, format!("/roofs/{i}"), message));
        }
    }
    problems
}

/// Lays out the mat of all roofs of a job and cuts it from common rolls: in each width on offer, of which the cheapest is taken,
/// or where a price is missing, the one whose rolls have the least area. `outlines` are the job's roofs, analysed, and
/// `trims` what [`trim::set_out`](crate::trim::set_out) says of them. The job must have passed
/// [`Job::check`](crate::Job::check).
///
/// Each strip is cut from its share of the points: O(n log n) for n points and strips that do not grow with them. Comparing
/// directions, places and zones takes a bounded number of steps.
///
/// # Errors
/// What [`check`] finds: [`Code::BadMat`], [`Code::TooManyStrips`] and the problems of the system.
///
/// ```
/// use upstand::roof::Outline;
/// use upstand::{Code, Job, Length, mat, trim};
///
/// let mut job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// let outlines = [Outline::new(&job.roofs[0], &job.system.limits, "/roofs/0")?];
/// let trims = trim::set_out(&job, &outlines)?.roofs;
/// let laid = mat::lay_out(&job, &outlines, &trims)?;
/// // Strips of 1 m, lapped by 50 mm, over a little less than 4 m.
/// assert_eq!(laid.roofs[0].strips.len(), 4);
///
/// job.system.mat.lap = job.system.mat.width;
/// assert_eq!(mat::lay_out(&job, &outlines, &trims).unwrap_err().code(), Code::BadMat);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn lay_out(job: &Job, outlines: &[Outline], trims: &[RoofTrims]) -> Result<LaidOut, Error> {
    Error::from_problems(check(job, outlines))?;
    let offered = &job.system.mat;
    if offered.rolls().all(|roll| roll.width == offered.width) {
        return Ok(lay_in(job, &job.system, outlines, trims)?.0);
    }
    let mut widths: Vec<Length> = Vec::new();
    for roll in offered.rolls() {
        if !widths.contains(&roll.width) {
            widths.push(roll.width);
        }
    }
    let priced = offered.rolls().all(|roll| roll.price.is_some());
    let mut best: Option<(u128, LaidOut)> = None;
    let mut said = Vec::new();
    for width in widths {
        let Some(mat) = offered.in_width(width) else { continue };
        let system = System { mat, ..job.system.clone() };
        let (out, rolls) = lay_in(job, &system, outlines, trims)?;
        let cost = cost(&rolls, priced);
        said.push((width, rolls));
        if best.as_ref().is_none_or(|best| cost < best.0) {
            best = Some((cost, out));
        }
    }
    let Some((_, mut out)) = best else { return Ok(LaidOut::default()) };
    out.findings.push(width_chosen(&out.mat, &said, priced));
    Ok(out)
}

/// Lays out all roofs in one width, that of the system given.
fn lay_in(
    job: &Job,
    system: &System,
    outlines: &[Outline],
    trims: &[RoofTrims],
) -> Result<(LaidOut, Vec<MatRoll>), Error> {
    let mut out = LaidOut { mat: system.mat.clone(), ..LaidOut::default() };
    let mut layouts = Vec::new();
    for (i, (outline, trims)) in outlines.iter().zip(trims).enumerate() {
        let penetrations = job.roofs.get(i).map_or_else(Vec::new, Roof::penetrations);
        let (roof, mut layout) = lay(system, outline, &penetrations, trims)?;
        if roof.strips.is_empty() {
            out.findings.push(no_deck(i));
        }
        out.findings.extend(layout.findings(i));
        out.roofs.push(roof);
        layout.penetrations = penetrations;
        layouts.push(layout);
    }
    let (rolls, in_line) = cut_from_rolls(system, &mut out.roofs, &layouts)?;
    out.findings.extend(in_line.into_iter().map(|roof| end_laps_in_line(system, roof)));
    for (i, (roof, layout)) in out.roofs.iter_mut().zip(&layouts).enumerate() {
        join_pieces(system, roof, layout)?;
        out.findings.extend(laps_near(system, i, roof, &layout.penetrations));
        let squares = from_offcuts(system, roof.strips.iter().flat_map(|strip| &strip.pieces));
        roof.patches_from_offcuts = squares.min(roof.patch_count());
    }
    tape::cut(system, &mut out.roofs);
    for (roof, trims) in out.roofs.iter_mut().zip(trims) {
        roof.areas = roof.layer_areas(system, trims);
    }
    let useful = job.preferences.least_useful;
    out.cut_lists.extend(mat_list(&rolls, &out.roofs, useful));
    out.cut_lists.extend(tape_list(system, &out.roofs, useful));
    Ok((out, rolls))
}

fn width_chosen(chosen: &Mat, tried: &[(Length, Vec<MatRoll>)], priced: bool) -> Finding {
    let one = |(width, rolls): &(Length, Vec<MatRoll>)| {
        let count = if rolls.len() == 1 { "1 roll".to_string() } else { format!("{} rolls", rolls.len()) };
        if priced {
            let sum =
                rolls.iter().filter_map(|roll| roll.price).try_fold(Money::ZERO, Money::plus).unwrap_or(Money::ZERO);
            format!("{count} of {width} for {sum}")
        } else {
            format!("{count} of {width}, {:.1} m2", cost(rolls, false) as f64 / 1e12)
        }
    };
    let all: Vec<String> = tried.iter().map(one).collect();
    Finding {
        grade: Grade::Note,
        code: "mat_width_chosen".into(),
        place: "/system/mat".into(),
        value: Some(chosen.width.m()),
        limit: None,
        unit: Some("m".into()),
        basis: "all widths on offer laid out and compared".into(),
        text: format!("The mat is laid in rolls of {}. Compared: {}.", chosen.width, all.join("; ")),
    }
}

fn no_deck(roof: usize) -> Finding {
    Finding {
        grade: Grade::Note,
        code: "no_bare_deck".into(),
        place: format!("/roofs/{roof}/outer"),
        value: None,
        limit: None,
        unit: None,
        basis: "the deck flanges of the trims".into(),
        text: "The trims' flanges cover the whole roof: there is no seam to tape and no mat to lay. See that they fit."
            .into(),
    }
}

fn end_laps_in_line(system: &System, roof: usize) -> Finding {
    Finding {
        grade: Grade::Note,
        code: "end_laps_in_line".into(),
        place: format!("/roofs/{roof}/outer"),
        value: None,
        limit: None,
        unit: None,
        basis: "the system's distance of end laps".into(),
        text: format!(
            "End laps of neighbouring strips lie nearer to one another than {}. Stagger them by hand.",
            system.mat.stagger
        ),
    }
}

/// How one roof is laid, beside what its plan says.
#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    pub(super) zones: Vec<LaidZone>,
    pub(super) zone_laps: Vec<ZoneLap>,
    /// Zone and row of each strip.
    pub(super) strips: Vec<(usize, usize)>,
    /// What pierces the deck.
    pub(super) penetrations: Vec<Penetration>,
    /// How it compares with one zone, where zones were allowed and the deck could be split.
    compared: Option<Compared>,
}

/// What came of comparing splits into zones.
#[derive(Clone, Copy, Debug)]
struct Compared {
    /// How many were looked into.
    splits: usize,
    /// Length off the roll as one zone, and in the zones chosen.
    one: Length,
    several: Length,
}

/// The rows of one zone.
#[derive(Clone, Debug)]
pub(super) struct LaidZone {
    pub(super) parts: Vec<Polygon>,
    pub(super) axis: Axis,
    pub(super) rows: Vec<Row>,
    /// For each row but the last, whether the next laps over it (or it over the next).
    pub(super) next_over: Vec<bool>,
    /// Whether water runs along the strips, so that where two pieces join, the one that begins before lies over the other.
    pub(super) falls_along: bool,
}

impl Layout {
    fn findings(&self, roof: usize) -> Vec<Finding> {
        self.compared.map(|compared| self.zones_chosen(compared, roof)).into_iter().collect()
    }

    /// Which split was chosen, and what it saves.
    fn zones_chosen(&self, Compared { splits, one, several }: Compared, roof: usize) -> Finding {
        let splits = if splits == 1 { "1 split".to_string() } else { format!("{splits} splits") };
        let text = if self.zones.len() > 1 {
            let mut lines: Vec<[Point; 2]> = Vec::new();
            for lap in &self.zone_laps {
                if !lines.contains(&[lap.from, lap.to]) {
                    lines.push([lap.from, lap.to]);
                }
            }
            let at = |point: Point| format!("({:.0}, {:.0})", point.x.mm(), point.y.mm());
            let lines: Vec<String> = lines.iter().map(|&[from, to]| format!("{} to {}", at(from), at(to))).collect();
            format!(
                "Laid in {} zones, parted along the line{} from {} (in mm), the mat takes {several} off the roll, {} less than in \
                 one zone. Compared: {splits}.",
                self.zones.len(),
                if lines.len() > 1 { "s" } else { "" },
                lines.join(", from "),
                one - several,
            )
        } else {
            format!("Laid in one zone, the mat takes {one} off the roll. Compared: {splits}, of which none takes less.")
        };
        Finding {
            grade: Grade::Note,
            code: if self.zones.len() > 1 { "mat_in_zones" } else { "mat_in_one_zone" }.into(),
            place: format!("/roofs/{roof}/outer"),
            value: Some(several.m()),
            limit: Some(one.m()),
            unit: Some("m".into()),
            basis: "length of mat off the roll, splits along inner corners compared".into(),
            text,
        }
    }
}

/// One roof, all of its pieces as if from an endless roll.
fn lay(
    system: &System,
    outline: &Outline,
    penetrations: &[Penetration],
    trims: &RoofTrims,
) -> Result<(RoofMat, Layout), Error> {
    let seam_zone = seam_zone(system, outline)?;
    let mat_zone = mat_zone(system, outline, &seam_zone)?;
    let seams: Vec<Seam> = seam_zone
        .iter()
        .flat_map(Polygon::rings)
        .map(|ring| Seam { points: ring.points().to_vec(), length: ring.perimeter() })
        .collect();
    let deck_area: f64 = seam_zone.iter().map(Polygon::area_m2).sum();
    let mut roof = RoofMat {
        tape: seams.iter().map(|seam| seam.length).sum(),
        seams,
        area_m2: deck_area,
        bare_deck_m2: deck_area,
        lap: system.mat.lap,
        patches: patches(system, outline, trims),
        collars: collars(system, penetrations),
        ..RoofMat::default()
    };
    roof.tape_pieces = tape::stretches(system, &roof, trims);
    let mut layout = Layout::default();
    if mat_zone.is_empty() {
        return Ok((roof, layout));
    }
    let site = Site {
        mat: &system.mat,
        increment: system.cutting_increment,
        outline,
        penetrations,
        patches: Squares { side: system.patch.side, count: roof.patch_count() },
    };
    let levels = Levels::of(outline);
    let fixed = site.fixed_axis()?;
    let whole = match fixed {
        Some(axis) => site.along(&mat_zone, axis, &mut Budget(MOST_VISITS)),
        None => site.best(&mat_zone, &mut Budget(MOST_VISITS)),
    };
    let zones = match system.mat.zones {
        ZoneChoice::One => vec![Zone { parts: mat_zone, scheme: whole }],
        ZoneChoice::Least => {
            let zones = split(&site, mat_zone, fixed, levels.as_ref(), whole);
            layout.zone_laps = zones.laps;
            let several = zones.zones.iter().map(|zone| zone.scheme.need.length).sum();
            layout.compared =
                (zones.compared > 0).then_some(Compared { splits: zones.compared, one: zones.one_zone, several });
            zones.zones
        }
    };
    roof.lap = zones[0].scheme.lap;
    roof.direction = zones[0].scheme.axis.way().unit();
    if zones.len() > 1 {
        let rings = |zone: &Zone| {
            zone.parts.iter().flat_map(Polygon::rings).map(|ring| ring.points().to_vec()).collect::<Vec<_>>()
        };
        let said = |zone: &Zone| MatZone {
            outline: rings(zone),
            direction: zone.scheme.axis.way().unit(),
            lap: zone.scheme.lap,
        };
        roof.zones = zones.iter().map(said).collect();
    }
    for (index, zone) in zones.into_iter().enumerate() {
        lay_zone(&site, zone, index, levels.as_ref(), &mut roof, &mut layout)?;
    }
    roof.laid_m2 = roof.strips.iter().flat_map(|strip| &strip.pieces).map(|piece| piece.area_m2).sum();
    Ok((roof, layout))
}

/// The strips of one zone, in the order of laying.
fn lay_zone(
    site: &Site<'_>,
    zone: Zone,
    index: usize,
    levels: Option<&Levels>,
    roof: &mut RoofMat,
    layout: &mut Layout,
) -> Result<(), Error> {
    let Zone { parts, scheme: Scheme { axis, rows, .. } } = zone;
    let deck = site.deck(&parts, axis);
    let next_over = next_over(site.outline, &deck, &rows, levels);
    let bands: Vec<(Length, Length)> = rows.iter().map(|row| (deck.left(row.low), deck.left(row.high))).collect();
    let mut cuts = Vec::with_capacity(rows.len());
    cut_bands(&parts, axis, &bands, &mut cuts)?;
    let mut strips: Vec<Option<Strip>> = rows
        .iter()
        .zip(cuts)
        .map(|(row, parts)| {
            let pieces = pieces(site, axis, row, parts);
            (!pieces.is_empty()).then_some(Strip { number: 0, zone: index, pieces })
        })
        .collect();
    for row in laying_order(&next_over, rows.len()) {
        if let Some(strip) = strips[row].take() {
            roof.strips.push(strip);
            layout.strips.push((index, row));
        }
    }
    let middle = deck.point((0.0, (deck.extent() / 2).um() as f64));
    let falls_along = levels.is_some_and(|levels| levels.rise(site.outline, middle, axis.way().unit()) < 0.0);
    layout.zones.push(LaidZone { parts, axis, rows, next_over, falls_along });
    Ok(())
}

/// For each row but the last, whether the next laps over it: where levels are known, the one that water comes from.
fn next_over(outline: &Outline, deck: &Deck, rows: &[Row], levels: Option<&Levels>) -> Vec<bool> {
    let Some(levels) = levels else { return vec![true; rows.len().saturating_sub(1)] };
    let middles: Vec<Length> = rows.windows(2).map(|pair| (pair[0].high + pair[1].low) / 2).collect();
    let up = deck.axis().way().unit();
    let up = (-up.1, up.0);
    let rises = deck.lines(&middles).zip(&middles).map(|(line, &level)| {
        let (sum, length) = line.iter().fold((0.0, 0.0), |(sum, length), &(from, to)| {
            let at = deck.point(((from + to) / 2.0, level.um() as f64));
            (sum + levels.rise(outline, at, up) * (to - from), length + to - from)
        });
        if length > 0.0 { sum / length } else { 0.0 }
    });
    rises.map(|rise| rise >= 0.0).collect()
}

/// Rows in an order in which no row is laid before one that it laps over, otherwise upward.
fn laying_order(next_over: &[bool], rows: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(rows);
    let mut at = 0;
    while at < rows {
        // Rows that lap over the next one come after it: a stretch of them is laid from its far end.
        let end = (at..rows).find(|&row| next_over.get(row).copied().unwrap_or(true)).unwrap_or(rows - 1);
        order.extend((at..=end).rev());
        at = end + 1;
    }
    order
}

/// From this many points on, bands are cut from halves of the deck, not from the whole.
const MANY_POINTS: usize = 64;

/// The parts of polygons in each of several bands along an axis, given in order by their distances to its left. The
/// polygons are halved until few points or a single band is left, so that each cut sees only what lies near it.
pub(super) fn cut_bands(
    zone: &[Polygon],
    axis: Axis,
    bands: &[(Length, Length)],
    found: &mut Vec<Vec<Polygon>>,
) -> Result<(), Error> {
    let cut = |zone: &[Polygon], low: Length, high: Length| -> Result<Vec<Polygon>, Error> {
        let slab = Slab { origin: axis.origin, ahead: axis.ahead, low, high };
        let mut parts = Vec::new();
        for polygon in zone {
            parts.extend(clip(polygon, &slab)?);
        }
        Ok(parts)
    };
    if bands.len() <= 1 || zone.iter().map(Polygon::len).sum::<usize>() < MANY_POINTS {
        for &(low, high) in bands {
            found.push(cut(zone, low, high)?);
        }
        return Ok(());
    }
    // The margin keeps these cuts clear of the edges of the bands.
    let margin = Length::from_mm(1);
    let (lower, upper) = bands.split_at(bands.len() / 2);
    for half in [lower, upper] {
        if let (Some(first), Some(last)) = (half.first(), half.last()) {
            let near = cut(zone, first.0 - margin, last.1 + margin)?;
            cut_bands(&near, axis, half, found)?;
        }
    }
    Ok(())
}

/// A part of the deck narrower than its row by this much is laid with a ripped piece.
const RIPPED: Length = Length::from_mm(100);

/// Width off the roll of a piece in a row.
pub(super) fn width_in(row: &Row, low: Length, high: Length) -> Length {
    let width = row.high - row.low;
    if high - low + RIPPED <= width { high - low } else { width }
}

/// The pieces of one strip: parts whose stretches along the strip lie close enough are one piece.
fn pieces(site: &Site<'_>, axis: Axis, row: &Row, parts: Vec<Polygon>) -> Vec<StripPiece> {
    let around = |part: &Polygon| {
        let [along, across] = box_of(std::iter::once(part), axis).unwrap_or_default();
        Stretch { from: along.0, to: along.1, low: across.0, high: across.1 }
    };
    let mut parts: Vec<(Stretch, Polygon)> = parts.into_iter().map(|part| (around(&part), part)).collect();
    parts.sort_by(|a, b| {
        (a.0.from, a.0.to).cmp(&(b.0.from, b.0.to)).then_with(|| a.1.outer.points().cmp(b.1.outer.points()))
    });
    let all = gather(parts.iter().map(|(stretch, _)| *stretch), site.mat.most_cut_out);
    let mut parts = parts.into_iter().peekable();
    all.into_iter()
        .map(|all| {
            let mut own = Vec::new();
            while let Some((_, part)) = parts.next_if(|(stretch, _)| stretch.to <= all.to) {
                own.push(part);
            }
            piece(site.increment, site.mat.width.min(width_in(row, all.low, all.high)), all.to - all.from, own.iter())
        })
        .collect()
}

/// One piece of the parts given.
pub(super) fn piece<'a>(
    increment: Length,
    width: Length,
    length: Length,
    parts: impl Iterator<Item = &'a Polygon> + Clone,
) -> StripPiece {
    // Corners are rounded to the micrometre, which must not cost a whole step of the cutting increment.
    let exact = length - Length::from_um(1);
    StripPiece {
        length: exact.round_up(increment),
        width,
        roll: 1,
        outline: parts.clone().flat_map(Polygon::rings).map(|ring: &Ring| ring.points().to_vec()).collect(),
        area_m2: parts.map(Polygon::area_m2).sum(),
        ..StripPiece::default()
    }
}
