"""What a run looked at besides the profiles: what was skipped and why, what led nowhere.

Plain records, and their words. A file that was skipped is never passed over in silence.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from ..errors import Refused
from ..policy import Policy
from .root import shown_path, shown_text

EXCLUDED, SAME_FILE = "excluded", "same-file"
UNTRACKED, UNCHANGED = "not-tracked", "not-changed"
NOT_CHECKED_OUT = "not-checked-out"
TABLE = "table"
LINKED_FOLDER, HIDDEN_FOLDER = "linked-folder", "hidden-folder"
UNTRACKED_FOLDER = "folder-not-tracked"
WORDS = {
    "not-a-profile": ("not a profile", "not profiles"),
    "description": ("describes an instrument or parts", "describe instruments or parts"),
    EXCLUDED: ("excluded", "excluded"),
    "lock-file": ("lock file", "lock files"),
    "not-toml": (
        "not readable as TOML, with nothing of a profile in it",
        "not readable as TOML, with nothing of a profile in them",
    ),
    "too-large": (
        "far too large for a profile, with nothing of one in it",
        "far too large for a profile, with nothing of one in them",
    ),
    "empty": ("empty", "empty"),
    SAME_FILE: ("another name of a file that is checked", "other names of files that are checked"),
    UNTRACKED: ("not tracked by git", "not tracked by git"),
    NOT_CHECKED_OUT: ("tracked, but not checked out", "tracked, but not checked out"),
    UNCHANGED: ("not changed, nor what it rests on", "not changed, nor what they rest on"),
    TABLE: ("table: name it to have its rows checked", "tables: name one to have its rows checked"),
    LINKED_FOLDER: ("link to a folder", "links to folders"),
    HIDDEN_FOLDER: ("hidden folder with TOML files", "hidden folders with TOML files"),
    UNTRACKED_FOLDER: ("folder with nothing tracked by git", "folders with nothing tracked by git"),
}
"""Why something was skipped, for one and for several."""


class Exclude(NamedTuple):
    """A pattern of a policy's `exclude`, as written there."""

    pattern: str
    policy: str

    @property
    def text(self) -> str:
        """As people find it: `exclude = "old" (limitcheck.toml)`."""
        return f'exclude = "{self.pattern}" ({shown_path(self.policy)})'


class Skipped(NamedTuple):
    """A file, or with the last three reasons a folder, that was not looked into; `reason` of WORDS.

    `exclude` is what leaves it out; `same_as` the name under which it is checked.
    """

    path: str
    reason: str
    exclude: Exclude | None = None
    same_as: str | None = None

    @property
    def is_folder(self) -> bool:
        """Whether it is a folder, so that nothing is known of the files in it."""
        return self.reason in (LINKED_FOLDER, HIDDEN_FOLDER, UNTRACKED_FOLDER)

    @property
    def why(self) -> str:
        """Why it was skipped, in words."""
        return shown_text(_said(self, 1))

    @property
    def text(self) -> str:
        """Its name and why."""
        return shown_text(f"{self.path}: {self.why}")


class Looked(NamedTuple):
    """What a run looked at, besides the profiles it reports on."""

    skipped: tuple[Skipped, ...] = ()
    unmatched: tuple[Exclude, ...] = ()
    """Patterns that no file matches, of policies whose whole folder was searched."""
    remarks: tuple[str, ...] = ()
    """What else is to be said, in sentences."""
    leaving_out: tuple[Policy, ...] = ()
    """The policies that leave a file out."""

    @property
    def files(self) -> int:
        """How many files were skipped."""
        return sum(not item.is_folder for item in self.skipped)

    @property
    def account(self) -> str:
        """The files but tables that were skipped, by reason; empty where none was."""
        files = [item for item in self.skipped if not item.is_folder and item.reason != TABLE]
        word = "TOML file" if len(files) == 1 else "TOML files"
        return f"{len(files)} {word} skipped: {_by_reason(iter(files))}" if files else ""

    @property
    def sentences(self) -> Iterator[str]:
        """All that is to be said, without the names of the files."""
        if account := self.account:
            yield shown_text(account)
        if folders := _by_reason(item for item in self.skipped if item.is_folder):
            yield f"Not searched: {folders}"
        if tables := _by_reason(item for item in self.skipped if item.reason == TABLE):
            yield f"Not checked in a folder: {tables}"
        for exclude in self.unmatched:
            yield shown_text(f"{exclude.text} matches nothing")
        yield from map(shown_text, self.remarks)


NOTHING_SKIPPED = Looked()


def no_profile(looked: Looked, advice: str) -> Refused:
    """The refusal of a run that found no profile; says what it met instead."""
    why = "; ".join(looked.sentences)
    return Refused(f"no profile was found: nothing was checked{'. ' if why else ''}{why}", advice)


def _by_reason(skipped: Iterator[Skipped]) -> str:
    order = list(WORDS)
    kinds = Counter(item._replace(path="", same_as=None) for item in skipped)
    found = sorted(kinds.items(), key=lambda kind: order.index(kind[0].reason))
    return ", ".join(f"{number} {_said(item, number)}" for item, number in found)


def _said(item: Skipped, number: int) -> str:
    words = WORDS[item.reason][number > 1]
    if item.exclude is not None:
        return f"{words} by {item.exclude.text}"
    return f"{words}: {item.same_as}" if item.same_as else words
