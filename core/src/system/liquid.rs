//! The wet work as data: layers in the order of application, and the hardeners that go into them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::window::{Renewal, Window, WindowBand};
use crate::money::Money;

/// One layer of the wet work: primer, laminating resin, top coat, or whatever a system has.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// Stable name, such as `primer`: what orders and records call it. No two layers or hardeners share one.
    pub material: String,
    /// Name printed on sheets.
    pub name: String,
    /// What it covers.
    pub covers: Covers,
    /// How much of it is needed.
    pub rate: Rate,
    /// How much of it is needed where the job prefers a smooth finish; `rate` is then for a thin one, through which the glass
    /// can be seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smooth: Option<Rate>,
    /// Which part of it goes on before the mat, as the skin that the mat is laid into; the rest goes over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub under_mat: Option<f64>,
    /// Kilograms per litre: needed only where hardener is dosed by the litre of this layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density_kg_l: Option<f64>,
    /// The hardener that is mixed in, by its `material`; none for one-part products.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hardener: Option<String>,
    /// Largest mass that is mixed at once, in kilograms: by the container, or by the data sheet. Needed with a hardener.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_mix_kg: Option<f64>,
    /// What it is mixed in; needs the density.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub container: Option<Container>,
    /// Square metres that one person lays in an hour: with crew and pot life it limits what is mixed at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub m2_per_person_hour: Option<f64>,
    /// When the next layer may follow, where the temperature of the surface is not known or makes no difference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<Window>,
    /// The same by the temperature of the surface while this layer lies, from cold to warm, without overlap. An hour counts
    /// for the part of a band's time that it is: half an hour of a band with 60 minutes is as good as an hour of one with
    /// 120. Outside the bands nothing cures, and the time in which the next layer may follow runs out as in the band where it
    /// is shortest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub next_at: Vec<WindowBand>,
    /// What makes it fit for the next layer where it has stood too long or got wet; where nothing is given, nothing does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub renewal: Option<Renewal>,
    /// Minutes after this layer is done before rain or dew does it no harm; by default the least time to the next layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain_safe_min: Option<f64>,
    /// Allowance as a fraction of the net mass.
    pub allowance: f64,
    /// Packs sold.
    pub packs: Vec<Pack>,
}

/// What a layer is mixed in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Container {
    /// Most that is mixed in it, in litres.
    pub size_l: f64,
    /// From one mark on its side to the next, in litres: where it has marks, batches are whole numbers of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark_l: Option<f64>,
}

/// What a layer covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Covers {
    /// The deck that no trim covers.
    BareDeck,
    /// The area inside the seams between trims and deck.
    Laminate,
    /// Everything inside the outline.
    Roof,
    /// What of the trims stands outside the laminate: all facets but the deck flange, over the length as cut.
    Trims,
}

/// How a top coat looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Finish {
    /// Thin: the glass can be seen.
    #[default]
    Thin,
    /// Smooth: the glass is filled.
    Smooth,
}

/// How much of a layer is needed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Rate {
    /// Kilograms per square metre of what it covers.
    KgPerM2(f64),
    /// Kilograms per kilogram of glass mat, tape and patches: what the glass takes up.
    PerGlass(f64),
}

/// One size of pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pack {
    /// Net mass in kilograms.
    pub mass_kg: f64,
    /// Price in the job's money, if known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Money>,
}

/// Hardener: a table of surface-temperature bands. Outside the table there is no dose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hardener {
    /// Stable name that layers refer to.
    pub material: String,
    /// Name printed on sheets.
    pub name: String,
    /// What the doses of the table are numbers of.
    #[serde(default)]
    pub dosing: Dosing,
    /// The bands, from cold to warm, without overlap.
    pub bands: Vec<DoseBand>,
    /// Whether the dose between two bands that leave a gap lies on the straight line from one to the other. By default gaps
    /// have no dose. Beyond the table there is none in either case.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub interpolate: bool,
    /// Kilograms per litre: needed where hardener is dosed by volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub density_kg_l: Option<f64>,
    /// What the scales show, in grams: amounts are rounded up to it; by default to a gram, below 20 g to a tenth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale_g: Option<f64>,
    /// No band may come to a smaller mass of hardener per mass of a layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_fraction: Option<f64>,
    /// More than this is said where measures are rounded up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_fraction: Option<f64>,
    /// Allowance as a fraction of the net mass.
    pub allowance: f64,
    /// Packs sold.
    pub packs: Vec<Pack>,
}

