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
    Adjusted,
    CutBar,
    CutList,
    Finding,
    Job,
    Piece,
    Plan,
    Progress,
    Report,
    Roof,
    TradeOff,
    __version__,
    adjust,
    check,
    check_cut_list,
    check_record,
    close_traverse,
    cut_list,
    dew_point,
    drain,
    error_codes,
    frost_point,
    mitre,
    plan,
    print_imperial,
    read_imperial,
    solve_cutting,
    trade_offs,
)

__all__ = [
    "Adjusted",
    "CutBar",
    "CutList",
    "Error",
    "Finding",
    "Job",
    "Piece",
    "Plan",
    "Progress",
    "Report",
    "Roof",
    "TradeOff",
    "__version__",
    "adjust",
    "check",
    "check_cut_list",
    "check_record",
    "close_traverse",
    "cut_list",
    "dew_point",
    "drain",
    "error_codes",
    "frost_point",
    "mitre",
    "plan",
    "print_imperial",
    "read_imperial",
    "solve_cutting",
    "trade_offs",
]
