"""The two trims of a corner as bodies in space: gap and clash of their ends, with NumPy alone.

Nothing here knows how a mitre or a notch is worked out. Each facet is a slab as thick as the material. The body of
an end is sampled: its points up to the mark, less the notches, must lie outside the other trim's body, and where both
ends are mitred alike, the two marks must be the same line in space.
"""

from __future__ import annotations

import itertools
import json
import math
import os
import random
from typing import Any

import pytest

import upstand

np = pytest.importorskip("numpy")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "60"))
KINDS = ["drip", "abutment", "open_side"]
THICKNESS = 1.8
# Bodies that touch may share this much, in millimetres: what the library takes for contact, and its rounding.
PLAY = 0.06


class Trim:
    """A trim at a corner: its section in (outward, up), its axis towards the corner, its side."""

    def __init__(self, section: list[list[float]], axis: Any, out: Any, lift: float, mark: list[list[float]]) -> None:
        self.points = np.array(section, dtype=float) + np.array([0.0, lift])
        self.axis, self.out, self.mark = axis, out, np.array(mark, dtype=float)
        self.notches: list[tuple[int, Any]] = []
        # A saw cuts a plane: how far the end reaches is linear in the outward offset.
        offsets = np.column_stack([self.points[:, 0], np.ones(len(self.points))])
        self.plane = np.linalg.lstsq(offsets, self.mark[:, 1], rcond=None)[0]
        assert np.abs(offsets @ self.plane - self.mark[:, 1]).max() < 0.01, "the mark is no plane cut"

    def facets(self) -> Any:
        for i, (p, q) in enumerate(itertools.pairwise(self.points)):
            width = math.dist(p, q)
            direction = (q - p) / width
            # Seen along the section, the material lies to the right.
            inward = np.array([direction[1], -direction[0]])
            yield i, p, direction, inward, width

    def place(self, facet: int, s: Any, depth: Any, along: Any) -> Any:
        """Points in space of a facet, so far across it, so deep in the material, so far along."""
        _, p, direction, inward, _ = list(self.facets())[facet]
        uv = p + np.outer(s, direction) + np.outer(depth, inward)
        up = np.array([0.0, 0.0, 1.0])
        return np.outer(along, self.axis) + np.outer(uv[:, 0], self.out) + np.outer(uv[:, 1], up)

    def holds(self, points: Any, by: float) -> Any:
        """Which points lie inside the body by more than `by`, whatever its notches."""
        along, u, v = points @ self.axis, points @ self.out, points[:, 2]
        inside = np.zeros(len(points), dtype=bool)
        end = u * self.plane[0] + self.plane[1]
        for _, p, direction, inward, width in self.facets():
            s = (u - p[0]) * direction[0] + (v - p[1]) * direction[1]
            depth = (u - p[0]) * inward[0] + (v - p[1]) * inward[1]
            within = (s > by) & (s < width - by) & (depth > by) & (depth < THICKNESS - by) & (along < end - by)
            inside |= within
        return inside


def in_polygon(points: Any, polygon: Any) -> Any:
    """Even-odd rule."""
    inside = np.zeros(len(points), dtype=bool)
    x, y = points[:, 0], points[:, 1]
    for (x0, y0), (x1, y1) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        if y0 != y1:
            inside ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
    return inside


def corner(interior: float, kinds: list[str]) -> tuple[dict[str, Any], dict[str, Any]]:
    """A roof with one corner at the origin, its first edge arriving along x; the job and its plan."""
    turn = math.radians(180 - interior)
    leaves = (math.cos(turn), math.sin(turn))
    far = 20_000
    points = [[-far, 0], [0, 0], [far * leaves[0], far * leaves[1]]]
    if interior > 180:
        points += [[far * 2, -far * 2], [far * 2, far * 2], [-far, far * 2]]
    job = {
        "schema": "upstand/job/1",
        "roofs": [{"outer": {"points": points, "kinds": [*kinds, *["drip"] * (len(points) - 2)]}}],
    }
    return job, upstand.plan(job).to_dict()


def sections() -> dict[str, list[list[float]]]:
    system = upstand.Job(roofs=[{"outer": {"points": [[0, 0], [1, 0], [0, 1]], "kinds": ["drip"] * 3}}]).to_dict()[
        "system"
    ]
    return {kind: system["trims"][kind]["section"]["points"] for kind in KINDS}


def ends(interior: float, kinds: list[str]) -> tuple[Trim, Trim, list[str]]:
    """The two trims at the corner, as the plan cuts them, and how."""
    _, plan = corner(interior, kinds)
    trims = plan["roofs"][0]["trims"]
    here = next(c for c in trims["corners"] if c["at"] == [0, 0])
    runs = [trims["runs"][here["before"]], trims["runs"][here["after"]]]
    turn = math.radians(180 - interior)
    arrives, leaves = np.array([1.0, 0.0, 0.0]), np.array([math.cos(turn), math.sin(turn), 0.0])
    # What is fixed second lies on the first.
    second = 0 if KINDS.index(kinds[0]) > KINDS.index(kinds[1]) else 1
    found, cuts = [], []
    for i, (run, side) in enumerate(zip(runs, ["end", "start"], strict=True)):
        end = run[side]
        cuts.append(end["cut"])
        template = next((t for t in plan["templates"] if t["end"] == side and run["mark"] in t["runs"]), None)
        points = sections()[kinds[i]]
        girth = np.concatenate([[0.0], np.cumsum([math.dist(p, q) for p, q in itertools.pairwise(points)])])
        mark = template["development"]["mark"] if template else [[g, end["gain"]] for g in girth]
        direction = leaves if i else arrives
        out = np.array([direction[1], -direction[0], 0.0])
        lift = THICKNESS if i == second and "mitre" not in (runs[0]["end"]["cut"], runs[1]["start"]["cut"]) else 0.0
        trim = Trim(points, -leaves if i else arrives, out, lift, mark)
        for notch in template.get("notches", []) if template else []:
            trim.notches.append((notch["facet"], np.array(notch["outline"], dtype=float)))
        found.append(trim)
    return found[0], found[1], cuts


