//! Drawings of a plan: the marked roof plan and the cutting sheet, to scale on paper.
//!
//! Everything is drawn into one small model ([`Sheet`]) in millimetres of paper; a writer turns a sheet into a file
//! format: [`Sheet::to_svg`], and with the feature `pdf` also `to_pdf`. Kinds of edge, joints and laps are told apart by line and symbol, so that a sheet reads
//! in black and white too.
//!
//! Drawing never fails: what a hand-made plan leaves out is not drawn, and a label that has no room is counted in a
//! note on the sheet. Positions come from exact lengths by `+`, `-`, `*`, `/` and square roots only, so the same plan
//! gives the same bytes on every platform.

mod at;
mod cut_sheet;
mod cut_text;
mod hatch;
#[cfg(feature = "pdf")]
mod helvetica;
mod label;
mod lettering;
mod mat_sheet;
mod model;
mod order_sheet;
mod pages;
mod panel;
mod paper;
#[cfg(feature = "pdf")]
mod pdf;
mod place;
mod plan_sheet;
mod schedule_sheet;
mod svg;
mod template_sheet;
#[cfg(test)]
mod tests;
mod view;

pub use at::At;
pub use model::{Anchor, Dash, Ink, Item, Layer, Lettering, Line, Pen, Sheet, Stroke, Text};
pub use paper::{Paper, Scale};
#[cfg(feature = "pdf")]
pub use pdf::to_pdf;

use crate::error::{Code, Error};
use crate::plan::Plan;

/// The marked plan of all roofs on one sheet (the first twelve: a note on the sheet counts the others).
///
/// Complexity: the drawing grows with the number of points; labels are limited to what a person could read.
pub fn plan_sheet(plan: &Plan) -> Sheet {
    let all: Vec<usize> = (0..plan.roofs.len()).collect();
    plan_sheet::sheet(plan, &all)
}

/// The marked plan of one roof, from 0.
///
/// # Errors
/// [`Code::NoSuchRoof`] where the plan has no such roof.
///
/// ```
/// use upstand::{Code, Plan, drawing};
///
/// let error = drawing::roof_sheet(&Plan::default(), 0).unwrap_err();
/// assert_eq!(error.code(), Code::NoSuchRoof);
/// ```
pub fn roof_sheet(plan: &Plan, roof: usize) -> Result<Sheet, Error> {
    if roof >= plan.roofs.len() {
        let count = plan.roofs.len();
        return Err(Error::new(
            Code::NoSuchRoof,
            format!("/roofs/{roof}"),
            format!("there is no roof {roof}: the plan has {count}, counted from 0"),
        ));
    }
    Ok(plan_sheet::sheet(plan, &[roof]))
}

/// The cutting sheets: every bar of every cut list to scale, on as many sheets as that takes (at least one).
pub fn cutting_sheets(plan: &Plan) -> Vec<Sheet> {
    cut_sheet::sheets(plan)
}

/// The order sheets: what to buy with boxes to tick, what the checks found, and the cautions.
pub fn order_sheets(plan: &Plan) -> Vec<Sheet> {
    order_sheet::sheets(plan)
}

/// [`order_sheets`] as one SVG, the sheets below one another.
pub fn order_svg(plan: &Plan) -> String {
    svg::stacked(&order_sheets(plan))
}

/// The lay-out of the mat, one sheet for each roof that has any: pieces in laying order with their marks, sizes and rolls, which
/// lie over which, torn edges, cut-outs.
///
/// ```
/// use upstand::{Job, drawing};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// assert_eq!(drawing::mat_sheets(&upstand::plan(&job)?).len(), 1);
/// assert!(drawing::mat_sheets(&upstand::Plan::default()).is_empty());
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn mat_sheets(plan: &Plan) -> Vec<Sheet> {
    let laid = plan.roofs.iter().enumerate().filter(|(_, roof)| !roof.mat.strips.is_empty());
    laid.filter_map(|(index, _)| mat_sheet::sheet(plan, index)).collect()
}

/// [`mat_sheets`] as one SVG, the sheets below one another.
pub fn mat_svg(plan: &Plan) -> String {
    svg::stacked(&mat_sheets(plan))
}

/// [`plan_sheet`] as SVG.
pub fn plan_svg(plan: &Plan) -> String {
    plan_sheet(plan).to_svg()
}

