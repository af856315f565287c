//! Times between coats.

use crate::finding::{Finding, Grade};
use crate::survey::Coat;
use crate::system::{Layer, System, Window, WindowBand};

const WINDOW_BASIS: &str = "the system's windows between layers; by default common practice, no source";

/// How warm surfaces were while coats lay on them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Warmth {
    /// One temperature for all, where that is all that is known.
    pub(crate) steady_c: Option<f64>,
    /// Roof, minute on the clock of the coats, degrees Celsius; in the order of time.
    pub(crate) readings: Vec<(usize, f64, f64)>,
}

/// How long before a layer is done a reading still tells how warm it lies, in minutes.
const READ_BEFORE: f64 = 120.0;

impl Warmth {
    /// From which minute on the next layer may follow on one that was done at `done`, and up to which, as known at `now`.
    /// None where it never may, because nothing cures at the temperature that was read.
    ///
    /// Minutes add up as in the schedule: each counts for the part that it is of the time which its band asks for. Between two
    /// readings the less favourable of both holds; before the first and after the last, that one. Without readings the
    /// layer's plain window holds.
    fn window(&self, layer: &Layer, plain: Window, roof: usize, (done, now): (f64, f64)) -> (Option<f64>, f64) {
        let known = |&&(on, at, _): &&(usize, f64, f64)| on == roof && done - READ_BEFORE <= at && at <= now;
        let mut read: Vec<(f64, f64)> = self.readings.iter().filter(known).map(|&(_, at, c)| (at, c)).collect();
        read.extend(self.steady_c.filter(|&c| read.is_empty() && layer.window_band(c).is_some()).map(|c| (done, c)));
        if read.is_empty() || layer.next_at.is_empty() {
            return (Some(plain.from_min), plain.to_h * 60.0);
        }
        // Nothing cures outside the bands; the longest wait runs out as where it is shortest.
        let shortest = layer.next_at.iter().map(|band| band.to_h).fold(f64::INFINITY, f64::min);
        let band = |c: f64| layer.window_band(c);
        let least = |c: f64| band(c).map_or(f64::INFINITY, |band: &WindowBand| band.from_min);
        let most = |c: f64| band(c).map_or(shortest, |band| band.to_h) * 60.0;
        let ready = reached(&read, done, |a, b| least(a).max(least(b)));
        (Some(ready).filter(|minutes| minutes.is_finite()), reached(&read, done, |a, b| most(a).min(most(b))))
    }
}

/// Minutes after `done` when the parts of the whole add up to one: `whole` says how many minutes it takes between two readings.
fn reached(read: &[(f64, f64)], done: f64, whole: impl Fn(f64, f64) -> f64) -> f64 {
    let (mut at, mut left) = (done, 1.0);
    for (i, &(until, c)) in read.iter().enumerate() {
        let before = i.checked_sub(1).map_or(c, |i| read[i].1);
        let minutes = whole(before, c);
        if until > at {
            if (until - at) / minutes >= left {
                return at - done + left * minutes;
            }
            left -= (until - at) / minutes;
            at = until;
        }
    }
    let last = read.last().map_or(f64::INFINITY, |&(_, c)| whole(c, c));
    at - done + left * last
}

