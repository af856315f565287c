//! `upstand.cut_list`: one cutting problem from plain lists, and its answer.

use std::cmp::Reverse;
use std::ops::ControlFlow;
use std::time::Duration;

use pyo3::prelude::*;
use pyo3::types::PyList;
use serde_json::{Map, Value};
use upstand::cutting::{self, Answer, Bar, Effort, Minimise, Piece, Problem, Rules, Run, Status};
use upstand::{Code, Error, Length, wire};

use crate::error::{raise, run};
use crate::listing::{self, ListedBar};
use crate::text::{text_of, to_dict};
use crate::value::{Place, to_value};

/// How to cut, and the bound that says how good it is.
#[pyclass(name = "CutList", module = "upstand", frozen)]
pub(crate) struct PyCutList {
    problem: Problem,
    answer: Answer,
}

/// One bar of a cut list.
#[pyclass(name = "CutBar", module = "upstand", frozen, get_all)]
pub(crate) struct PyCutBar {
    /// Index into the bars on offer.
    kind: usize,
    /// Its length.
    length: f64,
    /// What is left at its end after trim-off and kerf.
    offcut: f64,
    /// Its pieces, from its start.
    pieces: Py<PyList>,
}

/// One piece of one run.
#[pyclass(name = "Piece", module = "upstand", frozen, get_all, eq)]
#[derive(PartialEq)]
pub(crate) struct PyPiece {
    /// Index of its run.
    run: usize,
    /// Which of the alike runs, from 0.
    copy: u64,
    /// Which part of the run, from 0 at its start.
    part: u32,
    /// Of how many.
    parts: u32,
    /// Where it begins in the bar.
    at: f64,
    /// Where along the run it begins.
    start: f64,
    /// Its length.
    length: f64,
}

/// Which bars to buy and how to cut them, where a run may be joined from pieces that lap.
#[pyfunction]
#[pyo3(signature = (
    *, runs, bar, quantities = None, may_join = None, lap = None, kerf = None, trim_off = None, least_piece = None,
    clear = None, joint_cost = 0, most_joints = None, least_useful = None, minimise = None, nodes = None, seconds = None,
    watch = None
))]
#[allow(clippy::too_many_arguments)]
pub(crate) fn cut_list(
    py: Python<'_>,
    runs: &Bound<'_, PyAny>,
    bar: &Bound<'_, PyAny>,
    quantities: Option<&Bound<'_, PyAny>>,
    may_join: Option<&Bound<'_, PyAny>>,
    lap: Option<&Bound<'_, PyAny>>,
    kerf: Option<&Bound<'_, PyAny>>,
    trim_off: Option<&Bound<'_, PyAny>>,
    least_piece: Option<&Bound<'_, PyAny>>,
    clear: Option<&Bound<'_, PyAny>>,
    joint_cost: u64,
    most_joints: Option<u32>,
    least_useful: Option<&Bound<'_, PyAny>>,
    minimise: Option<&Bound<'_, PyAny>>,
    nodes: Option<u64>,
    seconds: Option<f64>,
    watch: Option<Py<PyAny>>,
) -> PyResult<PyCutList> {
    let value = |object: Option<&Bound<'_, PyAny>>, path| object.map(|o| to_value(o, Place::root(path))).transpose();
    let runs = to_value(runs, Place::root("/runs"))?;
    let bars = to_value(bar, Place::root("/bars"))?;
    let quantities = value(quantities, "/quantities")?;
    let may_join = value(may_join, "/may_join")?;
    let minimise = value(minimise, "/minimise")?;
    let rule = |object, path: &'static str| -> PyResult<Length> {
        let given: Option<Value> = value(object, path)?;
        given.map_or(Ok(Length::ZERO), |given| length(&given, Place::root(path))).map_err(|e| raise(py, &e))
    };
    let rules = Rules {
        lap: rule(lap, "/rules/lap")?,
        kerf: rule(kerf, "/rules/kerf")?,
        trim_off: rule(trim_off, "/rules/trim_off")?,
        least_piece: rule(least_piece, "/rules/least_piece")?,
        clear: rule(clear, "/rules/clear")?,
        joint_cost,
        most_joints,
        least_useful: rule(least_useful, "/rules/least_useful")?,
    };
    let problem = || {
        let mut problem = Problem::new(bars_of(&bars)?, runs_of(&runs, quantities.as_ref(), may_join.as_ref())?);
        problem.rules = rules;
        if let Some(word) = &minimise {
            problem.minimise = minimise_of(word)?;
        }
        Ok((problem, effort(nodes, seconds)?))
    };
    let (problem, effort) = problem().map_err(|error: Error| raise(py, &error))?;
    solve(py, problem, &effort, watch)
}

