"""Type a number, and convert: from the form to the answers of `limitcheck entry` and `convert`."""

from __future__ import annotations

from datetime import date

from ..checking.entry import Field, ask
from ..documents.conversion import conversion_document, converted
from ..documents.entry import entry_document
from ..errors import Refused
from ..units import TRADE_UNITS, Pressure, find_unit
from .folder import Folder
from .forms import Form
from .screens import Screen, chosen

FIELDS: tuple[Field, ...] = ("high", "low")


def entry(folder: Folder, form: Form, today: date) -> Screen:
    """May this number be typed as a cutoff?"""
    empty = Screen("entry.html", None, {"units": TRADE_UNITS})
    file = chosen(folder, form) if "value" in form.values else None
    if file is None:
        return empty
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
        return Screen("entry.html", entry_document(answer, today), empty.values)
    return empty


def conversion(folder: Folder, form: Form, today: date) -> Screen:  # noqa: ARG001
    """A pressure in every other usual unit or in one, or as the cutoff to type in it."""
    empty = Screen("convert.html", None, {"units": TRADE_UNITS})
    if "pressure" not in form.values:
        return empty
    to = [form.value("to")] if form.value("to") else []
    as_: Field | None = next((f for f in FIELDS if f == form.value("as")), None)
    step = form.value("step") or None
    with form.catching("step"):
        if step is not None and (as_ is None or not to):
            raise Refused(
                "a step is of one unit, and only a cutoff is rounded to it",
                "say for which cutoff and in which unit, or leave the step out",
            )
    with form.catching("pressure"):
        found, _ = converted(form.value("pressure"), ())
    if not form.good:
        return empty
    with form.catching("to" if step is None else "step"):
        found, cutoff = converted(form.value("pressure"), to, as_, step)
        document = conversion_document(found, today, cutoff=cutoff)
        return Screen("convert.html", document, empty.values)
    return empty
