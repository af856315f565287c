//! Drawings held against committed ones, against an independent XML parser, and against the plan they show.
//!
//! `UPDATE_GOLDEN=1 cargo test -p upstand-tests --test drawing` rewrites the committed drawings: look at each that
//! changed before committing it.

use std::collections::BTreeSet;
use std::path::PathBuf;

use roxmltree::{Document, Node};
use upstand::roof::CornerChoice;
use upstand::system::{EndCut, EndRule, Reach};
use upstand::trim::RunEnd;
use upstand::{Job, Kind, Length, Plan, drawing};
use upstand_tests::{generate, transform};

const DEMO: &str = include_str!("../core/examples/demo/garden_room.json");

/// A shed roof: nothing but a rectangle.
const RECTANGLE: &str = r#"{"schema": "upstand/job/1", "name": "rectangle", "roofs": [{"outer": {
    "points": [[0, 0], [4000, 0], [4000, 2500], [0, 2500]],
    "kinds": ["drip", "open_side", "abutment", "open_side"]}}]}"#;

/// Every kind of corner, edges too short for a dimension line, an outlet, a rooflight that is no rectangle.
const CORNERS: &str = r#"{"schema": "upstand/job/1", "name": "corners & <kerbs>", "roofs": [{"name": "flat \"B\"", "outer": {
    "points": [[0, 0], [3000, 0], [3000, -120], [7000, -120], [7600, 480], [7600, 5000], [4400, 5000], [4400, 4600],
               [4100, 4600], [4100, 5000], [0, 5000]],
    "kinds": ["drip", "drip", "drip", "open_side", "open_side", "abutment", "abutment", "abutment", "abutment",
              "abutment", "open_side"]},
    "holes": [{"points": [[2000, 2000], [1500, 2600], [2000, 3200], [2600, 2600]]}],
    "outlets": [{"at": [6800, 600], "diameter": 110}]}]}"#;

/// An L whose two arms are laid in their own directions.
const ZONES: &str = r#"{"schema": "upstand/job/1", "name": "two arms", "roofs": [{"outer": {
    "points": [[0, 0], [9000, 0], [9000, 2100], [2100, 2100], [2100, 8000], [0, 8000]],
    "kinds": ["drip", "open_side", "drip", "drip", "open_side", "abutment"]}}],
    "system": {"mat": {"direction": "best", "zones": "least", "roll": 12000}}}"#;

fn plan(job: &str) -> Plan {
    let job = Job::from_json(job).expect("the job reads");
    upstand::plan(&job).expect("the job can be planned")
}

/// The corner of the worked example: a raised trim on either side.
const RAISED: &str = r#"{"schema": "upstand/job/1", "name": "raised corner", "roofs": [{"outer": {
    "points": [[0, 0], [2500, 0], [2500, 2000], [0, 2000]],
    "kinds": ["open_side", "open_side", "open_side", "open_side"]}}]}"#;

/// The template of one end, alone.
fn template(plan: &Plan, kind: Kind, end: RunEnd) -> String {
    let mut plan = plan.clone();
    plan.templates.retain(|template| (template.kind, template.end) == (kind, end));
    assert!(!plan.templates.is_empty(), "no template");
    drawing::template_sheets(&plan)[0].to_svg()
}

/// The drawings that are committed.
fn drawings() -> Vec<(&'static str, String)> {
    let demo = plan(DEMO);
    vec![
        ("demo_plan.svg", drawing::plan_svg(&demo)),
        ("demo_porch.svg", drawing::roof_svg(&demo, 1).expect("the demo has two roofs")),
        ("demo_cut_list.svg", drawing::cut_list_svg(&demo)),
        ("demo_cut_list.txt", drawing::cut_list_text(&demo)),
        ("demo_order.svg", drawing::order_svg(&demo)),
        ("demo_schedule.svg", drawing::schedule_svg(&demo)),
        ("demo_schedule.txt", drawing::schedule_text(&demo)),
        ("demo_mixing.txt", drawing::mixing_text(&demo)),
        ("demo_mat.svg", drawing::mat_svg(&demo)),
        ("corners_mat.svg", drawing::mat_svg(&plan(CORNERS))),
        ("zones_mat.svg", drawing::mat_svg(&plan(ZONES))),
        ("rectangle.svg", drawing::plan_svg(&plan(RECTANGLE))),
        ("template_mitre.svg", template(&plan(RAISED), Kind::OpenSide, RunEnd::End)),
        ("template_notch.svg", template(&plan(RECTANGLE), Kind::OpenSide, RunEnd::End)),
        ("template_return.svg", returned()),
        ("template_tiled.svg", tiled()),
        ("corners.svg", drawing::plan_svg(&plan(CORNERS))),
    ]
}

