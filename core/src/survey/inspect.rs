//! Readings held against the system's limits.

use super::Survey;
use super::check::rings;
use crate::finding::{Finding, Grade};
use crate::geometry::{Point, Polygon, Ring, Side, orient};
use crate::length::Length;
use crate::roof::{Boundary, Kind, Roof, UpstandRoom};
use crate::system::System;

const MOISTURE_BASIS: &str = "system limit; timber of service class 2 averages no more than 20 % (EN 1995-1-1, \
    2.3.1.3), as a gate for covering: common practice";
const UPSTAND_BASIS: &str = "system limit; 150 mm above the finished roof (BS 6229, as summarised by warranty guides)";

const THRESHOLD_BASIS: &str = "system limit; 75 mm under a door (a warranty guide)";

/// What the survey says against the system's limits, in the order of the job.
///
/// The roofs and readings must have passed their checks ([`check`](super::check())); what has not is passed over.
///
/// | code | grade | when |
/// |---|---|---|
/// | `deck_moisture` | refuse, caution | a reading is above the limit, or near it |
/// | `no_moisture_reading` | note | a roof has no reading |
/// | `upstand_height` | refuse | the wall trim, or the room for an upstand, ends too low above the finished roof |
/// | `pipe_height` | refuse | a pipe ends too low above the finished roof |
/// | `upstand_at_threshold` | caution | the room at a door is less than usual and no less than what may be agreed |
/// | `upstand_room` | caution | the wall trim is taller than the room for it |
/// | `upstand_not_wall` | note | room for an upstand is given at an edge that is no abutment |
/// | `deck_not_sound` | refuse | boards are rotten, broken or loose |
/// | `covering_not_bonded` | refuse | a covering that could stay is not bonded all over |
/// | `covering_needs_overlay`, `covering_to_remove` | refuse | the covering cannot stay as it is |
/// | `covering_to_ask` | caution | the system has no rule for the covering |
/// | `boards_thin`, `joists_wide` | refuse | the boards do not carry the roof |
/// | `boards_unlisted` | caution | the system has no rule for the boards |
/// | `no_way_out` | refuse | no edge is a drip and there is no outlet |
/// | `one_way_out` | caution | no edge is a drip and there is one outlet |
/// | `fall`, `not_flat` | caution | the plane through the levels is too flat, or no flat roof |
/// | `not_one_plane` | note | the levels do not lie in one plane |
/// | `low_side_closed` | caution | water gathers at a corner |
/// | `not_surveyed` | note | covering, bond or soundness are not said |
/// | `surface_preparation` | note | what the surface asks for before and as its primer |
/// | `bond_test` | caution, note | a surface that is not known, or left open by the system, was not tried out |
/// | `bond_failed` | refuse | a trial patch came off |
/// | `deck_defect` | refuse, caution, note | a defect, by the system's table |
/// | `weathered` | caution | the surface has lain open for long |
/// | `lately_wet` | caution | the moisture was read soon after rain or dew |
/// | `asbestos` | caution | old felt, asphalt, cement boards and what nobody can name |
/// | `old_covering` | note | the covering is not said: old felt, board or sealant may be there |
/// | `roof_area` | caution | the roof is larger than the chosen standard is for |
/// | `zero_fall` | note | a roof without falls, which the chosen standard lets pass |
/// | `off_roof` | note | a place that was read does not lie on its roof |
pub fn inspect(roofs: &[Roof], system: &System, survey: &Survey) -> Vec<Finding> {
    let mut findings = Vec::new();
    moisture(roofs, system, survey, &mut findings);
    super::covering::inspect(roofs.len(), system, survey, &mut findings);
    super::deck::inspect(system, survey, &mut findings);
    off_roof(roofs, survey, &mut findings);
    areas(roofs, system, &mut findings);
    upstands(roofs, system, survey, &mut findings);
    pipes(roofs, system, survey, &mut findings);
    super::fall::inspect(roofs, system, survey, &mut findings);
    findings
}

