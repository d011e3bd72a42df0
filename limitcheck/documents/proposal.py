"""Proposed cutoffs as a document and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from ..checking.looked import NOTHING_SKIPPED, Looked
from ..checking.proposed import NAMES, Name, Proposed, Written
from ..findings import Recommendation
from ..limits import Bound
from ..profile.hardware import under_pressure
from ..units import Pressure, is_all, percent, plain_or_rounded, show
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text
from .data import frame, path_data, pressure_data, profile_data
from .findings import recommendation_data, to_type
from .looked import looked_data, looked_section, looked_texts
from .parts import answer, correct_first, named
from .settings import MARGINS, policies_data, policy_section


def proposal_document(
    found: Sequence[Proposed], day: date, looked: Looked = NOTHING_SKIPPED
) -> Document:
    """The cutoffs to type for each profile, with what binds them."""
    files = [proposed.file for proposed in found]
    if len(found) == 1:
        (only,) = found
        title = f"Proposed cutoffs: {named(only.file.profile)}"
        summary = (*_answer(only), *looked_texts(looked))
        return answer(title, summary, (*_why(only), *looked_section(looked)), files, day)
    done = sum(proposed.complete for proposed in found)
    verdict = Text(f"Both cutoffs are proposed for {done} of {len(found)} profiles.", strong=True)
    chapters = [
        Chapter(proposed.file.path, (Section("", tuple(_answer(proposed))), *_why(proposed)))
        for proposed in found
    ]
    told, last = [verdict, *looked_texts(looked)], looked_section(looked)
    return answer("Proposed cutoffs", told, last, files, day, chapters=chapters)


def _answer(proposed: Proposed) -> Iterator[Block]:
    cutoffs, written = proposed.cutoffs, proposed.written
    reasons = {name: reason for name in NAMES if (reason := cutoffs.reason(name)) is not None}
    told = "proposed cutoffs:" if proposed.changes else "proposed cutoffs, as in the file:"
    if written is not None:
        told = "the proposed cutoffs are written:"
    shown = [item for name in NAMES if (item := cutoffs.number(name)) is not None]
    if any(item.basis != "proposal" for item in cutoffs.recommendations):
        told = "correct this first, then propose again:"
        shown = [item for item in shown if _is_another(item, proposed)] or shown
    if len(reasons) == 2 and len(set(reasons.values())) == 1:
        told = f"no cutoff can be proposed: {reasons['high']}."
    elif reasons:
        which = (f"no {name} cutoff can be proposed: {why}" for name, why in reasons.items())
        told = f"{'; '.join(which)}."
    yield Text(f"{named(proposed.file.profile)}: {told}", strong=True)
    yield from map(to_type, shown)
    if proposed.unseen_runs:
        yield Text(f"{proposed.unseen_runs}.", strong=True)
    if written is not None:
        yield Text(written.text, strong=True)
        if written.mistaken:
            yield Text("What was mistaken before:")
            yield Bullets(written.mistaken)
    if proposed.not_written:
        yield Text(f"{proposed.file.path} is left as it was: {proposed.not_written}.", strong=True)
    yield from (Text(item.then_text) for item in shown if item.then_text)
    if any(item.then for item in shown):
        yield from correct_first(
            proposed.mistaken, "the numbers that fit shows and --write writes are"
        )
    if cutoffs.others:
        yield Text("Together with these corrections of the profile:")
        yield from map(to_type, cutoffs.others)
    if proposed.changes or reasons:
        now = " and ".join(f"{name} {_typed(proposed.typed(name))}" for name in NAMES)
        yield Text(f"{proposed.file.path} has {now}.")
    if any(item.basis != "proposal" for item in cutoffs.recommendations):
        yield Text(f"For what is wrong with the profile: limitcheck check {proposed.file.path}")


def _is_another(item: Recommendation, proposed: Proposed) -> bool:
    """Whether a cutoff is not the one in the file: nothing is wrong with that."""
    typed = proposed.typed("high" if item.path[-1] == "high" else "low")
    return Pressure.of(item.enter, item.unit) != typed


def _typed(pressure: Pressure | None) -> str:
    return "missing" if pressure is None else str(pressure) if pressure.value else "off"


def _why(proposed: Proposed) -> Iterator[Section]:
    for name in NAMES:
        blocks = tuple(_binding(proposed, name))
        if blocks:
            yield Section(f"{name.capitalize()} cutoff", blocks)
    if proposed.cutoffs.number("high") is None and proposed.room.found:
        ways = Bullets(tuple(way.text for way in proposed.room.found))
        yield Section("Any one of these makes room for a high cutoff", (ways,))
    notes = tuple(_notes(proposed))
    if notes:
        yield Section("Not checked", (Bullets(notes),))
    margins = proposed.margins
    rows = tuple(
        (text, percent(getattr(margins, name)), margins.source_of(name))
        for name, text in MARGINS.items()
    )
    table = Table("", ("Margin", "Share", "From"), rows, (1,))
    yield Section("Margins", (table,), in_record=True)
    yield from policy_section([proposed.policy])


def _bounds(proposed: Proposed, name: Name) -> tuple[Bound, ...]:
    limit = proposed.limit(name)
    if name == "high":
        return proposed.proposal.high_bounds if proposed.decided else ()
    return limit.bounds if limit else ()


def _binding(proposed: Proposed, name: Name) -> Iterator[Block]:
    """What binds a cutoff, and every bound in the instrument's unit."""
    instrument, limit = proposed.meant.instrument, proposed.limit(name)
    unit, bounds = instrument.pressure_unit, _bounds(proposed, name)
    apart = [] if limit is None else [limit.pressure]
    shown = [(bound.reason, show(bound.pressure, unit, digits=6, apart=apart)) for bound in bounds]
    if limit is not None:
        told = f"Bound by the {': '.join(shown[bounds.index(limit.binding)])}"
        if limit.binding.pressure != limit.pressure:
            way = "down" if name == "high" else "up"
            told += f", rounded {way} to a step of {plain_or_rounded(instrument.step)} {unit}"
        others = is_all(limit.pressure, apart=[limit.binding.pressure])
        yield Text(f"{told}. {limit.pressure} {others}.")
    if len(bounds) > 1 or (bounds and limit is None):
        yield Table("", ("Bound", "Pressure"), tuple(shown), (1,))


