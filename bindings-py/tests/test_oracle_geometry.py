"""Areas, insets and the cover of the mat against Shapely (GEOS).

``UPSTAND_ORACLE_CASES`` sets the number of random roofs.
"""

from __future__ import annotations

import math
import os
import random
from typing import Any

import pytest

import upstand

shapely = pytest.importorskip("shapely")
from shapely import affinity  # noqa: E402
from shapely.geometry import LineString, Polygon, box  # noqa: E402
from shapely.ops import unary_union  # noqa: E402

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "100"))
SHARDS = 5
KINDS = ["drip", "abutment", "open_side"]
# How far the deck flange of each trim of the demonstration system reaches in, in millimetres.
FLANGE = {"drip": 85, "abutment": 95, "open_side": 90}
# Mitre points further from their corner than this many times the greater distance are cut off by rule.
MITRE_LIMIT = 8
# Corners of results are on a grid of a micrometre; along an edge that costs the area next to nothing.
GRID = 0.002


def rectilinear(rng: random.Random) -> Polygon:
    """Boxes side by side, overlapping in height."""
    x = 0
    boxes = []
    for _ in range(rng.randint(1, 5)):
        width = rng.randrange(900, 4000)
        boxes.append(box(x, rng.randrange(-1500, 1), x + width, rng.randrange(2500, 6000)))
        x += width
    return unary_union(boxes)


def star(rng: random.Random) -> Polygon:
    """A polygon that its middle sees whole."""
    n = rng.randint(3, 11)
    angles = [(i + rng.uniform(0.1, 0.9)) / n * math.tau for i in range(n)]
    radii = [rng.uniform(2500, 8000) for _ in angles]
    return Polygon([(round(r * math.cos(a)), round(r * math.sin(a))) for a, r in zip(angles, radii, strict=True)])


def random_roof(rng: random.Random) -> Polygon:
    """A valid polygon in whole micrometres, sometimes turned, sometimes with a kerb."""
    while True:
        shape = star(rng) if rng.random() < 0.4 else rectilinear(rng)
        if rng.random() < 0.4:
            shape = affinity.rotate(shape, rng.uniform(0, 360), origin=(0, 0))
        if rng.random() < 0.4:
            inner = shape.buffer(-700)
            if not inner.is_empty:
                at = inner.representative_point()
                kerb = box(at.x - 300, at.y - 200, at.x + 300, at.y + 200)
                if shape.buffer(-100).contains(kerb):
                    shape = shape.difference(kerb)
        shape = shapely.set_precision(shape.simplify(0), 0.001)
        sharp = shape.geom_type == "Polygon" and min(interior_angles(shape)) < 15
        if shape.geom_type == "Polygon" and shape.is_valid and not sharp and shortest_edge(shape) > 60:
            return shape


def rings(shape: Polygon) -> list[list[tuple[float, float]]]:
    return [list(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]


def interior_angles(shape: Polygon) -> list[float]:
    angles = []
    for ring in rings(shape):
        for i in range(len(ring)):
            (ax, ay), (bx, by), (cx, cy) = ring[i - 2], ring[i - 1], ring[i]
            turn = math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax)
            angles.append(180 - abs(math.degrees(math.remainder(turn, math.tau))))
    return angles


def shortest_edge(shape: Polygon) -> float:
    return min(math.dist(ring[i - 1], ring[i]) for ring in rings(shape) for i in range(len(ring)))


def plan_of(shape: Polygon, kinds: str | list[str], system: dict[str, Any] | None = None) -> dict[str, Any]:
    roof = upstand.Roof.from_geojson(shape, kinds=kinds, units="mm")
    holes = [hole | {"kinds": [kinds] * len(hole["points"])} for hole in roof.to_dict().get("holes", [])]
    whole = roof.to_dict() | ({"holes": holes} if isinstance(kinds, str) and holes else {})
    job: dict[str, Any] = {"schema": "upstand/job/1", "roofs": [whole]}
    if system:
        job["system"] = system
    return upstand.plan(job).to_dict()["roofs"][0]


def area_of(rings_of_points: list[list[list[float]]]) -> Any:
    """The area inside rings by the even-odd rule."""
    area = Polygon()
    for ring in rings_of_points:
        area = area.symmetric_difference(Polygon(ring))
    return area


def furthest_mitre(ring: list[tuple[float, float]], depths: list[int]) -> float:
    """How far the furthest mitre point of a convex ring lies from its corner, in multiples of the greater depth.

    A point with distances a and b from two lines that meet at an angle t lies sqrt(a^2 + b^2 - 2 a b cos t) / sin t
    from where they meet.
    """
    furthest = 0.0
    for i in range(len(ring)):
        (ax, ay), (bx, by), (cx, cy) = ring[i - 2], ring[i - 1], ring[i]
        turn = abs(math.remainder(math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax), math.tau))
        a, b = depths[i - 2], depths[i - 1]
        reach = math.sqrt(a * a + b * b - 2 * a * b * math.cos(turn)) / math.sin(turn)
        furthest = max(furthest, reach / max(a, b))
    return furthest


