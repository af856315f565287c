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

/// Length off the roll of all pieces together.
pub(super) fn off_roll(sizes: &[Size], roll_width: Length) -> Length {
    if sizes.iter().filter(|size| size.width < roll_width).take(2).count() < 2 {
        return sizes.iter().map(|size| size.length).sum();
    }
    let hosts = beside(sizes, roll_width, |_| false);
    sizes.iter().zip(hosts).filter(|(_, host)| host.is_none()).map(|(size, _)| size.length).sum()
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
        assert_eq!(off_roll(&sizes, roll), Length::from_mm(16_000));
        assert_eq!(beside(&sizes, roll, |i| i == 1), [None; 5]);
    }
}
