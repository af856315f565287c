//! What makes layers and hardener tables usable.

use super::check::Problems;
use super::{Container, Dosing, Hardener, Layer, Pack, Rate, System, Window, Work};
use crate::error::Code;
use crate::roof::Kind;

/// Kilograms per square metre: a centimetre of resin is about 12.
const LARGEST_RATE: f64 = 100.0;
/// Chopped-strand mat takes up about 2 to 3 times its mass.
const LARGEST_RATIO: f64 = 20.0;
/// Peroxide hardeners are dosed at 1 to 4 % (general literature), powders to 6 % (from memory): beyond 25 % is a slip.
const LARGEST_FRACTION: f64 = 0.25;
/// Kilograms per litre, from the lightest solvent to filled coats.
const DENSITIES: (f64, f64) = (0.5, 5.0);

impl Problems {
    pub(super) fn wet_work(&mut self, system: &System) {
        let names = || {
            let layers = system.layers.iter().enumerate().map(|(i, layer)| (format!("/layers/{i}"), &layer.material));
            let hardeners = system.hardeners.iter().enumerate();
            layers.chain(hardeners.map(|(i, hardener)| (format!("/hardeners/{i}"), &hardener.material)))
        };
        for (i, (path, name)) in names().enumerate() {
            if name.is_empty() || names().take(i).any(|(_, before)| before == name) {
                let message = format!("{name:?} is no name of its own: layers and hardeners each need one");
                self.add(Code::BadLiquid, &format!("{path}/material"), message);
            }
        }
        for (i, layer) in system.layers.iter().enumerate() {
            self.layer(&format!("/layers/{i}"), layer, system);
        }
        for (i, hardener) in system.hardeners.iter().enumerate() {
            self.hardener(&format!("/hardeners/{i}"), hardener);
        }
    }

    pub(super) fn work(&mut self, work: &Work) {
        let rates = [
            ("preparation_m2", work.preparation_m2),
            ("trim_m", work.trim_m),
            ("tape_m", work.tape_m),
            ("joints", work.joints),
            ("patches", work.patches),
            ("coat_m2", work.coat_m2),
        ];
        for (field, rate) in rates {
            self.number(Code::BadRate, &format!("/work/{field}"), rate, (0.01, 10_000.0));
        }
        self.number(Code::BadRate, "/work/rain_mm", work.rain_mm, (0.0, 500.0));
        self.number(Code::BadRate, "/work/drying_min", work.drying_min.into(), (0.0, 10_080.0));
        if Kind::ALL.iter().any(|kind| !work.trim_order.contains(kind)) {
            self.add(Code::BadTable, "/work/trim_order", "each kind of trim once".into());
        }
    }

    fn layer(&mut self, path: &str, layer: &Layer, system: &System) {
        let code = Code::BadLiquid;
        for (field, rate) in [("rate", Some(layer.rate)), ("smooth", layer.smooth)] {
            match rate {
                Some(Rate::KgPerM2(rate)) => {
                    self.number(Code::BadRate, &format!("{path}/{field}/kg_per_m2"), rate, (0.0, LARGEST_RATE));
                }
                Some(Rate::PerGlass(ratio)) => {
                    self.number(Code::BadRate, &format!("{path}/{field}/per_glass"), ratio, (0.0, LARGEST_RATIO));
                }
                None => {}
            }
        }
        self.optional(&format!("{path}/under_mat"), layer.under_mat, (0.0, 1.0));
        self.optional(&format!("{path}/density_kg_l"), layer.density_kg_l, DENSITIES);
        self.optional(&format!("{path}/most_mix_kg"), layer.most_mix_kg, (0.01, 10_000.0));
        self.optional(&format!("{path}/m2_per_person_hour"), layer.m2_per_person_hour, (0.01, 10_000.0));
        self.optional(&format!("{path}/rain_safe_min"), layer.rain_safe_min, (0.0, 100_000.0));
        if let Some(Window { from_min, to_h }) = layer.next {
            self.number(code, &format!("{path}/next/from_min"), from_min, (0.0, 100_000.0));
            // NaN fails every comparison and is told by the first check.
            let least_h = if from_min.is_finite() { from_min / 60.0 } else { 0.0 };
            self.number(code, &format!("{path}/next/to_h"), to_h, (least_h, 10_000.0));
        }
        self.windows(path, layer);
        if let Some(name) = &layer.hardener {
            match system.hardener_of(layer) {
                None => {
                    let message = format!("no hardener has the material name {name:?}");
                    self.add(code, &format!("{path}/hardener"), message);
                }
                Some(hardener) if hardener.dosing == Dosing::MlPerL && layer.density_kg_l.is_none() => {
                    let message = format!("{name:?} is dosed by the litre: the density of the layer is needed");
                    self.add(code, &format!("{path}/density_kg_l"), message);
                }
                Some(_) => {}
            }
            if layer.most_mix_kg.is_none() {
                let message = "a layer with hardener needs the largest mass that is mixed at once".to_string();
                self.add(code, &format!("{path}/most_mix_kg"), message);
            }
        }
        if let Some(Container { size_l, mark_l }) = layer.container {
            self.number(code, &format!("{path}/container/size_l"), size_l, (0.01, 10_000.0));
            self.optional(&format!("{path}/container/mark_l"), mark_l, (0.001, size_l.max(0.001)));
            if layer.density_kg_l.is_none() {
                let message = "mixed by the litre: the density of the layer is needed".to_string();
                self.add(code, &format!("{path}/density_kg_l"), message);
            }
        }
        self.fractions(path, layer, system);
        self.allowance(path, layer.allowance);
        self.packs(path, &layer.packs);
    }

