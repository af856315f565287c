//! JSON text in and out.

use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::{PyByteArray, PyBytes, PyString};
use upstand::{Code, Error};

use crate::error::raise;

/// The text of a str, bytes or bytearray; `None` for any other object.
pub(crate) fn text_of(object: &Bound<'_, PyAny>) -> PyResult<Option<String>> {
    let bad = || raise(object.py(), &Error::new(Code::BadUtf8, "", "the text is not UTF-8"));
    if let Ok(text) = object.cast::<PyString>() {
        return text.to_str().map(|text| Some(text.into())).map_err(|_| bad());
    }
    let bytes = if let Ok(bytes) = object.cast::<PyBytes>() {
        bytes.as_bytes().to_vec()
    } else if let Ok(bytes) = object.cast::<PyByteArray>() {
        bytes.to_vec()
    } else {
        return Ok(None);
    };
    String::from_utf8(bytes).map(Some).map_err(|_| bad())
}

/// JSON text as Python's own dicts, lists and numbers, in the order of the document's definition.
pub(crate) fn to_dict<'py>(py: Python<'py>, text: &str) -> PyResult<Bound<'py, PyAny>> {
    static LOADS: PyOnceLock<Py<PyAny>> = PyOnceLock::new();
    LOADS.import(py, "json", "loads")?.call1((text,))
}
