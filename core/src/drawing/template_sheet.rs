//! Full-size templates of ends that are mitred, notched or returned, to lay on the trim and mark through.
//!
//! A template shows the outer surface of a trim unfolded, its run's direction up the sheet and its outer side to the
//! right, as the trim lies before the person who marks it. What is wider or longer than a sheet goes on several, which
//! overlap and are joined by crosses.

use super::at::At;
use super::hatch;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Layer, Lettering, Line, Pen, Sheet, Stroke};
use super::paper::{self, FINE, Paper, STRIP_HEIGHT, THIN, Title};
use super::plan_sheet::fixed;
use crate::length::Length;
use crate::plan::Plan;
use crate::roof::Kind;
use crate::system::{EndCut, Leg};
use crate::trim::{EndTemplate, FacetCut, RunEnd};

/// Height of the panel above the template.
const PANEL: f64 = 34.0;
/// Trim shown beyond the short point, and waste beyond the long one.
const BODY: f64 = 15.0;
const WASTE: f64 = 5.0;
/// How far inside the body the arrow to the front lies.
const ARROW: f64 = 8.0;
/// How much neighbouring sheets show of each other.
const OVERLAP: f64 = 10.0;
/// Templates on more sheets than this are not drawn: their numbers are easier to mark by.
const MOST_TILES: f64 = 40.0;
/// Most templates that are drawn.
const MOST_TEMPLATES: usize = 200;

const MARK: Stroke = Stroke::new(Pen::Heavy, Ink::BLACK);
const EDGE: Stroke = Stroke::new(Pen::Medium, Ink::BLACK);
const FOLD: Stroke = Stroke::new(Pen::Thin, Ink::BLACK).dashed(Dash::Dashed);
const CORNER: Stroke = Stroke::new(Pen::Fine, Ink::BLACK).dashed(Dash::Chain);
const WASTE_HATCH: Stroke = Stroke::new(Pen::Fine, Ink::GREY);

/// The sheets of all templates of a plan.
pub(super) fn sheets(plan: &Plan, paper: Paper) -> Vec<Sheet> {
    (0..plan.templates.len().min(MOST_TEMPLATES)).flat_map(|index| template_sheets(plan, index, paper)).collect()
}

/// What is drawn of one template, in millimetres of the trim: girth to the right, direction of the run up.
struct Drawn {
    lines: Vec<(Stroke, Line)>,
    /// Names of the facets.
    labels: Vec<(At, String)>,
    /// Where the arrow to the front is named.
    front: At,
    mark: Vec<At>,
    /// The direction beyond the corner: 1 up the sheet, -1 down.
    up: f64,
    low: At,
    high: At,
}

