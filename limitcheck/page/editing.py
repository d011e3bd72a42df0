"""Making and changing profiles: the form beside the text, what a check of it finds, and saving.

The text is what counts: fields are drawn from it and write into it. Nothing is written to the
folder before the changes were shown and confirmed.
"""

from __future__ import annotations

import base64
import hmac
import secrets
from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from typing import Any

from ..checking.file import check_file
from ..documents.findings import finding_blocks
from ..errors import LimitcheckError, Refused
from ..findings import Finding, Severity, path_text
from ..profile.load import load_parsed, merged_text
from ..profile.places import Source
from ..profile.shared import real_files_used
from ..profile.starting import begun, purpose, starting_profiles
from ..profile.text import ParsedText, UnreadableProfile, parsed
from ..profile.toml import TomlError, parse
from ..profile.write import ChangeRefused
from . import saving
from .arranging import Act, arranged, count_of
from .arranging import asked as act_of
from .draft import Change, changed, fingerprint, from_a_box, says
from .edit_values import PREFIX, Checked, Draft, carried, diff, shown
from .folder import Folder
from .form_fields import Group
from .forms import Form
from .profile_form import field_of_any_part, groups
from .screens import Screen

LARGEST = 60_000
"""Bytes of a text that can be changed here: a profile is a few thousand."""
Values = Mapping[str, str]