/// How far a search for a cut list has come.
#[pyclass(name = "Progress", module = "upstand", frozen, get_all)]
pub(crate) struct PyProgress {
    /// Search nodes begun.
    nodes: u64,
    /// Counted work.
    steps: u64,
    /// The best answer so far, by what is made least first.
    best: Option<u64>,
    /// No answer is below this.
    bound: u64,
}

#[pymethods]
impl PyProgress {
    fn __repr__(&self) -> String {
        let PyProgress { nodes, steps, best, bound } = self;
        let best = best.map_or("None".to_owned(), |best| best.to_string());
        format!("Progress(nodes={nodes}, steps={steps}, best={best}, bound={bound})")
    }
}

/// Solves without Python's lock, which is taken now and then to ask whoever watches, and for a keyboard interrupt.
fn solve(py: Python<'_>, problem: Problem, effort: &Effort, watch: Option<Py<PyAny>>) -> PyResult<PyCutList> {
    let mut raised: Option<PyErr> = None;
    let mut ask = |progress: &cutting::Progress| {
        let asked = Python::attach(|py| {
            py.check_signals()?;
            let Some(watch) = &watch else { return Ok(false) };
            let cutting::Progress { nodes, steps, best, bound } = *progress;
            watch.bind(py).call1((PyProgress { nodes, steps, best, bound },))?.is_truthy()
        });
        match asked {
            Ok(false) => return ControlFlow::Continue(()),
            Ok(true) => {}
            Err(error) => raised = Some(error),
        }
        ControlFlow::Break(())
    };
    let answer = run(py, || cutting::solve_with(&problem, effort, &mut ask));
    match raised {
        Some(error) => Err(error),
        None => Ok(PyCutList { answer: answer?, problem }),
    }
}

/// Solves a cutting problem that is given as a document.
#[pyfunction]
#[pyo3(signature = (problem, *, nodes = None, seconds = None, watch = None))]
pub(crate) fn solve_cutting(
    problem: &Bound<'_, PyAny>,
    nodes: Option<u64>,
    seconds: Option<f64>,
    watch: Option<Py<PyAny>>,
) -> PyResult<PyCutList> {
    let py = problem.py();
    let problem = to_problem(problem)?;
    let effort = effort(nodes, seconds).map_err(|error| raise(py, &error))?;
    solve(py, problem, &effort, watch)
}

/// One choice between cost and joints.
#[pyclass(name = "TradeOff", module = "upstand", frozen, get_all)]
pub(crate) struct PyTradeOff {
    /// The cut list.
    cut_list: Py<PyCutList>,
    /// Whether nothing beats it in both, and nothing lies between it and the choice before.
    proven: bool,
}

#[pymethods]
impl PyTradeOff {
    fn __repr__(&self) -> String {
        let proven = if self.proven { "True" } else { "False" };
        format!("TradeOff(cut_list={}, proven={proven})", self.cut_list.get().__repr__())
    }
}