impl Drawn {
    fn new(template: &EndTemplate) -> Self {
        // At a run's start, beyond the corner is down the sheet.
        let up = if template.end == RunEnd::End { 1.0 } else { -1.0 };
        let mark: Vec<At> =
            template.development.mark.iter().map(|&(girth, along)| At::new(girth.mm(), along.mm() * up)).collect();
        let notches: Vec<Vec<At>> = template
            .notches
            .iter()
            .map(|notch| notch.outline.iter().map(|&(girth, along)| At::new(girth.mm(), along.mm() * up)).collect())
            .collect();
        let levels = || mark.iter().chain(notches.iter().flatten()).map(|at| at.y * up);
        let (short, long) = (levels().fold(f64::INFINITY, f64::min), levels().fold(f64::NEG_INFINITY, f64::max));
        let (body, waste) = ((short - BODY) * up, (long + WASTE) * up);
        let girth = mark.last().map_or(0.0, |at| at.x);
        let mut lines = Vec::new();
        let mut waste_area = mark.clone();
        waste_area.extend([At::new(girth, waste), At::new(0.0, waste)]);
        lines.extend(hatch::lines(&[Line::closed(waste_area)], 4.0).into_iter().map(|line| (WASTE_HATCH, line)));
        for (i, at) in mark.iter().enumerate() {
            let stroke = if i == 0 || i + 1 == mark.len() { EDGE } else { FOLD };
            lines.push((stroke, Line::open([At::new(at.x, body), *at])));
        }
        if body.min(waste) < 0.0 && body.max(waste) > 0.0 {
            lines.push((CORNER, Line::open([At::new(0.0, 0.0), At::new(girth, 0.0)])));
        }
        for notch in &notches {
            let waste = hatch::lines(&[Line::closed(notch.clone())], 4.0);
            lines.extend(waste.into_iter().map(|line| (WASTE_HATCH, line)));
        }
        if let Some(fold) = template.fold {
            let fold = fold.mm() * up;
            lines.push((FOLD, Line::open([At::new(0.0, fold), At::new(girth, fold)])));
        }
        lines.extend(cuts(&mark, &notches).into_iter().map(|cut| (MARK, Line::open(cut))));
        // In the middle of the widest facet, clear of folds, if it is wide enough.
        let widest = mark.windows(2).max_by(|a, b| (a[1].x - a[0].x).total_cmp(&(b[1].x - b[0].x)));
        let roomy = widest.filter(|pair| pair[1].x - pair[0].x > 36.0);
        let arrow = At::new(roomy.map_or(girth / 2.0, |pair| (pair[0].x + pair[1].x) / 2.0), body + ARROW * up);
        let tip = arrow + At::new(12.0, 0.0);
        lines.push((EDGE, Line::open([arrow - At::new(12.0, 0.0), tip])));
        lines.push((EDGE, Line::open([tip + At::new(-3.0, 1.5), tip, tip + At::new(-3.0, -1.5)])));
        let numbered = mark.windows(2).enumerate().map(|(i, pair)| {
            let middle = (pair[0].x + pair[1].x) / 2.0;
            let name = template.development.facets.get(i).map_or("", |cut| leg(cut.leg));
            // A name has room only on a wide facet; the panel names every number.
            let wide = pair[1].x - pair[0].x > lettering::width(name, Lettering::Small, false) + 8.0;
            let text = if wide { format!("{} {name}", i + 1) } else { format!("{}", i + 1) };
            (At::new(middle, body + if up > 0.0 { 2.0 } else { -4.5 }), text)
        });
        let front = arrow + At::new(-12.0, if up > 0.0 { 1.5 } else { -4.0 });
        let labels = numbered.collect();
        let (low, high) = (At::new(0.0, body.min(waste)), At::new(girth, body.max(waste)));
        Drawn { lines, labels, front, mark, up, low, high }
    }

    /// Whether a point lies on the trim, clear of the mark by the height of a letter.
    fn is_body(&self, at: At) -> bool {
        mark_at(&self.mark, at.x).is_some_and(|mark| (mark - at.y) * self.up > 4.0)
    }
}

/// How far beyond the corner a mark runs at a girth.
fn mark_at(mark: &[At], x: f64) -> Option<f64> {
    let pair = mark.windows(2).find(|pair| pair[0].x <= x && x <= pair[1].x)?;
    Some(pair[0].y + (pair[1].y - pair[0].y) * ((x - pair[0].x) / (pair[1].x - pair[0].x).max(1e-9)))
}

