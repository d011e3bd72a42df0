"""The folder: its profiles to choose from, and what was skipped."""

from __future__ import annotations

from datetime import date

from .addresses import screen_named
from .folder import Folder
from .forms import Form
from .screens import Screen


def overview(folder: Folder, form: Form, today: date) -> Screen:  # noqa: ARG001
    """The profiles of the folder; each leads to the screen that asked for one."""
    onward = screen_named(form.value("for"))
    return Screen("overview.html", None, {"onward": onward, "looked": folder.looked})