def _notes(proposed: Proposed) -> Iterator[str]:
    if proposed.proposal.unrated:
        yield f"No rating is given: {', '.join(proposed.proposal.unrated)}."
    for part in under_pressure(proposed.file.profile):
        if part.unknown:
            yield (
                f"What the {part.name} holds depends on the {part.unknown}, which is not given: "
                f"add {part.unknown} to [conditions]."
            )
        for derating in part.deratings:
            if derating.beyond:
                yield (
                    f"What the {part.name} is rated at {derating.at} is not stated; at most "
                    f"{derating.pressure}. Ask the maker."
                )
    told = {check.check: check.reason for check in proposed.report.undecided}
    passes = told.get("high-cutoff-below-expected")
    peak = told.get("gradient-peak-outside-expected")
    if passes is not None and proposed.limit("high") is not None:
        yield f"Whether the high cutoff lets normal runs pass: {passes}."
    elif peak is not None:
        yield f"Whether the expected band holds the peak of the gradient: {peak}."
    if proposed.room.not_computed is not None:
        yield f"Whether another flow, temperature or length helps: {proposed.room.not_computed}."


def _not_checked(proposed: Proposed) -> Iterator[str]:
    """The same with what the answer says itself."""
    if proposed.unseen_runs:
        yield f"{proposed.unseen_runs}."
    yield from _notes(proposed)


def proposal_data(found: Sequence[Proposed], looked: Looked) -> dict[str, Any]:
    """Every proposal as plain data."""
    return frame(
        proposals=[_data(proposed) for proposed in found],
        policies=policies_data(proposed.policy for proposed in found),
        looked=looked_data(looked),
    )


def _data(proposed: Proposed) -> dict[str, Any]:
    margins = proposed.margins
    return {
        "profile": profile_data(proposed.file),
        **{name: _cutoff_data(proposed, name) for name in NAMES},
        "others": [recommendation_data(item) for item in proposed.cutoffs.others],
        "correct_first": "; ".join(proposed.mistaken) or None,
        "written": proposed.written and _written_data(proposed.written),
        "not_written": proposed.not_written or None,
        "not_checked": list(_not_checked(proposed)),
        "unrated": list(proposed.proposal.unrated),
        "margins": {
            name: {
                "share": plain_or_rounded(getattr(margins, name)),
                "from": margins.source_of(name),
            }
            for name in MARGINS
        },
        "ways_to_make_room": [{"kind": w.kind, "text": w.text} for w in proposed.room.found],
        "not_computed": [
            {"name": "flow, temperature and column length", "reason": reason}
            for reason in [proposed.room.not_computed]
            if reason is not None
        ],
    }


def _written_data(written: Written) -> dict[str, Any]:
    fix = written.fix
    return {
        "path": fix.path,
        "sha256_before": fix.sha256,
        "values": [
            {"path": path_data(path), "was": was or None, "now": now}
            for path, was, now in fix.changes
        ],
        "mistaken": "; ".join(written.mistaken) or None,
    }


def _cutoff_data(proposed: Proposed, name: Name) -> dict[str, Any]:
    limit, item, typed = proposed.limit(name), proposed.cutoffs.number(name), proposed.typed(name)
    unit = proposed.meant.instrument.pressure_unit
    if item is not None and Pressure.of(item.enter, item.unit) == typed:
        item = item._replace(why_not_written="it stands in the file")
    return {
        "typed": typed and pressure_data(typed),
        "recommendation": item and recommendation_data(item),
        "withheld": proposed.cutoffs.reason(name),
        "binding": limit and path_data(limit.binding.path),
        "bounds": [
            {
                "path": path_data(bound.path),
                "reason": bound.reason,
                "pressure": pressure_data(Pressure.of(bound.pressure.to(unit), unit)),
            }
            for bound in _bounds(proposed, name)
        ],
    }
