"""The mobile phase of a method, from its solvents as they are written: `solvent_text`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from math import expm1

from ..units import percent
from .constants import SOLVENTS
from .liquid import CannotPredict, Liquid, mixed

_QUOTED = re.compile(r'"([^"]+)"')
_AS_IN = '"20 mM phosphate, pH 2.5" or "water/acetonitrile 95:5 with 0.1 % formic acid"'


@lru_cache(maxsize=4096)
def liquid(solvent_a: str | None, solvent_b: str | None, percent_b: float) -> Liquid:
    """The mobile phase at a composition, percent_b [%] from 0 to 100 before mixing.

    Raises CannotPredict where a solvent is missing or its text is not understood, or the two do
    not mix, and for a percentage alone beside a solvent without water.

    >>> liquid("water", "acetonitrile", 25)
    Liquid(solvents=(('acetonitrile', 0.25), ('water', 0.75)), solutes=())
    >>> liquid("20 mM phosphate, pH 2.5", "methanol", 0).solutes
    (Solute(name='phosphate', half_width=0.015, shift=0.008, in_water=0.006999999999999999),)
    """
    if percent_b == 0.0 and solvent_b is None:
        return _read(solvent_a, "solvent_a")
    first, second = _read(solvent_a, "solvent_a"), _read(solvent_b, "solvent_b")
    if percent_b < 100.0:
        _refuse_percentage_alone("solvent_a", solvent_a, first, second)
    if percent_b > 0.0:
        _refuse_percentage_alone("solvent_b", solvent_b, second, first)
    return mixed([(first, (100.0 - percent_b) / 100.0), (second, percent_b / 100.0)])


def _refuse_percentage_alone(field: str, text: str | None, own: Liquid, other: Liquid) -> None:
    """Refuses "10 % methanol" beside acetonitrile: in water, as usual, or in that?"""
    water = dict(own.solvents).get("water")
    if text is None or not water or water == 1.0 or "water" in dict(other.solvents):
        return
    from .solvent_text import percentage_alone

    if (alone := percentage_alone(text.strip().casefold())) is None:
        return
    name, share = alone
    parts, rests = f"{100 * share:g}:{100 * (1.0 - share):g}", ["water"]
    rests += [rest for rest, _ in other.solvents if len(other.solvents) == 1 and rest != name]
    write = " or ".join(f'"{name}/{rest} {parts}"' for rest in rests)
    raise CannotPredict(
        f'{field} "{text}" is a solvent in per cent alone, which in most methods is in water, but '
        f"the other solvent holds none: write {write}",
        at=("conditions", field),
    )


def predicted_as(solvent: str | None) -> str | None:
    """What a solvent is predicted as [% by volume] where its text says more; None where not.

    >>> predicted_as("20 mM phosphate, pH 2.5"), predicted_as("water")
    ('water, 0.8 % more viscous by what is dissolved', None)
    >>> predicted_as("acetonitrile/water 90:10")
    'acetonitrile 90 %, water 10 %'
    """
    if solvent is None or solvent.strip().casefold() in SOLVENTS:
        return None
    found = _read(solvent, "")
    told = found.solvents[0][0]
    if len(found.solvents) > 1:
        told = ", ".join(f"{name} {percent(share, 4)}" for name, share in found.solvents)
    if not found.shift:
        return told
    moved = "more" if found.shift > 0.0 else "less"
    return f"{told}, {percent(abs(expm1(found.shift)), 2)} {moved} viscous by what is dissolved"


@lru_cache(maxsize=1024)
def _read(text: str | None, field: str) -> Liquid:
    """A solvent as its text says; raises CannotPredict."""
    if text is None:
        raise CannotPredict(f"no conditions.{field}", at=("conditions",))
    folded = text.strip().casefold()
    if folded in SOLVENTS:
        return Liquid(((folded, 1.0),))
    from .solvent_doubts import NotUnderstood, compressed  # most methods need none of it
    from .solvent_text import understood

    if compressed(folded):
        raise CannotPredict(
            f'{field} "{text}": a supercritical or compressed gas is no liquid of a known '
            "viscosity, and its pressure is set by the regulator behind the column",
            "[expected], measured",
            ("conditions", field),
        )
    try:
        return understood(folded)
    except NotUnderstood as error:
        why = _QUOTED.sub(lambda found: _as_written(found[1], text), str(error))
        raise CannotPredict(
            f'no viscosity data for {field} "{text}": {why}; known are {", ".join(SOLVENTS)}, '
            f"mixed or with salts and acids as in {_AS_IN}",
            at=("conditions", field),
        ) from None


def _as_written(folded: str, text: str) -> str:
    """A quotation in small letters, in those of the text it is from."""
    found = re.search(re.escape(folded), text, re.IGNORECASE)
    return f'"{found[0] if found else folded}"'


def solvents_told(*solvents: tuple[str, str | None]) -> Iterator[str]:
    """What each solvent, by its field, is predicted as [% by volume] where its text says more."""
    for field, text in solvents:
        if (base := predicted_as(text)) is not None:
            yield f'{field} "{text}" is predicted as {base}'
