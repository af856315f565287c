use super::*;
use crate::geometry::Point;
use crate::length::Length;
use crate::mat::{PatchPlace, RoofMat, Seam, Strip, StripPiece};
use crate::plan::{PlanRing, RoofPlan};
use crate::roof::{Kind, Outlet, Pipe};
use crate::system::EndCut;
use crate::trim::{End, RoofTrims, TrimRun};

fn points(xy: &[(i64, i64)]) -> Vec<Point> {
    xy.iter().map(|&(x, y)| Point { x: Length::from_mm(x), y: Length::from_mm(y) }).collect()
}

fn end() -> End {
    End { cut: EndCut::Square, angle_deg: 0.0, hand: None, gain: Length::ZERO, short: Length::ZERO, closing: None }
}

type Ring<'a> = (&'a [(i64, i64)], &'a [Kind]);

/// A plan made by hand, one run for each edge: what the drawing shows is under test here, not how it is worked out.
fn plan(rings: &[Ring<'_>]) -> Plan {
    let mut runs = Vec::new();
    for (ring, (xy, kinds)) in rings.iter().enumerate() {
        let points = points(xy);
        for (index, &kind) in kinds.iter().enumerate() {
            let (from, to) = (points[index], points[(index + 1) % points.len()]);
            let (dx, dy) = ((to.x - from.x).mm(), (to.y - from.y).mm());
            let length = Length::try_from_mm_f64((dx * dx + dy * dy).sqrt()).expect("a finite length");
            runs.push(TrimRun {
                mark: format!("{}{}", kind.letter(), index + 1),
                kind,
                ring,
                first_edge: index,
                edge_count: 1,
                from,
                to,
                line_length: length,
                cut_length: length,
                start: end(),
                end: end(),
                joints: if length > Length::from_mm(3000) { vec![Length::from_mm(2950)] } else { Vec::new() },
                over: Default::default(),
                beads: Vec::new(),
                fixings: 0,
                fixing_line: Vec::new(),
                fixing_legs: Vec::new(),
            });
        }
    }
    let rings = rings.iter().map(|(xy, kinds)| PlanRing { points: points(xy), kinds: kinds.to_vec() }).collect();
    let roof = RoofPlan {
        name: "extension".into(),
        rings,
        outlets: vec![Outlet { at: points(&[(5000, 500)])[0], diameter: Length::from_mm(110) }],
        pipes: vec![Pipe { name: Some("vent".into()), at: points(&[(1500, 1500)])[0], ..Pipe::default() }],
        area_m2: 24.0,
        trims: RoofTrims { corners: Vec::new(), runs },
        mat: RoofMat::default(),
        drainage: None,
        measured: None,
    };
    Plan { name: Some("Garden room <1> & \"2\"".into()), roofs: vec![roof], ..Plan::default() }
}

const RECTANGLE: &[(i64, i64)] = &[(0, 0), (6000, 0), (6000, 4000), (0, 4000)];
const KINDS: &[Kind] = &[Kind::Drip, Kind::OpenSide, Kind::Abutment, Kind::OpenSide];

fn extension() -> Plan {
    let mut plan =
        plan(&[(RECTANGLE, KINDS), (&[(2000, 1500), (2000, 2500), (3200, 2500), (3200, 1500)], &[Kind::Abutment; 4])]);
    let mat = &mut plan.roofs[0].mat;
    mat.direction = (1.0, 0.0);
    mat.lap = Length::from_mm(62);
    mat.seams = vec![Seam {
        points: points(&[(90, 90), (5910, 90), (5910, 3905), (90, 3905)]),
        length: Length::from_mm(19_270),
    }];
    mat.patches = points(RECTANGLE)
        .into_iter()
        .map(|at| PatchPlace { at, layers: 2, corner: true, ..PatchPlace::default() })
        .collect();
    mat.strips = (0..4)
        .map(|index| {
            let (low, high) = (90 + 938 * index, (90 + 938 * index + 1000).min(3905));
            let outline = vec![points(&[(90, low), (5910, low), (5910, high), (90, high)])];
            let piece = StripPiece {
                mark: (index + 1).to_string(),
                length: Length::from_mm(5820),
                width: Length::from_mm(high - low),
                roll: 1,
                outline,
                area_m2: 5.82,
                ..StripPiece::default()
            };
            Strip { number: index as u64 + 1, zone: 0, pieces: vec![piece] }
        })
        .collect();
    plan
}

fn texts(sheet: &Sheet) -> Vec<&str> {
    let items = sheet.layers.iter().flat_map(|layer| &layer.items);
    items
        .filter_map(|item| match item {
            Item::Text(text) => Some(text.text.as_str()),
            _ => None,
        })
        .collect()
}

#[test]
fn every_run_and_strip_is_labelled_on_a_simple_roof() {
    let sheet = plan_sheet(&extension());
    let texts = texts(&sheet);
    for wanted in ["D1", "S2", "A3", "S4", "6000", "4000", "2950", "3050", "1", "4", "SCALE 1:50"] {
        assert!(texts.iter().any(|text| text.contains(wanted)), "{wanted} is not among {texts:?}");
    }
    assert!(!texts.iter().any(|text| text.contains("Labels without")));
}

#[test]
fn a_four_metre_edge_is_eighty_millimetres_of_paper_at_one_to_fifty() {
    let sheet = plan_sheet(&plan(&[(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)], KINDS)]));
    let edges = sheet.layers.iter().find(|layer| layer.name == "edges").expect("edges are drawn");
    let Some(Item::Path { lines, .. }) = edges.items.first() else { panic!("the outline comes first") };
    let side = (lines[0].points[1] - lines[0].points[0]).norm();
    assert!((side - 80.0).abs() < 1e-9, "{side}");
    assert!(texts(&sheet).iter().any(|text| text.contains("SCALE 1:50")));
}

#[test]
fn plans_that_make_no_sense_are_drawn_all_the_same() {
    let mut odd = extension();
    odd.roofs[0].rings[0].kinds.truncate(1);
    odd.roofs[0].trims.runs[0].to = odd.roofs[0].trims.runs[0].from;
    odd.roofs[0].mat.direction = (f64::NAN, 0.0);
    odd.roofs[0].mat.strips[0].pieces[0].outline = vec![Vec::new()];
    odd.roofs[0].mat.strips[1].pieces[0].outline.clear();
    odd.roofs[0].rings.push(PlanRing { points: Vec::new(), kinds: Vec::new() });
    let mut far = extension();
    far.roofs[0].rings[0].points[2] = Point { x: Length::LIMIT, y: -Length::LIMIT };
    let mut flat = extension();
    flat.roofs[0].rings = vec![PlanRing { points: points(&[(5, 5)]), kinds: vec![Kind::Drip] }];
    let many = Plan { roofs: vec![extension().roofs[0].clone(); 40], ..Plan::default() };
    for plan in [&Plan::default(), &odd, &far, &flat, &many] {
        let svg = plan_sheet(plan).to_svg();
        assert!(svg.ends_with("</svg>\n") && !svg.contains("NaN") && !svg.contains("inf"));
    }
    assert!(texts(&plan_sheet(&many)).join(" ").contains("Roofs without room on this sheet: 28"));
}
