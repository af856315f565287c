//! `upstand.check_record` and the report that comes back.

use pyo3::intern;
use pyo3::prelude::*;
use upstand::record::{Record, Report};

use crate::error::{raise, run};
use crate::plan::PyFinding;
use crate::roof::required_text;
use crate::text::{text_of, to_dict};
use crate::value::{Place, to_value};

/// The hand-over report of a record.
#[pyclass(name = "Report", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyReport(Report);

/// Holds what was really done against the plan of its job.
#[pyfunction]
pub(crate) fn check_record(record: &Bound<'_, PyAny>) -> PyResult<PyReport> {
    let py = record.py();
    let record = match text_of(record)? {
        Some(text) => Record::from_json(&text),
        None => Record::from_value(to_value(record, Place::root(""))?),
    };
    let record = record.map_err(|error| raise(py, &error))?;
    run(py, || record.report()).map(PyReport)
}

#[pymethods]
impl PyReport {
    /// Reads a report that was kept as JSON text.
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyReport> {
        let json = required_text(text)?;
        run(text.py(), || Report::from_json(&json)).map(PyReport)
    }

    /// What the check found, gravest first.
    #[getter]
    fn findings(&self) -> Vec<PyFinding> {
        self.0.findings.iter().cloned().map(PyFinding).collect()
    }

    /// The report for a person to read and to sign.
    fn text(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(self.0.text()))
    }

    /// The report as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    /// The report as canonical JSON text.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((slf.get_type().getattr(intern!(slf.py(), "from_json"))?, (slf.get().to_json(),)))
    }

    fn __repr__(&self) -> String {
        format!("Report(coats={}, findings={})", self.0.coats.len(), self.0.findings.len())
    }
}
