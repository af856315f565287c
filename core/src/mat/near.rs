//! Laps and what pierces the deck: outlets and pipes, from which laps keep a distance.

use super::result::{LapKind, RoofMat};
use super::roll::polygons;
use super::split::distance_to_segment;
use crate::finding::{Finding, Grade};
use crate::geometry::{Polygon, Ring, Side, shared_parts};
use crate::length::Length;
use crate::roof::Penetration;
use crate::system::System;

/// Nearer by less than this, in micrometres, is rounding.
const ROUNDING: f64 = 5.0;

/// Whether a part of polygons is nearer to the middle of a penetration than `reach`.
pub(super) fn comes_near(polygons: &[Polygon], penetration: &Penetration, reach: Length) -> bool {
    let reach = reach.um() as f64 - ROUNDING;
    polygons.iter().any(|polygon| {
        let mut edges = polygon.rings().flat_map(Ring::edges);
        edges.any(|(a, b)| distance_to_segment(penetration.at, a, b) < reach)
            || polygon.locate(penetration.at) == Side::Inside
    })
}

/// What says that a lap of this roof lies nearer to an outlet or a pipe than it should, one for each of these.
pub(super) fn laps_near(system: &System, index: usize, roof: &RoofMat, penetrations: &[Penetration]) -> Vec<Finding> {
    let clear = system.mat.outlet_clear;
    let mut findings = Vec::new();
    for penetration in penetrations {
        let reach = penetration.diameter / 2 + clear;
        let pieces = roof.strips.iter().flat_map(|strip| &strip.pieces);
        let near: Vec<(&str, Vec<Polygon>)> = pieces
            .map(|piece| (piece.mark.as_str(), polygons(piece)))
            .filter(|(_, of)| comes_near(of, penetration, reach))
            .collect();
        let of = |mark: &str| near.iter().find(|piece| piece.0 == mark).map(|piece| &piece.1);
        let lap = roof.laps.iter().find(|lap| {
            let (Some(over), Some(under)) = (of(&lap.over), of(&lap.under)) else { return false };
            over.iter().any(|a| under.iter().any(|b| comes_near(&shared_parts(a, b), penetration, reach)))
        });
        findings.extend(lap.map(|lap| Finding {
            grade: Grade::Note,
            code: format!("lap_near_{}", penetration.kind.word()),
            place: format!("/roofs/{index}/{}", penetration.path()),
            value: None,
            limit: None,
            unit: None,
            basis: "the system's distance of laps from outlets and pipes".into(),
            text: format!(
                "The {} of {} over {} comes nearer to this {} than {clear}, and no lay-out compared keeps clear of it. Widen that \
                 lap.",
                if lap.kind == LapKind::End { "end lap" } else { "lap" },
                lap.over,
                lap.under,
                penetration.kind.word(),
            ),
        }));
    }
    findings
}
