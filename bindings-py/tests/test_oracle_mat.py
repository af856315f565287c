"""The lay-out of the mat against Shapely (GEOS): cover, laps, zones, least width.

``UPSTAND_MAT_CASES`` sets the number of random roofs; ``UPSTAND_DATA`` names a folder with ``footprints.jsonl``,
GeoJSON Features in metres, of which as many are laid too.
"""

from __future__ import annotations

import json
import math
import os
import random
from pathlib import Path
from typing import Any

import pytest

import upstand

shapely = pytest.importorskip("shapely")
from shapely import affinity  # noqa: E402
from shapely.geometry import Polygon, box  # noqa: E402
from shapely.ops import unary_union  # noqa: E402

CASES = int(os.environ.get("UPSTAND_MAT_CASES", "500"))
SHARDS = 5
KINDS = ["drip", "abutment", "open_side"]
# Corners of results are on a grid of a micrometre.
GRID = 0.003


def letter(rng: random.Random) -> Polygon:
    """An L, T or U."""
    w, h = rng.randrange(4000, 14000), rng.randrange(4000, 10000)
    c = rng.randrange(1200, 3500)
    a, b = rng.randrange(1000, w // 3), rng.randrange(1000, w // 3)
    bar = box(0, 0, w, c)
    shape = rng.choice("LTU")
    if shape == "L":
        return unary_union([bar, box(0, 0, a, h)])
    if shape == "T":
        return unary_union([bar, box(a, 0, a + b, h)])
    return unary_union([bar, box(0, 0, a, h), box(w - b, 0, w, h)])


def stepped(rng: random.Random) -> Polygon:
    """Boxes side by side, overlapping in height."""
    x, boxes = 0, []
    for _ in range(rng.randint(1, 6)):
        width = rng.randrange(700, 4000)
        boxes.append(box(x, rng.randrange(-1500, 1), x + width, rng.randrange(1800, 6000)))
        x += width
    return unary_union(boxes)


def convex(rng: random.Random) -> Polygon:
    """The hull of points in an ellipse."""
    across, along = rng.uniform(1500, 4000), rng.uniform(2500, 8000)
    angles = sorted(rng.uniform(0, math.tau) for _ in range(rng.randint(4, 12)))
    return Polygon([(along * math.cos(t), across * math.sin(t)) for t in angles]).convex_hull


def skewed(rng: random.Random) -> Polygon:
    return affinity.skew(letter(rng), rng.uniform(-25, 25), 0, origin=(0, 0))


def footprint(rng: random.Random) -> Polygon:
    """A valid polygon on a grid of a micrometre, sometimes turned, sometimes with a kerb."""
    while True:
        shape = rng.choice([letter, letter, stepped, convex, skewed])(rng)
        if rng.random() < 0.4:
            shape = affinity.rotate(shape, rng.uniform(0, 360), origin=(0, 0))
        if rng.random() < 0.3:
            inner = shape.buffer(-800)
            if not inner.is_empty:
                at = inner.representative_point()
                kerb = box(at.x - 450, at.y - 300, at.x + 450, at.y + 300)
                if shape.buffer(-150).contains(kerb):
                    shape = shape.difference(kerb)
        shape = shapely.set_precision(shape.simplify(0), 0.001)
        if shape.geom_type == "Polygon" and shape.is_valid and sound(shape):
            return shape


def sound(shape: Polygon) -> bool:
    """No edge under 60 mm, no corner under 15 degrees."""
    for line in (shape.exterior, *shape.interiors):
        ring = list(line.coords)[:-1]
        for i in range(len(ring)):
            (ax, ay), (bx, by), (cx, cy) = ring[i - 2], ring[i - 1], ring[i]
            turn = math.remainder(math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax), math.tau)
            if math.dist(ring[i - 1], ring[i]) < 60 or 180 - abs(math.degrees(turn)) < 15:
                return False
    return True


