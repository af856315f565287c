//! Rows: where strips lie across the deck.

use crate::length::Length;
use crate::system::Mat;

/// The place of one strip across the deck, measured from the low edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Where it begins.
    pub low: Length,
    /// Where it ends: a roll's width further, or less where the strip is ripped.
    pub high: Length,
}

impl Row {
    /// The row seen from the other side of a deck of this width.
    pub(super) fn mirrored(self, extent: Length) -> Row {
        Row { low: extent - self.high, high: extent - self.low }
    }
}

/// Widths this much over what strips can cover are put down to the rounding of corners and need no further strip.
pub(super) const SLACK: Length = Length::from_um(5);

/// How many strips cover `extent`.
///
/// `n` strips of width `w` that lap by `o` cover `n w - (n - 1) o`, so `ceil((extent - o) / (w - o))` are needed.
pub(super) fn row_count(extent: Length, mat: &Mat) -> i64 {
    let step = mat.width - mat.lap;
    let rest = extent - mat.lap - SLACK;
    if rest.is_positive() && step.is_positive() { (rest.um() + step.um() - 1) / step.um() } else { 1 }
}

/// Sets out the fewest strips that cover a width of `extent`, and the lap that they are laid with.
///
/// All strips but the last have the roll's width, and laps are the least allowed. Should the last strip become narrower
/// than the narrowest worth laying, laps are widened so that it has that width; if this would take laps wider than
/// allowed, the last strip but one is ripped too, and neither is a sliver as long as the narrowest strip worth laying is
/// no wider than half a roll. An extent below the narrowest strip is covered by one strip as it is.
///
/// The sizes must have passed [`System::check`](crate::System::check): laps as wide as the roll leave one strip, which covers
/// too little. Takes time in proportion to the number of strips.
///
/// ```
/// use upstand::Length;
/// use upstand::mat::rows;
/// use upstand::system::Mat;
///
/// let mm = Length::from_mm;
/// let (strips, lap) = rows(mm(3850), &Mat::default());
/// assert_eq!((strips.len(), lap), (4, mm(50)));
/// // 3.90 m would leave 0.10 m for the fifth strip: the four laps take up 25 mm more each.
/// let (strips, lap) = rows(mm(3900), &Mat::default());
/// assert_eq!((strips.len(), lap), (5, mm(75)));
/// assert_eq!(strips[4].high - strips[4].low, mm(200));
/// ```
pub fn rows(extent: Length, mat: &Mat) -> (Vec<Row>, Length) {
    let count = row_count(extent, mat);
    let gaps = count - 1;
    let last = extent - (mat.width - mat.lap) * gaps;
    let missing = if gaps > 0 { (mat.least_strip - last).max(Length::ZERO) } else { Length::ZERO };
    let more = Length::from_um(if gaps > 0 { (missing.um() + gaps - 1) / gaps } else { 0 });
    let lap = if mat.lap + more <= mat.most_lap { mat.lap + more } else { mat.lap };
    let low = |i: i64| (mat.width - lap) * i;
    let mut rows: Vec<Row> = (0..count).map(|i| Row { low: low(i), high: low(i) + mat.width }).collect();
    widen_last(&mut rows, extent, mat, lap);
    if let Some(last) = rows.last_mut() {
        last.high = extent;
    }
    (rows, lap)
}

/// Strips of full width and least lap whose first begins `before` the low edge; the first and the last end at the edges of the
/// deck, however narrow that leaves them.
fn steps_from(before: Length, extent: Length, mat: &Mat) -> Vec<Row> {
    let step = mat.width - mat.lap;
    let low = |i: i64| step * i - before;
    let mut rows: Vec<Row> =
        (0..row_count(extent + before, mat)).map(|i| Row { low: low(i), high: low(i) + mat.width }).collect();
    if let Some(first) = rows.first_mut() {
        first.low = Length::ZERO;
    }
    if let Some(last) = rows.last_mut() {
        last.high = extent;
    }
    rows
}

fn none_too_narrow(rows: &[Row], extent: Length, mat: &Mat) -> bool {
    rows.iter().all(|row| row.high - row.low >= mat.least_strip.min(extent))
}

/// Strips of full width and least lap whose first begins `before` the low edge; the first and the last are ripped.
/// `None` where one of the two would be narrower than the narrowest worth laying.
pub(super) fn rows_from(before: Length, extent: Length, mat: &Mat) -> Option<Vec<Row>> {
    let rows = steps_from(before, extent, mat);
    none_too_narrow(&rows, extent, mat).then_some(rows)
}

