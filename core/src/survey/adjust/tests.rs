use super::*;

fn distance(from: &str, to: &str, mm: f64) -> Measurement {
    let length = Length::try_from_mm_f64(mm).expect("a length");
    Measurement::Distance { from: from.into(), to: to.into(), length, sd: None }
}

fn network(outline: &str, distances: &[(&str, &str, f64)]) -> Network {
    Network {
        outline: outline.chars().map(String::from).collect(),
        measurements: distances.iter().map(|&(a, b, mm)| distance(a, b, mm)).collect(),
        ..Network::default()
    }
}

fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

/// Four tape points: least-squares coordinates computed with scipy's least_squares.
#[test]
fn four_tape_points() {
    let adjusted = adjust(&network(
        "ABCD",
        &[
            ("A", "B", 6000.0),
            ("B", "C", 4003.0),
            ("C", "D", 5998.0),
            ("D", "A", 4001.0),
            ("A", "C", 7215.0),
            ("B", "D", 7208.0),
        ],
    ))
    .expect("a rigid network");
    let expected = [(0.0, 0.0), (6000.05, 0.0), (6002.59, 4003.03), (4.54, 4001.03)];
    for (point, (x, y)) in adjusted.points.iter().zip(expected) {
        near(point.at.x.mm(), x, 0.006);
        near(point.at.y.mm(), y, 0.006);
    }
    let residuals = [-0.050, -0.033, -0.050, -0.034, 0.060, 0.060];
    for (residual, expected) in adjusted.residuals.iter().zip(residuals) {
        near(residual.residual, expected, 0.001);
    }
    // One contradiction, seen by all alike.
    near(adjusted.residuals.iter().map(|r| r.redundancy).sum(), 1.0, 1e-5);
}

/// Trilateration from three known points: Ghilani, Adjustment Computations, example 14.2 (solution recomputed there with
/// scipy). A second stationary point near (-2237.9, -367.6) must not be taken.
#[test]
fn trilateration_takes_the_right_branch() {
    let known = |name: &str, x: f64, y: f64| Known {
        point: name.into(),
        at: Point {
            x: Length::try_from_mm_f64(x).expect("in range"),
            y: Length::try_from_mm_f64(y).expect("in range"),
        },
    };
    let mut given = network("", &[("A", "U", 6049.00), ("B", "U", 4736.83), ("C", "U", 5446.49)]);
    given.precision.tape = Length::from_mm(1);
    given.fixed = vec![known("A", 865.40, 4527.15), known("B", 2432.55, 2047.25), known("C", 2865.22, 27.15)];
    let adjusted = adjust(&given).expect("a rigid network");
    let u = adjusted.points.iter().find(|p| p.point == "U").expect("U is there");
    near(u.at.x.mm(), 6861.3168, 0.001);
    near(u.at.y.mm(), 3727.8186, 0.001);
    near(adjusted.sum_of_squares, 0.009_537_4, 2e-6);
    // With one degree of freedom the reference standard deviation is the root of the sum of squares.
    let reference = adjusted.sum_of_squares.sqrt();
    near(reference, 0.0977, 1e-4);
    near(u.sd_x_mm * reference, 0.0775, 1e-4);
    near(u.sd_y_mm * reference, 0.1542, 1e-4);
    for (residual, computed_less_observed) in adjusted.residuals.iter().zip([-0.0374, 0.0768, -0.0474]) {
        near(residual.residual, -computed_less_observed, 1e-4);
    }
}

/// The 13-14-15 triangle: base 14, apex (5, 12) (Heron).
#[test]
fn a_triangle_has_no_redundancy() {
    let adjusted =
        adjust(&network("ABC", &[("A", "B", 14.0), ("B", "C", 15.0), ("C", "A", 13.0)])).expect("a rigid network");
    near(adjusted.points[2].at.x.mm(), 5.0, 1e-3);
    near(adjusted.points[2].at.y.mm(), 12.0, 1e-3);
    assert_eq!((adjusted.degrees_of_freedom, adjusted.limit), (0, None));
    assert!(adjusted.residuals.iter().all(|r| r.standardised.is_none()));
}

