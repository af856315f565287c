"""`plan` and `check`: jobs of every form, errors, tables, drawings, threads."""

from __future__ import annotations

import collections
import pickle
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pandas as pd
import pytest

import upstand

ROOF = {
    "outer": {
        "points": [[0, 0], [6200, 0], [6200, 3900], [0, 3900]],
        "kinds": ["drip", "open_side", "abutment", "open_side"],
    },
    "holes": [{"points": [[2000, 1500], [3000, 1500], [3000, 2700], [2000, 2700]]}],
}
JOB = {"schema": "upstand/job/1", "roofs": [ROOF]}


def with_arrays() -> dict[str, object]:
    outer = {**ROOF["outer"], "points": np.array(ROOF["outer"]["points"], dtype=float)}
    return {**JOB, "roofs": ({**ROOF, "outer": outer},)}


@pytest.mark.parametrize(
    "job",
    [
        JOB,
        upstand.Job.from_dict(JOB),
        upstand.Job.from_dict(JOB).to_json(),
        upstand.Job.from_dict(JOB).to_json().encode(),
        bytearray(upstand.Job.from_dict(JOB).to_json().encode()),
        upstand.Roof.from_dict(ROOF),
        [ROOF],
        [upstand.Roof.from_dict(ROOF)],
        {**JOB, "roofs": [upstand.Roof.from_dict(ROOF)]},
        with_arrays(),
        collections.OrderedDict(JOB),
        collections.ChainMap(JOB),
    ],
)
def test_every_form_of_the_same_job(job: object) -> None:
    assert upstand.plan(job).to_json() == upstand.plan(JOB).to_json()
    assert upstand.check(job) == []


def recursive() -> list[object]:
    endless: list[object] = []
    endless.append(endless)
    return endless


class Broken:
    dtype = None

    def tolist(self) -> object:
        raise RuntimeError("disk on fire")


ERRORS = [
    ({}, "wrong_schema", "/schema"),
    ("{", "bad_json", ""),
    (b"\xff", "bad_utf8", ""),
    ("\ud800", "bad_utf8", ""),
    (7, "bad_argument", ""),
    (None, "bad_argument", ""),
    ([], "no_roofs", "/roofs"),
    ([7], "bad_value", "/roofs/0"),
    ({**JOB, "rooves": []}, "unknown_field", "/rooves"),
    ({**JOB, 7: []}, "bad_value", ""),
    ({**JOB, "roofs": {"a"}}, "bad_value", "/roofs"),
    ({**JOB, "roofs": recursive()}, "too_large", "/roofs" + 100 * "/0"),
    ({**JOB, "name": "\ud800"}, "bad_utf8", "/name"),
    ({**JOB, "survey": {"surface_c": float("nan")}}, "non_finite", "/survey/surface_c"),
    ({**JOB, "survey": {"surface_c": np.float32("inf")}}, "non_finite", "/survey/surface_c"),
    ({**JOB, "survey": {"surface_c": 2**64}}, "out_of_range", "/survey/surface_c"),
    ({**JOB, "survey": {"surface_c": np.bool_(1)}}, "bad_value", "/survey/surface_c"),
    ({**JOB, "survey": {"surface_c": 1j}}, "bad_value", "/survey/surface_c"),
    ([{"outer": {"points": np.array([[0, 0], [1, np.nan]])}}], "non_finite", "/roofs/0/outer/points/1/1"),
]


@pytest.mark.parametrize(("job", "code", "path"), ERRORS)
def test_nonsense_has_its_code_and_place(job: object, code: str, path: str) -> None:
    with pytest.raises(upstand.Error) as caught:
        upstand.plan(job)
    assert (caught.value.code, caught.value.path) == (code, path)


def test_an_exception_of_the_caller_passes_through() -> None:
    with pytest.raises(RuntimeError, match="disk on fire"):
        upstand.plan({**JOB, "roofs": Broken()})


def test_an_error_carries_all_problems_and_survives_pickling() -> None:
    bad = {"outer": {"points": [[0, 0], [9000, 0], [9000, 4000]], "kinds": ["drip"]}}
    with pytest.raises(upstand.Error) as caught:
        upstand.plan([ROOF, bad, bad])
    error = caught.value
    paths = ["/roofs/1/outer/kinds", "/roofs/2/outer/kinds"]
    assert [problem.path for problem in error.problems] == paths
    checked = upstand.check([ROOF, bad, bad])
    assert [(problem.code, problem.path) for problem in checked] == [("kind_count", path) for path in paths]
    assert isinstance(error, ValueError)
    assert str(error).startswith("/roofs/1/outer/kinds: ")
    assert str(error).endswith("[kind_count] (and 1 more)")
    again = pickle.loads(pickle.dumps(error))
    assert (again.code, again.number, again.path, again.message) == ("kind_count", 201, paths[0], error.message)
    assert [problem.path for problem in again.problems] == paths


def test_tables_make_data_frames() -> None:
    plan = upstand.plan(JOB)
    document = plan.to_dict()
    for name in upstand.Plan.tables:
        table = plan.table(name)
        assert len({len(column) for column in table.values()}) == 1, name
        pd.DataFrame(table)
    runs = pd.DataFrame(plan.table("runs"))
    assert list(runs["mark"]) == [run["mark"] for run in document["roofs"][0]["trims"]["runs"]]
    pieces = pd.DataFrame(plan.table("pieces"))
    assert len(pieces) == sum(len(bar["pieces"]) for cut in document["cut_lists"] for bar in cut["bars"])
    assert pieces["length_mm"].dtype == np.float64
    assert pieces["bar"].dtype == np.int64
    bars = pd.DataFrame(plan.table("bars"))
    assert list(bars.groupby("material", sort=False)["bar"].count()) == [
        cut["bar_count"] for cut in document["cut_lists"]
    ]
    with pytest.raises(upstand.Error) as caught:
        plan.table("tables")
    assert (caught.value.code, caught.value.path) == ("bad_argument", "/name")


def test_findings() -> None:
    plan = upstand.plan({**JOB, "survey": {"moisture": [{"percent": 31.5}]}})
    (wet,) = [finding for finding in plan.findings if finding.code == "deck_moisture"]
    assert (wet.grade, wet.value, wet.unit) == ("refuse", 31.5, "%")
    assert wet.limit is not None
    assert wet.value > wet.limit
    assert wet.place.startswith("/survey/moisture")
    assert len(plan.table("findings")["text"]) == len(plan.findings)


def test_drawings() -> None:
    plan = upstand.plan([ROOF, ROOF])
    for svg in (plan.svg(), plan.svg(roof=1), plan.cut_list_svg(), plan.mat_svg(), plan._repr_svg_()):
        assert ET.fromstring(svg).tag == "{http://www.w3.org/2000/svg}svg"
    assert "D1" in plan.cut_list_text()
    with pytest.raises(upstand.Error) as caught:
        plan.svg(roof=2)
    assert caught.value.code == "no_such_roof"


def test_threads_get_the_same_answer() -> None:
    expected = upstand.plan(JOB).to_json()
    with ThreadPoolExecutor(4) as pool:
        assert set(pool.map(lambda _: upstand.plan(JOB).to_json(), range(40))) == {expected}


def test_error_codes_are_unique() -> None:
    codes = upstand.error_codes()
    assert len({code for code, _, _ in codes}) == len({number for _, number, _ in codes}) == len(codes) > 40
    assert all(meaning.endswith(".") for _, _, meaning in codes)