/// Holds the coats against the windows of the layers they lie on.
///
/// A coat is measured against the coats of the nearest layer below it on the same roof: not begun before the last of them
/// has stood long enough, begun before the first of them has stood too long; both by how warm it lay.
///
/// `path` is the JSON Pointer of the list of coats.
pub(crate) fn inspect_coats(system: &System, coats: &[Coat], warmth: &Warmth, path: &str, findings: &mut Vec<Finding>) {
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
        let windows = || {
            under().map(|other| {
                let times = (other.done_min, coat.begun_min);
                (coat.begun_min - other.done_min, warmth.window(&system.layers[below], window, coat.roof, times))
            })
        };
        // A hair of a minute is what adding up parts may cost.
        let early = |&(wait, (from_min, _)): &(f64, (Option<f64>, f64))| from_min.is_none_or(|from| wait < from - 1e-6);
        if let Some((wait, (from_min, _))) = windows().filter(early).min_by(|a, b| a.0.total_cmp(&b.0)) {
            let advice = match from_min {
                Some(from_min) => format!("wait {} at least.", whole(from_min)),
                None => "it does not cure at the temperature that was read. Wait for a warmer surface.".into(),
            };
            let text = format!("Begun {wait} minutes after {name} was done; {advice}");
            let finding = Finding::new(Grade::Refuse, "coat_too_early", &place, WINDOW_BASIS, text);
            // Where no wait is long enough, the limit is that of the table.
            findings.push(finding.measured(wait, from_min.map_or(window.from_min, whole), "min"));
        }
        let late = |&(wait, (_, to_min)): &(f64, (Option<f64>, f64))| wait > to_min + 1e-6;
        if let Some((wait, (_, to_min))) = windows().filter(late).max_by(|a, b| a.0.total_cmp(&b.0)) {
            let hours = |minutes: f64| (minutes / 6.0).round() / 10.0;
            let text = format!(
                "Begun {} hours after {name} was done, later than {}. Wipe it with solvent first, or do what the data \
                 sheet says.",
                hours(wait),
                hours(to_min)
            );
            let finding = Finding::new(Grade::Caution, "coat_too_late", &place, WINDOW_BASIS, text);
            findings.push(finding.measured(wait, to_min.floor(), "min"));
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

/// Whole minutes, rounded up.
fn whole(minutes: f64) -> f64 {
    (minutes - 1e-6).ceil()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coat(layer: &str, begun_min: f64, done_min: f64) -> Coat {
        Coat { layer: layer.into(), roof: 0, begun_min, done_min, wetted: false }
    }

    fn codes(coats: Vec<Coat>) -> Vec<(String, String)> {
        let mut findings = Vec::new();
        inspect_coats(&System::default(), &coats, &Warmth::default(), "/survey/coats", &mut findings);
        findings.into_iter().map(|finding| (finding.code, finding.place)).collect()
    }

    /// What resin begun so long after primer is found to be, with these readings: minutes from the end of the primer, degrees.
    fn found(wait: f64, readings: &[(f64, f64)]) -> Option<(String, Option<f64>)> {
        let warmth = Warmth { steady_c: None, readings: readings.iter().map(|&(at, c)| (0, 30.0 + at, c)).collect() };
        let coats = [coat("primer", 0.0, 30.0), coat("resin", 30.0 + wait, 90.0 + wait)];
        let mut findings = Vec::new();
        inspect_coats(&System::default(), &coats, &warmth, "", &mut findings);
        findings.pop().map(|finding| (finding.code, finding.limit))
    }

    // The demonstration system asks for 90 minutes at 5 to 10 degrees, 60 up to 18 and 34 up to 30.
    #[test]
    fn a_cold_layer_waits_longer_and_a_warm_one_less() {
        let early = |limit| Some(("coat_too_early".to_string(), Some(limit)));
        for (surface_c, least) in [(7.0, 90.0), (12.0, 60.0), (25.0, 34.0)] {
            assert_eq!(found(least, &[(-20.0, surface_c)]), None);
            assert_eq!(found(least - 1.0, &[(-20.0, surface_c)]), early(least));
        }
        // Off the table nothing cures.
        assert_eq!(found(600.0, &[(0.0, 3.0)]), early(60.0));
        // A reading of more than two hours before tells nothing: the plain window holds.
        assert_eq!(found(60.0, &[(-121.0, 7.0)]), None);
        // Half the wait at 12 degrees is 30 minutes; the other half at 7 degrees takes 45. From one reading to the next the
        // colder holds, so the cold begins at the reading before it.
        assert_eq!(found(75.0, &[(0.0, 12.0), (30.0, 12.0), (31.0, 7.0)]), None);
        assert_eq!(found(74.0, &[(0.0, 12.0), (30.0, 12.0), (31.0, 7.0)]), early(75.0));
        assert_eq!(found(89.0, &[(0.0, 12.0), (30.0, 7.0)]), early(90.0));
    }

    #[test]
    fn the_longest_wait_is_that_of_the_temperature_too() {
        let mut system = System::default();
        system.layers[0].next_at[2].to_h = 10.0;
        let coats = [coat("primer", 0.0, 30.0), coat("resin", 30.0 + 601.0, 700.0)];
        let codes = |steady_c: Option<f64>| {
            let mut findings = Vec::new();
            let warmth = Warmth { steady_c, ..Warmth::default() };
            inspect_coats(&system, &coats, &warmth, "", &mut findings);
            findings.into_iter().map(|finding| (finding.code, finding.limit)).collect::<Vec<_>>()
        };
        assert_eq!(codes(Some(25.0)), [("coat_too_late".to_string(), Some(600.0))]);
        assert_eq!(codes(Some(12.0)), []);
        // One temperature off the table says nothing about the past.
        assert_eq!((codes(None), codes(Some(-3.0))), (vec![], vec![]));
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
