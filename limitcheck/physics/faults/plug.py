"""A plug in a tube: a short stretch with less bore, not a tube narrowed along its length."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from ..flow_path import Segment
from ..liquid import CannotPredict
from ..tube import OpenTube, tube_resistance

PLUG_LENGTH = 5e-3  # m: a crushed end, a grain, dried buffer; common practice, no source
PLUG_BORE = 0.25  # of the bore, what is left open


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
    narrow = OpenTube(left * pipe.bore, length)
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


def plug_closed(tube: Segment, share: float, rise: float) -> float:
    """Share of a cross-section that a 5 mm plug closes, where it adds a rise [-] to the pressure.

    1 - 1 / sqrt(1 + r / (s l / L)), with the share s [-] of the whole tube in the pressure, its
    length L and that of the plug l

    Range: laminar flow; losses at the ends of the plug make it a little less. Raises CannotPredict
    for a tube without length and bore.

    A tube of 0.5 m that takes a hundredth of the pressure, and a quarter more pressure:

    >>> tube = Segment(1, "tubing", 1.0, False, 0.0, 0.0, None, OpenTube(0.17e-3, 0.5))
    >>> round(plug_closed(tube, 0.01, 0.25), 3)
    0.98

    Source: Hagen-Poiseuille, as ``tube_resistance``.
    """
    pipe = opened(tube)
    stretch = share * min(PLUG_LENGTH, pipe.length) / pipe.length
    return 1.0 - 1.0 / sqrt(1.0 + max(rise, 0.0) / stretch) if stretch > 0.0 else 1.0
