"""What the files of one run say about the same thing, compared.

Each file gives a few claims, small and picklable, so that worker processes can send them; the
ledger keeps little of the first of each and names every later one that contradicts it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from ..findings import Finding, KeyPath, Location, Related, Severity
from ..profile.load import ProfileFile
from ..profile.model import Column, Profile
from ..units import Pressure
from .identity import changed

SAME_RATING = 0.005
"""Ratings this near are one rating, printed in two units (common practice, no source)."""
_INSTRUMENTS_OWN = ("pump", "mixer", "injector", "detector cell")
"""Parts that stay with an instrument; the others are changed with the method."""


NAMED = 3
"""Files named in a sentence before the rest is counted."""
COPIES_NAMED = 20
"""The same of copies of one method: each must be looked at, and they are told once."""
DUPLICATE = "duplicate-method-revision"
CONFLICTS_IN_NUMBERS = frozenset({"instrument-unit-conflict", "part-rating-conflict"})
"""Conflicts that leave a unit or a rating in doubt, and what is drawn from it."""


class Claim(NamedTuple):
    """What a file says about one thing: `about` names it, `value` is what it says."""

    check: str
    about: tuple[str, ...]
    value: str | Pressure | float
    path: KeyPath

    @property
    def brief(self) -> Claim:
        """As much of it as a ledger needs: it travels quickly."""
        return self._replace(value=_value(self), path=())


About: TypeAlias = tuple[str, tuple[str, ...]]
"""A check, and what a claim of it is about."""


class Stated(NamedTuple):
    """A claim with its place in a file."""

    claim: Claim
    file: str
    location: Location | None


class Conflict(NamedTuple):
    """A claim, and the one in another file that it contradicts.

    `alike` names the files that claim the same thing, where that alone is the fault.
    """

    claim: Claim
    first: Claim
    first_file: str
    alike: Sequence[str] = ()


def claims(profile: Profile) -> tuple[Claim, ...]:
    """What a profile says that another file may contradict."""
    return tuple(_claims(profile))


def _claims(profile: Profile) -> Iterator[Claim]:
    instrument, method = profile.instrument, profile.method
    yield Claim(
        "instrument-unit-conflict",
        (instrument.id,),
        instrument.pressure_unit,
        ("instrument", "pressure_unit"),
    )
    about = (method.id, method.revision or "", instrument.id)
    yield Claim(DUPLICATE, about, "", ("method", "id"))
    named = [(part.part, part.label or "") for part in profile.flow_path]
    for index, part in enumerate(profile.flow_path):
        if part.rating is None:
            continue
        path = ("flow_path", index, "rating")
        name = named[index]
        if isinstance(part, Column) and part.serial is not None:
            which = f"{part.part} with serial number {part.serial}"
        elif part.part in _INSTRUMENTS_OWN and named.count(name) == 1:
            which = f"{part.name} of {instrument.id}"
        else:
            continue
        yield Claim("part-rating-conflict", (which,), part.rating, path)


class Ledger:
    """What a run's files said first about each thing: a hash, a value and a file name each."""

    def __init__(self) -> None:
        self._first: dict[int, tuple[str | float, str]] = {}

    def against(self, file: str, stated: Iterable[Claim]) -> tuple[tuple[Claim, str], ...]:
        """The claims of a file that an earlier file contradicts, with its name; notes new ones."""
        found = []
        for claim in stated:
            key = hash((claim.check, claim.about))
            value, first_file = self._first.setdefault(key, (_value(claim), file))
            if first_file != file and not _agree(claim, value):
                found.append((claim, first_file))
        return tuple(found)


def stated_about(file: ProfileFile, about: About) -> tuple[Stated, ...]:
    """What a file says about one thing, with the places."""
    return tuple(
        Stated(claim, file.path, file.locate(claim.path))
        for claim in claims(file.profile)
        if (claim.check, claim.about) == about
    )


