"""A plug in a tube: a short stretch with less bore, not a tube narrowed along its length."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from ...bisection import bisect
from ..drops import drops
from ..flow_path import Segment, State
from ..liquid import CannotPredict
from ..tube import OpenTube, tube_resistance

PLUG_LENGTH = 5e-3  # m: a crushed end, a grain, dried buffer; common practice, no source
PLUG_BORE = 0.25  # of the bore, what is left open
# Of rho v^2 / 2: a sudden contraction and expansion (Bird, Stewart and Lightfoot, Transport
# Phenomena, 2nd ed., table 7.5-1, from memory)
PLUG_ENDS = 0.45 + 1.0
_MOST_NARROWED = log(1000.0)


def plugged(
    segments: Sequence[Segment], tube: Segment, left: float = PLUG_BORE
) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    """A flow path without and with a plug in one tube, part by part the same.

    ``left`` [-] is the share of the bore that stays open over 5 mm, or over all of a shorter tube.
    The stretch is a segment of its own, so that turbulence and losses at its ends are counted.
    Raises CannotPredict for a tube without length and bore.
    """
    pipe = opened(tube)
    length = min(PLUG_LENGTH, pipe.length)
    rest, share = pipe.length - length, length / pipe.length
    stretch = tube._replace(resistance=tube.resistance * share, open=pipe._replace(length=length))
    narrow = OpenTube(left * pipe.bore, length, ends=PLUG_ENDS)
    per_laminar = tube.resistance / tube_resistance(pipe.length, pipe.bore)
    plug = tube._replace(resistance=per_laminar * tube_resistance(length, narrow.bore), open=narrow)
    kept = (
        [tube._replace(resistance=tube.resistance * (1 - share), open=pipe._replace(length=rest))]
        if rest > 0.0
        else []
    )

    def with_stretch(piece: Segment) -> tuple[Segment, ...]:
        found: list[Segment] = []
        for segment in segments:
            found += [*kept, piece] if segment is tube else [segment]
        return tuple(found)

    return with_stretch(stretch), with_stretch(plug)


def opened(tube: Segment) -> OpenTube:
    """Length and bore [m] of a tube; raises CannotPredict where they are not given."""
    if tube.open is None:
        raise CannotPredict(f"{tube.name}: no length and bore, so no plug can be sized")
    return tube.open


def plug_closed(segments: Sequence[Segment], state: State, tube: Segment, rise: float) -> float:
    """Share of a cross-section that a 5 mm plug closes, where it adds a rise [-] to the pressure.

    By halving steps, with the drops of ``plugged`` in a state. Turbulence in the plug and losses at
    its ends count. 1 where no plug that leaves a
    thousandth of the bore adds that much. Raises CannotPredict for a tube without length and bore.
    """
    before, _ = plugged(segments, tube)
    limit = (1.0 + rise) * _total(before, state)

    def reached(narrowed: float) -> bool:
        return _total(plugged(segments, tube, exp(-narrowed))[1], state) >= limit

    if rise <= 0.0:
        return 0.0
    if not reached(_MOST_NARROWED):
        return 1.0
    narrowed = bisect(reached, 0.0, _MOST_NARROWED, 1e-5)[1]
    return 1.0 - exp(-2.0 * narrowed)


def _total(segments: Sequence[Segment], state: State) -> float:
    return sum(drop.pressure for drop in drops(segments, state))
