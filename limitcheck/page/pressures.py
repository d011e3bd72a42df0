"""Today's pressure: one reading with its causes, or a log of past pressures with its chart."""

from __future__ import annotations

from datetime import date, time
from io import BytesIO

from ..checking.doubts import band_in_doubt
from ..diagnosis.openings import EVERYTHING
from ..diagnosis.reading import read
from ..diagnosis.telling import AFTER, CAME
from ..documents.baseline import baseline_document
from ..documents.cautions import READING_A_PRESSURE, texts
from ..documents.reading import EVERY_CAUSE, reading_document
from ..history.asked import DATES, DECIMALS, DELIMITERS, date_of, options_of
from ..history.baseline import find_baseline
from ..history.log import Choice
from .addresses import address_of
from .blockage import READ, has_gradient
from .folder import Folder
from .forms import CONDITIONS, LEAK, Form
from .screens import Screen, chosen

SIGNS = {"delimiter": tuple(DELIMITERS), "decimal": DECIMALS, "dates": DATES}
"""How a log may be written, by option of `limitcheck baseline`."""
_EMPTY = Screen(
    "reading.html",
    None,
    {"came": CAME, "after": AFTER, "leak": LEAK, "signs": SIGNS, "every": (), "onward": ""},
)


def reading(folder: Folder, form: Form, today: date) -> Screen:
    """A pressure read today and its causes, or what a log says of the normal pressure."""
    if form.dropped is not None:
        return _log(folder, form, today)
    if "pressure" not in form.values:
        return _EMPTY
    file, change, told = chosen(folder, form), form.change(), form.told(today)
    if file is None:
        return _EMPTY
    pressure = form.pressure("pressure", file.profile.instrument.pressure_unit, "reading")
    swing, period = None, form.period()
    if pressure is not None and form.value("swing"):
        swing = form.pressure("swing", pressure.unit, "swing")
    if pressure is None or not form.good:
        return _EMPTY
    with form.catching("swing" if swing is not None else "flow"):
        doubt = band_in_doubt(file, today)
        found = read(
            file.profile, pressure, change,
            told=told, swing=swing, period=period, in_doubt=bool(doubt),
        )  # fmt: skip
        at = form.changes_text() or None
        document = reading_document(file, found, today, at, on_page=True, doubt=doubt)
        every = [s for c in document.chapters for s in c.sections if s.heading in EVERY_CAUSE]
        kept = {name: form.value(name) for name in ("profile", *CONDITIONS)}
        if not has_gradient(file.profile):  # else the steps are read at its starting composition
            kept[READ + EVERYTHING] = form.value("pressure")
        onward = address_of("/blockage", **kept)
        cautions = texts(READING_A_PRESSURE) if found.good else ()  # else told in the summary
        more = {"every": every, "onward": onward, "cautions": cautions}
        return Screen("reading.html", document, {**_EMPTY.values, **more})
    return _EMPTY


def _log(folder: Folder, form: Form, today: date) -> Screen:
    """The normal pressure in a dropped log, with its course and what is said of it."""
    assert form.dropped is not None
    file = chosen(folder, form) if form.value("profile") else None
    if not form.good:
        return _EMPTY
    own = file.profile.instrument.pressure_unit if file is not None else None
    given = form.given
    with form.catching("file"):
        use = [line for line in form.value("use").splitlines() if line.strip()]
        delimiter, decimal, dates = (given(name) for name in SIGNS)
        options = options_of(given("unit"), own, delimiter, decimal, dates, use)
        choice = Choice(
            method=given("method"),
            column=given("column"),
            since=date_of(given("from"), "--since", time.min),
            until=date_of(given("until"), "--until", time.max),
        )
        content, name = BytesIO(form.dropped.content), form.dropped.name or "log"
        profile = file.profile if file is not None else None
        found = find_baseline(content, name, options, choice, profile)
        document = baseline_document(found, file, today)
        return Screen("reading.html", document, _EMPTY.values)
    return _EMPTY
