"""What to type at each instrument, in large print to hang beside it; whole profiles as data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from pydantic import BaseModel

from ..checking.run import Run
from ..profile.model import Profile
from ..tables.to_type import ERROR, IN_DOUBT, LEFT_OPEN, UNREADABLE, SheetRow, as_typed
from ..units import Pressure, Quantity
from ..version import __version__
from .blocks import Blanks, Block, Chapter, Document, Facts, Section, Text, ToType
from .cautions import CAUTIONS
from .data import exact_text, frame, profile_data
from .findings import report_data
from .looked import looked_data, looked_section, looked_texts
from .settings import policies_data, policy_section

LOCAL_RULES = (
    "Follow the rules of this laboratory and the maker's manual: they come before this sheet."
)
"""On every sheet and in every row."""
NOTHING = "DO NOT TYPE ANYTHING FROM THIS PROFILE"


def export_document(rows: Sequence[SheetRow], run: Run, day: date) -> Document:
    """A page an instrument: each method with what to type, or why nothing is to be typed."""
    ready = sum(row.may_be_typed for row in rows)
    summary: list[Block] = [
        Text(f"What to type: {ready} of {len(rows)} {_word(len(rows))}.", strong=True)
    ]
    if ready < len(rows):
        counts = Counter(row.in_the_way for row in rows if not row.may_be_typed)
        told = ", ".join(
            f"{counts[way]} {_word(counts[way])} {way}"
            for way in (UNREADABLE, ERROR, IN_DOUBT, LEFT_OPEN)
            if counts[way]
        )
        none = f"nothing of {'it' if counts.total() == 1 else 'these'} is to be typed"
        summary.append(Text(f"{told}: {none}. limitcheck check says what is wrong.", strong=True))
    summary += [Text(LOCAL_RULES), *looked_texts(run.looked)]
    by_instrument: dict[str, list[SheetRow]] = {}
    for row in rows:
        by_instrument.setdefault(row.report.instrument or "Files that cannot be read", []).append(
            row
        )
    chapters = [_sheet(name, found, day) for name, found in sorted(by_instrument.items())]
    record = (*policy_section(run.policies), *looked_section(run.looked))
    if record:
        chapters.append(Chapter("How this was checked", record))
    cautions = (LOCAL_RULES, CAUTIONS["not-above-rating"], CAUTIONS["who-decides"])
    title = "What to type as pressure cutoffs"
    return Document(title, tuple(summary), tuple(chapters), cautions, day.isoformat(), large=True)


def _word(number: int) -> str:
    return "profile" if number == 1 else "profiles"


def _sheet(name: str, rows: Sequence[SheetRow], day: date) -> Chapter:
    heading = " or ".join(dict.fromkeys(filter(None, map(_instrument, rows)))) or name
    sections = [_method(row, day) for row in rows]
    labels = ("Compared with the front panel by", "Date", "Approved by")
    sections.append(Section("", (Text(LOCAL_RULES, strong=True), Blanks(labels)), in_record=True))
    return Chapter(heading, tuple(sections))


def _instrument(row: SheetRow) -> str:
    """The instrument and what it shows; empty where the file cannot be read."""
    if row.profile is None:
        return ""
    return f"{row.profile.instrument.id}, shows {row.profile.instrument.pressure_unit}"


def _method(row: SheetRow, day: date) -> Section:
    profile, report = row.profile, row.report
    blocks: list[Block] = []
    if profile is None or not row.may_be_typed:
        blocks.append(Text(f"{NOTHING}.", strong=True))
        blocks += (Text(f"Why: {why}") for why in row.why_not)
    else:
        unit, cutoffs = profile.instrument.pressure_unit, profile.cutoffs
        blocks.append(ToType("High cutoff", as_typed(cutoffs.high), unit))
        blocks.append(ToType("Low cutoff", as_typed(cutoffs.low), unit))
    told = [
        ("Instrument", _instrument(row)),
        ("Title", profile.method.title if profile else None),
        ("Column", row.column),
        ("Normal pressure", row.normal or ("not given" if profile else "")),
    ]
    blocks.append(Facts(tuple((label, text) for label, text in told if text)))
    blocks += (Text(f"Note: {note}") for note in row.notes)
    checked = f"Checked on {day.isoformat()} with limitcheck {__version__}: {report.path}"
    blocks.append(Text(f"{checked}, SHA-256 {report.sha256 or 'not known'}"))
    return Section(row.method, tuple(blocks))


def exit_code(rows: Sequence[SheetRow], run: Run) -> int:
    """That of the check, and never 0 where nothing of a profile is to be typed."""
    return run.exit_code or int(not all(row.may_be_typed for row in rows))


def export_data(rows: Sequence[SheetRow], run: Run) -> dict[str, Any]:
    """Whole profiles, every number with its unit, and whether they may be typed."""
    return frame(
        profiles=[_profile(row) for row in rows],
        caution=LOCAL_RULES,
        summary=run.summary._asdict(),
        exit_code=exit_code(rows, run),
        policies=policies_data(run.policies),
        looked=looked_data(run.looked),
    )


def _profile(row: SheetRow) -> dict[str, Any]:
    return {
        "profile": None if row.file is None else profile_data(row.file),
        "path": report_data(row.report)["path"],
        "may_be_typed": row.may_be_typed,
        "why_not": list(row.why_not),
        "notes": list(row.notes),
        "whole": None if row.profile is None else whole(row.profile),
    }


_BARE = {"percent_b": "%", "minute": "min", "heads": "1", "format": "1"}
"""The units of numbers that the format takes without one; 1 is a count."""
_IN_DISPLAY = frozenset({"display_step", "entry_max"})


def whole(profile: Profile) -> dict[str, Any]:
    """Every value of a profile that is given; each number with its unit, as exact text."""
    return dict(_table(profile, profile.instrument.pressure_unit))


def _table(model: BaseModel, shown: str) -> Iterator[tuple[str, Any]]:
    for name in type(model).model_fields:
        value = getattr(model, name)
        if value is not None:
            yield name, _value(value, name, shown)


def _value(value: Any, name: str, shown: str) -> Any:
    if isinstance(value, BaseModel):
        return dict(_table(value, shown))
    if isinstance(value, Mapping):
        return {str(key): _value(item, str(key), shown) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_value(item, name, shown) for item in value]
    if isinstance(value, Quantity):
        return _quantity(value)
    if isinstance(value, Fraction | int) and not isinstance(value, bool):
        unit = shown if name in _IN_DISPLAY else _BARE[name]
        return {"value": exact_text(Fraction(value)), "unit": unit}
    return value.isoformat() if isinstance(value, date) else value


def _quantity(value: Quantity) -> dict[str, str]:
    number = exact_text(Fraction(value.number)) if value.typed else exact_text(value.to(value.unit))
    pascal = {"pascal": exact_text(value.value)} if isinstance(value, Pressure) else {}
    return {"value": number, "unit": value.unit, **pascal}
