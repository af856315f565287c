//! `upstand.plan` and `upstand.check`, and the plan that comes back.

use pyo3::intern;
use pyo3::prelude::*;
use upstand::{Finding, Grade, Plan};

use crate::error::{exceptions, raise, run};
use crate::job::to_job;
use crate::roof::required_text;
use crate::table;
use crate::text::to_dict;

/// All that the library works out for a job.
#[pyclass(name = "Plan", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyPlan(Plan);

/// One thing that a check found.
#[pyclass(name = "Finding", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyFinding(Finding);

#[pyfunction]
pub(crate) fn plan(job: &Bound<'_, PyAny>) -> PyResult<PyPlan> {
    let py = job.py();
    let job = to_job(job)?;
    run(py, || upstand::plan(&job)).map(PyPlan)
}

#[pyfunction]
pub(crate) fn check<'py>(job: &Bound<'py, PyAny>) -> PyResult<Vec<Bound<'py, PyAny>>> {
    let py = job.py();
    let job = to_job(job)?;
    exceptions(py, &run(py, || Ok(job.check()))?)
}

#[pymethods]
impl PyPlan {
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyPlan> {
        let json = required_text(text)?;
        run(text.py(), || Plan::from_json(&json)).map(PyPlan)
    }

    #[getter]
    fn name(&self) -> Option<&str> {
        self.0.name.as_deref()
    }

    #[getter]
    fn findings(&self) -> Vec<PyFinding> {
        self.0.findings.iter().cloned().map(PyFinding).collect()
    }

    #[getter]
    fn cautions(&self) -> Vec<&str> {
        self.0.cautions.iter().map(String::as_str).collect()
    }

    #[classattr]
    fn tables() -> Vec<&'static str> {
        table::NAMES.to_vec()
    }

    fn table<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        table::of(&self.0, name).map_err(|error| raise(py, &error))?.into_dict(py)
    }

    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((slf.get_type().getattr(intern!(slf.py(), "from_json"))?, (slf.get().to_json(),)))
    }

    fn __repr__(&self) -> String {
        let Plan { roofs, cut_lists, findings, .. } = &self.0;
        format!("Plan(roofs={}, cut_lists={}, findings={})", roofs.len(), cut_lists.len(), findings.len())
    }
}

#[pymethods]
impl PyFinding {
    #[getter]
    fn grade(&self) -> &'static str {
        grade(self.0.grade)
    }

    #[getter]
    fn code(&self) -> &str {
        &self.0.code
    }

    #[getter]
    fn place(&self) -> &str {
        &self.0.place
    }

    #[getter]
    fn value(&self) -> Option<f64> {
        self.0.value
    }

    #[getter]
    fn limit(&self) -> Option<f64> {
        self.0.limit
    }

    #[getter]
    fn unit(&self) -> Option<&str> {
        self.0.unit.as_deref()
    }

    #[getter]
    fn basis(&self) -> &str {
        &self.0.basis
    }

    #[getter]
    fn text(&self) -> &str {
        &self.0.text
    }

    fn __repr__(&self) -> String {
        format!("Finding(grade={:?}, code={:?}, place={:?})", self.grade(), self.0.code, self.0.place)
    }
}

pub(crate) fn grade(grade: Grade) -> &'static str {
    match grade {
        Grade::Refuse => "refuse",
        Grade::Caution => "caution",
        Grade::Note => "note",
    }
}
