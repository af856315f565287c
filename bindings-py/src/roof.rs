//! `upstand.Roof`: made from GeoJSON geometry or from a job's words.

use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::{Value, json};
use upstand::geometry::Point;
use upstand::roof::{Boundary, Outlet, Pipe};
use upstand::{Code, Error, Kind, Length, Roof, wire};

use crate::error::raise;
use crate::geojson::{self, Unit};
use crate::text::{text_of, to_dict};
use crate::value::{Place, to_value, type_name};

/// One roof as measured.
#[pyclass(name = "Roof", module = "upstand", frozen, eq)]
#[derive(PartialEq)]
pub(crate) struct PyRoof(pub(crate) Roof);

#[pymethods]
impl PyRoof {
    /// Makes a roof of a GeoJSON polygon.
    #[staticmethod]
    #[pyo3(signature = (geometry, kinds, units = "m", *, hole_kinds = None, name = None, outlets = None, pipes = None))]
    fn from_geojson(
        geometry: &Bound<'_, PyAny>,
        kinds: &Bound<'_, PyAny>,
        units: &str,
        hole_kinds: Option<&Bound<'_, PyAny>>,
        name: Option<String>,
        outlets: Option<&Bound<'_, PyAny>>,
        pipes: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<PyRoof> {
        let geometry_value = geometry_value(geometry)?;
        let kinds = to_value(kinds, Place::root("/kinds"))?;
        let hole_kinds = hole_kinds.map(|kinds| to_value(kinds, Place::root("/hole_kinds"))).transpose()?;
        let outlets = outlets.map(|outlets| to_value(outlets, Place::root("/outlets"))).transpose()?;
        let pipes = pipes.map(|pipes| to_value(pipes, Place::root("/pipes"))).transpose()?;
        let build = || {
            let unit = Unit::from_word(units)?;
            let mut roof = geojson::to_roof(&geometry_value, Place::root(""), unit)?;
            roof.name = name;
            roof.outer.kinds = edge_kinds(&kinds, &roof.outer, "/kinds")?;
            if let Some(kinds) = hole_kinds {
                give_hole_kinds(&mut roof.holes, &kinds)?;
            }
            geojson::drop_repeats(&mut roof.outer);
            roof.holes.iter_mut().for_each(geojson::drop_repeats);
            let outlets = outlets.map_or(Ok(Vec::new()), |outlets| rounds_of(&outlets, "outlets", unit))?;
            roof.outlets = outlets.into_iter().map(|(at, diameter)| Outlet { at, diameter }).collect();
            let pipes = pipes.map_or(Ok(Vec::new()), |pipes| rounds_of(&pipes, "pipes", unit))?;
            roof.pipes = pipes.into_iter().map(|(at, diameter)| Pipe { at, diameter, ..Pipe::default() }).collect();
            Ok(PyRoof(roof))
        };
        build().map_err(|error: Error| raise(geometry.py(), &error))
    }

    /// Reads a roof as it stands in a job.
    #[staticmethod]
    fn from_dict(roof: &Bound<'_, PyAny>) -> PyResult<PyRoof> {
        let value = to_value(roof, Place::root(""))?;
        Roof::from_value(value).map(PyRoof).map_err(|error| raise(roof.py(), &error))
    }

    /// Reads a roof from JSON text.
    #[staticmethod]
    fn from_json(text: &Bound<'_, PyAny>) -> PyResult<PyRoof> {
        let json = required_text(text)?;
        wire::parse(&json).and_then(Roof::from_value).map(PyRoof).map_err(|error| raise(text.py(), &error))
    }

    /// Name printed on drawings.
    #[getter]
    fn name(&self) -> Option<&str> {
        self.0.name.as_deref()
    }

    /// The roof as it stands in a job.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.0.to_json())
    }

    /// The roof as JSON text.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((slf.get_type().getattr(intern!(slf.py(), "from_json"))?, (slf.get().to_json(),)))
    }

    fn __repr__(&self) -> String {
        let Roof { name, outer, holes, outlets, pipes, .. } = &self.0;
        let name = name.as_ref().map_or_else(String::new, |name| format!("name={name:?}, "));
        let (points, holes) = (outer.points.len(), holes.len());
        format!("Roof({name}points={points}, holes={holes}, outlets={}, pipes={})", outlets.len(), pipes.len())
    }
}