/// What fewer joints would cost: every choice that nothing beats in both cost and joints, the cheapest first.
#[pyfunction]
#[pyo3(signature = (problem, *, most = 10, nodes = None, seconds = None))]
pub(crate) fn trade_offs(
    problem: &Bound<'_, PyAny>,
    most: usize,
    nodes: Option<u64>,
    seconds: Option<f64>,
) -> PyResult<Vec<PyTradeOff>> {
    let py = problem.py();
    let problem = to_problem(problem)?;
    let effort = effort(nodes, seconds).map_err(|error| raise(py, &error))?;
    let choices = run(py, || cutting::trade_offs(&problem, &effort, most))?;
    let choices = choices.into_iter().map(|cutting::TradeOff { answer, proven }| {
        // What was solved is the same problem with cost before joints: a checker takes the answer with that one.
        let problem = Problem { minimise: Minimise::Bars, ..problem.clone() };
        Ok(PyTradeOff { cut_list: Py::new(py, PyCutList { problem, answer })?, proven })
    });
    choices.collect()
}

/// Everything that is wrong with a cut list, found without the solver; empty if it holds, its bound included.
#[pyfunction]
pub(crate) fn check_cut_list(problem: &Bound<'_, PyAny>, answer: &Bound<'_, PyAny>) -> PyResult<Vec<(String, String)>> {
    let py = problem.py();
    let problem = to_problem(problem)?;
    let answer = match answer.cast::<PyCutList>() {
        Ok(cut_list) => cut_list.get().answer.clone(),
        Err(_) => Answer::from_value(document(answer)?).map_err(|error| raise(py, &error))?,
    };
    let faults = run(py, || Ok(cutting::check(&problem, &answer).err().unwrap_or_default()))?;
    Ok(faults.into_iter().map(|fault| (fault.place, fault.message)).collect())
}

fn to_problem(object: &Bound<'_, PyAny>) -> PyResult<Problem> {
    Problem::from_value(document(object)?).map_err(|error| raise(object.py(), &error))
}

/// The value of a document that is given as a dict or as JSON text.
pub(crate) fn document(object: &Bound<'_, PyAny>) -> PyResult<Value> {
    match text_of(object)? {
        Some(text) => wire::parse(&text).map_err(|error| raise(object.py(), &error)),
        None => to_value(object, Place::root("")),
    }
}

fn length(value: &Value, place: Place<'_>) -> Result<Length, Error> {
    let number = value.as_f64().ok_or_else(|| place.error(Code::BadValue, format!("{value} is not a length in mm")))?;
    Length::try_from_mm_f64(number).map_err(|error| error.under(&place.pointer()))
}

fn array<'v>(value: &'v Value, place: Place<'_>, what: &str) -> Result<&'v [Value], Error> {
    value.as_array().map(Vec::as_slice).ok_or_else(|| place.error(Code::BadValue, format!("{what} are a list")))
}

/// Bars as one length, a list of lengths, or a list of (length, cost, available) in which the last two may be left out;
/// also as they stand in a document.
fn bars_of(value: &Value) -> Result<Vec<Bar>, Error> {
    let place = Place::root("/bars");
    if value.is_number() {
        return Ok(vec![Bar::of(length(value, place.item(0).field("length"))?)]);
    }
    let bar = |(index, value): (usize, &Value)| {
        let place = place.item(index);
        if let Some(fields) = value.as_object() {
            return bar_of(fields, place);
        }
        let Some(parts) = value.as_array() else {
            return Ok(Bar::of(length(value, place.field("length"))?));
        };
        let (first, cost, available) = match parts.as_slice() {
            [first] => (first, None, None),
            [first, cost] => (first, Some(cost), None),
            [first, cost, available] => (first, Some(cost), Some(available)),
            _ => return Err(place.error(Code::BadValue, "a bar is a length, or (length, cost, available)")),
        };
        Ok(Bar {
            length: length(first, place.field("length"))?,
            cost: cost.map_or(Ok(None), |cost| optional_count(cost, place.field("cost")))?,
            available: available.map_or(Ok(None), |available| optional_count(available, place.field("available")))?,
        })
    };
    array(value, place, "bars")?.iter().enumerate().map(bar).collect()
}

