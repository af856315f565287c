//! Times between coats.

use crate::finding::{Finding, Grade};
use crate::survey::Coat;
use crate::system::System;

const WINDOW_BASIS: &str = "the system's windows between layers; by default common practice, no source";

/// Holds the coats against the windows of the layers they lie on.
///
/// A coat is measured against the coats of the nearest layer below it on the same roof: not begun before the last of them
/// has stood long enough, begun before the first of them has stood too long.
///
/// `path` is the JSON Pointer of the list of coats.
pub(crate) fn inspect_coats(system: &System, coats: &[Coat], path: &str, findings: &mut Vec<Finding>) {
    let order = |coat: &Coat| system.layers.iter().position(|layer| layer.material == coat.layer);
    for (i, coat) in coats.iter().enumerate() {
        let Some(layer) = order(coat) else { continue };
        let place = format!("{path}/{i}");
        let others = || coats.iter().filter(|other| other.roof == coat.roof);
        if others().any(|other| order(other).is_some_and(|above| above > layer) && other.begun_min < coat.begun_min) {
            findings.push(Finding::new(
                Grade::Refuse,
                "coat_order",
                &place,
                WINDOW_BASIS,
                format!("{} goes on before what already lies over it.", system.layers[layer].name),
            ));
        }
        // A layer without a coat at all on this roof is said to be missing; what lies on what is judged by the rest.
        let below = (0..layer).rev().find(|&below| others().any(|other| order(other) == Some(below)));
        for missing in below.map_or(0, |below| below + 1)..layer {
            findings.push(Finding::new(
                Grade::Caution,
                "coat_missing",
                &place,
                WINDOW_BASIS,
                format!("{} has no coat under this one in the record.", system.layers[missing].name),
            ));
        }
        let Some(below) = below else { continue };
        let Some(window) = system.layers[below].next else { continue };
        let name = &system.layers[below].name;
        let under = || others().filter(|other| order(other) == Some(below) && other.begun_min <= coat.begun_min);
        let waits = || under().map(|other| coat.begun_min - other.done_min);
        if let Some(shortest) = waits().min_by(f64::total_cmp).filter(|&wait| wait < window.from_min) {
            let text = format!("Begun {shortest} minutes after {name} was done; wait {} at least.", window.from_min);
            findings.push(Finding::new(Grade::Refuse, "coat_too_early", &place, WINDOW_BASIS, text).measured(
                shortest,
                window.from_min,
                "min",
            ));
        }
        if let Some(longest) = waits().max_by(f64::total_cmp).filter(|&wait| wait > window.to_h * 60.0) {
            let text = format!(
                "Begun {} hours after {name} was done, later than {}. Wipe it with solvent first, or do what the data \
                 sheet says.",
                (longest / 6.0).round() / 10.0,
                window.to_h
            );
            findings.push(Finding::new(Grade::Caution, "coat_too_late", &place, WINDOW_BASIS, text).measured(
                longest,
                window.to_h * 60.0,
                "min",
            ));
        }
        if under().any(|other| other.wetted) {
            findings.push(Finding::new(
                Grade::Caution,
                "coat_wetted",
                &place,
                WINDOW_BASIS,
                format!(
                    "{name} got wet before this coat. Let it dry and wipe it with solvent first, or do what the data \
                         sheet says."
                ),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coat(layer: &str, begun_min: f64, done_min: f64) -> Coat {
        Coat { layer: layer.into(), roof: 0, begun_min, done_min, wetted: false }
    }

    fn codes(coats: Vec<Coat>) -> Vec<(String, String)> {
        let mut findings = Vec::new();
        inspect_coats(&System::default(), &coats, "/survey/coats", &mut findings);
        findings.into_iter().map(|finding| (finding.code, finding.place)).collect()
    }

    fn at(code: &str, coat: usize) -> (String, String) {
        (code.into(), format!("/survey/coats/{coat}"))
    }

    // The demonstration system lets the next layer follow after 60 minutes and within 42 hours (common practice).
    #[test]
    fn the_window_is_open_from_its_first_to_its_last_minute() {
        let primer = || coat("primer", 0.0, 30.0);
        let laid = |begun: f64| codes(vec![primer(), coat("resin", begun, begun + 60.0)]);
        assert_eq!(laid(90.0), []);
        assert_eq!(laid(89.9), [at("coat_too_early", 1)]);
        assert_eq!(laid(30.0 + 42.0 * 60.0), []);
        assert_eq!(laid(30.1 + 42.0 * 60.0), [at("coat_too_late", 1)]);
    }

    #[test]
    fn the_last_coat_below_sets_the_beginning_and_the_first_the_end() {
        let coats = vec![coat("primer", 0.0, 10.0), coat("primer", 60.0, 70.0), coat("resin", 120.0, 180.0)];
        assert_eq!(codes(coats), [at("coat_too_early", 2)]);
        let coats = vec![coat("primer", 0.0, 10.0), coat("primer", 2500.0, 2510.0), coat("resin", 2600.0, 2700.0)];
        assert_eq!(codes(coats), [at("coat_too_late", 2)]);
    }

    #[test]
    fn rain_a_missing_layer_and_a_wrong_order_are_found() {
        let wet = Coat { wetted: true, ..coat("primer", 0.0, 10.0) };
        assert_eq!(codes(vec![wet, coat("resin", 100.0, 160.0)]), [at("coat_wetted", 1)]);
        assert_eq!(codes(vec![coat("primer", 0.0, 10.0), coat("top_coat", 100.0, 120.0)]), [at("coat_missing", 1)]);
        let swapped = vec![coat("top_coat", 0.0, 10.0), coat("resin", 100.0, 160.0), coat("primer", -90.0, -60.0)];
        assert_eq!(codes(swapped), [at("coat_order", 1)]);
        // Another roof is another matter.
        let elsewhere = Coat { roof: 1, ..coat("primer", 50.0, 60.0) };
        assert_eq!(codes(vec![coat("primer", 0.0, 10.0), elsewhere, coat("resin", 100.0, 160.0)]), []);
    }
}