/// What is cut: the mark and the sides of notches, but for what has waste on both sides or lies along an edge of the flat.
fn cuts(mark: &[At], notches: &[Vec<At>]) -> Vec<[At; 2]> {
    let same = |a: f64, b: f64| (a - b).abs() < 2e-3;
    let ends = [mark.first(), mark.last()].map(|at| at.map_or(0.0, |at| at.x));
    let on_mark = |at: &At| mark_at(mark, at.x).is_some_and(|y| same(y, at.y));
    let sides = notches.iter().flat_map(|notch| notch.iter().zip(notch.iter().cycle().skip(1)));
    let (mut cuts, mut along_mark, mut folds) = (Vec::new(), Vec::new(), Vec::new());
    for (&a, &b) in sides.filter(|(a, b)| !same(a.x, b.x) || !same(a.y, b.y)) {
        if same(a.x, b.x) {
            folds.push((a.x, a.y.min(b.y), a.y.max(b.y)));
        } else if on_mark(&a) && on_mark(&b) {
            along_mark.push((a.x.min(b.x), a.x.max(b.x)));
        } else {
            cuts.push([a, b]);
        }
    }
    // Across a fold, what only one of two neighbouring notches takes away is a cut.
    let mut stations: Vec<f64> = folds.iter().map(|fold| fold.0).collect();
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|a, b| same(*a, *b));
    for x in stations.into_iter().filter(|x| !ends.iter().any(|end| same(*end, *x))) {
        let here = || folds.iter().filter(|fold| same(fold.0, x));
        let mut heights: Vec<f64> = here().flat_map(|fold| [fold.1, fold.2]).collect();
        heights.sort_by(f64::total_cmp);
        for pair in heights.windows(2).filter(|pair| !same(pair[0], pair[1])) {
            let middle = (pair[0] + pair[1]) / 2.0;
            if here().filter(|fold| fold.1 < middle && middle < fold.2).count() % 2 == 1 {
                cuts.push([At::new(x, pair[0]), At::new(x, pair[1])]);
            }
        }
    }
    for pair in mark.windows(2) {
        let mut from = pair[0].x;
        along_mark.sort_by(|a, b| a.0.total_cmp(&b.0));
        let gone = along_mark.iter().filter(|gone| gone.0 < pair[1].x && gone.1 > pair[0].x).copied();
        for (start, end) in gone.chain([(pair[1].x, pair[1].x)]) {
            let to = start.min(pair[1].x);
            if to - from > 2e-3 || (from, to) == (pair[0].x, pair[1].x) {
                let y = |x: f64| if same(x, pair[0].x) { pair[0].y } else { mark_at(mark, x).unwrap_or(pair[1].y) };
                cuts.push([At::new(from, y(from)), if same(to, pair[1].x) { pair[1] } else { At::new(to, y(to)) }]);
            }
            from = from.max(end);
        }
    }
    cuts
}

fn template_sheets(plan: &Plan, index: usize, size: Paper) -> Vec<Sheet> {
    let template = &plan.templates[index];
    let drawn = Drawn::new(template);
    let (low, high) = paper::field(size);
    let window = At::new(high.x - low.x - 4.0, high.y - low.y - STRIP_HEIGHT - PANEL - 4.0);
    let extent = drawn.high - drawn.low;
    let tiles = |size: f64, room: f64| if size <= room { 1.0 } else { ((size - OVERLAP) / (room - OVERLAP)).ceil() };
    let (across, down) = (tiles(extent.x, window.x), tiles(extent.y, window.y));
    // NaN and infinities of hand-made plans are caught here too.
    let drawable = across * down <= MOST_TILES;
    let (across, down) = if drawable { (across as usize, down as usize) } else { (1, 1) };
    let mut sheets = Vec::new();
    for (row, column) in (0..down).flat_map(|row| (0..across).map(move |column| (row, column))) {
        let mut layer = Layer::new("template");
        panel(&mut layer, template, At::new(low.x + 3.0, high.y));
        let corner = low + At::new(2.0, STRIP_HEIGHT + 2.0);
        if drawable {
            let step = window - At::new(OVERLAP, OVERLAP);
            let from = drawn.low + At::new(step.x * column as f64, step.y * row as f64);
            let tile = Tile { from, to: from + window, corner };
            tile.draw(&mut layer, &drawn);
            tile.crosses(&mut layer, &drawn, (column, across), (row, down));
        } else {
            let text = "too long to print: mark the numbers above with a tape";
            layer.text(corner + At::new(5.0, window.y / 2.0), Anchor::Start, Lettering::Normal, text);
        }
        let part = match across * down {
            0 | 1 => String::new(),
            count => format!(", sheet {} of {count}", row * across + column + 1),
        };
        sheets.push(sheet(plan, &format!("template {} of {}{part}", index + 1, plan.templates.len()), layer, size));
    }
    sheets
}

