//! Nails or screws along a trim.

use crate::length::Length;
use crate::system::Fixing;

/// Fixings along one line of a piece: the first and the last at the end distance, equal spaces no wider than allowed
/// between them. A piece too short for two gets one.
///
/// ```
/// use upstand::{Length, system::Fixing, trim};
///
/// let fixing = Fixing { end_distance: Length::ZERO, ..Fixing::default() };
/// assert_eq!(trim::fixings_on_line(Length::from_mm(3000), &fixing), 21);
/// ```
pub fn fixings_on_line(piece: Length, fixing: &Fixing) -> u64 {
    let between = piece - fixing.end_distance * 2;
    if !between.is_positive() || !fixing.spacing.is_positive() {
        return 1;
    }
    between.um().unsigned_abs().div_ceil(fixing.spacing.um().unsigned_abs()) + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_more_fixing_than_spaces() {
        // Closed formula: ceil(length / spacing) + 1.
        for (length, spacing, count) in
            [(3000, 150, 21), (3000, 100, 31), (2400, 150, 17), (3000, 300, 11), (2950, 150, 21)]
        {
            let fixing =
                Fixing { spacing: Length::from_mm(spacing), end_distance: Length::from_mm(25), ..Fixing::default() };
            assert_eq!(fixings_on_line(Length::from_mm(length + 50), &fixing), count);
            assert_eq!(fixings_on_line(Length::from_mm(50), &fixing), 1);
        }
    }
}
