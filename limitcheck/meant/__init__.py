"""Which number was meant: the smallest slip under which a profile's numbers agree."""

from __future__ import annotations

from .common_unit import may_be_ruled_out, only_unit, ruled_out, unit_costs
from .evidence import Evidence, Group, MeantNumber, Predicted, RatedPath
from .odds import Explanation, Judgement
from .search import Meant, judge

__all__ = [
    "Evidence",
    "Explanation",
    "Group",
    "Judgement",
    "Meant",
    "MeantNumber",
    "Predicted",
    "RatedPath",
    "judge",
    "may_be_ruled_out",
    "only_unit",
    "ruled_out",
    "unit_costs",
]
