use std::ffi::c_char;
use std::panic::{AssertUnwindSafe, catch_unwind};

use upstand::{Code, Error};

use crate::argument::{copy_text, output, reference};
use crate::status::{OK, upstand_status};

/// Keeps what went wrong in the last call that was given it. Make one for each thread: two threads must not use one
/// context at the same time. A context may move from thread to thread.
#[derive(Default)]
pub struct Context {
    error: Option<Error>,
}

/// Makes a context. Free it with `upstand_context_free`. Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_context_new() -> *mut Context {
    Box::into_raw(Box::default())
}

/// Frees a context. NULL is allowed and does nothing. The context must not be used afterwards.
///
/// # Safety
/// `context` is NULL or comes from `upstand_context_new` and was not freed.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_context_free(context: *mut Context) {
    if !context.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(context) });
    }
}

/// How many problems the last call with this context met: 0 after a success, else at least 1, since a document may
/// have several things wrong with it. 0 for NULL.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_context_problem_count(context: *const Context) -> usize {
    // SAFETY: as the caller promises.
    unsafe { context.as_ref() }.map_or(0, |context| context.problems().count())
}

/// The status of problem `index` (0 is the first in the document) into `*status`.
///
/// The context stays as it is. Returns `UPSTAND_NULL_ARGUMENT`, or `UPSTAND_BAD_ARGUMENT` when there is no such problem.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `status` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_context_problem(
    context: *const Context,
    index: usize,
    status: *mut upstand_status,
) -> upstand_status {
    shield(|| {
        // SAFETY: as the caller promises.
        let (context, status) = unsafe { (reference(context, "context")?, output(status, "status")?) };
        status.write(context.problem(index)?.code().number());
        Ok(())
    })
    .map_or_else(|error| error.code().number(), |()| OK)
}

/// The sentence of problem `index` into `buffer`: see `upstand_plan_to_json` for how texts are handed over.
///
/// The context stays as it is. Returns `UPSTAND_NULL_ARGUMENT`, `UPSTAND_BUFFER_TOO_SMALL`, or `UPSTAND_BAD_ARGUMENT`
/// when there is no such problem.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `buffer` is NULL or may be written for `capacity`
/// bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_context_message(
    context: *const Context,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    shield(|| {
        // SAFETY: as the caller promises.
        let context = unsafe { reference(context, "context") }?;
        // SAFETY: as the caller promises.
        unsafe { copy_text(context.problem(index)?.message(), buffer, capacity, length) }
    })
    .map_or_else(|error| error.code().number(), |()| OK)
}

/// The JSON Pointer (RFC 6901) of the value that problem `index` is about, such as "/roofs/0/outer/points/3", into
/// `buffer`; an empty text where it is about the whole call. All else as for `upstand_context_message`.
///
/// # Safety
/// As for `upstand_context_message`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_context_path(
    context: *const Context,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    shield(|| {
        // SAFETY: as the caller promises.
        let context = unsafe { reference(context, "context") }?;
        // SAFETY: as the caller promises.
        unsafe { copy_text(context.problem(index)?.path(), buffer, capacity, length) }
    })
    .map_or_else(|error| error.code().number(), |()| OK)
}

impl Context {
    fn problems(&self) -> impl Iterator<Item = &Error> {
        self.error.iter().flat_map(Error::problems)
    }

    fn problem(&self, index: usize) -> Result<&Error, Error> {
        self.problems()
            .nth(index)
            .ok_or_else(|| Error::new(Code::BadArgument, "", format!("there is no problem number {index}")))
    }
}

/// The one border between C and Rust: runs `work`, keeps its error in the context, and turns a panic into a status.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses, and that `work` does not touch.
pub(crate) unsafe fn guard(context: *mut Context, work: impl FnOnce() -> Result<(), Error>) -> upstand_status {
    // SAFETY: as the caller promises.
    let Some(context) = (unsafe { context.as_mut() }) else {
        return Code::NullArgument.number();
    };
    context.error = shield(work).err();
    context.error.as_ref().map_or(OK, |error| error.code().number())
}

fn shield(work: impl FnOnce() -> Result<(), Error>) -> Result<(), Error> {
    // A panic leaves nothing half-changed that is used again: handles are read only, outputs are written last.
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|payload| {
        let said = payload
            .downcast_ref::<&str>()
            .map(|text| (*text).to_string())
            .or_else(|| payload.downcast_ref::<String>().cloned())
            .unwrap_or_default();
        Err(Error::new(Code::Panic, "", format!("a bug in the library: {said}")))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_status_and_the_next_success_clears_it() {
        let mut context = Context::default();
        // SAFETY: a live context that only this test uses.
        let status = unsafe { guard(&mut context, || panic!("out of {}", "plumb")) };
        assert_eq!(status, Code::Panic.number());
        assert_eq!(context.problem(0).expect("one problem").message(), "a bug in the library: out of plumb");
        // SAFETY: as above.
        assert_eq!(unsafe { guard(&mut context, || Ok(())) }, OK);
        assert_eq!(context.problems().count(), 0);
    }

    #[test]
    fn no_context_no_work() {
        // SAFETY: NULL is allowed.
        let status = unsafe { guard(std::ptr::null_mut(), || unreachable!("there is nowhere to report to")) };
        assert_eq!(status, Code::NullArgument.number());
    }
}
