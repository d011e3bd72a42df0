"""One profile: its findings, its scale and the proposed cutoffs; of the folder, or dropped."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ..checking.file import check_file
from ..checking.proposed import Proposed
from ..documents.blocks import Chapter, Document, Section
from ..documents.findings import findings_section
from ..documents.profile import Checked, faults_of, predicted_sections, profile_document
from ..documents.proposal import proposal_document
from ..documents.settings import policy_section
from .folder import Folder
from .forms import Form
from .screens import Screen


def profile(folder: Folder, form: Form, today: date) -> Screen:
    """What is to be known of a profile: state, what to type, pressures, faults."""
    given = form.dropped is not None or "profile" in form.values
    checked = _checked(folder, form, today) if given else None
    if checked is None:
        return Screen("profile.html", None, {"alone": False})
    document = profile_document([checked], today)
    document = document._replace(chapters=tuple(_chapters(checked, today)))
    alone = folder.report(form.value("profile"), today) is None or form.dropped is not None
    return Screen("profile.html", document, {"alone": alone})


def _chapters(checked: Checked, today: date) -> Iterator[Chapter]:
    """What was found, what is proposed, what is predicted, and what faults would do."""
    found = findings_section(checked.report)._replace(heading="")
    yield Chapter("Findings", (found, *policy_section([checked.policy])))
    limits = proposal_document([Proposed(checked.file, checked.policy, today)], today)
    why = (s for chapter in limits.chapters for s in chapter.sections if not s.in_record)
    yield Chapter("Proposed cutoffs", (Section("", limits.summary), *why))
    predicted, *by_part = predicted_sections(checked)
    yield Chapter(predicted.heading, (predicted._replace(heading=""), *by_part))
    normal, *outcomes = faults_of(checked)
    yield Chapter(normal.heading, (normal._replace(heading=""), *outcomes))


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
            beside_others = folder.report(name, today)
            if beside_others is not None and beside_others.sha256 == file.sha256:
                return Checked(file, beside_others, policy)
        return Checked(file, check_file(file, policy, today), policy)
    return None