/// A raised trim bent round a corner on its face, 100 mm along the other side.
fn returned() -> String {
    let mut job = Job::from_json(RAISED).expect("the job reads");
    let turned = EndRule { gain: Length::from_mm(100), cut: EndCut::Return, ..EndRule::mitre() };
    let stops = EndRule { gain: Length::from_mm(-100), ..EndRule::square(Reach::Outline) };
    job.roofs[0].outer.corners.push(CornerChoice { point: 1, ends: (turned, stops), patches: None });
    let mut plan = upstand::plan(&job).expect("the job can be planned");
    plan.templates.retain(|template| template.cut == EndCut::Return);
    drawing::template_sheets(&plan)[0].to_svg()
}

/// The second of the sheets over which a sharp corner's template goes.
fn tiled() -> String {
    let text = r#"{"schema": "upstand/job/1", "name": "sharp corner", "roofs": [{"outer": {
        "points": [[0, 0], [8000, 0], [0, 3600]], "kinds": ["open_side", "open_side", "open_side"]}}]}"#;
    let mut plan = plan(text);
    plan.templates.retain(|template| template.interior_deg < 30.0 && template.end == RunEnd::Start);
    drawing::template_sheets(&plan)[1].to_svg()
}

/// The picture of the worked example in the library's documentation is the golden template.
#[test]
fn the_worked_example_shows_the_template() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../core/docs/raised_corner.svg");
    let svg = template(&plan(RAISED), Kind::OpenSide, RunEnd::End);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&folder, svg).expect("the folder can be written");
    } else {
        assert!(std::fs::read_to_string(&folder).is_ok_and(|found| found == svg), "raised_corner.svg differs");
    }
}

#[test]
fn drawings_are_the_committed_bytes() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("golden");
    let mut changed = Vec::new();
    for (name, found) in drawings() {
        let path = folder.join(name);
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(&path, found).expect("the folder can be written");
        } else if std::fs::read_to_string(&path).ok().as_deref() != Some(found.as_str()) {
            changed.push(name);
        }
    }
    assert!(changed.is_empty(), "{changed:?} differ: if that is meant, see the head of this file");
}

#[test]
fn drawings_are_well_formed_and_name_their_layers_once() {
    for (name, svg) in drawings().into_iter().filter(|(name, _)| name.ends_with(".svg")) {
        let document = Document::parse(&svg).unwrap_or_else(|error| panic!("{name}: {error}"));
        let ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        let different: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), different.len(), "{name}: {ids:?}");
        assert!(ids.len() > 1, "{name} has layers");
    }
    let svg = drawing::plan_svg(&plan(CORNERS));
    let document = Document::parse(&svg).expect("well formed");
    let has = |text: &str| document.descendants().any(|node| node.is_text() && node.text() == Some(text));
    assert!(has("corners & <kerbs>") && has("roof plan: flat \"B\""), "names are written as they were given");
}

/// Points of a path's first line.
fn points(path: &str) -> Vec<(f64, f64)> {
    let line = path.trim_start_matches('M').split('M').next().unwrap_or_default();
    let numbers: Vec<f64> = line
        .split(|c: char| "LZ ".contains(c))
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().expect("a number"))
        .collect();
    numbers.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

fn layer<'a>(document: &'a Document<'a>, id: &str) -> Node<'a, 'a> {
    document.descendants().find(|node| node.attribute("id") == Some(id)).expect("the layer is drawn")
}

/// How many times smaller than life, as the sheet says.
fn ratio(document: &Document<'_>) -> f64 {
    let said = document.descendants().filter_map(|node| node.text()?.strip_prefix("SCALE 1:")?.parse().ok());
    said.max_by(f64::total_cmp).expect("the sheet says its scale")
}

