"""General solvers on the trade's cut lists, list by list beside the engine: `bash benches/peers.sh` builds and runs this.

    pip install highspy ortools pyscipopt
    python benches/peers/cutting.py --engine target/release/examples/cut_list --seconds 20 --lists 8 DIR/*

Arc flow (Valerio de Carvalho 1999) in HiGHS and in SCIP, an assignment model in CP-SAT. Runs that may be joined flow round
and round a bar less a lap, which is the same model of chains. The engine proves the number of bars and, at that, the
number of joints; the others are asked for bars only. All run on one thread, and one after another. The times of the others
are those of their solvers, without building the model; the engine's is from reading the file on. Where a solver ends at its
limit, the limit counts as its time.
"""

import argparse
import collections
import json
import math
import pathlib
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass

import highspy
import numpy as np
from ortools.sat.python import cp_model

try:
    import pyscipopt
except ImportError:
    pyscipopt = None


@dataclass(frozen=True)
class Cutting:
    """One bar, runs longest first with their counts, and the lap if runs may be joined."""

    bar: int
    items: list
    lap: int | None


def read(path):
    """A problem in JSON, or the academic text form, whose runs are whole."""
    text = pathlib.Path(path).read_text()
    counts = collections.Counter()
    if text.lstrip().startswith("{"):
        problem = json.loads(text)
        for run in problem["runs"]:
            counts[run["length"]] += run.get("quantity", 1)
        bar, lap = problem["bars"][0]["length"], problem.get("rules", {}).get("lap", 0)
        assert all(run.get("may_join", True) for run in problem["runs"]), path
    else:
        kinds, bar, *numbers = (int(word) for word in text.split())
        lap = None
        for k in range(kinds):
            counts[numbers[2 * k]] += numbers[2 * k + 1]
    return Cutting(bar, sorted(counts.items(), reverse=True), lap)


def arc_flow(cutting):
    """Arcs (tail, head, kind of run, bars begun), each path from "start" to "end" a way to cut.

    Items follow in falling order. Joined runs pass from the end of a bar less a lap to the start of the next, which costs
    it; only at its end does the last bar of a chain give the lap too.
    """
    period = cutting.bar if cutting.lap is None else cutting.bar - cutting.lap
    reach, arcs = {0}, set()
    for kind, (length, count) in enumerate(cutting.items):
        heads = set()
        for start in sorted(reach):
            at = start
            for _ in range(count):
                over, head = divmod(at + length, period)
                if cutting.lap is None:
                    if at + length > cutting.bar:
                        break
                    over, head = 0, at + length
                elif over > 0 and head <= cutting.lap:
                    arcs.add((at, "end", kind, over - 1))
                arcs.add((at, head, kind, over))
                heads.add(head)
                at = head
        reach |= heads
    found = sorted(arcs, key=str)
    return [("start", 0, None, 1), *found, *((node, "end", None, 0) for node in sorted(reach))]


def rows(cutting, arcs):
    """Equations of flow at each node and demands of each run, as lists of (arc, sign)."""
    flow, demand = collections.defaultdict(list), collections.defaultdict(list)
    for at, (tail, head, kind, _) in enumerate(arcs):
        flow[tail].append((at, -1))
        flow[head].append((at, 1))
        if kind is not None:
            demand[kind].append((at, 1))
    flow.pop("start")
    flow.pop("end")
    # A loop that stays at its node cancels out.
    balanced = []
    for terms in flow.values():
        signs = collections.Counter()
        for at, sign in terms:
            signs[at] += sign
        balanced.append([(at, sign) for at, sign in signs.items() if sign])
    return balanced, [(demand[kind], count) for kind, (_, count) in enumerate(cutting.items)]


def by_highs(cutting, seconds):
    arcs = arc_flow(cutting)
    balanced, demands = rows(cutting, arcs)
    inf = highspy.kHighsInf
    every = [(terms, 0.0, 0.0) for terms in balanced] + [(terms, float(count), inf) for terms, count in demands]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(arcs), len(every)
    lp.col_cost_ = np.array([arc[3] for arc in arcs], dtype=float)
    lp.col_lower_, lp.col_upper_ = np.zeros(len(arcs)), np.full(len(arcs), inf)
    lp.row_lower_, lp.row_upper_ = np.array([row[1] for row in every]), np.array([row[2] for row in every])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(row[0]) for row in every)])
    lp.a_matrix_.index_ = np.array([at for row in every for at, _ in row[0]])
    lp.a_matrix_.value_ = np.array([sign for row in every for _, sign in row[0]], dtype=float)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(arcs)
    highs = highspy.Highs()
    highs.silent()
    highs.setOptionValue("time_limit", float(seconds))
    highs.setOptionValue("threads", 1)
    highs.passModel(lp)
    begun = time.perf_counter()
    highs.run()
    took = time.perf_counter() - begun
    info = highs.getInfo()
    bound = math.ceil(info.mip_dual_bound - 1e-6) if math.isfinite(info.mip_dual_bound) else 0
    value = info.objective_function_value
    solved = info.primal_solution_status == 2 and math.isfinite(value)
    return round(value) if solved else None, bound, took


