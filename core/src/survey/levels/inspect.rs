//! What levels and ways out say about water, as findings.

use super::{Drainage, Wall, WayOut, drain};
use crate::finding::{Finding, Grade};
use crate::geometry::Point;
use crate::length::Length;
use crate::roof::{Boundary, Kind, Outline, OutlineRing, Roof};
use crate::survey::Survey;
use crate::system::System;

const FALL_BASIS: &str = "system limit; finished falls of at least 1:80, so that 1:40 is designed (BS 6229:2018, as summarised by warranty guides)";
const WATER_BASIS: &str = "geometry: levels as a surface of triangles, flooded to its spill levels";
const RAIN_BASIS: &str = "system rules; Q = r A C (BS EN 12056-3); walls count half (Approved Document H, H3, table 1)";
const OVERFLOW_BASIS: &str = "system rules; a rectangular overflow takes L h^1.5 / 24000 (BS EN 12056-3, from memory)";
/// Slopes and streams smaller than this are not spoken of, in square metres.
const SMALL_M2: f64 = 0.25;

/// What the levels of roof `i` say; none where its corners have no levels.
///
/// | code | grade | when |
/// |---|---|---|
/// | `slope_fall` | caution | one of several slopes is too flat |
/// | `back_fall` | caution | a slope falls away from where its water leaves |
/// | `pond` | caution | water stands deeper than the limit |
/// | `runs_to_edge` | caution, note | water runs against a wall (note), an open side (caution) |
/// | `outlet_capacity` | caution | run-off is more than an outlet takes in |
/// | `overflow` | note | how long an overflow has to be beside an only outlet |
/// | `gutter` | note, caution | which gutter takes the run-off of an edge, or that none of the table does |
pub(crate) fn inspect(
    i: usize,
    roof: &Roof,
    outline: &Outline,
    system: &System,
    survey: &Survey,
    findings: &mut Vec<Finding>,
) -> Option<Drainage> {
    let readings: Vec<(Point, Length)> =
        survey.levels.iter().filter(|reading| reading.roof == i).map(|reading| (reading.at, reading.level)).collect();
    let place = format!("/roofs/{i}");
    let walls = walls(roof, outline);
    let drainage = drain(outline, &roof.outlets, &readings, &walls).map(|mut drainage| {
        for way in &mut drainage.ways_out {
            way.flow_l_s = flow(way, system);
        }
        drainage
    });
    let Some(drainage) = drainage else {
        if let Some(only) = only_way_out(roof, outline, &walls, system) {
            capacity(&only, roof, outline, system, &place, findings);
        }
        return None;
    };
    slopes(&drainage, system, survey, &place, findings);
    for pond in drainage.ponds.iter().filter(|pond| pond.depth > system.limits.pond) {
        let text = format!(
            "Water will stand {:.0} mm deep at ({:.0}, {:.0}), over {:.2} m2, {:.0} litres. Level the deck, or set an outlet.",
            pond.depth.mm(),
            pond.at.x.mm(),
            pond.at.y.mm(),
            pond.area_m2,
            pond.volume_l
        );
        findings.push(
            Finding::new(Grade::Caution, "pond", format!("{place}/outer/levels"), WATER_BASIS, text).measured(
                pond.depth.mm(),
                system.limits.pond.mm(),
                "mm",
            ),
        );
    }
    for met in drainage.met.iter().filter(|met| met.area_m2 >= SMALL_M2) {
        let ring = &outline.rings[met.ring];
        let (what, grade) = match met.kind {
            Kind::OpenSide => ("the open side, over which it leaves where the raised trim is low", Grade::Caution),
            _ => ("the wall", Grade::Note),
        };
        let text = format!(
            "The water of {:.1} m2 runs against {what}, before it finds its way along. Keep that edge clear and look at its \
             upstand.",
            met.area_m2
        );
        let at = edge_place(&place, met.ring, ring.given_edge(met.edge));
        findings.push(Finding::new(grade, "runs_to_edge", at, WATER_BASIS, text));
    }
    for way in &drainage.ways_out {
        capacity(way, roof, outline, system, &place, findings);
    }
    Some(drainage)
}

fn slopes(drainage: &Drainage, system: &System, survey: &Survey, place: &str, findings: &mut Vec<Finding>) {
    let limits = system.limits_in_force();
    let limit = if survey.levels_designed { limits.design_fall } else { limits.fall };
    let several = drainage.slopes.len() > 1;
    for slope in drainage.slopes.iter().filter(|slope| slope.area_m2 >= SMALL_M2) {
        let at = format!("at ({:.0}, {:.0}), {:.1} m2", slope.middle.x.mm(), slope.middle.y.mm(), slope.area_m2);
        let mut find = |code, basis, text: String| {
            let finding = Finding::new(Grade::Caution, code, format!("{place}/outer/levels"), basis, text);
            findings.push(finding.measured(percent(slope.fall), percent(limit), "%"));
        };
        // A deck of one slope is held against the limit as a whole.
        if several && slope.fall < limit - 1e-6 {
            let fall = if slope.fall > 1e-3 { format!("1:{:.0}", 1.0 / slope.fall) } else { "hardly at all".into() };
            find(
                "slope_fall",
                system.basis(FALL_BASIS),
                format!("The slope {at}, falls {fall}; at least 1:{:.0} is wanted.", 1.0 / limit),
            );
        }
        if slope.backward && slope.fall > 1e-3 {
            let text = format!(
                "The slope {at}, falls away from where its water leaves: a back-fall. Raise its low side, or set an outlet."
            );
            find("back_fall", WATER_BASIS, text);
        }
    }
}

