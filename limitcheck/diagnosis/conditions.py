"""A profile as it would read at other conditions: its expected band moved by the physics."""

from __future__ import annotations

from fractions import Fraction

from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..physics.ratio import RatioInterval, ratio
from ..physics.system import Change
from ..profile.model import Profile
from ..units import Flow, Pressure, Quantity, Temperature


def moved_by(profile: Profile, change: Change) -> RatioInterval | None:
    """The ratio [-] by which a band is moved to other conditions; None where none is moved.

    Raises CannotPredict.
    """
    if change == Change() or profile.expected is None or profile.expected.inverted:
        return None
    return ratio(profile, change)


def at_conditions(profile: Profile, change: Change) -> Profile:
    """The profile run at another flow, temperature or composition.

    Each end of the declared band moves by the ratio of two predictions: the high end belongs to
    the highest point of the run, the low end to the lowest. A band whose ends are exchanged is
    left out. Raises CannotPredict.
    """
    if change == Change():
        return profile
    if change.column_length is not None or change.particle_size is not None:
        raise CannotPredict("another column belongs in the profile itself")
    if profile.conditions is None:
        raise CannotPredict("no [conditions] to change")
    new: dict[str, object] = {}
    if change.flow is not None:
        new["flow"] = _quantity(Flow, change.flow * 6e7, "mL/min")
    if change.temperature is not None:
        new["temperature"] = _quantity(Temperature, change.temperature, "K")
    if change.ambient is not None:
        new["ambient"] = _quantity(Temperature, change.ambient, "K")
    if change.percent_b is not None:
        new |= {"percent_b": _decimal(change.percent_b), "gradient": None}
    moved: dict[str, object] = {"conditions": profile.conditions.model_copy(update=new)}
    expected = profile.expected
    if expected is not None and expected.inverted:
        moved["expected"] = None
    elif expected is not None:
        usual, changed = predict(profile), predict(profile, change)
        if usual.lowest.central <= 0:
            raise CannotPredict("no part with a known resistance")
        ends = (
            float(expected.low) * changed.lowest.central / usual.lowest.central,
            float(expected.high) * changed.highest.central / usual.highest.central,
        )
        low, high = (_quantity(Pressure, end / 1e5, "bar") for end in sorted(ends))
        moved["expected"] = expected.model_copy(update={"low": low, "high": high, "swing": None})
    return profile.model_copy(update=moved)


def _quantity(kind: type[Quantity], number: float, unit: str) -> Quantity:
    return kind.of(_decimal(number), unit)


def _decimal(number: float) -> Fraction:
    return Fraction(f"{number:.9g}")
