"""The ratings of the parts: missing, unlikely, derated, or not protected."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Confidence, Finding, Related, Severity
from ..profile.hardware import column_index, raised_ratings
from ..profile.plausible import plausible_range, plausible_units
from ..profile.unrated import MUST_BE_RATED, depends, is_rated
from ..units import Pressure, show
from .high_cutoff import HIGH
from .identity import above, below, changed
from .subject import NO_HIGH, Skip, Subject, gap, typed

_ASKED_FOR = (*MUST_BE_RATED, "fitting")
_NO_HARM = ("waste", "tubing", "fitting")
"""Parts after the column that are not asked for a rating (common practice, no source)."""


def rating_missing(subject: Subject) -> Iterator[Finding]:
    """A pump, column or fitting has no rating.

    At the bench: the part may be the weakest, and nobody can tell.
    Do: read it from the label, the certificate or the maker's manual and write it with its
    unit.
    Source: common practice, no source.
    """
    for index, part in enumerate(subject.profile.flow_path):
        if part.part in _ASKED_FOR and not is_rated(part):
            yield Finding(
                Severity.WARNING,
                f"The {part.name} has no rating: nothing can be compared with it.",
                'Write it from the label or the manual, with its unit: rating = "400 bar".',
                ("flow_path", index),
                compared=changed("no rating"),
            )


def rating_implausible(subject: Subject) -> Iterator[Finding]:
    """A rating is outside what parts of its kind hold.

    At the bench: a plate misread or a unit mistaken; limits drawn from it protect nothing, or
    stop every run.
    Do: read the plate again, with its unit.
    Source: common practice, no source (wide ranges by kind of part).
    """
    for index, part in enumerate(subject.profile.flow_path):
        if part.rating is None:
            continue
        least, most = plausible_range(part.part)
        if least <= part.rating <= most:
            continue
        path = ("flow_path", index, "rating")
        units = plausible_units(part)
        hint = f" {part.rating.number} {' or '.join(units)} would be usual." if units else ""
        yield Finding(
            Severity.WARNING,
            f"The rating of the {part.name}, {typed(part.rating)}, is outside what such parts "
            f"hold: {show(least, 'bar')} to {show(most, 'bar')}.{hint}",
            "Read the plate or the manual again, with its unit.",
            path,
            compared=(below if part.rating < least else above)(
                part.rating, least if part.rating < least else most
            ),
            confidence=Confidence.LIKELY,
        )


def rating_raised_over_shared(subject: Subject) -> Iterator[Finding]:
    """A profile gives a part a higher rating than the shared description it uses.

    Also by a list of its own that leaves out a lower rating of the description: the list stands
    in place of the described one, whole.
    At the bench: the description was read from the plate once, for everyone; a higher number
    in one profile lets that method overload the part.
    Do: remove the override, correct the description if the part was changed, or accept the
    finding with the reason.
    Source: the two files; the comparison is exact.
    """
    for index, descriptions in subject.shared.items():
        part = subject.profile.flow_path[index]
        raised = {
            over.key: (over, shared)
            for shared in reversed(descriptions)
            for over in raised_ratings(part, shared.part)
        }
        for key, (over, shared) in raised.items():
            path = ("flow_path", index, key)
            told = f"is given {over.given}, more than {over.described} in the description it uses"
            do = "Remove the override, correct the description, or accept this with the reason."
            if over.point:
                told = (
                    f"has a list of its own that leaves out {over.point}, which the description "
                    f"it uses states: {over.instead}"
                )
                do = "Add that point, remove the list, or accept this with the reason."
            described = f"described as {over.described}"
            yield Finding(
                Severity.ERROR,
                f"The {part.name} {told}.",
                do,
                path,
                compared=above(over.given, over.described),
                related=(Related(path, described, shared.locate(key, *_TABLES)),),
            )


def rating_derated(subject: Subject) -> Iterator[Finding]:
    """At the method's flow or temperature a part holds less than the high cutoff.

    At the bench: a pump gives its full pressure only up to a certain flow; polymer tubing and
    finger-tight fittings lose strength when warm.
    Do: set the cutoff under the derated value. Where the method lies beyond the last stated
    point, ask the maker.
    A table is read as steps: between two points the lower one holds. interpolate = true in the
    part joins the points by straight lines; set it only where the maker's manual draws them.
    Source: the part's own derating table; the safe reading between points: common practice, no
    source.
    """
    high = subject.profile.cutoffs.high
    for rated in subject.loaded:
        for derating in rated.deratings:
            holds = f"{typed(derating.pressure)} at {derating.at}"
            related = (Related(derating.path, f"{rated.name} at {derating.at}"),)
            if high is not None and high > derating.pressure:
                yield Finding(
                    Severity.ERROR,
                    f"The {rated.name} holds only {holds}: the high cutoff {typed(high)} is "
                    f"{gap(high, derating.pressure, subject.unit)} above.",
                    f"Lower the cutoff under what the part holds there.{_STEP * derating.step}",
                    HIGH,
                    compared=above(high, {rated.name: derating.pressure}),
                    related=related,
                )
            elif derating.beyond:
                yield Finding(
                    Severity.WARNING,
                    f"The method's {derating.by}, {derating.at}, is beyond the last point stated "
                    f"for the {rated.name}: what it holds there is not known, at most "
                    f"{typed(derating.pressure)}.",
                    "Ask the maker, or stay within the stated points.",
                    derating.path,
                    compared=above(derating.at, derating.pressure),
                )
    behind = column_index(subject.profile) + 1
    for index, part in enumerate(subject.profile.flow_path[:behind]):
        for lacking in depends(part, subject.profile, index):
            raise Skip(*lacking[:3])


_TABLES = ("rating_at_flow", "rating_at_temperature")
_STEP = (
    " The table is read as steps; where the maker's manual draws a line between the points, set "
    "interpolate = true."
)


def part_exposed_downstream(subject: Subject) -> Iterator[Finding]:
    """A part after the column is rated under the high cutoff, or nothing stops the pump at all.

    At the bench: it sees little pressure in normal work, but when its outlet blocks, the
    full cutoff is on it. Detector cells crack this way.
    Do: fit a relief valve or keep the outlet open and watched; lower the cutoff if that
    leaves the method its margin. Accept the finding with the reason if it is so protected.
    Source: common practice, no source.
    """
    high, expected = subject.profile.cutoffs.high, subject.profile.expected
    let_by: list[tuple[Pressure, str]] = []
    if high is not None and high.value > 0:
        let_by.append((high, "high cutoff"))
    else:  # nothing stops the pump, and what is to be set is no more than it can make
        let_by += [(part.pressure, "pump's rating") for part in subject.rated if part.place == 0]
        let_by += [
            (limit.pressure, "proposed cutoff") for limit in [subject.proposal.high] if limit
        ]
    if expected is not None:
        let_by.append((expected.high, "expected maximum"))  # a cutoff for this method lets it by
    if not let_by:
        raise Skip(NO_HIGH, "high in [cutoffs]", ("cutoffs",))
    reaches, what = max(let_by, key=lambda pair: pair[0].value)
    for rated in subject.rated:
        if rated.loaded or reaches <= rated.pressure:
            continue
        yield Finding(
            Severity.WARNING,
            f"The {rated.name} after the column holds {typed(rated.pressure)}, "
            f"{gap(reaches, rated.pressure, subject.unit)} less than the {what} {reaches}: if its "
            "outlet blocks, that is on it.",
            "Protect it (a relief valve, an outlet that cannot close), or accept with the reason.",
            rated.path,
            compared=above(reaches, rated.pressure),
            related=() if high is None else (Related(HIGH, f"high cutoff {high}"),),
        )
    behind = column_index(subject.profile) + 1
    after = [part for part in subject.profile.flow_path[behind:] if part.part not in _NO_HARM]
    if not after:
        what = "the detector cell with its rating, after the column"
        raise Skip("no part after the column is described", what, ("flow_path", behind - 1))
    for index, part in enumerate(after, behind):
        if not is_rated(part):
            reason, at = f"the {part.name} has no rating", ("flow_path", index)
            raise Skip(reason, f"rating of the {part.name}", at)
