use std::ffi::c_char;
use std::sync::OnceLock;

use upstand::{Code, Error, Job, Plan, drawing, takeoff};

use crate::argument::{copy_text, output, reference, text};
use crate::context::{Context, guard};
use crate::status::upstand_status;

/// All that the library works out for a job. It never changes: any number of threads may read one at the same time.
pub struct Planned {
    plan: Plan,
    // Each text is asked for twice, for its length and for itself, and made once.
    json: OnceLock<String>,
    sheets: [OnceLock<String>; 10],
}

impl Planned {
    pub(crate) fn plan(&self) -> &Plan {
        &self.plan
    }

    fn into_handle(plan: Plan) -> *mut Planned {
        Box::into_raw(Box::new(Planned { plan, json: OnceLock::new(), sheets: Default::default() }))
    }
}

/// A sheet of a plan: which one `upstand_plan_sheet` hands over.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_sheet {
    /// The drawing of all roofs, as SVG.
    UPSTAND_SHEET_PLAN = 0,
    /// The cutting sheet, as SVG.
    UPSTAND_SHEET_CUT_LIST = 1,
    /// The cutting sheet, as plain text.
    UPSTAND_SHEET_CUT_LIST_TEXT = 2,
    /// The order sheet, as SVG.
    UPSTAND_SHEET_ORDER = 3,
    /// The order, as comma-separated values.
    UPSTAND_SHEET_ORDER_CSV = 4,
    /// The mixing cards, as plain text.
    UPSTAND_SHEET_MIXING_TEXT = 5,
    /// The schedule, as SVG; no sheet where the job has no programme.
    UPSTAND_SHEET_SCHEDULE = 6,
    /// The schedule, as plain text.
    UPSTAND_SHEET_SCHEDULE_TEXT = 7,
    /// Full-size templates of all mitred, notched and returned ends, as SVG.
    UPSTAND_SHEET_TEMPLATES = 8,
    /// The lay-out of the mat, as SVG.
    UPSTAND_SHEET_MAT = 9,
}

/// How many there are of what a plan holds.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlanSummary {
    /// Roofs.
    pub roofs: u64,
    /// Runs of trim over all roofs.
    pub runs: u64,
    /// Cut lists, one for each material that is cut.
    pub cut_lists: u64,
    /// Bars over all cut lists.
    pub bars: u64,
    /// Pieces over all cut lists.
    pub pieces: u64,
    /// Joints over all cut lists.
    pub joints: u64,
    /// Strips of mat over all roofs.
    pub strips: u64,
    /// Materials to order.
    pub takeoff_lines: u64,
    /// Findings.
    pub findings: u64,
}

/// Checks a job, a JSON document of `job_length` bytes, without planning it. Returns the status of the first problem,
/// `UPSTAND_OK` if there is none; the context keeps them all.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `job` is NULL or can be read for `job_length` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_job_check(
    context: *mut Context,
    job: *const c_char,
    job_length: usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let job = Job::from_json(unsafe { text(job, job_length, "job") }?)?;
        Error::from_problems(job.check())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Plans a job, a JSON document of `job_length` bytes. Free the plan with `upstand_plan_free`.
///
/// On failure the context keeps every problem of the job with its place.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `job` is NULL or can be read for `job_length` bytes;
/// `plan` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_new(
    context: *mut Context,
    job: *const c_char,
    job_length: usize,
    plan: *mut *mut Planned,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (job, output) = unsafe { (text(job, job_length, "job")?, output(plan, "plan")?) };
        let plan = upstand::plan(&Job::from_json(job)?)?;
        output.write(Planned::into_handle(plan));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Reads a plan that was kept as JSON, a document of `json_length` bytes. Free it with `upstand_plan_free`.
///
/// # Safety
/// As for `upstand_plan_new`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_from_json(
    context: *mut Context,
    json: *const c_char,
    json_length: usize,
    plan: *mut *mut Planned,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (json, output) = unsafe { (text(json, json_length, "json")?, output(plan, "plan")?) };
        let plan = Plan::from_json(json)?;
        output.write(Planned::into_handle(plan));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Frees a plan. NULL is allowed and does nothing.
///
/// # Safety
/// `plan` is NULL or comes from this library, was not freed, and no thread uses it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_free(plan: *mut Planned) {
    if !plan.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(plan) });
    }
}

/// The plan as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length` is
/// written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `buffer` is NULL or may be
/// written for `capacity` bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_to_json(
    context: *mut Context,
    plan: *const Planned,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let plan = unsafe { reference(plan, "plan") }?;
        let json = plan.json.get_or_init(|| plan.plan.to_json());
        // SAFETY: as the caller promises.
        unsafe { copy_text(json, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// A sheet of the plan into `buffer`: `sheet` is a value of `upstand_sheet`, and `UPSTAND_BAD_ARGUMENT` is returned for
/// any other number. All else as for `upstand_plan_to_json`.
///
/// # Safety
/// As for `upstand_plan_to_json`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_sheet(
    context: *mut Context,
    plan: *const Planned,
    sheet: u32,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    const DRAW: [fn(&Plan) -> String; 10] = [
        drawing::plan_svg,
        drawing::cut_list_svg,
        drawing::cut_list_text,
        drawing::order_svg,
        |plan| takeoff::order_csv(&plan.takeoff),
        drawing::mixing_text,
        drawing::schedule_svg,
        drawing::schedule_text,
        drawing::template_svg,
        drawing::mat_svg,
    ];
    let work = || {
        // SAFETY: as the caller promises.
        let plan = unsafe { reference(plan, "plan") }?;
        let index = usize::try_from(sheet).ok().filter(|&index| index < DRAW.len());
        let Some(index) = index else {
            return Err(Error::new(Code::BadArgument, "", format!("{sheet} is not a value of upstand_sheet")));
        };
        let text = plan.sheets[index].get_or_init(|| DRAW[index](&plan.plan));
        // SAFETY: as the caller promises.
        unsafe { copy_text(text, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// How many there are of what the plan holds into `*summary`.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `summary` is NULL or may be
/// written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_summarise(
    context: *mut Context,
    plan: *const Planned,
    summary: *mut PlanSummary,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (plan, summary) = unsafe { (&reference(plan, "plan")?.plan, output(summary, "summary")?) };
        let bars = || plan.cut_lists.iter().flat_map(|list| &list.bars);
        summary.write(PlanSummary {
            roofs: plan.roofs.len() as u64,
            runs: plan.roofs.iter().map(|roof| roof.trims.runs.len() as u64).sum(),
            cut_lists: plan.cut_lists.len() as u64,
            bars: bars().count() as u64,
            pieces: bars().map(|bar| bar.pieces.len() as u64).sum(),
            joints: plan.cut_lists.iter().map(|list| list.joint_count).sum(),
            strips: plan.roofs.iter().map(|roof| roof.mat.strips.len() as u64).sum(),
            takeoff_lines: plan.takeoff.len() as u64,
            findings: plan.findings.len() as u64,
        });
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
