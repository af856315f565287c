"""`Roof.from_geojson` against geometries of other libraries, and roofs as values."""

from __future__ import annotations

import copy
import json
import math
import pickle

import numpy as np
import pytest
import shapely
from shapely.geometry import mapping

import upstand

SQUARE = [[0, 0], [6, 0], [6, 4], [0, 4], [0, 0]]
KERB = [[2, 1], [2, 2], [3, 2], [3, 1], [2, 1]]
POLYGON = {"type": "Polygon", "coordinates": [SQUARE, KERB]}
KINDS = ["drip", "open_side", "abutment", "open_side"]


class Described:
    def __init__(self, described: object) -> None:
        self.__geo_interface__ = described


@pytest.mark.parametrize(
    "geometry",
    [
        POLYGON,
        json.dumps(POLYGON),
        json.dumps(POLYGON).encode(),
        shapely.Polygon(SQUARE, [KERB]),
        mapping(shapely.Polygon(SQUARE, [KERB])),
        shapely.MultiPolygon([shapely.Polygon(SQUARE, [KERB])]),
        {"type": "Feature", "geometry": POLYGON, "properties": {"height": 3}},
        {"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": POLYGON, "properties": None}]},
        Described(POLYGON),
        {"type": "Polygon", "coordinates": [np.array(SQUARE), np.array(KERB)]},
        {"type": "Polygon", "coordinates": [[[x, y, 2.5] for x, y in ring] for ring in (SQUARE, KERB)]},
        {"type": "Polygon", "coordinates": [ring[:-1] for ring in (SQUARE, KERB)]},
    ],
)
def test_every_form_of_the_same_polygon(geometry: object) -> None:
    roof = upstand.Roof.from_geojson(geometry, kinds=KINDS)
    assert roof.to_dict() == {
        "outer": {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": KINDS},
        "holes": [{"points": [[2000, 1000], [2000, 2000], [3000, 2000], [3000, 1000]]}],
    }
    assert upstand.check(roof) == []


def test_points_that_repeat_are_dropped_with_their_edges() -> None:
    # OGC Simple Features calls such a ring valid.
    ring = [SQUARE[0], SQUARE[0], *SQUARE[1:3], SQUARE[2], *SQUARE[3:]]
    kinds = ["abutment", *KINDS[:2], "abutment", *KINDS[2:]]
    geometry = {"type": "Polygon", "coordinates": [ring, [*KERB, KERB[0]]]}
    assert upstand.Roof.from_geojson(geometry, kinds) == upstand.Roof.from_geojson(POLYGON, KINDS)


def test_millimetres_and_one_kind_for_all() -> None:
    roof = upstand.Roof.from_geojson(shapely.box(0, 0, 6000, 4000.0004), "drip", "mm", name="shed")
    assert roof.to_dict()["outer"]["kinds"] == ["drip"] * 4
    assert roof.name == roof.to_dict()["name"] == "shed"
    # Rounded to the micrometre.
    assert [6000, 4000] in roof.to_dict()["outer"]["points"]


def test_metres_are_exact_millimetres() -> None:
    # 0.1 + 0.2 is not 0.3 in binary; 300 mm all the same.
    geometry = {"type": "Polygon", "coordinates": [[[0, 0], [0.1 + 0.2, 0], [0, 5.95]]]}
    assert upstand.Roof.from_geojson(geometry, "drip").to_dict()["outer"]["points"][1:] == [[300, 0], [0, 5950]]


def test_hole_kinds_and_outlets() -> None:
    roof = upstand.Roof.from_geojson(POLYGON, KINDS, hole_kinds="drip", outlets=[(5, 3, 0.08)])
    assert roof.to_dict()["holes"][0]["kinds"] == ["drip"] * 4
    assert roof.to_dict()["outlets"] == [{"at": [5000, 3000], "diameter": 80}]
    roof = upstand.Roof.from_geojson(POLYGON, KINDS, hole_kinds=[KINDS], outlets=np.array([[5, 3, 0.08]]))
    assert roof.to_dict()["holes"][0]["kinds"] == KINDS
    roof = upstand.Roof.from_geojson(POLYGON, KINDS, pipes=[(5, 3, 0.11)])
    assert roof.to_dict()["pipes"] == [{"at": [5000, 3000], "diameter": 110}]
    assert repr(roof).endswith("outlets=0, pipes=1)")
    mat = upstand.plan(upstand.Job(roofs=[roof])).to_dict()["roofs"][0]["mat"]
    assert mat["collars"][0]["hole"] == 110
    # As long as the pipe is around, in whole millimetres, and a lap of 50 mm.
    assert mat["collars"][0]["sleeve"]["length"] == math.ceil(math.pi * 110) + 50


TWO = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)])
ERRORS = [
    ({"geometry": {"type": "Point", "coordinates": [0, 0]}}, "bad_value", "/type"),
    ({"geometry": {"coordinates": []}}, "missing_field", "/type"),
    ({"geometry": {"type": "Polygon"}}, "missing_field", "/coordinates"),
    ({"geometry": {"type": "Polygon", "coordinates": []}}, "too_few_points", "/coordinates"),
    ({"geometry": shapely.Polygon()}, "too_few_points", "/coordinates"),
    ({"geometry": {"type": "Polygon", "coordinates": [7]}}, "bad_value", "/coordinates/0"),
    ({"geometry": {"type": "Polygon", "coordinates": [[[0]]]}}, "bad_value", "/coordinates/0/0"),
    ({"geometry": {"type": "Polygon", "coordinates": [[[0, np.nan]]]}}, "non_finite", "/coordinates/0/0/1"),
    ({"geometry": {"type": "Polygon", "coordinates": [[[0, 1e9]]]}}, "out_of_range", "/coordinates/0/0/1"),
    ({"geometry": TWO}, "bad_value", "/coordinates"),
    ({"geometry": {"type": "FeatureCollection", "features": []}}, "bad_value", "/features"),
    ({"geometry": {"type": "Feature", "geometry": {"type": "Line"}}}, "bad_value", "/geometry/type"),
    ({"geometry": "{"}, "bad_json", ""),
    ({"geometry": b"\xff"}, "bad_utf8", ""),
    ({"geometry": 7}, "missing_field", "/type"),
    ({"kinds": ["drip"]}, "kind_count", "/kinds"),
    ({"kinds": ["drip", "wall", "drip", "drip"]}, "bad_value", "/kinds/1"),
    ({"kinds": "wall"}, "bad_value", "/kinds"),
    ({"kinds": 7}, "bad_value", "/kinds"),
    ({"hole_kinds": [KINDS, KINDS]}, "kind_count", "/hole_kinds"),
    ({"hole_kinds": [["drip"]]}, "kind_count", "/hole_kinds/0"),
    ({"units": "ft"}, "bad_argument", "/units"),
    ({"outlets": [(1, 2)]}, "bad_value", "/outlets"),
    ({"outlets": [(1, float("inf"), 2)]}, "non_finite", "/outlets/0/1"),
    ({"outlets": [(1, 2, 1e9)]}, "out_of_range", "/outlets/0/2"),
    ({"pipes": [(1, 2)]}, "bad_value", "/pipes"),
    ({"pipes": [(1, 2, 1e9)]}, "out_of_range", "/pipes/0/2"),
]