/// What the doses of a hardener table are numbers of. All are of hardener as sold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Dosing {
    /// Kilograms per kilogram of the layer: 0.02 is 2 %.
    #[default]
    MassFraction,
    /// Millilitres per kilogram of the layer.
    MlPerKg,
    /// Millilitres per litre of the layer.
    MlPerL,
    /// Measures for one mix of a given size.
    Measures {
        /// What one measure holds, in grams.
        measure_g: f64,
        /// The mix that the table is for, in kilograms of the layer.
        mix_kg: f64,
        /// Into how many parts a measure can be divided: 1 for whole measures only, 2 for halves. Rounded up to a part.
        #[serde(default = "whole_measures")]
        part: u32,
    },
}

const fn whole_measures() -> u32 {
    1
}

/// One band of the hardener table. Both ends belong to it; where two bands meet, the warmer one holds. In a table that is
/// interpolated a band may be a point: it ends where it begins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DoseBand {
    /// Coldest surface temperature of the band in degrees Celsius.
    pub from_c: f64,
    /// Warmest surface temperature of the band in degrees Celsius.
    pub to_c: f64,
    /// The dose, in what the table's `dosing` says.
    pub dose: f64,
    /// Shortest time within the band, in minutes, before a mix gels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot_life_min: Option<f64>,
}

impl super::System {
    /// The system with the rates that a job asks for: primer as the surveyed surface drinks it, coats for the finish.
    ///
    /// ```
    /// use upstand::System;
    /// use upstand::survey::{Covering, Survey};
    /// use upstand::system::{Finish, Rate};
    ///
    /// let system = System::default();
    /// let felt = Survey { covering: Some(Covering::Felt), ..Survey::default() };
    /// let found = system.with_rates_for(&felt, Finish::Smooth);
    /// // A quarter more than the 0.2 kg/m2 of boards.
    /// assert_eq!(found.layers[0].rate, Rate::KgPerM2(0.25));
    /// assert_eq!(found.layers[2].rate, Rate::KgPerM2(0.7));
    /// // An unknown surface and a thin finish take the rates as they stand.
    /// assert_eq!(system.with_rates_for(&Survey::default(), Finish::Thin), system);
    /// ```
    pub fn with_rates_for(&self, survey: &crate::survey::Survey, finish: Finish) -> Self {
        let mut system = self.clone();
        for (layer, of) in system.layers.iter_mut().zip(&self.layers) {
            if let (Finish::Smooth, Some(smooth)) = (finish, of.smooth) {
                layer.rate = smooth;
            }
            let absorption = self.absorption(of, survey);
            if let Rate::KgPerM2(rate) = &mut layer.rate {
                *rate *= absorption;
            }
        }
        system
    }

    /// The hardener of a layer, if it has one.
    pub fn hardener_of(&self, layer: &Layer) -> Option<&Hardener> {
        let material = layer.hardener.as_ref()?;
        self.hardeners.iter().find(|hardener| hardener.material == *material)
    }
}

impl Hardener {
    /// A dose of the table as mass of hardener per mass of the layer; `None` where a density is missing that it needs.
    ///
    /// ```
    /// use upstand::System;
    ///
    /// let system = System::default();
    /// let (hardener, resin) = (&system.hardeners[0], &system.layers[1]);
    /// assert_eq!(hardener.fraction(hardener.bands[1].dose, resin), Some(0.02));
    /// ```
    pub fn fraction(&self, dose: f64, layer: &Layer) -> Option<f64> {
        match self.dosing {
            Dosing::MassFraction => Some(dose),
            // Millilitres times kilograms per litre are grams.
            Dosing::MlPerKg => Some(dose * self.density_kg_l? / 1_000.0),
            Dosing::MlPerL => Some(dose * self.density_kg_l? / (1_000.0 * layer.density_kg_l?)),
            Dosing::Measures { measure_g, mix_kg, .. } => Some(dose * measure_g / (1_000.0 * mix_kg)),
        }
    }
}
