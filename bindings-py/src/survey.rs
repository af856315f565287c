//! What is read on site: tape measurements, traverses, feet and inches, the dew point.

use pyo3::intern;
use pyo3::prelude::*;
use serde_json::Value;
use upstand::geometry::Point;
use upstand::survey::adjust::{self, Adjusted, Network};
use upstand::survey::{imperial, levels, traverse};
use upstand::{Code, Error, Length, Roof, wet};

use crate::cut_list::document;
use crate::error::{raise, run};
use crate::roof::{PyRoof, required_text};
use crate::text::to_dict;
use crate::value::{Place as At, to_value};

/// The positions that fit tape measurements best.
#[pyclass(name = "Adjusted", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyAdjusted(Adjusted);

/// Finds the positions that fit tape measurements between named points best.
#[pyfunction]
#[pyo3(name = "adjust")]
pub(crate) fn adjust_network(network: &Bound<'_, PyAny>) -> PyResult<PyAdjusted> {
    let py = network.py();
    let network = Network::from_value(document(network)?).map_err(|error| raise(py, &error))?;
    run(py, || adjust::adjust(&network)).map(PyAdjusted)
}

/// A place in the plane in millimetres.
type Place = (f64, f64);

/// Closes a traverse by the compass rule: the corners, beginning with the start, and how far the walk missed it.
#[pyfunction]
#[pyo3(signature = (legs, *, start = None))]
pub(crate) fn close_traverse(
    py: Python<'_>,
    legs: Vec<(f64, f64)>,
    start: Option<(f64, f64)>,
) -> PyResult<(Vec<Place>, Place)> {
    let closed = run(py, || {
        let length = |mm: f64| Length::try_from_mm_f64(mm);
        let start = start.unwrap_or_default();
        let start = Point { x: length(start.0)?, y: length(start.1)? };
        let legs: Result<Vec<traverse::Leg>, Error> = legs
            .iter()
            .enumerate()
            .map(|(i, &(mm, azimuth_deg))| {
                let length = length(mm).map_err(|error| error.under(&format!("/{i}")))?;
                Ok(traverse::Leg { length, azimuth_deg })
            })
            .collect();
        traverse::close(start, &legs?)
    })?;
    Ok((closed.points.iter().map(|point| (point.x.mm(), point.y.mm())).collect(), closed.misclosure_mm))
}

/// Millimetres of a length in feet and inches.
#[pyfunction]
pub(crate) fn read_imperial(text: &Bound<'_, PyAny>) -> PyResult<f64> {
    let read = required_text(text)?;
    run(text.py(), || imperial::read(&read)).map(Length::mm)
}

/// A length in feet, inches and a fraction of an inch.
#[pyfunction]
#[pyo3(signature = (length, *, denominator = 16))]
pub(crate) fn print_imperial(py: Python<'_>, length: f64, denominator: u32) -> PyResult<String> {
    run(py, || {
        if denominator == 0 {
            return Err(Error::new(Code::BadArgument, "", "a denominator of 0: at least 1 is needed"));
        }
        Ok(imperial::print(Length::try_from_mm_f64(length)?, denominator))
    })
}

/// Falls, ponds and the ways of water on one roof with levels.
#[pyfunction]
#[pyo3(signature = (roof, levels = None))]
pub(crate) fn drain<'py>(
    roof: &Bound<'py, PyAny>,
    levels: Option<&Bound<'py, PyAny>>,
) -> PyResult<Option<Bound<'py, PyAny>>> {
    let py = roof.py();
    let roof = match roof.cast::<PyRoof>() {
        Ok(roof) => roof.get().0.clone(),
        Err(_) => Roof::from_value(document(roof)?).map_err(|error| raise(py, &error))?,
    };
    let levels = levels.map_or(Ok(Value::Array(Vec::new())), |levels| to_value(levels, At::root("/levels")))?;
    let json =
        run(py, || levels::drain_roof(&roof, &levels::readings(levels)?).map(|found| found.map(|d| d.to_json())))?;
    json.map(|json| to_dict(py, &json)).transpose()
}

/// Dew point of air, in degrees Celsius.
#[pyfunction]
pub(crate) fn dew_point(py: Python<'_>, air_c: f64, humidity_percent: f64) -> PyResult<f64> {
    run(py, || wet::dew_point_c(air_c, humidity_percent))
}

/// Frost point of air, in degrees Celsius.
#[pyfunction]
pub(crate) fn frost_point(py: Python<'_>, air_c: f64, humidity_percent: f64) -> PyResult<f64> {
    run(py, || wet::frost_point_c(air_c, humidity_percent))
}

#[pymethods]
impl PyAdjusted {
    /// Reads a result that was kept as JSON text.
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyAdjusted> {
        let json = required_text(text)?;
        run(text.py(), || Adjusted::from_json(&json)).map(PyAdjusted)
    }

    /// The points in the order of the report: name, x, y.
    #[getter]
    fn points(&self) -> Vec<(&str, f64, f64)> {
        self.0.points.iter().map(|point| (point.point.as_str(), point.at.x.mm(), point.at.y.mm())).collect()
    }

    /// The most likely blunders, in words.
    #[getter]
    fn suspects(&self) -> Vec<&str> {
        self.0.suspects.iter().map(|suspect| suspect.text.as_str()).collect()
    }

    /// The result as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    /// The result as canonical JSON text.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((slf.get_type().getattr(intern!(slf.py(), "from_json"))?, (slf.get().to_json(),)))
    }

    fn __repr__(&self) -> String {
        let Adjusted { points, degrees_of_freedom, suspects, .. } = &self.0;
        format!(
            "Adjusted(points={}, degrees_of_freedom={degrees_of_freedom}, suspects={})",
            points.len(),
            suspects.len()
        )
    }
}
