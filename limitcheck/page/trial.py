"""What the checks find in a text under way, as if it stood in its file beside the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from typing import Any

from ..checking.contradictions import conflicts
from ..checking.file import add_findings, check_file, unreadable
from ..errors import Refused
from ..findings import Finding, KeyPath, Severity
from ..policy import Margins
from ..profile.load import ProfileFile, load, load_parsed, merged_text
from ..profile.places import Source
from ..profile.shared import real_files_used
from ..profile.text import Merged, NotAProfile, ParsedText, UnreadableProfile, parsed
from ..profile.toml import TomlError, parse
from ..profile.write import ChangeRefused
from .edit_values import Checked, Draft
from .folder import MOST_LISTED, Folder
from .form_fields import Group
from .held import Held
from .profile_form import groups
from .states import Stamp, stamp


class Trial:
    """Checks texts; keeps the other files of the folder that it compares them with."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self._others: dict[str, tuple[Stamp, ProfileFile | None]] = {}

    def checked(self, draft: Draft, today: date) -> Checked:
        """What the checks find in a text; raises UnreadableProfile for a policy in error."""
        policy = self.folder.policy(draft.name)
        try:
            file = load_parsed(self._own(draft))
        except UnreadableProfile as error:
            return Checked(unreadable(error, policy))
        except Refused as error:
            told = Finding(Severity.ERROR, error.message, error.advice, check="unreadable-profile")
            return Checked(unreadable(UnreadableProfile(draft.name, (told,)), policy))
        report = check_file(file, policy, today)
        if len(self.folder.names) > MOST_LISTED:
            return Checked(report, compared=False)
        others = [other for name in self.folder.names if (other := self._other(name, draft.name))]
        found = conflicts([*others, file]).get(file.path, ())
        return Checked(add_findings(report, file, found, policy, today))

    def _other(self, name: str, own: str) -> ProfileFile | None:
        """Another profile of the folder, read again when it has changed; None for none."""
        path = self.folder.path_of(name)
        if name == own:
            return None
        known = self._others.get(name)
        if known is None or known[0] != stamp(at for at, _ in known[0]):
            read, file = [path], None
            with suppress(UnreadableProfile, NotAProfile):
                file = load(path, only_profiles=True)
                read += [used.path for used in file.uses]
            inside = all(map(self.folder.holds, read))
            known = self._others[name] = (stamp(read), file if inside else None)
        return known[1]

    def form(self, draft: Draft) -> tuple[Group, ...]:
        """The form of a text; empty for one that is not TOML."""
        margins: Margins | None = None
        with suppress(UnreadableProfile, Refused):
            margins = self.folder.policy(draft.name).margins
        shared = self._shared(draft)
        try:
            return tuple(groups(parse(draft.text), Source(draft.text), shared, margins))
        except TomlError:
            return ()

    def described(self, draft: Draft, path: KeyPath) -> Sequence[Mapping[str, Any]]:
        """The tables that a shared description gives for a list; or raises ChangeRefused."""
        held = Held(self._shared(draft))
        if not held.known:
            raise ChangeRefused("what the shared descriptions give here can't be read now")
        listed = held.value(path)
        return listed if isinstance(listed, list) else ()

    def _shared(self, draft: Draft) -> Merged | None:
        """A text with the values of the descriptions it uses; None where they can't be read."""
        with suppress(UnreadableProfile, Refused):
            return merged_text(self._own(draft))
        return None

    def _own(self, draft: Draft) -> ParsedText:
        """A text, as if it stood in its file; it uses only files of the folder.

        Raises UnreadableProfile, Refused.
        """
        own = parsed(draft.content, self.folder.path_of(draft.name))
        for used in sorted(real_files_used(own)):
            if not self.folder.holds(used):
                raise Refused(
                    f"it uses {used}, which lies outside of this folder",
                    "open the page on the folder that holds both",
                )
        return own