#[test]
fn outlines_are_to_the_scale_that_the_sheet_says() {
    for seed in 0..40 {
        let mut job = generate::job(seed);
        job.roofs.truncate(1);
        job.survey = Default::default();
        let plan = upstand::plan(&job).expect("generated jobs can be planned");
        let svg = drawing::plan_svg(&plan);
        let document = Document::parse(&svg).expect("well formed");
        let view_box = document.root_element().attribute("viewBox").expect("a view box");
        let (width, height) = (document.root_element().attribute("width"), document.root_element().attribute("height"));
        // SVG: a user unit is a millimetre where the view box has the numbers of the size in millimetres.
        assert!(matches!(
            (view_box, width, height),
            ("0 0 297 210", Some("297mm"), Some("210mm")) | ("0 0 420 297", Some("420mm"), Some("297mm"))
        ));
        // ISO 5455: 1, 2 or 5 times a power of ten.
        let ratio = ratio(&document);
        let lead = ratio / 10_f64.powf(ratio.log10().floor());
        assert!([1.0, 2.0, 5.0].iter().any(|step| (lead - step).abs() < 1e-9), "1:{ratio}");

        let outline = layer(&document, "edges").children().find(|node| node.is_element()).expect("an outline");
        let drawn = points(outline.attribute("d").expect("a path"));
        let ring = &plan.roofs[0].rings[0].points;
        assert_eq!(drawn.len(), ring.len());
        for i in 0..ring.len() {
            let j = (i + 1) % ring.len();
            let (dx, dy) = ((ring[j].x - ring[i].x).mm() / ratio, (ring[j].y - ring[i].y).mm() / ratio);
            // y is turned over, and numbers have three decimals.
            let (fx, fy) = (drawn[j].0 - drawn[i].0, drawn[i].1 - drawn[j].1);
            assert!((dx - fx).abs() < 0.0011 && (dy - fy).abs() < 0.0011, "seed {seed}: edge {i}");
        }
    }
}

#[test]
fn everything_lies_on_the_sheet() {
    for seed in 0..40 {
        let svg = drawing::plan_svg(&upstand::plan(&generate::job(seed)).expect("generated jobs can be planned"));
        let document = Document::parse(&svg).expect("well formed");
        let width: f64 = document
            .root_element()
            .attribute("width")
            .expect("a width")
            .trim_end_matches("mm")
            .parse()
            .expect("a number");
        let height = if width > 300.0 { 297.0 } else { 210.0 };
        let inside = |x: f64, y: f64| (0.0..=width).contains(&x) && (0.0..=height).contains(&y);
        for path in document.descendants().filter_map(|node| node.attribute("d")) {
            for line in path.split('M').filter(|line| !line.is_empty()) {
                assert!(points(line).iter().all(|&(x, y)| inside(x, y)), "seed {seed}: {line}");
            }
        }
    }
}

/// The place of a text as four corners. Widths: 0.55 of the font size for each character is less than any face takes
/// for the marks and digits of labels, so what overlaps by this measure overlaps for every reader.
fn place(node: &Node<'_, '_>) -> [(f64, f64); 4] {
    let number = |name| node.attribute(name).and_then(|text| text.parse::<f64>().ok());
    let size = number("font-size").expect("a font size");
    let width = node.text().unwrap_or_default().chars().count() as f64 * size * 0.55;
    let matrix: Vec<f64> = node
        .attribute("transform")
        .map(|text| {
            text.trim_start_matches("matrix(").trim_end_matches(')').split(' ').filter_map(|n| n.parse().ok()).collect()
        })
        .unwrap_or_default();
    let (a, b, x, y) = match matrix[..] {
        [a, b, _, _, x, y] => (a, b, x, y),
        _ => (1.0, 0.0, number("x").expect("x"), number("y").expect("y")),
    };
    let from = match node.attribute("text-anchor") {
        Some("middle") => -width / 2.0,
        Some("end") => -width,
        _ => 0.0,
    };
    let at = |u: f64, v: f64| (x + a * u + b * v, y + b * u - a * v);
    let high = size * 0.7;
    [at(from, 0.0), at(from + width, 0.0), at(from + width, high), at(from, high)]
}

/// Whether two convex areas overlap: no side of either parts them.
fn overlap(a: &[(f64, f64); 4], b: &[(f64, f64); 4]) -> bool {
    let parted = |a: &[(f64, f64); 4], b: &[(f64, f64); 4]| {
        (0..4).any(|i| {
            let (p, q) = (a[i], a[(i + 1) % 4]);
            let side = |r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
            let own = side(a[(i + 2) % 4]);
            b.iter().all(|&r| side(r) * own <= 0.0)
        })
    };
    !parted(a, b) && !parted(b, a)
}

#[test]
fn no_label_covers_another() {
    for seed in 0..60 {
        let svg = drawing::plan_svg(&upstand::plan(&generate::job(seed)).expect("generated jobs can be planned"));
        let document = Document::parse(&svg).expect("well formed");
        let texts: Vec<Node<'_, '_>> =
            layer(&document, "labels").descendants().filter(|node| node.has_tag_name("text")).collect();
        let places: Vec<_> = texts.iter().map(place).collect();
        for i in 0..places.len() {
            for j in 0..i {
                let (a, b) = (texts[i].text(), texts[j].text());
                assert!(!overlap(&places[i], &places[j]), "seed {seed}: {a:?} covers {b:?}");
            }
        }
    }
}

