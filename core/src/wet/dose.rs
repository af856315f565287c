//! The hardener dose for a surface temperature.

use crate::finding::{Finding, Grade};
use crate::survey::Survey;
use crate::system::{DoseBand, Hardener, System};

const TABLE_BASIS: &str = "the system's hardener table";

/// The row of the hardener table that holds at a surface temperature, or why there is none.
///
/// Bands include both of their ends; where two bands meet, the warmer one holds at the shared border. Outside the
/// table and in its gaps there is no dose: nothing is extrapolated or interpolated.
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
pub fn dose(hardener: &Hardener, surface_c: f64) -> Result<&DoseBand, Box<Finding>> {
    let band = hardener.bands.iter().rev().find(|band| band.from_c <= surface_c && surface_c <= band.to_c);
    band.ok_or_else(|| Box::new(no_dose(hardener, surface_c)))
}

fn no_dose(hardener: &Hardener, surface_c: f64) -> Finding {
    let table: Vec<_> = hardener.bands.iter().map(|band| format!("{} to {}", band.from_c, band.to_c)).collect();
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
    let ends = hardener.bands.iter().flat_map(|band| [band.from_c, band.to_c]);
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

    proptest::proptest! {
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