/// Held against the system's rules; what this is worth stands in every text.
fn capacity(way: &WayOut, roof: &Roof, outline: &Outline, system: &System, place: &str, findings: &mut Vec<Finding>) {
    let flow = flow(way, system);
    let from = if way.wall_m2 > 0.0 {
        format!("{:.1} m2 of roof and {:.1} m2 for walls", way.area_m2, way.wall_m2)
    } else {
        format!("{:.1} m2 of roof", way.area_m2)
    };
    let Some(ring) = way.ring else {
        let Some(outlet) = roof.outlets.get(way.index) else { return };
        let capacity = digits(system.drainage.outlet_capacity_l_s(outlet.diameter));
        if flow > capacity {
            let text = format!(
                "In heavy rain {flow:.2} l/s come to this outlet ({from}); it takes in about {capacity:.2} l/s. Add an outlet or \
                 a larger one; to be confirmed by a designer."
            );
            let at = format!("{place}/outlets/{}", way.index);
            findings.push(
                Finding::new(Grade::Caution, "outlet_capacity", at, RAIN_BASIS, text).measured(flow, capacity, "l/s"),
            );
        }
        let alone = roof.outlets.len() == 1 && outline.rings.iter().all(|ring| !ring.kinds.contains(&Kind::Drip));
        if let Some(length) = system.drainage.overflow_length(flow).filter(|_| alone) {
            let text = format!(
                "This outlet is the only way out. An overflow {:.0} mm long, over which water may stand {:.0} mm deep, would take \
                 the same {flow:.2} l/s if it blocks; to be confirmed by a designer.",
                length.mm(),
                system.drainage.outlet_head.mm()
            );
            findings.push(
                Finding::new(Grade::Note, "overflow", format!("{place}/outlets/{}", way.index), OVERFLOW_BASIS, text)
                    .measured(flow, digits(system.drainage.overflow_capacity_l_s(length)), "l/s"),
            );
        }
        return;
    };
    if way.area_m2 < SMALL_M2 || system.drainage.gutters.is_empty() {
        return;
    }
    let at = edge_place(place, ring, outline.rings[ring].given_edge(way.index));
    let finding = match system.drainage.gutters.iter().find(|gutter| gutter.capacity_l_s >= flow) {
        Some(gutter) => {
            let text = format!(
                "In heavy rain {flow:.2} l/s run over this drip ({from}): a {} with its own fall and outlet takes that; to be \
                 confirmed by a designer.",
                gutter.name
            );
            Finding::new(Grade::Note, "gutter", at, RAIN_BASIS, text).measured(flow, gutter.capacity_l_s, "l/s")
        }
        None => {
            let most = system.drainage.gutters.iter().map(|gutter| gutter.capacity_l_s).fold(0.0, f64::max);
            let text = format!(
                "In heavy rain {flow:.2} l/s run over this drip ({from}), more than any gutter of the table takes. A designer \
                 has to size it."
            );
            Finding::new(Grade::Caution, "gutter", at, RAIN_BASIS, text).measured(flow, most, "l/s")
        }
    };
    findings.push(finding);
}

fn flow(way: &WayOut, system: &System) -> f64 {
    digits((way.area_m2 + way.wall_m2) * system.drainage.rain_l_s_m2)
}

/// Without levels only a single way out is known to take everything.
fn only_way_out(roof: &Roof, outline: &Outline, walls: &[Wall], system: &System) -> Option<WayOut> {
    let rings = outline.rings.iter().enumerate();
    let mut drips = rings.flat_map(|(r, ring)| {
        ring.kinds.iter().enumerate().filter(|(_, kind)| **kind == Kind::Drip).map(move |(e, _)| (Some(r), e))
    });
    let (ring, index) = match (drips.next(), drips.next(), roof.outlets.len()) {
        (Some(drip), None, 0) => drip,
        (None, None, 1) => (None, 0),
        _ => return None,
    };
    let length = |wall: &Wall| {
        let ring: &OutlineRing = &outline.rings[wall.ring];
        ring.points[wall.edge].distance(ring.points[(wall.edge + 1) % ring.points.len()]).m()
    };
    let wall_m2 = walls.iter().map(|wall| length(wall) * wall.height.m() / 2.0).sum();
    let mut only =
        WayOut { ring, index, area_m2: super::digits(outline.polygon().area_m2(), 1e2), wall_m2, ..WayOut::default() };
    only.flow_l_s = flow(&only, system);
    Some(only)
}

/// The walls above a roof, their edges counted as the outline runs.
pub(super) fn walls(roof: &Roof, outline: &Outline) -> Vec<Wall> {
    let boundaries = std::iter::once(&roof.outer).chain(&roof.holes);
    let of_ring = |(ring, boundary): (usize, &Boundary)| {
        let run = &outline.rings[ring];
        // Turning a ring about is its own inverse.
        let wall = |w: &crate::roof::WallAbove| Wall { ring, edge: run.given_edge(w.edge), height: w.height };
        boundary.walls.iter().map(wall).collect::<Vec<_>>()
    };
    boundaries.enumerate().flat_map(of_ring).collect()
}

fn edge_place(place: &str, ring: usize, edge: usize) -> String {
    match ring.checked_sub(1) {
        None => format!("{place}/outer/kinds/{edge}"),
        Some(hole) => format!("{place}/holes/{hole}/kinds/{edge}"),
    }
}

fn percent(fall: f64) -> f64 {
    super::digits(fall * 100.0, 1e3)
}

fn digits(value: f64) -> f64 {
    super::digits(value, 1e3)
}

#[cfg(test)]
#[path = "inspect_tests.rs"]
mod tests;
