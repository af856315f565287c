//! The place of the first strip, against a fine grid of places.

use proptest::prelude::*;

use super::*;
use crate::geometry::{Point, Ring};

/// The length of all strips that begin `before` the low edge, by cutting every strip: no events, none beside another.
fn length_from(deck: &Deck, mat: &Mat, before: i64) -> Option<f64> {
    let rows = rows_from(Length::from_um(before), deck.extent(), mat)?;
    Some(measure(deck, &rows, mat).1.um() as f64)
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

/// The lay-out along the axis of a deck that takes the least.
fn laid(mat: &Mat, deck: &Deck) -> Scheme {
    least_along(mat, deck, plain(deck, mat), None, &mut Budget(usize::MAX))
}

fn mat(most_cut_out: i64, least_strip: i64) -> Mat {
    let mm = Length::from_mm;
    Mat { most_cut_out: mm(most_cut_out), least_strip: mm(least_strip), ..Mat::default() }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The optimum by events is at least as good as any of 950 places on a grid and some off it,
    /// along edges and askew.
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
        let best = laid(&mat, &deck).need.length.um() as f64;
        for mm in 0..950 {
            for before in [mm * 1000, mm * 1000 + off] {
                if let Some(length) = length_from(&deck, &mat, before) {
                    prop_assert!(best <= length + 2.0, "{best} at best, {length} from {before}");
                }
            }
        }
    }

    /// Seen in a mirror, or turned by the angle of the 3-4-5 triangle together with its strips, a deck takes as much.
    #[test]
    fn a_mirrored_or_turned_deck_takes_as_much(
        points in outline(),
        motion in 0usize..3,
        gap in prop::sample::select(vec![0i64, 700]),
    ) {
        let mut moved: Vec<(i64, i64)> = points
            .iter()
            .map(|&(x, y)| [(x, -y), (-x, y), (4 * x - 3 * y, 3 * x + 4 * y)][motion])
            .collect();
        // Turned ones come out five times as large, and so must the others.
        let points: Vec<(i64, i64)> = points.iter().map(|&(x, y)| if motion == 2 { (5 * x, 5 * y) } else { (x, y) }).collect();
        if motion < 2 {
            moved.reverse();
        }
        let decks = (deck_of(&points, (1, 0)), deck_of(&moved, if motion == 2 { (4, 3) } else { (1, 0) }));
        let (Some(one), Some(other)) = (&decks.0, &decks.1) else { return Ok(()) };
        let mat = mat(gap, 0);
        let least_of = |deck: &Deck| {
            let begins = beginnings(deck, &mat, &mut Budget(usize::MAX)).expect("no limit");
            let lengths = begins.iter().take(50).filter_map(|begin| length_from(deck, &mat, begin.before.um()));
            lengths.fold(f64::INFINITY, f64::min)
        };
        // Widths that strips may fail to cover by a few micrometres are at the other end in the mirror: along a side that
        // leans far, that is more.
        let lean = one.sides.iter().map(|side| side.lean().abs()).fold(1.0, f64::max);
        let (one, other) = (least_of(one), least_of(other));
        prop_assert!((one - other).abs() <= 50.0 * lean, "{one} and {other}");
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
    let begins = beginnings(&deck, &mat, &mut Budget(usize::MAX)).expect("no limit");
    let best = length_from(&deck, &mat, begins[0].before.um()).expect("no sliver is too narrow");
    assert!(laid(&mat, &deck).need.length.um() as f64 <= best + 2.0);
    let step = (mat.width - mat.lap).um();
    let fine = (0..step / 100).filter_map(|k| length_from(&deck, &mat, k * 100)).fold(f64::INFINITY, f64::min);
    assert!(best <= fine && best > fine - 400.0, "{best}, {fine} on a grid of 0.1 mm");
}

/// A deck 3.90 m across leaves 100 mm for a fifth strip. With wider laps (75 mm) the second strip begins at 925 mm, below a shoulder
/// at 940 mm, and is as long as the first; ripping the last strip but one leaves it at 950 mm.
#[test]
fn the_last_strips_are_ripped_where_wider_laps_take_more() {
    let points = [(0, 0), (6000, 0), (6000, 940), (3000, 940), (3000, 3900), (0, 3900)];
    let deck = deck_of(&points, (1, 0)).expect("sound");
    let mat = mat(0, 200);
    let (spread, lap) = rows(deck.extent(), &mat);
    assert_eq!((lap, Need::of(&deck, &spread, &mat).length), (Length::from_mm(75), Length::from_mm(21_000)));
    let scheme = plain(&deck, &mat);
    assert_eq!((scheme.lap, scheme.need.length), (Length::from_mm(50), Length::from_mm(18_000)));
    // A rectangle takes as much either way: the wider laps stay.
    let deck = deck_of(&[(0, 0), (6000, 0), (6000, 3900), (0, 3900)], (1, 0)).expect("sound");
    assert_eq!(plain(&deck, &mat).lap, Length::from_mm(75));
}

/// What is left beside ripped strips decides where it serves for patches: 60 squares of 100 mm, of which a short last strip leaves 32
/// and the strip below it, ripped to 900 mm along 6 m, another 60.
#[test]
fn the_last_strips_are_ripped_where_that_serves_for_patches() {
    let points = [(0, 0), (6000, 0), (6000, 3690), (400, 3690), (400, 3900), (0, 3900)];
    let mut deck = deck_of(&points, (1, 0)).expect("sound");
    let mat = mat(0, 200);
    assert_eq!(plain(&deck, &mat).lap, Length::from_mm(75));
    deck.patches = Squares { side: Length::from_mm(100), count: 60 };
    let scheme = plain(&deck, &mat);
    assert_eq!((scheme.lap, scheme.need.patches), (Length::from_mm(50), Length::ZERO));
}
