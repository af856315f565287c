"""Adjustment against SciPy's least squares, blunder detection on seeded blunders, dew points against psychrolib.

``UPSTAND_ORACLE_CASES`` sets the number of random networks.
"""

from __future__ import annotations

import math
import os
import random
from typing import Any

import pytest

import upstand

np = pytest.importorskip("numpy")
optimize = pytest.importorskip("scipy.optimize")

CASES = int(os.environ.get("UPSTAND_ORACLE_CASES", "1000"))
SHARDS = 5
TAPE_MM = 3.0


def roof(rng: random.Random) -> list[tuple[float, float]]:
    """Corners of a roof that its middle sees whole, the first side along x."""
    n = rng.randint(4, 9)
    angles = [(i + rng.uniform(0.15, 0.85)) / n * math.tau for i in range(n)]
    radii = [rng.uniform(2500, 7000) for _ in angles]
    points = [(r * math.cos(a), r * math.sin(a)) for a, r in zip(angles, radii, strict=True)]
    (ox, oy), (qx, qy) = points[0], points[1]
    far = math.hypot(qx - ox, qy - oy)
    cos, sin = (qx - ox) / far, (qy - oy) / far
    return [((x - ox) * cos + (y - oy) * sin, (y - oy) * cos - (x - ox) * sin) for x, y in points]


def pairs(rng: random.Random, n: int) -> list[tuple[int, int]]:
    """Sides, ties that hold every corner to two before it, and a few more: about half as many again as needed."""
    chosen = {(i, (i + 1) % n) if i + 1 < n else (0, n - 1) for i in range(n)}
    chosen |= {(i - 2, i) for i in range(2, n)}
    others = [(i, j) for i in range(n) for j in range(i + 1, n) if (i, j) not in chosen]
    rng.shuffle(others)
    return sorted(chosen | set(others[: n - 1]))


def network(
    points: list[tuple[float, float]], tied: list[tuple[int, int]], errors: list[float]
) -> tuple[dict[str, Any], list[float]]:
    names = [f"P{i}" for i in range(len(points))]
    # Lengths are exact to the micrometre in the library: give both sides the same.
    lengths = [round(math.dist(points[i], points[j]) + e, 3) for (i, j), e in zip(tied, errors, strict=True)]
    measurements = [
        {"distance": {"from": names[i], "to": names[j], "length": length}}
        for (i, j), length in zip(tied, lengths, strict=True)
    ]
    document = {
        "schema": "upstand/network/1",
        "outline": names,
        "measurements": measurements,
        "precision": {"tape": TAPE_MM},
    }
    return document, lengths


def unknowns(points: Any) -> Any:
    """The first point stays, the second stays on the x axis."""
    flat = np.asarray(points, dtype=float).ravel()
    return np.concatenate([flat[2:3], flat[4:]])


def positions(free: Any) -> Any:
    return np.concatenate([[0.0, 0.0], free[:1], [0.0], free[1:]]).reshape(-1, 2)


