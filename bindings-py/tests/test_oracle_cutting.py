"""Cut lists against a plain mixed-integer formulation solved by HiGHS: fewest bars, then fewest joints.

``UPSTAND_ORACLE_CASES`` sets the number of random cases of each kind.
"""

from __future__ import annotations

import os
import random
from dataclasses import dataclass

import pytest

import upstand

highspy = pytest.importorskip("highspy")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "100"))
SHARDS = 10


@dataclass(frozen=True)
class Case:
    """A cutting problem in whole millimetres."""

    runs: tuple[int, ...]
    bar: int
    lap: int
    least_piece: int
    kerf: int

    def cut(self) -> upstand.CutList:
        """The library's answer."""
        return upstand.cut_list(
            runs=list(self.runs), bar=self.bar, lap=self.lap, least_piece=self.least_piece, kerf=self.kerf
        )


def new_model() -> highspy.Highs:
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("threads", 1)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)
    return model


def solved(model: highspy.Highs, objective: object) -> float:
    model.minimize(objective)
    assert model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return float(model.getInfo().objective_function_value)


def fewest(case: Case, bars: int) -> tuple[int, int]:
    """Fewest bars and then fewest joints, by branch and bound over every piece of every run in every bar.

    A run may have one piece in each bar. Its pieces add up to its length and one lap for every joint, or more: laps may
    be longer. In a run of several pieces none is shorter than the least.
    """
    model = new_model()
    used = [model.addBinary() for _ in range(bars)]
    weight = len(case.runs) * bars + 1
    pieces = []
    in_bar: list[list[object]] = [[] for _ in range(bars)]
    for length in case.runs:
        cut = [model.addBinary() for _ in range(bars)]
        long = [model.addVariable(0, case.bar) for _ in range(bars)]
        joined = model.addBinary()
        count = sum(cut[1:], start=cut[0] + 0)
        model.addConstr(count >= 1)
        model.addConstr(count - 1 <= (bars - 1) * joined)
        model.addConstr(sum(long[1:], start=long[0] + 0) >= length + case.lap * (count - 1))
        for b in range(bars):
            model.addConstr(long[b] <= case.bar * cut[b])
            model.addConstr(long[b] >= case.least_piece * (cut[b] + joined - 1))
            model.addConstr(cut[b] <= used[b])
            in_bar[b].append(long[b] + case.kerf * cut[b])
        pieces.append(count)
    for b in range(bars):
        # The saw cut after the last piece of a bar may fall beyond its end.
        model.addConstr(sum(in_bar[b][1:], start=in_bar[b][0]) <= (case.bar + case.kerf) * used[b])
        if b:
            model.addConstr(used[b] <= used[b - 1])
    total = weight * sum(used[1:], start=used[0] + 0) + sum(pieces[1:], start=pieces[0])
    value = round(solved(model, total))
    best_bars, best_pieces = divmod(value, weight)
    return best_bars, best_pieces - len(case.runs)


def random_case(rng: random.Random) -> Case:
    bar = 3000
    runs = tuple(rng.randrange(3, 48) * 100 for _ in range(rng.randint(1, 5)))
    lap = rng.choice([0, 50, 50, 100])
    return Case(runs, bar, lap, rng.choice([0, 200, 300, 300, 700]), rng.choice([0, 0, 0, 5]))


@pytest.mark.parametrize("shard", range(SHARDS))
def test_bars_and_joints_are_as_few_as_the_integer_program_needs(shard: int) -> None:
    rng = random.Random(f"lapped {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        case = random_case(rng)
        answer = case.cut()
        assert answer.proven, case
        # One bar more than the answer's would be no better; the program finds fewer if fewer do.
        assert (answer.bar_count, answer.joint_count) == fewest(case, answer.bar_count), case


def fewest_whole(runs: list[int], bars: dict[int, int]) -> int:
    """Least cost of bars for runs that may not be joined: every run goes whole into one bar."""
    model = new_model()
    kinds = [length for length in bars for _ in runs]
    used = [model.addBinary() for _ in kinds]
    put = [[model.addBinary() for _ in kinds] for _ in runs]
    for run in range(len(runs)):
        model.addConstr(sum(put[run][1:], start=put[run][0] + 0) == 1)
    for b, length in enumerate(kinds):
        load = [runs[run] * put[run][b] for run in range(len(runs))]
        model.addConstr(sum(load[1:], start=load[0]) <= length * used[b])
        if b and kinds[b - 1] == length:
            model.addConstr(used[b] <= used[b - 1])
    cost = [bars[length] * used[b] for b, length in enumerate(kinds)]
    return round(solved(model, sum(cost[1:], start=cost[0])))


@pytest.mark.parametrize("shard", range(SHARDS))
def test_several_lengths_of_bar_cost_as_little_as_the_integer_program_spends(shard: int) -> None:
    rng = random.Random(f"whole {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        runs = [rng.randrange(200, 2400) for _ in range(rng.randint(1, 6))]
        bars = {2400: rng.randint(18, 24), 3000: rng.randint(24, 30), 3600: rng.randint(30, 40)}
        answer = upstand.cut_list(
            runs=runs,
            may_join=[False] * len(runs),
            bar=[{"length": length, "cost": cost} for length, cost in bars.items()],
        )
        assert answer.proven
        assert answer.joint_count == 0
        assert answer.cost == fewest_whole(runs, bars), (runs, bars)


def test_one_lapped_run_takes_bars_by_the_closed_formula() -> None:
    # n bars lapped by p make n S - (n - 1) p, so a run R takes ceil((R - p) / (S - p)) bars.
    for run, bars in [(3000, 1), (3010, 2), (5950, 2), (6000, 3), (8900, 3), (9000, 4), (12000, 5)]:
        answer = upstand.cut_list(runs=[run], bar=3000, lap=50, least_piece=0)
        assert (answer.bar_count, answer.joint_count, answer.proven) == (bars, bars - 1, True)
