//! Feet, inches and fractions: read exactly and printed back.
//!
//! One inch is 25.4 mm, 25 400 um: every fraction down to 1/16 inch (1 587.5 um) is exact to half a micrometre, and is
//! rounded to the micrometre grid once.

use crate::error::{Code, Error};
use crate::length::Length;

/// Micrometres in an inch.
const INCH: i128 = 25_400;

/// Reads lengths such as `12' 6 3/8"`, `12 ft 6 in`, `6-3/8"`, `150 1/2"` or `7'`.
///
/// # Errors
/// [`Code::BadMeasurement`] for anything else, [`Code::OutOfRange`] beyond the range of a [`Length`].
///
/// ```
/// use upstand::{Code, Length};
/// use upstand::survey::imperial::read;
///
/// assert_eq!(read("1' 6\"").unwrap(), Length::from_um(457_200));
/// assert_eq!(read("3/8\"").unwrap(), Length::from_um(9_525));
/// assert_eq!(read("6 feet").unwrap_err().code(), Code::BadMeasurement);
/// ```
pub fn read(text: &str) -> Result<Length, Error> {
    let refuse =
        || Error::new(Code::BadMeasurement, "", format!("{text:?} is not feet and inches, such as 12' 6 3/8\""));
    let plain = text
        .trim()
        .replace("ft", "'")
        .replace("in", "\"")
        .replace(['\u{2032}', '\u{2019}'], "'")
        .replace(['\u{2033}', '\u{201d}'], "\"");
    let (sign, plain) = match plain.strip_prefix('-') {
        Some(rest) => (-1, rest.trim().to_string()),
        None => (1, plain),
    };
    let (feet, inches) = match plain.split_once('\'') {
        Some((feet, inches)) => (feet.trim(), inches.trim()),
        None => ("", plain.trim()),
    };
    if feet.is_empty() && inches.is_empty() {
        return Err(refuse());
    }
    let whole = |digits: &str| -> Option<i128> {
        let good = !digits.is_empty() && digits.len() <= 12 && digits.bytes().all(|b| b.is_ascii_digit());
        good.then(|| digits.parse().ok()).flatten()
    };
    let feet = if feet.is_empty() { 0 } else { whole(feet).ok_or_else(refuse)? };
    // Numerator and denominator of the inches.
    let (mut above, mut below) = (0, 1);
    if !inches.is_empty() {
        let figures = inches.strip_suffix('"').ok_or_else(refuse)?.trim();
        if figures.is_empty() {
            return Err(refuse());
        }
        let figures = figures.replace('-', " ");
        let mut parts: Vec<&str> = figures.split_whitespace().collect();
        if let Some((numerator, denominator)) = parts.last().and_then(|last| last.split_once('/')) {
            parts.pop();
            above = whole(numerator).ok_or_else(refuse)?;
            below = whole(denominator).filter(|&d| d > 0).ok_or_else(refuse)?;
        }
        match parts[..] {
            [] => {}
            [inches] => above += whole(inches).ok_or_else(refuse)? * below,
            _ => return Err(refuse()),
        }
    }
    let um = (feet * 12 * below + above) * INCH;
    // Half up, once.
    let um = sign * ((2 * um + below) / (2 * below));
    if um.abs() > i128::from(Length::LIMIT.um()) {
        return Err(Error::new(Code::OutOfRange, "", format!("{text:?} is out of range")));
    }
    Ok(Length::from_um(um as i64))
}

/// Prints a length as feet, inches and a fraction of `1/denominator` inch, reduced: `12' 6 3/8"`.
///
/// ```
/// use upstand::Length;
/// use upstand::survey::imperial::{print, read};
///
/// assert_eq!(print(Length::from_um(457_200), 16), "1' 6\"");
/// assert_eq!(print(read("12' 6 3/8\"").unwrap(), 16), "12' 6 3/8\"");
/// ```
pub fn print(length: Length, denominator: u32) -> String {
    let parts = i128::from(denominator.max(1));
    let um = i128::from(length.um()).abs();
    // Nearest fraction.
    let total = (2 * um * parts + INCH) / (2 * INCH);
    let sign = if length.is_negative() && total > 0 { "-" } else { "" };
    let (feet, rest) = (total / (12 * parts), total % (12 * parts));
    let (inches, fraction) = (rest / parts, rest % parts);
    let fraction = if fraction == 0 {
        String::new()
    } else {
        let (mut a, mut b) = (fraction, parts);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        format!("{}/{}", fraction / a, parts / a)
    };
    let inches = match (inches, fraction.is_empty()) {
        (0, false) => format!("{fraction}\""),
        (_, false) => format!("{inches} {fraction}\""),
        (_, true) => format!("{inches}\""),
    };
    match (feet, inches.as_str()) {
        (0, _) => format!("{sign}{inches}"),
        (_, "0\"") => format!("{sign}{feet}'"),
        _ => format!("{sign}{feet}' {inches}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sixteenth_comes_back() {
        for sixteenths in 0..40 * 12 * 16i64 {
            // Rounded half up to the grid, as a tape's sixteenths are half a micrometre off it.
            let um = (sixteenths * 25_400 * 2 + 16) / 32;
            let printed = print(Length::from_um(um), 16);
            assert_eq!(read(&printed).expect("its own print").um(), um, "{printed}");
        }
    }

    #[test]
    fn forms_of_writing() {
        let expected = read("12' 6 3/8\"").expect("plain");
        assert_eq!(expected.um(), (12 * 12 + 6) * 25_400 + 9_525);
        for text in ["12'6-3/8\"", "12 ft 6 3/8 in", " 12' 6-3/8 \" ", "12\u{2032} 6 3/8\u{2033}", "150 3/8\""] {
            assert_eq!(read(text).expect(text), expected, "{text}");
        }
        for text in ["", "'", "\"", "12", "1/0\"", "1.5\"", "1' 2' 3\"", "3/8/2\"", "one'", "99999999999999'"] {
            assert!(read(text).is_err(), "{text}");
        }
        assert_eq!(print(read("-6 1/2\"").expect("negative"), 16), "-6 1/2\"");
    }
}
