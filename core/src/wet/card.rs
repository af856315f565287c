//! The mixing card: what a person at the bucket reads.

use super::{Batch, Mix, MixWork, Mixing};
use crate::caution::Hazard;
use crate::system::Stage;

const WIDTH: usize = 78;

impl Mixing {
    /// The card as plain text, no wider than 78 characters where the names allow. `roofs` are the names of the roofs. The
    /// cautions that belong to hardener always stand on it.
    pub fn card(&self, roofs: &[String]) -> String {
        let stage = match self.stage {
            Stage::Details => "tape and patches",
            Stage::Laminate => "main area",
            _ => "coat",
        };
        let task = self.task.map(|number| format!("Task {number}, ")).unwrap_or_default();
        let mut lines = vec![format!("MIXING CARD: {} with {}", self.name, self.hardener)];
        lines.push(format!("{task}{stage}: {}", super::places_text(&self.places, roofs)));
        let (coldest, warmest) = self.surface_c;
        let expected = if coldest < warmest { format!("{coldest} to {warmest}") } else { coldest.to_string() };
        lines.push(format!("Surface expected: {expected} degrees Celsius. Read it at each mix."));
        let (from, to) = self.band_c;
        let holds = if from < to { format!("from {from} to {to} degrees") } else { format!("at {from} degrees") };
        lines.push(format!("Dose: {} % of the mass of {}, {holds}", percent(self.fraction), self.name));
        if let Some(pot_life_min) = self.pot_life_min {
            let within = self.use_within_min.map(|minutes| format!(": lay each mix within {minutes} minutes"));
            let within = within.unwrap_or_default();
            wrap(&format!("Gels after {pot_life_min} minutes, sooner once it is warm{within}"), "", &mut lines);
        }
        if let Some(under) = self.under_mat {
            let text = format!(
                "Of each mix {} % goes on first, as the skin that the mat is laid into dry; the rest goes over it, until the \
                 texture of the mat breaks up.",
                percent(under).round()
            );
            wrap(&text, "", &mut lines);
        }
        lines.push(String::new());
        let count: u64 = self.batches.iter().map(|batch| batch.count).sum();
        let hardener_g: f64 = self.batches.iter().map(|batch| batch.count as f64 * batch.hardener_g).sum();
        let all = format!(
            "In all {} kg of {} and {} g of {}, in {count} {}. Each is weighed by itself: {}, then its {}. Strips, seams \
             and edges have their marks on the plan.",
            self.mass_kg,
            self.name,
            (hardener_g * 10.0).round() / 10.0,
            self.hardener,
            if count == 1 { "mix" } else { "mixes" },
            self.name,
            self.hardener,
        );
        wrap(&all, "", &mut lines);
        if self.mixes.is_empty() {
            lines.extend(self.batches.iter().map(|batch| self.batch_line(batch)));
        }
        let mut begun = None;
        for mix in &self.mixes {
            let Some(batch) = self.batches.get(mix.batch) else { continue };
            lines.push(format!("Mix {:>2}: {} of hardener", mix.number, amounts(batch)));
            if !mix.work.is_empty() {
                let words = work(mix, roofs, self.places.len() > 1, begun);
                wrap(&format!("for {words}"), "        ", &mut lines);
            }
            begun = mix.work.last().filter(|work| work.done < 1.0).or(begun.filter(|_| mix.work.is_empty()));
        }
        lines.push(String::new());
        lines.push("If the surface is at          hardener for 1 kg   mix at once".to_string());
        for band in &self.bands {
            let (from, to) = band.band_c;
            let degrees = if from < to { format!("{from} to {to} degrees") } else { format!("{from} degrees") };
            let grams = format!("{} g", (band.fraction * 10_000.0).round() / 10.0);
            lines.push(format!("{degrees:<30}{grams:<20}{} kg at most", band.most_kg));
        }
        let (from, to) = self.bands.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(from, to), band| {
            (from.min(band.band_c.0), to.max(band.band_c.1))
        });
        let gaps = self.bands.windows(2).any(|pair| pair[0].band_c.1 < pair[1].band_c.0);
        let between = if gaps { ", and between bands" } else { "" };
        lines.push(format!("Below {from} and above {to} degrees{between}: do not mix."));
        lines.push(String::new());
        // Stirring before and after: common practice, no source.
        let steps = "Stir the layer alone for 30 to 60 seconds, add the hardener, stir for 30 to 60 seconds more with the \
                     bottom and the sides. Use it up before it thickens; never thin or revive it.";
        wrap(steps, "", &mut lines);
        for hazard in Hazard::WITH_HARDENER {
            wrap(hazard.text(), "", &mut lines);
        }
        lines.push(String::new());
        lines.join("\n")
    }

    /// So many batches alike, in one line.
    pub fn batch_line(&self, batch: &Batch) -> String {
        let unit = if self.unit == "m" { "m of seam" } else { &self.unit };
        format!("{} x {} of hardener each; covers {} {unit}", batch.count, amounts(batch), batch.covers)
    }
}

/// What goes into one batch.
fn amounts(batch: &Batch) -> String {
    let mut text = format!("{} kg", batch.mass_kg);
    match (batch.volume_l, batch.marks) {
        (Some(volume_l), Some(marks)) => text += &format!(" ({volume_l} l = {marks} {})", plural(marks as f64, "mark")),
        (Some(volume_l), None) => text += &format!(" ({volume_l} l)"),
        (None, _) => {}
    }
    text += &format!(" + {} g", batch.hardener_g);
    if let Some(hardener_ml) = batch.hardener_ml {
        text += &format!(" ({hardener_ml} ml)");
    }
    if let Some(measures) = batch.measures {
        text += &format!(" = {measures} {}", plural(measures, "measure"));
    }
    text
}

fn plural(count: f64, word: &str) -> String {
    if count > 1.0 { format!("{word}s") } else { word.to_string() }
}

/// What a mix is for, in words; the roof is named where it changes. `begun` is what the mix before has left undone.
fn work(mix: &Mix, roofs: &[String], several: bool, begun: Option<&MixWork>) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut last = None;
    for (index, work) in mix.work.iter().enumerate() {
        let goes_on = begun.filter(|_| index == 0).is_some_and(|it| (it.roof, &it.piece) == (work.roof, &work.piece));
        let done = (work.done * 100.0).round();
        let piece = match (goes_on, work.done < 1.0) {
            (false, false) => work.piece.clone(),
            (true, false) => format!("the rest of {}", work.piece),
            (false, true) => format!("the first {done}\u{a0}% of {}", work.piece),
            (true, true) => format!("{} on to {done}\u{a0}%", work.piece),
        };
        let name = roofs.get(work.roof).filter(|_| several && last != Some(work.roof));
        let place = name.map(|name| format!("{name}: ")).unwrap_or_default();
        words.push(format!("{place}{piece}"));
        last = Some(work.roof);
    }
    words.join(", ")
}

/// To a hundredth of a percent, without the noise of the multiplication.
fn percent(fraction: f64) -> f64 {
    (fraction * 10_000.0).round() / 100.0
}

fn wrap(paragraph: &str, indent: &str, lines: &mut Vec<String>) {
    let mut line = String::new();
    for word in paragraph.split([' ', '\n']).filter(|word| !word.is_empty()) {
        if !line.is_empty() && indent.len() + line.len() + 1 + word.len() > WIDTH {
            lines.push(format!("{indent}{}", std::mem::take(&mut line)));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(format!("{indent}{line}"));
    // What must not be parted was held together by spaces of another kind.
    lines.iter_mut().for_each(|line| *line = line.replace('\u{a0}', " "));
}
