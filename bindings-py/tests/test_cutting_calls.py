"""Cutting problems told by numbers, good and bad: the lines that Rust and C build through their interfaces too."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

import upstand

CALLS = Path(__file__).resolve().parents[2] / "tests" / "vectors" / "cutting_calls.csv"
# A length from outside is at most a thousand kilometres.
LIMIT_UM = 10**12

with CALLS.open(newline="") as file:
    LINES = list(csv.DictReader(file))


def arguments(line: dict[str, str]) -> dict[str, Any]:
    first, step, kinds = (int(line[name]) for name in ("first_um", "step_um", "kinds"))
    available = None if line["available"] == "-" else int(line["available"])
    return {
        "runs": [(first + at * step) / 1000 for at in range(kinds)],
        "quantities": [int(line["quantity"])] * kinds,
        "bar": [(int(line["bar_um"]) / 1000, None, available)],
        "lap": int(line["lap_um"]) / 1000,
        "may_join": line["may_join"] == "1",
    }


def test_there_are_calls() -> None:
    assert len(LINES) > 30


@pytest.mark.parametrize("line", LINES, ids=[line["name"] for line in LINES])
def test_call(line: dict[str, str]) -> None:
    given = arguments(line)
    if line["code"] != "ok":
        # Beyond the limit a number is no length at all, and is refused before its meaning is looked at.
        lengths = [abs(round(length * 1000)) for length in (*given["runs"][:1], given["bar"][0][0])]
        code = "out_of_range" if max(lengths) > LIMIT_UM else line["code"]
        for limit in ({"nodes": int(line["nodes"])}, {"seconds": 0.0}):
            with pytest.raises(upstand.Error) as caught:
                upstand.cut_list(**given, **limit)
            assert (caught.value.code, caught.value.path) == (code, line["path"])
        return
    cut = upstand.cut_list(**given, nodes=int(line["nodes"]))
    found = [cut.bar_count, cut.joint_count, cut.bound, int(cut.proven)]
    assert found == [int(line[name]) for name in ("bars", "joints", "bound_bars", "proven")]
    for answer in (cut, upstand.cut_list(**given, seconds=0.0)):
        assert upstand.check_cut_list(answer.problem, answer) == []
        bound = answer.to_dict()["bound"]
        assert answer.bound <= answer.bar_count
        assert answer.proven == ((bound["cost"], bound["joints"]) == (answer.cost, answer.joint_count))


@pytest.mark.parametrize("nonsense", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize("name", ["lap", "kerf", "trim_off", "least_piece", "clear", "least_useful"])
def test_no_number_for_a_rule(name: str, nonsense: float) -> None:
    with pytest.raises(upstand.Error) as caught:
        upstand.cut_list(runs=[4000], bar=3000, **{name: nonsense})
    assert (caught.value.code, caught.value.path) == ("non_finite", f"/rules/{name}")


@pytest.mark.parametrize("nonsense", [float("nan"), float("inf"), float("-inf")])
def test_no_number_for_a_length_or_a_limit(nonsense: float) -> None:
    for given, path in [
        ({"runs": [1000, nonsense]}, "/runs/1"),
        ({"bar": nonsense}, "/bars"),
        ({"bar": [(2000,), (nonsense, 1)]}, "/bars/1/0"),
        ({"quantities": [nonsense]}, "/quantities/0"),
    ]:
        with pytest.raises(upstand.Error) as caught:
            upstand.cut_list(**{"runs": [1000], "bar": 3000, **given})
        assert (caught.value.code, caught.value.path) == ("non_finite", path)
    with pytest.raises(upstand.Error) as caught:
        upstand.cut_list(runs=[1000], bar=3000, seconds=nonsense)
    assert (caught.value.code, caught.value.path) == ("bad_option", "/seconds")


def test_counts_that_are_none() -> None:
    for given in ({"nodes": -1}, {"nodes": 2**64}, {"joint_cost": -1}, {"most_joints": -1}, {"most_joints": 2**32}):
        with pytest.raises((upstand.Error, OverflowError)):
            upstand.cut_list(runs=[1000], bar=3000, **given)
    for quantity in (-1, 2**64, "1"):
        with pytest.raises(upstand.Error) as caught:
            upstand.cut_list(runs=[1000], bar=3000, quantities=[quantity])
        assert caught.value.path in {"/runs/0/quantity", "/quantities/0"}
