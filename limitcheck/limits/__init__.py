"""Proposed cutoffs, what binds them, and what would make room where there are none."""

from __future__ import annotations

from .proposal import Bound, Limit, Proposal, Reached, propose

__all__ = ["Bound", "Limit", "Proposal", "Reached", "propose"]
