"""`cut_list`: arguments of every shape, and what the answer promises."""

from __future__ import annotations

import itertools
import json
import signal
import threading
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import upstand

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.mark.parametrize(("run", "bars"), [(3.00, 1), (3.01, 2), (5.95, 2), (6.00, 3), (8.90, 3), (9.00, 4), (12.0, 5)])
def test_bars_of_a_run_that_laps(run: float, bars: int) -> None:
    # n bars of 3 m that lap by 50 mm reach n * 3000 - (n - 1) * 50 mm.
    cut = upstand.cut_list(runs=[round(run * 1000, 3)], bar=3000, lap=50)
    assert cut.bar_count == bars
    assert cut.joint_count == bars - 1


@pytest.mark.parametrize(
    "runs",
    [
        [5950, 900],
        (5950.0, 900.0),
        np.array([5950, 900]),
        np.array([5950, 900], dtype=np.float32),
        [np.float64(5950), np.int32(900)],
        [Decimal("5950"), 900],
        pd.Series([5950.0, 900.0]),
        range(900, 901),
    ],
)
def test_runs_of_every_kind_of_sequence(runs: object) -> None:
    cut = upstand.cut_list(runs=runs, bar=3000, lap=50)
    assert cut.bar_count == (3 if len(runs) == 2 else 1)


@pytest.mark.parametrize(
    "bar",
    [
        3000,
        3000.0,
        [3000],
        [(3000,)],
        [(3000, None)],
        [(3000, 7, None)],
        np.array([3000]),
        [{"length": 3000}],
        [{"length": 3000, "cost": 7, "available": None}],
    ],
)
def test_bars_of_every_form(bar: object) -> None:
    cut = upstand.cut_list(runs=[5950, 900], bar=bar, lap=50)
    assert cut.bar_count == 3
    assert cut.cost in (3, 21)


def test_an_answer_lists_every_run_and_bar_once() -> None:
    lengths, quantities = [4000, 1200, 700], [5, 4, 3]
    cut = upstand.cut_list(runs=lengths, quantities=quantities, bar=3000, lap=50, least_piece=300)
    assert cut.bar_count == len(cut.bars)
    pieces = [piece for bar in cut.bars for piece in bar.pieces]
    assert cut.joint_count == len(pieces) - sum(quantities)
    made = {(run, copy) for run, quantity in enumerate(quantities) for copy in range(quantity)}
    assert {(piece.run, piece.copy) for piece in pieces} == made
    for run, copy in made:
        parts = sorted((p for p in pieces if (p.run, p.copy) == (run, copy)), key=lambda piece: piece.part)
        assert [p.part for p in parts] == list(range(parts[0].parts))
        assert parts[0].start == 0
        assert parts[-1].start + parts[-1].length == lengths[run]
        assert all(a.start + a.length - b.start >= 50 for a, b in itertools.pairwise(parts))
    for bar in cut.bars:
        ends = [piece.at + piece.length for piece in bar.pieces]
        assert [piece.at for piece in bar.pieces] == [0, *ends[:-1]]
        assert sum(piece.length for piece in bar.pieces) + bar.offcut <= bar.length == 3000
    assert cut.status in ("proven_best", "best_found")
    assert cut.proven == (cut.status == "proven_best")
    assert cut.bound <= cut.bar_count
    assert cut.to_dict()["bar_count"] == cut.bar_count


def test_tables_and_offcuts() -> None:
    cut = upstand.cut_list(runs=[4000, 1200], quantities=[2, 3], bar=3000, lap=50, least_useful=200)
    pieces = pd.DataFrame(cut.table("pieces"))
    bars = pd.DataFrame(cut.table("bars"))
    assert list(bars["bar"]) == list(range(1, cut.bar_count + 1))
    assert list(pieces.groupby("bar").size()) == list(bars["pieces"])
    assert pieces["length_mm"].sum() + bars["offcut_mm"].sum() == bars["length_mm"].sum()
    assert cut.offcuts == sorted((bar.offcut for bar in cut.bars if bar.offcut >= 200), reverse=True)
    with pytest.raises(upstand.Error) as caught:
        cut.table("chains")
    assert (caught.value.code, caught.value.path) == ("bad_argument", "/name")
    many = upstand.cut_list(runs=[2000], quantities=[2_000_000], bar=3000, may_join=False)
    with pytest.raises(upstand.Error) as caught:
        _ = many.bars
    assert caught.value.code == "too_large"


