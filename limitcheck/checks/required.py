"""What must be decided: checks that a run may not leave open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from functools import cache

from ..findings import Finding, Severity, Undecided, path_text
from . import CHECKS, check_name
from .identity import changed
from .subject import NO_HIGH

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
NOT_DECIDED = "not-decided"
"""The check name of a finding about checks that are required and not decided."""

_SAY_THE_SAME = ("rating-missing", "rating-derated")


@cache
def required(names: tuple[str, ...]) -> frozenset[str]:
    """The checks that are meant by names, `core` and `all`; raises KeyError for another name."""
    checks = frozenset(map(check_name, CHECKS))
    sets = {"core": CORE, "all": checks}
    found: frozenset[str] = frozenset()
    for name in names:
        found |= {name} if name in checks else sets[name]
    return found


def may_be_required() -> list[str]:
    """The names that can be required."""
    return sorted((*map(check_name, CHECKS), "core", "all"))


def not_decided(
    undecided: Iterable[Undecided], wanted: Set[str], broken: Set[str]
) -> Iterator[Finding]:
    """A check that is required could not be decided: what it asks is not known.

    At the bench: nobody looked. A cutoff that was compared with no rating, or with no normal
    pressure, may be above what a part holds or stop every run.
    Do: add what the message names to the profile. A policy may require less: `[require]` in
    limitcheck.toml.
    Source: common practice, no source.
    """
    by_reason: dict[tuple[object, ...], list[Undecided]] = {}
    for item in undecided:
        told = item.reason == NO_HIGH and "high-cutoff-missing" in broken
        if item.check in wanted and not told:
            by_reason.setdefault(item[1:], []).append(item)
    for first, *others in by_reason.values():
        checks = ", ".join(item.check for item in (first, *others))
        yield Finding(
            Severity.ERROR,
            f"Not decided: {first.reason}. This leaves open: {checks}.",
            f"Add to the profile: {first.add}." if first.add else "See the reason.",
            first.path,
            compared=changed(f"{len(others) + 1} checks left open", first.reason),
            data={
                "checks": [item.check for item in (first, *others)],
                "explains": [(name, path_text(first.path)) for name in _SAY_THE_SAME],
            },
            check=NOT_DECIDED,
        )
