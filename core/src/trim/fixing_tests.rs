//! Fixings: counts, laps, zones, gaps, order.

use proptest::prelude::*;

use super::*;
use crate::geometry::Point;
use crate::roof::Kind;
use crate::trim::end::square;

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn run(length: i64) -> TrimRun {
    TrimRun {
        mark: "D1".into(),
        kind: Kind::Drip,
        ring: 0,
        first_edge: 0,
        edge_count: 1,
        from: Point::from_mm(0, 0),
        to: Point::from_mm(length, 0),
        line_length: mm(length),
        cut_length: mm(length),
        start: square(Length::ZERO),
        end: square(Length::ZERO),
        joints: Vec::new(),
        over: Default::default(),
        beads: Vec::new(),
        fixings: 0,
        fixing_line: Vec::new(),
        fixing_legs: vec![Leg::DeckFlange],
    }
}

#[test]
fn one_more_fixing_than_spaces() {
    // Closed formula: ceil(length / spacing) + 1.
    for (length, spacing, count) in
        [(3000, 150, 21), (3000, 100, 31), (2400, 150, 17), (3000, 300, 11), (2950, 150, 21)]
    {
        let fixing = Fixing { spacing: mm(spacing), ..Fixing::default() };
        assert_eq!(fixing_line(&run(length + 50), &[], &fixing).len(), count);
    }
    // 2950 mm in twenty spaces of 147.5 mm, not in nineteen and a remainder.
    let line = fixing_line(&run(3000), &[], &Fixing { spacing: mm(150), ..Fixing::default() });
    assert!(line.windows(2).all(|pair| pair[1] - pair[0] == Length::from_um(147_500)));
    assert_eq!(fixing_line(&run(50), &[], &Fixing::default()), [mm(25)]);
    assert_eq!(fixing_line(&run(0), &[], &Fixing::default()), []);
}

#[test]
fn laps_are_held_by_fixings_through_both_pieces() {
    let fixing = Fixing::default();
    // A lap of twice the end distance has one fixing in its middle; a longer one has two; a butt joint has one on
    // either side.
    for (lap, at) in [((2950, 3000), vec![2975]), ((2900, 3000), vec![2925, 2975]), ((3000, 3000), vec![2975, 3025])] {
        let line = fixing_line(&run(5000), &[(mm(lap.0), mm(lap.1))], &fixing);
        let near: Vec<Length> = line.iter().copied().filter(|&x| mm(2880) < x && x < mm(3060)).collect();
        assert_eq!(near, at.into_iter().map(mm).collect::<Vec<_>>());
        assert!(line.windows(2).all(|pair| pair[0] < pair[1] && pair[1] - pair[0] <= fixing.spacing));
        assert_eq!((line[0], line[line.len() - 1]), (mm(25), mm(4975)));
    }
}

#[test]
fn zones_have_spacings_of_their_own() {
    let zone = |from, to, spacing| SpacedZone { from: mm(from), to: mm(to), spacing: mm(spacing) };
    let fixing = Fixing::default();
    let laps = [(mm(2950), mm(3000))];
    let zones = [zone(0, 1000, 100), zone(0, 625, 50)];
    let line = spaced_line(&run(5000), Along { laps: &laps, bare: &[], zones: &zones }, &fixing);
    let gaps = |from: i64, to: i64| {
        let inside: Vec<Length> = line.iter().copied().filter(|&at| mm(from) <= at && at <= mm(to)).collect();
        inside.windows(2).map(|pair| pair[1] - pair[0]).max()
    };
    assert_eq!((gaps(0, 625), gaps(625, 1000)), (Some(mm(50)), Some(um(93_750))));
    assert!(gaps(1000, 5000) > Some(mm(140)) && gaps(1000, 5000) <= Some(mm(150)));
    // A border beside the lap is no place for a fixing: the gap before the lap is denser instead.
    let zones = [zone(2940, 5000, 100)];
    let line = spaced_line(&run(5000), Along { laps: &laps, bare: &[], zones: &zones }, &fixing);
    assert!(!line.contains(&mm(2940)) && line.contains(&mm(2975)));
    assert!(line.windows(2).filter(|pair| pair[1] > mm(2900)).all(|pair| pair[1] - pair[0] <= mm(100)));
}