def test_a_cut_list_is_proven_and_checked_from_outside() -> None:
    cut = upstand.cut_list(runs=[2000, 2000, 2000], bar=3000)
    assert (cut.bar_count, cut.joint_count, cut.bound, cut.proven) == (2, 1, 2, True)
    assert upstand.check_cut_list(cut.problem, cut) == []
    assert upstand.check_cut_list(json.dumps(cut.problem), cut.to_json()) == []
    again = upstand.solve_cutting(cut.problem)
    assert again.to_json() == cut.to_json()
    worse = cut.to_dict()
    worse["joint_count"] = 0
    assert [place for place, _ in upstand.check_cut_list(cut.problem, worse)] == ["/joint_count"]
    with pytest.raises(upstand.Error) as caught:
        upstand.check_cut_list(cut.problem, {**worse, "bars": 2})
    assert (caught.value.code, caught.value.path) == ("unknown_field", "/bars")


def changes(value: Any) -> Iterator[Any]:
    """Every way to change one value: numbers up, down and to 0, words to others, lists with an entry less or more."""
    if isinstance(value, str):
        yield from {"proven_best", "best_found"} - {value}
    elif isinstance(value, (int, float)):
        yield from (other for other in (value + 1, value - 1, 0) if other != value and other >= 0)
    elif isinstance(value, list):
        for at, entry in enumerate(value):
            yield value[:at] + value[at + 1 :]
            yield [*value[:at], entry, *value[at:]]
            yield from ([*value[:at], other, *value[at + 1 :]] for other in changes(entry))
    elif isinstance(value, dict):
        for name, field in value.items():
            yield from ({**value, name: other} for other in changes(field))


def test_every_change_of_one_value_is_found() -> None:
    cut = upstand.cut_list(
        runs=[4200, 700, 1900, 2000, 5300, 800], bar=3000, lap=50, kerf=3, trim_off=5, least_piece=300, clear=100
    )
    answer = cut.to_dict()
    assert upstand.check_cut_list(cut.problem, answer) == []
    tried = 0
    for changed in changes(answer):
        # More nodes of search are no other claim than some, but some are another claim than none.
        if {**changed, "proof": {**changed["proof"], "nodes": answer["proof"]["nodes"]}} == answer and (
            bool(changed["proof"]["nodes"]) == bool(answer["proof"]["nodes"])
        ):
            continue
        tried += 1
        try:
            faults = upstand.check_cut_list(cut.problem, changed)
        except upstand.Error:
            continue
        assert faults, changed
    assert tried > 150


HARD = {"runs": [1500 + i * 7919 % 1811 * 1.871 for i in range(150)], "bar": 10_000, "may_join": False, "nodes": 1}


def test_trade_offs_go_from_the_cheapest_to_the_fewest_joints() -> None:
    cut = upstand.cut_list(runs=[2000, 2000, 1900] * 2, bar=3000, lap=50, minimise="joints")
    choices = upstand.trade_offs(cut.problem)
    pairs = [(choice.cut_list.cost, choice.cut_list.joint_count) for choice in choices]
    assert pairs == [(4, 2), (5, 1), (6, 0)]
    assert all(a[0] < b[0] and a[1] > b[1] for a, b in itertools.pairwise(pairs))
    assert pairs[0][0] == upstand.solve_cutting({**cut.problem, "minimise": "bars"}).cost
    assert pairs[-1][1] == cut.joint_count
    assert all(choice.proven for choice in choices)
    assert all(not upstand.check_cut_list(choice.cut_list.problem, choice.cut_list) for choice in choices)
    assert [choice.cut_list.to_json() for choice in upstand.trade_offs(json.dumps(cut.problem), most=1)] == [
        choices[0].cut_list.to_json()
    ]
    with pytest.raises(upstand.Error, match="bad_option"):
        upstand.trade_offs(cut.problem, seconds=-1)


def test_a_watch_sees_the_search_and_changes_nothing() -> None:
    seen: list[upstand.Progress] = []
    cut = upstand.cut_list(**HARD, watch=seen.append)
    assert cut.to_json() == upstand.cut_list(**HARD).to_json()
    assert seen
    assert all(a.steps < b.steps and a.bound <= b.bound for a, b in itertools.pairwise(seen))
    assert all(progress.best is None or progress.bound <= progress.best for progress in seen)


