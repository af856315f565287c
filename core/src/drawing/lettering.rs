//! How wide text is, near enough to keep labels apart.
//!
//! A drawing cannot know which face a reader's program will use. The widths here are those of a wide one (DejaVu Sans,
//! advance widths in thousandths of the font size), so that text in any of the common faces stays inside its place.

use super::model::Lettering;

/// Advance widths of the printable ASCII characters from the space on.
const REGULAR: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863,
    748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
];

/// Bold text is at most this much wider.
const BOLD: f64 = 1.12;

/// Width of a text in millimetres.
pub(super) fn width(text: &str, lettering: Lettering, bold: bool) -> f64 {
    let thousandths: u64 = text.chars().map(|character| u64::from(advance(character))).sum();
    thousandths as f64 / 1_000.0 * lettering.font_size() * if bold { BOLD } else { 1.0 }
}

fn advance(character: char) -> u16 {
    let code = u32::from(character);
    match code {
        0x20..=0x7e => REGULAR.get(code as usize - 0x20).copied().unwrap_or(700),
        // Latin, Greek and Cyrillic letters with or without accents.
        0x7f..=0x52f => 700,
        _ => 1_000,
    }
}

/// The text, cut short with an ellipsis if it is wider than `most` millimetres.
pub(super) fn shortened(text: &str, lettering: Lettering, bold: bool, most: f64) -> String {
    if width(text, lettering, bold) <= most {
        return text.to_string();
    }
    let mut kept = String::new();
    for character in text.chars() {
        kept.push(character);
        if width(&kept, lettering, bold) + width("…", lettering, bold) > most {
            kept.pop();
            break;
        }
    }
    kept.trim_end().to_string() + "…"
}

/// The text broken into lines of at most `most` millimetres, and at most `lines` of them.
pub(super) fn wrapped(text: &str, lettering: Lettering, most: f64, lines: usize) -> Vec<String> {
    let mut broken: Vec<String> = Vec::new();
    let mut current = String::new();
    for word in text.split_whitespace() {
        let longer = if current.is_empty() { word.to_string() } else { format!("{current} {word}") };
        if width(&longer, lettering, false) <= most {
            current = longer;
            continue;
        }
        if !current.is_empty() {
            if broken.len() + 1 == lines {
                // No room for this word: an ellipsis says that there is more.
                broken.push(shortened(&format!("{current} {word}"), lettering, false, most));
                return broken;
            }
            broken.push(current);
        }
        current = shortened(word, lettering, false, most);
    }
    if !current.is_empty() {
        broken.push(current);
    }
    broken
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_fit_and_lose_no_word_while_there_is_room() {
        let text = "Old felt must be fully bonded before it is covered; look at every blister and every lap first.";
        let lines = wrapped(text, Lettering::Small, 50.0, 20);
        assert_eq!(lines.join(" "), text);
        assert!(lines.len() > 2 && lines.iter().all(|line| width(line, Lettering::Small, false) <= 50.0));
        let short = wrapped(text, Lettering::Small, 50.0, 2);
        assert!(short.len() == 2 && short.iter().all(|line| width(line, Lettering::Small, false) <= 50.0), "{short:?}");
        assert!(short[1].ends_with('…'));
    }

    #[test]
    fn a_text_too_wide_is_cut_short() {
        let name = "W".repeat(500);
        let short = shortened(&name, Lettering::Normal, true, 60.0);
        assert!(short.ends_with('…') && width(&short, Lettering::Normal, true) <= 60.0);
    }
}