#[test]
fn beads_leave_room_for_the_fixing_between_them() {
    assert_eq!(beads((mm(2950), mm(3000)), 2).collect::<Vec<_>>(), [um(2_962_500), um(2_987_500)]);
    assert_eq!(beads((mm(0), mm(60)), 1).collect::<Vec<_>>(), [mm(30)]);
    assert_eq!(beads((mm(0), mm(60)), 0).count(), 0);
}

fn um(um: i64) -> Length {
    Length::from_um(um)
}

#[test]
fn the_middle_is_driven_second() {
    assert!(fixing_order(0).is_empty());
    assert_eq!(fixing_order(1), [0]);
    assert_eq!(fixing_order(2), [0, 1]);
    assert_eq!(fixing_order(5), [0, 2, 4, 1, 3]);
}

#[test]
fn notches_and_slits_are_kept_clear_of() {
    let fixing = Fixing::default();
    let along = |length: i64, bare: &[(i64, i64)]| {
        let bare: Vec<(Length, Length)> = bare.iter().map(|&(from, to)| (mm(from), mm(to))).collect();
        spaced_line(&run(length), Along { bare: &bare, ..Along::default() }, &fixing)
    };
    // A notch of 60 mm at the start, one of 10 mm at the end: the first and last fixing are measured from there.
    let line = along(3000, &[(-5, 60), (2990, 3000)]);
    assert_eq!((line[0], line[line.len() - 1]), (mm(85), mm(2965)));
    // A slit 800 mm along: a fixing on either side, none across it.
    let line = along(3000, &[(800, 960)]);
    let around: Vec<Length> = line.iter().copied().filter(|&at| mm(700) < at && at < mm(1100)).collect();
    assert_eq!(around, [mm(775), mm(985)]);
    assert!(line.windows(2).all(|pair| pair[1] - pair[0] <= mm(150) || pair == [mm(775), mm(985)]));
    // Nothing is left to fix.
    assert_eq!(along(100, &[(0, 100)]), []);
    assert_eq!(along(100, &[(0, 70)]), [mm(85)]);
}

#[test]
fn fixings_of_a_piece_are_driven_leg_after_leg_and_laps_through_both() {
    let job = |kind: &str| {
        let text = format!(
            r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": [[0, 0], [5000, 0], [5000, 4000], [0, 4000]],
            "kinds": ["{kind}", "{kind}", "{kind}", "{kind}"]}}}}]}}"#
        );
        crate::Job::from_json(&text).expect("a job")
    };
    for (kind, legs) in [("abutment", vec![Leg::DeckFlange, Leg::Face]), ("drip", vec![Leg::DeckFlange])] {
        let plan = crate::plan(&job(kind)).expect("a sound roof");
        let (mut total, mut shared) = (0, 0);
        for piece in plan.cut_lists[0].bars.iter().flat_map(|bar| &bar.pieces) {
            let run = &plan.roofs[0].trims.runs[piece.run];
            let fixings = piece_fixings(run, piece);
            let per_leg = fixings.len() / legs.len();
            for (nth, (of_leg, leg)) in fixings.chunks(per_leg).zip(&legs).enumerate() {
                assert!(of_leg.iter().all(|fixing| fixing.leg == *leg));
                // The ends and the middle first, then what lies between (common practice, no source).
                let turn = |i: usize| of_leg[i].turn - nth * per_leg;
                assert_eq!((turn(0), turn(per_leg / 2), turn(per_leg - 1)), (0, 1, 2));
                let rest: Vec<usize> = (0..per_leg).map(turn).filter(|&turn| turn > 2).collect();
                assert!(rest.windows(2).all(|pair| pair[0] < pair[1]));
            }
            total += fixings.len() as u64;
            shared += fixings.iter().filter(|fixing| fixing.both).count() as u64;
        }
        let runs = &plan.roofs[0].trims.runs;
        // A fixing through both pieces is on the list of either. Laps of 50 mm have one on each leg.
        let laps: usize = runs.iter().map(|run| run.joints.len()).sum();
        assert_eq!(shared, 2 * (laps * legs.len()) as u64);
        assert_eq!(total - shared / 2, runs.iter().map(|run| run.fixings).sum::<u64>());
    }
}