def area_of(rings_of_points: list[list[list[float]]]) -> Any:
    """The area inside rings by the even-odd rule."""
    area = Polygon()
    for ring in rings_of_points:
        area = area.symmetric_difference(Polygon(ring))
    return area


def mat_of(shape: Polygon, kinds: str | list[str], mat: dict[str, Any]) -> dict[str, Any]:
    roof = upstand.Roof.from_geojson(shape, kinds=kinds, units="mm")
    job = {"schema": "upstand/job/1", "roofs": [roof.to_dict()], "system": {"mat": mat}}
    return upstand.plan(job).to_dict()["roofs"][0]["mat"]


def shards() -> Any:
    return pytest.mark.parametrize("shard", range(SHARDS))


def surveyed(shard: int) -> list[Polygon]:
    """The share of a shard in the footprints of real buildings, where they are at hand."""
    folder = os.environ.get("UPSTAND_DATA")
    if not folder:
        return []
    features = [json.loads(line) for line in (Path(folder) / "footprints.jsonl").read_text().splitlines()]
    valid = [feature for feature in features if feature["properties"].get("valid")]
    random.Random("footprints").shuffle(valid)
    shapes = []
    for feature in valid[shard : max(1, CASES) : SHARDS]:
        rings = [[(x * 1e3, y * 1e3) for x, y in ring] for ring in feature["geometry"]["coordinates"]]
        shape = shapely.set_precision(Polygon(rings[0], rings[1:]), 0.001)
        if shape.geom_type == "Polygon" and shape.is_valid and sound(shape):
            shapes.append(shape)
    return shapes


def cut_short(pieces: dict[str, Any], marks: tuple[str, str], lap: float) -> Any:
    """Where two pieces meet although the deck is narrower there than a lap: nothing can be said of the lap."""
    both = pieces[marks[0]].intersection(pieces[marks[1]])
    return both.buffer(-lap / 4 - GRID).is_empty