    /// Bands of windows from cold to warm, and what is done where they have passed.
    fn windows(&mut self, path: &str, layer: &Layer) {
        if layer.next.is_none() && (!layer.next_at.is_empty() || layer.renewal.is_some()) {
            let message = "windows by temperature and cleaning need a window for where the temperature is not known";
            self.add(Code::BadLiquid, &format!("{path}/next"), message.into());
        }
        for (i, band) in layer.next_at.iter().enumerate() {
            let path = |field| format!("{path}/next_at/{i}/{field}");
            self.number(Code::BadTable, &path("from_c"), band.from_c, (-60.0, 100.0));
            self.number(Code::BadTable, &path("to_c"), band.to_c, (-60.0, 100.0));
            if band.from_c >= band.to_c {
                let message = format!("{} to {} degrees Celsius is no band: coldest first", band.from_c, band.to_c);
                self.add(Code::BadTable, &path("to_c"), message);
            }
            self.number(Code::BadTable, &path("from_min"), band.from_min, (1.0, 100_000.0));
            let least_h = if band.from_min.is_finite() { band.from_min / 60.0 } else { 0.0 };
            self.number(Code::BadTable, &path("to_h"), band.to_h, (least_h, 10_000.0));
            let Some(before) = i.checked_sub(1).and_then(|i| layer.next_at.get(i)) else { continue };
            if band.from_c < before.to_c {
                let message = format!("{} overlaps the band before, which ends at {}", band.from_c, before.to_c);
                self.add(Code::BadTable, &path("from_c"), message);
            }
            if band.from_min > before.from_min {
                let message = format!(
                    "{} minutes are more than the {} of the colder band before: nothing cures slower on a warmer surface",
                    band.from_min, before.from_min
                );
                self.add(Code::BadTable, &path("from_min"), message);
            }
        }
        let Some(renewal) = &layer.renewal else { return };
        let path = |field| format!("{path}/renewal/{field}");
        if renewal.how.is_empty() {
            self.add(Code::BadLiquid, &path("how"), "what is done has to be said".into());
        }
        let rate = renewal.m2_per_person_hour;
        self.number(Code::BadLiquid, &path("m2_per_person_hour"), rate, (0.01, 10_000.0));
        self.number(Code::BadLiquid, &path("from_min"), renewal.from_min, (0.0, 100_000.0));
        let least_h = if renewal.from_min.is_finite() { renewal.from_min / 60.0 } else { 0.0 };
        self.number(Code::BadLiquid, &path("to_h"), renewal.to_h, (least_h, 10_000.0));
    }

    /// No band of the layer's hardener comes to less than the least, or to more than the most, in this layer.
    fn fractions(&mut self, path: &str, layer: &Layer, system: &System) {
        let Some(hardener) = system.hardener_of(layer) else { return };
        let (least, most) = (hardener.least_fraction.unwrap_or(0.0), hardener.most_fraction.unwrap_or(f64::INFINITY));
        for band in &hardener.bands {
            let Some(fraction) = hardener.fraction(band.dose, layer) else { continue };
            // A hair of rounding is neither.
            if fraction < least * (1.0 - 1e-9) || fraction > most * (1.0 + 1e-9) {
                let message = format!(
                    "the dose at {} degrees Celsius comes to {fraction} of the mass: from {least} to {most}",
                    band.from_c
                );
                self.add(Code::BadTable, &format!("{path}/hardener"), message);
            }
        }
    }

