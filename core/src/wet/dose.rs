//! The hardener dose for a surface temperature.

use crate::finding::{Finding, Grade};
use crate::survey::Survey;
use crate::system::{DoseBand, Hardener, System};

const TABLE_BASIS: &str = "the system's hardener table";

/// The dose that holds at a surface temperature, with the temperatures for which it does, or why there is none.
///
/// Bands include both of their ends; where two bands meet, the warmer one holds at the shared border. Outside the
/// table there is no dose: nothing is extrapolated. In a gap between two rows there is none either, unless the table says
/// `interpolate`: then the dose at `t` between the end `a` of the colder row and the beginning `b` of the warmer one is
/// `d_a + (d_b - d_a) (t - a) / (b - a)`, rounded up to a millionth and never more than the colder row's; the pot life is the
/// shorter of the two. So a table of points is written as rows that end where they begin.
///
/// # Errors
/// The finding `hardener_table` (refuse).
///
/// ```
/// use upstand::{System, wet};
///
/// let hardener = &System::default().hardeners[0];
/// assert_eq!(wet::dose(hardener, 12.0).unwrap().dose, 0.02);
/// assert_eq!(wet::dose(hardener, 4.9).unwrap_err().code, "hardener_table");
/// ```
pub fn dose(hardener: &Hardener, surface_c: f64) -> Result<DoseBand, Box<Finding>> {
    let row = hardener.bands.iter().rev().find(|band| band.from_c <= surface_c && surface_c <= band.to_c).cloned();
    row.or_else(|| between(hardener, surface_c)).ok_or_else(|| Box::new(no_dose(hardener, surface_c)))
}

/// The dose in the gap between two rows, where the table lets it be read off the line from one to the other.
fn between(hardener: &Hardener, surface_c: f64) -> Option<DoseBand> {
    let gap = |pair: &&[DoseBand]| pair[0].to_c < surface_c && surface_c < pair[1].from_c;
    let pair = hardener.bands.windows(2).filter(|_| hardener.interpolate).find(gap)?;
    let (cold, warm) = (&pair[0], &pair[1]);
    let share = (surface_c - cold.to_c) / (warm.from_c - cold.to_c);
    let exact = cold.dose + (warm.dose - cold.dose) * share;
    // What is a hair above a millionth is that millionth.
    let dose = ((exact * 1e6 - 1e-3).ceil() / 1e6).max(warm.dose).min(cold.dose);
    let pot_life_min = [cold.pot_life_min, warm.pot_life_min].into_iter().flatten().min_by(f64::total_cmp);
    Some(DoseBand { from_c: surface_c, to_c: surface_c, dose, pot_life_min })
}

/// The table in rows without gaps to read off, from cold to warm: in a gap that is interpolated a row for each degree, or for
/// each tenth of a gap of more than ten, with the dose of its coldest end.
pub(super) fn rows(hardener: &Hardener) -> Vec<DoseBand> {
    let mut rows: Vec<DoseBand> = Vec::new();
    for (i, band) in hardener.bands.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|i| hardener.bands.get(i)).filter(|_| hardener.interpolate);
        if let Some(before) = before.filter(|before| before.to_c < band.from_c) {
            let step = ((band.from_c - before.to_c) / 10.0).ceil();
            let mut from_c = before.to_c;
            while from_c < band.from_c {
                let to_c = (((from_c / step).floor() + 1.0) * step).min(band.from_c);
                let colder = between(hardener, from_c).unwrap_or_else(|| before.clone());
                // What lies between the two rows gels no later than in either.
                let pot_life_min = between(hardener, (from_c + to_c) / 2.0).and_then(|row| row.pot_life_min);
                rows.push(DoseBand { from_c, to_c, pot_life_min, ..colder });
                from_c = to_c;
            }
        }
        // A point is where the next row begins.
        if band.from_c < band.to_c || i + 1 == hardener.bands.len() {
            rows.push(band.clone());
        }
    }
    rows
}

