//! From Python objects to JSON values, without a text in between: dicts, sequences, numbers (NumPy's among them).

use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyBytes, PyDict, PyFloat, PyInt, PyList, PyMapping, PySequence, PyString, PyTuple};
use serde_json::{Map, Number, Value};
use upstand::{Code, Error};

use crate::error::raise;
use crate::job::PyJob;
use crate::roof::PyRoof;

/// Deeper than any document, and far from the end of the stack.
const DEEPEST: usize = 100;

/// Where the walk is: a chain up to the document, turned into a JSON Pointer only when something is wrong.
#[derive(Clone, Copy)]
pub(crate) struct Place<'a> {
    parent: Option<&'a Place<'a>>,
    step: Step<'a>,
    depth: usize,
}

#[derive(Clone, Copy)]
enum Step<'a> {
    Root(&'a str),
    Field(&'a str),
    Item(usize),
}

impl<'a> Place<'a> {
    /// The top of a document, or of an argument named `name` (empty or with its slash).
    pub(crate) fn root(name: &'a str) -> Self {
        Place { parent: None, step: Step::Root(name), depth: 0 }
    }

    pub(crate) fn field(&'a self, name: &'a str) -> Self {
        Place { parent: Some(self), step: Step::Field(name), depth: self.depth + 1 }
    }

    pub(crate) fn item(&'a self, index: usize) -> Self {
        Place { parent: Some(self), step: Step::Item(index), depth: self.depth + 1 }
    }

    pub(crate) fn pointer(&self) -> String {
        let mut path = self.parent.map_or_else(String::new, Place::pointer);
        match self.step {
            Step::Root(name) => path.push_str(name),
            Step::Field(name) => {
                path.push('/');
                path.push_str(&name.replace('~', "~0").replace('/', "~1"));
            }
            Step::Item(index) => {
                path.push('/');
                path.push_str(&index.to_string());
            }
        }
        path
    }

    pub(crate) fn error(&self, code: Code, message: impl Into<String>) -> Error {
        Error::new(code, self.pointer(), message)
    }
}

/// The JSON value of a Python object.
pub(crate) fn to_value(object: &Bound<'_, PyAny>, place: Place<'_>) -> PyResult<Value> {
    let py = object.py();
    let fail = |code, message: String| raise(py, &place.error(code, message));
    if place.depth > DEEPEST {
        return Err(fail(Code::TooLarge, format!("nested more than {DEEPEST} deep")));
    }
    if let Ok(text) = object.cast::<PyString>() {
        let text = text.to_str().map_err(|_| fail(Code::BadUtf8, "a text with a lone surrogate".into()))?;
        return Ok(Value::String(text.into()));
    }
    if let Ok(float) = object.cast::<PyFloat>() {
        let float = float.value();
        return number(float).ok_or_else(|| fail(Code::NonFinite, format!("{float} is not a finite number")));
    }
    if object.is_none() {
        return Ok(Value::Null);
    }
    if let Ok(truth) = object.cast::<PyBool>() {
        return Ok(Value::Bool(truth.is_true()));
    }
    if let Ok(integer) = object.cast::<PyInt>() {
        return whole(integer).ok_or_else(|| fail(Code::OutOfRange, "an integer of more than 64 bits".into()));
    }
    if let Ok(dict) = object.cast::<PyDict>() {
        return fields(dict.iter().map(Ok), place, py);
    }
    if let Ok(list) = object.cast::<PyList>() {
        return items(list.iter().map(Ok), place);
    }
    if let Ok(tuple) = object.cast::<PyTuple>() {
        return items(tuple.iter().map(Ok), place);
    }
    if let Ok(roof) = object.cast::<PyRoof>() {
        return Ok(serde_json::to_value(&roof.get().0).expect("a roof has string keys and finite numbers"));
    }
    if let Ok(job) = object.cast::<PyJob>() {
        return Ok(serde_json::to_value(&job.get().0).expect("a job has string keys and finite numbers"));
    }
    // NumPy arrays, their scalars and pandas columns all turn themselves into plain numbers and lists.
    if object.hasattr(intern!(py, "dtype"))? && object.hasattr(intern!(py, "tolist"))? {
        let plain = object.call_method0(intern!(py, "tolist"))?;
        if plain.get_type().is(object.get_type()) {
            return Err(fail(Code::BadValue, format!("a {} is not a JSON value", type_name(object))));
        }
        return to_value(&plain, Place { depth: place.depth + 1, ..place });
    }
    if let Ok(mapping) = object.cast::<PyMapping>() {
        let pairs = mapping.items()?;
        return fields(pairs.iter().map(|pair| pair.extract()), place, py);
    }
    if object.cast::<PyBytes>().is_err()
        && let Ok(sequence) = object.cast::<PySequence>()
    {
        return items(sequence.try_iter()?, place);
    }
    if object.hasattr(intern!(py, "__float__"))? {
        let float: f64 = object.extract()?;
        return number(float).ok_or_else(|| fail(Code::NonFinite, format!("{float} is not a finite number")));
    }
    Err(fail(Code::BadValue, format!("a {} is not a JSON value", type_name(object))))
}

fn number(float: f64) -> Option<Value> {
    Number::from_f64(float).map(Value::Number)
}

fn whole(integer: &Bound<'_, PyInt>) -> Option<Value> {
    if let Ok(signed) = integer.extract::<i64>() {
        return Some(Value::from(signed));
    }
    integer.extract::<u64>().ok().map(Value::from)
}

fn items<'py>(objects: impl Iterator<Item = PyResult<Bound<'py, PyAny>>>, place: Place<'_>) -> PyResult<Value> {
    let values = objects.enumerate().map(|(index, object)| to_value(&object?, place.item(index)));
    Ok(Value::Array(values.collect::<PyResult<_>>()?))
}

fn fields<'py>(
    pairs: impl Iterator<Item = PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)>>,
    place: Place<'_>,
    py: Python<'_>,
) -> PyResult<Value> {
    let mut map = Map::new();
    for pair in pairs {
        let (key, object) = pair?;
        let Ok(key) = key.cast::<PyString>() else {
            let message = format!("a field's name is a str, not a {}", type_name(&key));
            return Err(raise(py, &place.error(Code::BadValue, message)));
        };
        let key = key.to_str().map_err(|_| raise(py, &place.error(Code::BadUtf8, "a name with a lone surrogate")))?;
        map.insert(key.into(), to_value(&object, place.field(key))?);
    }
    Ok(Value::Object(map))
}

/// The name of an object's type, for messages.
pub(crate) fn type_name(object: &Bound<'_, PyAny>) -> String {
    object.get_type().name().map_or_else(|_| "?".into(), |name| name.to_string())
}
