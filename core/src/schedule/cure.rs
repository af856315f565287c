//! How long a layer waits for the next one, where that depends on the temperature.
//!
//! A band of temperature says how many minutes a layer needs. An hour in it counts for as much of the whole as it is of those
//! minutes; when the hours add up to the whole, the layer is ready. That is the method of equivalent age, known from the
//! strength of concrete (A. G. A. Saul, Magazine of Concrete Research 2 (1951) 127-140; from memory). At one temperature
//! it gives exactly the minutes of the band, and a layer that is done later is never ready earlier: what the method in
//! `solve.rs` rests on.
//!
//! Shares are whole numbers, so that the same times come out everywhere.

use std::ops::Range;

use super::solve::Minute;

/// The whole. A minute's share of it is rounded to a part in 2^40 or finer for waits of up to ten weeks.
const WHOLE: i128 = 1 << 57;

/// Which way a minute's share is rounded, so that the minutes of a band come out exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rounding {
    /// For least waits.
    Up,
    /// For longest waits.
    Down,
}

/// What each minute counts of a wait.
#[derive(Clone, Debug)]
pub(super) struct Clock {
    /// Nothing to wait for.
    none: bool,
    /// Where the hours begin whose temperature is known.
    from: Minute,
    /// A minute's share in each of them.
    shares: Vec<i128>,
    /// Sums of shares up to the beginning of each hour, and to the end of the last.
    sums: Vec<i128>,
    /// A minute's share in all other hours.
    other: i128,
}

impl Clock {
    /// The same wait at any time.
    pub(super) fn even(minutes: Minute, rounding: Rounding) -> Self {
        Clock::by_hours(minutes, 0, std::iter::empty(), rounding)
    }

    /// A wait of `minutes` where nothing is known, and of what each hour from `from` on has; none where time stands still.
    pub(super) fn by_hours(
        minutes: Minute,
        from: Minute,
        hours: impl Iterator<Item = Option<Minute>>,
        rounding: Rounding,
    ) -> Self {
        let share = |minutes: Minute| {
            let minutes = i128::from(minutes.max(1));
            match rounding {
                Rounding::Up => WHOLE.div_euclid(minutes) + i128::from(WHOLE.rem_euclid(minutes) > 0),
                Rounding::Down => WHOLE.div_euclid(minutes),
            }
        };
        let shares: Vec<i128> = hours.map(|hour| hour.map_or(0, share)).collect();
        let mut sums = vec![0];
        let mut sum = 0;
        for one in &shares {
            sum += one * 60;
            sums.push(sum);
        }
        Clock { none: minutes <= 0 && shares.is_empty(), from, shares, sums, other: share(minutes) }
    }

    /// What has been counted up to a minute.
    fn at(&self, minute: Minute) -> i128 {
        let since = minute - self.from;
        if since < 0 {
            return i128::from(since) * self.other;
        }
        let hour = usize::try_from(since / 60).unwrap_or(usize::MAX);
        match self.shares.get(hour) {
            Some(share) => self.sums[hour] + i128::from(since % 60) * share,
            None => {
                let rest = since - 60 * self.shares.len() as Minute;
                self.sums.last().copied().unwrap_or(0) + i128::from(rest) * self.other
            }
        }
    }

    /// The first minute up to which so much has been counted.
    fn first(&self, count: i128) -> Minute {
        let up = |count: i128, share: i128| -> Minute { ((count + share - 1).div_euclid(share)) as Minute };
        if count <= 0 {
            return self.from + up(count, self.other);
        }
        let hour = self.sums.partition_point(|&sum| sum < count);
        if hour == self.sums.len() {
            let rest = count - self.sums.last().copied().unwrap_or(0);
            return self.from + 60 * self.shares.len() as Minute + up(rest, self.other);
        }
        // The sum at the beginning of the hour before is smaller, so that hour counts.
        self.from + 60 * (hour as Minute - 1) + up(count - self.sums[hour - 1], self.shares[hour - 1])
    }

    /// When the wait that begins at `end` is over.
    pub(super) fn over(&self, end: Minute) -> Minute {
        if self.none { end } else { self.first(self.at(end) + WHOLE).max(end) }
    }

    /// The last minute within the wait that begins at `end`.
    fn last(&self, end: Minute) -> Minute {
        if self.none { end } else { (self.first(self.at(end) + WHOLE + 1) - 1).max(end) }
    }

    /// The first minute at which a wait may begin so that `minute` is still within it.
    fn begin(&self, minute: Minute) -> Minute {
        if self.none { minute } else { self.first(self.at(minute) - WHOLE).min(minute) }
    }
}

/// The longest wait for the next layer: by the clock, and where rain ends it, no longer than to the next rain.
#[derive(Clone, Debug)]
pub(super) struct Closing {
    pub(super) clock: Clock,
    /// Rain, in order.
    pub(super) rain: Vec<Range<Minute>>,
}

