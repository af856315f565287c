"""General solvers on the cutting engine's instances: arc flow in HiGHS, assignment in CP-SAT.

    pip install highspy ortools
    cargo run --release -p upstand-benches --bin cutting_engine -- --write DIR CLASS...
    python benches/peers/cutting.py --seconds 20 DIR/*.txt

Prints for each file and model the stocks used, the bound, whether it was proven, and seconds. The arc-flow model is
that of Valerio de Carvalho (1999) with items in falling order; HiGHS and CP-SAT run on one thread, as the engine does.
"""

import argparse
import math
import pathlib
import time

import highspy
from ortools.sat.python import cp_model


def read(path):
    """Capacity and the lengths with their counts, longest first."""
    numbers = [int(word) for word in pathlib.Path(path).read_text().split()]
    kinds, capacity = numbers[:2]
    counts = {}
    for k in range(kinds):
        length, count = numbers[2 + 2 * k : 4 + 2 * k]
        counts[length] = counts.get(length, 0) + count
    return capacity, sorted(counts.items(), reverse=True)


def arc_flow(capacity, items, seconds):
    """Arc flow: paths from 0 to the capacity are patterns; item arcs in falling order, loss arcs at the end."""
    reach, arcs = {0}, set()
    for length, count in items:
        # Each start reachable by longer items, then up to `count` copies in a row.
        for start in sorted(reach):
            for copy in range(count):
                at = start + copy * length
                if at + length > capacity:
                    break
                arcs.add((at, at + length, length))
        reach |= {head for _, head, size in arcs if size == length}
    nodes = sorted(reach | {capacity})
    arcs = sorted(arcs) + [(a, b, 0) for a, b in zip(nodes, nodes[1:])]
    highs = highspy.Highs()
    highs.silent()
    highs.setOptionValue("time_limit", float(seconds))
    highs.setOptionValue("threads", 1)
    flow = [highs.addVariable(lb=0, type=highspy.HighsVarType.kInteger) for _ in arcs]
    out, into, made = {}, {}, {}
    for variable, (tail, head, length) in zip(flow, arcs):
        out.setdefault(tail, []).append(variable)
        into.setdefault(head, []).append(variable)
        made.setdefault(length, []).append(variable)
    for node in nodes[1:-1]:
        highs.addConstr(highs.qsum(out.get(node, [])) == highs.qsum(into.get(node, [])))
    for length, count in items:
        highs.addConstr(highs.qsum(made[length]) >= count)
    highs.minimize(highs.qsum(out[0]))
    info = highs.getInfo()
    bound = math.ceil(info.mip_dual_bound - 1e-6) if math.isfinite(info.mip_dual_bound) else 0
    used = round(info.objective_function_value) if math.isfinite(info.objective_function_value) else None
    return used, bound


def assignment(capacity, items, seconds):
    """One integer for each kind and stock, stocks in falling order of filling."""
    lengths = [length for length, count in items for _ in range(count)]
    free = []
    for length in lengths:
        at = next((k for k, room in enumerate(free) if room >= length), None)
        if at is None:
            free.append(capacity)
            at = len(free) - 1
        free[at] -= length
    stocks = len(free)
    model = cp_model.CpModel()
    opened = [model.new_bool_var("") for _ in range(stocks)]
    load = []
    for _ in range(stocks):
        load.append([model.new_int_var(0, min(count, capacity // length), "") for length, count in items])
    for b in range(stocks):
        model.add(sum(load[b][k] * items[k][0] for k in range(len(items))) <= capacity * opened[b])
    for k, (_, count) in enumerate(items):
        model.add(sum(load[b][k] for b in range(stocks)) == count)
    for b in range(1, stocks):
        model.add(opened[b - 1] >= opened[b])
    model.minimize(sum(opened))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    used = round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return used, math.ceil(solver.best_objective_bound - 1e-6)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("files", nargs="+")
    arguments = parser.parse_args()
    for path in arguments.files:
        capacity, items = read(path)
        for name, model in (("arc flow", arc_flow), ("assignment", assignment)):
            start = time.perf_counter()
            used, bound = model(capacity, items, arguments.seconds)
            took = time.perf_counter() - start
            proven = used is not None and used == bound
            print(f"{pathlib.Path(path).stem:<24} {name:<11} {used} bound {bound} proven {proven} {took:.2f} s", flush=True)


if __name__ == "__main__":
    main()
