"""One mitre by itself against the plan's, and the tables and templates of the set-out as Python hands them over."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

import upstand

np = pytest.importorskip("numpy")

KINDS = ["drip", "abutment", "open_side"]
THICKNESS = 1.8


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
        "preferences": {"nodes": 1},
        "roofs": [{"outer": {"points": points, "kinds": [*kinds, *["drip"] * (len(points) - 2)]}}],
    }
    return job, upstand.plan(job).to_dict()


def sections() -> dict[str, list[list[float]]]:
    system = upstand.Job(roofs=[{"outer": {"points": [[0, 0], [1, 0], [0, 1]], "kinds": ["drip"] * 3}}]).to_dict()[
        "system"
    ]
    return {kind: system["trims"][kind]["section"]["points"] for kind in KINDS}


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


def cut_of(end: Any) -> tuple[str, float, float]:
    """How the plan says an end of a piece is cut, as the table of pieces has it."""
    if end == "square":
        return end, 0.0, 0.0
    if "mitre" in end:
        return f"mitre_{end['mitre']['hand']}", end["mitre"]["angle_deg"], 0.0
    return f"lap_{'over' if end['lap']['over'] else 'under'}", 0.0, end["lap"]["length"]


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
    runs = whole.table("runs")
    assert "strip" in runs["start_closing"] + runs["end_closing"]
    for row, run in enumerate(plan["roofs"][0]["trims"]["runs"]):
        for side in ["start", "end"]:
            end = run[side]
            assert (runs[f"{side}_cut"][row], runs[f"{side}_hand"][row]) == (end["cut"], end.get("hand"))
            assert (runs[f"{side}_gain_mm"][row], runs[f"{side}_short_mm"][row]) == (end["gain"], end["short"])
        assert runs["beads"][row] == len(run.get("beads", []))
    pieces = whole.table("pieces")
    marked = [piece for cuts in plan["cut_lists"] for bar in cuts["bars"] for piece in bar["pieces"]]
    for side in ["start", "end"]:
        columns = [pieces[f"{side}_{name}"] for name in ["cut", "angle_deg", "lap_mm"]]
        assert list(zip(*columns, strict=True)) == [cut_of(piece[side]) for piece in marked]
    assert {"square", "mitre_left", "mitre_right", "lap_over", "lap_under"} > set(pieces["start_cut"]) > {"square"}
    assert set(whole.table("templates")["fold_mm"]) == {None}
    assert "100 mm" in whole.template_svg()
    assert 'width="420mm"' in whole.template_svg(paper="A3")
    with pytest.raises(upstand.Error) as caught:
        whole.template_svg(paper="foolscap")
    assert caught.value.code == "bad_argument"