impl Closing {
    /// The last minute at which the next layer may begin on one that was done at `end`.
    pub(super) fn last(&self, end: Minute) -> Minute {
        let rain = self.rain.get(self.rain.partition_point(|rain| rain.end <= end));
        self.clock.last(end).min(rain.map_or(Minute::MAX, |rain| rain.start.max(end)))
    }

    /// The first minute at which a layer may be done so that the next one may still begin at `begin`.
    pub(super) fn first(&self, begin: Minute) -> Minute {
        let rain = self.rain[..self.rain.partition_point(|rain| rain.start < begin)].last();
        self.clock.begin(begin).max(rain.map_or(Minute::MIN, |rain| rain.end.min(begin)))
    }
}

/// How a layer cures: when the next one may follow.
#[derive(Clone, Debug)]
pub(super) struct Cure {
    pub(super) ready: Clock,
    pub(super) closing: Option<Closing>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hours() -> impl Strategy<Value = Vec<Option<Minute>>> {
        proptest::collection::vec(proptest::option::weighted(0.8, 1..400i64), 0..12)
    }

    /// The first minute at which the sum is reached, minute by minute, in fractions of whole numbers.
    fn by_minutes(minutes: Minute, from: Minute, hours: &[Option<Minute>], end: Minute) -> Minute {
        let mut sum = 0.0;
        let mut at = end;
        while sum < 1.0 - 1e-9 {
            let hour = usize::try_from((at - from).div_euclid(60)).ok();
            sum += match hour.and_then(|hour| hours.get(hour)) {
                Some(known) => known.map_or(0.0, |minutes| 1.0 / minutes as f64),
                None => 1.0 / minutes as f64,
            };
            at += 1;
        }
        at
    }

    #[test]
    fn at_one_temperature_a_wait_is_that_of_the_band() {
        for minutes in [1, 7, 34, 60, 90, 2_520, 100_000] {
            let known = || (0..5_000).map(|_| Some(minutes));
            for end in [-500, 0, 59, 1_000] {
                assert_eq!(Clock::even(minutes, Rounding::Up).over(end), end + minutes);
                assert_eq!(Clock::by_hours(minutes, 0, known(), Rounding::Up).over(end), end + minutes);
                assert_eq!(Clock::by_hours(minutes, 0, known(), Rounding::Down).last(end), end + minutes);
                assert_eq!(Clock::by_hours(minutes, 0, known(), Rounding::Down).begin(end), end - minutes);
            }
        }
        assert_eq!(Clock::even(0, Rounding::Up).over(7), 7);
    }

    #[test]
    fn half_a_wait_in_the_cold_and_half_in_the_warm() {
        // 30 minutes where 60 are needed are half; the other half takes 45 of 90.
        let clock = Clock::by_hours(1, 0, [Some(60), Some(90), Some(90)].into_iter(), Rounding::Up);
        assert_eq!(clock.over(30), 60 + 45);
        // An hour in which nothing cures adds nothing.
        let clock = Clock::by_hours(60, 0, [Some(60), None, Some(60)].into_iter(), Rounding::Up);
        assert_eq!(clock.over(30), 120 + 30);
    }

    #[test]
    fn rain_closes_a_window() {
        let closing = Closing { clock: Clock::even(600, Rounding::Down), rain: vec![100..160, 400..460] };
        assert_eq!([0, 99, 100, 130, 160, 460].map(|end| closing.last(end)), [100, 100, 100, 130, 400, 1_060]);
        assert_eq!([100, 101, 400, 900].map(|begin| closing.first(begin)), [-500, 101, 160, 460]);
    }

    proptest! {
        #[test]
        fn waits_are_what_the_minutes_add_up_to(
            minutes in 1..300i64, from in -100..100i64, hours in hours(), end in -600..900i64,
        ) {
            let clock = Clock::by_hours(minutes, from, hours.iter().copied(), Rounding::Up);
            prop_assert_eq!(clock.over(end), by_minutes(minutes, from, &hours, end));
            // Later is never earlier.
            prop_assert!(clock.over(end + 1) >= clock.over(end));
        }

        #[test]
        fn the_first_end_that_a_closing_allows_is_the_first(
            minutes in 1..300i64, hours in hours(), begin in -600..900i64,
            rain in proptest::collection::btree_set(-10i64..14, 0..4),
        ) {
            let rain = rain.into_iter().map(|hour| hour * 60..hour * 60 + 60).collect();
            let clock = Clock::by_hours(minutes, 0, hours.into_iter(), Rounding::Down);
            let closing = Closing { clock, rain };
            let first = closing.first(begin);
            prop_assert!(closing.last(first) >= begin);
            prop_assert!(first > begin || closing.last(first - 1) < begin);
        }
    }
}