fn no_dose(hardener: &Hardener, surface_c: f64) -> Finding {
    let mut spans: Vec<(f64, f64)> = hardener.bands.iter().map(|band| (band.from_c, band.to_c)).collect();
    if let (true, Some(first), Some(last)) = (hardener.interpolate, spans.first(), spans.last()) {
        spans = vec![(first.0, last.1)];
    }
    let table: Vec<_> = spans.iter().map(|(from_c, to_c)| format!("{from_c} to {to_c}")).collect();
    let finding = Finding::new(
        Grade::Refuse,
        "hardener_table",
        "/survey/surface_c",
        TABLE_BASIS,
        format!(
            "The surface is at {surface_c} degrees Celsius; the {} is given for {} only. Do not mix: wait for a surface \
             temperature in the table, or ask the supplier.",
            hardener.name,
            table.join(" and ")
        ),
    );
    // The nearest end of the table, the colder of two equally near.
    let ends = spans.iter().flat_map(|&(from_c, to_c)| [from_c, to_c]);
    match ends.min_by(|a, b| (a - surface_c).abs().total_cmp(&(b - surface_c).abs())) {
        Some(limit) => finding.measured(surface_c, limit, "degC"),
        None => finding,
    }
}

pub(super) fn inspect(system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    if !system.layers.iter().any(|layer| layer.hardener.is_some()) {
        return;
    }
    let Some(surface_c) = survey.surface_c else {
        findings.push(Finding::new(
            Grade::Note,
            "no_surface_temperature",
            "/survey/surface_c",
            TABLE_BASIS,
            "No surface temperature is given. The order covers the largest dose of the table; no dose for mixing is \
             given. Read the surface at each mix.",
        ));
        return;
    };
    let used = |hardener: &&Hardener| system.layers.iter().any(|l| l.hardener.as_ref() == Some(&hardener.material));
    let refused = system.hardeners.iter().filter(used).filter_map(|hardener| dose(hardener, surface_c).err());
    findings.extend(refused.map(|finding| *finding));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hardener(bands: &[(f64, f64, f64)]) -> Hardener {
        let bands =
            bands.iter().map(|&(from_c, to_c, dose)| DoseBand { from_c, to_c, dose, pot_life_min: None }).collect();
        Hardener { bands, ..System::default().hardeners[0].clone() }
    }

    fn points(points: &[(f64, f64)]) -> Hardener {
        let bands: Vec<_> = points.iter().map(|&(at, dose)| (at, at, dose)).collect();
        Hardener { interpolate: true, ..hardener(&bands) }
    }

    fn given(hardener: &Hardener, surface_c: f64) -> Option<f64> {
        dose(hardener, surface_c).ok().map(|band| band.dose)
    }

    // Bands as common practice words them (no source): six measures at 11 to 17 degrees, four at 18 to 30.
    #[test]
    fn a_gap_between_bands_is_no_band() {
        let table = hardener(&[(11.0, 17.0, 0.06), (18.0, 30.0, 0.04)]);
        let given = [10.9, 11.0, 17.0, 17.1, 17.9, 18.0, 30.0, 30.1, f64::NAN].map(|c| given(&table, c));
        assert_eq!(given, [None, Some(0.06), Some(0.06), None, None, Some(0.04), Some(0.04), None, None]);
    }

    #[test]
    fn at_a_shared_border_the_warmer_band_holds() {
        let table = hardener(&[(5.0, 10.0, 0.03), (10.0, 18.0, 0.02), (18.0, 30.0, 0.015)]);
        let given = [9.999, 10.0, 17.999, 18.0, 30.0].map(|c| given(&table, c));
        assert_eq!(given, [Some(0.03), Some(0.02), Some(0.02), Some(0.015), Some(0.015)]);
    }

    #[test]
    fn the_refusal_names_the_nearest_end_of_the_table() {
        let found = |surface_c| {
            let mut findings = Vec::new();
            inspect(&System::default(), &Survey { surface_c, ..Survey::default() }, &mut findings);
            findings
        };
        for (surface_c, limit) in [(-3.0, 5.0), (31.5, 30.0)] {
            let found = found(Some(surface_c));
            assert_eq!(found.len(), 1);
            assert_eq!((found[0].grade, found[0].code.as_str()), (Grade::Refuse, "hardener_table"));
            assert_eq!((found[0].value, found[0].limit), (Some(surface_c), Some(limit)));
        }
        assert!(found(Some(20.0)).is_empty());
        assert_eq!(found(None)[0].code, "no_surface_temperature");
    }

    // Interpolation in a straight line is exact for what lies on one: 3 % at 5 degrees falls by 0.1 % a degree.
    #[test]
    fn between_points_the_dose_lies_on_the_line() {
        let table = points(&[(5.0, 0.03), (10.0, 0.025), (20.0, 0.015)]);
        let given = [4.9, 5.0, 7.0, 10.0, 12.5, 20.0, 20.1, f64::NAN].map(|c| given(&table, c));
        let line = [None, Some(0.03), Some(0.028), Some(0.025), Some(0.0225), Some(0.015), None, None];
        assert_eq!(given, line);
        // A third of a step is rounded up, never down.
        let thirds = points(&[(0.0, 0.02), (3.0, 0.01)]);
        assert_eq!(dose(&thirds, 1.0).map(|row| row.dose), Ok(0.016667));
        assert_eq!(dose(&thirds, 2.0).map(|row| row.dose), Ok(0.013334));
    }

    #[test]
    fn rows_to_read_off_have_the_dose_of_their_coldest_end() {
        let mut table = hardener(&[(5.0, 10.0, 0.03), (13.5, 18.0, 0.016)]);
        assert_eq!(rows(&table), table.bands);
        table.interpolate = true;
        table.bands[1].pot_life_min = Some(12.0);
        table.bands[0].pot_life_min = Some(20.0);
        let read: Vec<_> = rows(&table).iter().map(|row| (row.from_c, row.to_c, row.dose, row.pot_life_min)).collect();
        let between = [(10.0, 11.0, 0.03), (11.0, 12.0, 0.026), (12.0, 13.0, 0.022), (13.0, 13.5, 0.018)];
        let mut wanted = vec![(5.0, 10.0, 0.03, Some(20.0))];
        wanted.extend(between.map(|(from, to, dose)| (from, to, dose, Some(12.0))));
        wanted.push((13.5, 18.0, 0.016, Some(12.0)));
        assert_eq!(read, wanted);
        assert!(rows(&points(&[(-60.0, 0.1), (100.0, 0.01)])).len() <= 13);
    }

    proptest::proptest! {
        // Laws of a table that is interpolated: its own dose at its own points, between the two rows beside a gap, never less
        // where it is colder, none beyond its ends; and where the table does not say so, none in gaps.
        #[test]
        fn an_interpolated_table_keeps_to_its_rows(
            steps in proptest::collection::vec((0.0..6.0f64, 0.1..9.0f64, 0.0..0.01f64), 1..6),
            a in -5.0..60.0f64, b in -5.0..60.0f64,
        ) {
            let (mut at, mut dose_at, mut bands) = (0.0, 0.06, Vec::new());
            for (long, gap, less) in steps {
                bands.push((at, at + long, dose_at));
                at += long + gap;
                dose_at -= less;
            }
            let table = Hardener { interpolate: true, ..hardener(&bands) };
            for &(from_c, to_c, wanted) in &bands {
                proptest::prop_assert_eq!((given(&table, from_c), given(&table, to_c)), (Some(wanted), Some(wanted)));
            }
            let (from_c, to_c) = (bands[0].0, bands[bands.len() - 1].1);
            for at in [a, b] {
                proptest::prop_assert_eq!(given(&table, at).is_some(), from_c <= at && at <= to_c);
                let strict = given(&Hardener { interpolate: false, ..table.clone() }, at);
                let on_a_row = bands.iter().any(|&(from_c, to_c, _)| from_c <= at && at <= to_c);
                proptest::prop_assert_eq!(strict.is_some(), on_a_row);
                // A row that is read off never gives less than the line.
                for row in rows(&table).iter().filter(|row| row.from_c <= at && at <= row.to_c) {
                    proptest::prop_assert!(given(&table, at).is_some_and(|exact| exact <= row.dose));
                }
            }
            if let (Some(cold), Some(warm)) = (given(&table, a.min(b)), given(&table, a.max(b))) {
                proptest::prop_assert!(cold >= warm);
            }
        }

        // The dose never rises with the temperature (a table whose doses do is refused when the system is checked).
        #[test]
        fn a_warmer_surface_never_takes_more(a in -10.0..40.0f64, b in -10.0..40.0f64) {
            let table = System::default().hardeners[0].clone();
            if let (Some(cold), Some(warm)) = (given(&table, a.min(b)), given(&table, a.max(b))) {
                proptest::prop_assert!(cold >= warm);
            }
        }
    }
}
