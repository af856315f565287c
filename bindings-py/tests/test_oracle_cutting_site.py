"""Cut lists under the rules of the site against a general solver: where along its run every lap lies.

The model says each piece's start, end and bar: clear distances, forbidden stretches, least pieces, the most joints of
a run, with several bars, costs, few of a kind, saw cuts, trimmed ends, and each of the three aims.
``UPSTAND_ORACLE_CASES`` and ``UPSTAND_ORACLE_SEED`` as in `test_oracle_cutting.py`.
"""

from __future__ import annotations

import os
import random
from typing import Any

import pytest

import upstand

cp_model = pytest.importorskip("ortools.sat.python.cp_model")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "200"))
SEED = os.environ.get("UPSTAND_ORACLE_SEED", "")
SHARDS = 10

Problem = dict[str, Any]
Value = tuple[int, int]


def stock(problem: Problem, most: list[int]) -> list[tuple[int, int, int]]:
    """The bars that a model may use as (kind, usable length, cost): what there is, or the `most` of each kind."""
    rules = problem["rules"]
    return [
        (kind, bar["length"] - 2 * rules["trim_off"], bar["cost"])
        for kind, bar in enumerate(problem["bars"])
        for _ in range(min(most[kind], bar.get("available", most[kind])))
    ]


def enough(problem: Problem, cut: upstand.CutList) -> list[int]:
    """How many bars of each kind a better cut list takes at most: no more than its pieces, nor than the cost buys."""
    pieces = len(problem["runs"]) * (1 + problem["rules"]["most_joints"])
    if problem["minimise"] == "joints":
        return [min(pieces, len(problem["runs"]) + cut.joint_count)] * len(problem["bars"])
    value, _ = aims(problem, cut.cost, cut.joint_count)
    return [min(pieces, value // bar["cost"]) if bar["cost"] else pieces for bar in problem["bars"]]


def aims(problem: Problem, cost: Any, joints: Any) -> tuple[Any, Any]:
    """What is made least, and what is made least after that."""
    if problem["minimise"] == "joints":
        return joints, cost
    if problem["minimise"] == "cost":
        return cost + problem["rules"]["joint_cost"] * joints, joints
    return cost, joints


def add_lap(model: Any, rules: Problem, run: Problem, used: Any, pieces: tuple[Any, Any, Any, Any]) -> None:
    """Where the second of two pieces may lap the first."""
    clear = run.get("clear", rules["clear"])
    first, end, begin, last = pieces
    model.add(end - begin >= rules["lap"]).only_enforce_if(used)
    model.add(begin >= clear).only_enforce_if(used)
    model.add(run["length"] - end >= clear).only_enforce_if(used)
    # No piece lies wholly on its neighbour.
    model.add(begin >= first + 1).only_enforce_if(used)
    model.add(last >= end + 1).only_enforce_if(used)
    for start, stop in run.get("forbidden", []):
        if start < stop:
            before = model.new_bool_var("")
            model.add(end <= start).only_enforce_if(used, before)
            model.add(begin >= stop).only_enforce_if(used, ~before)


def by_cp_sat(problem: Problem, most: list[int]) -> Value | None:
    """The least of both aims, or nothing where there is no cut list. Each run has at most three pieces."""
    rules, bars = problem["rules"], stock(problem, most)
    model = cp_model.CpModel()
    on = [model.new_bool_var("") for _ in bars]
    loads: list[list[Any]] = [[] for _ in bars]
    joints = []
    for run in problem["runs"]:
        length = run["length"]
        least = max(1, run.get("least_piece", rules["least_piece"]))
        parts = 1 + (rules["most_joints"] if run["may_join"] else 0)
        used = [model.new_bool_var("") for _ in range(parts)]
        starts = [model.new_int_var(0, length, "") for _ in range(parts)]
        ends = [model.new_int_var(0, length, "") for _ in range(parts)]
        model.add(used[0] == 1)
        model.add(starts[0] == 0)
        joints.extend(used[1:])
        for p in range(parts):
            last = model.new_bool_var("")
            if p + 1 < parts:
                model.add_implication(used[p + 1], used[p])
                model.add(last == used[p] - used[p + 1])
            else:
                model.add(last == used[p])
            model.add(ends[p] == length).only_enforce_if(last)
            pieces = [model.new_int_var(0, min(length, usable), "") for _, usable, _ in bars]
            cut = [model.new_bool_var("") for _ in bars]
            model.add(sum(cut) == used[p])
            model.add(sum(pieces) == ends[p] - starts[p]).only_enforce_if(used[p])
            model.add(sum(pieces) == 0).only_enforce_if(~used[p])
            model.add(ends[p] - starts[p] >= 1).only_enforce_if(used[p])
            if parts > 1:
                model.add(ends[p] - starts[p] >= least).only_enforce_if(used[p], used[1])
            for b in range(len(bars)):
                model.add(pieces[b] <= min(length, bars[b][1]) * cut[b])
                model.add_implication(cut[b], on[b])
                loads[b].append(pieces[b] + rules["kerf"] * cut[b])
            if p > 0:
                add_lap(model, rules, run, used[p], (starts[p - 1], ends[p - 1], starts[p], ends[p]))
    for b, (kind, usable, _) in enumerate(bars):
        # The saw cut after the last piece of a bar may fall beyond its end.
        model.add(sum(loads[b]) <= usable + rules["kerf"])
        if b and bars[b - 1][0] == kind:
            model.add_implication(on[b], on[b - 1])
    cost = sum(price * on[b] for b, (_, _, price) in enumerate(bars))
    first, second = aims(problem, cost, sum(joints))
    weight = 1 + sum(price for _, _, price in bars) + 3 * len(problem["runs"])
    model.minimize(weight * first + second)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    least, tie = divmod(round(solver.objective_value), weight)
    return least, tie


def site_case(rng: random.Random) -> Problem:
    rules = {
        "lap": rng.choice([0, 50, 100]),
        "kerf": rng.choice([0, 0, 4]),
        "trim_off": rng.choice([0, 0, 10]),
        "least_piece": rng.choice([0, 300, 600]),
        "clear": rng.choice([0, 150, 400]),
        "most_joints": rng.choice([1, 2, 2]),
        "joint_cost": 0,
    }
    bars: list[dict[str, Any]] = [{"length": 3000, "cost": 30}]
    if rng.random() < 0.4:
        bars.append({"length": 3600, "cost": rng.randint(30, 40)})
    for _ in range(rng.choice([0, 0, 1, 2])):
        bars.append(
            {"length": rng.randrange(800, 2900, 50), "cost": rng.choice([0, 7]), "available": rng.randint(0, 2)}
        )
    minimise = rng.choice(["bars", "bars", "cost", "joints"])
    if minimise == "cost":
        rules["joint_cost"] = rng.randint(0, 12)
    runs = []
    for _ in range(rng.randint(1, 3)):
        run: dict[str, Any] = {"length": rng.randrange(300, 6000, 50)}
        run["may_join"] = run["length"] > 2900 or rng.random() < 0.8
        if rng.random() < 0.3:
            start = rng.randrange(0, run["length"], 50)
            run["forbidden"] = [(start, start + rng.randrange(0, 1200, 50))]
        if rng.random() < 0.2:
            run["clear"] = rng.choice([0, 300, 700])
        if rng.random() < 0.2:
            run["least_piece"] = rng.choice([0, 500, 900])
        runs.append(run)
    return {"schema": "upstand/cutting/1", "bars": bars, "runs": runs, "rules": rules, "minimise": minimise}


@pytest.mark.parametrize("shard", range(SHARDS))
def test_no_general_solver_finds_better_on_site(shard: int) -> None:
    rng = random.Random(f"site {shard} {SEED}")
    # A model with places along the run takes a second or so.
    count = max(2, CASES // SHARDS // 4)
    proven = solved = 0
    for _ in range(count):
        problem = site_case(rng)
        try:
            cut = upstand.solve_cutting(problem)
        except upstand.Error as error:
            refused = error.code
        else:
            refused = None
        if refused is not None:
            most = [len(problem["runs"]) * (1 + problem["rules"]["most_joints"])] * len(problem["bars"])
            assert (refused, by_cp_sat(problem, most)) == ("uncuttable", None), problem
            continue
        best = by_cp_sat(problem, enough(problem, cut))
        assert upstand.check_cut_list(cut.problem, cut) == [], problem
        solved += 1
        proven += cut.proven
        found = aims(problem, cut.cost, cut.joint_count)
        bound = cut.to_dict()["bound"]
        # The answer's bound on cost is one of cost and joints together where these are made least together.
        least = (
            (bound["joints"], bound["cost"]) if problem["minimise"] == "joints" else (bound["cost"], bound["joints"])
        )
        assert best is not None, problem
        assert least[0] <= best[0] <= found[0], problem
        if found[0] == best[0]:
            assert least[1] <= best[1] <= found[1], problem
        if cut.proven:
            assert found == best, problem
    print(f"{proven} of {solved} proven")
    assert proven >= 0.7 * solved - 1


def longest_offcut(runs: list[int], bar: int, bars: int) -> int:
    """The longest offcut that so many bars of whole runs can leave."""
    model = cp_model.CpModel()
    cut = [[model.new_bool_var("") for _ in range(bars)] for _ in runs]
    for row in cut:
        model.add(sum(row) == 1)
    for b in range(bars):
        model.add(sum(length * row[b] for length, row in zip(runs, cut, strict=True)) <= bar)
    model.minimize(sum(length * row[0] for length, row in zip(runs, cut, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return bar - round(solver.objective_value)


def test_offcuts_are_gathered() -> None:
    # Sought, not promised: how near the longest offcut comes to the longest there can be.
    rng = random.Random(f"offcut {SEED}")
    share, best, count = 0.0, 0, max(10, CASES // 10)
    for _ in range(count):
        runs = [rng.randrange(200, 2900, 10) for _ in range(rng.randint(2, 10))]
        cut = upstand.cut_list(runs=runs, bar=3000, may_join=False, least_useful=1)
        assert cut.proven
        longest = longest_offcut(runs, 3000, cut.bar_count)
        found = round(max(cut.offcuts, default=0))
        assert found <= longest, runs
        share += found / longest if longest else 1.0
        best += found == longest
    print(f"{best} of {count} best, {100 * share / count:.1f} % of the longest on average")
    assert share >= 0.9 * count