@shards()
def test_pieces_cover_the_deck_and_lap_wherever_they_meet(shard: int) -> None:
    rng = random.Random(f"mat {shard}")
    zoned = joined = beside = 0
    shapes = surveyed(shard)
    for case in range(max(1, CASES // SHARDS) + len(shapes)):
        shape = shapes[case - max(1, CASES // SHARDS)] if case >= max(1, CASES // SHARDS) else footprint(rng)
        width, lap = rng.choice([(1000, 50), (1000, 100), (1250, 75)])
        system = {
            "width": width,
            "lap": lap,
            "end_lap": lap,
            "roll": rng.choice([90000, 7000]),
            "direction": rng.choice(["drip", "best"]),
            "zones": rng.choice(["one", "least"]),
        }
        mat = mat_of(shape, rng.choice(KINDS), system)
        deck = area_of([seam["points"] for seam in mat["seams"]])
        pieces = {piece["mark"]: area_of(piece["outline"]) for strip in mat["strips"] for piece in strip["pieces"]}
        where = (shape.wkt, system)
        # The union covers the mat area to 1e-6 of it, and reaches beyond it by no more than the grid.
        union = unary_union(list(pieces.values()))
        assert deck.difference(union).area <= max(1e-6 * deck.area, GRID * deck.length), where
        assert union.difference(deck.buffer(GRID)).area <= 1e-6 * deck.area, where
        laid = sum(piece.area for piece in pieces.values())
        assert mat["laid_m2"] == pytest.approx(laid / 1e6, abs=1e-5)
        zoned += bool(mat.get("zones"))
        # A zone and its laps over others are one polygon.
        for zone in mat.get("zones", []):
            assert area_of(zone["outline"]).geom_type == "Polygon", where
        # What a piece alone covers is a full lap away from each of its edges within the deck, in one zone or several.
        rim = deck.boundary.buffer(0.05)
        for mark, piece in pieces.items():
            others = unary_union([other for name, other in pieces.items() if name != mark])
            alone = piece.difference(others).buffer(-0.01)
            inner = piece.boundary.difference(rim)
            if not alone.is_empty and not inner.is_empty:
                assert alone.distance(inner) >= lap - 0.1, (mark, alone.distance(inner), where)
        # Laps lead from later pieces to earlier ones and are as wide as they are said to be.
        order = {mark: i for i, mark in enumerate(pieces)}
        for found in mat.get("laps", []):
            assert order[found["over"]] > order[found["under"]], where
            assert found["width"] >= lap - GRID, (found, where)
            both = pieces[found["over"]].intersection(pieces[found["under"]]).area
            assert both >= 0.2 * found["width"] * found["length"] - 10, (found, where)
            joined += found["kind"] == "end"
        listed = {frozenset((found["over"], found["under"])) for found in mat.get("laps", [])}
        names = list(pieces)
        for i, one in enumerate(names):
            for other in names[i + 1 :]:
                if pieces[one].intersects(pieces[other]):
                    both = pieces[one].intersection(pieces[other]).area
                    # Where the deck ends within half a lap, what lies over the edge of the other is no lap.
                    narrow = cut_short(pieces, (one, other), lap)
                    assert narrow or both < lap * 20 or frozenset((one, other)) in listed, (one, other, both, where)
        by_mark = {piece["mark"]: piece for strip in mat["strips"] for piece in strip["pieces"]}
        for piece in by_mark.values():
            if host := by_mark.get(piece.get("beside")):
                beside += 1
                assert piece["width"] + host["width"] <= width + GRID
        assert mat["off_roll"] == pytest.approx(
            sum(piece["length"] for piece in by_mark.values() if "beside" not in piece), abs=1e-6
        )
    if CASES >= 100:
        assert min(zoned, joined, beside) > 0, (zoned, joined, beside)


@shards()
def test_zones_never_take_more_than_one_zone(shard: int) -> None:
    rng = random.Random(f"zones {shard}")
    for _ in range(max(1, CASES // SHARDS // 2)):
        shape = letter(rng) if rng.random() < 0.5 else skewed(rng)
        if not sound(shape):
            continue
        one = mat_of(shape, "drip", {"direction": "best"})
        least = mat_of(shape, "drip", {"direction": "best", "zones": "least"})
        # Each piece is rounded up to a whole millimetre.
        slack = sum(len(strip["pieces"]) for mat in (one, least) for strip in mat["strips"])
        assert least["off_roll"] <= one["off_roll"] + slack, shape.wkt


def least_width(shape: Polygon) -> tuple[float, float]:
    """Least width of a convex polygon and its extent across that direction, by rotating calipers.

    M. Houle and G. Toussaint, Computing the width of a set, IEEE PAMI 10 (1988) 761-765: the width is found between an
    edge and the corner furthest from it.
    """
    ring = list(shape.exterior.coords)[:-1]
    if not shape.exterior.is_ccw:
        ring.reverse()
    n, far, best = len(ring), 1, (math.inf, 0.0)
    for i in range(n):
        (ax, ay), (bx, by) = ring[i], ring[(i + 1) % n]
        ux, uy = (bx - ax) / math.dist(ring[i], ring[(i + 1) % n]), (by - ay) / math.dist(ring[i], ring[(i + 1) % n])

        def height(k: int, ax: float = ax, ay: float = ay, ux: float = ux, uy: float = uy) -> float:
            return (ring[k % n][1] - ay) * ux - (ring[k % n][0] - ax) * uy

        far = max(far, i + 1)
        while height(far + 1) > height(far):
            far += 1
        along = [x * ux + y * uy for x, y in ring]
        best = min(best, (height(far), max(along) - min(along)))
    return best


@shards()
def test_one_strip_as_wide_as_the_least_width_covers_a_convex_deck(shard: int) -> None:
    rng = random.Random(f"calipers {shard}")
    single = tried = 0
    for _ in range(max(1, CASES // SHARDS)):
        shape = shapely.set_precision(convex(rng), 0.001)
        if not sound(shape):
            continue
        deck = shape.buffer(-90, join_style="mitre", mitre_limit=100)
        if deck.is_empty or deck.geom_type != "Polygon":
            continue
        width, along = least_width(deck)
        tried += 1
        mat = {"direction": "best", "least_strip": 0, "lap": 20, "most_lap": 20}
        wide = mat_of(shape, "open_side", mat | {"width": math.ceil(width) + 1})
        assert wide["off_roll"] <= along + 2, shape.wkt
        if len(wide["strips"]) == 1:
            single += 1
            x, y = wide["direction"]
            across = [py * x - px * y for px, py in deck.exterior.coords]
            assert max(across) - min(across) <= math.ceil(width) + 1 + GRID
        narrow = mat_of(shape, "open_side", mat | {"width": math.floor(width) - 1})
        assert len(narrow["strips"]) > 1, (width, shape.wkt)
    assert single >= 0.6 * tried


def job_of(shape: Polygon, mat: dict[str, Any]) -> dict[str, Any]:
    roof = upstand.Roof.from_geojson(shape, kinds="drip", units="mm")
    return {"schema": "upstand/job/1", "roofs": [roof.to_dict()], "system": {"mat": mat}}


def test_areas_by_layer_count_laps() -> None:
    plan = upstand.plan(job_of(box(0, 0, 6170, 4170), {}))
    mat = plan.to_dict()["roofs"][0]["mat"]
    table = plan.table("areas")
    assert set(table["roof"]) == {0}
    areas = dict(zip(table["layer"], table["area_m2"], strict=True))
    # A deck of 6 m x 4 m within flanges of 85 mm: five strips with four laps of 50 mm are 24 + 4 x 0.05 x 6 m2 of mat.
    assert areas["bare_deck"] == pytest.approx(24.0)
    assert areas["mat"] == pytest.approx(25.2)
    pieces = [area_of(piece["outline"]).area / 1e6 for strip in mat["strips"] for piece in strip["pieces"]]
    assert areas["mat"] == pytest.approx(sum(pieces))
    assert plan.table("strips")["area_m2"] == pytest.approx(pieces)
    # Squares of 200 mm, two layers at each of four corners and at each trim joint.
    side = 0.2
    layers = sum(patch["layers"] for patch in mat["patches"])
    assert areas["patches"] == pytest.approx(layers * side * side)
    assert areas == pytest.approx(mat["areas"])


def test_the_cheapest_rolls_are_chosen_and_bad_ones_refused() -> None:
    shape = box(0, 0, 7570, 5020)
    offers = [(1000, 90000, 150), (1000, 25000, 50), (1250, 40000, 72)]

    def mat(rolls: list[tuple[int, int, int]]) -> dict[str, Any]:
        (width, length, price), *others = rolls
        return {
            "width": width,
            "roll": length,
            "price": price,
            "other_rolls": [{"width": w, "length": n, "price": p} for w, n, p in others],
        }

    def cost(rolls: list[tuple[int, int, int]]) -> float:
        lines = upstand.plan(job_of(shape, mat(rolls))).to_dict()["takeoff"]
        (line,) = (line for line in lines if line["material"] == "mat")
        return float(line["cost"])

    # The deck is 7.4 m x 4.85 m: six strips of 1 m are 44.4 m, four of 1.25 m are 29.6 m.
    assert [cost([offer]) for offer in offers] == [150, 100, 72]
    assert cost(offers) == 72
    assert cost(offers[:2]) == 100
    plan = upstand.plan(job_of(shape, mat(offers)))
    assert "mat_width_chosen" in {finding.code for finding in plan.findings}
    lists = {cut["material"]: cut for cut in plan.to_dict()["cut_lists"]}
    assert lists["mat"]["bar_count"] == 1
    assert lists["tape"]["bar_count"] >= 1
    with pytest.raises(upstand.Error) as caught:
        upstand.plan(job_of(shape, mat([*offers, (20, 40000, 1)])))
    assert caught.value.path == "/system/mat/other_rolls/2/width"
