use crate::{Code, Finding, Grade, Job, Plan, plan};

/// A rectangle of 6 by 4 m by its sides and both diagonals, with one more measurement put in.
fn job(diagonal: f64, sd: f64, more: &str) -> Job {
    let distance = |from: &str, to: &str, length: f64| {
        format!(r#"{{"distance": {{"from": "{from}", "to": "{to}", "length": {length}, "sd": {sd}}}}}"#)
    };
    let all = [
        distance("A", "B", 6000.0),
        distance("B", "C", 4000.0),
        distance("C", "D", 6000.0),
        distance("D", "A", 4000.0),
        distance("A", "C", 7211.1),
        distance("B", "D", diagonal),
    ];
    let text = format!(
        r#"{{"schema": "upstand/job/1", "roofs": [{{"outer": {{"kinds": ["drip", "open_side", "abutment", "open_side"]}},
            "measured": {{"outline": ["A", "B", "C", "D"], "measurements": [{}{more}]}}}}]}}"#,
        all.join(", ")
    );
    Job::from_json(&text).expect("a job")
}

fn planned(diagonal: f64, sd: f64) -> Plan {
    plan(&job(diagonal, sd, "")).expect("a roof")
}

fn survey_findings(plan: &Plan) -> Vec<&Finding> {
    plan.findings.iter().filter(|finding| finding.place.contains("/measured")).collect()
}

#[test]
fn a_measured_rectangle_is_planned_like_the_drawn_one() {
    let plan = planned(7211.1, 3.0);
    let roof = &plan.roofs[0];
    assert!((roof.area_m2 - 24.0).abs() < 1e-3, "{}", roof.area_m2);
    let measured = roof.measured.as_ref().expect("it is measured");
    assert_eq!(measured.adjusted.degrees_of_freedom, 1);
    assert_eq!(measured.runs.len(), roof.trims.runs.len());
    for (run, doubt) in roof.trims.runs.iter().zip(&measured.runs) {
        assert_eq!(run.mark, doubt.mark);
        // A measured side that is hardly checked is as good as the tape: two standard deviations of 3 mm, a little less.
        assert!((5.0..6.0).contains(&doubt.uncertainty_mm), "{doubt:?}");
    }
    assert_eq!(survey_findings(&plan), Vec::<&Finding>::new());
    // What was planned is the outlined job.
    let outlined = job(7211.1, 3.0, "").outlined().expect("an outline");
    assert_eq!(plan.roofs[0].rings[0].points, outlined.roofs[0].outer.points);
    assert!(outlined.roofs[0].measured.is_none());
    assert_eq!(plan.cut_lists, crate::plan(&outlined).expect("a roof").cut_lists);
}

#[test]
fn runs_in_doubt_are_to_be_measured_again() {
    let plan = planned(7211.1, 7.0);
    let found = survey_findings(&plan);
    assert_eq!(found.len(), 4);
    let drip = found.iter().find(|finding| finding.text.starts_with("Run D1 ")).expect("the drip is in doubt");
    assert_eq!((drip.grade, drip.code.as_str()), (Grade::Caution, "run_uncertain"));
    // The only self-stress of a braced rectangle is in proportion to its lengths, so the redundancy number of the 6 m side
    // is 36 / (2 (36 + 16 + 52)) = 0.173, and two standard deviations of it are 2 x 7 sqrt(1 - 0.173) = 12.7 mm.
    assert_eq!((drip.value, drip.limit), (Some(12.7), Some(10.0)));
    assert!(
        drip.text.starts_with("Run D1 +/-13 mm: exceeds the lap allowance of 10 mm. Measure A-B ("),
        "{}",
        drip.text
    );
    assert!(drip.text.ends_with(") again before it is cut."), "{}", drip.text);
}

#[test]
fn a_misread_diagonal_stops_the_cutting() {
    let plan = planned(7291.1, 3.0);
    let found = survey_findings(&plan);
    assert!(found.iter().all(|finding| finding.code == "measurement_suspect" && finding.grade == Grade::Refuse));
    // With one measurement more than needed nothing tells which of the six is wrong: all are named.
    assert_eq!(found.len(), 6);
}