def conflict_with(claim: Claim, there: Iterable[Stated], alike: Sequence[str]) -> Finding | None:
    """The finding that a claim contradicts what an earlier file says, with the place there."""
    for other in there:
        if not _agree(claim, _value(other.claim)):
            conflict = Conflict(claim, other.claim, other.file, alike)
            found = REPOSITORY_CHECKS[claim.check](conflict)._replace(check=claim.check)
            related = tuple(r._replace(location=other.location) for r in found.related)
            return found._replace(related=related)
    return None


def _value(claim: Claim) -> str | float:
    return float(claim.value) if isinstance(claim.value, Pressure) else claim.value


def _agree(claim: Claim, first: str | float) -> bool:
    if isinstance(first, float):
        value = _value(claim)
        return isinstance(value, float) and abs(value - first) <= SAME_RATING * first
    return claim.check != DUPLICATE and claim.value == first


def instrument_unit_conflict(conflict: Conflict) -> Finding:
    """Two profiles give one instrument two pressure units.

    At the bench: bare cutoffs in one of them are read in the wrong unit, and protect nothing
    or stop every run.
    Do: look at the instrument's front panel and correct the profile that is wrong; a shared
    description of the instrument (`use`) keeps it from happening again. If two instruments
    have the same id, give each its own.
    Source: the profiles themselves, of one run.
    """
    claim, first, file, _ = conflict
    return _finding(
        conflict,
        f"{claim.about[0]} shows {claim.value} here, but {first.value} in {file}.",
        "Look at its front panel and correct the profile that is wrong.",
        f"{first.value} here",
    )


def part_rating_conflict(conflict: Conflict) -> Finding:
    """Two profiles give one part two ratings.

    The same part is a column with the same serial number, or the pump, mixer, injector or
    detector cell of one instrument with the same label. Ratings within 0.5 % count as one
    rating printed in two units.
    At the bench: at least one of the methods has limits drawn from a wrong rating.
    Do: read the plate and correct the profile that is wrong; a shared description (`use`)
    keeps it from happening again. Give parts that are changed on an instrument labels.
    Source: the profiles themselves, of one run; the 0.5 % is common practice, no source.
    """
    claim, first, file, _ = conflict
    return _finding(
        conflict,
        f"The {claim.about[0]} is rated {claim.value} here, but {first.value} in {file}.",
        "Read the plate and correct the profile that is wrong.",
        f"{first.value} here",
    )


def duplicate_method_revision(conflict: Conflict) -> Finding:
    """Two files or more are profiles of one method, in one revision, on one instrument.

    At the bench: nobody can tell whose limits are in force.
    Do: keep one of them, or give each newer one its own revision.
    Source: the profiles themselves, of one run.
    """
    method, revision, instrument = conflict.claim.about
    named = f"{method} revision {revision}" if revision else f"{method} (no revision)"
    files = conflict.alike
    more = f" and {len(files) - COPIES_NAMED} more" * (len(files) > COPIES_NAMED)
    told = ", ".join(files[:COPIES_NAMED]) + more
    return _finding(
        conflict,
        f"{named} on {instrument} is in {len(files)} files: {told}.",
        "Keep one of them, or give each newer one its own revision.",
        f"{named} on {instrument}",
    )


def _finding(conflict: Conflict, message: str, advice: str, there: str) -> Finding:
    return Finding(
        Severity.ERROR,
        message,
        advice,
        conflict.claim.path,
        compared=changed(conflict.claim.value or there, conflict.first.value),
        related=(Related(conflict.first.path, there),),
    )


REPOSITORY_CHECKS: dict[str, Callable[[Conflict], Finding]] = {
    "instrument-unit-conflict": instrument_unit_conflict,
    "part-rating-conflict": part_rating_conflict,
    DUPLICATE: duplicate_method_revision,
}
"""By name: what turns a conflict into a finding."""