def shards() -> Any:
    return pytest.mark.parametrize("shard", range(SHARDS))


@shards()
def test_areas(shard: int) -> None:
    rng = random.Random(f"areas {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        shape = random_roof(rng)
        assert plan_of(shape, rng.choice(KINDS))["area_m2"] == pytest.approx(shape.area / 1e6, abs=1e-6)


@shards()
def test_seams_of_one_kind_are_a_mitred_inset(shard: int) -> None:
    rng = random.Random(f"inset {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        shape = random_roof(rng)
        kind = rng.choice(KINDS)
        mat = plan_of(shape, kind)["mat"]
        inset = shape.buffer(-FLANGE[kind], join_style="mitre", mitre_limit=100)
        seams = area_of([seam["points"] for seam in mat["seams"]])
        assert seams.symmetric_difference(inset).area <= GRID * shape.length, shape.wkt
        assert mat["area_m2"] == pytest.approx(inset.area / 1e6, abs=1e-5)
        length = sum(seam["length"] for seam in mat["seams"])
        assert length == pytest.approx(inset.length, abs=0.05)
        assert mat["tape"] == pytest.approx(length, abs=1e-9)


@shards()
def test_seams_of_mixed_kinds_in_a_convex_roof_are_half_planes(shard: int) -> None:
    rng = random.Random(f"half-planes {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        shape = shapely.set_precision(star(rng).convex_hull, 0.001)
        ring = rings(shape)[0]
        kinds = [rng.choice(KINDS) for _ in ring]
        if furthest_mitre(ring, [FLANGE[kind] for kind in kinds]) > MITRE_LIMIT:
            continue
        roof = upstand.Roof.from_geojson(shape, kinds=kinds, units="mm")
        plan = upstand.plan({"schema": "upstand/job/1", "roofs": [roof.to_dict()]}).to_dict()["roofs"][0]
        wanted = shape
        turns_left = shape.exterior.is_ccw
        for i, kind in enumerate(kinds):
            (ax, ay), (bx, by) = ring[i], ring[(i + 1) % len(ring)]
            far = 1e5 / math.dist((ax, ay), (bx, by))
            line = LineString(
                [
                    (ax - (bx - ax) * far, ay - (by - ay) * far),
                    (bx + (bx - ax) * far, by + (by - ay) * far),
                ]
            )
            depth = FLANGE[kind] if turns_left else -FLANGE[kind]
            wanted = wanted.difference(line.buffer(depth, single_sided=True, cap_style="flat"))
        seams = area_of([seam["points"] for seam in plan["mat"]["seams"]])
        assert seams.symmetric_difference(wanted).area <= GRID * shape.length, (shape.wkt, kinds)


@shards()
def test_strips_cover_the_mat_and_lap(shard: int) -> None:
    rng = random.Random(f"strips {shard}")
    for _ in range(max(1, CASES // SHARDS)):
        shape = random_roof(rng)
        width, lap = rng.choice([(1000, 50), (1000, 100), (1250, 75)])
        system = {"mat": {"width": width, "lap": lap, "direction": rng.choice(["drip", "best"])}}
        mat = plan_of(shape, rng.choice(KINDS), system)["mat"]
        seams = area_of([seam["points"] for seam in mat["seams"]])
        pieces = [[area_of(piece["outline"]) for piece in strip["pieces"]] for strip in mat["strips"]]
        strips = [unary_union(strip) for strip in pieces]
        tolerance = GRID * (shape.length + sum(strip.length for strip in strips))
        assert unary_union(strips).symmetric_difference(seams).area <= tolerance, shape.wkt
        laid = sum(piece.area for strip in pieces for piece in strip)
        assert mat["laid_m2"] == pytest.approx(laid / 1e6, abs=1e-5)
        # In the strips' own frame each lies in a band no wider than the roll, and its cover is that of its band.
        angle = -math.degrees(math.atan2(mat["direction"][1], mat["direction"][0]))
        bands = [affinity.rotate(strip, angle, origin=(0, 0)).bounds for strip in strips]
        for i, (_, low, _, high) in enumerate(bands):
            # The strips' direction is that of a line between points of the grid.
            assert high - low <= width + GRID + 1e-6 * strips[i].length
            if i and not seams.is_empty:
                below = bands[i - 1][3]
                apart = (
                    low > below
                    and affinity.rotate(seams, angle, origin=(0, 0))
                    .intersection(LineString([(-1e6, (low + below) / 2), (1e6, (low + below) / 2)]))
                    .is_empty
                )
                assert apart or below - low >= lap - GRID - 1e-6 * strips[i].length, (i, shape.wkt)
