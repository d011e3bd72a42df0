"""Find the blockage: one step, one reading at a time; what was read so far is in the address."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from functools import partial
from typing import NamedTuple

from ..checking.doubts import band_in_doubt
from ..diagnosis.isolation import Isolation, isolate
from ..diagnosis.openings import EVERYTHING, REVERSED, openings
from ..diagnosis.steps import PlannedStep
from ..documents import isolation as words
from ..documents.cautions import AT_THE_BENCH, texts
from ..documents.parts import band_not_used
from ..errors import LimitcheckError
from ..profile.model import Profile
from ..units import Pressure, as_typed
from .addresses import address_of
from .folder import Folder
from .forms import Form
from .screens import Screen, chosen

READ, NORMAL, SKIP = "read.", "normal.", "skip."
"""What the names of the fields of a step begin with, before its name."""
_ENOUGH = 3
"""Readings after which one is read again before the plan goes on, where that is asked for."""
_REVERSE = "column reversed, its outlet to waste"
"""What to do in the one step that is not in the plan."""

_AGAIN = "everything connected, as said above; give the flow below if it is not the method's"
"""What to do where a reading is over a limit, or there is no flow."""


class Shown(NamedTuple):
    """A step as the screen shows it: what to do, its normal pressure, and what was read."""

    name: str
    action: str
    normal: str
    read: str
    address: str
    """Of the screen that asks for it, or for it again."""


def has_gradient(profile: Profile) -> bool:
    """Whether the method has one: its steps are read at the starting composition."""
    return profile.conditions is not None and bool(profile.conditions.gradient)


def find(folder: Folder, form: Form, today: date) -> Screen:
    """What the readings say so far, and the next step with its cautions."""
    file = chosen(folder, form) if "profile" in form.values else None
    if file is None:
        return Screen("blockage.html", None, {"isolation": None})
    profile, change = file.profile, form.change()
    unit = profile.instrument.pressure_unit
    asked = form.value("step")
    if asked and not form.value(READ + asked) and f"{SKIP}{asked}" not in form.values:
        form.refuse(READ + asked, "no pressure is typed", "type what the display shows, or skip it")
    readings, normal = form.pressures(READ, unit), form.pressures(NORMAL, unit)
    doubt = band_in_doubt(file, today)
    judged = partial(isolate, profile, at=change, in_doubt=bool(doubt))
    for name in tuple(normal):  # a wrong one is a problem of its own field, not of a reading
        with form.catching(NORMAL + name):
            judged({}, normal={name: normal[name]})
            continue
        del normal[name]
    known = partial(judged, normal=normal)
    found = _isolated(form, asked, readings, known)
    steps = {step.name: step for step in (*found.plan, *found.repeat, *found.further)}
    if found.not_reversed is None:
        reverse = PlannedStep(REVERSED, _REVERSE, (), None, None, readings.get(REVERSED))
        steps[REVERSED] = reverse
    wrong = next((p.field.removeprefix(READ) for p in form.problems), "")
    waiting = list(_waiting(found, form))
    wanted = [name for name in (wrong, form.value("ask"), *waiting) if name in steps]
    if found.open_nothing:  # read again, or a reading corrected; no line is opened
        wanted = [name for name in wanted if steps[name].reading is not None] or [EVERYTHING]
    step = steps[wanted[0]] if wanted else None
    if step is not None and found.open_nothing and step.name == EVERYTHING:
        step = replace(step, action=_AGAIN)
    plan = [opening.name for opening in openings(profile)]
    values = {
        "isolation": found,
        "verdict": list(words.verdict_blocks(replace(found, first=None))),
        "found": list(words.found_sections(found)),
        "answered": found.verdict != "plan",
        "doubt": band_not_used(doubt) if doubt else "",
        "at_once": None if found.first is None else words.first_text(found.first),
        "step": None if step is None else _shown(step, found, form),
        "done": [_shown(s, found, form) for s in steps.values() if s.reading is not None],
        "others": [
            _shown(s, found, form)
            for s in steps.values()
            if s.reading is None and s.name != (step and step.name) and not found.open_nothing
        ],
        "plan": plan,
        "number": 0 if step is None or step.name not in plan else plan.index(step.name) + 1,
        "kept": _kept(form, "" if step is None else step.name),
        "good_day": any(name.startswith(NORMAL) and form.value(name) for name in form.values),
        "cautions": texts(AT_THE_BENCH),
        "how_to_read": words.HOW_TO_READ,
        "gradient": has_gradient(profile),
    }
    return Screen("blockage.html", None, values)


def _isolated(
    form: Form, asked: str, readings: dict[str, Pressure], known: Callable[..., Isolation]
) -> Isolation:
    """What the readings say; without those that cannot be, which are problems of the form."""
    with form.catching(READ + asked):
        return known(readings)
    readings.pop(asked, None)
    try:
        return known(readings)
    except LimitcheckError:  # told above
        return known({})


def _waiting(found: Isolation, form: Form) -> Iterator[str]:
    """The steps to read next, in order; none of the plan where the part is found."""
    plan = () if found.named else found.plan
    enough = sum(step.reading is not None for step in found.plan) >= _ENOUGH
    again_first = enough or found.verdict == "contradiction"
    order = (*found.repeat, *plan) if again_first else (*plan, *found.repeat)
    for step in (*order, *found.further):
        if step.reading is None and f"{SKIP}{step.name}" not in form.values:
            yield step.name


def _shown(step: PlannedStep, found: Isolation, form: Form) -> Shown:
    unit = found.unit
    kept = {name: value for name, value in form.values.items() if name not in ("ask", "step")}
    kept.pop(f"{SKIP}{step.name}", None)
    return Shown(
        step.name,
        words.action_text(step),
        words.normal_text(step, unit, found.basis),
        "" if step.reading is None else as_typed(step.reading, unit),
        address_of("/blockage", **{**kept, "ask": step.name}),
    )


def _kept(form: Form, step: str) -> list[tuple[str, str]]:
    """The fields that the form of a step carries along unseen: what was read and skipped."""
    return [
        (name, form.value(name))
        for name in form.values
        if name == "profile"
        or (name.startswith((READ, SKIP)) and form.value(name) and name[len(READ) :] != step)
    ]
