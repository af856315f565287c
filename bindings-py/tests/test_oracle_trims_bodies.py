"""The two trims of a corner built as bodies in space from the plan's marks and notches alone, with NumPy; their gap and
clash measured by linear programming.

Nothing here knows how a mitre or a notch is worked out. Each facet is a slab as thick as the material, from its mark
back; what a notch leaves of it is a few convex cells. A trim that is bent round the corner is cut out flat, and what
lies beyond the fold is turned about it. How deep two bodies share a point is a linear program over each two cells,
solved by HiGHS. Sections, falls of both edges, turns of corners and kerbs are random.
"""

from __future__ import annotations

import contextlib
import itertools
import math
import os
import random
from typing import Any, NamedTuple

import pytest

import upstand

np = pytest.importorskip("numpy")
optimize = pytest.importorskip("scipy.optimize")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "60"))
KINDS = ["drip", "abutment", "open_side"]
FAR = 20_000.0
# How far back from the corner bodies are looked at: further than sections reach.
BACK = 5_000.0
# Marks and outlines are given to the micrometre.
GRAIN = 0.001
# What ends may be apart, or share, in millimetres.
LIMIT = 0.01


class Cell(NamedTuple):
    """A convex body: the points `x` with `normals @ x <= heights`; normals have length 1."""

    normals: Any
    heights: Any

    def and_also(self, normal: Any, height: float) -> Cell:
        size = float(np.linalg.norm(normal))
        return Cell(np.vstack([self.normals, normal / size]), np.append(self.heights, height / size))

    def moved(self, turn: Any, about: Any) -> Cell:
        normals = self.normals @ turn.T
        return Cell(normals, self.heights + normals @ about - self.normals @ about)


def deepest(one: Cell, other: Cell) -> float:
    """How deep a point just within one cell can lie in the other; 0 if they do not meet."""
    rows = np.vstack(
        [
            np.column_stack([one.normals, np.zeros(len(one.heights))]),
            np.column_stack([other.normals, np.ones(len(other.heights))]),
        ]
    )
    limits = np.concatenate([one.heights - GRAIN, other.heights])
    found = optimize.linprog(
        [0, 0, 0, -1], A_ub=rows, b_ub=limits, bounds=[(None, None)] * 3 + [(0, None)], method="highs"
    )
    return -float(found.fun) if found.status == 0 else 0.0


