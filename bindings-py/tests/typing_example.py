"""What a typed program looks like: checked by mypy --strict, and run."""

from __future__ import annotations

import numpy as np
import shapely

import upstand


def main() -> None:
    """Plans one roof and one cut list."""
    outline = shapely.box(0.0, 0.0, 6.2, 3.9)
    roof = upstand.Roof.from_geojson(
        outline, kinds=["drip", "open_side", "abutment", "open_side"], name="main roof", outlets=[(3.1, 0.4, 0.08)]
    )
    job = upstand.Job(roofs=[roof], name="garden room", preferences={"minimise": "joints"})
    plan = upstand.plan(job)
    same = upstand.plan({"schema": "upstand/job/1", "roofs": [roof.to_dict()]})
    marks: list[str] = plan.table("runs")["mark"]
    graves: list[str] = [finding.text for finding in same.findings if finding.grade == "refuse"]
    print(marks, graves, len(plan.svg()), upstand.check([roof]))

    cut = upstand.cut_list(runs=np.array([5950.0, 900.0, 850.5]), bar=[3000, (2400, None, 2)], lap=50, least_piece=300)
    lengths: list[float] = [piece.length for bar in cut.bars for piece in bar.pieces]
    print(cut.bar_count, cut.joint_count, cut.proven, cut.bound, lengths)

    try:
        upstand.plan(b"{}")
    except upstand.Error as error:
        code: str = error.code
        number: int = error.number
        print(code, number, error.path, [problem.message for problem in error.problems])


if __name__ == "__main__":
    main()
