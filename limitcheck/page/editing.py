"""Making and changing profiles: the form beside the text, what a check of it finds, and saving.

The text is what counts: fields are drawn from it and write into it. Nothing is written to the
folder before the changes were shown and confirmed.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from typing import Any, TypeAlias

from ..documents.findings import finding_blocks
from ..errors import LimitcheckError, Refused
from ..findings import path_text
from ..profile.remarks import moved
from ..profile.starting import Begun, begun, copied, purpose, starting_profiles
from ..profile.text import UnreadableProfile
from ..profile.toml import TomlError, parse
from ..profile.write import ChangeRefused
from . import saving
from .addresses import EDIT, address_of
from .arranging import Act, arranged, count_of
from .arranging import asked as act_of
from .edit_values import Checked, Draft, carried, diff, shown
from .folder import Folder
from .forms import Form
from .posted import (
    LARGEST,
    MOST_CHECKED,
    Values,
    draft_of,
    rebased,
    settled,
    text_of,
    with_what_was_emptied,
    within,
)
from .screens import Screen
from .secret import same
from .trial import Trial

Address: TypeAlias = str
"""Where the browser goes on, so that nothing is sent twice."""


class Editor:
    """The screens that change a profile of a folder."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self.trial = Trial(folder)
        self._key = secrets.token_bytes(32)

    def opened(self, values: Values, today: date) -> Screen:
        """The form of a profile of the folder, or the choice of one; raises Refused.

        After saving, what was done, as long as the file holds that.
        """
        self.folder.look()
        name = values.get("profile", "")
        name = name if name in self.folder.names else name.strip()
        if not name:
            return Screen("edit.html", None, {"draft": None})
        content = saving.opened(self.folder, name)
        for done in ("made", "saved"):
            if same(values.get(done, ""), self._mark(done, name, content)):
                return Screen("saved.html", None, {"name": name, "new": done == "made"})
        text = text_of(content, name)
        return self._form(Draft(name, saving.digest(content), text, text), today)

    def begin(self, values: Values, today: date) -> Screen:
        """The choice of what to begin a new profile from; with all of it given, its form."""
        self.folder.look()
        choices = {name: purpose(path) for name, path in starting_profiles().items()}
        asked = Form(values)
        screen = Screen("new.html", None, {"starting": choices, "draft": None, "asked": asked})
        if "name" not in values:
            return screen
        name, new = "", Begun("")
        with asked.catching("like"):
            new = self._beginning(asked)
        with asked.catching("name"):
            name = saving.new_name(self.folder, values["name"])
        if not asked.good:
            return screen
        return self._form(Draft(name, "", new.text, new.text), today, begun=new)

    def _beginning(self, asked: Form) -> Begun:
        """The text that a new profile begins with; raises Refused."""
        like, method, instrument = (asked.value(name) for name in ("like", "id", "instrument"))
        starting = starting_profiles()
        if like in starting:
            if not method:
                asked.refuse("id", "the method has no id", "write it as your documents name it")
                return Begun("")
            return Begun(begun(starting[like].read_text("utf-8"), method, instrument or None))
        if not like.startswith("file:"):
            raise Refused("nothing is chosen to begin from", "choose a starting profile")
        try:
            text = text_of(saving.opened(self.folder, like.removeprefix("file:")), like)
            return copied(text, method, instrument)
        except UnreadableProfile as error:
            raise Refused(error.findings[0].message, error.findings[0].advice) from None
        except TomlError as error:
            raise Refused(f"the profile to copy is not TOML: {error}", "choose another") from None

    def acted(self, values: Values, today: date) -> Screen | Address:
        """The answer to a button of the form; a refusal keeps the text."""
        draft = draft_of(values)
        try:
            self.folder.look()
            saving.inside(self.folder, draft.name)
            within(MOST_CHECKED, draft.content, "the text")
            return self._acted(draft, values, today)
        except LimitcheckError as error:
            return self._refused(draft, error)

    def _acted(self, draft: Draft, values: Values, today: date) -> Screen | Address:
        act = values.get("act", "check")
        if act in ("save", "write") and not draft.was:
            draft = draft._replace(name=saving.new_name(self.folder, draft.name))
        if act == "save":
            return self._confirmation(draft, today)
        if act == "write":
            return self._written(draft, values.get("seen", ""), today)
        if arranges := act_of(act):
            return self._arranged(draft, arranges, today)
        return self._form(draft, today)

    def _arranged(self, draft: Draft, act: Act, today: date) -> Screen:
        """The form after an element of a list was added, removed or moved."""
        if draft.by_hand:  # the button may mean another element now
            told = "the text was changed by hand meanwhile; the form now shows it. Press again."
            return self._form(draft, today, not_done=told)
        if draft.refused:
            told = "some of what you typed is not in the text: see its fields."
            return self._form(draft, today, not_done=told)
        try:
            form = self.trial.form(draft)
            whats = {group.path: group.what for group in form}
            count = count_of(parse(draft.text), act.listing)
            given = self._described(draft, act) if act.verb == "add" and not count else ()
            done = arranged(draft.text, act, whats.get(act.path, ""), count, given)
        except (ChangeRefused, TomlError) as error:
            return self._form(draft, today, not_done=f"{error}. Do it in the text.")
        # What was emptied keeps its place and remark, and what was typed can be emptied again
        # without a trace, also where the list is another now.
        new = draft._replace(base=done.text, text=done.text)
        form_now = self.trial.form(new)
        for earlier in (draft.base, with_what_was_emptied(draft, form)):
            with suppress(ChangeRefused, TomlError):
                base = arranged(earlier, act, "", count, given).text
                if again := rebased(new, base, form_now):
                    new = again
                    break
        return self._form(new, today, done=done)

    def _described(self, draft: Draft, act: Act) -> Sequence[Mapping[str, Any]]:
        """What a shared description gives for an empty list of a part that uses one."""
        part: Any = parse(draft.text)
        try:
            for step in act.listing.path[:-1]:
                part = part[step]
        except (KeyError, IndexError, TypeError):
            return ()
        uses = isinstance(part, dict) and "use" in part
        return self.trial.described(draft, act.listing.path) if uses else ()

    def _form(self, draft: Draft, today: date, **more: Any) -> Screen:
        """The form of a text with what is found in it."""
        checked = self.trial.checked(draft, today)
        form = self.trial.form(draft)
        remarks = moved(draft.base, draft.text)
        draft = settled(draft, form)
        values = shown(draft, form, checked, remarks)
        values["unsaved"] = draft.was != saving.digest(draft.content)
        return Screen("edit.html", None, values | more)

    def _confirmation(self, draft: Draft, today: date, **more: Any) -> Screen:
        """What would be written, to be confirmed; back to the form where it may not be."""
        checked = self.trial.checked(draft, today)
        if not checked.readable:
            return self._form(draft, today, not_saved="It is not readable as a profile yet.")
        if draft.refused or draft.not_taken:
            return self._form(draft, today, not_saved="Some of what you typed is not in the text.")
        within(LARGEST, draft.content, "the text")
        before = ""
        if draft.was:
            saving.still_there(self.folder, draft.name)
            content = saving.opened(self.folder, draft.name)
            if saving.digest(content) != draft.was:
                raise saving.ChangedMeanwhile(draft.name, saving.digest(content))
            before = text_of(content, draft.name)
        values = {
            "draft": carried(draft),
            "lines": list(diff(before, draft.text, draft.name)),
            "same": before == draft.text,
            "findings": list(finding_blocks(checked.findings)),
            **checked.told,
            "seen": self._seen(draft, checked),
            "again": False,
        }
        return Screen("save.html", None, values | more)

    def _written(self, draft: Draft, seen: str, today: date) -> Screen | Address:
        """The text is written, if what it does was shown; else it is shown now."""
        checked = self.trial.checked(draft, today)
        if not checked.readable or not same(seen, self._seen(draft, checked)):
            return self._confirmation(draft, today, again=bool(seen))
        saving.save(self.folder, draft.name, draft.content, draft.was)
        done = "saved" if draft.was else "made"
        mark = self._mark(done, draft.name, draft.content)
        return address_of(EDIT.address, profile=draft.name, **{done: mark})

    def _refused(self, draft: Draft, error: LimitcheckError) -> Screen:
        """Why nothing was done, with the text to copy, and where it can be: another name."""
        now = error.now if isinstance(error, saving.ChangedMeanwhile) else ""
        was = "" if isinstance(error, saving.Gone) else now or draft.was
        values = {"draft": carried(draft._replace(was=was)), "why": error}
        return Screen("not_saved.html", None, values | {"can_compare": bool(now)})

    def _mark(self, *told: str | bytes) -> str:
        """A mark that only this page makes, of what is told."""
        message = b"\0".join(
            one if isinstance(one, bytes) else one.encode("utf-8", "surrogatepass") for one in told
        )
        return hmac.new(self._key, message, "sha256").hexdigest()

    def _seen(self, draft: Draft, checked: Checked) -> str:
        """A mark that this text, over that file, was shown with these errors."""
        told = [draft.name, draft.was, draft.text]
        told += [f"{f.check} {path_text(f.path)} {f.message}" for f in checked.errors]
        return self._mark("seen", *told)