#[test]
fn spaces_under_the_least_are_noted() {
    let job = |side: i64| {
        let text = format!(
            r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"points": [[0, 0], [{side}, 0], [{side}, 2000], [0, 2000]],
            "kinds": ["drip", "drip", "drip", "drip"]}}}}]}}"#
        );
        crate::plan(&crate::Job::from_json(&text).expect("a job")).expect("a sound roof")
    };
    let noted = |plan: crate::Plan| -> Vec<(Option<f64>, Option<f64>)> {
        let notes = plan.findings.into_iter().filter(|finding| finding.code == "fixings_close");
        notes.map(|note| (note.value, note.limit)).collect()
    };
    // Mitres take 170 mm off the flange, the end distances 50 mm: 180 mm are left for two spaces, 300 mm for two as well.
    assert_eq!(noted(job(400)), [(Some(90.0), Some(100.0)); 2]);
    assert_eq!(noted(job(520)), []);
}

proptest! {
    #[test]
    fn no_fixing_is_beside_a_lap_unless_it_goes_through_both_pieces(
        length in 400_000_i64..12_000_000, spacing in 10_000_i64..200_000, distance in 0_i64..60_000,
        at in prop::collection::vec((0.0_f64..1.0, 0_i64..120_000), 0..4),
        slit in prop::option::of((0.0_f64..1.0, 1_000_i64..300_000)), zone in 10_000_i64..200_000,
    ) {
        let fixing = Fixing { spacing: um(spacing), end_distance: um(distance), ..Fixing::default() };
        let mut run = run(0);
        run.cut_length = um(length);
        let place = |share: f64, wide: i64| {
            let from = (share * length as f64) as i64;
            (um(from), um(from + wide))
        };
        // Laps and slits as cutting leaves them: within the run and clear of one another.
        let room = |(from, to): (Length, Length), others: &[(Length, Length)]| {
            let apart = um(2 * distance + 1_000);
            from > apart && to + apart < um(length) && others.iter().all(|o| to + apart < o.0 || from > o.1 + apart)
        };
        let mut laps: Vec<(Length, Length)> = Vec::new();
        for (share, wide) in at {
            let lap = place(share, wide);
            if room(lap, &laps) {
                laps.push(lap);
            }
        }
        laps.sort_unstable();
        let slits: Vec<(Length, Length)> =
            slit.map(|(share, wide)| place(share, wide)).filter(|slit| room(*slit, &laps)).into_iter().collect();
        let zones = [SpacedZone { from: um(length / 3), to: um(length / 2), spacing: um(zone) }];
        let line = spaced_line(&run, Along { laps: &laps, bare: &slits, zones: &zones }, &fixing);
        let distance = um(distance);
        prop_assert_eq!((line[0], line[line.len() - 1]), (distance, um(length) - distance));
        for &(from, to) in &laps {
            // Both ends of the lap are held, through both pieces where the lap is long enough.
            prop_assert!(line.contains(&(from + distance)) && line.contains(&(to - distance)));
            let held = |at: Length| at == from + distance || at == to - distance;
            for &at in &line {
                for end in [from, to] {
                    prop_assert!(held(at) || at <= end - distance || at >= end + distance, "{at} beside {from}..{to}");
                }
            }
        }
        for &(from, to) in &slits {
            prop_assert!(line.iter().all(|&at| at <= from - distance || at >= to + distance));
            prop_assert!(line.contains(&(from - distance)) && line.contains(&(to + distance)));
        }
        for pair in line.windows(2) {
            prop_assert!(pair[0] < pair[1]);
            // Wider than allowed only across what must be kept clear.
            let ends = laps.iter().flat_map(|&(from, to)| [(from, from), (to, to)]).chain(slits.iter().copied());
            let mut clear = ends.map(|(from, to)| (from - distance, to + distance));
            let across = clear.any(|(from, to)| from <= pair[0] && pair[1] <= to);
            let inside = zones[0].from <= pair[0] && pair[1] <= zones[0].to;
            let widest = if inside { fixing.spacing.min(um(zone)) } else { fixing.spacing };
            prop_assert!(across || pair[1] - pair[0] <= widest, "{pair:?}");
        }
    }
}