@pytest.mark.parametrize(("arguments", "code", "path"), ERRORS)
def test_nonsense_has_its_code_and_place(arguments: dict[str, object], code: str, path: str) -> None:
    with pytest.raises(upstand.Error) as caught:
        upstand.Roof.from_geojson(**{"geometry": POLYGON, "kinds": KINDS, **arguments})
    assert (caught.value.code, caught.value.path) == (code, path)


def test_roofs_and_jobs_are_values() -> None:
    roof = upstand.Roof.from_geojson(POLYGON, KINDS, name="a")
    job = upstand.Job(roofs=[roof, roof.to_dict()], name="b")
    plan = upstand.plan(job)
    for value in (roof, job, plan):
        assert pickle.loads(pickle.dumps(value)) == value
        assert copy.deepcopy(value) == value
        assert type(value).from_json(value.to_json()) == value
        assert type(value).from_json(value.to_json().encode()) == value
        assert json.loads(value.to_json()) == value.to_dict()
    assert upstand.Roof.from_dict(roof.to_dict()) == roof
    assert upstand.Job.from_dict(job.to_dict()) == job
    assert roof != upstand.Roof.from_geojson(POLYGON, "drip", name="a")
    with pytest.raises(AttributeError):
        roof.name = "c"  # type: ignore[misc]
