//! The hand-over report as plain text.

use std::fmt::Write;

use super::Report;
use crate::calendar::Moment;
use crate::caution::Hazard;
use crate::finding::Grade;

const WIDTH: usize = 78;

impl Report {
    /// The report for a person to read, to complete by hand and to sign: at most 78 columns where names allow.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let _ = writeln!(text, "HAND-OVER REPORT: {}", self.name.as_deref().unwrap_or("roof"));
        let _ = writeln!(text, "\nCOATS");
        for coat in &self.coats {
            let roof = self.roofs.get(coat.roof).cloned().unwrap_or_default();
            let planned = coat.planned.map(|at| format!(", planned {}", moment(at))).unwrap_or_default();
            let _ = writeln!(text, "  {} on {roof}", coat.name);
            let same_day = coat.begun.date() == coat.done.date();
            let done = if same_day { coat.done.time().to_string() } else { moment(coat.done) };
            let _ = writeln!(text, "    {} to {done}{planned}", moment(coat.begun));
        }
        let _ = writeln!(text, "\nMATERIALS{:>25}{:>14}{:>16}{:>8}", "planned net", "mixed", "hardener", "mixes");
        for layer in &self.layers {
            let kg = |value: f64| format!("{value:.2} kg");
            let _ = writeln!(
                text,
                "  {:<20}{:>12}{:>14}{:>16}{:>8}",
                layer.name,
                kg(layer.planned_kg),
                kg(layer.mixed_kg),
                kg(layer.hardener_kg),
                layer.mixes
            );
        }
        let _ = writeln!(text, "\nFINDINGS");
        if self.findings.is_empty() {
            let _ = writeln!(text, "  None in what was recorded.");
        }
        for finding in &self.findings {
            let grade = match finding.grade {
                Grade::Refuse => "NOT AS IT MUST BE",
                Grade::Caution => "TO BE DECIDED",
                Grade::Note => "NOTE",
            };
            paragraph(&mut text, &format!("{grade}: {} ({})", finding.text, finding.place));
        }
        if !self.remarks.is_empty() {
            let _ = writeln!(text, "\nREMARKS");
            self.remarks.iter().for_each(|remark| paragraph(&mut text, remark));
        }
        if self.layers.iter().any(|layer| layer.hardener_kg > 0.0) {
            let _ = writeln!(text, "\nCAUTIONS");
            Hazard::WITH_HARDENER.iter().for_each(|hazard| paragraph(&mut text, hazard.text()));
        }
        let _ = writeln!(text);
        paragraph(&mut text, &self.statement);
        for who in ["For the contractor", "For the client"] {
            let _ = writeln!(text, "\n  {who:<20} ______________________________  date ______________");
        }
        text
    }
}

fn moment(at: Moment) -> String {
    format!("{} {} {}", at.date().weekday().short(), at.date(), at.time())
}

fn paragraph(text: &mut String, words: &str) {
    let mut line = String::from(" ");
    for word in words.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH && line.len() > 1 {
            let _ = writeln!(text, "{line}");
            line = String::from(" ");
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}
