"""Every check name a user can meet, with its documentation."""

from __future__ import annotations

from collections.abc import Callable

from . import CHECKS, check_name
from .acceptances import acceptance_expired, acceptance_unused
from .repository import REPOSITORY_CHECKS

_UNREADABLE = """The file cannot be used as a profile.

    At the bench: nothing in it has been checked.
    Do: correct what the messages name; each has its line and column. `limitcheck schema`
    prints the format for editors.
    Source: the profile format.
    """

_FUNCTIONS: tuple[Callable[..., object], ...] = (
    *CHECKS, *REPOSITORY_CHECKS.values(), acceptance_expired, acceptance_unused,
)  # fmt: skip

DOCUMENTED: dict[str, str] = {
    "unreadable-profile": _UNREADABLE,
    **{check_name(f): f.__doc__ or "" for f in _FUNCTIONS},
}
"""Check name to its text, in report order."""
