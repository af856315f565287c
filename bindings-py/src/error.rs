//! From the core's error to `upstand.Error`, and the one place where a panic is caught.

use std::panic::{AssertUnwindSafe, catch_unwind};

use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::{PyTuple, PyType};
use upstand::{Code, Error};

static CLASS: PyOnceLock<Py<PyType>> = PyOnceLock::new();

/// The Python exception object of an error, alone or with the problems that came with it.
fn exception<'py>(py: Python<'py>, error: &Error, others: Vec<Bound<'py, PyAny>>) -> PyResult<Bound<'py, PyAny>> {
    let class = CLASS.import(py, "upstand._error", "Error")?;
    let code = error.code();
    class.call1((code.slug(), code.number(), error.path(), error.message(), PyTuple::new(py, others)?))
}

/// Python exceptions, one for each error: for a list of problems that is returned, not raised.
pub(crate) fn exceptions<'py>(py: Python<'py>, errors: &[Error]) -> PyResult<Vec<Bound<'py, PyAny>>> {
    errors.iter().map(|error| exception(py, error, Vec::new())).collect()
}

/// The Python exception to raise for an error.
pub(crate) fn raise(py: Python<'_>, error: &Error) -> PyErr {
    let build = || {
        let others = error.problems().skip(1).map(|other| exception(py, other, Vec::new())).collect::<PyResult<_>>()?;
        exception(py, error, others)
    };
    build().map_or_else(|failed| failed, PyErr::from_value)
}

/// Runs the core without Python's lock; errors and panics become `upstand.Error`.
pub(crate) fn run<T: Send>(py: Python<'_>, work: impl FnOnce() -> Result<T, Error> + Send) -> PyResult<T> {
    let result = py.detach(|| {
        // A panic leaves nothing half-changed that is used again: the inputs are read only.
        catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|payload| {
            let said = payload
                .downcast_ref::<&str>()
                .map(|text| (*text).to_string())
                .or_else(|| payload.downcast_ref::<String>().cloned())
                .unwrap_or_default();
            Err(Error::new(Code::Panic, "", format!("a bug in the library: {said}")))
        })
    });
    result.map_err(|error| raise(py, &error))
}

/// Every code with its number and when it occurs.
#[pyfunction]
pub(crate) fn error_codes() -> Vec<(&'static str, u32, &'static str)> {
    Code::ALL.iter().map(|code| (code.slug(), code.number(), code.meaning())).collect()
}