def test_a_watch_ends_the_search() -> None:
    asked = 0

    def stop(_: upstand.Progress) -> bool:
        nonlocal asked
        asked += 1
        return True

    cut = upstand.cut_list(**HARD, watch=stop)
    assert asked == 1
    assert upstand.check_cut_list(cut.problem, cut) == []
    with pytest.raises(ZeroDivisionError):
        upstand.solve_cutting(cut.problem, nodes=1, watch=lambda _: 1 // 0)
    with pytest.raises(TypeError):
        upstand.cut_list(**HARD, watch=7)


def test_a_keyboard_interrupt_ends_the_search() -> None:
    def interrupt(_: upstand.Progress) -> None:
        signal.raise_signal(signal.SIGINT)

    # A process started in the background ignores the signal, and so would Python.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with pytest.raises(KeyboardInterrupt):
            upstand.cut_list(**HARD, watch=interrupt)
    finally:
        signal.signal(signal.SIGINT, before)


def test_other_threads_go_on_during_a_search() -> None:
    went_on = threading.Event()
    other = threading.Thread(target=went_on.set)
    upstand.cut_list(**HARD, watch=lambda _: other.ident is None and other.start())
    other.join()
    assert went_on.is_set()


@pytest.mark.parametrize("may_join", [False, [False, False, False], np.zeros(3, dtype=bool)])
def test_runs_that_may_not_be_joined(may_join: object) -> None:
    cut = upstand.cut_list(runs=[2000, 2000, 2000], bar=3000, may_join=may_join)
    assert (cut.bar_count, cut.joint_count) == (3, 0)
    with pytest.raises(upstand.Error) as caught:
        upstand.cut_list(runs=[2000, 3500, 2000], bar=3000, may_join=may_join)
    assert (caught.value.code, caught.value.path) == ("uncuttable", "/runs/1/length")


ERRORS = [
    ({"runs": [1, float("nan")]}, "non_finite", "/runs/1"),
    ({"runs": [1, float("inf")]}, "non_finite", "/runs/1"),
    ({"runs": [1, "2"]}, "bad_value", "/runs/1/length"),
    ({"runs": [True]}, "bad_value", "/runs/0/length"),
    ({"runs": 7}, "bad_value", "/runs"),
    ({"runs": None}, "bad_value", "/runs"),
    ({"runs": [1e300]}, "out_of_range", "/runs/0/length"),
    ({"runs": [10**30]}, "out_of_range", "/runs/0"),
    ({"runs": [0]}, "bad_run", "/runs/0/length"),
    ({"runs": [object()]}, "bad_value", "/runs/0"),
    ({"bar": "long"}, "bad_value", "/bars"),
    ({"bar": [(1, 2, 3, 4)]}, "bad_value", "/bars/0"),
    ({"bar": [(3000, -1)]}, "bad_value", "/bars/0/cost"),
    ({"bar": [(3000, 1, 0.5)]}, "bad_value", "/bars/0/available"),
    ({"bar": [{"length": 3000, "price": 5}]}, "unknown_field", "/bars/0/price"),
    ({"bar": [{"cost": 5}]}, "missing_field", "/bars/0/length"),
    ({"bar": -3000}, "bad_bar", "/bars/0/length"),
    ({"lap": -1}, "bad_cut_rule", "/rules/lap"),
    ({"lap": float("nan")}, "non_finite", "/rules/lap"),
    ({"lap": "50"}, "bad_value", "/rules/lap"),
    ({"quantities": [1, 2]}, "bad_argument", "/quantities"),
    ({"quantities": [1.5]}, "bad_value", "/runs/0/quantity"),
    ({"may_join": 1}, "bad_value", "/may_join"),
    ({"may_join": [True, True]}, "bad_argument", "/may_join"),
    ({"minimise": "waste"}, "bad_option", "/minimise"),
    ({"seconds": -1.0}, "bad_option", "/seconds"),
    ({"seconds": float("nan")}, "bad_option", "/seconds"),
    ({"runs": [4000], "may_join": False}, "uncuttable", "/runs/0/length"),
]


@pytest.mark.parametrize(("arguments", "code", "path"), ERRORS)
def test_nonsense_has_its_code_and_place(arguments: dict[str, object], code: str, path: str) -> None:
    with pytest.raises(upstand.Error) as caught:
        upstand.cut_list(**{"runs": [1000], "bar": 3000, **arguments})
    assert (caught.value.code, caught.value.path) == (code, path)
    assert caught.value.problems[0] is caught.value


def test_all_problems_come_at_once() -> None:
    with pytest.raises(upstand.Error) as caught:
        upstand.cut_list(runs=[-1, 500, 0], bar=3000)
    assert [problem.path for problem in caught.value.problems] == ["/runs/0/length", "/runs/2/length"]


def test_arguments_are_by_name_only() -> None:
    with pytest.raises(TypeError):
        upstand.cut_list([1000], 3000)  # type: ignore[misc]


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=3) | st.binary(max_size=3),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@settings(deadline=None)
@given(runs=anything, bar=anything, lap=anything, quantities=anything, may_join=anything, minimise=anything)
def test_no_argument_makes_it_panic(**arguments: object) -> None:
    try:
        cut = upstand.cut_list(nodes=100, **arguments)
    except upstand.Error as error:
        code = error.code
    else:
        code = "none"
        assert cut.bound <= cut.bar_count
    assert code != "panic"
