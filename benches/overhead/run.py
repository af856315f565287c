"""What a call from Python and from C takes beyond the same call from Rust: `bash benches/overhead.sh` builds and runs this.

The same lists of 60 runs go to all three in turn, round after round. Each takes the least of some repeats in a round, and the
median over the rounds; the overhead is the median over the lists.
"""

import pathlib
import random
import statistics
import subprocess
import sys
import time

import upstand


def lists(kind: str, count: int) -> list[str]:
    """Lines of lap, may be joined, and lengths in micrometres."""
    rng = random.Random(kind)
    if kind == "joined":
        return [" ".join(map(str, [50_000, 1, *(rng.randrange(300, 9001) * 1000 for _ in range(60))])) for _ in range(count)]
    return [" ".join(map(str, [0, 0, *(rng.randrange(200, 3001) * 1000 for _ in range(60))])) for _ in range(count)]


def by_python(lines: list[str], repeats: int) -> list[int]:
    took = []
    for line in lines:
        lap, join, *lengths = map(int, line.split())
        runs = [length / 1000 for length in lengths]
        least = None
        for _ in range(repeats):
            begun = time.perf_counter_ns()
            cut = upstand.cut_list(runs=runs, bar=3000, lap=lap / 1000, may_join=join == 1)
            bars = cut.bar_count
            del cut
            spent = time.perf_counter_ns() - begun
            assert bars > 0
            least = spent if least is None else min(least, spent)
        took.append(least)
    return took


def by_program(program: str, file: pathlib.Path, repeats: int) -> list[int]:
    output = subprocess.run([program, str(file), str(repeats)], check=True, capture_output=True, text=True).stdout
    return [int(line) for line in output.split()]


def main() -> None:
    rust, c, work, count, rounds, repeats = *sys.argv[1:4], *map(int, sys.argv[4:])
    print("| lists of 60 runs | lists | Rust, ms | C, ms | Python, ms | C over Rust | Python over Rust |")
    print("|---|---|---|---|---|---|---|")
    for kind in ("whole", "joined"):
        lines = lists(kind, count)
        file = pathlib.Path(work) / f"{kind}.txt"
        file.write_text("\n".join(lines) + "\n")
        measured: dict[str, list[list[int]]] = {"rust": [], "c": [], "python": []}
        for _ in range(rounds):
            measured["rust"].append(by_program(rust, file, repeats))
            measured["c"].append(by_program(c, file, repeats))
            measured["python"].append(by_python(lines, repeats))
        medians = {
            name: [statistics.median(column) for column in zip(*rows, strict=True)] for name, rows in measured.items()
        }
        over = {
            name: statistics.median(a / b - 1 for a, b in zip(medians[name], medians["rust"], strict=True))
            for name in ("c", "python")
        }
        cells = [f"{statistics.median(medians[name]) / 1e6:.4f}" for name in ("rust", "c", "python")]
        cells += [f"{100 * over[name]:+.1f} %" for name in ("c", "python")]
        print(f"| {kind} | {count} | " + " | ".join(cells) + " |", flush=True)


if __name__ == "__main__":
    main()
