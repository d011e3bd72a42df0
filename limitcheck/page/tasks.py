"""The four tasks: from a form to what its screen shows, by the functions of the command line."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from ..charts.scale import profile_scale
from ..checking.entry import Field, ask
from ..checking.file import check_file
from ..diagnosis.isolate import isolate
from ..diagnosis.openings import EVERYTHING, REVERSED
from ..diagnosis.reading import read
from ..documents.as_text import isolation as isolation_words
from ..documents.as_text import reading as reading_words
from ..documents.as_text.proposal import Proposed
from ..documents.blocks import Document
from ..documents.cautions import AT_THE_BENCH, texts
from ..documents.entry import entry_document
from ..documents.findings import findings_section, verdict
from ..documents.parts import named
from ..documents.profile import Checked, profile_document
from ..documents.proposal import proposal_section
from ..documents.readings import found_sections, verdict_blocks
from ..documents.transfer import transfer_document
from ..limits import propose
from ..limits.feasible import remedies
from ..policy import margins_for
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..transfer import Transfer, transfer
from ..units import TRADE_UNITS
from .folder import Folder
from .forms import CONDITIONS, Form

READ, NORMAL = "read.", "normal."
"""What the names of the fields for readings begin with, before the name of the step."""


@dataclass(frozen=True)
class Dropped:
    """A file that was given to the page instead of chosen from the folder."""

    name: str
    content: bytes

    @property
    def encoded(self) -> str:
        """The bytes as text that a form gives back unchanged."""
        return b64encode(self.content).decode()


@dataclass(frozen=True)
class Screen:
    """A template with its values; `answer` is the heading of the answer, empty without one."""

    template: str
    answer: str
    values: Mapping[str, Any]


def entry(folder: Folder, form: Form, today: date) -> Screen:
    """May this number be typed as a cutoff?"""
    values: dict[str, Any] = {"units": TRADE_UNITS}
    if "value" not in form.values:
        return Screen("entry.html", "", values)
    file = _load(folder, form, "profile")
    text, unit = form.value("value"), form.value("unit")
    if unit and not text.endswith(unit):
        text = f"{text} {unit}"
    if file is not None:
        with form.catching("value"):
            policy = folder.policy(form.value("profile"))
            field: Field = "low" if form.value("field") == "low" else "high"
            answer = ask(file.profile, text, field, policy, today)
            answered = entry_document(answer, today)
            values["blocks"], values["why"] = answered.summary[1:], answered.blocks
            return Screen("entry.html", answered.title, values)
    return Screen("entry.html", "", values)


def check(folder: Folder, form: Form, today: date, dropped: Dropped | None = None) -> Screen:
    """The findings of a profile, its scale and the proposed cutoffs."""
    checked = None
    if dropped is not None or "profile" in form.values:
        checked = _checked(folder, form, today, dropped)
    if checked is None:
        return Screen("check.html", "", {"dropped": None})
    profile, policy = checked.profile, checked.policy
    margins = margins_for(profile, policy)
    proposed = Proposed(
        checked.file, checked.report, margins, propose(profile, margins), remedies(profile, margins)
    )
    values = {
        "sections": [findings_section(checked.report), proposal_section(proposed)],
        "scale": profile_scale(profile),
        "dropped": dropped,
    }
    return Screen("check.html", f"{named(profile)}: {verdict(checked.report)}", values)


def report(
    folder: Folder, form: Form, today: date, dropped: Dropped | None = None
) -> Document | None:
    """The report on a profile; None where the form has problems."""
    checked = _checked(folder, form, today, dropped)
    return None if checked is None else profile_document([checked], today)


def compare(folder: Folder, form: Form, today: date) -> Screen:
    """One method on two instruments."""
    found = _transfer(folder, form, today) if "from" in form.values else None
    if found is None:
        return Screen("transfer.html", "", {})
    document = transfer_document(found)
    sections = [
        section
        for chapter in document.chapters
        for section in chapter.sections
        if all(block.kind != "blanks" for block in section.blocks)
    ]
    values = {"heading": document.title, "sections": sections, "cautions": document.cautions}
    return Screen("transfer.html", f"Decision: {found.decision}", values)


def record(folder: Folder, form: Form, today: date) -> Document | None:
    """The record of a transfer, to sign; None where the form has problems."""
    found = _transfer(folder, form, today)
    return None if found is None else transfer_document(found)


def wrong_pressure(folder: Folder, form: Form) -> Screen:
    """A pressure read today, its causes, and the steps that find a restriction."""
    values: dict[str, Any] = {"kept": ("profile", "pressure", *CONDITIONS), "words": reading_words}
    if "pressure" not in form.values:
        return Screen("reading.html", "", values)
    file = _load(folder, form, "profile")
    change = form.change()
    if file is None:
        return Screen("reading.html", "", values)
    profile = file.profile
    unit = profile.instrument.pressure_unit
    pressure = form.pressure("pressure", unit, "reading")
    if pressure is None or not form.good:
        return Screen("reading.html", "", values)
    with form.catching("flow"):
        found = read(profile, pressure, change)
        values |= {"reading": found, "cautions": texts(AT_THE_BENCH)}
        values |= _isolation(profile, form)
        at = form.changes_text()
        heading = f"{named(profile)}: {found.pressure:.6g} {unit}{f' at {at}' if at else ''}"
        return Screen("reading.html", heading, values)
    return Screen("reading.html", "", values)


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
    steps = Form(typed, form.problems)
    readings, normal = steps.pressures(READ, unit), steps.pressures(NORMAL, unit)
    change = form.change()
    found = None
    with form.catching("steps"):
        found = isolate(profile, readings, normal=normal, at=change)
    if found is None:
        found = isolate(profile, {}, at=change)
    return {
        "steps": steps,
        "isolation": found,
        "good_day": any(name.startswith(NORMAL) and form.value(name) for name in form.values),
        "asked": any(name.startswith(READ) for name in form.values),
        "isolation_words": isolation_words,
        "verdict": list(verdict_blocks(found)),
        "sections": list(found_sections(found)),
        "reversed": REVERSED,
        "gradient": gradient,
    }


def _load(folder: Folder, form: Form, field: str) -> ProfileFile | None:
    with form.catching(field):
        return folder.load(form.value(field))
    return None


def _checked(folder: Folder, form: Form, today: date, dropped: Dropped | None) -> Checked | None:
    with form.catching("file" if dropped is not None else "profile"):
        if dropped is not None:
            file, policy = folder.load_dropped(dropped.content, dropped.name), folder.policy()
        else:
            file = folder.load(form.value("profile"))
            policy = folder.policy(form.value("profile"))
        return Checked(file, check_file(file, policy, today), policy)
    return None


def _transfer(folder: Folder, form: Form, today: date) -> Transfer | None:
    sending, receiving = _load(folder, form, "from"), _load(folder, form, "to")
    if sending is None or receiving is None:
        return None
    with form.catching("from"):
        policies = (folder.policy(form.value("from")), folder.policy(form.value("to")))
        return transfer(sending, receiving, policies, today)
    return None