    fn hardener(&mut self, path: &str, hardener: &Hardener) {
        self.optional(&format!("{path}/density_kg_l"), hardener.density_kg_l, DENSITIES);
        // The largest number that a band may have: what comes to the largest fraction in the lightest layer.
        let largest = match hardener.dosing {
            Dosing::MassFraction => LARGEST_FRACTION,
            Dosing::MlPerKg | Dosing::MlPerL => LARGEST_FRACTION * 1_000.0,
            Dosing::Measures { measure_g, mix_kg, part } => {
                if !(1..=100).contains(&part) {
                    let message = format!("a measure in {part} parts: from 1 to 100");
                    self.add(Code::BadLiquid, &format!("{path}/dosing/measures/part"), message);
                }
                self.number(Code::BadLiquid, &format!("{path}/dosing/measures/measure_g"), measure_g, (0.01, 10_000.0));
                self.number(Code::BadLiquid, &format!("{path}/dosing/measures/mix_kg"), mix_kg, (0.01, 10_000.0));
                LARGEST_FRACTION * 1_000.0 * mix_kg / measure_g
            }
        };
        if matches!(hardener.dosing, Dosing::MlPerKg | Dosing::MlPerL) && hardener.density_kg_l.is_none() {
            let message = "dosed by volume: the density of the hardener is needed".to_string();
            self.add(Code::BadLiquid, &format!("{path}/density_kg_l"), message);
        }
        self.optional(&format!("{path}/scale_g"), hardener.scale_g, (0.001, 1_000.0));
        self.optional(&format!("{path}/least_fraction"), hardener.least_fraction, (0.0, LARGEST_FRACTION));
        let least = hardener.least_fraction.unwrap_or(0.0);
        self.optional(&format!("{path}/most_fraction"), hardener.most_fraction, (least, LARGEST_FRACTION));
        self.bands(path, hardener, largest);
        self.allowance(path, hardener.allowance);
        self.packs(path, &hardener.packs);
    }

    fn bands(&mut self, path: &str, hardener: &Hardener, largest: f64) {
        let code = Code::BadTable;
        let bands = &hardener.bands;
        if bands.is_empty() {
            self.add(code, &format!("{path}/bands"), "the table is empty: at least one band is needed".into());
        }
        for (i, band) in bands.iter().enumerate() {
            let path = |field| format!("{path}/bands/{i}/{field}");
            self.number(code, &path("from_c"), band.from_c, (-60.0, 100.0));
            self.number(code, &path("to_c"), band.to_c, (-60.0, 100.0));
            let point = hardener.interpolate && band.from_c <= band.to_c;
            if band.from_c >= band.to_c && !point {
                let message = format!("{} to {} degrees Celsius is no band: coldest first", band.from_c, band.to_c);
                self.add(code, &path("to_c"), message);
            }
            self.number(code, &path("dose"), band.dose, (0.0, largest));
            if band.dose == 0.0 {
                self.add(code, &path("dose"), "0 is no dose".into());
            }
            if let Some(pot_life_min) = band.pot_life_min {
                self.number(code, &path("pot_life_min"), pot_life_min, (0.1, 10_000.0));
            }
            let Some(before) = i.checked_sub(1).and_then(|i| bands.get(i)) else { continue };
            // At a border the warmer row holds: a point there would never be read.
            let hidden = before.from_c >= before.to_c && band.from_c <= before.to_c;
            if band.from_c < before.to_c || hidden {
                let message = format!("{} overlaps the band before, which ends at {}", band.from_c, before.to_c);
                self.add(code, &path("from_c"), message);
            }
            if band.dose > before.dose {
                let message = format!(
                    "{} is more than the {} of the colder band before: a warmer surface never takes more",
                    band.dose, before.dose
                );
                self.add(code, &path("dose"), message);
            }
        }
    }

    fn optional(&mut self, path: &str, value: Option<f64>, range: (f64, f64)) {
        if let Some(value) = value {
            self.number(Code::BadLiquid, path, value, range);
        }
    }

    fn packs(&mut self, path: &str, packs: &[Pack]) {
        if packs.is_empty() {
            self.add(Code::BadLiquid, &format!("{path}/packs"), "no packs are sold: at least one is needed".into());
        }
        for (i, pack) in packs.iter().enumerate() {
            // Amounts are counted in grams.
            self.number(Code::BadLiquid, &format!("{path}/packs/{i}/mass_kg"), pack.mass_kg, (0.001, 1e6));
        }
    }
}