/// The third strip of a U reaches into both arms: its label lies within it, not across the edge of the bay.
#[test]
fn labels_lie_inside_pieces_with_notches() {
    let job = r#"{"schema": "upstand/job/1", "name": "bay", "roofs": [{"outer": {
        "points": [[0, 0], [11000, 0], [11000, 6500], [8300, 6500], [8300, 2600], [2900, 2600], [2900, 6500], [0, 6500]],
        "kinds": ["drip", "drip", "drip", "drip", "drip", "drip", "drip", "drip"]}}]}"#;
    let svg = drawing::mat_svg(&plan(job));
    let document = Document::parse(&svg).expect("well formed");
    let outline = layer(&document, "deck").children().find(|node| node.is_element()).expect("an outline");
    let ring = points(outline.attribute("d").expect("a path"));
    assert_eq!(ring.len(), 8);
    let labels: Vec<Node<'_, '_>> =
        layer(&document, "labels").descendants().filter(|node| node.has_tag_name("text")).collect();
    assert!(labels.iter().any(|label| label.text() == Some("10830 × 1000  roll 1")));
    for label in labels {
        let place = place(&label);
        for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            // As a band of no width to speak of: a micrometre of paper.
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let size = (dx * dx + dy * dy).sqrt() * 1e3;
            let off = |p: (f64, f64)| (p.0 - dy / size, p.1 + dx / size);
            assert!(!overlap(&place, &[a, b, off(b), off(a)]), "{:?} lies across an edge", label.text());
        }
    }
}

/// Pieces over ten metres long: what stands in one line of the table ends before the next column begins. Digits take at most
/// 0.6 of the font size in the common faces.
#[test]
fn columns_of_the_mat_table_stay_apart() {
    let job = r#"{"schema": "upstand/job/1", "name": "long", "roofs": [{"outer": {
        "points": [[0, 0], [12345, 0], [12345, 3000], [0, 3000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#;
    let svg = drawing::mat_svg(&plan(job));
    let document = Document::parse(&svg).expect("well formed");
    let number = |node: &Node<'_, '_>, name| node.attribute(name).and_then(|text| text.parse::<f64>().ok());
    let texts: Vec<(f64, f64, f64, &str)> = layer(&document, "frame")
        .descendants()
        .filter_map(|node| {
            let text = node.text().filter(|_| node.has_tag_name("text") && node.attribute("text-anchor").is_none())?;
            let (x, y, size) = (number(&node, "x")?, number(&node, "y")?, number(&node, "font-size")?);
            Some((y, x, x + 0.6 * size * text.chars().count() as f64, text))
        })
        .collect();
    assert!(texts.iter().any(|(.., text)| *text == "12175 × 1000"), "{texts:?}");
    for &(y, x, end, text) in texts.iter().filter(|(.., text)| !text.contains("SCALE")) {
        for &(other, begin, _, next) in &texts {
            assert!((other - y).abs() > 0.1 || begin <= x || begin >= end, "{text} runs into {next}");
        }
    }
}

#[test]
fn moving_a_roof_about_does_not_change_its_drawing() {
    for seed in 0..20 {
        let job = generate::job(seed);
        let far = transform::moved(&job, |(x, y)| (x + 7_654_321_000, y - 1_234_567_000));
        let [here, there] = [&job, &far].map(|job| upstand::plan(job).expect("generated jobs can be planned"));
        assert!(drawing::plan_svg(&here) == drawing::plan_svg(&there), "seed {seed}");
    }
}

#[test]
fn the_cut_list_in_words_holds_every_piece_in_eighty_columns() {
    for seed in 0..40 {
        let plan = upstand::plan(&generate::job(seed)).expect("generated jobs can be planned");
        let text = drawing::cut_list_text(&plan);
        for line in text.lines().filter(|line| !line.starts_with("CUT LIST")) {
            assert!(line.chars().count() <= 80, "seed {seed}: {line}");
        }
        let pieces = plan.cut_lists.iter().flat_map(|list| &list.bars).flat_map(|bar| &bar.pieces);
        let (mut count, mut total) = (0, Length::ZERO);
        for piece in pieces {
            count += 1;
            total += piece.length;
        }
        // A piece's line: mark, length, place, ends.
        let listed: Vec<f64> = text
            .lines()
            .filter(|line| line.starts_with("    ") && line.contains(" to "))
            .map(|line| line.split_whitespace().nth(1).and_then(|word| word.parse().ok()).expect("a length"))
            .collect();
        assert_eq!(listed.len(), count, "seed {seed}");
        assert!((listed.iter().sum::<f64>() - total.mm()).abs() < 1e-6, "seed {seed}");
    }
}
