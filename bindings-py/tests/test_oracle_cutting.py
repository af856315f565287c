"""Cut lists against two general solvers that know nothing of chains: HiGHS and CP-SAT.

Both solve plain models with a variable for every piece of every run in every bar. The cases of each kind are drawn from
a fixed seed: ``UPSTAND_ORACLE_CASES`` sets how many there are of each kind, ``UPSTAND_ORACLE_SEED`` another seed.
"""

from __future__ import annotations

import os
import random
from dataclasses import dataclass

import pytest

import upstand

highspy = pytest.importorskip("highspy")
cp_model = pytest.importorskip("ortools.sat.python.cp_model")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "700"))
SEED = os.environ.get("UPSTAND_ORACLE_SEED", "")
SHARDS = 10


@dataclass(frozen=True)
class Case:
    """A cutting problem in whole millimetres: bars as (length, cost, how many)."""

    runs: tuple[int, ...]
    bars: tuple[tuple[int, int, int | None], ...]
    lap: int = 0
    least_piece: int = 0
    kerf: int = 0
    trim_off: int = 0
    most_joints: int | None = None
    may_join: tuple[bool, ...] | bool = True

    def cut(self) -> upstand.CutList:
        """The library's answer."""
        return upstand.cut_list(
            runs=list(self.runs),
            bar=list(self.bars),
            lap=self.lap,
            least_piece=self.least_piece,
            kerf=self.kerf,
            trim_off=self.trim_off,
            most_joints=self.most_joints,
            may_join=self.may_join if isinstance(self.may_join, bool) else list(self.may_join),
        )

    def joinable(self, run: int) -> bool:
        return self.most_joints != 0 and (self.may_join if isinstance(self.may_join, bool) else self.may_join[run])

    def stock(self, used: list[int]) -> list[tuple[int, int, int]]:
        """The bars that the models may use as (kind, usable length, cost): what there is, or as many as would do."""
        return [
            (kind, length - 2 * self.trim_off, cost)
            for kind, (length, cost, available) in enumerate(self.bars)
            for _ in range(used[kind] if available is None else min(available, used[kind]))
        ]


def enough(case: Case, cut: upstand.CutList) -> list[int]:
    """How many bars of each kind a better answer takes at most: what the answer's cost buys."""
    free = sum(available or 0 for _, cost, available in case.bars if cost == 0)
    return [
        available if cost == 0 and available is not None else min(cut.cost // max(cost, 1), len(case.runs) * 4 + free)
        for _, cost, available in case.bars
    ]


def by_cp_sat(case: Case, used: list[int]) -> tuple[int, int] | None:
    """Least cost and then fewest joints.

    A run may have one piece in each bar. Its pieces add up to its length and one lap for every joint, or more, since
    laps may be longer. In a run of several pieces none is shorter than the least.
    """
    model = cp_model.CpModel()
    stock = case.stock(used)
    on = [model.new_bool_var("") for _ in stock]
    pieces = []
    loads: list[list[object]] = [[] for _ in stock]
    for run, length in enumerate(case.runs):
        cut = [model.new_bool_var("") for _ in stock]
        pieces.append(sum(cut))
        if not case.joinable(run):
            model.add(sum(cut) == 1)
            for b in range(len(stock)):
                loads[b].append((length + case.kerf) * cut[b])
                model.add_implication(cut[b], on[b])
            continue
        # A piece as long as a lap, or shorter, would lie wholly on its neighbour.
        least = max(case.least_piece, case.lap + 1)
        joined = model.new_bool_var("")
        long = [model.new_int_var(0, min(usable, length), "") for _, usable, _ in stock]
        model.add(sum(cut) >= 1)
        model.add(sum(cut) == 1).only_enforce_if(~joined)
        model.add(sum(cut) >= 2).only_enforce_if(joined)
        if case.most_joints is not None:
            model.add(sum(cut) <= case.most_joints + 1)
        model.add(sum(long) >= length + case.lap * (sum(cut) - 1))
        for b in range(len(stock)):
            model.add(long[b] == 0).only_enforce_if(~cut[b])
            model.add(long[b] >= least).only_enforce_if(cut[b], joined)
            model.add_implication(cut[b], on[b])
            loads[b].append(long[b] + case.kerf * cut[b])
    for b, (kind, usable, _) in enumerate(stock):
        # The saw cut after the last piece of a bar may fall beyond its end.
        model.add(sum(loads[b]) <= usable + case.kerf)
        if b and stock[b - 1][0] == kind:
            model.add_implication(on[b], on[b - 1])
    weight = len(case.runs) * (len(stock) + 1) + 1
    cost = sum(price * on[b] for b, (_, _, price) in enumerate(stock))
    model.minimize(weight * cost + sum(pieces))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    least_cost, count = divmod(round(solver.objective_value), weight)
    return least_cost, count - len(case.runs)


def by_highs(case: Case, used: list[int]) -> tuple[int, int] | None:
    """The same model as a mixed-integer program."""
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("threads", 1)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)
    model.setOptionValue("mip_feasibility_tolerance", 1e-9)
    stock = case.stock(used)
    on = [model.addBinary() for _ in stock]
    pieces = []
    loads: list[list[object]] = [[] for _ in stock]
    for run, length in enumerate(case.runs):
        cut = [model.addBinary() for _ in stock]
        count = sum(cut[1:], start=cut[0] + 0)
        pieces.append(count)
        joinable = case.joinable(run)
        least = max(case.least_piece, case.lap + 1)
        joined = model.addBinary()
        model.addConstr(count >= 1)
        model.addConstr(count <= 1 + (len(stock) if joinable else 0) * joined)
        if case.most_joints is not None:
            model.addConstr(count <= case.most_joints + 1)
        long = [model.addVariable(0, usable) for _, usable, _ in stock]
        model.addConstr(sum(long[1:], start=long[0] + 0) >= length + case.lap * (count - 1))
        for b, (_, usable, _) in enumerate(stock):
            model.addConstr(long[b] <= min(usable, length) * cut[b])
            model.addConstr(long[b] >= least * (cut[b] + joined - 1))
            model.addConstr(cut[b] <= on[b])
            loads[b].append(long[b] + case.kerf * cut[b])
    for b, (kind, usable, _) in enumerate(stock):
        model.addConstr(sum(loads[b][1:], start=loads[b][0]) <= (usable + case.kerf) * on[b])
        if b and stock[b - 1][0] == kind:
            model.addConstr(on[b] <= on[b - 1])
    weight = len(case.runs) * (len(stock) + 1) + 1
    cost = [price * on[b] for b, (_, _, price) in enumerate(stock)]
    model.minimize(weight * sum(cost[1:], start=cost[0]) + sum(pieces[1:], start=pieces[0]))
    if model.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None
    assert model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    least_cost, number = divmod(round(model.getInfo().objective_function_value), weight)
    return least_cost, number - len(case.runs)