/// The same where the first or the last strip would be too narrow: that one is made as wide as the narrowest worth laying, and
/// its neighbour is ripped. `None` where the neighbour would be too narrow then.
pub(super) fn ripped_from(before: Length, extent: Length, mat: &Mat) -> Option<Vec<Row>> {
    let mut rows = steps_from(before, extent, mat);
    if let [first, second, ..] = rows.as_mut_slice()
        && first.high < mat.least_strip
    {
        first.high = mat.least_strip;
        second.low = first.high - mat.lap;
    }
    widen_last(&mut rows, extent, mat, mat.lap);
    none_too_narrow(&rows, extent, mat).then_some(rows)
}

/// Makes a last strip that is too narrow as wide as the narrowest worth laying; the one before is ripped to lap by `lap`.
fn widen_last(rows: &mut [Row], extent: Length, mat: &Mat, lap: Length) {
    if let [.., before, last] = rows
        && extent - last.low < mat.least_strip
    {
        last.low = extent - mat.least_strip;
        before.high = last.low + lap;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    /// n = ceil((B - p) / (s - p)) for a roof of width B, strips of s = 1 m and laps of p = 50 mm. 3.85 m is an exact
    /// fit, where floating point gives one more.
    #[test]
    fn strip_counts_of_the_closed_formula() {
        for (extent, count) in [(4000, 5), (3850, 4), (6000, 7), (1000, 1), (1001, 2), (5, 1)] {
            assert_eq!(rows(mm(extent), &Mat::default()).0.len(), count, "{extent}");
        }
        assert_eq!(rows(Length::from_um(3_850_001), &Mat::default()).0.len(), 4);
    }

    proptest! {
        #[test]
        fn strips_cover_the_extent_with_their_laps_and_none_is_a_sliver(
            extent in 1i64..20_000_000,
            lap in 0i64..200,
            most in 0i64..200,
            least in 0i64..=500,
        ) {
            let mat = Mat { lap: mm(lap), most_lap: mm(lap + most), least_strip: mm(least), ..Mat::default() };
            let extent = Length::from_um(extent);
            let (rows, laid) = rows(extent, &mat);
            prop_assert!(laid >= mat.lap && laid <= mat.most_lap);
            prop_assert_eq!(rows[0].low, Length::ZERO);
            prop_assert_eq!(rows[rows.len() - 1].high, extent);
            for pair in rows.windows(2) {
                prop_assert_eq!(pair[0].high - pair[1].low, laid);
            }
            for row in &rows {
                let width = row.high - row.low;
                prop_assert!(width <= mat.width + SLACK);
                prop_assert!(width >= mat.least_strip.min(extent), "{width} of {extent}");
            }
            // One strip fewer could not cover.
            let fewer = (mat.width - mat.lap) * (rows.len() as i64 - 2) + mat.width;
            prop_assert!(rows.len() == 1 || fewer < extent);
        }

        #[test]
        fn slivers_rip_their_neighbours(extent in 1i64..20_000, before in 0i64..950) {
            let mat = Mat::default();
            let (before, extent) = (mm(before), mm(extent));
            let Some(rows) = ripped_from(before, extent, &mat) else { return Ok(()) };
            prop_assert_eq!((rows[0].low, rows[rows.len() - 1].high), (mm(0), extent));
            for pair in rows.windows(2) {
                prop_assert_eq!(pair[0].high - pair[1].low, mat.lap);
            }
            prop_assert!(none_too_narrow(&rows, extent, &mat));
            if let Some(plain) = rows_from(before, extent, &mat) {
                prop_assert_eq!(rows, plain);
            }
        }

        #[test]
        fn strips_that_begin_before_the_edge_cover_too(extent in 1i64..20_000, before in 0i64..950) {
            let mat = Mat::default();
            let Some(rows) = rows_from(mm(before), mm(extent), &mat) else { return Ok(()) };
            prop_assert_eq!((rows[0].low, rows[rows.len() - 1].high), (mm(0), mm(extent)));
            for pair in rows.windows(2) {
                prop_assert_eq!(pair[0].high - pair[1].low, mat.lap);
            }
            prop_assert!(rows.iter().all(|row| row.high - row.low >= mat.least_strip.min(mm(extent))));
        }
    }
}
