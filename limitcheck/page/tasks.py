"""The four tasks: from a form to what its screen shows, by the functions of the command line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from ..charts.svg import Drawing
from ..checking.entry import Field, ask
from ..checking.file import check_file
from ..checking.proposed import Proposed
from ..diagnosis.isolation import isolate
from ..diagnosis.openings import EVERYTHING, REVERSED
from ..diagnosis.reading import read
from ..diagnosis.telling import AFTER, CAME
from ..documents import isolation as isolation_words
from ..documents.blocks import Chapter, Document, Section
from ..documents.cautions import AT_THE_BENCH, texts
from ..documents.entry import entry_document
from ..documents.profile import Checked, profile_document
from ..documents.proposal import proposal_document
from ..documents.reading import EVERY_CAUSE, reading_document
from ..documents.transfer import transfer_document
from ..errors import Refused
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..qualify.control import control_of
from ..transfer import Transfer, transfer
from ..units import TRADE_UNITS, Pressure, find_unit
from .folder import Folder
from .forms import CONDITIONS, LEAK, TOLD, Form

READ, NORMAL = "read.", "normal."
"""What the names of the fields for readings begin with, before the name of the step."""


@dataclass(frozen=True)
class Screen:
    """A template with its values, and the answer where there is one yet."""

    template: str
    document: Document | None = None
    values: Mapping[str, Any] = field(default_factory=dict)

    @property
    def sections(self) -> Iterator[Section]:
        """What the screen shows below the summary: the answer, and the drawings of the record."""
        chapters = self.document.chapters if self.document is not None else ()
        for section in (section for chapter in chapters for section in chapter.sections):
            if not section.in_record:
                yield section
            elif drawings := tuple(b for b in section.blocks if isinstance(b, Drawing)):
                yield Section(section.heading, drawings)


def entry(folder: Folder, form: Form, today: date) -> Screen:
    """May this number be typed as a cutoff?"""
    values = {"units": TRADE_UNITS}
    file = _load(folder, form, "profile") if "value" in form.values else None
    if file is None:
        return Screen("entry.html", None, values)
    text, unit = form.value("value"), form.value("unit")
    with form.catching("value"):
        shown = file.profile.instrument.pressure_unit
        if unit and find_unit(unit, Pressure) != shown:
            raise Refused(
                f"the display shows {unit}, and the profile says {shown}",
                "choose the profile of this instrument, or correct the unit in the profile first",
            )
        policy = folder.policy(form.value("profile"))
        cutoff: Field = "low" if form.value("field") == "low" else "high"
        answer = ask(file.profile, text, cutoff, policy, today)
        return Screen("entry.html", entry_document(answer, today), values)
    return Screen("entry.html", None, values)


def check(folder: Folder, form: Form, today: date) -> Screen:
    """The findings of a profile, its scale and the proposed cutoffs."""
    given = form.dropped is not None or "profile" in form.values
    checked = _checked(folder, form, today) if given else None
    if checked is None:
        return Screen("check.html")
    document = profile_document([checked], today)
    limits = proposal_document([Proposed(checked.file, checked.policy, today)], today)
    answer = Chapter("", (Section("Proposed cutoffs", limits.summary),))
    document = document._replace(chapters=(answer, *limits.chapters, *document.chapters))
    return Screen("check.html", document)


def report(folder: Folder, form: Form, today: date) -> Document | None:
    """The report on a profile; None where the form has problems."""
    checked = _checked(folder, form, today)
    return None if checked is None else profile_document([checked], today)


def compare(folder: Folder, form: Form, today: date) -> Screen:
    """One method on two instruments."""
    found = _transfer(folder, form, today) if "from" in form.values else None
    return Screen("transfer.html", None if found is None else _document(found))


def record(folder: Folder, form: Form, today: date) -> Document | None:
    """The record of a transfer, to sign; None where the form has problems."""
    found = _transfer(folder, form, today)
    return None if found is None else _document(found)


def wrong_pressure(folder: Folder, form: Form, today: date) -> Screen:
    """A pressure read today, its causes, and the steps that find a restriction."""
    choices = {"came": CAME, "after": AFTER, "leak": LEAK}
    empty = Screen("reading.html", None, choices)
    if "pressure" not in form.values:
        return empty
    file, change, told = _load(folder, form, "profile"), form.change(), form.told(today)
    if file is None:
        return empty
    pressure = form.pressure("pressure", file.profile.instrument.pressure_unit, "reading")
    swing, period = None, form.period()
    if pressure is not None and form.value("swing"):
        swing = form.pressure("swing", pressure.unit, "swing")
    if pressure is None or not form.good:
        return empty
    with form.catching("swing" if swing is not None else "flow"):
        found = read(file.profile, pressure, change, told=told, swing=swing, period=period)
        document = reading_document(file, found, today, form.changes_text() or None, on_page=True)
        every = [s for c in document.chapters for s in c.sections if s.heading in EVERY_CAUSE]
        values = {**choices, **_isolation(file.profile, form), "every": every}
        return Screen("reading.html", document, values)
    return empty


def _isolation(profile: Profile, form: Form) -> dict[str, Any]:
    """The steps with their fields, and what the readings given so far say.

    The first step is the reading itself, unless the method has a gradient: then the steps are
    read at its starting composition.
    """
    unit = profile.instrument.pressure_unit
    conditions = profile.conditions
    gradient = conditions is not None and bool(conditions.gradient)
    typed = dict(form.values)
    if not gradient:
        typed.setdefault(READ + EVERYTHING, form.value("pressure"))
    steps = Form(typed, problems=form.problems)
    readings, normal = steps.pressures(READ, unit), steps.pressures(NORMAL, unit)
    change = form.change()
    found = None
    with form.catching("steps"):
        found = isolate(profile, readings, normal=normal, at=change)
    if found is None:
        found = isolate(profile, {}, at=change)
    return {
        "kept": ("profile", "pressure", *CONDITIONS, *TOLD),
        "cautions": texts(AT_THE_BENCH),
        "steps": steps,
        "isolation": found,
        "good_day": any(name.startswith(NORMAL) and form.value(name) for name in form.values),
        "asked": any(name.startswith(READ) for name in form.values),
        "isolation_words": isolation_words,
        "verdict": list(isolation_words.verdict_blocks(found)),
        "found": list(isolation_words.found_sections(found)),
        "reversed": REVERSED,
        "gradient": gradient,
    }


def _load(folder: Folder, form: Form, field: str) -> ProfileFile | None:
    with form.catching(field):
        return folder.load(form.value(field))
    return None


def _checked(folder: Folder, form: Form, today: date) -> Checked | None:
    dropped = form.dropped
    with form.catching("file" if dropped is not None else "profile"):
        if dropped is not None:
            file, policy = folder.load_dropped(dropped.content, dropped.name), folder.policy()
        else:
            name = form.value("profile")
            file, policy = folder.load(name), folder.policy(name)
        return Checked(file, check_file(file, policy, today), policy)
    return None


def _document(found: Transfer) -> Document:
    """The record as the command makes it, of this moment."""
    return transfer_document(found, control_of(found, datetime.now().astimezone(), None))


def _transfer(folder: Folder, form: Form, today: date) -> Transfer | None:
    sending, receiving = _load(folder, form, "from"), _load(folder, form, "to")
    if sending is None or receiving is None:
        return None
    with form.catching("from"):
        policies = (folder.policy(form.value("from")), folder.policy(form.value("to")))
        return transfer(sending, receiving, policies, today)
    return None