fn moisture(roofs: &[Roof], system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let limit = system.limits.moisture_percent;
    let near = system.limits.moisture_caution_percent;
    for (i, reading) in survey.moisture.iter().enumerate() {
        let at = on_roof(reading.roof, reading.at);
        let (grade, text) = if reading.percent > limit {
            let text = format!(
                "The deck reads {} % moisture{at}; it is covered at {limit} % or less. Find where the water comes from, let the \
                 deck dry and read it again.",
                reading.percent
            );
            (Grade::Refuse, text)
        } else if reading.percent > near {
            let text = format!(
                "The deck reads {} % moisture{at}, near the limit of {limit} %. Read around that place, at joints and over \
                 joists, and again on the day of work.",
                reading.percent
            );
            (Grade::Caution, text)
        } else {
            continue;
        };
        let finding =
            Finding::new(grade, "deck_moisture", format!("/survey/moisture/{i}/percent"), MOISTURE_BASIS, text);
        findings.push(finding.measured(reading.percent, limit, "%"));
    }
    for roof in 0..roofs.len() {
        if !survey.moisture.iter().any(|reading| reading.roof == roof) {
            findings.push(Finding::new(
                Grade::Note,
                "no_moisture_reading",
                format!("/roofs/{roof}"),
                MOISTURE_BASIS,
                format!(
                    "No moisture reading is given for this roof. Read the deck before it is covered: {limit} % or less."
                ),
            ));
        }
    }
}

