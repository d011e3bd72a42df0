"""Adding, removing and moving the tables of a form's lists: parts, points, pairs, ratings."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import tomli_w

from ..findings import KeyPath
from ..profile.elements import Done, add, exchange, take_out
from ..profile.write import assign
from .draft import named


class Listing(NamedTuple):
    """A list of tables that the form shows one by one."""

    path: KeyPath
    heading: str
    """What the form calls it where it is empty."""
    one: str
    """One of it, as in "part"."""
    first: str
    """The key that a new one is asked for first."""


LISTS: Mapping[str, Listing] = {
    named(listing.path): listing
    for listing in (
        Listing(("conditions", "gradient"), "Gradient", "gradient point", "minute"),
        Listing(("flow_path",), "Hardware, in the order of the flow", "part", "part"),
        Listing(("measured",), "Measured pairs", "measured pair", "pressure"),
    )
}
_WITHIN: Mapping[str, tuple[str, str]] = {
    "rating_at_flow": ("rating at a flow", "flow"),
    "rating_at_temperature": ("rating at a temperature", "temperature"),
}
"""The lists within a part: one of it, and the key that a new one is asked for first."""
_NAMES = "|".join(map(re.escape, LISTS))
_ACT = re.compile(
    rf"(add|remove|up|down) (?:({_NAMES})|flow_path\.([0-9]{{1,3}})\.({'|'.join(_WITHIN)}))"
    r" ([0-9]{1,3})"
)
_DONE = {"add": "Added", "remove": "Removed", "up": "Moved up", "down": "Moved down"}


def listing_within(part: KeyPath, key: str) -> Listing:
    """A list within a part."""
    one, first = _WITHIN[key]
    return Listing((*part, key), one.capitalize(), one, first)


class Button(NamedTuple):
    """A button of an element, or of an empty list."""

    act: str
    label: str
    of: str = ""
    """The end of its name, that only a screen reader says: what is next to it tells the others."""

    @property
    def id(self) -> str:
        """What leads to it."""
        return self.act.replace(" ", "-")


class Arranged(NamedTuple):
    """A text with one list changed: what to say of it, and the element to go on at."""

    text: str
    told: str
    along: tuple[str, ...]
    left: tuple[str, ...]
    place: str
    """The group that tells it."""
    focus: str


class Act(NamedTuple):
    """What a button asks for: `verb` is add, remove, up or down; `place` counts from 0."""

    verb: str
    listing: Listing
    place: int

    @property
    def path(self) -> KeyPath:
        """The element it is about."""
        return (*self.listing.path, self.place)


def asked(act: str) -> Act | None:
    """What a button of the form asks for; None for the buttons that arrange nothing."""
    found = _ACT.fullmatch(act)
    if found is None:
        return None
    verb, name, part, key, place = found.groups()
    listing = LISTS[name] if name else listing_within(("flow_path", int(part)), key)
    return Act(verb, listing, int(place))


def count_of(data: Any, listing: Listing) -> int:
    """How many tables a list of a profile has; 0 where it is anything else."""
    try:
        for step in listing.path:
            data = data[step]
    except (KeyError, IndexError, TypeError):
        return 0
    whole = isinstance(data, list) and all(isinstance(item, dict) for item in data)
    return len(data) if whole else 0


def naming(listing: Listing, index: int, count: int, kind: str = "") -> str:
    """An element by its place: "column, part 4 of 7".

    >>> naming(LISTS["flow_path"], 3, 7, "column")
    'column, part 4 of 7'
    """
    place = f"{listing.one} {index + 1} of {count}"
    return f"{kind}, {place}" if kind else place


def buttons(listing: Listing, index: int, count: int, what: str, most: int) -> tuple[Button, ...]:
    """The buttons of an element; `what` names it, and at most `most` can be shown."""
    name, of = named(listing.path), f" {what}"
    found = []
    if index:
        found.append(Button(f"up {name} {index}", "Move up", of))
    if index + 1 < min(count, most):  # else it would have no fields any more
        found.append(Button(f"down {name} {index}", "Move down", of))
    found.append(Button(f"remove {name} {index}", "Remove", of))
    if count < most:
        found.append(
            Button(f"add {name} {index + 1}", f"Add a {listing.one} after it", f": {what}")
        )
    return tuple(found)


def first_button(listing: Listing, what: str = "") -> Button:
    """The button that begins an empty list; `what` names the part that has it."""
    of = f": {what}" if what else ""
    return Button(f"add {named(listing.path)} 0", f"Add a {listing.one}", of)


def arranged(
    text: str, act: Act, what: str, count: int, described: Sequence[Mapping[str, Any]] = ()
) -> Arranged:
    """The text after a button; `what` names the element, of `count`. Raises ChangeRefused.

    `described` are those that a shared description gives: a list of the profile's own takes their
    place, so it begins with them.
    """
    copied = ""
    if described and act.verb == "add" and not count:
        text = assign(text, {act.listing.path: f"[{', '.join(map(_inline, described))}]"})
        act, count = act._replace(place=len(described)), len(described)
        copied = (
            f". Before it stands what the shared description gives here ({count}), copied: "
            "from now on the list of this profile counts, not that of the description"
        )
    changes: Mapping[str, Callable[[], Done]] = {
        "add": lambda: add(text, act.listing.path, act.place),
        "remove": lambda: take_out(text, act.path),
        "up": lambda: exchange(text, (*act.listing.path, act.place - 1)),
        "down": lambda: exchange(text, act.path),
    }
    done = changes[act.verb]()
    name = named(act.listing.path)
    index = act.place + {"up": -1, "down": 1}.get(act.verb, 0)
    place = f"{name}.{index}"
    told = f"{_DONE[act.verb]}: {what}"
    if act.verb == "add":
        told = f"{_DONE['add']}: {naming(act.listing, index, count + 1)}{copied}"
        focus = f"f.{place}.{act.listing.first}"
    elif act.verb == "remove":
        left = named(act.listing.path[:2])  # what stays when the list goes: itself, or its part
        place = f"{name}.{min(index, count - 2)}" if count > 1 else left
        focus = f"f.{place}"
    else:
        told += f", now {index + 1}"
        ends = {"up": index == 0, "down": index + 1 == count}
        other = {"up": "down", "down": "up"}[act.verb]
        focus = f"{other if ends[act.verb] else act.verb}-{name}-{index}"
    return Arranged(done.text, told, done.along, done.left, place, focus)


def _inline(table: Mapping[str, Any]) -> str:
    """A flat table on one line, as TOML writes it."""
    return f"{{ {', '.join(tomli_w.dumps({key: one}).strip() for key, one in table.items())} }}"
