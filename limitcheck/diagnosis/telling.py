"""What the person at the instrument can tell beside the pressure, and what it says of a cause.

How causes come, after what, and how long they last is common practice, no source: an answer moves
a cause up or down, and never rules it out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple, TypeVar, get_args

from ..errors import Refused, cut
from .catalogue import Event, KnownCause, Manner

CAME: tuple[Manner, ...] = ("suddenly", "slowly", "at-start-up", "at-an-injection")
AFTER: tuple[str, ...] = (*get_args(Event), "nothing")
_SINCE = {"today": 0.0, "yesterday": 1.0, "always": float("inf")}
_DAYS = {"minute": 1 / 1440, "hour": 1 / 24, "day": 1.0, "week": 7.0, "month": 30.0, "year": 365.0}
_LENGTH = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,2})?) ?(minute|hour|day|week|month|year)s?")
_LONG = 7.0  # days
_CHANGED = ("column", "liquid")
"""Kinds of causes that somebody brings about: not without a change."""
_AS_IN = '"2 weeks", "3 hours", a date as 2026-11-12, or ' + ", ".join(_SINCE)
Word = TypeVar("Word", bound=str)


class Told(NamedTuple):
    """The answers given; None where a question was not answered. `since` is in days."""

    came: Manner | None = None
    since: float | None = None
    after: str | None = None
    leak_seen: bool | None = None

    @property
    def nothing(self) -> bool:
        """Whether no question was answered."""
        return self == Told()


def one_of(text: str, choices: Iterable[Word], what: str) -> Word:
    """The choice that was typed, blanks or hyphens between its words; raises Refused."""
    listed = tuple(choices)
    plain = _plain(text)
    for choice in listed:
        if plain == _plain(choice):
            return choice
    named = ", ".join(f'"{choice}"' if " " in choice else choice for choice in listed)
    raise Refused(f'{what}: "{cut(text)}" is no answer', f"write one of {named}")


def _plain(text: str) -> str:
    return " ".join(re.split(r"[\s_-]+", text.strip().casefold()))


def days_since(text: str, today: date, what: str) -> float:
    """Days from a length of time, a date or a word until today [d]; raises Refused."""
    plain = _plain(text)
    if plain in _SINCE:
        return _SINCE[plain]
    found = _LENGTH.fullmatch(plain)
    if found is not None:
        return float(found[1]) * _DAYS[found[2]]
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise Refused(f'{what}: "{cut(text)}" is no time', f"write {_AS_IN}") from None
    if day > today:
        raise Refused(f"{what}: {day} is after today, {today}", "write the day it began")
    return float((today - day).days)


class Spoken(NamedTuple):
    """What the answers say for a cause and against it, in words."""

    for_it: tuple[str, ...] = ()
    against: tuple[str, ...] = ()


LEAK_SEEN = "a leak is seen"


def spoken(cause: KnownCause, told: Told, swings: bool | None = None) -> Spoken:
    """What the answers say of a cause; `swings` is whether the pressure swings more than usual."""
    for_it: list[str] = []
    against: list[str] = []

    def says(agrees: bool, yes: str, no: str) -> None:
        if agrees:
            for_it.append(yes)
        elif no:
            against.append(no)

    if told.came is not None:
        how = told.came.replace("-", " ")
        says(told.came in cause.came, f"comes {how}", f"seldom comes {how}")
    if told.since is not None and told.since >= _LONG and not cause.lasts:
        against.append("seldom lasts so long")
    if told.since == float("inf"):
        says("always" in cause.came, "may always have been so", "is seldom there from the start")
    if told.after == "nothing":
        says(cause.family not in _CHANGED, "", "mostly follows a change")
    elif told.after is not None:
        says(told.after in cause.after, f"may follow {told.after}", "")
    if told.leak_seen is not None and cause.leaks:
        says(told.leak_seen, LEAK_SEEN, "no leak is seen")
    if swings is not None and cause.swings is not None:
        if swings:
            says(cause.swings, "makes it swing", "does not make it swing")
        elif cause.swings:
            against.append("would make it swing")
    return Spoken(tuple(filter(None, for_it)), tuple(against))


class Question(NamedTuple):
    """Something that would tell causes apart: what to find out, and the option to answer with."""

    words: str
    option: str


def questions(causes: Iterable[KnownCause], told: Told, *, swing: bool) -> tuple[Question, ...]:
    """What is not answered yet and differs among the causes; `swing`: it was given."""
    listed = list(causes)
    open_ones = (
        (told.came is None, {c.came for c in listed}, Question("how it came", "--came")),
        (told.after is None, {c.after for c in listed}, Question("after which change", "--after")),
        (not swing, {c.swings for c in listed}, Question("the swing", "--swing")),
        (told.leak_seen is None, {c.leaks for c in listed}, Question("a leak", "--leak-seen")),
        (told.since is None, {c.lasts for c in listed}, Question("since when", "--since")),
    )
    return tuple(question for open_one, kinds, question in open_ones if open_one and len(kinds) > 1)
