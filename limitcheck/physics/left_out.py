"""What parts without a resistance, or that a profile does not list, may take. SI floats."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from ..profile.model import Profile, Tube
from ..units.printing import as_read
from .flow_path import Segment
from .liquid import CannotPredict
from .predict import Prediction

# What parts without a resistance may add [Pa], from a pump rating [Pa] on, without any tubing.
FEW, MANY, ULTRA_HIGH, NO_TUBING = 10e5, 69e5, 400e5, 50e5
PARTS_LEFT_OUT = "parts without a known resistance"
"""What the allowance is for, in words."""


def allowed(pascal: float, unit: str) -> str:
    """An allowance, pascal [Pa], in a unit, the same wherever it is told.

    >>> allowed(MANY, "psi"), allowed(FEW, "bar")
    ('1000 psi', '10 bar')
    """
    return f"{as_read(pascal, unit)} {unit}"


_USUAL_PARTS = frozenset({"injector", "detector cell", "tubing"})


def complete(profile: Profile, segments: Sequence[Segment]) -> bool:
    """Whether injector, detector cell and some tubing all have a resistance [1/m^3].

    Be it measured or usual.
    """
    kinds = {profile.flow_path[segment.place].part for segment in segments}
    return kinds >= _USUAL_PARTS


def left_out_allowance(profile: Profile, predicted: Prediction) -> float:
    """What parts left out, or not listed, may add to a prediction [Pa].

    10 bar (common practice, no source); 69 bar where the pump is rated over 400 bar (Dolan,
    LCGC N. Am. 29(9) (2011) 818: narrow tubing and in-line filters) and the flow path is not
    ``complete``. 50 bar where no tubing has a length and bore (assumed, no source). Infinite for
    an unknown restrictor. Nothing where the prediction rests on measured pairs, of all parts.
    """
    fit = predicted.ready.path.fit
    if fit is not None and not fit.unused:
        return 0.0
    segments, parts = predicted.ready.path.segments, profile.flow_path
    if unknown_restrictors(profile, segments):
        return inf
    pump = parts[0].rating
    narrow = pump is not None and float(pump) > ULTRA_HIGH and not complete(profile, segments)
    allowance = MANY if narrow else FEW
    tubed = any(isinstance(parts[segment.place], Tube) for segment in segments)
    return allowance if tubed else max(allowance, NO_TUBING)


def unknown_restrictors(profile: Profile, segments: Sequence[Segment]) -> tuple[int, ...]:
    """The places of restrictors whose resistance [1/m^3] is not known."""
    known = {segment.place for segment in segments}
    return tuple(
        place
        for place, part in enumerate(profile.flow_path)
        if part.part == "restrictor" and place not in known
    )


def refuse_unknown_restrictors(profile: Profile, segments: Sequence[Segment]) -> None:
    """Raises CannotPredict for the first of them: no pressure [Pa] and no ratio is known with it.

    Nor are measured pairs used then.
    """
    for place in unknown_restrictors(profile, segments):
        name = profile.flow_path[place].name
        raise CannotPredict(
            f"{name}: no resistance_at, and it may take any pressure",
            f"resistance_at of the {name}",
            ("flow_path", place),
        )


def left_out_either_side(profile: Profile, segments: Sequence[Segment]) -> float:
    """What such parts may take where two instruments are compared [Pa].

    Nothing where the flow path is ``complete``. Else 10 bar (common practice, no source); where the
    pump is rated over 400 bar and no tubing has a length and bore, 69 bar (Dolan, LCGC N. Am. 29(9)
    (2011) 818). Raises CannotPredict for a restrictor of unknown resistance.
    """
    refuse_unknown_restrictors(profile, segments)
    if complete(profile, segments):
        return 0.0
    pump = profile.flow_path[0].rating
    tubed = any(segment.open is not None and not segment.usual for segment in segments)
    return MANY if not tubed and pump is not None and float(pump) > ULTRA_HIGH else FEW
