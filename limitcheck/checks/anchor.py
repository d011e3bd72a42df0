"""What a finding is about, in words that stay when lines move or parts are added before it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from pydantic import BaseModel

from ..findings import KeyPath, path_text
from ..profile.model import Part, Profile
from ..units import Quantity, plain_or_rounded


def anchor(profile: Profile, path: KeyPath) -> str:
    """The key path with the parts of the flow path by name, and the value there as typed.

    As in `flow_path[fitting (column inlet)].rating = 345 bar`; a table has no value.
    """
    value: Any = profile
    text = ""
    for step in path:
        value = _step(value, step)
        if isinstance(value, Part):
            text += f"[{value.name}]"
        else:
            text += path_text((step,)) if isinstance(step, int) or not text else f".{step}"
    return text + _shown(value)


def _step(value: Any, step: str | int) -> Any:
    if isinstance(step, int):
        return value[step] if isinstance(value, tuple) and step < len(value) else None
    return getattr(value, step, None) if isinstance(value, BaseModel) else None


def _shown(value: Any) -> str:
    if isinstance(value, Fraction):
        return f" = {plain_or_rounded(value)}"
    return f" = {value}" if isinstance(value, str | int | Quantity) else ""