fn bar_of(fields: &Map<String, Value>, place: Place<'_>) -> Result<Bar, Error> {
    if let Some(name) = fields.keys().find(|name| !["length", "cost", "available"].contains(&name.as_str())) {
        let message = format!("unknown field `{name}`, expected one of `length`, `cost`, `available`");
        return Err(place.field(name).error(Code::UnknownField, message));
    }
    let given = |name| fields.get(name).unwrap_or(&Value::Null);
    if !fields.contains_key("length") {
        return Err(place.field("length").error(Code::MissingField, "missing field `length`"));
    }
    Ok(Bar {
        length: length(given("length"), place.field("length"))?,
        cost: optional_count(given("cost"), place.field("cost"))?,
        available: optional_count(given("available"), place.field("available"))?,
    })
}

fn optional_count(value: &Value, place: Place<'_>) -> Result<Option<u64>, Error> {
    if value.is_null() { Ok(None) } else { count(value, place).map(Some) }
}

fn count(value: &Value, place: Place<'_>) -> Result<u64, Error> {
    value.as_u64().ok_or_else(|| place.error(Code::BadValue, format!("{value} is not a whole number from 0")))
}

fn runs_of(runs: &Value, quantities: Option<&Value>, may_join: Option<&Value>) -> Result<Vec<Run>, Error> {
    let place = Place::root("/runs");
    let lengths = array(runs, place, "runs")?;
    let quantities = quantities.map(|value| array(value, Place::root("/quantities"), "quantities")).transpose()?;
    let alike = |given: &[Value], name: &str| {
        if given.len() == lengths.len() {
            return Ok(());
        }
        let message = format!("{} {name} for {} runs: one for each is needed", given.len(), lengths.len());
        Err(Error::new(Code::BadArgument, format!("/{name}"), message))
    };
    alike(quantities.unwrap_or(lengths), "quantities")?;
    if let Some(Value::Array(each)) = may_join {
        alike(each, "may_join")?;
    }
    let run = |(index, value): (usize, &Value)| {
        let at = place.item(index);
        let quantity = quantities.map_or(Ok(1), |given| count(&given[index], at.field("quantity")))?;
        let may_join = match may_join {
            None => true,
            Some(Value::Array(each)) => truth(&each[index], at.field("may_join"))?,
            Some(all) => truth(all, Place::root("/may_join"))?,
        };
        Ok(Run { may_join, ..Run::of(length(value, at.field("length"))?, quantity) })
    };
    lengths.iter().enumerate().map(run).collect()
}

fn truth(value: &Value, place: Place<'_>) -> Result<bool, Error> {
    value.as_bool().ok_or_else(|| place.error(Code::BadValue, format!("{value} is not True or False")))
}

fn minimise_of(value: &Value) -> Result<Minimise, Error> {
    serde_json::from_value(value.clone()).map_err(|_| {
        Error::new(Code::BadOption, "/minimise", format!("{value} is not \"bars\", \"cost\" or \"joints\""))
    })
}

fn effort(nodes: Option<u64>, seconds: Option<f64>) -> Result<Effort, Error> {
    let mut effort = match seconds.map(Duration::try_from_secs_f64) {
        None => Effort::default(),
        Some(Ok(time)) => Effort::within(time),
        Some(Err(_)) => {
            let message = format!("{} is not a time limit in seconds from 0", seconds.unwrap_or_default());
            return Err(Error::new(Code::BadOption, "/seconds", message));
        }
    };
    effort.nodes = nodes.unwrap_or(effort.nodes);
    Ok(effort)
}

#[pymethods]
impl PyCutList {
    /// Bars used.
    #[getter]
    fn bar_count(&self) -> u64 {
        self.answer.bar_count
    }

