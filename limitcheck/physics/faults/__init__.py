"""What each usual fault does to the pressure, and whether a cutoff stops it.

Pressures are SI floats in pascal. The pressure under a fault is the normal band (declared,
or else predicted) times a ratio: of two predictions where physics is needed, else of flows.
"""

from __future__ import annotations

from .changes import NormalRun, Where
from .effects import FaultEffect, Faults, NotComputed, Smallest
from .normal import Cutoff, Normal
from .overload import NotRated, Overload, Overloads, Passed, not_rated, overload

__all__ = [
    "Cutoff",
    "FaultEffect",
    "Faults",
    "Normal",
    "NormalRun",
    "NotComputed",
    "NotRated",
    "Overload",
    "Overloads",
    "Passed",
    "Smallest",
    "Where",
    "not_rated",
    "overload",
]