/// The part of a template that is on one sheet.
struct Tile {
    from: At,
    to: At,
    /// Where `from` lies on the sheet.
    corner: At,
}

impl Tile {
    fn on_sheet(&self, at: At) -> At {
        at - self.from + self.corner
    }

    fn draw(&self, layer: &mut Layer, drawn: &Drawn) {
        for (stroke, line) in &drawn.lines {
            let parts: Vec<Line> = line
                .points
                .windows(2)
                .filter_map(|pair| clip(pair[0], pair[1], self.from, self.to))
                .map(|(a, b)| Line::open([self.on_sheet(a), self.on_sheet(b)]))
                .collect();
            if !parts.is_empty() {
                layer.stroke(*stroke, parts);
            }
        }
        let shows = |at: At| at.x > self.from.x && at.x < self.to.x && at.y > self.from.y && at.y + 3.0 < self.to.y;
        if shows(drawn.front) {
            layer.text(self.on_sheet(drawn.front), Anchor::Middle, Lettering::Small, "front");
        }
        for (at, text) in &drawn.labels {
            // On sheets further along, what a facet is stands clear of the crosses at the foot.
            let here = if shows(*at) { *at } else { At::new(at.x, self.from.y + 10.0) };
            if shows(*at) || shows(here) && drawn.is_body(here) {
                layer.text(self.on_sheet(here), Anchor::Middle, Lettering::Small, text.as_str());
            }
        }
    }

    /// Crosses in the middle of what two sheets both show: laid on one another they join the sheets.
    fn crosses(&self, layer: &mut Layer, drawn: &Drawn, (column, across): (usize, usize), (row, down): (usize, usize)) {
        let size = self.to - self.from;
        let half = OVERLAP / 2.0;
        let mut cross = |x: f64, y: f64, label: String| {
            let at = self.corner + At::new(x, y);
            let arms = [At::new(3.0, 0.0), At::new(0.0, 3.0)].map(|arm| Line::open([at - arm, at + arm]));
            layer.stroke(FINE, arms);
            layer.text(at + At::new(1.0, 1.0), Anchor::Start, Lettering::Note, label);
        };
        for y in [size.y / 4.0, size.y * 3.0 / 4.0] {
            if column > 0 {
                cross(half, y, format!("{}-{}", column, row + 1));
            }
            if column + 1 < across {
                cross(size.x - half, y, format!("{}-{}", column + 1, row + 1));
            }
        }
        // Where nothing upright runs through a cross or its label: at the same place on both sheets.
        let upright = |pair: &&[At]| (pair[0].x - pair[1].x).abs() < (pair[0].y - pair[1].y).abs();
        let lines = drawn.lines.iter().filter(|(stroke, _)| *stroke != WASTE_HATCH);
        let upright: Vec<&[At]> = lines.flat_map(|(_, line)| line.points.windows(2)).filter(upright).collect();
        let is_clear = |x: f64, y: f64| {
            let at = self.from + At::new(x, y);
            upright.iter().all(|p| clip(p[0], p[1], at - At::new(4.0, 4.0), at + At::new(7.0, 4.0)).is_none())
        };
        let clear =
            |x: f64, y: f64| (0..8).map(|step| x - 4.0 * f64::from(step)).find(|x| is_clear(*x, y)).unwrap_or(x);
        for x in [size.x / 4.0, size.x * 3.0 / 4.0] {
            if row > 0 {
                cross(clear(x, half), half, format!("{}/{}", row, column + 1));
            }
            if row + 1 < down {
                cross(clear(x, size.y - half), size.y - half, format!("{}/{}", row + 1, column + 1));
            }
        }
    }
}