/// The text of a str, bytes or bytearray, or a coded error.
pub(crate) fn required_text(object: &Bound<'_, PyAny>) -> PyResult<String> {
    text_of(object)?.ok_or_else(|| {
        let message = format!("JSON text is a str or bytes, not a {}", type_name(object));
        raise(object.py(), &Error::new(Code::BadArgument, "", message))
    })
}

/// GeoJSON as a value, from a dict, text, or any object that describes itself by `__geo_interface__`.
fn geometry_value(geometry: &Bound<'_, PyAny>) -> PyResult<Value> {
    let py = geometry.py();
    if let Some(text) = text_of(geometry)? {
        return wire::parse(&text).map_err(|error| raise(py, &error));
    }
    if geometry.cast::<PyDict>().is_err() && geometry.hasattr(intern!(py, "__geo_interface__"))? {
        return to_value(&geometry.getattr(intern!(py, "__geo_interface__"))?, Place::root(""));
    }
    to_value(geometry, Place::root(""))
}

/// The kind of every edge of a ring: one word for all of them, or a list with one for each.
fn edge_kinds(value: &Value, ring: &Boundary, path: &str) -> Result<Vec<Kind>, Error> {
    let edges = ring.points.len();
    if value.is_string() {
        return Ok(vec![kind(value, Place::root(path))?; edges]);
    }
    let Some(words) = value.as_array() else {
        return Err(Error::new(Code::BadValue, path, "kinds are one word for all edges or a list with one for each"));
    };
    let place = Place::root(path);
    let kinds = words.iter().enumerate().map(|(index, word)| kind(word, place.item(index)));
    let kinds = kinds.collect::<Result<Vec<_>, _>>()?;
    if kinds.len() == edges {
        Ok(kinds)
    } else {
        Err(Error::new(
            Code::KindCount,
            path,
            format!("{} kinds for {edges} edges: one for each is needed", kinds.len()),
        ))
    }
}

fn kind(value: &Value, place: Place<'_>) -> Result<Kind, Error> {
    serde_json::from_value(value.clone()).map_err(|_| {
        let words = Kind::ALL.map(|kind| format!("{:?}", kind.word())).join(", ");
        place.error(Code::BadValue, format!("{value} is not a kind of edge: {words}"))
    })
}

/// One word for the edges of all holes, or a list with one entry (a word or a list) for each hole.
fn give_hole_kinds(holes: &mut [Boundary], value: &Value) -> Result<(), Error> {
    let each = match value {
        Value::Array(each) if each.len() == holes.len() => each.clone(),
        Value::Array(each) => {
            let message = format!("{} entries for {} holes: one for each is needed", each.len(), holes.len());
            return Err(Error::new(Code::KindCount, "/hole_kinds", message));
        }
        word => vec![word.clone(); holes.len()],
    };
    for (index, (hole, kinds)) in holes.iter_mut().zip(&each).enumerate() {
        hole.kinds = edge_kinds(kinds, hole, &format!("/hole_kinds/{index}"))?;
    }
    Ok(())
}

/// Outlets or pipes as triples: x, y, diameter.
fn rounds_of(value: &Value, what: &str, unit: Unit) -> Result<Vec<(Point, Length)>, Error> {
    let path = format!("/{what}");
    let triples: Vec<[f64; 3]> = serde_json::from_value(value.clone()).map_err(|_| {
        Error::new(Code::BadValue, &path, format!("{what} are triples {}", json!(["x", "y", "diameter"])))
    })?;
    let place = Place::root(&path);
    let round = |(index, [x, y, diameter]): (usize, [f64; 3])| {
        let at = place.item(index);
        let length = |axis, number| unit.length(number).map_err(|error| error.under(&at.item(axis).pointer()));
        Ok((Point { x: length(0, x)?, y: length(1, y)? }, length(2, diameter)?))
    };
    triples.into_iter().enumerate().map(round).collect()
}
