"""Which unit was meant: the smallest change of units under which a profile's numbers agree."""

from __future__ import annotations

from .evidence import Evidence, Group, Predicted, Reading
from .search import Explanation, Verdict, judge

__all__ = ["Evidence", "Explanation", "Group", "Predicted", "Reading", "Verdict", "judge"]
