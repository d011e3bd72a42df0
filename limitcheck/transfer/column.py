"""The column: its chemistry stays, its size may change within L/dp or within the plate number.

The plate number also rules a change between fully and superficially porous particles (harmonised
chapter, from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from ..units import percent, plain_or_rounded
from .adjustment import CHAPTER, SUITABILITY, allowed, column_sizes, columns, monoliths, source_of
from .ruling import EQUAL, Field, Pair, Ruling, for_information, information, must_be_same

SIZE_GIVES = "give length, bore and particle_size of one column on both sides"
SELECTIVITY = f"show that the peaks keep their order and selectivity; {SUITABILITY}"
"""What another packing asks for (harmonised chapter, from memory)."""
_GIVE_PLATES = "give plate_number of one column on both sides"
_RATIO = "length_over_particle_less", "length_over_particle_more"
_PLATES = "plate_number_less", "plate_number_more"
_GUARD = "no rule for a guard column: show that it changes neither separation nor band"


def rule_chemistry(field: Field) -> Iterator[Ruling]:
    """The bonded phase: another one is another separation."""
    if missing := field.missing:
        yield missing
    elif _plain(field.sending) == _plain(field.receiving):
        yield field.ruled("same", EQUAL)
    elif all(kinds := [_phases(text) for text in (field.sending, field.receiving)]) and (
        kinds[0].isdisjoint(kinds[1])
    ):
        yield _another(field, "another column chemistry is another method")
    else:
        told = (
            "written differently: write one chemistry alike on both sides, another is not allowed"
        )
        yield field.ruled("cannot decide", told)


def rule_particle(field: Field) -> Iterator[Ruling]:
    """The kind of particle, which nobody states by leaving it out."""
    kinds = {field.sending, field.receiving}
    if missing := field.missing:
        yield missing
    elif len(kinds) == 1:
        yield field.ruled("same", EQUAL)
    elif _of_guard(field):
        yield field.ruled("cannot decide", _GUARD)
    elif "monolith" in kinds:
        yield _another(field, "no rule leads between a monolith and particles: validate it")
    elif "irregular" in kinds:
        yield _another(field, "no rule leads between irregular and round particles: validate it")
    else:
        yield _by_plates(field, "from one kind of particle to the other")


def rule_plate_number(field: Field) -> Iterator[Ruling]:
    """The plate number: it rules the particle and the size, where they change."""
    yield from information(field, "it rules another kind of particle, and L/dp beyond its range")


def rule_size(field: Field) -> Iterator[Ruling]:
    """Length or particle size: ruled together, as L/dp; a monolith has only a length."""
    if not monoliths(field.pair):
        yield from _sized(field, by_ratio=True)
    elif field.key == "particle_size":
        yield from for_information(field)
    else:
        yield from must_be_same(field)


def rule_bore(field: Field) -> Iterator[Ruling]:
    """The bore: it may change, where flow and injection volume follow it."""
    yield from _sized(field, by_ratio=False)


def _sized(field: Field, *, by_ratio: bool) -> Iterator[Ruling]:
    sizes = column_sizes(field.pair)
    if missing := field.missing:
        yield missing
    elif field.sending == field.receiving:
        yield field.ruled("same", EQUAL)
    elif _of_guard(field):
        yield field.ruled("cannot decide", _GUARD)
    elif sizes is None:
        yield field.ruled("cannot decide", SIZE_GIVES)
    elif not by_ratio:
        told = "it may change where flow and injection volume follow it"
        yield allowed(field, told)
    elif len({column.particle for side in field.pair.sides for column in columns(side)}) > 1:
        yield _by_plates(field, "L/dp compares one kind of particle")
    else:
        limits = field.pair.policy.adjustments
        less, more = limits.length_over_particle_less, limits.length_over_particle_more
        was, now = sizes.old.length_over_particle, sizes.new.length_over_particle
        least, most = was * (1 - less), was * (1 + more)
        span = f"{round(least)} to {round(most)} (-{percent(less)} to +{percent(more)})"
        told = f"L/dp {round(now)} for {round(was)}; allowed {span}"
        if least <= now <= most:
            yield allowed(field, told, *_RATIO)
        elif _plate_numbers(field.pair) is not None:
            yield _by_plates(field, told)
        else:
            beyond = f"{told}. Beyond it the plate number rules: {_GIVE_PLATES}"
            yield field.ruled("not allowed", beyond, source_of(limits, *_RATIO))


class _Numbers(NamedTuple):
    """The plate numbers of both columns."""

    old: Fraction
    new: Fraction


def _plate_numbers(pair: Pair) -> _Numbers | None:
    """None where a side does not give it, or has several columns."""
    old, new = ([column.plate_number for column in columns(side)] for side in pair.sides)
    if len(old) != 1 or len(new) != 1 or old[0] is None or new[0] is None:
        return None
    return _Numbers(old[0], new[0])


def _by_plates(field: Field, why: str) -> Ruling:
    """The ruling on a change that the plate number decides."""
    limits, plates = field.pair.policy.adjustments, _plate_numbers(field.pair)
    if plates is None:
        return field.ruled("cannot decide", f"{why}: the plate number rules. {_GIVE_PLATES}")
    less, more = limits.plate_number_less, limits.plate_number_more
    least, most = plates.old * (1 - less), plates.old * (1 + more)
    span = f"{round(least)} to {round(most)} (-{percent(less)} to +{percent(more)})"
    old, new = map(plain_or_rounded, plates)
    told = f"{why}: the plate number rules. It is {new} for {old}; allowed {span}"
    if least <= plates.new <= most:
        return allowed(field, told, *_PLATES, condition=SELECTIVITY)
    return field.ruled("not allowed", told, source_of(limits, *_PLATES))


def _of_guard(field: Field) -> bool:
    return field.name.startswith("guard column")


def _another(field: Field, told: str) -> Ruling:
    return field.ruled("not allowed", told, CHAPTER)


_PHASES = {
    "octadecyl": "c18",
    "ods": "c18",
    "octyl": "c8",
    "butyl": "c4",
    "pentafluorophenyl": "pfp",
    **{name: name for name in ("pfp", "phenyl", "cyano", "amino", "amide", "diol", "silica")},
}
"""Words of a bonded phase, and its short name (common practice, no source)."""


def _phases(text: str) -> set[str]:
    """The bonded phases that a text names; empty where it names none that is known."""
    plain = _plain(text)
    chains = {f"c{chain}" for chain in re.findall(r"(?<![a-z])c(\d{1,2})(?!\d)", plain)}
    named = [word for word in _PHASES if word in plain]
    longest = [word for word in named if not any(word in o and word != o for o in named)]
    return chains | {_PHASES[word] for word in longest}


def _plain(text: str) -> str:
    """A name without case, spaces and hyphens: "C 18" and "c18" are one."""
    return "".join(text.casefold().split()).replace("-", "")
