//! Sets of rules for falls and upstands, to choose between.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Limits, System};
use crate::length::Length;

/// What one code or one body asks of falls, upstands and areas. Chosen by name in [`System::standard`], it takes the place of
/// the system's own limits for these.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    /// What it is chosen by.
    pub name: String,
    /// Least fall of the finished roof: drop per run, so that 0.0125 is 1:80. With 0 a level roof passes, but no back-fall.
    pub fall: f64,
    /// Least fall as designed.
    pub design_fall: f64,
    /// Least height of an upstand above the finished roof.
    pub upstand: Length,
    /// Largest roof that it is for, in square metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_area_m2: Option<f64>,
    /// Where it comes from: printed with every finding that rests on it.
    pub basis: String,
}

impl System {
    /// The standard that is chosen, if the list has it.
    pub fn chosen_standard(&self) -> Option<&Standard> {
        let name = self.standard.as_ref()?;
        self.standards.iter().find(|standard| standard.name == *name)
    }

    /// The limits, with falls and upstands of the chosen standard.
    ///
    /// ```
    /// use upstand::{Length, System};
    ///
    /// let mut system = System::default();
    /// assert_eq!(system.limits_in_force().upstand, Length::from_mm(150));
    /// system.standard = Some("us".into());
    /// assert_eq!(system.limits_in_force().upstand, Length::from_um(203_200));
    /// // A name that the list does not have is a problem of the system.
    /// system.standard = Some("moon".into());
    /// assert_eq!(system.check()[0].path(), "/system/standard");
    /// ```
    pub fn limits_in_force(&self) -> Cow<'_, Limits> {
        let Some(standard) = self.chosen_standard() else { return Cow::Borrowed(&self.limits) };
        let Standard { fall, design_fall, upstand, .. } = *standard;
        Cow::Owned(Limits { fall, design_fall, upstand, ..self.limits.clone() })
    }

    /// The basis of a finding: the chosen standard's, else `usual`.
    pub(crate) fn basis<'a>(&'a self, usual: &'a str) -> &'a str {
        self.chosen_standard().map_or(usual, |standard| &standard.basis)
    }
}

/// The built-in list.
pub(super) fn standards() -> Vec<Standard> {
    let standard = |name: &str, fall, design_fall, upstand_um, most_area_m2, basis: &str| Standard {
        name: name.into(),
        fall,
        design_fall,
        upstand: Length::from_um(upstand_um),
        most_area_m2,
        basis: basis.into(),
    };
    vec![
        standard(
            "uk",
            1.0 / 80.0,
            1.0 / 40.0,
            150_000,
            None,
            "BS 6229:2018, as summarised by warranty guides: finished falls of 1:80, so that 1:40 is designed; upstands of 150 mm",
        ),
        // Aluminium, copper and zinc, fully supported; the fall as designed is this project's own, twice the finished one.
        standard(
            "uk_metal",
            1.0 / 60.0,
            1.0 / 30.0,
            150_000,
            None,
            "BS 6229, as summarised by a building-control guide: finished falls of 1:60 under fully supported metal",
        ),
        standard(
            "uk_zero_fall",
            0.0,
            1.0 / 80.0,
            150_000,
            None,
            "BS 6229:2018 and a warranty body's policy, as summarised: zero falls are designed at 1:80, without back-falls; one \
             body takes none on timber decks",
        ),
        standard(
            "uk_grp_on_timber",
            1.0 / 80.0,
            1.0 / 40.0,
            150_000,
            Some(50.0),
            "a warranty body's technical blog on site-laid GRP on timber: usual for roofs of up to 50 m2",
        ),
        standard(
            "uk_grp_on_cold_deck",
            1.0 / 80.0,
            1.0 / 40.0,
            150_000,
            Some(3.0),
            "a warranty body's technical blog on site-laid GRP on timber: cold decks of up to 3 m2, ventilated over 5 m at most",
        ),
        standard(
            "us",
            0.25 / 12.0,
            0.25 / 12.0,
            203_200,
            None,
            "IBC 1507.15.1, as a state rule reprints it: a quarter in twelve (1:48) under liquid-applied roofs; base flashings of 8 \
             in, as a trade journal gives the NRCA manual",
        ),
    ]
}