class Editor:
    """The screens that change a profile of a folder."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self._key = secrets.token_bytes(32)

    def opened(self, values: Values, today: date) -> Screen:
        """The form of a profile of the folder, or the choice of one; raises Refused."""
        name = values.get("profile", "").strip()
        if not name:
            return Screen("edit.html", None, {"draft": None})
        content = saving.opened(self.folder, name)
        text = _text_of(content, name)
        return self._form(Draft(name, saving.digest(content), text, text), today)

    def begin(self, values: Values, today: date) -> Screen:
        """The choice of what to begin a new profile from; with all of it given, its form."""
        choices = {name: purpose(path) for name, path in starting_profiles().items()}
        asked = Form(values)
        screen = Screen("new.html", None, {"starting": choices, "draft": None, "asked": asked})
        if "name" not in values:
            return screen
        name = text = ""
        with asked.catching("like"):
            text = self._beginning(asked)
        with asked.catching("name"):
            name = saving.new_name(self.folder, values["name"])
        return self._form(Draft(name, "", text, text), today) if asked.good else screen

    def _beginning(self, asked: Form) -> str:
        """The text that a new profile begins with; raises Refused."""
        like, method, instrument = (asked.value(name) for name in ("like", "id", "instrument"))
        starting = starting_profiles()
        if like in starting:
            if not method:
                asked.refuse("id", "the method has no id", "write it as your documents name it")
                return ""
            return begun(starting[like].read_text("utf-8"), method, instrument or None)
        if not like.startswith("file:"):
            raise Refused("nothing is chosen to begin from", "choose a starting profile")
        ids = {("method", "id"): method, ("instrument", "id"): instrument}
        try:
            text = _text_of(saving.opened(self.folder, like.removeprefix("file:")), like)
            for path, value in ids.items():
                if value:
                    text = changed(text, [Change(path, "text", value)]).text
        except UnreadableProfile as error:
            raise Refused(error.findings[0].message, error.findings[0].advice) from None
        except TomlError as error:
            raise Refused(f"the profile to copy is not TOML: {error}", "choose another") from None
        return text

    def acted(self, values: Values, today: date) -> Screen:
        """The answer to a button of the form."""
        draft = _draft(values)
        act = values.get("act", "check")
        if act == "save":
            return self._confirmation(draft, today)
        if act == "write":
            return self._written(draft, values.get("seen", ""), today)
        if arranges := act_of(act):
            by_hand = fingerprint(values.get("text", "")) != values.get("shown", "")
            return self._arranged(draft, arranges, by_hand, today)
        return self._form(draft, today)

    def _arranged(self, draft: Draft, act: Act, by_hand: bool, today: date) -> Screen:
        """The form after an element of a list was added, removed or moved."""
        if by_hand:  # the button may mean another element now
            told = "the text was changed by hand meanwhile; the form now shows it. Press again."
            return self._form(draft, today, not_done=told)
        if draft.refused:
            told = "some of what you typed is not in the text: see its fields."
            return self._form(draft, today, not_done=told)
        try:
            whats = {group.path: group.what for group in self._groups(draft)}
            count = count_of(parse(draft.text), act.listing)
            done = arranged(draft.text, act, whats.get(act.path, ""), count)
        except (ChangeRefused, TomlError) as error:
            return self._form(draft, today, not_done=f"{error}. Do it in the text.")
        return self._form(draft._replace(base=done.text, text=done.text), today, done=done)

    def checked(self, draft: Draft, today: date) -> Checked:
        """What the checks find in a text, as if it stood in its file."""
        try:
            file = load_parsed(self._own(draft))
        except UnreadableProfile as error:
            return Checked(error.findings, readable=False)
        except Refused as error:
            told = Finding(Severity.ERROR, error.message, error.advice, check="unreadable-profile")
            return Checked((told,), readable=False)
        report = check_file(file, self.folder.policy(draft.name), today)
        return Checked(report.findings, readable=True)

    def _own(self, draft: Draft) -> ParsedText:
        """A text, as if it stood in its file; it uses only files of the folder.

        Raises UnreadableProfile, Refused.
        """
        path = self.folder.path_of(draft.name)
        own = parsed(draft.text.encode("utf-8", "surrogatepass"), path)
        for used in sorted(real_files_used(own)):
            if not self.folder.holds(used):
                raise Refused(
                    f"it uses {used}, which lies outside of this folder",
                    "open the page on the folder that holds both",
                )
        return own

    def _groups(self, draft: Draft) -> tuple[Group, ...]:
        """The form of a text; empty for one that is not TOML."""
        shared = None
        with suppress(UnreadableProfile, Refused):
            shared = merged_text(self._own(draft))
        try:
            return tuple(groups(parse(draft.text), Source(draft.text), shared))
        except TomlError:
            return ()

    def _form(self, draft: Draft, today: date, **more: Any) -> Screen:
        """The form of a text with what is found in it."""
        checked = self.checked(draft, today)
        values = shown(draft, self._groups(draft), checked)
        return Screen("edit.html", None, values | more)

    def _confirmation(self, draft: Draft, today: date, **more: Any) -> Screen:
        """What would be written, to be confirmed; back to the form where it may not be."""
        checked = self.checked(draft, today)
        if not checked.readable:
            return self._form(draft, today, not_saved="It is not readable as a profile yet.")
        if draft.refused or draft.not_taken:
            return self._form(draft, today, not_saved="Some of what you typed is not in the text.")
        before = ""
        if draft.was:
            content = saving.opened(self.folder, draft.name)
            if saving.digest(content) != draft.was:
                changed = saving.ChangedMeanwhile(
                    f"{draft.name} was changed by somebody else since you opened it",
                    saving.digest(content),
                )
                return self._refused(draft, changed)
            before = _text_of(content, draft.name)
        else:
            saving.new_name(self.folder, draft.name)
        values = {
            "draft": carried(draft),
            "lines": list(diff(before, draft.text, draft.name)),
            "same": before == draft.text,
            "findings": list(finding_blocks(checked.findings)),
            "errors": len(checked.errors),
            "seen": self._seen(draft, checked),
            "again": False,
        }
        return Screen("save.html", None, values | more)

    def _written(self, draft: Draft, seen: str, today: date) -> Screen:
        """The text is written, if what it does was shown; else it is shown now."""
        checked = self.checked(draft, today)
        if not checked.readable or not hmac.compare_digest(seen, self._seen(draft, checked)):
            return self._confirmation(draft, today, again=bool(seen))
        try:
            saving.save(self.folder, draft.name, draft.text.encode("utf-8"), draft.was)
        except LimitcheckError as error:
            return self._refused(draft, error)
        self.folder.look()
        return Screen("saved.html", None, {"name": draft.name, "new": not draft.was})

    def _refused(self, draft: Draft, error: LimitcheckError) -> Screen:
        """Why nothing was written, with the text to copy."""
        now = error.now if isinstance(error, saving.ChangedMeanwhile) else ""
        values = {"draft": carried(draft._replace(was=now or draft.was)), "why": error}
        return Screen("not_saved.html", None, values | {"can_compare": bool(now)})

    def _seen(self, draft: Draft, checked: Checked) -> str:
        """A mark that this text, over that file, was shown with these errors."""
        told = [draft.name, draft.was, draft.text]
        told += [f"{f.check} {path_text(f.path)} {f.message}" for f in checked.errors]
        message = "\0".join(told).encode("utf-8", "surrogatepass")
        return hmac.new(self._key, message, "sha256").hexdigest()


def _draft(values: Values) -> Draft:
    """The text under way that a form carries, with what was changed in it."""
    name, was = values.get("profile", ""), values.get("was", "")
    base = _decoded(values.get("base", ""))
    if "text" not in values:
        return Draft(name, was, base, base)
    fields = {key.removeprefix(PREFIX): v for key, v in values.items() if key.startswith(PREFIX)}
    changes = _changes(base, fields)
    outcome = changed(base, changes)
    if fingerprint(values["text"]) == values.get("shown", ""):
        return Draft(name, was, base, outcome.text, outcome.refused)
    typed = from_a_box(values["text"], outcome.text)
    apart = fingerprint(outcome.text) != values.get("shown", "")
    return Draft(name, was, typed, typed, {}, tuple(says(changes)) if apart else ())


def _changes(base: str, fields: Values) -> list[Change]:
    """The fields that do not say what the text says."""
    try:
        data, source = parse(base), Source(base)
    except TomlError:
        return []
    known = {field.name: field for group in groups(data, source) for field in group.all}
    found = []
    for name, typed in fields.items():
        field = known.get(name) or field_of_any_part(name)
        if field is not None and typed.strip() != field.value.strip():
            found.append(Change(field.path, field.kind, typed.strip()))
    return found


def _decoded(encoded: str) -> str:
    try:
        return base64.b64decode(encoded, validate=True).decode("utf-8", "surrogatepass")
    except ValueError:
        raise Refused("this form is damaged", "open the profile again") from None


def _text_of(content: bytes, name: str) -> str:
    """The text of a file, whatever it says; raises Refused."""
    if len(content) > LARGEST:
        raise Refused(
            f"{name} has {len(content):,} bytes: too large to be changed here",
            "change it in a text editor",
        )
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        raise Refused(f"{name} is not UTF-8 text", "save the file as UTF-8") from None
