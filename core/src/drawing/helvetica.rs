//! Helvetica as every PDF reader has it: its single-byte encoding and its advance widths.
//!
//! Widths in thousandths of the font size, from the metrics that Adobe published for the 14 standard fonts (Core 14
//! AFM files); the encoding is WinAnsiEncoding of ISO 32000-1, annex D.

const REGULAR_ASCII: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];
const REGULAR_LATIN: [u16; 96] = [
    278, 333, 556, 556, 556, 556, 260, 556, 333, 737, 370, 556, 584, 333, 737, 333, 400, 584, 333, 333, 333, 556, 537,
    278, 333, 333, 365, 556, 834, 834, 834, 611, 667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278,
    278, 278, 722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556,
    556, 889, 500, 556, 556, 556, 556, 278, 278, 278, 278, 556, 556, 556, 556, 556, 556, 556, 584, 611, 556, 556, 556,
    556, 500, 556, 500,
];
const BOLD_ASCII: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611,
    556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389,
    280, 389, 584,
];
const BOLD_LATIN: [u16; 96] = [
    278, 333, 556, 556, 556, 556, 280, 556, 333, 737, 370, 556, 584, 333, 737, 333, 400, 584, 333, 333, 333, 611, 556,
    278, 333, 333, 365, 556, 834, 834, 834, 611, 722, 722, 722, 722, 722, 722, 1000, 722, 667, 667, 667, 667, 278, 278,
    278, 278, 722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556,
    556, 889, 556, 556, 556, 556, 556, 278, 278, 278, 278, 611, 611, 611, 611, 611, 611, 611, 584, 611, 611, 611, 611,
    611, 556, 611, 556,
];

/// Width of one that has no other: that of most letters.
const USUAL: u16 = 556;

/// The text in WinAnsiEncoding; characters that it lacks become `?`.
pub(super) fn encoded(text: &str) -> Vec<u8> {
    text.chars().map(byte).collect()
}

fn byte(character: char) -> u8 {
    match character {
        ' '..='~' | '\u{a0}'..='\u{ff}' => u32::from(character) as u8,
        '€' => 0x80,
        '…' => 0x85,
        '‘' => 0x91,
        '’' => 0x92,
        '“' => 0x93,
        '”' => 0x94,
        '•' => 0x95,
        '–' => 0x96,
        '—' => 0x97,
        '\t' | '\n' | '\r' => b' ',
        _ => b'?',
    }
}

/// Width of encoded text at a font size of 1.
pub(super) fn width(encoded: &[u8], bold: bool) -> f64 {
    let (ascii, latin) = if bold { (&BOLD_ASCII, &BOLD_LATIN) } else { (&REGULAR_ASCII, &REGULAR_LATIN) };
    let advance = |&byte: &u8| match byte {
        0x20..=0x7e => ascii[usize::from(byte) - 0x20],
        0xa0.. => latin[usize::from(byte) - 0xa0],
        0x85 | 0x97 => 1_000,
        _ => USUAL,
    };
    encoded.iter().map(|byte| u64::from(advance(byte))).sum::<u64>() as f64 / 1_000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::lettering;
    use crate::drawing::model::Lettering;

    #[test]
    fn text_is_encoded_byte_by_byte() {
        assert_eq!(encoded("6 m² × 45° … €\u{1f600}"), b"6 m\xb2 \xd7 45\xb0 \x85 \x80?");
    }

    #[test]
    fn labels_are_given_at_least_the_room_that_helvetica_takes() {
        for bold in [false, true] {
            for text in ["D12 6220 × 1000", "SCALE 1:50", "Garden room, 24.66 m²", "wall trim", "WMWM", "Überdachung …"]
            {
                let taken = width(&encoded(text), bold) * Lettering::Small.font_size();
                assert!(taken <= lettering::width(text, Lettering::Small, bold) * 1.001, "{text}");
            }
        }
    }
}
