//! `upstand.plan` and `upstand.check`, and the plan that comes back.

use pyo3::intern;
use pyo3::prelude::*;
use upstand::drawing::Paper;
use upstand::system::Section;
use upstand::trim::MitreCorner;
use upstand::{Code, Error, Finding, Grade, Plan, drawing};

use crate::error::{exceptions, raise, run};
use crate::job::to_job;
use crate::roof::required_text;
use crate::table;
use crate::text::to_dict;
use crate::value::{Place, to_value};

/// All that the library works out for a job.
#[pyclass(name = "Plan", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyPlan(Plan);

/// One thing that a check found.
#[pyclass(name = "Finding", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyFinding(pub(crate) Finding);

/// Works out everything for a job: trims and their cut lists, mat, take-off, findings.
#[pyfunction]
pub(crate) fn plan(job: &Bound<'_, PyAny>) -> PyResult<PyPlan> {
    let py = job.py();
    let job = to_job(job)?;
    run(py, || upstand::plan(&job)).map(PyPlan)
}

/// Mitres a section at a corner, without a roof.
#[pyfunction]
#[pyo3(signature = (section, interior_deg, *, rise_before = 0.0, rise_after = 0.0))]
pub(crate) fn mitre<'py>(
    section: &Bound<'py, PyAny>,
    interior_deg: f64,
    rise_before: f64,
    rise_after: f64,
) -> PyResult<Bound<'py, PyAny>> {
    let py = section.py();
    let value = to_value(section, Place::root("/section"))?;
    let corner = MitreCorner { interior_deg, rise_before, rise_after };
    let found = run(py, || {
        upstand::trim::mitre(&Section::from_value(value).map_err(|error| error.under("/section"))?, &corner)
    })?;
    to_dict(py, &found.to_json())
}

/// Everything that is wrong with a job, in the order of the document; empty if `plan` will take it.
#[pyfunction]
pub(crate) fn check<'py>(job: &Bound<'py, PyAny>) -> PyResult<Vec<Bound<'py, PyAny>>> {
    let py = job.py();
    let job = to_job(job)?;
    exceptions(py, &run(py, || Ok(job.check()))?)
}

#[pymethods]
impl PyPlan {
    /// Reads a plan that was kept as JSON text.
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyPlan> {
        let json = required_text(text)?;
        run(text.py(), || Plan::from_json(&json)).map(PyPlan)
    }

    /// The job's name.
    #[getter]
    fn name(&self) -> Option<&str> {
        self.0.name.as_deref()
    }

    /// What the checks found, gravest first.
    #[getter]
    fn findings(&self) -> Vec<PyFinding> {
        self.0.findings.iter().cloned().map(PyFinding).collect()
    }

    /// Cautions that belong to the work as a whole.
    #[getter]
    fn cautions(&self) -> Vec<&str> {
        self.0.cautions.iter().map(String::as_str).collect()
    }

    #[classattr]
    fn tables() -> Vec<&'static str> {
        table::NAMES.to_vec()
    }

    /// One list of the plan as columns of equal length, ready for ``pandas.DataFrame(plan.table("pieces"))``.
    fn table<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        table::of(&self.0, name).map_err(|error| raise(py, &error))?.into_dict(py)
    }

    /// The drawing as SVG.
    #[pyo3(signature = (*, roof = None))]
    fn svg(&self, py: Python<'_>, roof: Option<usize>) -> PyResult<String> {
        run(py, || match roof {
            None => Ok(drawing::plan_svg(&self.0)),
            Some(roof) => drawing::roof_svg(&self.0, roof),
        })
    }

    /// The cutting sheets as SVG.
    fn cut_list_svg(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::cut_list_svg(&self.0)))
    }

    /// The lay-out of the mat as SVG, a sheet for each roof.
    fn mat_svg(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::mat_svg(&self.0)))
    }

    /// The cut lists as plain text for a terminal.
    fn cut_list_text(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::cut_list_text(&self.0)))
    }

    /// The schedule as plain text.
    fn schedule_text(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::schedule_text(&self.0)))
    }

    /// The schedule as SVG.
    fn schedule_svg(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::schedule_svg(&self.0)))
    }

    /// The mixing cards as plain text.
    fn mixing_text(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::mixing_text(&self.0)))
    }

    /// Full-size templates of mitred, notched and returned ends as SVG.
    #[pyo3(signature = (*, paper = "A4"))]
    fn template_svg(&self, py: Python<'_>, paper: &str) -> PyResult<String> {
        run(py, || {
            let size = Paper::named(paper);
            let size = size.ok_or_else(|| {
                Error::new(Code::BadArgument, "", format!("paper is {paper:?}: from \"A0\" to \"A4\""))
            })?;
            Ok(drawing::template_svg_on(&self.0, size))
        })
    }

    /// The order sheets as SVG.
    fn order_svg(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(drawing::order_svg(&self.0)))
    }

    /// The order as comma-separated values.
    fn order_csv(&self, py: Python<'_>) -> PyResult<String> {
        run(py, || Ok(upstand::takeoff::order_csv(&self.0.takeoff)))
    }

    /// What notebooks show.
    fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> {
        self.svg(py, None)
    }

    /// The plan as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    /// The plan as canonical JSON text: the same bytes as from every other language.
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
    /// How grave: do not go on, a person must decide, worth knowing.
    #[getter]
    fn grade(&self) -> &'static str {
        grade(self.0.grade)
    }

    /// Stable name of the check, such as ``"deck_moisture"``.
    #[getter]
    fn code(&self) -> &str {
        &self.0.code
    }

    /// JSON Pointer into the job of what it is about.
    #[getter]
    fn place(&self) -> &str {
        &self.0.place
    }

    /// The value found, in `unit`.
    #[getter]
    fn value(&self) -> Option<f64> {
        self.0.value
    }

    /// The limit it was held against, in `unit`.
    #[getter]
    fn limit(&self) -> Option<f64> {
        self.0.limit
    }

    /// Unit of value and limit.
    #[getter]
    fn unit(&self) -> Option<&str> {
        self.0.unit.as_deref()
    }

    /// Where the limit comes from.
    #[getter]
    fn basis(&self) -> &str {
        &self.0.basis
    }

    /// What was found and what to do next, for the person on the roof.
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
