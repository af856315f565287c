use std::ffi::c_char;
use std::sync::OnceLock;

use upstand::record::{Record, Report};

use crate::argument::{copy_text, output, reference, text};
use crate::context::{Context, guard};
use crate::status::upstand_status;

/// The hand-over report of a record. It never changes: any number of threads may read one at the same time.
pub struct Reported {
    report: Report,
    // Each text is asked for twice, for its length and for itself, and made once.
    json: OnceLock<String>,
    text: OnceLock<String>,
}

/// Holds what was really done against the plan of its job: `record` is a JSON document of `record_length` bytes that carries
/// the job. Free the report with `upstand_report_free`.
///
/// On failure the context keeps every problem of the record with its place.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `record` is NULL or can be read for `record_length`
/// bytes; `report` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_report_new(
    context: *mut Context,
    record: *const c_char,
    record_length: usize,
    report: *mut *mut Reported,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (record, output) = unsafe { (text(record, record_length, "record")?, output(report, "report")?) };
        let report = Record::from_json(record)?.report()?;
        output.write(Box::into_raw(Box::new(Reported { report, json: OnceLock::new(), text: OnceLock::new() })));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Frees a report. NULL is allowed and does nothing.
///
/// # Safety
/// `report` is NULL or comes from this library, was not freed, and no thread uses it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_report_free(report: *mut Reported) {
    if !report.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(report) });
    }
}

/// The report as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length` is
/// written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `report` is NULL or live; `buffer` is NULL or may be
/// written for `capacity` bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_report_to_json(
    context: *mut Context,
    report: *const Reported,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let report = unsafe { reference(report, "report") }?;
        let json = report.json.get_or_init(|| report.report.to_json());
        // SAFETY: as the caller promises.
        unsafe { copy_text(json, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The report for a person to read and to sign into `buffer`. All else as for `upstand_report_to_json`.
///
/// # Safety
/// As for `upstand_report_to_json`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_report_to_text(
    context: *mut Context,
    report: *const Reported,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let report = unsafe { reference(report, "report") }?;
        let words = report.text.get_or_init(|| report.report.text());
        // SAFETY: as the caller promises.
        unsafe { copy_text(words, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
