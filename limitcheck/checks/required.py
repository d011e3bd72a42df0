"""What must be decided: checks that a run may not leave open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from functools import cache

from ..findings import NOT_DECIDED, Finding, Severity, Undecided, path_text
from ..profile.model import Cutoffs
from . import CHECKS, check_name
from .identity import changed
from .made_from import source_changed
from .subject import NO_HIGH, TURNED_OFF

CORE = frozenset(
    {
        "unit-confusion",
        "high-cutoff-missing",
        "high-cutoff-above-rating",
        "high-cutoff-below-expected",
        "low-cutoff-off",
        "low-cutoff-above-expected",
        "low-cutoff-not-below-high",
    }
)
"""Required where nobody says otherwise: the high cutoff against ratings and normal pressure, the
low cutoff, units."""

_SAY_THE_SAME = ("rating-missing", "rating-derated")
_MAY_BE_OPEN = frozenset(map(check_name, (*CHECKS, source_changed)))


@cache
def required(names: tuple[str, ...]) -> frozenset[str]:
    """The checks that are meant by names, `core` and `all`; raises KeyError for another name."""
    sets = {"core": CORE, "all": _MAY_BE_OPEN}
    found: frozenset[str] = frozenset()
    for name in names:
        found |= {name} if name in _MAY_BE_OPEN else sets[name]
    return found


def may_be_required() -> list[str]:
    """The names that can be required."""
    return sorted((*_MAY_BE_OPEN, "core", "all"))


def not_decided(
    undecided: Iterable[Undecided], wanted: Set[str], told: Set[str], cutoffs: Cutoffs
) -> Iterator[Finding]:
    """A check that is required could not be decided: what it asks is not known.

    At the bench: nobody looked. A cutoff that was compared with no rating, or with no normal
    pressure, may be above what a part holds or stop every run.
    An acceptance of it, or a known finding, holds for these checks and these cutoffs only: another
    cutoff, or one more check left open, and it is open again.
    Do: add what the message names to the profile. A policy may require less: `[require]` in
    limitcheck.toml.
    Source: common practice, no source.
    """
    by_reason: dict[tuple[object, ...], list[Undecided]] = {}
    for item in undecided:
        said = item.reason == NO_HIGH and "high-cutoff-missing" in told
        if item.check in wanted and not said:
            by_reason.setdefault(item[1:], []).append(item)
    for first, *others in by_reason.values():
        names = [item.check for item in (first, *others)]
        yield Finding(
            Severity.ERROR,
            f"Not decided: {first.reason}. This leaves open: {', '.join(names)}.",
            _advice(first),
            first.path,
            compared=changed(first.reason, _left_open(names, cutoffs)),
            data={
                "checks": names,
                "explains": [(name, path_text(first.path)) for name in _SAY_THE_SAME],
            },
            check=NOT_DECIDED,
        )


def _advice(item: Undecided) -> str:
    if item.add:
        return f"Add to the profile: {item.add}."
    if item.reason.startswith(TURNED_OFF):
        return "Turn it on again there, or require less: [require] in limitcheck.toml."
    return "See the other findings of this file: they say why."


def _left_open(names: Iterable[str], cutoffs: Cutoffs) -> dict[str, str]:
    """What somebody answers for who lets this be: the cutoffs in force, and each check by name."""
    in_force = {"high": cutoffs.high, "low": cutoffs.low}
    found = {name: "none" if number is None else str(number) for name, number in in_force.items()}
    return found | dict.fromkeys(sorted(names), "left open")