def joined_case(rng: random.Random) -> Case:
    """One kind of bar, and every rule for joints that the models can say."""
    return Case(
        runs=tuple(rng.randrange(3, 48) * 100 for _ in range(rng.randint(1, 5))),
        bars=((3000, 1, None),),
        lap=rng.choice([0, 50, 50, 100]),
        least_piece=rng.choice([0, 200, 300, 300, 700]),
        kerf=rng.choice([0, 0, 0, 5]),
        trim_off=rng.choice([0, 0, 10]),
        most_joints=rng.choice([None, None, None, 2]),
    )


def whole_case(rng: random.Random) -> Case:
    """Several kinds of bar, some of them few, for runs that may not be joined."""
    bars = [(2400, rng.randint(18, 24), None), (3000, rng.randint(24, 30), None), (3600, rng.randint(30, 40), None)]
    bars = rng.sample(bars, rng.randint(1, 3))
    for _ in range(rng.choice([0, 0, 1, 2])):
        bars.append((rng.randrange(500, 2900, 50), rng.randint(0, 15), rng.randint(1, 3)))
    return Case(
        runs=tuple(rng.randrange(200, 2390, 10) for _ in range(rng.randint(1, 10))),
        bars=tuple(bars),
        kerf=rng.choice([0, 0, 4]),
        may_join=False,
    )


def mixed_case(rng: random.Random) -> Case:
    """Bars to buy and bars on hand, runs that may be joined and runs that may not."""
    runs = tuple(rng.randrange(3, 42) * 100 for _ in range(rng.randint(1, 5)))
    bars: list[tuple[int, int, int | None]] = [(3000, 30, None)]
    for _ in range(rng.choice([0, 1, 1, 2])):
        bars.append((rng.randrange(600, 2900, 50), rng.choice([0, 0, 7]), rng.randint(1, 2)))
    return Case(
        runs=runs,
        bars=tuple(bars),
        lap=rng.choice([0, 50, 100]),
        least_piece=rng.choice([0, 0, 300]),
        kerf=rng.choice([0, 0, 5]),
        may_join=tuple(length > 3000 or rng.random() < 0.7 for length in runs),
    )


KINDS = {"joined": joined_case, "whole": whole_case, "mixed": mixed_case}


def cut_if_possible(case: Case) -> upstand.CutList | None:
    """The library's answer; nothing where it refuses the case as impossible, which CP-SAT must confirm."""
    try:
        return case.cut()
    except upstand.Error as error:
        refused = error.code
    # As many bars as the runs could ever take.
    assert (refused, by_cp_sat(case, [len(case.runs) * 4] * len(case.bars))) == ("uncuttable", None), case
    return None


@pytest.mark.parametrize("shard", range(SHARDS))
@pytest.mark.parametrize("kind", KINDS)
def test_no_general_solver_finds_better(kind: str, shard: int) -> None:
    rng = random.Random(f"{kind} {shard} {SEED}")
    proven = 0
    count = max(1, CASES // SHARDS)
    for number in range(count):
        case = KINDS[kind](rng)
        cut = cut_if_possible(case)
        if cut is None:
            continue
        assert upstand.check_cut_list(cut.problem, cut) == [], case
        proven += cut.proven
        solve = by_highs if number % 10 == 0 else by_cp_sat
        best = solve(case, enough(case, cut))
        assert best is not None, case
        bound = cut.to_dict()["bound"]
        assert bound["cost"] <= best[0] <= cut.cost, case
        if cut.cost == best[0]:
            assert bound["joints"] <= best[1] <= cut.joint_count, case
        if cut.proven:
            assert (cut.cost, cut.joint_count) == best, case
    assert proven >= 0.9 * count


def test_one_lapped_run_takes_bars_by_the_closed_formula() -> None:
    # n bars lapped by p make n S - (n - 1) p, so a run R takes ceil((R - p) / (S - p)) bars.
    for run, bars in [(3000, 1), (3010, 2), (5950, 2), (6000, 3), (8900, 3), (9000, 4), (12000, 5)]:
        answer = upstand.cut_list(runs=[run], bar=3000, lap=50, least_piece=0)
        assert (answer.bar_count, answer.joint_count, answer.proven) == (bars, bars - 1, True)
