"""The record of a transfer, to print and sign, and as plain data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

from ..charts.scale import scale
from ..checking.results import count
from ..checking.root import shown_text
from ..transfer.adjustment import FROM_MEMORY
from ..transfer.came_across import CutoffMoved
from ..transfer.control import Control, sealed
from ..transfer.decision import told
from ..transfer.record import FITS, Side, Transfer, pressures
from ..transfer.ruling import EQUAL, Ruling, Word
from ..units import COMMON_UNITS
from .blocks import Block, Bullets, Document, Facts, Section, Table, Text
from .control import TO_FILL_IN, control_data, control_section, margins_data, signatures
from .data import frame, json_text, path_data, plain_data, pressure_data, profile_data
from .findings import (
    finding_data,
    findings_section,
    outcomes_data,
    recommendation_data,
    to_type,
    verdict,
)
from .normal_pressure import normal_data, normal_section
from .parts import answer, cutoffs_to_type, named, pressure_table, wrong_at
from .settings import policies_data, policy_section

_HEADINGS = (
    ("Against it", "not allowed"),
    ("Cannot be decided", "cannot decide"),
    ("To be looked at", "information"),
)


def transfer_document(found: Transfer, control: Control) -> Document:
    """The decision with its reasons and what to type, then the record."""
    first, second = found.sending, found.receiving
    method, here = first.profile.method, second.profile.instrument.id
    revision = f" revision {method.revision}" if method.revision else ""
    title = f"Transfer of {method.id}{revision} from {first.profile.instrument.id} to {here}"
    on = (
        f", on {count(len(found.conditions), 'condition')}"
        if found.decision == "accept" and found.conditions
        else ""
    )
    summary: list[Block] = [Text(f"{title}: {found.decision}{on}.", strong=True)]
    typed = {cutoff.name: found.to_type(cutoff) for cutoff in found.cutoffs}
    if items := [item for item, _ in typed.values() if item is not None]:
        lead = f"Type on {here}:"
        if found.decision != "accept":
            lead = f"Do not run it there yet. Correct on {here}, then compare again:"
        summary += [Text(lead), *map(to_type, items)]
        summary += [Text(item.then_text) for item in items if item.then_text]
    for name, (_, reason) in typed.items():
        if reason is not None:
            none = f"No {name} cutoff can be" if reason != FITS else f"No other {name} cutoff is"
            summary.append(Text(f"{none} recommended for {here}: {reason}."))
    to_be_typed = cutoffs_to_type((item for item, _ in typed.values() if item), second.profile)
    summary.append(Text(f"Pressures of the receiving profile, on {here}:"))
    drawn = scale(second.profile, None, typed=to_be_typed, doubt=second.report.band_doubt)
    summary.append(drawn._replace(of=_whose(second, ", with what to type")))
    record = [
        Section("Every field, ruled", tuple(_rulings(found))),
        *normal_section(found),
        *(_side(found, side) for side in (first, second)),
        *(
            findings_section(side.report)._replace(heading=f"Findings of the {side.role} profile")
            for side in (first, second)
        ),
    ]
    policies = policy_section([first.report.policy, second.report.policy])
    sections = (
        *_reasons(found),
        *policies,
        *(section._replace(in_record=True) for section in record),
    )
    files = [first.file, second.file]
    data = transfer_data(found, control)
    controlled = control_section(found, control, data["record"])
    document = answer(title, summary, (*sections, controlled, *signatures()), files, found.day)
    return document._replace(attachment=json_text(data))


def _reasons(found: Transfer) -> Iterator[Section]:
    for heading, word in _HEADINGS:
        reasons = tuple(reason.text for reason in found.reasons if reason.ruling == word)
        if reasons:
            yield Section(heading, (Bullets(reasons),))
    if found.conditions:
        yield Section("On condition", (Bullets(found.conditions),))
    allowed = tuple(
        f"{item.field}: {told(item)}" for item in found.rulings if item.ruling == "allowed"
    )
    if allowed:
        yield Section("Allowed", (Bullets(allowed),))
    yield Section("Fields compared", tuple(_account(found)))


def _account(found: Transfer) -> Iterator[Text]:
    """How many fields were ruled how, and once what the rules rest on."""
    words = Counter(item.ruling for item in found.rulings)
    counts = ", ".join(f"{words[word]} {word}" for word in get_args(Word))
    yield Text(f"{len(found.rulings)}: {counts}.")
    if found.from_memory:
        yield Text(FROM_MEMORY)


def _rulings(found: Transfer) -> Iterator[Block]:
    """Every field with its ruling, and below the table the sources that it names by number."""
    sources = list(dict.fromkeys(item.source for item in found.rulings if item.source))
    rows = tuple((*item[:3], _ruling(item, sources)) for item in found.rulings)
    marked = tuple(
        (n, 3)
        for n, item in enumerate(found.rulings)
        if item.ruling in ("not allowed", "cannot decide")
    )
    yield Table("", ("Field", "Sending", "Receiving", "Ruling"), rows, marked=marked)
    if sources:
        yield Text("Sources, by the numbers in brackets:")
        yield Bullets(tuple(sources), numbered=True)


def _ruling(item: Ruling, sources: list[str]) -> str:
    """The word, the rule and the number of its source; equal values say no more than that."""
    if item.rule == EQUAL:
        return item.ruling
    number = f" [{sources.index(item.source) + 1}]" if item.source else ""
    return f"{item.ruling}: {item.rule}{number}"


def _side(found: Transfer, side: Side) -> Section:
    """What a profile states: every pressure in the units of both instruments."""
    profile = side.profile
    shows = [s.profile.instrument.pressure_unit for s in (found.sending, found.receiving)]
    own = profile.instrument.pressure_unit
    units = tuple(dict.fromkeys((own, *shows)))
    if len(units) == 1:
        units = COMMON_UNITS
    site = f" at {profile.method.site}" if profile.method.site else ""
    facts = Facts(
        (
            ("Profile", side.file.path),
            ("Method", named(profile) + site),
            ("Pressure shown in", own),
            ("Checks", verdict(side.report)),
        )
    )
    wrong = wrong_at(side.report.findings)
    table = pressure_table(list(pressures(profile)), profile, "Every pressure", units, wrong)
    axis = next(unit for unit in (*units, *COMMON_UNITS) if unit != own)
    heading = f"Pressures of the {side.role} profile"
    return Section(
        heading,
        (
            facts,
            scale(profile, None, axis, doubt=side.report.band_doubt)._replace(of=_whose(side)),
            table,
        ),
    )


def _whose(side: Side, more: str = "") -> str:
    """Whose pressures a scale shows."""
    return f"{side.role.capitalize()}: {named(side.profile)}{more} ({shown_text(side.file.path)})"


def transfer_data(found: Transfer, control: Control) -> dict[str, Any]:
    """The record as plain data, with its id and the hash over all of it."""
    data = frame(
        control=control_data(control),
        day=found.day.isoformat(),
        decision=found.decision,
        reasons=plain_data(found.reasons),
        conditions=list(found.conditions),
        from_memory=FROM_MEMORY if found.from_memory else None,
        rulings=[_ruling_data(item) for item in found.rulings],
        sending=_side_data(found.sending),
        receiving=_side_data(found.receiving),
        cutoffs={cutoff.name: _cutoff_data(found, cutoff) for cutoff in found.cutoffs},
        expected=normal_data(found),
        policies=policies_data([s.report.policy for s in (found.sending, found.receiving)]),
        to_fill_in=list(TO_FILL_IN),
    )
    return sealed(data, control.made)


def _ruling_data(item: Ruling) -> dict[str, str]:
    return {key: value for key, value in item._asdict().items() if key != "condition"}


def _side_data(side: Side) -> dict[str, Any]:
    return {
        "profile": profile_data(side.file),
        "pressures": [
            {"path": path_data(path), "pressure": pressure_data(pressure)}
            for path, pressure in pressures(side.profile)
        ],
        "findings": [finding_data(finding) for finding in side.report.findings],
        "checks": outcomes_data(side.report),
        "margins": margins_data(side),
    }


def _cutoff_data(found: Transfer, cutoff: CutoffMoved) -> dict[str, Any]:
    item, withheld = found.to_type(cutoff)
    return {
        **{name: value for name, value in plain_data(cutoff).items() if name != "name"},
        "recommendation": item and recommendation_data(item),
        "withheld": withheld,
    }
