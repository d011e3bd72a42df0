"""What a screen shows, and the profile it is about."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeAlias

from ..charts.svg import Drawing
from ..documents.blocks import Document, Section
from ..profile.load import ProfileFile
from .folder import Folder
from .forms import Form


@dataclass(frozen=True)
class Screen:
    """A template with its values, and the answer where there is one yet."""

    template: str
    document: Document | None = None
    values: Mapping[str, Any] = field(default_factory=dict)

    @property
    def sections(self) -> Iterator[Section]:
        """What the screen shows below the summary: the answer, and the drawings of the record."""
        chapters = self.document.chapters if self.document is not None else ()
        for section in (section for chapter in chapters for section in chapter.sections):
            if not section.in_record:
                yield section
            elif drawings := tuple(b for b in section.blocks if isinstance(b, Drawing)):
                yield Section(section.heading, drawings)


Task: TypeAlias = Callable[[Folder, Form, date], Screen]
"""From a folder, a form and today to a screen."""
Download: TypeAlias = Callable[[Folder, Form, date], Document | None]
"""The same to a record; None where the form has problems."""


def chosen(folder: Folder, form: Form, field: str = "profile") -> ProfileFile | None:
    """The profile named in a field; None with a problem of the form where there is none."""
    with form.catching(field):
        return folder.load(form.value(field))
    return None
