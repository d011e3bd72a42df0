"""The parts of two flow paths in pairs: by kind, then by label, then in flow order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ..profile.model import AnyPart, Profile


class PartPair(NamedTuple):
    """A part on both sides; None where a side has no such part. `name` is as messages call it."""

    name: str
    sending: AnyPart | None
    receiving: AnyPart | None


def paired_parts(sending: Profile, receiving: Profile) -> tuple[PartPair, ...]:
    """Every part of both flow paths once, in the order of the sending one.

    >>> from limitcheck.profile.model import validate_profile
    >>> data = {"format": 1, "method": {"id": "KB-TEA-014"},
    ...     "instrument": {"id": "KB-LC-03", "pressure_unit": "bar"},
    ...     "flow_path": [{"part": "pump"}, {"part": "column"}]}
    >>> profile = validate_profile(data)
    >>> [pair.name for pair in paired_parts(profile, profile)]
    ['pump', 'column']
    """
    kinds = dict.fromkeys(part.part for p in (sending, receiving) for part in p.flow_path)
    pairs = [pair for kind in kinds for pair in _of_kind(kind, sending, receiving)]
    place = {id(part): i for p in (receiving, sending) for i, part in enumerate(p.flow_path)}
    return tuple(sorted(pairs, key=lambda pair: place[id(pair.sending or pair.receiving)]))


_ORDERED = frozenset(
    {"pump", "mixer", "injector", "loop", "guard column", "column", "restrictor", "detector cell"}
)
"""Parts whose place among the others changes what is separated, held or seen."""


def in_another_order(pairs: Sequence[PartPair], receiving: Profile) -> tuple[str, ...]:
    """The parts on both sides in the receiving order, where that is another than the sender's."""
    place = {id(part): number for number, part in enumerate(receiving.flow_path)}
    both = [
        (place[id(pair.receiving)], pair.name)
        for pair in pairs
        if pair.sending is not None and pair.receiving is not None and pair.sending.part in _ORDERED
    ]
    return () if both == sorted(both) else tuple(name for _, name in sorted(both))


def _of_kind(kind: str, *sides: Profile) -> Iterator[PartPair]:
    first, second = ([part for part in side.flow_path if part.part == kind] for side in sides)
    several = max(len(first), len(second)) > 1
    for number, (one, other) in enumerate(_matched(first, second), start=1):
        part = one or other
        assert part is not None
        count = f" {number}" if several and part.label is None else ""
        yield PartPair(f"{part.name}{count}", one, other)


def _matched(
    first: Sequence[AnyPart], second: Sequence[AnyPart]
) -> Iterator[tuple[AnyPart | None, AnyPart | None]]:
    """Parts of one kind: those of the same label, then what is left in order."""
    rest = list(second)
    found: list[tuple[AnyPart, AnyPart | None]] = []
    for part in first:
        twin = next((o for o in rest if o.label is not None and o.label == part.label), None)
        if twin is not None:
            rest.remove(twin)
        found.append((part, twin))
    for part, twin in found:
        yield part, twin if twin is not None or not rest else rest.pop(0)
    for other in rest:
        yield None, other
