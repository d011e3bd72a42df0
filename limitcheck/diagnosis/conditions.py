"""A profile as it would read at other conditions: its expected band moved by the physics."""

from __future__ import annotations

from fractions import Fraction

from ..physics.liquid import CannotPredict
from ..physics.system import Change
from ..profile.model import Profile
from ..units import Flow, Pressure, Quantity, Temperature
from .normal_drops import expected_at


def at_conditions(profile: Profile, change: Change) -> Profile:
    """The profile run at another flow, temperature or composition.

    The declared band moves by the ratio of two predictions. Raises CannotPredict.
    """
    if change == Change():
        return profile
    if change.column_length is not None or change.particle_size is not None:
        raise CannotPredict("another column belongs in the profile itself")
    if profile.conditions is None:
        raise CannotPredict("no [conditions] to change")
    expected = profile.expected
    band = expected_at(profile, change)
    if expected is not None and band is not None:
        low, high = (Pressure.of(_decimal(pascal / 1e5), "bar") for pascal in band)
        expected = expected.model_copy(update={"low": low, "high": high})
    new: dict[str, object] = {}
    if change.flow is not None:
        new["flow"] = _quantity(Flow, change.flow * 6e7, "mL/min")
    if change.temperature is not None:
        new["temperature"] = _quantity(Temperature, change.temperature, "K")
    if change.ambient is not None:
        new["ambient"] = _quantity(Temperature, change.ambient, "K")
    if change.percent_b is not None:
        new |= {"percent_b": _decimal(change.percent_b), "gradient": None}
    conditions = profile.conditions.model_copy(update=new)
    return profile.model_copy(update={"conditions": conditions, "expected": expected})


def _quantity(kind: type[Quantity], number: float, unit: str) -> Quantity:
    return kind.of(_decimal(number), unit)


def _decimal(number: float) -> Fraction:
    return Fraction(f"{number:.9g}")
