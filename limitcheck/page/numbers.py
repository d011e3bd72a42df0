"""Type a number: from the form to the answer of `limitcheck entry`."""

from __future__ import annotations

from datetime import date

from ..checking.entry import Field, ask
from ..documents.entry import entry_document
from ..errors import Refused
from ..units import TRADE_UNITS, Pressure, find_unit
from .folder import Folder
from .forms import Form
from .screens import Screen, chosen


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
