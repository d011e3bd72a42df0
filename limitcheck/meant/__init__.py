"""Which number was meant: the smallest slip under which a profile's numbers agree."""

from __future__ import annotations

from .numbers import Change, Evidence, Group, Predicted
from .odds import Explanation, Judgement
from .search import Meant, judge

__all__ = ["Change", "Evidence", "Explanation", "Group", "Judgement", "Meant", "Predicted", "judge"]
