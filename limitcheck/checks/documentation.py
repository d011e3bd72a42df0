"""Every check name a user can meet, with its documentation."""

from __future__ import annotations

from collections.abc import Callable

from ..findings import CRASHED, NOT_DECIDED
from . import CHECKS, check_name
from .acceptances import (
    acceptance_expired,
    acceptance_invalid,
    acceptance_lapsed,
    acceptance_unused,
)
from .made_from import source_changed
from .repository import REPOSITORY_CHECKS
from .required import not_decided

_UNREADABLE = """The file cannot be used as a profile.

    At the bench: nothing in it has been checked.
    Do: correct what the messages name; each has its line and column. `limitcheck schema`
    prints the format for editors.
    Source: the profile format.
    """

_SETTINGS = """The repository's policy cannot be used.

    At the bench: nothing below that folder has been checked.
    Do: correct what the messages name in limitcheck.toml or [tool.limitcheck].
    Source: the policy format in the documentation.
    """

_FAILED = """The run could not be done.

    At the bench: nothing has been checked, and no earlier result holds.
    Do: correct what the message names, and run the command again.
    Source: none, it is about the command.
    """

_CRASHED = """A check of limitcheck failed on this profile; the others ran.

    At the bench: what that check would have said is not known.
    Do: report it with the file; look at that point by hand meanwhile.
    Source: none, it is a fault of limitcheck.
    """

ABOUT_FILES = {
    "unreadable-profile": _UNREADABLE,
    "unreadable-settings": _SETTINGS,
    "failed-run": _FAILED,
    CRASHED: _CRASHED,
}
"""Findings that are no check's result."""

_FUNCTIONS: tuple[Callable[..., object], ...] = (
    *CHECKS,
    *REPOSITORY_CHECKS.values(),
    source_changed,
    acceptance_expired,
    acceptance_lapsed,
    acceptance_invalid,
    acceptance_unused,
    not_decided,
)

DOCUMENTED: dict[str, str] = {**ABOUT_FILES, **{check_name(f): f.__doc__ or "" for f in _FUNCTIONS}}
"""Check name to its text, in report order."""

SWITCHED = tuple(name for name in DOCUMENTED if name not in (*ABOUT_FILES, NOT_DECIDED))
"""The checks that may be graded and turned off; of what is not decided only the grade."""