/// Where something was read, for people: nothing where nobody said.
pub(super) fn on_roof(roof: usize, at: Option<Point>) -> String {
    let roof = roof.saturating_add(1);
    at.map(|at| format!(" at ({:.0}, {:.0}) on roof {roof}", at.x.mm(), at.y.mm())).unwrap_or_default()
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Places that were read but lie beside their roof: a slip of the pen, or the wrong roof.
fn off_roof(roofs: &[Roof], survey: &Survey, findings: &mut Vec<Finding>) {
    let Survey { moisture, defects, bond_tests, levels, .. } = survey;
    let places = (moisture.iter().enumerate().map(|(i, read)| ("moisture", i, read.roof, read.at)))
        .chain(defects.iter().enumerate().map(|(i, defect)| ("defects", i, defect.roof, defect.at)))
        .chain(bond_tests.iter().enumerate().map(|(i, test)| ("bond_tests", i, test.roof, test.at)));
    let polygons: Vec<Polygon> = roofs.iter().map(polygon).collect();
    let outside = |roof: usize, at: Point| polygons.get(roof).is_some_and(|roof| roof.locate(at) == Side::Outside);
    let mut find = |place: String, roof: usize, at: Point| {
        let text = format!("The place{} is not on that roof. Check the numbers.", on_roof(roof, Some(at)));
        findings.push(Finding::new(Grade::Note, "off_roof", place, "the job's own outline", text));
    };
    for (list, i, roof, at) in places {
        if let Some(at) = at.filter(|&at| outside(roof, at)) {
            find(format!("/survey/{list}/{i}/at"), roof, at);
        }
    }
    // Levels beside a roof are common (a wall's foot, a step): only the first is said, for nothing is lost by it.
    if let Some((i, read)) = levels.iter().enumerate().find(|(_, read)| outside(read.roof, read.at)) {
        find(format!("/survey/levels/{i}/at"), read.roof, read.at);
    }
}

/// Roofs larger than the chosen standard is for.
fn areas(roofs: &[Roof], system: &System, findings: &mut Vec<Finding>) {
    let Some(standard) = system.chosen_standard() else { return };
    let Some(most) = standard.most_area_m2 else { return };
    for (i, roof) in roofs.iter().enumerate() {
        let area = polygon(roof).area_m2();
        if area > most {
            let text = format!(
                "This roof has {area:.1} m2; the standard {:?} is for {most} m2 at most. Agree it with whoever warrants the roof, \
                 or have it designed.",
                standard.name
            );
            let finding = Finding::new(Grade::Caution, "roof_area", format!("/roofs/{i}"), &standard.basis, text);
            findings.push(finding.measured((area * 1e3).round() / 1e3, most, "m2"));
        }
    }
}

fn polygon(roof: &Roof) -> Polygon {
    let ring = |boundary: &Boundary| Ring::new(boundary.points.clone());
    Polygon { outer: ring(&roof.outer), holes: roof.holes.iter().map(ring).collect() }
}

fn upstands(roofs: &[Roof], system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let limits = system.limits_in_force();
    let trim = &system.trims.abutment;
    let top = trim.section.face_top();
    // Trims stand on the deck as covered, so new boards lift them; the laminate alone takes off their height.
    let stands = top - limits.build_up;
    let walls = rings(roofs).any(|(_, _, usual, ring)| (0..ring.points.len()).any(|e| is_wall(ring, usual, e)));
    if walls && stands < limits.upstand {
        findings.push(
            Finding::new(
                Grade::Refuse,
                "upstand_height",
                "/system/trims/abutment/section",
                system.basis(UPSTAND_BASIS),
                format!(
                    "The {} ends {stands} above the finished roof; at least {} is needed. Choose a taller section or \
                     another detail at the walls.",
                    trim.name, limits.upstand
                ),
            )
            .measured(stands.mm(), limits.upstand.mm(), "mm"),
        );
    }
    for (r, place, usual, ring) in rings(roofs) {
        for (i, room) in ring.upstands.iter().enumerate() {
            let place_of = |field| format!("{place}/upstands/{i}/{field}");
            if !is_wall(ring, usual, room.edge) {
                findings.push(Finding::new(
                    Grade::Note,
                    "upstand_not_wall",
                    place_of("edge"),
                    "the job's own edge kinds",
                    format!(
                        "Edge {} is not an abutment: the height given for an upstand there is not used.",
                        room.edge
                    ),
                ));
                continue;
            }
            let (room, field) = match room.top {
                Some(_) => (UpstandRoom { height: least_height(ring, room, r, survey), ..room.clone() }, "top"),
                None => (room.clone(), "height"),
            };
            upstand_room(&room, &place_of(field), top, system, survey, findings);
        }
    }
}

/// Whether pipes stand far enough above the finished roof for mat to be turned up around them.
fn pipes(roofs: &[Roof], system: &System, survey: &Survey, findings: &mut Vec<Finding>) {
    let limits = system.limits_in_force();
    for (r, roof) in roofs.iter().enumerate() {
        for (i, (pipe, height)) in roof.pipes.iter().enumerate().filter_map(|(i, pipe)| Some((i, (pipe, pipe.height?))))
        {
            let left = height - survey.overlay - limits.build_up;
            if left >= limits.upstand {
                continue;
            }
            let name = pipe.name.as_ref().map_or_else(|| format!("Pipe {}", i + 1), |name| format!("Pipe {name:?}"));
            let text = format!(
                "{name} will stand only {left} above the finished roof ({height} less {} of build-up); at least {} is needed. \
                 Have it made longer before work.",
                survey.overlay + limits.build_up,
                limits.upstand
            );
            let place = format!("/roofs/{r}/pipes/{i}/height");
            findings.push(
                Finding::new(Grade::Refuse, "pipe_height", place, system.basis(UPSTAND_BASIS), text).measured(
                    left.mm(),
                    limits.upstand.mm(),
                    "mm",
                ),
            );
        }
    }
}

/// The least height along an edge of roof `r` below a level: over the highest deck there, at the edge's ends and at
/// readings on it.
fn least_height(ring: &Boundary, room: &UpstandRoom, r: usize, survey: &Survey) -> Length {
    let n = ring.points.len();
    let (from, to) = (room.edge % n, (room.edge + 1) % n);
    let along = |at: Point| {
        let (a, b) = (ring.points[from], ring.points[to]);
        let within = |at: Length, a: Length, b: Length| a.min(b) <= at && at <= a.max(b);
        within(at.x, a.x, b.x) && within(at.y, a.y, b.y) && orient(a, b, at) == 0
    };
    let ends = [from, to].into_iter().filter_map(|i| ring.levels.get(i).copied());
    let readings = survey.levels.iter().filter(|reading| reading.roof == r && along(reading.at));
    let deck = ends.chain(readings.map(|reading| reading.level)).max().unwrap_or_default();
    room.top.unwrap_or_default() - deck
}

/// What one limited height leaves for its upstand.
fn upstand_room(
    room: &UpstandRoom,
    place: &str,
    top: Length,
    system: &System,
    survey: &Survey,
    findings: &mut Vec<Finding>,
) {
    let limits = system.limits_in_force();
    let clear = room.height - survey.overlay;
    let left = clear - limits.build_up;
    let least = if room.threshold { limits.upstand_at_threshold.min(limits.upstand) } else { limits.upstand };
    let mut find = |grade, code, basis, (value, limit): (Length, Length), text: String| {
        findings.push(Finding::new(grade, code, place, basis, text).measured(value.mm(), limit.mm(), "mm"));
    };
    if left < least {
        let text = format!(
            "Only {left} is left for an upstand above the finished roof ({} less {} of build-up); at least {least} is \
             needed. Settle another detail for this edge before work.",
            room.height,
            survey.overlay + limits.build_up
        );
        find(Grade::Refuse, "upstand_height", system.basis(UPSTAND_BASIS), (left, least), text);
        return;
    }
    if left < limits.upstand {
        let text = format!(
            "{left} is left for the upstand at this threshold, under the usual {}. Agree it with the client, with whoever \
             warrants the roof and with local rules; keep water off the door.",
            limits.upstand
        );
        find(Grade::Caution, "upstand_at_threshold", THRESHOLD_BASIS, (left, limits.upstand), text);
    }
    if clear < top {
        let text = format!(
            "The {} stands {top} tall but only {clear} is there. Trim its upper edge down to fit.",
            system.trims.abutment.name
        );
        find(Grade::Caution, "upstand_room", "the system's wall trim", (clear, top), text);
    }
}

/// Whether an edge is an abutment; `usual` is what it is where the ring gives no kinds.
fn is_wall(ring: &Boundary, usual: Option<Kind>, edge: usize) -> bool {
    let kind = if ring.kinds.is_empty() { usual } else { ring.kinds.get(edge).copied() };
    kind == Some(Kind::Abutment)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Covering, MoistureReading};

    const MM: fn(i64) -> Length = Length::from_mm;

    fn roof(kind: Kind, upstands: Vec<UpstandRoom>) -> Roof {
        let corners = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)];
        let points = corners.iter().map(|&(x, y)| (MM(x), MM(y)).into()).collect();
        Roof {
            outer: Boundary { points, kinds: vec![Kind::Drip, kind, kind, kind], upstands, ..Boundary::default() },
            ..Roof::default()
        }
    }

    fn dry() -> Survey {
        Survey {
            covering: Some(Covering::Bare),
            sound: Some(true),
            bonded: Some(true),
            moisture: vec![MoistureReading { percent: 15.0, roof: 0, at: None }],
            ..Survey::default()
        }
    }

    fn codes(findings: &[Finding]) -> Vec<(Grade, &str, &str)> {
        findings.iter().map(|f| (f.grade, f.code.as_str(), f.place.as_str())).collect()
    }

    /// Without the note on how to prepare the surface.
    fn warnings(roofs: &[Roof], system: &System, survey: &Survey) -> Vec<Finding> {
        inspect(roofs, system, survey).into_iter().filter(|finding| finding.code != "surface_preparation").collect()
    }

    // EN 1995-1-1, 2.3.1.3: service class 2 is an average of no more than 20 % in most softwoods.
    #[test]
    fn twenty_percent_passes_and_a_tenth_more_stops() {
        let roofs = [roof(Kind::Drip, vec![])];
        let mut survey = dry();
        survey.moisture[0].percent = 20.0;
        let at_the_limit = warnings(&roofs, &System::default(), &survey);
        assert_eq!(codes(&at_the_limit), [(Grade::Caution, "deck_moisture", "/survey/moisture/0/percent")]);
        survey.moisture[0].percent = 20.1;
        let found = warnings(&roofs, &System::default(), &survey);
        assert_eq!(codes(&found), [(Grade::Refuse, "deck_moisture", "/survey/moisture/0/percent")]);
        assert_eq!((found[0].value, found[0].limit, found[0].unit.as_deref()), (Some(20.1), Some(20.0), Some("%")));
    }

    #[test]
    fn a_roof_without_a_reading_is_named() {
        let roofs = [roof(Kind::Drip, vec![]), roof(Kind::Drip, vec![])];
        let found = warnings(&roofs, &System::default(), &dry());
        assert_eq!(codes(&found), [(Grade::Note, "no_moisture_reading", "/roofs/1")]);
    }

    // At least 150 mm above the finished roof surface: BS 6229, as summarised by warranty guides.
    #[test]
    fn the_wall_trim_must_stand_150_above_the_finished_roof() {
        let mut system = System::default();
        let tip = system.trims.abutment.section.points.len() - 1;
        let roofs = [roof(Kind::Abutment, vec![])];
        system.trims.abutment.section.points[tip].1 = MM(150) + system.limits.build_up;
        assert!(warnings(&roofs, &system, &dry()).is_empty());
        system.trims.abutment.section.points[tip].1 = MM(149) + system.limits.build_up;
        let found = warnings(&roofs, &system, &dry());
        assert_eq!(codes(&found), [(Grade::Refuse, "upstand_height", "/system/trims/abutment/section")]);
        assert_eq!(found[0].value, Some(149.0));
        // A roof without walls needs no wall trim.
        assert!(warnings(&[roof(Kind::Drip, vec![])], &system, &dry()).is_empty());
    }

    // Height counts from the finished level: 150 mm of kerb less 20 mm of build-up is 130 mm and fails.
    #[test]
    fn build_up_is_taken_off_the_room_for_an_upstand() {
        let mut system = System::default();
        system.limits.build_up = MM(5);
        let room = |height| {
            [roof(Kind::Abutment, vec![UpstandRoom { edge: 2, height: MM(height), threshold: false, top: None }])]
        };
        let mut survey = dry();
        survey.overlay = MM(15);
        assert!(warnings(&room(300), &system, &survey).is_empty());
        let found = warnings(&room(150), &system, &survey);
        assert_eq!(codes(&found), [(Grade::Refuse, "upstand_height", "/roofs/0/outer/upstands/0/height")]);
        assert_eq!((found[0].value, found[0].limit), (Some(130.0), Some(150.0)));
        assert_eq!(codes(&warnings(&room(169), &system, &survey))[0].1, "upstand_height");
        // 150 mm are left, but the trim of the demonstration system is 172 mm tall.
        assert_eq!(
            codes(&warnings(&room(170), &system, &survey)),
            [(Grade::Caution, "upstand_room", "/roofs/0/outer/upstands/0/height")]
        );
    }

    // 75 mm under a door: a warranty guide.
    #[test]
    fn a_threshold_may_be_lower_by_agreement() {
        let system = System::default();
        let at_door =
            |height| UpstandRoom { edge: 2, height: MM(height) + system.limits.build_up, threshold: true, top: None };
        let found = |height| warnings(&[roof(Kind::Abutment, vec![at_door(height)])], &system, &dry());
        assert!(found(180).is_empty());
        assert_eq!(codes(&found(149))[0].1, "upstand_at_threshold");
        assert_eq!(codes(&found(75))[0].1, "upstand_at_threshold");
        // The trim of the demonstration system is taller than that.
        assert_eq!(codes(&found(75))[1].1, "upstand_room");
        assert_eq!(codes(&found(74))[0].1, "upstand_height");
    }

    #[test]
    fn holes_are_walls_unless_they_say_otherwise() {
        let mut with_hole =
            roof(Kind::Drip, vec![UpstandRoom { edge: 0, height: MM(100), threshold: false, top: None }]);
        let kerb = Boundary { kinds: vec![], ..roof(Kind::Drip, with_hole.outer.upstands.clone()).outer };
        with_hole.holes.push(kerb);
        assert_eq!(
            codes(&warnings(&[with_hole], &System::default(), &dry())),
            [
                (Grade::Note, "upstand_not_wall", "/roofs/0/outer/upstands/0/edge"),
                (Grade::Refuse, "upstand_height", "/roofs/0/holes/0/upstands/0/height"),
            ]
        );
    }

    #[test]
    fn readings_near_the_limit_are_a_caution_with_their_place() {
        let roofs = [roof(Kind::Drip, vec![])];
        let mut survey = dry();
        survey.moisture[0] = MoistureReading { percent: 18.1, roof: 0, at: Some(Point::from_mm(1200, 800)) };
        let found = warnings(&roofs, &System::default(), &survey);
        assert_eq!(codes(&found), [(Grade::Caution, "deck_moisture", "/survey/moisture/0/percent")]);
        assert!(found[0].text.contains("18.1 % moisture at (1200, 800) on roof 1, near"), "{}", found[0].text);
        survey.moisture[0].percent = 18.0;
        assert_eq!(warnings(&roofs, &System::default(), &survey), []);
    }

    #[test]
    fn places_off_the_roof_are_said() {
        let mut with_hole = roof(Kind::Drip, vec![]);
        let hole = [(1000, 1000), (2000, 1000), (2000, 2000), (1000, 2000)];
        let points = hole.iter().map(|&(x, y)| Point::from_mm(x, y)).collect();
        with_hole.holes.push(Boundary { points, kinds: vec![Kind::Drip; 4], ..Boundary::default() });
        let mut survey = dry();
        let at = |x, y| MoistureReading { percent: 15.0, roof: 0, at: Some(Point::from_mm(x, y)) };
        survey.moisture = vec![at(500, 500), at(1500, 1500), at(4000, 3000), at(4001, 0)];
        let found = inspect(&[with_hole], &System::default(), &survey);
        let found: Vec<_> = found.iter().filter(|f| f.code == "off_roof").map(|f| f.place.as_str()).collect();
        assert_eq!(found, ["/survey/moisture/1/at", "/survey/moisture/3/at"]);
    }
}
