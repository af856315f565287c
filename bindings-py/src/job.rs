//! `upstand.Job`, and all that is taken for a job.

use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyList, PyTuple};
use serde_json::{Map, Value};
use upstand::wire::Document;
use upstand::{Code, Error, Job};

use crate::error::{raise, run};
use crate::roof::{PyRoof, required_text};
use crate::text::{text_of, to_dict};
use crate::value::{Place, to_value, type_name};

/// All that is known before planning.
#[pyclass(name = "Job", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyJob(pub(crate) Job);

#[pymethods]
impl PyJob {
    // One argument for each field of the document.
    #[expect(clippy::too_many_arguments)]
    #[new]
    #[pyo3(signature = (*, roofs, name = None, system = None, stock = None, preferences = None, survey = None, programme = None, prices = None,
        alternatives = None))]
    fn new(
        roofs: &Bound<'_, PyAny>,
        name: Option<&Bound<'_, PyAny>>,
        system: Option<&Bound<'_, PyAny>>,
        stock: Option<&Bound<'_, PyAny>>,
        preferences: Option<&Bound<'_, PyAny>>,
        survey: Option<&Bound<'_, PyAny>>,
        programme: Option<&Bound<'_, PyAny>>,
        prices: Option<&Bound<'_, PyAny>>,
        alternatives: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<PyJob> {
        let fields = [
            ("roofs", Some(roofs)),
            ("name", name),
            ("system", system),
            ("stock", stock),
            ("preferences", preferences),
            ("survey", survey),
            ("programme", programme),
            ("prices", prices),
            ("alternatives", alternatives),
        ];
        let document = Place::root("");
        let mut map = envelope();
        for (field, object) in fields {
            if let Some(object) = object {
                map.insert(field.into(), to_value(object, document.field(field))?);
            }
        }
        read(roofs.py(), map).map(PyJob)
    }

    /// Reads a job from a dict; it may hold NumPy arrays and scalars.
    #[staticmethod]
    fn from_dict(job: &Bound<'_, PyAny>) -> PyResult<PyJob> {
        let value = to_value(job, Place::root(""))?;
        Job::from_value(value).map(PyJob).map_err(|error| raise(job.py(), &error))
    }

    /// Reads a job from JSON text.
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyJob> {
        Job::from_json(&required_text(text)?).map(PyJob).map_err(|error| raise(text.py(), &error))
    }

    /// Name printed on sheets.
    #[getter]
    fn name(&self) -> Option<&str> {
        self.0.name.as_deref()
    }

    /// The same job with every measured roof given by the coordinates of its adjusted outline.
    fn outlined(&self, py: Python<'_>) -> PyResult<PyJob> {
        run(py, || self.0.outlined()).map(PyJob)
    }

    /// The job as a dict, with every default filled in.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    /// The job as canonical JSON text, with every default filled in.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((slf.get_type().getattr(intern!(slf.py(), "from_json"))?, (slf.get().to_json(),)))
    }

    fn __repr__(&self) -> String {
        let name = self.0.name.as_ref().map_or_else(String::new, |name| format!("name={name:?}, "));
        format!("Job({name}roofs={})", self.0.roofs.len())
    }
}

fn envelope() -> Map<String, Value> {
    Map::from_iter([("schema".to_string(), Value::from(Job::SCHEMA))])
}

fn read(py: Python<'_>, map: Map<String, Value>) -> PyResult<Job> {
    Job::from_value(Value::Object(map)).map_err(|error| raise(py, &error))
}

/// Reads whatever stands for a job: a dict, JSON text, a `Job`, a `Roof`, or a list of roofs.
pub(crate) fn to_job(object: &Bound<'_, PyAny>) -> PyResult<Job> {
    let py = object.py();
    if let Ok(job) = object.cast::<PyJob>() {
        return Ok(job.get().0.clone());
    }
    if let Ok(roof) = object.cast::<PyRoof>() {
        return Ok(Job { roofs: vec![roof.get().0.clone()], ..Job::default() });
    }
    if let Some(text) = text_of(object)? {
        return Job::from_json(&text).map_err(|error| raise(py, &error));
    }
    if object.cast::<PyList>().is_ok() || object.cast::<PyTuple>().is_ok() {
        let mut map = envelope();
        map.insert("roofs".into(), to_value(object, Place::root("/roofs"))?);
        return read(py, map);
    }
    match to_value(object, Place::root(""))? {
        value @ Value::Object(_) => Job::from_value(value).map_err(|error| raise(py, &error)),
        _ => {
            let message =
                format!("a job is a dict, JSON text, Job, Roof or list of roofs, not a {}", type_name(object));
            Err(raise(py, &Error::new(Code::BadArgument, "", message)))
        }
    }
}