/// [`roof_sheet`] as SVG.
///
/// # Errors
/// [`Code::NoSuchRoof`] where the plan has no such roof.
///
/// ```
/// use upstand::{Code, Job, drawing};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
///     "kinds": ["drip", "open_side", "abutment", "open_side"]}}]}"#)?;
/// let plan = upstand::plan(&job)?;
/// assert!(drawing::roof_svg(&plan, 0)?.contains("SCALE 1:50"));
/// assert_eq!(drawing::roof_svg(&plan, 1).unwrap_err().code(), Code::NoSuchRoof);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn roof_svg(plan: &Plan, roof: usize) -> Result<String, Error> {
    roof_sheet(plan, roof).map(|sheet| sheet.to_svg())
}

/// [`cutting_sheets`] as one SVG, the sheets below one another.
pub fn cut_list_svg(plan: &Plan) -> String {
    svg::stacked(&cutting_sheets(plan))
}

/// Full-size templates of all mitred ends, each on as many sheets as it takes. Empty where no end is mitred.
///
/// ```
/// use upstand::{Job, drawing};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// // All starts are alike, and all ends.
/// assert_eq!(drawing::template_sheets(&upstand::plan(&job)?).len(), 2);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn template_sheets(plan: &Plan) -> Vec<Sheet> {
    template_sheets_on(plan, Paper::default())
}

/// [`template_sheets`] on sheets of another size: a larger one is tiled less.
///
/// ```
/// use upstand::drawing::{self, Paper};
/// use upstand::Job;
///
/// // A sharp corner at either end of the long side: its marks are longer than A4.
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "roofs": [{"outer": {
///     "points": [[0, 0], [8000, 0], [0, 2500]], "kinds": ["drip", "drip", "drip"]}}]}"#)?;
/// let plan = upstand::plan(&job)?;
/// let count = |paper| drawing::template_sheets_on(&plan, paper).len();
/// assert!(count(Paper::A4) > count(Paper::A3) && count(Paper::A3) > count(Paper::A0));
/// assert_eq!(count(Paper::A0), plan.templates.len());
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn template_sheets_on(plan: &Plan, paper: Paper) -> Vec<Sheet> {
    template_sheet::sheets(plan, paper)
}

/// [`template_sheets_on`] as one SVG, the sheets below one another.
pub fn template_svg_on(plan: &Plan, paper: Paper) -> String {
    svg::stacked(&template_sheets_on(plan, paper))
}

/// [`template_sheets`] as one SVG, the sheets below one another.
pub fn template_svg(plan: &Plan) -> String {
    svg::stacked(&template_sheets(plan))
}

/// The schedule as bars over time, on as many sheets as tasks and days take; empty where the plan has none.
///
/// ```
/// use upstand::{Job, drawing};
///
/// let job = Job::from_json(r#"{"schema": "upstand/job/1", "programme": {"start": "2027-05-03"}, "roofs": [{"outer": {
///     "points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip", "drip", "drip", "drip"]}}]}"#)?;
/// assert_eq!(drawing::schedule_sheets(&upstand::plan(&job)?).len(), 1);
/// # Ok::<(), upstand::Error>(())
/// ```
pub fn schedule_sheets(plan: &Plan) -> Vec<Sheet> {
    schedule_sheet::sheets(plan)
}

/// [`schedule_sheets`] as one SVG, the sheets below one another.
pub fn schedule_svg(plan: &Plan) -> String {
    svg::stacked(&schedule_sheets(plan))
}

/// The schedule as plain text for a terminal, day by day; empty where the plan has none.
pub fn schedule_text(plan: &Plan) -> String {
    let names: Vec<String> = plan.roofs.iter().map(|roof| roof.name.clone()).collect();
    plan.schedule.as_ref().map(|schedule| schedule.text(&names)).unwrap_or_default()
}

/// The mixing cards of a plan as plain text, one below the other.
pub fn mixing_text(plan: &Plan) -> String {
    let names: Vec<String> = plan.roofs.iter().map(|roof| roof.name.clone()).collect();
    plan.mixing.iter().map(|mixing| mixing.card(&names) + "\n").collect()
}

/// The cut lists as plain text for a terminal: 80 columns, one line for each piece.
pub fn cut_list_text(plan: &Plan) -> String {
    cut_text::cut_list_text(plan)
}
