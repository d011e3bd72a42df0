"""Where a text names a command or an option of the terminal, a screen names its own place for it.

Every screen goes through `in_words_of_the_page` once, as HTML, and a document that is kept through
`in_words_of_both`; texts keep the words of the terminal wherever else they are read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import NamedTuple

from .addresses import EDIT, PROFILE, TASKS

At = Callable[[str], str]
"""How a screen writes the address of another one."""


class _Place(NamedTuple):
    """The screen that does what a command does, with those of its options that it offers."""

    address: str
    options: frozenset[str] = frozenset()


READING = "/reading"
FIELDS: Mapping[str, tuple[str, str]] = {
    "--delimiter": ("delimiter", "Between the columns"),
    "--decimal": ("decimal", "Decimal sign"),
    "--dates": ("dates", "Order of dates"),
    "--unit": ("unit", "Unit, if the log names none"),
    "--method": ("method", "Only this method"),
    "--column": ("column", "Only this column, by serial number"),
    "--since": ("from", "Only from then on"),
    "--until": ("until", "Only up to then"),
    "--use": ("use", "Which column is what"),
    "--swing": ("swing", "Swing"),
    "--period": ("period", "Period of the swing, in seconds"),
}
"""Options with a field of their own on the screen of today's pressure: its id and its label."""
_PLACES: Mapping[str, _Place] = {
    "check": _Place(PROFILE),
    "propose": _Place(PROFILE),
    "predict": _Place(PROFILE),
    "faults": _Place(PROFILE),
    "convert": _Place("/convert", frozenset({"--to"})),
    "entry": _Place("/entry"),
    "reading": _Place(READING, frozenset(FIELDS)),
    "baseline": _Place(READING, frozenset(FIELDS)),
    "isolate": _Place("/blockage"),
    "transfer": _Place("/transfer"),
}
_PARTS: Mapping[str, tuple[str, str]] = {
    "check": ("#chapter-1", "the findings"),
    "propose": ("#chapter-2", "the proposed cutoffs"),
    "predict": ("#chapter-3", "the predicted pressure"),
    "faults": ("#chapter-4", "the faults"),
}
"""Commands whose answers are parts of one screen: what it says of them on itself."""
_NEW = "/new"
_LABELS = {task.address: task.label for task in (*TASKS, EDIT)} | {_NEW: "New profile"}
_QUOTED = r"&#34;[^<]*?&#34;"
_COMMAND = (
    r"limitcheck (?P<command>[a-z]+)"
    rf"(?P<given>(?: (?:--to [a-z]+\b|--[a-z][a-z-]*|-o|[A-Z]{{2,}}\b(?:\.json)?|{_QUOTED}"
    r"|[a-z]+(?:-[a-z]+)+\b|[^\s<]+\.toml\b|\d+\b))*)"
)
_OPTION = (
    rf"(?P<before>(?<=&#34;) )?(?<![\w-])(?P<option>{'|'.join(FIELDS)})\b(?! ?-)"
    rf"(?P<value> [A-Z]{{2,}}\b| (?=[a-z-]+)| (?={_QUOTED}))?"
)
_KEPT = frozenset({"code", "option", "pre", "script", "style", "svg", "textarea", "title"})
"""Elements whose text is not ours, or is shown as it is written."""
_LINKED = frozenset({"a", "button", "label", "summary"})
"""Elements that may hold no link."""
_MARK = re.compile(
    rf"<(?P<closing>/?)(?P<tag>{'|'.join(sorted(_KEPT | _LINKED))})\b[^>]*>|<[^>]*>"
    rf"|{_COMMAND}|{_OPTION}"
)
_VALUED = ("--delimiter", "--decimal", "--dates", "--use")


def in_words_of_the_page(html: str, at: At, *, editing: bool, here: str = "") -> str:
    """The HTML of a screen with screens and fields in place of commands and options.

    A command that no screen does stays, and is said to be one of a terminal. `editing` tells
    whether the page may change profiles, `here` is the address of the screen itself.
    """
    return _replaced(html, lambda piece, linked: _place(piece, at, linked, editing, here))


def in_words_of_both(html: str) -> str:
    """A document made on the page, to be kept: beside a command or an option, the screen or field.

    Without links: it is read where there may be no page.
    """
    return _replaced(html, lambda piece, _: _beside(piece))


def _replaced(html: str, told: Callable[[re.Match[str], bool], str]) -> str:
    """The HTML with other words for commands and options; `told` hears whether they may link."""
    if "limitcheck " not in html and "--" not in html:
        return html
    inside: list[str] = []
    pieces = []
    at_end = 0
    for piece in _MARK.finditer(html):
        between, at_end = html[at_end : piece.start()], piece.end()
        tag = piece["tag"]
        if tag is not None:
            if not piece["closing"]:
                inside.append(tag)
            elif tag in inside:
                del inside[len(inside) - 1 - inside[::-1].index(tag) :]
        text = piece[0]
        if tag is None and text[0] != "<" and not _KEPT.intersection(inside):
            text = told(piece, not inside)
        pieces += [between, text]
    return "".join([*pieces, html[at_end:]])


def _beside(found: re.Match[str]) -> str:
    """A command or an option with what does the same on the page; as it is where nothing does."""
    written = found[0].rstrip()
    if option := found["option"]:
        beside = f"the field “{FIELDS[option][1]}”"
    elif (place := _screen(found, editing=False)) is not None:
        beside = f"the screen “{_LABELS[place.address]}”"
    else:
        return found[0]
    return f"{written} (on the page: {beside}){found[0][len(written) :]}"


def _screen(found: re.Match[str], *, editing: bool) -> _Place | None:
    """The screen that does what a command with these options does; None for none."""
    command, given = found["command"], found["given"]
    place = _PLACES.get(command)
    if command == "new" and editing:
        place = _Place(_NEW, frozenset({"--list"}))
    asked = set(re.findall(r"--[a-z-]+", given))
    return None if place is None or not asked <= place.options or "FOLDER" in given else place


def _place(found: re.Match[str], at: At, linked: bool, editing: bool, here: str) -> str:
    """What stands for a command or an option."""
    if option := found["option"]:
        name, label = FIELDS[option]
        quoted = found.string.startswith("&#34;", found.end())
        valued = found["value"] == " " and (option in _VALUED or quoted)
        value = ": " if valued else found["value"] or ""
        value = "" if value.strip().isupper() else value
        before = ", " if found["before"] else ""
        return before + _link(f"{at(READING)}#{name}", f"the field “{label}”", linked) + value
    if (place := _screen(found, editing=editing)) is None:
        known = found["command"] in _KNOWN
        return f"{_code(found[0], linked)} (in a terminal)" if known else found[0]
    if place.address == here:
        part = _PARTS.get(found["command"])
        return "this screen" if part is None else _link(part[0], f"{part[1]} here", linked)
    return _link(at(place.address), f"the screen “{_LABELS[place.address]}”", linked)


_KNOWN = frozenset(
    {
        *_PLACES,
        "accept",
        "explain",
        "export",
        "fit",
        "fix",
        "fleet",
        "import",
        "new",
        "qualify",
        "report",
        "schema",
    }
)
"""Commands; anything else behind "limitcheck" is a sentence about the program."""


def _link(address: str, words: str, linked: bool) -> str:
    return f'<a href="{address.replace("&", "&amp;")}">{words}</a>' if linked else words


def _code(words: str, linked: bool) -> str:
    return f"<code>{words}</code>" if linked else words