#[test]
fn an_outline_that_nothing_checks_is_said() {
    let mut job = job(7211.1, 3.0, "");
    job.roofs[0].measured.as_mut().expect("measured").measurements.pop();
    let plan = plan(&job).expect("a roof");
    let codes: Vec<_> = survey_findings(&plan).iter().map(|finding| finding.code.clone()).collect();
    assert_eq!(codes, ["outline_unchecked"]);
}

#[test]
fn holes_and_outlets_are_measured_too() {
    let tie = |from: &str, to: &str, length: f64| {
        format!(r#", {{"distance": {{"from": "{from}", "to": "{to}", "length": {length}}}}}"#)
    };
    let hole = [("K", 2000.0, 1000.0), ("L", 3000.0, 1000.0), ("M", 3000.0, 2000.0), ("N", 2000.0, 2000.0)];
    let corners = [("A", 0.0f64, 0.0f64), ("B", 6000.0, 0.0), ("D", 0.0, 4000.0)];
    let mut more = String::new();
    for (name, x, y) in hole.into_iter().chain([("P", 5000.0, 500.0)]) {
        for (corner, cx, cy) in corners {
            let (dx, dy) = (x - cx, y - cy);
            more += &tie(corner, name, (dx * dx + dy * dy).sqrt());
        }
    }
    let mut job = job(7211.1, 3.0, &more);
    let network = job.roofs[0].measured.as_mut().expect("measured");
    network.holes = vec![["K", "L", "M", "N"].map(String::from).to_vec()];
    network.outlets = vec![crate::survey::MeasuredOutlet { point: "P".into(), diameter: crate::Length::from_mm(68) }];
    let pipe = crate::survey::MeasuredPipe {
        name: Some("vent".into()),
        point: "P".into(),
        diameter: crate::Length::from_mm(110),
        height: None,
    };
    job.roofs[0].measured.as_mut().expect("measured").pipes = vec![pipe];
    let plan = plan(&job).expect("a roof");
    let roof = &plan.roofs[0];
    assert_eq!((roof.pipes[0].at, roof.pipes[0].name.as_deref()), (roof.outlets[0].at, Some("vent")));
    assert!((roof.area_m2 - 23.0).abs() < 1e-3, "{}", roof.area_m2);
    assert_eq!(roof.rings.len(), 2);
    assert!((roof.outlets[0].at.x.mm() - 5000.0).abs() < 0.1);
    assert_eq!(roof.measured.as_ref().expect("measured").runs.len(), 8);
}

#[test]
fn measurements_that_make_no_roof_are_refused_with_their_place() {
    let problems = |job: &Job| -> Vec<(Code, String)> {
        job.check().iter().map(|error| (error.code(), error.path().to_string())).collect()
    };
    let mut twice = job(7211.1, 3.0, "");
    twice.roofs[0].outer.points = vec![Default::default(); 4];
    assert_eq!(problems(&twice), [(Code::BadMeasurement, "/roofs/0/outer/points".to_string())]);
    let mut short = job(7211.1, 3.0, "");
    short.roofs[0].measured.as_mut().expect("measured").outline.truncate(2);
    assert_eq!(problems(&short), [(Code::TooFewPoints, "/roofs/0/measured/outline".to_string())]);
    let mut loose = job(7211.1, 3.0, "");
    loose.roofs[0].measured.as_mut().expect("measured").measurements.truncate(4);
    assert_eq!(problems(&loose), [(Code::FloatingPoint, "/roofs/0/measured/measurements".to_string())]);
    let mut clash = job(9211.1, 3.0, "");
    assert_eq!(problems(&clash)[0].0, Code::Clash);
    clash.roofs[0].outer.kinds.pop();
    assert_eq!(problems(&clash)[0].0, Code::Clash);
}
