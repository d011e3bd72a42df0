"""The record of a transfer, to print and sign, and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..charts.scale import scale
from ..transfer.came_across import CutoffMoved
from ..transfer.record import Side, Transfer, pressures
from ..units import COMMON_UNITS
from .blocks import Block, Bullets, Document, Facts, Section, Table, Text
from .data import frame, path_data, plain_data, predicted_data, pressure_data, profile_data
from .findings import finding_data, findings_section, recommendation_data, to_type, verdict
from .parts import SIGNED, answer, named, pressure_table
from .settings import policies_data, policy_section

_KEPT = {True: "within", False: "outside", None: "scaled"}


def transfer_document(found: Transfer) -> Document:
    """The decision with its reasons and what to type, then the record."""
    first, second = found.sending, found.receiving
    method, here = first.profile.method, second.profile.instrument.id
    revision = f" revision {method.revision}" if method.revision else ""
    title = f"Transfer of {method.id}{revision} from {first.profile.instrument.id} to {here}"
    summary: list[Block] = [Text(f"{title}: {found.decision}.", strong=True)]
    typed = {cutoff.name: found.to_type(cutoff) for cutoff in found.cutoffs}
    if items := [item for item, _ in typed.values() if item is not None]:
        summary += [Text(f"Type on {here}:"), *map(to_type, items)]
    for name, (_, reason) in typed.items():
        if reason is not None:
            told = f"No {name} cutoff can be recommended for {here}: {reason}."
            summary.append(Text(told))
    record = [
        Section("Cutoffs", (_cutoffs(found),)),
        *_expected_and_column(found),
        Section("Ratings", (_ratings(found),)),
        *(_side(found, side) for side in (first, second)),
        findings_section(second.report),
    ]
    policies = policy_section([first.report.policy, second.report.policy])
    sections = (
        *_reasons(found),
        *policies,
        *(section._replace(in_record=True) for section in record),
    )
    files = [first.file, second.file]
    return answer(title, summary, sections, files, found.day, signed=True)


def _reasons(found: Transfer) -> Iterator[Section]:
    for heading, blocking in (("Against it", True), ("To be looked at", False)):
        reasons = tuple(reason.text for reason in found.reasons if reason.blocking is blocking)
        if reasons:
            yield Section(heading, (Bullets(reasons),))


def _cutoffs(found: Transfer) -> Table:
    rows = tuple(
        (
            f"{cutoff.name} cutoff",
            *("off" if p is None else str(p) for p in (cutoff.sending, cutoff.receiving)),
            f"{cutoff.verdict}: {cutoff.text}",
        )
        for cutoff in found.cutoffs
    )
    columns = ("Cutoff", "Sending", "Receiving", "How it came across")
    return Table("As typed on both sides", columns, rows)


def _expected_and_column(found: Transfer) -> Iterator[Section]:
    if (moved := found.expected) is not None:
        ratio = f"No predicted ratio ({moved.no_ratio}): taken as the same hardware."
        if moved.predicted_ratio is not None:
            ratio = f"Predicted pressure, receiving over sending: {moved.predicted_ratio:.3g}."
        yield Section("Expected pressure", (Text(f"{moved.text}."), Text(ratio)))
    if (change := found.column) is not None:
        rows = tuple((*item[:-1], _KEPT[item.kept]) for item in change.adjustments)
        columns = ("Quantity", "Sending", "Receiving", "Allowed", "Verdict")
        table = Table(f"Rules for {change.rules} elution: {change.source}", columns, rows)
        yield Section("Column", (Text(f"From {change.sending} to {change.receiving}."), table))


def _ratings(found: Transfer) -> Table:
    rows = tuple(
        (
            pair.part,
            *("none" if side is None else str(side.pressure) for side in pair[1:]),
            "weaker" if pair.weaker else "not weaker",
        )
        for pair in found.ratings
    )
    caption = "Lowest rating of each kind of part, at each method's conditions"
    return Table(caption, ("Part", "Sending", "Receiving", "Difference"), rows)


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
    table = pressure_table(list(pressures(profile)), profile, "Every pressure", units)
    axis = next(unit for unit in (*units, *COMMON_UNITS) if unit != own)
    heading = f"Pressures of the {side.role} profile"
    return Section(heading, (facts, scale(profile, None, axis), table))


def transfer_data(found: Transfer) -> dict[str, Any]:
    """The record as plain data."""
    moved, change = found.expected, found.column
    return frame(
        day=found.day.isoformat(),
        decision=found.decision,
        reasons=plain_data(found.reasons),
        sending=_side_data(found.sending),
        receiving=_side_data(found.receiving),
        cutoffs={cutoff.name: _cutoff_data(found, cutoff) for cutoff in found.cutoffs},
        expected=moved
        and {
            **plain_data(moved),
            "scaled": {
                n: predicted_data(float(p), p.unit) for n, p in moved.scaled._asdict().items()
            },
        },
        column=change
        and {
            **plain_data(change),
            "sending": str(change.sending),
            "receiving": str(change.receiving),
        },
        ratings=[
            {
                "part": pair.part,
                "sending": pair.sending and pressure_data(pair.sending.pressure),
                "receiving": pair.receiving and pressure_data(pair.receiving.pressure),
                "weaker": pair.weaker,
            }
            for pair in found.ratings
        ],
        policies=policies_data([s.report.policy for s in (found.sending, found.receiving)]),
        to_fill_in=list(SIGNED),
    )


def _side_data(side: Side) -> dict[str, Any]:
    return {
        "profile": profile_data(side.file),
        "pressures": [
            {"path": path_data(path), "pressure": pressure_data(pressure)}
            for path, pressure in pressures(side.profile)
        ],
        "findings": [finding_data(finding) for finding in side.report.findings],
    }


def _cutoff_data(found: Transfer, cutoff: CutoffMoved) -> dict[str, Any]:
    item, withheld = found.to_type(cutoff)
    return {
        **{name: value for name, value in plain_data(cutoff).items() if name != "name"},
        "blocking": cutoff.blocking,
        "recommendation": item and recommendation_data(item),
        "withheld": withheld,
    }
