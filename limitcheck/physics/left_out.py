"""What parts without a resistance may add to a predicted pressure."""

from __future__ import annotations

from math import inf

from ..profile.model import Profile, Tube
from .predict import Prediction

FEW, MANY, ULTRA_HIGH = 10e5, 69e5, 400e5  # Pa
NO_TUBING = 50e5  # Pa


def left_out_allowance(profile: Profile, predicted: Prediction) -> float:
    """Pressure that injector, frits, cell and other parts left out may add together.

    Parameters
    ----------
    profile : Profile
        The method on its instrument
    predicted : Prediction
        Its prediction

    Returns
    -------
    allowance : float
        At most this much more than predicted [Pa]; infinite for an unknown restrictor

    Notes
    -----
    10 bar (common practice, no source); 69 bar where the pump is rated over 400 bar (Dolan,
    LCGC N. Am. 29(9) (2011) 818: narrow tubing and in-line filters). 50 bar where no tubing
    has a length and bore (assumed, no source).
    """
    known = {segment.place for segment in predicted.ready.path.segments}
    parts = profile.flow_path
    if any(part.part == "restrictor" and i not in known for i, part in enumerate(parts)):
        return inf
    pump = parts[0].rating
    allowance = MANY if pump is not None and float(pump) > ULTRA_HIGH else FEW
    tubed = any(isinstance(parts[place], Tube) for place in known)
    return allowance if tubed else max(allowance, NO_TUBING)
