//! What the trim stage finds that a person has to look at.

use crate::finding::{Finding, Grade};
use crate::job::Job;
use crate::roof::Kind;
use crate::system::Leg;

use super::result::{RoofTrims, TrimRun};

/// Denser fixings are geometry, not design: said wherever they are asked for.
pub(super) fn wind_zones(job: &Job) -> Option<Finding> {
    let wind = job.preferences.wind.as_ref()?;
    Some(Finding::new(
        Grade::Caution,
        "wind_zones",
        "/preferences/wind",
        "EN 1991-1-4, 7.2.3, geometry of the zones",
        format!(
            "Fixings are at most {} apart in edge zones and {} in corner zones of the wind, for a roof {} above ground. \
             Whether they hold is not worked out here: the fixing design belongs to the responsible designer.",
            wind.edge, wind.corner, wind.height
        ),
    ))
}

/// Of the two legs of a wall trim the longer stands against the wall, where water is held by its height.
pub(super) fn short_wall_leg(job: &Job, roofs: &[RoofTrims]) -> Option<Finding> {
    let trim = &job.system.trims.abutment;
    let (face, flange) = (trim.section.leg_width(Leg::Face), trim.section.leg_width(Leg::DeckFlange));
    let mut runs = roofs.iter().flat_map(|roof| &roof.runs);
    if face >= flange || !runs.any(|run| run.kind == Kind::Abutment) {
        return None;
    }
    let text = format!(
        "The {} has {face} at the wall and {flange} on the deck. The longer leg goes to the wall: turn the section over, or \
         choose another.",
        trim.name
    );
    let finding = Finding::new(
        Grade::Caution,
        "short_wall_leg",
        "/system/trims/abutment/section/face",
        "the longer leg goes to the wall: common practice, no source",
        text,
    );
    Some(finding.measured(face.mm(), flange.mm(), "mm"))
}

pub(super) fn mitre_limit(place: String, turn: f64, sharpest: f64) -> Finding {
    let interior = 180.0 - turn;
    let sharp = interior.min(360.0 - interior);
    Finding {
        grade: Grade::Caution,
        code: "mitre_limit".into(),
        place,
        value: Some(sharp),
        limit: Some(sharpest),
        unit: Some("deg".into()),
        basis: "the system's sharpest mitre".into(),
        text: format!(
            "The corner of {sharp} degrees is too sharp to mitre or to butt by rule: both trims are listed square, ending \
             at the corner. Fit it by hand, and look whether the outline is right."
        ),
    }
}

pub(super) fn short_run(place: String, run: &TrimRun) -> Finding {
    Finding {
        grade: Grade::Caution,
        code: "short_run".into(),
        place,
        value: Some(run.line_length.mm()),
        limit: None,
        unit: Some("mm".into()),
        basis: "what the trims of the neighbouring edges take from its length".into(),
        text: format!(
            "Run {} along an edge of {} is taken up whole by its neighbours' trims: no piece is cut for it. Cover the \
             place with what meets there.",
            run.mark, run.line_length
        ),
    }
}

pub(super) fn pointed_run(place: String, run: &TrimRun) -> Finding {
    Finding {
        grade: Grade::Note,
        code: "pointed_run".into(),
        place,
        value: Some(run.line_length.mm()),
        limit: Some(-(run.start.short + run.end.short).mm()),
        unit: Some("mm".into()),
        basis: "what the mitres of its two ends take from the trim's shorter side".into(),
        text: format!(
            "On run {} the mitres of the two ends meet before the trim's edge: cut one end, mark the other from it, and \
             expect its neighbours to lie over one another there.",
            run.mark
        ),
    }
}
