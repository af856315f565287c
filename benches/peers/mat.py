"""Mat off the roll and time: the library, strips over the bounding box, and a grid search with Shapely, by the same rules.

    python benches/peers/mat.py [--roofs 40] [--step 25]          # needs the package upstand, shapely, and cargo

Prints the tables of benches/README.md. All roofs have drips all round; the deck is the outline less the drip's flange.
Rules for all: strips of 1000 mm that lap by 50, a piece runs across a gap up to 1200 mm, no strip is narrower than 200 mm:
where the first or the last would be, it is made 200 mm wide and its neighbour ripped.

* *Box*: strips along the longest edge over the box around the deck, each as long as the box.
* *Search*: for the direction of every edge, every place of the first strip on a grid; each strip is cut with Shapely.
* *One zone*, *zones*: `direction: best`, with `zones: one` or `least`.

Times: the search by itself; the library's mat stage by itself on the same roofs, pieces, laps, rolls and tape among what it
works out (`mat_layout`, built and run here, shortest of three); and the whole plan, trims and all, called from Python.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

import shapely
import upstand
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

WIDTH, LAP, GAP, LEAST, FLANGE = 1000.0, 50.0, 1200.0, 200.0, 85.0


def rectangle(rng: random.Random) -> Polygon:
    return box(0, 0, rng.randrange(2000, 14000), rng.randrange(2000, 9000))


def letter(which: str, rng: random.Random) -> Polygon:
    w, h = rng.randrange(5000, 14000), rng.randrange(5000, 10000)
    c = rng.randrange(1500, 4000)
    a, b = rng.randrange(1300, w // 3), rng.randrange(1300, w // 3)
    parts = {
        "L": [box(0, 0, a, h)],
        "T": [box(a, 0, a + b, h)],
        "U": [box(0, 0, a, h), box(w - b, 0, w, h)],
    }
    return unary_union([box(0, 0, w, c), *parts[which]])


def skew(rng: random.Random) -> Polygon:
    """A quadrilateral with no two sides alike, or a sheared letter."""
    if rng.random() < 0.5:
        return affinity.skew(letter(rng.choice("LTU"), rng), rng.uniform(8, 25) * rng.choice([-1, 1]), 0, origin=(0, 0))
    w, h = rng.randrange(4000, 12000), rng.randrange(3000, 8000)
    lean = [rng.uniform(-0.25, 0.25) * h for _ in range(4)]
    return Polygon([(0, 0), (w, lean[0]), (w + lean[1], h), (lean[2], h + lean[3])]).convex_hull


CLASSES = {
    "rectangle": rectangle,
    "L": lambda rng: letter("L", rng),
    "T": lambda rng: letter("T", rng),
    "U": lambda rng: letter("U", rng),
    "skew": skew,
}


def edges(shape: Polygon) -> list[tuple[float, float]]:
    """Length and angle in degrees of each edge, the longest first."""
    ring = list(shape.exterior.coords)
    all_edges = [
        (math.dist(a, b), math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
        for a, b in zip(ring, ring[1:], strict=False)
    ]
    return sorted(all_edges, reverse=True)


def over_box(deck: Polygon) -> float:
    """Metres of strips as long as the box along the longest edge."""
    x0, y0, x1, y1 = affinity.rotate(deck, -edges(deck)[0][1], origin=(0, 0)).bounds
    count = max(1, math.ceil((y1 - y0 - LAP - 1e-6) / (WIDTH - LAP)))
    return count * (x1 - x0) / 1e3


def length_in(band: shapely.Geometry) -> float:
    """Length of the pieces of one strip, gaps up to the limit run across."""
    spans = sorted((part.bounds[0], part.bounds[2]) for part in getattr(band, "geoms", [band]) if part.area > 1)
    joined: list[list[float]] = []
    for low, high in spans:
        if joined and low - joined[-1][1] <= GAP:
            joined[-1][1] = max(joined[-1][1], high)
        else:
            joined.append([low, high])
    return sum(high - low for low, high in joined)


def search(deck: Polygon, step: float) -> float:
    """Metres at the best direction of an edge and the best place of the first strip on a grid."""
    best = math.inf
    for angle in {round(angle % 180, 6) for _, angle in edges(deck)}:
        turned = affinity.rotate(deck, -angle, origin=(0, 0))
        x0, y0, x1, y1 = turned.bounds
        before = 0.0
        while before < WIDTH - LAP:
            bands, low = [], y0 - before
            while low + LAP + 1e-6 < y1 or low <= y0:
                bands.append([max(low, y0), min(low + WIDTH, y1)])
                low += WIDTH - LAP
            if len(bands) > 1 and bands[0][1] - y0 < LEAST:
                bands[0][1] = y0 + LEAST
                bands[1][0] = bands[0][1] - LAP
            if len(bands) > 1 and y1 - bands[-1][0] < LEAST:
                bands[-1][0] = y1 - LEAST
                bands[-2][1] = bands[-1][0] + LAP
            length = sum(length_in(turned.intersection(box(x0 - 1, low, x1 + 1, high))) for low, high in bands)
            if length < best and all(high - low >= min(LEAST, y1 - y0) for low, high in bands):
                best = length
            before += step
    return best / 1e3


def plan(shape: Polygon, zones: str) -> tuple[float, float]:
    """Metres off the roll, and milliseconds of the whole plan: the shortest of three."""
    roof = upstand.Roof.from_geojson(shape, kinds="drip", units="mm")
    job = upstand.Job.from_dict(
        {
            "schema": "upstand/job/1",
            "roofs": [roof.to_dict()],
            "system": {"mat": {"direction": "best", "zones": zones}},
        }
    )
    took = math.inf
    for _ in range(3):
        begun = time.perf_counter()
        planned = upstand.plan(job)
        took = min(took, time.perf_counter() - begun)
    return planned.to_dict()["roofs"][0]["mat"]["off_roll"] / 1e3, took * 1e3


def lay_alone(roofs: dict[str, Polygon]) -> dict[str, dict[str, float]]:
    """Milliseconds of the mat stage alone: by way of laying, then by roof."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "roofs.jsonl"
        with file.open("w") as out:
            for name, shape in roofs.items():
                rings = [[[x / 1e3, y / 1e3] for x, y in ring.coords] for ring in (shape.exterior, *shape.interiors)]
                out.write(json.dumps({"id": name, "geometry": {"type": "Polygon", "coordinates": rings}}) + "\n")
        command = ["cargo", "run", "--quiet", "--release", "-p", "upstand-benches", "--bin", "mat_layout", "--"]
        root = Path(__file__).resolve().parents[2]
        said = subprocess.run([*command, "--each", str(file)], cwd=root, check=True, capture_output=True, text=True)
    took: dict[str, dict[str, float]] = {}
    for line in said.stdout.splitlines():
        if line.count("\t") == 3:
            way, name, ms, _ = line.split("\t")
            took.setdefault(way, {})[name] = float(ms.removesuffix(" ms"))
    return took


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--roofs", type=int, default=40, help="roofs of each class")
    arguments.add_argument("--step", type=float, default=25.0, help="step of the grid in mm")
    options = arguments.parse_args()
    print("| class | roofs | box, m | search, m | one zone, m | zones, m | less than box, median | less than search, median |")
    print("|---|---|---|---|---|---|---|---|")
    roofs: dict[str, Polygon] = {}
    searching: dict[str, float] = {}
    planning: dict[str, float] = {}
    more_than_box = more_than_search = 0
    for name, draw in CLASSES.items():
        rng = random.Random(f"mat {name}")
        rows = []
        while len(rows) < options.roofs:
            shape = shapely.set_precision(draw(rng), 0.001)
            deck = shape.buffer(-FLANGE, join_style="mitre", mitre_limit=100)
            if shape.geom_type != "Polygon" or deck.geom_type != "Polygon" or deck.is_empty:
                continue
            roof = f"{name} {len(rows)}"
            roofs[roof] = shape
            begun = time.perf_counter()
            searched = search(deck, options.step)
            searching[roof] = (time.perf_counter() - begun) * 1e3
            (one, _), (zones, planning[roof]) = plan(shape, "one"), plan(shape, "least")
            rows.append((over_box(deck), searched, one, zones))
            # Pieces are rounded up to the millimetre.
            more_than_box += zones > rows[-1][0] + 0.05
            more_than_search += zones > searched + 0.05
        sums = [sum(row[i] for row in rows) for i in range(4)]
        less = [statistics.median(100 * (1 - row[3] / row[i]) for row in rows) for i in range(2)]
        metres = " | ".join(f"{total:.1f}" for total in sums)
        print(f"| {name} | {len(rows)} | {metres} | {less[0]:.1f} % | {less[1]:.1f} % |")
    print()
    print(f"Roofs with more mat than the box: {more_than_box}; than the search: {more_than_search}.")
    print()
    alone = lay_alone(roofs)
    ways = {
        "mat stage, one zone": alone["best"],
        "mat stage, zones": alone["best in zones"],
        "whole plan, zones": planning,
    }
    print("| class | search, ms |" + "".join(f" {way}, ms | search over it |" for way in ways))
    print("|---" * (2 + 2 * len(ways)) + "|")
    for name in [*CLASSES, "all"]:
        own = [roof for roof in roofs if name == "all" or roof.rsplit(" ", 1)[0] == name]
        cells = [f"{statistics.median(searching[roof] for roof in own):.1f}"]
        for took in ways.values():
            cells.append(f"{statistics.median(took[roof] for roof in own):.3f}")
            cells.append(f"{statistics.median(searching[roof] / took[roof] for roof in own):.0f}")
        print(f"| {name} | " + " | ".join(cells) + " |")
    print()
    print("Medians. Slowest: " + ", ".join(f"{way} {max(took.values()):.2f} ms" for way, took in ways.items()) + ".")


if __name__ == "__main__":
    main()
