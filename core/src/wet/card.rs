//! The mixing card: what a person at the bucket reads.

use super::Mixing;
use crate::caution::Hazard;

impl Mixing {
    /// The card as plain text, no wider than 78 characters where the names allow. The cautions that belong to hardener
    /// always stand on it.
    pub fn card(&self) -> String {
        let mut lines = vec![
            format!("MIXING CARD: {} with {}", self.name, self.hardener),
            format!(
                "Surface {} degrees Celsius; holds from {} to {}. Read the surface at each mix.",
                self.surface_c, self.band_c.0, self.band_c.1
            ),
            format!("Dose: {} % of the mass of {}", percent(self.fraction), self.name),
        ];
        if let Some(pot_life_min) = self.pot_life_min {
            lines.push(format!("Gels after {pot_life_min} minutes or sooner once it is warm"));
        }
        lines.push(String::new());
        for batch in &self.batches {
            let mut mix = format!("{} x {} kg", batch.count, batch.mass_kg);
            if let Some(volume_l) = batch.volume_l {
                mix += &format!(" ({volume_l} l)");
            }
            mix += &format!(" + {} g", batch.hardener_g);
            if let Some(hardener_ml) = batch.hardener_ml {
                mix += &format!(" ({hardener_ml} ml)");
            }
            if let Some(measures) = batch.measures {
                mix += &format!(" = {measures} {}", if measures == 1 { "measure" } else { "measures" });
            }
            lines.push(format!("{mix} of hardener each; covers {} m2", batch.covers_m2));
        }
        lines.push(String::new());
        // Stirring before and after: common practice, no source.
        let steps = "Stir the layer alone for 30 to 60 seconds, add the hardener, stir for 30 to 60 seconds more with the \
                     bottom and the sides. Use it up before it thickens; never thin or revive it.";
        let cautions = Hazard::WITH_HARDENER.into_iter().map(Hazard::text);
        for paragraph in std::iter::once(steps).chain(cautions) {
            wrap(paragraph, &mut lines);
        }
        lines.push(String::new());
        lines.join("\n")
    }
}

/// To a hundredth of a percent, without the noise of the multiplication.
fn percent(fraction: f64) -> f64 {
    (fraction * 10_000.0).round() / 100.0
}

fn wrap(paragraph: &str, lines: &mut Vec<String>) {
    const WIDTH: usize = 78;
    let mut line = String::new();
    for word in paragraph.split_whitespace() {
        if !line.is_empty() && line.len() + 1 + word.len() > WIDTH {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
}
