//! Battens behind trims.
//!
//! A batten stands outside the outline, from the outline to its thickness. Where two battened runs meet, their battens
//! are mitred in the plane that bisects the corner; elsewhere a batten ends square at the corner. Its length is that of
//! its longer side: at an outer corner the outer side, which runs `thickness * tan(turn / 2)` past the corner, at an
//! inner corner the side on the outline.

use crate::job::Job;
use crate::length::Length;
use crate::roof::{Bend, Outline};

use super::clear::{Laps, clear_of_laps};
use super::cut::Wanted;
use super::end::nearest;
use super::result::{Hand, PieceEnd, RoofTrims, Turn};

/// The battens to cut, run by run.
pub(super) fn battens(job: &Job, outlines: &[Outline], roofs: &[RoofTrims], laps: &Laps) -> Vec<Wanted> {
    let battened = |trims: &RoofTrims, run: usize| job.system.trims.of(trims.runs[run].kind).battened;
    let increment = job.system.cutting_increment.max(Length::from_um(1));
    let mut wanted = Vec::new();
    for (roof, (trims, outline)) in roofs.iter().zip(outlines).enumerate() {
        // Corners and stretches stand in the same order: corner `i` is where run `i` begins.
        let vertices = outline.rings.iter().flat_map(|ring| &ring.vertices);
        let mut ends = vec![(PieceEnd::Square, Length::ZERO); trims.runs.len()];
        let mut starts = ends.clone();
        for (corner, vertex) in trims.corners.iter().zip(vertices) {
            let sharp = 180.0 - corner.turn_deg.abs() < job.system.limits.sharpest_mitre_deg;
            let both = battened(trims, corner.before) && battened(trims, corner.after);
            if both && !sharp && corner.turn != Turn::Straight {
                let mitre = mitre(vertex.laid, job.system.batten.thickness);
                starts[corner.after] = mitre.clone();
                ends[corner.before] = mitre;
            }
        }
        for (i, (start, end)) in starts.into_iter().zip(ends).enumerate().filter(|(i, _)| battened(trims, *i)) {
            let length = (trims.runs[i].line_length + start.1 + end.1).round_up(increment);
            let behind = laps.get(&(roof, i)).map_or(&[][..], Vec::as_slice);
            let clear = clear_of_laps(job, behind, &trims.runs[i], start.1);
            wanted.push(Wanted { roof, run: i, length, start: start.0, end: end.0, clear });
        }
    }
    wanted
}

fn mitre(bend: Bend, thickness: Length) -> (PieceEnd, Length) {
    let tan = bend.tan_half();
    let hand = if tan < 0.0 { Hand::Left } else { Hand::Right };
    let gain = nearest((thickness.um() as f64 * tan).max(0.0));
    (PieceEnd::Mitre { angle_deg: (bend.degrees() / 2.0).abs(), hand }, gain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longer_side_of_a_batten_counts() {
        let thickness = Length::from_mm(25);
        let outer = mitre(Bend { sin: 1.0, cos: 0.0 }, thickness);
        assert_eq!(outer, (PieceEnd::Mitre { angle_deg: 45.0, hand: Hand::Right }, thickness));
        let inner = mitre(Bend { sin: -1.0, cos: 0.0 }, thickness);
        assert_eq!(inner, (PieceEnd::Mitre { angle_deg: 45.0, hand: Hand::Left }, Length::ZERO));
    }
}
