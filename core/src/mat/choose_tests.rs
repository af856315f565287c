//! The place of the first strip, against a fine grid of places.

use proptest::prelude::*;

use super::*;
use crate::geometry::{Point, Ring};

/// The length off the roll of strips that begin `before` the low edge, by cutting every strip: no events.
fn length_from(deck: &Deck, mat: &Mat, before: i64) -> Option<f64> {
    let rows = rows_from(Length::from_um(before), deck.extent(), mat)?;
    Some(Need::of(deck, &rows, mat).length.um() as f64)
}

/// Steps along both sides of a line, with slanting shoulders: necks, bays, reflex corners, gaps of all widths.
fn outline() -> impl Strategy<Value = Vec<(i64, i64)>> {
    let steps = prop::collection::vec((200i64..3000, 300i64..5000, -400i64..200, -150i64..150), 1..7);
    steps.prop_map(|steps| {
        let (mut lower, mut upper, mut x) = (Vec::new(), Vec::new(), 0);
        for (wide, high, low, lean) in steps {
            let end = x + wide;
            lower.extend([(x, low), (end - lean.max(0), low)]);
            upper.extend([(x, high), (end + lean.min(0), high + lean)]);
            x = end;
        }
        upper.reverse();
        lower.extend(upper);
        lower.dedup();
        lower
    })
}

fn deck_of(points: &[(i64, i64)], way: (i64, i64)) -> Option<Deck> {
    let ring = Ring::new(points.iter().map(|&(x, y)| Point::from_mm(x, y)).collect());
    let polygon = Polygon::from(ring);
    if !crate::geometry::check(&polygon, &crate::geometry::RingLimits::default(), "").is_empty() {
        return None;
    }
    let axis = Axis { origin: Point::from_mm(0, 0), ahead: Point::from_mm(way.0, way.1) };
    Some(Deck::new(&[polygon], axis))
}

fn mat(most_cut_out: i64, least_strip: i64) -> Mat {
    let mm = Length::from_mm;
    Mat { most_cut_out: mm(most_cut_out), least_strip: mm(least_strip), ..Mat::default() }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The optimum by events is at least as good as any of 950 places on a grid and some off it, along edges and askew.
    #[test]
    fn no_grid_of_places_does_better(
        points in outline(),
        way in prop::sample::select(vec![(1, 0), (0, 1), (3, 4), (-7, 2)]),
        gap in prop::sample::select(vec![0i64, 300, 1200]),
        least in prop::sample::select(vec![0i64, 200]),
        off in 0i64..1000,
    ) {
        let Some(deck) = deck_of(&points, way) else { return Ok(()) };
        let mat = mat(gap, least);
        let best = least_along(&mat, &deck, &mut Budget(usize::MAX)).need.length.um() as f64;
        for mm in 0..950 {
            for before in [mm * 1000, mm * 1000 + off] {
                if let Some(length) = length_from(&deck, &mat, before) {
                    prop_assert!(best <= length + 2.0, "{best} at best, {length} from {before}");
                }
            }
        }
    }

    /// What the events say of a place is what cutting every strip there gives, but for jumps at the place itself.
    #[test]
    fn lengths_by_events_are_those_of_the_strips(points in outline(), way in prop::sample::select(vec![(1, 0), (3, 4)])) {
        let Some(deck) = deck_of(&points, way) else { return Ok(()) };
        let mat = mat(300, 0);
        let begins = beginnings(&deck, &mat, &mut Budget(usize::MAX)).expect("no limit");
        let mut off = 0;
        for begin in &begins {
            let Some(length) = length_from(&deck, &mat, begin.before.um()) else { continue };
            prop_assert!(begin.length <= length + 20.0, "{begin:?} is {length}");
            off += usize::from((begin.length - length).abs() > 20.0);
        }
        prop_assert!(off * 4 <= begins.len(), "{off} of {}", begins.len());
    }
}

/// A deck whose best beginning lies between corners, where two slanting sides are passed alike.
#[test]
fn the_optimum_may_lie_between_corners() {
    let points = [(0, 0), (3000, 0), (4200, 1300), (3000, 2600), (0, 2600), (-900, 1500)];
    let deck = deck_of(&points, (1, 0)).expect("valid");
    let mat = mat(0, 0);
    let best = least_along(&mat, &deck, &mut Budget(usize::MAX)).need.length.um() as f64;
    let step = (mat.width - mat.lap).um();
    let fine = (0..step / 100).filter_map(|k| length_from(&deck, &mat, k * 100)).fold(f64::INFINITY, f64::min);
    assert!(best <= fine && best > fine - 400.0, "{best}, {fine} on a grid of 0.1 mm");
}