/// The part of a segment inside a rectangle (Liang and Barsky, 1984).
fn clip(a: At, b: At, low: At, high: At) -> Option<(At, At)> {
    let along = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (direction, room) in
        [(-along.x, a.x - low.x), (along.x, high.x - a.x), (-along.y, a.y - low.y), (along.y, high.y - a.y)]
    {
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
    (enter <= leave).then(|| (a + along * enter, a + along * leave))
}

fn name(template: &EndTemplate) -> String {
    let kind = match template.kind {
        Kind::Drip => "drip trim",
        Kind::Abutment => "wall trim",
        Kind::OpenSide => "raised trim",
    };
    let end = if template.end == RunEnd::Start { "start" } else { "end" };
    let cut = match template.cut {
        EndCut::Mitre => "mitred",
        EndCut::Square => "square",
        EndCut::Lap => "lapped",
        EndCut::Return => "returned",
        EndCut::Skew => "on the skew",
    };
    let notched = if template.notches.is_empty() { "" } else { " and notched" };
    format!("{kind}, {end}, {cut}{notched}, corner of {}°", fixed(template.interior_deg, 1))
}

fn leg(leg: Leg) -> &'static str {
    match leg {
        Leg::Edge => "edge",
        Leg::DeckFlange => "deck flange",
        Leg::Rise => "rise",
        Leg::Face => "face",
        Leg::Return => "return",
    }
}

/// What the template is, how to print it, and its numbers; `corner` is the upper left.
fn panel(layer: &mut Layer, template: &EndTemplate, corner: At) {
    let at = |x: f64, y: f64| corner + At::new(x, -y);
    let row = |text: &str, most: f64| lettering::shortened(text, Lettering::Small, false, most);
    let title = lettering::shortened(&name(template), Lettering::Normal, true, 156.0);
    layer.bold(at(0.0, 6.0), Anchor::Start, Lettering::Normal, title);
    let runs = format!("for {}", template.runs.join(", "));
    layer.text(at(0.0, 11.0), Anchor::Start, Lettering::Small, row(&runs, 150.0));
    let most = if template.development.facets.len() > 5 { 77.0 } else { 155.0 };
    for (i, cut) in template.development.facets.iter().enumerate().take(10) {
        let (x, y) = (78.0 * (i / 5) as f64, 15.5 + 3.6 * (i % 5) as f64);
        layer.text(at(x, y), Anchor::Start, Lettering::Small, row(&facet(i + 1, cut), most));
    }
    let bar = at(160.0, 10.0);
    layer.stroke(THIN, [Line::open([bar, bar + At::new(100.0, 0.0)])]);
    let ticks = (0..=10).map(|i| {
        let tick = bar + At::new(10.0 * f64::from(i), 0.0);
        Line::open([tick, tick + At::new(0.0, if i % 5 == 0 { 3.0 } else { 1.5 })])
    });
    layer.stroke(FINE, ticks.collect::<Vec<_>>());
    layer.text(
        bar + At::new(0.0, 4.2),
        Anchor::Start,
        Lettering::Small,
        "check: this line is 100 mm; print without scaling",
    );
    let text = numbers(template);
    for (i, line) in lettering::wrapped(&text, Lettering::Small, 100.0, 5).into_iter().enumerate() {
        layer.text(at(160.0, 15.5 + 3.6 * i as f64), Anchor::Start, Lettering::Small, line);
    }
}

/// What to mark with a tape: girth / beyond the corner. Each pair holds together where lines are wrapped.
fn numbers(template: &EndTemplate) -> String {
    let pair = |&(girth, along): &(Length, Length)| format!("{}/{}", fixed(girth.mm(), 1), fixed(along.mm(), 1));
    let mark = &template.development.mark;
    let square = mark.windows(2).all(|points| points[0].1 == points[1].1);
    let mut text = match mark.first() {
        Some(first) if square => format!("girth/beyond the corner, mm; square at {}", fixed(first.1.mm(), 1)),
        _ => format!("girth/beyond the corner, mm: {}", mark.iter().map(pair).collect::<Vec<_>>().join(" ")),
    };
    for notch in &template.notches {
        let corners: Vec<String> = notch.outline.iter().map(pair).collect();
        text += &format!("; notch in {}: {}", notch.facet + 1, corners.join(" "));
    }
    text
}