    /// Joints in all: pieces less runs.
    #[getter]
    fn joint_count(&self) -> u64 {
        self.answer.joint_count
    }

    /// Cost of the bars used.
    #[getter]
    fn cost(&self) -> u64 {
        self.answer.cost
    }

    /// Whether the status is ``"proven_best"``.
    #[getter]
    fn proven(&self) -> bool {
        self.answer.proven()
    }

    /// Whether anything better can exist.
    #[getter]
    fn status(&self) -> &'static str {
        match self.answer.status {
            Status::ProvenBest => "proven_best",
            Status::BestFound => "best_found",
        }
    }

    /// No cut list uses fewer bars.
    #[getter]
    fn bound(&self) -> u64 {
        self.answer.bound.bars
    }

    /// Every bar with its pieces, in the order of cutting.
    #[getter]
    fn bars<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        let list = PyList::empty(py);
        for bar in self.listed(py)? {
            list.append(bar.into_py_bar(py)?)?;
        }
        Ok(list)
    }

    /// Offcuts worth keeping, longest first.
    #[getter]
    fn offcuts(&self, py: Python<'_>) -> PyResult<Vec<f64>> {
        let listed = self.listed(py)?;
        let mut useful: Vec<_> = listed.iter().filter(|bar| bar.useful).map(|bar| bar.offcut).collect();
        useful.sort_unstable_by_key(|&offcut| Reverse(offcut));
        Ok(useful.into_iter().map(Length::mm).collect())
    }

    /// Names of the tables that `table` makes.
    #[classattr]
    fn tables() -> Vec<&'static str> {
        listing::TABLES.to_vec()
    }

    /// Bars or pieces as columns of equal length.
    fn table<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        let listed = self.listed(py)?;
        listing::table(&listed, name).map_err(|error| raise(py, &error))?.into_dict(py)
    }

    /// The problem that was solved, as a dict: what `solve_cutting` takes.
    #[getter]
    fn problem<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.problem.to_json())
    }

    /// The cut list as canonical JSON text.
    fn to_json(&self) -> String {
        self.answer.to_json()
    }

    /// The cut list as a dict: bars in chains that share runs, with the proof of the bound.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        to_dict(py, &self.to_json())
    }

    fn __repr__(&self) -> String {
        let Answer { bar_count, joint_count, bound, .. } = &self.answer;
        format!(
            "CutList(bar_count={bar_count}, joint_count={joint_count}, bound={}, status={:?})",
            bound.bars,
            self.status()
        )
    }
}

impl PyCutList {
    fn listed(&self, py: Python<'_>) -> PyResult<Vec<ListedBar>> {
        listing::unfold(&self.problem, &self.answer).map_err(|error| raise(py, &error))
    }
}

impl ListedBar {
    fn into_py_bar(self, py: Python<'_>) -> PyResult<PyCutBar> {
        let pieces = self.pieces.into_iter().map(|(at, Piece { run, copy, part, parts, start, length })| {
            Py::new(py, PyPiece { run, copy, part, parts, at: at.mm(), start: start.mm(), length: length.mm() })
        });
        Ok(PyCutBar {
            kind: self.kind,
            length: self.length.mm(),
            offcut: self.offcut.mm(),
            pieces: PyList::new(py, pieces.collect::<PyResult<Vec<_>>>()?)?.unbind(),
        })
    }
}

#[pymethods]
impl PyCutBar {
    fn __repr__(&self, py: Python<'_>) -> String {
        let pieces = self.pieces.bind(py).len();
        format!("CutBar(kind={}, length={:?}, pieces={pieces}, offcut={:?})", self.kind, self.length, self.offcut)
    }
}

#[pymethods]
impl PyPiece {
    fn __repr__(&self) -> String {
        let PyPiece { run, copy, part, parts, at, start, length } = self;
        format!(
            "Piece(run={run}, copy={copy}, part={part}, parts={parts}, at={at:?}, start={start:?}, length={length:?})"
        )
    }
}