class Body:
    """One trim at a corner: its section in (outward, up), its axis towards the corner, its outer side, what is up."""

    def __init__(
        self,
        section: dict[str, Any],
        frame: tuple[Any, Any, Any],
        lift: float,
        end: tuple[Any, Any],
        fold: tuple[float, Any] | None,
    ) -> None:
        mark, notches = end
        self.points = np.array(section["points"], dtype=float) + np.array([0.0, lift])
        self.thickness = float(section["thickness"])
        self.axis, self.out, self.up = frame
        self.mark = np.array(mark, dtype=float)
        self.notches = [(notch["facet"], np.array(notch["outline"], dtype=float)) for notch in notches]
        # How far beyond the corner the face is folded, and the turn that what lies beyond takes.
        self.fold, self.turn = fold or (math.inf, np.eye(3))
        self.is_bent = fold is not None
        face = self.points[section["face"], 0]
        self.hinge = self.axis * self.fold + self.out * face if self.is_bent else np.zeros(3)
        widths = [math.dist(p, q) for p, q in itertools.pairwise(self.points)]
        self.girth = np.concatenate([[0.0], np.cumsum(widths)])
        # A saw cuts a plane: how far the end reaches is linear in the outward offset.
        offsets = np.column_stack([self.points[:, 0], np.ones(len(self.points))])
        self.slope, self.reach = np.linalg.lstsq(offsets, self.mark[:, 1], rcond=None)[0]
        assert np.abs(offsets @ [self.slope, self.reach] - self.mark[:, 1]).max() < LIMIT, "the mark is no plane cut"

    def axes(self, i: int) -> tuple[Any, Any, float, float]:
        """Directions across a facet and into its material, and where its start and its outer surface lie along them."""
        p, q = self.points[i], self.points[i + 1]
        a, b = (q - p) / np.linalg.norm(q - p)
        across, deep = a * self.out + b * self.up, b * self.out - a * self.up
        return across, deep, float(p[0] * a + p[1] * b), float(p[0] * b - p[1] * a)

    def slab(self, i: int) -> Cell:
        across, deep, start, outer = self.axes(i)
        width = float(self.girth[i + 1] - self.girth[i])
        cell = Cell(
            np.array([-across, across, -deep, deep]), np.array([-start, start + width, -outer, outer + self.thickness])
        )
        return cell.and_also(-self.axis, BACK).and_also(self.axis - self.slope * self.out, self.reach)

    def corners(self, i: int) -> Any:
        """The eight corners of a slab."""
        across, deep, start, outer = self.axes(i)
        found = []
        for s, d in itertools.product(
            (start, start + self.girth[i + 1] - self.girth[i]), (outer, outer + self.thickness)
        ):
            side = across * s + deep * d
            end = self.slope * float(side @ self.out) + self.reach
            found += [side + self.axis * along for along in (-BACK, end)]
        return np.array(found)

    def cells(self, i: int) -> list[Cell]:
        """What the notches leave of a facet, strip by strip between the points of their outlines."""
        slab = self.slab(i)
        across, _, start, _ = self.axes(i)
        outlines = [outline for facet, outline in self.notches if facet == i]
        stations = sorted({self.girth[i], self.girth[i + 1], *(g for outline in outlines for g in outline[:, 0])})
        cells = []
        for low, high in itertools.pairwise(stations):
            strip = slab.and_also(-across, -(start + low - self.girth[i])).and_also(
                across, start + high - self.girth[i]
            )
            middle = (low + high) / 2
            sides = []
            for outline in outlines:
                for (g0, x0), (g1, x1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
                    if min(g0, g1) < middle < max(g0, g1):
                        slope = (x1 - x0) / (g1 - g0)
                        sides.append((x0 + slope * (middle - g0), slope))
            sides.sort()
            # A notch is cut square through the material, a slit of a trim that is bent round plumb, as its end is.
            p, q = self.points[i], self.points[i + 1]
            leans = (q[0] - p[0]) / (self.girth[i + 1] - self.girth[i])
            if self.is_bent and abs(leans) > 1e-6:
                along, at_middle = self.out / leans, (p[0] + leans * (middle - self.girth[i])) / leans
            else:
                along, at_middle = across, start + middle - self.girth[i]
            # Left and cut out take turns along the strip.
            for k in range(0, len(sides) + 1, 2):
                cell = strip
                for (height, slope), sign in [(side, -1.0) for side in sides[max(k - 1, 0) : k]] + [
                    (side, 1.0) for side in sides[k : k + 1]
                ]:
                    cell = cell.and_also(sign * (self.axis - slope * along), sign * (height - slope * at_middle))
                cells.append(cell)
        return cells

    def solids(self) -> list[Cell]:
        """The body whole, and where it is bent round the corner as it is cut, folded."""
        facets = range(len(self.points) - 1)
        if not self.is_bent:
            return [self.slab(i) for i in facets]
        flat = [cell for i in facets for cell in self.cells(i)]
        near = [cell.and_also(self.axis, self.fold) for cell in flat]
        far = [cell.and_also(-self.axis, -self.fold).moved(self.turn, self.hinge) for cell in flat]
        return [cell for cell in near + far if deepest(cell, cell) > GRAIN]

    def folded(self, girth: float, along: float) -> Any:
        """Where a point of the flat lies in space."""
        i = min(int(np.searchsorted(self.girth, girth, side="right")) - 1, len(self.points) - 2)
        share = (girth - self.girth[i]) / (self.girth[i + 1] - self.girth[i])
        u, v = self.points[i] + share * (self.points[i + 1] - self.points[i])
        at = self.axis * along + self.out * u + self.up * v
        return self.turn @ (at - self.hinge) + self.hinge if along > self.fold else at

    def marked(self) -> Any:
        """The marked points of the end in space."""
        return np.array(
            [
                self.axis * along + self.out * u + self.up * v
                for (u, v), (_, along) in zip(self.points, self.mark, strict=True)
            ]
        )


def near(one: Body, i: int, other: Body, j: int) -> bool:
    """Whether no face of either slab keeps the other off."""
    for a, b in (((one, i), (other, j)), ((other, j), (one, i))):
        cell, points = a[0].slab(a[1]), b[0].corners(b[1])
        if (cell.normals @ points.T >= cell.heights[:, None] - GRAIN).all(axis=1).any():
            return False
    return True


def clash(cut: Body, kept: Body) -> float:
    """How deep the deepest point of one body, as cut, lies in the other."""
    worst = 0.0
    solids = kept.solids()
    for i in range(len(cut.points) - 1):
        slabs = solids if kept.is_bent else [slab for j, slab in enumerate(solids) if near(cut, i, kept, j)]
        if slabs:
            worst = max(worst, *(deepest(cell, slab) for cell in cut.cells(i) for slab in slabs))
    return worst


def spare(cut: Body, kept: Body) -> float:
    """How far the inner edge of a notch stays off the body it was cut for, where it is furthest: the gap left open."""
    worst = 0.0
    solids = kept.solids()
    for facet, outline in cut.notches:
        across, deep, start, outer = cut.axes(facet)
        # The last two points lie on the end.
        for (g0, x0), (g1, x1) in itertools.pairwise(outline[:-2]):
            if g1 - g0 < 2 * GRAIN:
                continue
            origin = across * (start + (g0 + g1) / 2 - cut.girth[facet]) + deep * outer + cut.axis * (x0 + x1) / 2
            gaps = []
            for slab in solids:
                # The point of a line through the material that comes nearest to a slab: least s, `n . x <= h + s`.
                rows = np.column_stack([slab.normals @ deep, -np.ones(len(slab.heights))])
                limits = slab.heights - slab.normals @ origin
                found = optimize.linprog(
                    [0, 1], A_ub=rows, b_ub=limits, bounds=[(0, cut.thickness), (0, None)], method="highs"
                )
                gaps.append(float(found.fun))
            worst = max(worst, min(gaps))
    return worst


def slit_ends(body: Body) -> float:
    """How far apart the two edges of a slit are at most when the trim is bent."""
    worst = 0.0
    for _, outline in body.notches:
        for near_side, far_side in zip(outline[: len(outline) // 2], outline[::-1], strict=False):
            gap = body.folded(*near_side) - body.folded(*far_side)
            worst = max(worst, float(np.linalg.norm(gap)))
    return worst


def section(rng: random.Random) -> dict[str, Any]:
    """A level deck flange, then any points that can be bent."""
    while True:
        inner = rng.randint(-150, -30)
        points = [[inner, 0], [rng.randint(inner + 10, 40), 0]]
        points += [[rng.randint(-40, 60), rng.randint(-120, 180)] for _ in range(rng.randint(1, 4))]
        made = {"points": points, "deck_flange": 0, "face": len(points) - 2, "thickness": rng.randint(8, 30) / 10}
        with contextlib.suppress(upstand.Error):
            upstand.mitre(made, 90)
            return made


def turned(interior: float) -> tuple[float, float]:
    turn = math.radians(180 - interior)
    return math.cos(turn), math.sin(turn)


def outer_roof(interior: float, kinds: list[str], levels: list[float]) -> dict[str, Any]:
    """A roof with one corner at the origin, its first edge arriving along x."""
    x, y = turned(interior)
    points = [[-FAR, 0], [0, 0], [FAR * x, FAR * y]]
    if interior > 180:
        points += [[FAR * 2, -FAR * 2], [FAR * 2, FAR * 2], [-FAR, FAR * 2]]
    more = len(points) - 3
    return {
        "outer": {"points": points, "kinds": [*kinds, *["drip"] * (more + 1)], "levels": [*levels, *[0] * more]},
    }


def kerb_roof(interior: float, kinds: list[str], levels: list[float]) -> dict[str, Any]:
    """A kerb of three or four sides round which the roof turns by `interior` at the origin."""
    x, y = turned(interior)
    size = 2_000
    # The roof lies to the left: the kerb is run round clockwise, and its corner points into the roof.
    points = [[-size, 0], [0, 0], [size * x, size * y]]
    wide = 3 * size
    square = [[-wide, -wide], [wide, -wide], [wide, wide], [-wide, wide]]
    return {
        "outer": {"points": square, "kinds": ["drip"] * 4},
        "holes": [{"points": points, "kinds": [*kinds, "abutment"], "levels": levels}],
    }


def bodies(
    roof: dict[str, Any], system: dict[str, Any], kinds: list[str], levels: list[float]
) -> tuple[list[Body], list[str]]:
    """The two trims at the origin as the plan cuts them, and how."""
    job = {"schema": "upstand/job/1", "roofs": [roof], "system": system, "preferences": {"nodes": 1}}
    plan = upstand.plan(job).to_dict()
    trims = plan["roofs"][0]["trims"]
    here = next(c for c in trims["corners"] if c["at"] == [0, 0])
    runs = [trims["runs"][here["before"]], trims["runs"][here["after"]]]
    assert [run["kind"] for run in runs] == kinds
    ring = roof["holes"][0] if "holes" in roof else roof["outer"]
    at = [np.array([*point, level], dtype=float) for point, level in zip(ring["points"][:3], levels[:3], strict=True)]
    arrives, leaves = ((q - p) / np.linalg.norm(q - p) for p, q in itertools.pairwise(at))
    up = np.cross(arrives, leaves)
    up = up / np.linalg.norm(up) * np.sign(up[2])
    frames = [(arrives, np.cross(arrives, up), up), (-leaves, np.cross(leaves, up), up)]
    cuts = [runs[0]["end"]["cut"], runs[1]["start"]["cut"]]
    # What laps, or else is fixed second, lies on the other, but for two ends cut in one plane.
    second = cuts.index("lap") if "lap" in cuts else int(KINDS.index(kinds[0]) <= KINDS.index(kinds[1]))
    found = []
    for i, (run, side) in enumerate(zip(runs, ["end", "start"], strict=True)):
        own, other = (system["trims"][kinds[k]]["section"] for k in (i, 1 - i))
        template = next((t for t in plan.get("templates", []) if t["end"] == side and run["mark"] in t["runs"]), None)
        mark = template["development"]["mark"] if template else [[0, run[side]["gain"]]] * len(own["points"])
        lift = other["thickness"] if i == second and cuts != ["mitre", "mitre"] else 0.0
        fold = None
        if cuts[i] == "return":
            # From this edge to the other, seen along the piece.
            (along, out, _), (to, out_there, _) = frames[i], frames[1 - i]
            turn = np.column_stack([-to, out_there, up]) @ np.column_stack([along, out, up]).T
            fold = (template["fold"], turn)
        end = (mark, template.get("notches", []) if template else [])
        found.append(Body(own, frames[i], lift, end, fold))
    return found, cuts


def system_of(rng: random.Random) -> dict[str, Any]:
    """The demonstration system with random sections; bars are long, this is not about cutting."""
    empty = upstand.Job(roofs=[{"outer": {"points": [[0, 0], [1, 0], [0, 1]], "kinds": ["drip"] * 3}}]).to_dict()
    system: dict[str, Any] = empty["system"]
    for kind in KINDS:
        if rng.random() < 0.8:
            system["trims"][kind]["section"] = section(rng)
        system["trims"][kind]["bars"] = [{"length": 50_000}]
    return system


def measure(one: Body, other: Body, cuts: list[str], same: bool) -> dict[str, float]:
    found = {}
    if cuts == ["mitre", "mitre"]:
        across = one.axis - other.axis
        ends = [one.marked(), other.marked()]
        found["off the plane"] = max(float(np.abs(end @ across).max()) for end in ends) / float(np.linalg.norm(across))
        if same:
            found["ends apart"] = float(np.linalg.norm(ends[0] - ends[1], axis=1).max())
    # The one that is notched is the one that was cut back; one that is bent round the corner is slit.
    cut, kept = (one, other) if other.is_bent or (one.notches and not one.is_bent) else (other, one)
    found["clash"] = clash(cut, kept)
    found["notch too large"] = spare(cut, kept)
    if kept.is_bent:
        found["slit open"] = slit_ends(kept)
    return found


@pytest.mark.parametrize("build", [outer_roof, kerb_roof], ids=["outline", "kerb"])
@pytest.mark.parametrize("kinds", [[a, b] for a in KINDS for b in KINDS], ids="-".join)
def test_bodies_close_without_gap_or_clash(kinds: list[str], build: Any) -> None:
    rng = random.Random("-".join(kinds) + build.__name__)
    notched = 0
    for _ in range(max(3, CASES // 10)):
        sharpest, bluntest = (200, 340) if build is kerb_roof else (20, 340)
        interior = rng.choice([270.0, rng.uniform(sharpest, bluntest), rng.uniform(sharpest, bluntest)])
        if build is outer_roof:
            interior = rng.choice([90.0, interior])
        if abs(interior - 180) < 0.5:
            # In line to the system: the ends butt, and no saw is set to it.
            interior += 1
        # Each edge falls by itself, up to 1 in 20 and so more than any flat roof.
        span = FAR if build is outer_roof else 2_000.0
        levels = [0.0, 0.0, 0.0] if rng.random() < 0.3 else [round(rng.uniform(0, span / 20), 3) for _ in range(3)]
        roof = build(interior, kinds, levels)
        count = len(roof["outer"]["points"])
        (one, other), cuts = bodies(roof, system_of(rng), kinds, levels + [0.0] * (count - 3))
        for what, found in measure(one, other, cuts, kinds[0] == kinds[1]).items():
            assert found < LIMIT, f"interior {interior}, levels {levels}, {cuts}: {what} by {found} mm"
        notched += len(one.notches) + len(other.notches)
    if build is outer_roof and kinds[0] != kinds[1]:
        assert notched > 0


@pytest.mark.parametrize("build", [outer_roof, kerb_roof], ids=["outline", "kerb"])
@pytest.mark.parametrize("cut", ["lap", "skew", "return"])
def test_bodies_close_where_the_job_decides(cut: str, build: Any) -> None:
    rng = random.Random(cut + build.__name__)
    notched = 0
    for _ in range(max(6, CASES // 5)):
        sharpest, bluntest = (200, 330) if build is kerb_roof else (30, 330)
        interior = rng.choice([270.0 if build is kerb_roof else 90.0, rng.uniform(sharpest, bluntest)])
        if abs(interior - 180) < 1:
            interior += 2
        kinds = rng.choices(KINDS, k=2)
        stops = {"cut": "square", "reach": rng.choice(["outline", "foot", "seam"]), "gain": rng.randint(-20, 40)}
        goes = {"cut": cut, "gain": rng.randint(-20, 40)}
        if cut == "return":
            goes["gain"] = rng.randint(30, 200)
        else:
            goes["reach"] = rng.choice(["outermost", "behind_face"])
        ends = [stops, goes] if rng.random() < 0.5 else [goes, stops]
        levels = [0.0, 0.0, 0.0] if rng.random() < 0.3 else [round(rng.uniform(0, 100), 3) for _ in range(3)]
        roof = build(interior, kinds, levels)
        ring = roof["holes"][0] if build is kerb_roof else roof["outer"]
        ring["corners"] = [{"point": 1, "ends": ends}]
        count = len(roof["outer"]["points"])
        (one, other), _ = bodies(roof, system_of(rng), kinds, levels + [0.0] * (count - 3))
        assert one.is_bent + other.is_bent == (cut == "return")
        for what, found in measure(one, other, [end["cut"] for end in ends], kinds[0] == kinds[1]).items():
            assert found < LIMIT, f"interior {interior}, levels {levels}, {kinds}, {ends}: {what} by {found} mm"
        bent, cut_back = (one, other) if one.is_bent else (other, one)
        if bent.is_bent and goes["gain"] > LIMIT - bent.fold:
            # Folded, it ends square on the other edge, as far from the corner as the rule says.
            along = [float(bent.folded(*at) @ -cut_back.axis) for at in bent.mark]
            assert np.allclose(along, goes["gain"], atol=LIMIT)
        elif bent.is_bent:
            # An inner corner may have its fold further from the corner: the end is there.
            assert np.allclose(bent.mark[:, 1], bent.fold, atol=LIMIT)
        notched += len(one.notches) + len(other.notches)
    assert notched > 0


def test_without_its_notch_a_raised_trim_clashes_with_a_wall_trim() -> None:
    empty = upstand.Job(roofs=[{"outer": {"points": [[0, 0], [1, 0], [0, 1]], "kinds": ["drip"] * 3}}]).to_dict()
    kinds, levels = ["abutment", "open_side"], [0.0, 0.0, 0.0]
    (one, other), cuts = bodies(outer_roof(90.0, kinds, levels), empty["system"], kinds, levels)
    assert cuts == ["square", "square"]
    assert {facet for facet, _ in other.notches} == {0, 1}
    assert clash(other, one) < LIMIT
    # The flange would run 28 mm into the fillet, through the 1.8 mm of its material.
    other.notches = []
    assert clash(other, one) > 0.4
    # A notch 1 mm too large leaves a gap of a millimetre on the flange.
    (one, other), _ = bodies(outer_roof(90.0, kinds, levels), empty["system"], kinds, levels)
    other.notches = [(facet, outline - np.array([0.0, 1.0])) for facet, outline in other.notches]
    assert spare(other, one) > 0.5