/// An L measured by its sides and ties, one of which was misread by 100 mm.
#[test]
fn a_blunder_is_named() {
    let at = [
        ("A", 0.0, 0.0),
        ("B", 7000.0, 0.0),
        ("C", 7000.0, 3000.0),
        ("D", 4000.0, 3000.0),
        ("E", 4000.0, 6000.0),
        ("F", 0.0, 6000.0),
    ];
    let mut distances = Vec::new();
    for (i, a) in at.iter().enumerate() {
        for b in &at[i + 1..] {
            let (dx, dy): (f64, f64) = (b.1 - a.1, b.2 - a.2);
            distances.push((a.0, b.0, (dx * dx + dy * dy).sqrt()));
        }
    }
    for wrong in 0..distances.len() {
        let mut given = network("ABCDEF", &distances);
        given.measurements[wrong] = distance(distances[wrong].0, distances[wrong].1, distances[wrong].2 + 100.0);
        let adjusted = adjust(&given).expect("a rigid network");
        assert_eq!(adjusted.suspects.iter().map(|s| s.index).collect::<Vec<_>>(), [wrong]);
        near(adjusted.suspects[0].blunder, 100.0, 1.0);
        // Neighbours in the ring are ends of a side.
        let (from, to) = (distances[wrong].0, distances[wrong].1);
        let kind = if ["AB", "BC", "CD", "DE", "EF", "AF"].contains(&format!("{from}{to}").as_str()) {
            "side"
        } else {
            "diagonal"
        };
        let wanted = format!("{kind} {from}-{to} reads about 100 mm long: measure it again");
        assert_eq!(adjusted.suspects[0].text, wanted);
        assert!(adjusted.sum_of_squares > adjusted.limit.expect("there is redundancy"));
    }
}

#[test]
fn floating_points_are_named() {
    // A square without a diagonal, held together by five points' worth of sides only.
    let error = adjust(&network("ABCD", &[("A", "B", 4.0), ("B", "C", 4.0), ("C", "D", 4.0), ("D", "A", 4.0)]))
        .expect_err("a linkage");
    assert_eq!(error.code(), Code::FloatingPoint);
    // The same with positions off a sketch: it can start, but still has no shape.
    let mut given = network("ABCD", &[("A", "B", 4000.0), ("B", "C", 4000.0), ("C", "D", 4000.0), ("D", "A", 4000.0)]);
    for (name, x, y) in [("A", 0, 0), ("B", 4000, 0), ("C", 4000, 4000), ("D", 0, 4000)] {
        given.sketch.push(Known { point: name.into(), at: Point { x: Length::from_mm(x), y: Length::from_mm(y) } });
    }
    let error = adjust(&given).expect_err("a linkage");
    assert_eq!(error.code(), Code::FloatingPoint);
    assert!(error.message().contains('C'), "{error}");
}

#[test]
fn offsets_angles_and_statements_place_points() {
    let mut given = network("ABCD", &[("A", "B", 6000.0), ("B", "C", 4000.0)]);
    given.measurements.push(Measurement::RightAngle { at: "B".into(), from: "A".into(), to: "C".into(), sd: None });
    given.measurements.push(Measurement::Angle {
        at: "A".into(),
        from: "B".into(),
        to: "D".into(),
        degrees: 90.0,
        sd: None,
    });
    given.measurements.push(Measurement::Offset {
        point: "D".into(),
        from: "A".into(),
        to: "B".into(),
        length: Length::from_mm(4000),
        sd: None,
    });
    given.measurements.push(Measurement::Distance {
        from: "B".into(),
        to: "P".into(),
        length: Length::from_mm(2000),
        sd: None,
    });
    given.measurements.push(Measurement::InLine { point: "P".into(), from: "B".into(), to: "C".into(), sd: None });
    let adjusted = adjust(&given).expect("a rigid network");
    let expected = [(0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0)];
    for (point, (x, y)) in adjusted.points.iter().zip(expected) {
        near(point.at.x.mm(), x, 0.002);
        near(point.at.y.mm(), y, 0.002);
    }
}

#[test]
fn misnamed_and_senseless_measurements_are_refused_all_at_once() {
    let mut given = network("AAB", &[("A", "B", -1.0), ("A", "A", 5.0)]);
    given.precision.tape = Length::ZERO;
    let error = adjust(&given).expect_err("nonsense");
    let paths: Vec<_> = error.problems().map(Error::path).collect();
    assert_eq!(paths, ["/precision/tape", "/outline/1", "/measurements/0", "/measurements/1"]);
}
