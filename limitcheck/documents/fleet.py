"""The fleet as a document: every profile in one table, what is nearest to harm first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import PurePath

from ..charts.svg import Drawing
from ..checking.fleet import Facts, FleetRow, Nearness
from ..checking.margins import Margin
from ..checking.results import count
from ..checking.root import shown_text
from ..checking.run import Run
from ..findings import Severity
from ..tables.fleet import NEARNESS, NOT_GIVEN, OFF, pressure_text
from ..units import Pressure, percent, plain, round_down, show
from .blocks import Block, Chapter, Document, Section, Table, Text
from .blocks import Facts as FactsBlock
from .cautions import IN_A_RECORD, texts
from .findings import counts_text
from .looked import looked_section, looked_texts
from .settings import policy_section

DETAILED = 200
"""Rows of the short form, and rows with details and a picture: what is nearest to harm."""
_COLUMNS = (
    *("Method", "Instrument", "State", "Headroom", "High", "Rating", "Expected", "Low"),
    *("Weakest part", "Not decided", "Measured"),
)
_FIGURES = (3, 4, 5, 6, 7)
_SPARE = (10, 9, 8, 7, 6, 5, 4)
"""Columns that a narrow screen leaves out, the first one first."""
_ALARMS = ("unreadable", Severity.ERROR.value)


def fleet_document(
    rows: Sequence[FleetRow],
    run: Run,
    unit: str,
    day: date,
    pictures: Mapping[str, Drawing] | None = None,
) -> Document:
    """The table, then details of the rows nearest to harm, with their pictures by path.

    Without `pictures` it is the short form: those rows alone, and no details.
    """
    names, shown = _names(rows), rows if pictures is not None else rows[:DETAILED]
    told = _LEGEND
    if len(shown) < len(rows):
        told = f"{len(rows) - len(shown)} more are less near to harm: --verbose has all. {told}"
    summary: tuple[Block, ...] = (
        Text(_verdict(rows), strong=True),
        Text(
            f"Nearest to harm first; pressures in {unit}. limitcheck check FILE says what is "
            "wrong and what to type."
        ),
        _table(shown, names, unit),
        Text(told),
        *looked_texts(run.looked),
    )
    title, cautions = f"Fleet: {count(len(rows), 'profile')}", tuple(texts(IN_A_RECORD))
    if pictures is None:
        settings = Chapter("Record", tuple(policy_section(run.policies)))
        return Document(title, summary, (settings,), cautions, day.isoformat())
    detailed = [_details(row, names[row.path], unit, pictures) for row in rows[:DETAILED]]
    if len(rows) > DETAILED:
        told = f"Only the {DETAILED} nearest to harm are here; CSV, XLSX and JSON have all."
        detailed.insert(0, Section("", (Text(told),), in_record=True))
    files = Table(
        "", ("File", "SHA-256"), tuple((shown_text(r.path), r.sha256 or "") for r in rows)
    )
    record = (
        *policy_section(run.policies),
        *looked_section(run.looked),
        Section("Files read", (files,), in_record=True),
    )
    chapters = (Chapter("Each profile", tuple(detailed)), Chapter("Record", record))
    return Document(title, summary, chapters, cautions, day.isoformat())


_LEGEND = (
    "Headroom: what the high cutoff leaves free under the weakest rating up to the column, at the "
    "method's own flow and temperature; up to: a part has no rating there and may be weaker."
)


def _verdict(rows: Sequence[FleetRow]) -> str:
    """How many profiles there are in each part of the order."""
    found = Counter(row.nearness for row in rows)
    told = "; ".join(f"{found[part]} {NEARNESS[part]}" for part in Nearness if found[part])
    return f"{count(len(rows), 'profile')}: {told}."


def _names(rows: Sequence[FleetRow]) -> Mapping[str, str]:
    """By path, how a row is called: by its file, too, where a method stands there twice."""
    found = Counter((row.method, _revision(row), row.instrument) for row in rows)
    files = Counter(PurePath(row.path).name for row in rows)

    def name(row: FleetRow) -> str:
        last = PurePath(row.path).name
        file = shown_text(last if files[last] == 1 else row.path)
        if row.facts is None:
            return file
        called = f"{row.method} {_revision(row)}".rstrip()
        alone = found[row.method, _revision(row), row.instrument] == 1
        return called if alone else f"{called} ({file})"

    return {row.path: name(row) for row in rows}


def _revision(row: FleetRow) -> str:
    return "" if row.facts is None else row.facts.revision


def _table(rows: Sequence[FleetRow], names: Mapping[str, str], unit: str) -> Table:
    cells, marked = [], []
    for number, row in enumerate(rows):
        cells.append((names[row.path], row.instrument, row.state, *_shown(row, unit)))
        if row.state in _ALARMS:
            marked.append((number, 2))
        if row.nearness is Nearness.BEYOND:
            marked.append((number, 3))
    table = Table("", _COLUMNS, tuple(cells), _FIGURES, tuple(marked), _SPARE)
    if any(row.undecided or row.left_open for row in rows):
        return table
    return table.without(_COLUMNS.index("Not decided"))


def _shown(row: FleetRow, unit: str) -> Iterator[str]:
    """Headroom, high cutoff, rating, normal band, low cutoff, weakest part and the rest."""
    facts = row.facts
    if facts is None:
        yield from [""] * (len(_COLUMNS) - 3)
        return
    yield _headroom(facts)
    high = facts.high if facts.stops else None
    yield OFF if high is None else _in(high, unit, facts)
    if facts.weakest is None:
        yield "none"
    else:
        yield f"{'' if facts.rated else 'up to '}{_rating(facts.weakest, unit, facts)}"
    if facts.band is None:
        yield NOT_GIVEN
    else:
        ends = " to ".join(_in(end, unit, facts) for end in facts.ends)
        yield ends if facts.band.normal else facts.band.called  # no room for more on a screen
    low = facts.low if facts.warns else None
    yield OFF if low is None else _in(low, unit, facts)
    yield facts.part
    yield _not_decided(row)
    yield _measured(facts)


def _not_decided(row: FleetRow) -> str:
    """The checks that are required and left open by name, and how many others are."""
    others = row.undecided - len(row.left_open)
    more = [count(others, "check" if not row.left_open else "other")] if others > 0 else []
    return ", ".join([*row.left_open, *more])


def _headroom(facts: Facts) -> str:
    if not facts.stops:
        return "no cutoff"
    if facts.headroom is None:
        return "no rating" if facts.weakest is None else "none"
    return f"{'' if facts.rated else 'up to '}{percent(float(facts.headroom), 3)}"


def _measured(facts: Facts) -> str:
    """How many pairs were measured, and the day of the newest."""
    if not facts.pairs:
        return "none"
    day = facts.last_measured
    return f"{count(facts.pairs, 'pair')}, {'no day given' if day is None else day.isoformat()}"


def _in(pressure: Pressure, unit: str, facts: Facts) -> str:
    """In the common unit without its name; never rounded to look like another of the row."""
    others = (facts.high, facts.low, facts.weakest, *facts.ends)
    apart = [other for other in others if other is not None]
    return show(pressure, unit, apart=apart).removesuffix(f" {unit}")


def _details(row: FleetRow, name: str, unit: str, pictures: Mapping[str, Drawing]) -> Section:
    """All that is known of a row: its picture and every column."""
    facts = row.facts
    if facts is None:
        told = Text(f"{shown_text(row.path)} cannot be read: {row.worst}.")
        return Section(name, (told,), in_record=True)
    blocks: list[Block] = [pictures[row.path]] if row.path in pictures else []
    blocks.append(FactsBlock(tuple(_facts(row, facts, unit))))
    return Section(f"{name} on {row.instrument}", tuple(blocks), in_record=True)


def _facts(row: FleetRow, facts: Facts, unit: str) -> Iterator[tuple[str, str]]:
    yield "File", shown_text(row.path)
    if facts.site:
        yield "Site", facts.site
    yield "Shows", facts.unit
    yield "Place in the order", NEARNESS[row.nearness]
    yield "Findings", counts_text(row.counts, row.undecided)
    if row.worst:
        yield "Worst finding", row.worst
    if row.left_open:
        yield "Required and not decided", ", ".join(row.left_open)
    for label, cutoff in (("High cutoff", facts.high), ("Low cutoff", facts.low)):
        yield label, OFF if cutoff is None else _both(cutoff, unit, facts, off=True)
    if facts.band is None:
        yield "Expected", NOT_GIVEN
    else:
        ends = " to ".join(_both(end, unit, facts) for end in facts.ends)
        yield "Expected", f"{ends}, {facts.band.basis}"
        if not facts.band.normal:
            yield "Not normal", facts.band.why_not
    if facts.weakest is None:
        yield "Weakest rating", "none is given"
    else:
        at = ", at this method's conditions" if facts.derated else ""
        yield (
            "Weakest rating",
            f"{facts.part}: {_both(facts.weakest, unit, facts, rating=True)}{at}",
        )
    if facts.unrated:
        yield "No rating in force", ", ".join(facts.unrated)
    margins = facts.margins
    yield "High cutoff over expected", _margin(margins.over_band, unit)
    yield "Low cutoff under expected", _margin(margins.under_band, unit)
    bound = " at most" if facts.headroom_is == "at most" else ""
    yield f"Headroom{bound}", _margin(margins.headroom, unit)
    yield "Measured pairs", _measured(facts)


def _rating(rating: Pressure, unit: str, facts: Facts) -> str:
    """The same of a rating, rounded down: whoever types it stays under it."""
    shown = _in(rating, unit, facts)
    places = len(shown.partition(".")[2])
    while (least := round_down(rating.to(unit), Fraction(1, 10**places))) < rating.to(unit):
        others = (facts.high, facts.low, *facts.ends)
        if least and not any(
            other is not None and other < rating and other.to(unit) >= least for other in others
        ):
            break
        places += 1
    return plain(least)


def _both(
    pressure: Pressure, unit: str, facts: Facts, *, off: bool = False, rating: bool = False
) -> str:
    """As it is given, and in the common unit where that is another."""
    told = pressure_text(pressure, off=off)
    if pressure.unit == unit:
        return told
    shown = (_rating if rating else _in)(pressure, unit, facts)
    return f"{told} ({shown} {unit})"


def _margin(margin: Margin | None, unit: str) -> str:
    if margin is None:
        return "not known"
    room = Pressure.of(margin.room(unit), unit) if margin.share else None
    amount = "" if room is None else f", {show(room, unit)}"
    return f"{percent(float(margin.share), 3)}{amount}"
