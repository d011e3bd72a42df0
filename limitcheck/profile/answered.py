"""What a profile says of itself: who answers for its findings, and what it was made from."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from .names import LimitField
from .table import LONG, FormatTable, LongText, Text


class AcceptedFinding(FormatTable):
    """`[[accepted]]`: a finding somebody answers for, at a place and for two numbers.

    `limitcheck accept` writes it: without place and value it does not hold.
    """

    check: Text
    at: LongText | None = None
    value: LongText | None = None
    limit: Annotated[str | dict[str, str], LimitField(LONG)] | None = None
    reason: Text
    by: Text
    until: Annotated[date, Field(strict=True)] | None = None


class MadeFrom(FormatTable):
    """`[[source]]`: a file that `transfer --new` took values from; the path is from this file."""

    gave: Literal["method", "instrument"]
    path: Text
    sha256: Text
    values: Text
    """SHA-256 over the values, which comments and spelling do not change."""
    method: Text | None = None
    revision: Text | None = None
    instrument: Text
    tool: Text
    day: Annotated[date, Field(strict=True)]
