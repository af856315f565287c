//! The schedule as plain text.

use std::fmt::Write;

use super::{Schedule, Stage, Task};
use crate::calendar::Moment;
use crate::caution::Hazard;
use crate::wet::places_text;

impl Schedule {
    /// The schedule for a terminal or a message: day by day, no wider than 80 columns where names allow. `roofs` are the
    /// names of the roofs.
    pub fn text(&self, roofs: &[String]) -> String {
        let mut text = String::new();
        let people = if self.crew == 1 { "one person".to_string() } else { format!("a crew of {}", self.crew) };
        let _ = writeln!(text, "SCHEDULE for {people}: {} to {}", day_and_time(self.begun), day_and_time(self.done));
        let mut spells: Vec<(Moment, Moment, &Task)> =
            self.tasks.iter().flat_map(|task| task.spells.iter().map(move |s| (s.from, s.to, task))).collect();
        spells.sort_by_key(|&(from, _, task)| (from, task.number));
        let mut today = None;
        for (from, to, task) in spells {
            if today != Some(from.date()) {
                today = Some(from.date());
                let _ = writeln!(text, "\n  {} {}", from.date().weekday().short(), from.date());
            }
            let again = if from > task.begin { " (goes on)" } else { "" };
            let _ = writeln!(text, "    {}-{}  {:>2} {}{again}", from.time(), to.time(), task.number, task.name);
            if from > task.begin {
                continue;
            }
            let amount = match (task.unit.as_str(), task.stage) {
                ("piece", _) => format!("{:.0} patches", task.amount),
                ("m", Stage::Details) => format!("{} m of tape", task.amount),
                (unit, _) => format!("{} {unit}", task.amount),
            };
            let mut notes = vec![format!("{amount}: {}", places_text(&task.places, roofs))];
            if let Some(moment) = task.not_before {
                notes.push(format!("not before {}", day_and_time(moment)));
            }
            if let Some(moment) = task.not_after {
                notes.push(format!("not after {}", day_and_time(moment)));
            }
            if let Some((coldest, warmest)) = task.surface_c {
                let range = if coldest < warmest { format!("{coldest} to {warmest}") } else { coldest.to_string() };
                notes.push(format!("surface forecast {range} degrees Celsius; read it"));
            }
            if let Some(moment) = task.safe_from {
                let words = if task.stage == Stage::Cleaning { "let it dry until" } else { "keep dry until" };
                notes.push(format!("{words} {}", day_and_time(moment)));
            }
            for note in notes {
                let _ = writeln!(text, "                    {note}");
            }
        }
        let given = |hazard: &&Hazard| {
            self.tasks.iter().any(|task| task.cautions.iter().any(|caution| caution == hazard.text()))
        };
        let _ = writeln!(text, "\n  CAUTIONS");
        for hazard in Hazard::ALL.iter().filter(given) {
            let of_it = self.tasks.iter().filter(|task| task.cautions.iter().any(|caution| caution == hazard.text()));
            let numbers: Vec<String> = of_it.map(|task| task.number.to_string()).collect();
            let words = if numbers.len() == self.tasks.len() {
                hazard.text().to_string()
            } else {
                format!("{} (tasks {})", hazard.text(), numbers.join(", "))
            };
            paragraph(&mut text, &words);
        }
        text
    }
}

/// Words in lines of 80 columns, behind a dash.
fn paragraph(text: &mut String, words: &str) {
    let mut line = "    -".to_string();
    for word in words.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > 80 {
            let _ = writeln!(text, "{line}");
            line = "     ".into();
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}

fn day_and_time(moment: Moment) -> String {
    format!("{} {}", moment.date().weekday().short(), moment.time())
}