def by_scip(cutting, seconds):
    arcs = arc_flow(cutting)
    balanced, demands = rows(cutting, arcs)
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("limits/time", seconds)
    flow = [model.addVar(vtype="I", lb=0, obj=arc[3]) for arc in arcs]
    for terms in balanced:
        model.addCons(pyscipopt.quicksum(sign * flow[at] for at, sign in terms) == 0)
    for terms, count in demands:
        model.addCons(pyscipopt.quicksum(flow[at] for at, _ in terms) >= count)
    begun = time.perf_counter()
    model.optimize()
    took = time.perf_counter() - begun
    used = round(model.getObjVal()) if model.getNSols() else None
    bound = model.getDualbound()
    return used, math.ceil(bound - 1e-6) if abs(bound) < 1e15 else 0, took


def by_cp_sat(cutting, seconds):
    """How many of each run, or how much of each joined run, from each bar."""
    model = cp_model.CpModel()
    lengths = [length for length, count in cutting.items for _ in range(count)]
    if cutting.lap is None:
        free = []
        for length in lengths:
            at = next((k for k, room in enumerate(free) if room >= length), None)
            if at is None:
                free.append(cutting.bar)
                at = len(free) - 1
            free[at] -= length
        bars = len(free)
    else:
        # All runs in one chain.
        bars = -(-(sum(lengths) - cutting.lap) // (cutting.bar - cutting.lap))
    on = [model.new_bool_var("") for _ in range(bars)]
    loads = [[] for _ in range(bars)]
    for length, count in cutting.items if cutting.lap is None else [(length, 1) for length in lengths]:
        if cutting.lap is None:
            cut = [model.new_int_var(0, min(count, cutting.bar // length), "") for _ in range(bars)]
            model.add(sum(cut) == count)
            for load, number in zip(loads, cut, strict=True):
                load.append(length * number)
            continue
        cut = [model.new_bool_var("") for _ in range(bars)]
        long = [model.new_int_var(0, min(cutting.bar, length), "") for _ in range(bars)]
        model.add(sum(cut) >= 1)
        model.add(sum(long) >= length + cutting.lap * (sum(cut) - 1))
        for load, piece, made in zip(loads, long, cut, strict=True):
            model.add(piece <= min(cutting.bar, length) * made)
            load.append(piece)
    for b in range(bars):
        model.add(sum(loads[b]) <= cutting.bar * on[b])
        if b:
            model.add_implication(on[b], on[b - 1])
    model.minimize(sum(on))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    begun = time.perf_counter()
    status = solver.solve(model)
    took = time.perf_counter() - begun
    used = round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return used, math.ceil(solver.best_objective_bound - 1e-6), took


PEERS = {"HiGHS": by_highs, "SCIP": by_scip, "CP-SAT": by_cp_sat}


def evenly(files, count):
    """As many as asked, spread over all of them."""
    if count <= 0 or count >= len(files):
        return files
    return [files[at * len(files) // count] for at in range(count)]


def by_engine(program, path, seconds):
    output = subprocess.run([program, "--seconds", str(seconds), path], capture_output=True, text=True, check=True)
    answer = json.loads(output.stdout)
    return answer["bars"], answer["bound"], answer["proven"], answer["seconds"]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", required=True, help="the example program cut_list")
    parser.add_argument("--seconds", type=float, default=20, help="limit of each solver for each list")
    parser.add_argument("--lists", type=int, default=0, help="lists of each class, spread over all; 0 for all")
    parser.add_argument("files", nargs="+")
    arguments = parser.parse_args()
    peers = {name: solve for name, solve in PEERS.items() if name != "SCIP" or pyscipopt is not None}
    classes = collections.defaultdict(list)
    for path in sorted(arguments.files):
        classes[pathlib.Path(path).stem.rpartition("-")[0]].append(path)
    print("| class | lists | solver | proven | median s | worst s | times the engine, median |")
    print("|---|---|---|---|---|---|---|", flush=True)
    differ = 0
    for name, files in classes.items():
        took, proven = collections.defaultdict(list), collections.Counter()
        for path in evenly(files, arguments.lists):
            bars, least, best, seconds = by_engine(arguments.engine, path, arguments.seconds)
            took["engine"].append(seconds)
            proven["engine"] += best
            print(f"{path}: engine {bars}, bound {least}, {seconds:.4f} s", file=sys.stderr, flush=True)
            cutting = read(path)
            for peer, solve in peers.items():
                used, bound, seconds = solve(cutting, arguments.seconds)
                ended = used is not None and used == bound
                took[peer].append(seconds if ended else arguments.seconds)
                proven[peer] += ended
                print(f"{path}: {peer} {used}, bound {bound}, {seconds:.2f} s", file=sys.stderr, flush=True)
                if bound > bars or (used is not None and used < least):
                    differ += 1
                    print(f"{path}: {peer} and the engine contradict each other", file=sys.stderr, flush=True)
        for solver in ("engine", *peers):
            ratio = statistics.median(a / b for a, b in zip(took[solver], took["engine"], strict=True))
            print(
                f"| {name} | {len(took[solver])} | {solver} | {proven[solver]} | {statistics.median(took[solver]):.5f} "
                f"| {max(took[solver]):.4f} | {ratio:,.0f} |",
                flush=True,
            )
    sys.exit(1 if differ else 0)


if __name__ == "__main__":
    main()
