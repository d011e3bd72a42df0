"""The screens of the page by address, and how the profile in use stays in every address."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple
from urllib.parse import urlencode


class Task(NamedTuple):
    """A screen: its address, the label that leads to it, and what it is for."""

    address: str
    label: str
    purpose: str


OVERVIEW = "/"
PROFILE = "/profile"
TASKS = (
    Task(OVERVIEW, "Overview", "Every profile of the folder: what is wrong, how near the limits."),
    Task(PROFILE, "Profile", "What was found, what to type, the predicted pressure, faults."),
    Task("/entry", "Type a number", "May this number be typed as a cutoff? If not, what is?"),
    Task("/convert", "Convert", "A pressure in every unit, exactly, or rounded for a cutoff."),
    Task("/reading", "Today's pressure", "Is it normal? What may cause it? What does a log say?"),
    Task("/blockage", "Find the blockage", "Step by step to the part that is blocked."),
    Task("/transfer", "Move to another instrument", "One method on two: accept it, or do not."),
)
"""In the order of the navigation."""
EDIT = Task("/edit", "Make or change a profile", "As a form beside its text; saved once confirmed.")
"""Where the page is started for it."""


def address_of(path: str, **fields: object) -> str:
    """An address with the fields that are not empty.

    >>> address_of("/entry", profile="a b.toml", value="")
    '/entry?profile=a+b.toml'
    """
    given = {name: value for name, value in fields.items() if value}
    return f"{path}?{urlencode(given)}" if given else path


def keeping(profile: str) -> Callable[[str], str]:
    """How a screen writes the address of another one: the profile in use stays chosen."""
    return lambda path: address_of(path, profile=profile)


def screen_named(path: str) -> str:
    """The address of a screen, if it is one; else that of the profile."""
    return path if any(path == task.address for task in TASKS) else PROFILE
