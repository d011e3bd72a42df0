"""The base of every error of ours that reaches a user."""

from __future__ import annotations

UNSEEN = (
    r"\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e"
    r"\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff9-\ufffb"
)
"""Characters that show nothing or turn the text around, as a class of a pattern."""


def cut(text: str, most: int = 60) -> str:
    """A text that was given, short enough for a message.

    >>> cut("a far too long name", 10)
    'a far t...'
    """
    return text if len(text) <= most else text[: most - 3] + "..."


class LimitcheckError(Exception):
    """What cannot be used or done, in the user's words; `advice` says what to do instead."""

    def __init__(self, message: str, advice: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice


class Refused(LimitcheckError):
    """An argument, a file or what was typed that cannot be used."""


class MissingExtra(LimitcheckError):
    """A library that `made` needs is not installed; `extra` names what to install."""

    def __init__(self, made: str, extra: str) -> None:
        super().__init__(
            f"{made} needs more than the core",
            f"pip install 'limitcheck[{extra}]', then run the same command again",
        )
        self.extra = extra
