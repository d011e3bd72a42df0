"""A pressure read today, its causes, and the steps that find a restriction."""

from __future__ import annotations

from datetime import date
from typing import Any

from ..diagnosis.isolation import isolate
from ..diagnosis.openings import EVERYTHING, REVERSED
from ..diagnosis.reading import read
from ..diagnosis.telling import AFTER, CAME
from ..documents import isolation as isolation_words
from ..documents.cautions import AT_THE_BENCH, texts
from ..documents.reading import EVERY_CAUSE, reading_document
from ..profile.model import Profile
from .folder import Folder
from .forms import CONDITIONS, LEAK, TOLD, Form
from .screens import Screen, chosen

READ, NORMAL = "read.", "normal."
"""What the names of the fields for readings begin with, before the name of the step."""


def reading(folder: Folder, form: Form, today: date) -> Screen:
    """A pressure read today, its causes, and the steps that find a restriction."""
    choices = {"came": CAME, "after": AFTER, "leak": LEAK}
    empty = Screen("reading.html", None, choices)
    if "pressure" not in form.values:
        return empty
    file, change, told = chosen(folder, form), form.change(), form.told(today)
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
