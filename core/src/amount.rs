//! Amounts as whole millionths of their unit, so that sums and packs are exact.

use std::iter::Sum;
use std::ops::Add;

use crate::length::Length;

/// An amount in millionths of a unit: milligrams of `kg`, micrometres of `m`. Never negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Amount(u64);

impl Amount {
    pub(crate) const ZERO: Amount = Amount(0);

    pub(crate) const fn from_millionths(millionths: u64) -> Self {
        Amount(millionths)
    }

    pub(crate) const fn millionths(self) -> u64 {
        self.0
    }

    /// `count` whole units.
    pub(crate) const fn from_count(count: u64) -> Self {
        Amount(count.saturating_mul(1_000_000))
    }

    /// `units`, rounded up to whole thousandths. What exceeds one by less than a millionth of it, or of a millionth of
    /// the amount, is the noise of the multiplications before and not something to order.
    pub(crate) fn round_up(units: f64) -> Self {
        let thousandths = units * 1_000.0;
        let noise = 1e-6_f64.max(thousandths * 1e-12);
        // Casting saturates: a negative or NaN amount becomes nothing, an endless one the largest.
        Amount(((thousandths - noise).ceil() as u64).saturating_mul(1_000))
    }

    /// `units`, rounded down to whole thousandths, for what is there already.
    pub(crate) fn round_down(units: f64) -> Self {
        Amount(((units * 1_000.0 + 1e-6).floor() as u64).saturating_mul(1_000))
    }

    /// What one pack holds: `units` to the nearest thousandth.
    pub(crate) fn pack(units: f64) -> Self {
        Amount(((units * 1_000.0).round() as u64).saturating_mul(1_000))
    }

    /// A length, in metres.
    pub(crate) fn metres(length: Length) -> Self {
        Amount(u64::try_from(length.um()).unwrap_or(0))
    }

    /// The part `fraction` of the amount, rounded up to whole thousandths.
    pub(crate) fn part(self, fraction: f64) -> Self {
        Amount::round_up(self.value() * fraction)
    }

    /// What is left when `other` is taken away; nothing where that is more.
    pub(crate) const fn less(self, other: Amount) -> Self {
        Amount(self.0.saturating_sub(other.0))
    }

    /// In units.
    pub(crate) fn value(self) -> f64 {
        self.0 as f64 / 1e6
    }
}

impl Add for Amount {
    type Output = Amount;
    fn add(self, other: Amount) -> Amount {
        Amount(self.0.saturating_add(other.0))
    }
}

impl Sum for Amount {
    fn sum<I: Iterator<Item = Amount>>(iter: I) -> Amount {
        iter.fold(Amount::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_up_but_not_for_noise() {
        for (units, thousandths) in [
            (0.1 + 0.2, 300),
            (28.35, 28_350),
            (28.350_000_001, 28_350),
            (28.350_01, 28_351),
            (0.0, 0),
            (-1.0, 0),
            (f64::NAN, 0),
        ] {
            assert_eq!(Amount::round_up(units).millionths(), thousandths * 1_000, "{units}");
        }
        assert_eq!(Amount::metres(Length::from_um(1)).millionths(), 1);
        assert_eq!(Amount::from_millionths(1_000).part(0.5).millionths(), 1_000);
    }
}