def clash(one: Trim, other: Trim, generator: Any) -> int:
    """How many of many points of one trim, as cut, lie inside the other."""
    count = 0
    girth = 0.0
    for i, p, direction, inward, width in one.facets():
        n = 4000
        s, depth = generator.uniform(0, width, n), generator.uniform(0, THICKNESS, n)
        u = p[0] + s * direction[0] + depth * inward[0]
        along = u * one.plane[0] + one.plane[1] - generator.uniform(0, 300, n)
        kept = np.ones(n, dtype=bool)
        for facet, outline in one.notches:
            if facet == i:
                kept &= ~in_polygon(np.column_stack([girth + s, along]), outline)
        points = one.place(i, s[kept], depth[kept], along[kept])
        count += int(other.holds(points, PLAY).sum())
        girth += width
    return count


@pytest.mark.parametrize("kinds", [[a, b] for a in KINDS for b in KINDS], ids="-".join)
def test_bodies_close_without_gap_or_clash(kinds: list[str]) -> None:
    generator = np.random.default_rng(7)
    rng = random.Random("-".join(kinds))
    for _ in range(max(4, CASES // 9)):
        interior = rng.choice([90.0, 90.0, 120.0, 270.0, rng.uniform(40, 160), rng.uniform(200, 320)])
        one, other, cuts = ends(interior, kinds)
        if cuts == ["mitre", "mitre"]:
            # Where cut ends meet, both lie in the plane that bisects the corner.
            faces = [
                [
                    trim.axis * along + trim.out * u + np.array([0, 0, v])
                    for (u, v), (_, along) in zip(trim.points, trim.mark, strict=True)
                ]
                for trim in (one, other)
            ]
            across = one.axis - other.axis
            gap = max(abs(point @ across) / np.linalg.norm(across) for face in faces for point in face)
            assert gap < 0.01, f"{interior}: {gap} mm off the plane"
            if kinds[0] == kinds[1]:
                gap = max(math.dist(p, q) for p, q in zip(*faces, strict=True))
                assert gap < 0.01, f"{interior}: cut ends {gap} mm apart"
        # The one that is notched is the one that was cut back.
        cut, kept = (one, other) if one.notches else (other, one)
        assert clash(cut, kept, generator) == 0, f"{interior}, {cuts}: the bodies clash"


def test_without_its_notch_a_raised_trim_clashes_with_a_wall_trim() -> None:
    one, other, cuts = ends(90.0, ["abutment", "open_side"])
    assert cuts == ["square", "square"]
    assert {facet for facet, _ in other.notches} == {0, 1}
    other.notches = []
    assert clash(other, one, np.random.default_rng(3)) > 10


def test_one_mitre_by_itself_is_the_plans() -> None:
    section = {"points": sections()["drip"], "deck_flange": 0, "face": 1, "thickness": THICKNESS}
    for interior in [60.0, 90.0, 135.0, 225.0, 300.0]:
        _, plan = corner(interior, ["drip", "drip"])
        runs = plan["roofs"][0]["trims"]["runs"]
        run = next(run for run in runs if run["to"] == [0, 0])
        template = next(t for t in plan["templates"] if t["end"] == "end" and run["mark"] in t["runs"])
        # Points of the outline lie on a grid of a micrometre: the corner is the same to a billionth.
        alone = upstand.mitre(section, interior)["ends"][0]["development"]
        assert np.allclose(alone["mark"], template["development"]["mark"], atol=0.002)
    with pytest.raises(upstand.Error) as caught:
        upstand.mitre(section, 5)
    assert caught.value.code == "bad_corner"
    with pytest.raises(upstand.Error) as caught:
        upstand.mitre({**section, "face": 0}, 90)
    assert (caught.value.code, caught.value.path) == ("bad_section", "/section/face")


def test_tables_of_the_set_out() -> None:
    _, plan = corner(90.0, ["abutment", "open_side"])
    whole = upstand.Plan.from_json(json.dumps(plan))
    fixings = whole.table("fixings")
    rows = list(zip(fixings["mark"], fixings["leg"], fixings["turn"], fixings["both"], strict=True))
    wall = next(mark for mark in fixings["mark"] if mark.startswith("A"))
    for mark, legs in [(rows[0][0], ["deck_flange"]), (wall, ["deck_flange", "face"])]:
        turns = [row[2] for row in rows if row[0] == mark]
        assert sorted(turns) == list(range(len(turns)))
        for nth, leg in enumerate(legs):
            of_leg = [row[2] for row in rows if row[:2] == (mark, leg)]
            from_first = [turn - nth * len(of_leg) for turn in of_leg]
            assert (from_first[0], from_first[-1], from_first[len(from_first) // 2]) == (0, 2, 1)
    assert any(row[3] for row in rows)
    assert not all(row[3] for row in rows)
    assert len(whole.table("marks")["template"]) > 0
    assert set(whole.table("notches")["facet"]) == {0, 1}
    assert "strip" in whole.table("runs")["start_closing"] + whole.table("runs")["end_closing"]
    assert "100 mm" in whole.template_svg()
    assert 'width="420mm"' in whole.template_svg(paper="A3")
    with pytest.raises(upstand.Error) as caught:
        whole.template_svg(paper="foolscap")
    assert caught.value.code == "bad_argument"
