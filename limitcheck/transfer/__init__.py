"""Moving a method from one instrument to another: the record, and a new profile for it."""

from __future__ import annotations

from .record import Transfer, transfer

__all__ = ["Transfer", "transfer"]