@pytest.mark.parametrize("shard", range(SHARDS))
def test_coordinates_and_covariance_are_those_of_scipy(shard: int) -> None:
    for case in range(shard, CASES, SHARDS):
        rng = random.Random(case)
        points = roof(rng)
        tied = pairs(rng, len(points))
        document, lengths = network(points, tied, [rng.gauss(0, TAPE_MM) for _ in tied])

        def misfits(free: Any, tied: Any = tied, lengths: Any = lengths) -> Any:
            at = positions(free)
            return np.array([math.dist(at[i], at[j]) - m for (i, j), m in zip(tied, lengths, strict=True)]) / TAPE_MM

        found = optimize.least_squares(misfits, unknowns(points), method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        adjusted = upstand.adjust(document).to_dict()
        at = positions(found.x)
        for point, (x, y) in zip(adjusted["points"], at, strict=True):
            # A hundredth of a millimetre: flat minima are found by SciPy to no more than that.
            assert point["at"] == pytest.approx([x, y], abs=0.01), case
        assert adjusted["sum_of_squares"] == pytest.approx(2 * found.cost, abs=1e-4, rel=1e-5)
        covariance = np.linalg.inv(found.jac.T @ found.jac)
        # Put back the coordinates that stay.
        sd = positions(np.sqrt(np.diag(covariance)))
        for point, (sd_x, sd_y) in zip(adjusted["points"], sd, strict=True):
            assert [point["sd_x_mm"], point["sd_y_mm"]] == pytest.approx([sd_x, sd_y], rel=1e-3, abs=1e-4), case
        redundancy = 1 - np.einsum("ij,jk,ik->i", found.jac, covariance, found.jac)
        got = [residual["redundancy"] for residual in adjusted["residuals"]]
        assert got == pytest.approx(redundancy.tolist(), abs=1e-3), case


def test_seeded_blunders_are_named() -> None:
    """The rates stand in the documentation of ``survey::adjust``: keep both in step."""
    named, alarmed, false_alarms, tried = 0, 0, 0, 400
    for case in range(tried):
        rng = random.Random(10_000 + case)
        points = roof(rng)
        tied = pairs(rng, len(points))
        errors = [rng.gauss(0, TAPE_MM) for _ in tied]
        clean, _ = network(points, tied, errors)
        false_alarms += bool(upstand.adjust(clean).suspects)
        wrong = rng.randrange(len(tied))
        errors[wrong] += rng.choice((-1, 1)) * rng.uniform(50, 150)
        document, _ = network(points, tied, errors)
        suspects = upstand.adjust(document).to_dict()["suspects"]
        alarmed += bool(suspects)
        named += any(suspect["index"] == wrong for suspect in suspects)
    print(f"alarmed {alarmed}, named {named}, false alarms {false_alarms} of {tried}")
    assert alarmed >= 0.97 * tried
    assert named >= 0.90 * tried
    # At 99.9 % for each of about 15 measurements.
    assert false_alarms <= 0.04 * tried


def test_dew_points_are_those_of_psychrolib() -> None:
    """psychrolib takes ice below a dew point of 0.01 degrees Celsius; above it both are over water."""
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    worst = 0.0
    checked = 0
    for air in np.arange(0.5, 40.01, 0.5):
        for humidity in range(30, 96):
            theirs = psychrolib.GetTDewPointFromRelHum(float(air), humidity / 100)
            if theirs > 0.01:
                worst = max(worst, abs(upstand.dew_point(float(air), humidity) - theirs))
                checked += 1
    assert checked > 3000
    assert worst < 0.05


def test_frost_points_are_those_of_psychrolib() -> None:
    """Humidity is relative to liquid water, so the pressure comes from Hyland and Wexler over water.

    psychrolib inverts it by its branch over ice.
    """
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)

    def over_water(celsius: float) -> float:
        kelvin = celsius + 273.15
        terms = (-5.8002206e3 / kelvin, 1.3914993, -4.8640239e-2 * kelvin, 4.1764768e-5 * kelvin**2)
        return math.exp(sum(terms) - 1.4452093e-8 * kelvin**3 + 6.5459673 * math.log(kelvin))

    assert over_water(20) == pytest.approx(psychrolib.GetSatVapPres(20), rel=1e-9)
    checked = 0
    for air in np.arange(-35, 40.01, 0.5):
        for humidity in range(5, 101, 5):
            pressure = over_water(float(air)) * humidity / 100
            # Over ice the air cannot hold more.
            if pressure > psychrolib.GetSatVapPres(float(air)):
                continue
            theirs = psychrolib.GetTDewPointFromVapPres(float(air), pressure)
            if -40 < theirs < 0:
                assert upstand.frost_point(float(air), humidity) == pytest.approx(theirs, abs=0.05)
                checked += 1
    assert checked > 1000


def test_frost_lies_above_the_dew_point_over_water() -> None:
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    # A dew point over water is below the frost point that psychrolib gives: the note of the plan says so.
    for air, humidity in ((0.01, 50), (5, 40), (-5, 80)):
        assert upstand.dew_point(air, humidity) < psychrolib.GetTDewPointFromRelHum(air, humidity / 100)


def test_planes_fall_as_they_do_and_pits_hold_what_they_can() -> None:
    """A plane's gradient and its area, and the pond of a pit by its four triangles, in closed form."""
    rng = random.Random(7)
    for _ in range(40):
        width, depth = rng.randint(2000, 12000), rng.randint(2000, 9000)
        slope_x, slope_y = rng.uniform(-0.03, 0.03), rng.uniform(0.005, 0.03)
        corners = [(0, 0), (width, 0), (width, depth), (0, depth)]
        levels = [round(x * slope_x + y * slope_y, 3) for x, y in corners]
        outer = {"points": [list(corner) for corner in corners], "kinds": ["drip"] * 4, "levels": levels}
        plain = upstand.drain({"outer": outer})
        assert plain is not None
        fall = math.hypot(slope_x, slope_y)
        assert plain["slopes"][0]["fall"] == pytest.approx(fall, abs=1e-5)
        assert plain["slopes"][0]["downhill"] == pytest.approx([-slope_x / fall, -slope_y / fall], abs=1e-4)
        assert sum(way["area_m2"] for way in plain["ways_out"]) == pytest.approx(width * depth / 1e6, abs=0.025)
        assert not plain.get("ponds")
        # A pit below the lowest corner overflows there.
        pit = (rng.randint(500, width - 500), rng.randint(500, depth - 500))
        spill = min(levels)
        low = round(spill - rng.uniform(3, 40), 3)
        found = upstand.drain({"outer": outer}, [{"at": list(pit), "level": low}])
        assert found is not None
        (pond,) = found["ponds"]
        area = 0.0
        for i, (x, y) in enumerate(corners):
            (u, v), j = corners[(i + 1) % 4], (i + 1) % 4
            triangle = abs((x - pit[0]) * (v - pit[1]) - (u - pit[0]) * (y - pit[1])) / 2
            area += triangle * (spill - low) ** 2 / ((levels[i] - low) * (levels[j] - low))
        assert pond["depth"] == pytest.approx(spill - low, abs=2e-3)
        assert pond["area_m2"] == pytest.approx(area / 1e6, abs=1e-3)
        assert pond["volume_l"] == pytest.approx(area * (spill - low) / 3 / 1e6, abs=0.02)


def test_a_roof_without_levels_says_nothing_of_water() -> None:
    square = {"points": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], "kinds": ["drip"] * 4}
    assert upstand.drain({"outer": square}) is None
    with pytest.raises(upstand.Error) as caught:
        upstand.drain({"outer": {**square, "levels": [0, 0, 0]}})
    assert caught.value.code == "level_count"
