"""From a request to an answer: screens, downloads, refusals, and faults of our own."""

from __future__ import annotations

import base64
import re
import sys
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from datetime import date
from typing import Any

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ..documents.cautions import CAUTIONS
from ..documents.findings import finding_block
from ..render import html
from ..render.lines import safe
from ..render.option_names import kept_whole
from ..version import __version__
from .addresses import EDIT, OVERVIEW, PROFILE, TASKS, address_of, keeping
from .folder import MOST_LISTED, Folder
from .form_fields import as_it_is
from .forms import Dropped, Form, FormProblem
from .guard import LARGEST_TEXT, NotTaken
from .onward import in_words_of_both, in_words_of_the_page
from .saving import Writing
from .screens import Download, Screen, Task

MOST_FIELDS = 3000
"""Of the form that changes a profile."""
Endpoint = Callable[[Request], Awaitable[Response]]


class Answers:
    """The answers about one folder."""

    def __init__(
        self, folder: Folder, today: Callable[[], date], writing: Writing = Writing.OFF
    ) -> None:
        self.folder, self.today, self.writing = folder, today, writing
        packages = ("limitcheck.page", "limitcheck.render")
        self.templates = Environment(
            loader=ChoiceLoader([PackageLoader(name) for name in packages]),
            autoescape=True,
            undefined=StrictUndefined,
            finalize=lambda value: safe(value) if type(value) is str else value,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.templates.globals.update(
            tasks=(*TASKS, EDIT) if writing is Writing.EDIT else TASKS,
            writing=writing,
            version=__version__,
            decide=CAUTIONS["who-decides"],
            folder=folder.path,
            address_of=address_of,
            as_it_is=as_it_is,
            first=OVERVIEW,
            profile_screen=PROFILE,
        )

    def answer(self, task: Task) -> Endpoint:
        """The screen of a task."""

        async def endpoint(request: Request) -> Response:
            form = await _given(request)
            self.folder.look()
            return self._screen(request, form, task(self.folder, form, self.today()))

        return endpoint

    def edit(self, task: Callable[[Mapping[str, str], date], Screen | str]) -> Endpoint:
        """A screen that changes profiles, or the address to go on at.

        Refused where the page was not started for that.
        """

        async def endpoint(request: Request) -> Response:
            if self.writing is not Writing.EDIT:
                return self._told(403, *self.writing.why_not)
            values = await _fields(request)
            form = Form({"profile": values.get("profile", "")})
            with form.catching("profile"):
                found = task(values, self.today())
                if isinstance(found, str):
                    return RedirectResponse(found, 303)
                return self._screen(request, form, found)
            return self._message(409, form)

        return endpoint

    def download(self, task: Download, field: str, ending: str) -> Endpoint:
        """The record of a task as a file, named for the profile in a field."""

        async def endpoint(request: Request) -> Response:
            form = await _given(request)
            self.folder.look()
            document = task(self.folder, form, self.today())
            if document is None:
                return self._message(404, form)
            name = form.dropped.name if form.dropped is not None else form.value(field)
            name = f"{name.replace('.toml', '')}-{ending}"
            kept = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.")
            disposition = f'attachment; filename="{kept}.html"'
            kept_words = in_words_of_both(html.render(document))
            return HTMLResponse(kept_words, headers={"Content-Disposition": disposition})

        return endpoint

    def _screen(self, request: Request, form: Form, screen: Screen) -> Response:
        count = len(self.folder.names)
        return self._html(
            screen.template,
            request.url.path,
            form=form,
            document=screen.document,
            sections=list(screen.sections),
            choices=list(self.folder.choices()) if count <= MOST_LISTED else None,
            chosen=self.folder.choice(form.value("profile")),
            count=count,
            title=screen.document.title if screen.document is not None else "",
            **screen.values,
        )

    def _message(self, status: int, form: Form) -> Response:
        return self._html("message.html", "", status, form=form, title="Not possible")

    def _html(self, template: str, path: str, status: int = 200, **values: Any) -> Response:
        form = values["form"]
        shown = {
            "path": path,
            "at": keeping(form.value("profile")),
            "chosen": None,
            "unreadable": [finding_block(finding) for finding in form.unreadable],
            "today": self.today().isoformat(),
            **values,
        }
        page = self.templates.get_template(template).render(shown)
        editing = self.writing is Writing.EDIT
        words = in_words_of_the_page(page, shown["at"], editing=editing, here=path)
        return HTMLResponse(kept_whole(words), status)

    def refusal(self, status: int, message: str, advice: str) -> Response:
        """The answer to a request that the guard stops; it tells nothing of the folder."""
        template = self.templates.get_template("plain.html")
        return HTMLResponse(template.render(message=message, advice=advice), status)

    def _told(self, status: int, message: str, advice: str) -> Response:
        return self._message(status, Form(problems=[FormProblem("", message, advice)]))

    async def refused(self, _: Request, error: Exception) -> Response:
        """An address, method or body that is not taken."""
        assert isinstance(error, HTTPException)
        message = _REFUSED.get(error.status_code, "this is not a form of this page")
        if isinstance(error, NotTaken):
            message = error.detail
        return self._told(error.status_code, message, "begin with the overview")

    async def cannot(self, _: Request, error: Exception) -> Response:
        """A folder or settings that cannot be read."""
        form = Form()
        with form.catching(""):
            raise error
        return self._message(409, form)

    async def failed(self, _: Request, error: Exception) -> Response:
        """A fault of ours, in the words of the command line."""
        return self._told(500, *_fault(error))


_REFUSED = {404: "there is no such page", 405: "this page is not asked that way"}
_OF_A_FILE = ("file", "name", "content")
"""Fields that hold a file."""


@asynccontextmanager
async def _form(request: Request, *, max_files: int, max_fields: int) -> AsyncIterator[FormData]:
    """The form in the body of a request; raises NotTaken."""
    try:
        form = await request.form(
            max_files=max_files, max_fields=max_fields, max_part_size=LARGEST_TEXT
        )
    except (LookupError, UnicodeError):
        raise NotTaken(400, "the text of this form is in an unknown encoding") from None
    try:
        yield form
    finally:
        await form.close()


async def _given(request: Request) -> Form:
    """The form in the address, or a file in the body."""
    values = dict(request.query_params)
    if request.method != "POST":
        return Form(values)
    async with _form(request, max_files=1, max_fields=16) as data:
        upload = data.get("file")
        values |= {key: str(value) for key, value in data.items() if key not in _OF_A_FILE}
        if isinstance(upload, UploadFile):
            return Form(values, Dropped(upload.filename or "", await upload.read()))
        name, encoded = str(data.get("name", "")), str(data.get("content", ""))
    try:
        return Form(values, Dropped(name, base64.b64decode(encoded, validate=True)))
    except ValueError:  # of which binascii.Error is one
        raise NotTaken(400, "this is not the content of a file") from None


async def _fields(request: Request) -> dict[str, str]:
    """Every field of a form, none of them twice."""
    if request.method != "POST":
        given = request.query_params.multi_items()
    else:
        async with _form(request, max_files=0, max_fields=MOST_FIELDS) as data:
            given = [(name, str(value)) for name, value in data.multi_items()]
    values = dict(given)
    if len(values) != len(given):
        raise NotTaken(400, "a field of this form is given twice")
    return values


def _fault(error: Exception) -> tuple[str, str]:
    return (
        f"limitcheck failed: {type(error).__name__}: {error}",
        "This is a fault of limitcheck; please report it.",
    )


def complain(error: Exception) -> None:
    """Say a fault of ours on the terminal."""
    message, advice = _fault(error)
    with suppress(OSError):  # nobody listens
        print(f"{safe(message)}\n  Do: {safe(advice)}", file=sys.stderr, flush=True)