fn facet(number: usize, cut: &FacetCut) -> String {
    let (width, mitre, bevel) = (fixed(cut.width.mm(), 1), fixed(cut.mitre_deg, 1), fixed(cut.bevel_deg, 1));
    format!("{number} {} {width} mm, mitre {mitre}°, bevel {bevel}°", leg(cut.leg))
}

fn sheet(plan: &Plan, name: &str, layer: Layer, size: Paper) -> Sheet {
    let job = plan.name.as_deref().unwrap_or("roof");
    let mut frame = Layer::new("frame");
    paper::border(&mut frame, size);
    let lines = vec![
        "outer surface, run's direction up the sheet; dashed: folds; chain: corner; heavy: mark; hatched: waste"
            .to_string(),
    ];
    paper::title_strip(&mut frame, &Title { job, sheet: name, lines, paper: size });
    Sheet { title: format!("{job}: {name}"), width: size.width(), height: size.height(), layers: vec![layer, frame] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::model::Item;
    use crate::{Job, plan};

    fn planned(points: &str) -> Plan {
        let text = format!(
            r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": {points},
            "kinds": ["drip", "drip", "drip"]}}}}]}}"#
        );
        plan(&Job::from_json(&text).expect("a job")).expect("a sound roof")
    }

    fn heavy(sheet: &Sheet) -> Vec<Line> {
        let items = sheet.layers.iter().flat_map(|layer| &layer.items);
        items
            .filter_map(|item| match item {
                Item::Path { lines, stroke: Some(stroke), .. } if stroke.pen == Pen::Heavy => Some(lines.clone()),
                _ => None,
            })
            .flatten()
            .collect()
    }

    #[test]
    fn templates_are_full_size() {
        // A right-angled triangle: at the square corner the flange's mark rises by 112 mm over 112 mm of girth.
        let plan = planned("[[0, 0], [4000, 0], [0, 4000]]");
        let index = plan
            .templates
            .iter()
            .position(|template| template.end == RunEnd::End && (template.interior_deg - 90.0).abs() < 1e-6)
            .expect("a square corner");
        let sheets = template_sheets(&plan, index, Paper::A4);
        assert_eq!(sheets.len(), 1);
        let mark = heavy(&sheets[0]);
        let first = mark[0].points[1] - mark[0].points[0];
        assert!((first.x - 112.0).abs() < 1e-9 && (first.y - 112.0).abs() < 1e-9, "{first:?}");
    }

    #[test]
    fn a_sharp_corner_goes_over_several_sheets_that_overlap() {
        let plan = planned("[[0, 0], [8000, 0], [0, 2500]]");
        let is_sharp = |template: &EndTemplate| template.interior_deg < 20.0 && template.end == RunEnd::End;
        let index = plan.templates.iter().position(is_sharp).expect("a sharp corner");
        let sharp = &plan.templates[index];
        let sheets = template_sheets(&plan, index, Paper::A4);
        assert!(sheets.len() > 2, "{}", sheets.len());
        // What all sheets show of the flange's mark is its length and the overlaps.
        let shown: f64 = sheets
            .iter()
            .flat_map(heavy)
            .map(|line| line.points[1] - line.points[0])
            .filter(|part| part.x > 1e-6)
            .map(|part| part.x)
            .sum();
        // Sheets overlap where the mark crosses from one to the next.
        let girth = sharp.development.mark.last().expect("points").0.mm();
        assert!(shown > girth - 58.0 - 1e-6 && shown < girth + OVERLAP * sheets.len() as f64, "{shown} of {girth}");
    }

    #[test]
    fn every_cut_has_waste_on_one_side_and_trim_on_the_other() {
        let text = r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
            "points": [[0, 0], [6000, 300], [7000, 4000], [3000, 4100], [2800, 2500], [0, 4000]],
            "kinds": ["drip", "open_side", "abutment", "open_side", "abutment", "open_side"]}}]}"#;
        let mut job = Job::from_json(text).expect("a job");
        let ends = [EndCut::Return, EndCut::Square].map(|cut| crate::system::EndRule {
            cut,
            gain: Length::from_mm(if cut == EndCut::Return { 100 } else { -100 }),
            ..crate::system::EndRule::mitre()
        });
        let choice = crate::roof::CornerChoice { point: 0, ends: ends.into(), patches: None };
        job.roofs[0].outer.corners.push(choice);
        let plan = plan(&job).expect("a sound roof");
        let (mut notched, mut seen) = (0, 0);
        for template in &plan.templates {
            let at = |&(girth, along): &(Length, Length)| At::new(girth.mm(), along.mm());
            let mark: Vec<At> = template.development.mark.iter().map(at).collect();
            let notches: Vec<Vec<At>> =
                template.notches.iter().map(|notch| notch.outline.iter().map(at).collect()).collect();
            // Even-odd rule.
            let within = |outline: &[At], p: At| {
                let crossings = outline
                    .iter()
                    .zip(outline.iter().cycle().skip(1))
                    .filter(|(a, b)| (a.x > p.x) != (b.x > p.x) && p.y < (b.y - a.y) * (p.x - a.x) / (b.x - a.x) + a.y);
                crossings.count() % 2 == 1
            };
            let beyond = |p: At| {
                let pair = mark.windows(2).find(|pair| pair[0].x <= p.x && p.x <= pair[1].x).expect("on the flat");
                p.y > pair[0].y + (pair[1].y - pair[0].y) * (p.x - pair[0].x) / (pair[1].x - pair[0].x)
            };
            let is_waste = |p: At| beyond(p) || notches.iter().any(|notch| within(notch, p));
            for [a, b] in cuts(&mark, &notches) {
                if (b - a).norm() < 0.1 {
                    continue;
                }
                let (middle, off) = ((a + b) * 0.5, (b - a).unit().left() * 0.02);
                assert!(is_waste(middle + off) != is_waste(middle - off), "{a:?} {b:?} of {template:?}");
                seen += 1;
            }
            notched += usize::from(!notches.is_empty());
        }
        assert!(notched > 2 && seen > 20 && plan.templates.iter().any(|template| template.fold.is_some()));
    }

    #[test]
    fn no_plan_is_too_odd_to_draw() {
        let mut plan = planned("[[0, 0], [4000, 0], [0, 4000]]");
        for template in &mut plan.templates {
            template.interior_deg = f64::NAN;
            template.development.mark = vec![(crate::Length::LIMIT, crate::Length::LIMIT)];
        }
        assert!(!sheets(&plan, Paper::A4).is_empty());
        plan.templates[0].development.mark.clear();
        plan.templates[0].development.facets.clear();
        assert!(!sheets(&plan, Paper::A4).is_empty());
    }

    #[test]
    fn segments_are_clipped_to_rectangles() {
        let (low, high) = (At::new(0.0, 0.0), At::new(10.0, 5.0));
        let cut = |a: (f64, f64), b: (f64, f64)| clip(At::new(a.0, a.1), At::new(b.0, b.1), low, high);
        assert_eq!(cut((-5.0, 2.0), (20.0, 2.0)), Some((At::new(0.0, 2.0), At::new(10.0, 2.0))));
        assert_eq!(cut((1.0, 1.0), (2.0, 2.0)), Some((At::new(1.0, 1.0), At::new(2.0, 2.0))));
        assert_eq!(cut((-1.0, 6.0), (11.0, 6.0)), None);
        assert_eq!(cut((-4.0, 4.0), (4.0, 12.0)), None);
    }
}
