"""Flat-roof detailing geometry: trims, cut lists, glass mat and take-off, computed exactly.

Lengths are millimetres, areas square metres, masses kilograms, temperatures degrees Celsius.

Example:
    >>> import upstand
    >>> cut = upstand.cut_list(runs=[5950, 900, 900], bar=3000, lap=50, least_piece=300)
    >>> cut.bar_count, cut.joint_count, cut.proven
    (3, 1, True)
"""

from __future__ import annotations

from upstand._error import Error
from upstand._upstand import (
    CutBar,
    CutList,
    Finding,
    Job,
    Piece,
    Plan,
    Roof,
    __version__,
    check,
    check_cut_list,
    cut_list,
    error_codes,
    plan,
    solve_cutting,
)

__all__ = [
    "CutBar",
    "CutList",
    "Error",
    "Finding",
    "Job",
    "Piece",
    "Plan",
    "Roof",
    "__version__",
    "check",
    "check_cut_list",
    "cut_list",
    "error_codes",
    "plan",
    "solve_cutting",
]
