//! Narrow pieces side by side: what is left beside a ripped strip serves where a narrow piece is needed.

use crate::length::Length;

/// Most narrow pieces that are compared with one another.
const MOST_NARROW: usize = 400;

/// A piece of mat: its length along the roll and its width across.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) length: Length,
    pub(super) width: Length,
}

/// For each piece the one from beside which it is cut, if any. Pieces for which `alone` says so are left by themselves.
///
/// The longest narrow piece takes its length off the roll. What is left beside it is cut into rectangles, each first across and
/// then along, for further narrow pieces, the longest first, each where the least width is left; whatever fits costs nothing.
/// O(n^2) in the number of narrow pieces.
pub(super) fn beside(sizes: &[Size], roll_width: Length, alone: impl Fn(usize) -> bool) -> Vec<Option<usize>> {
    let mut narrow: Vec<usize> = (0..sizes.len())
        .filter(|&i| sizes[i].width < roll_width && sizes[i].length.is_positive() && !alone(i))
        .collect();
    narrow.sort_by_key(|&i| (-sizes[i].length, -sizes[i].width, i));
    narrow.truncate(MOST_NARROW);
    let mut hosts = vec![None; sizes.len()];
    for (at, &host) in narrow.iter().enumerate() {
        if hosts[host].is_some() {
            continue;
        }
        let mut free = vec![Size { length: sizes[host].length, width: roll_width - sizes[host].width }];
        for &guest in &narrow[at + 1..] {
            if hosts[guest].is_some() {
                continue;
            }
            let size = sizes[guest];
            let fits = |free: &Size| free.width >= size.width && free.length >= size.length;
            let found = (0..free.len()).filter(|&i| fits(&free[i])).min_by_key(|&i| (free[i].width, free[i].length));
            let Some(i) = found else { continue };
            let all = free[i];
            free[i] = Size { length: all.length - size.length, width: all.width };
            free.push(Size { length: size.length, width: all.width - size.width });
            hosts[guest] = Some(host);
        }
    }
    hosts
}

/// Squares that are cut from what is left beside narrow pieces, as far as that reaches, else from the roll.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Squares {
    pub(super) side: Length,
    pub(super) count: u64,
}

impl Squares {
    /// Squares from beside a piece.
    fn beside(self, size: &Size, roll_width: Length) -> u64 {
        (size.length / self.side).max(0) as u64 * ((roll_width - size.width) / self.side).max(0) as u64
    }

    /// Length off the roll of those for which there is nothing left beside these pieces.
    fn off_roll<'a>(self, free: impl Iterator<Item = &'a Size>, roll_width: Length) -> Length {
        if self.count == 0 || !self.side.is_positive() {
            return Length::ZERO;
        }
        let beside: u64 = free.map(|size| self.beside(size, roll_width)).sum();
        let across = (roll_width / self.side).max(1) as u64;
        self.side * self.count.saturating_sub(beside).div_ceil(across).min(MOST_SQUARES) as i64
    }
}

/// Rows of squares beyond these are not told apart.
const MOST_SQUARES: u64 = 1_000_000;

/// Length off the roll of all pieces together, and of the squares for which they leave nothing.
pub(super) fn off_roll(sizes: &[Size], roll_width: Length, squares: Squares) -> (Length, Length) {
    let narrow = |size: &&Size| size.width < roll_width;
    if sizes.iter().filter(narrow).take(2).count() < 2 {
        let length = sizes.iter().map(|size| size.length).sum();
        return (length, squares.off_roll(sizes.iter().filter(narrow), roll_width));
    }
    let hosts = beside(sizes, roll_width, |_| false);
    let length = sizes.iter().zip(&hosts).filter(|(_, host)| host.is_none()).map(|(size, _)| size.length).sum();
    if squares.count == 0 {
        return (length, Length::ZERO);
    }
    let mut free = vec![true; sizes.len()];
    for (i, host) in hosts.iter().enumerate() {
        if let Some(host) = host {
            (free[i], free[*host]) = (false, false);
        }
    }
    let free = sizes.iter().zip(free).filter(|(size, free)| *free && size.width < roll_width).map(|(size, _)| size);
    (length, squares.off_roll(free, roll_width))
}

/// How many squares of a side are left beside pieces: those beside which nothing else is cut.
pub(super) fn squares_beside(free: impl Iterator<Item = Size>, roll_width: Length, side: Length) -> u64 {
    let squares = Squares { side, count: 0 };
    if side.is_positive() { free.map(|size| squares.beside(&size, roll_width)).sum() } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(length: i64, width: i64) -> Size {
        Size { length: Length::from_mm(length), width: Length::from_mm(width) }
    }

    #[test]
    fn a_narrow_piece_comes_from_beside_a_ripped_one() {
        let roll = Length::from_mm(1000);
        let sizes = [size(6000, 1000), size(6000, 400), size(2500, 600), size(3500, 500), size(4000, 700)];
        // Beside 400 mm there are 600 mm: two pieces end to end.
        assert_eq!(beside(&sizes, roll, |_| false), [None, None, Some(1), Some(1), None]);
        let squares = |count| Squares { side: Length::from_mm(200), count };
        assert_eq!(off_roll(&sizes, roll, squares(0)), (Length::from_mm(16_000), Length::ZERO));
        assert_eq!(beside(&sizes, roll, |i| i == 1), [None; 5]);
        // Beside the piece of 700 mm, which nothing shares, there is one row of twenty squares; five more take a row off the roll.
        assert_eq!(off_roll(&sizes, roll, squares(20)).1, Length::ZERO);
        assert_eq!(off_roll(&sizes, roll, squares(25)).1, Length::from_mm(200));
        assert_eq!(off_roll(&sizes, roll, squares(26)).1, Length::from_mm(400));
    }
}
