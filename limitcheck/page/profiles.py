"""One profile: its findings, its scale and the proposed cutoffs; of the folder, or dropped."""

from __future__ import annotations

from datetime import date

from ..checking.file import check_file
from ..checking.proposed import Proposed
from ..documents.blocks import Chapter, Document, Section
from ..documents.profile import Checked, profile_document
from ..documents.proposal import proposal_document
from .folder import Folder
from .forms import Form
from .screens import Screen


def profile(folder: Folder, form: Form, today: date) -> Screen:
    """The findings of a profile, its scale and the proposed cutoffs."""
    given = form.dropped is not None or "profile" in form.values
    checked = _checked(folder, form, today) if given else None
    if checked is None:
        return Screen("profile.html")
    document = profile_document([checked], today)
    limits = proposal_document([Proposed(checked.file, checked.policy, today)], today)
    answer = Chapter("", (Section("Proposed cutoffs", limits.summary),))
    document = document._replace(chapters=(answer, *limits.chapters, *document.chapters))
    return Screen("profile.html", document)


def report(folder: Folder, form: Form, today: date) -> Document | None:
    """The report on a profile; None where the form has problems."""
    checked = _checked(folder, form, today)
    return None if checked is None else profile_document([checked], today)


def _checked(folder: Folder, form: Form, today: date) -> Checked | None:
    dropped = form.dropped
    with form.catching("file" if dropped is not None else "profile"):
        if dropped is not None:
            file, policy = folder.load_dropped(dropped.content, dropped.name), folder.policy()
        else:
            name = form.value("profile")
            file, policy = folder.load(name), folder.policy(name)
        return Checked(file, check_file(file, policy, today), policy)
    return None
