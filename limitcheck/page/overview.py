"""The folder: every method and instrument with its state and its weakest margin, and a filter."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ..checking.results import GRADES, NOT_DECIDED_STATE, NOTHING_OPEN, count
from .addresses import screen_named
from .folder import MOST_LISTED, Folder
from .forms import Form
from .screens import Screen
from .states import State

PAGE = 100
"""Profiles on one page of the list."""
STATES = {"unreadable": "cannot be read", "error": "error", "warning": "warning", "note": "note"}
assert tuple(STATES) == tuple(map(str, GRADES))
CHOICES = (*STATES.values(), NOT_DECIDED_STATE, NOTHING_OPEN)
_WORDS = {
    "error": "with an error",
    "warning": "with a warning",
    "note": "with a note",
    NOT_DECIDED_STATE: "with checks not decided",
    NOTHING_OPEN: "with nothing open",
}
FIELDS = ("method", "instrument", "state")


class Row(NamedTuple):
    """One profile of the list, in words; `beyond` where its weakest margin is below zero."""

    name: str
    method: str
    title: str
    instrument: str
    grade: str
    state: str
    finding: str
    verdict: str
    margin: str
    beyond: bool
    missing: str


def overview(folder: Folder, form: Form, today: date) -> Screen:
    """The profiles of the folder, the worst first; each leads to the screen that asked for one."""
    names = folder.names
    many = len(names) > MOST_LISTED
    if many:  # too many to read for each answer: the names of the files decide what is read
        names = [name for name in names if _holds(form.value("method"), name)]
    page, pages = _page(form, len(names)) if many else (1, 1)
    shown = names[(page - 1) * PAGE : page * PAGE] if many else names
    states = sorted(folder.states(shown, today), key=lambda item: item[1].place)
    rows = [_row(name, state) for name, state in states]
    kept = [row for row in rows if _wanted(row, form, many=many)]
    return Screen(
        "overview.html",
        None,
        {
            "onward": screen_named(form.value("for")),
            "looked": folder.looked,
            "rows": kept,
            "told": _told(rows, len(kept), len(shown), len(folder.names)),
            "files": len(folder.names) if many else 0,
            "named": len(names) if many and form.value("method") else 0,
            "unseen": len(folder.names) - len(shown),
            "page": page,
            "pages": pages,
            "states": CHOICES,
            "filter": {name: form.value(name) for name in (*FIELDS, "for") if form.value(name)},
        },
    )


def _row(name: str, state: State) -> Row:
    margins = state.margins
    weakest = None if margins is None else margins.weakest
    return Row(
        name,
        state.method,
        state.title,
        state.instrument,
        state.grade,
        STATES.get(state.state, state.state),
        "" if state.worst is None else state.worst.told,
        state.verdict,
        "" if weakest is None else weakest.text,
        weakest is not None and weakest.share < 0,
        "" if margins is None else ", ".join(margins.missing),
    )


def _holds(part: str, *texts: str) -> bool:
    """Whether one of the texts has all the words, in any case."""
    return any(all(word in text.casefold() for word in part.casefold().split()) for text in texts)


def _wanted(row: Row, form: Form, *, many: bool) -> bool:
    method, state = form.value("method"), form.value("state")
    return (
        (many or _holds(method, row.name, f"{row.method} {row.title}"))
        and _holds(form.value("instrument"), row.instrument)
        and (state not in CHOICES or state == row.state)
    )


def _told(rows: list[Row], kept: int, looked: int, files: int) -> str:
    """How many there are of each state, how many of them are shown, and what was looked at."""
    numbers = {state: sum(row.state == state for row in rows) for state in CHOICES}
    words = (f"{number} {_WORDS.get(state, state)}" for state, number in numbers.items() if number)
    states = ", ".join(words)
    told = count(len(rows), "profile")
    if looked < files:
        told = f"{looked} of {files} files looked at"
    told += f"{f': {states}' if states else ''}."
    if kept == len(rows):
        return told
    return f"{kept} shown; {told}" if looked < files else f"{kept} shown of {told}"


def _page(form: Form, names: int) -> tuple[int, int]:
    """Which page of how many is asked for; the first where that is no page."""
    pages = max(1, -(-names // PAGE))
    text = form.value("page")
    page = int(text) if text.isascii() and text.isdecimal() and len(text) < 7 else 1
    return (page if 1 <= page <= pages else 1), pages
