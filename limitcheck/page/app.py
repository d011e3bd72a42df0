"""The page as an ASGI application: addresses, templates, downloads and errors."""

from __future__ import annotations

import base64
import re
import sys
from collections.abc import Awaitable, Callable
from contextlib import suppress
from datetime import date
from importlib.resources import files
from typing import Any

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from ..documents.blocks import Document
from ..documents.cautions import CAUTIONS
from ..documents.findings import finding_block
from ..errors import LimitcheckError
from ..render import html
from ..render.lines import safe
from ..version import __version__
from . import tasks
from .folder import MOST_LISTED, Folder
from .forms import Dropped, Form, FormProblem
from .guard import Guard
from .tasks import Screen

TASKS = (
    ("/entry", "A number to type", "May this number be typed as a cutoff? If not, what is?"),
    ("/check", "A profile", "Cutoffs, units, ratings and expected pressure, and a proposal."),
    ("/transfer", "Two instruments", "One method on two instruments: accept it, or do not."),
    ("/reading", "A wrong pressure", "Likely causes, then step by step to the part that is it."),
)
"""Address, name and what it is for."""
Endpoint = Callable[[Request], Awaitable[Response]]


def create_app(folder: str, today: Callable[[], date] = date.today) -> Guard:
    """The application for the profiles below a folder."""
    pages = _Pages(Folder(folder), today)
    style = files("limitcheck.render").joinpath("templates/report.css").read_text("utf-8")
    style += files("limitcheck.page").joinpath("templates/page.css").read_text("utf-8")
    icon = files("limitcheck.page").joinpath("templates/icon.svg").read_text("utf-8")
    both = ["GET", "POST"]
    routes = [
        Route("/", pages.home),
        Route("/entry", pages.answer(tasks.entry)),
        Route("/check", pages.answer(tasks.check), methods=both),
        Route("/report", pages.download(tasks.report, "profile", "report"), methods=both),
        Route("/transfer", pages.answer(tasks.compare)),
        Route("/record", pages.download(tasks.record, "to", "transfer")),
        Route("/reading", pages.answer(tasks.wrong_pressure)),
        Route("/page.css", Response(style, media_type="text/css")),
        Route("/icon.svg", Response(icon, media_type="image/svg+xml")),
    ]
    handlers: Any = {
        HTTPException: pages.refused,
        LimitcheckError: pages.cannot,
        Exception: pages.failed,
    }
    app = Starlette(routes=routes, exception_handlers=handlers)
    return Guard(app, pages.refusal, _complain)


class _Pages:
    def __init__(self, folder: Folder, today: Callable[[], date]) -> None:
        self.folder, self.today = folder, today
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
            tasks=TASKS, version=__version__, decide=CAUTIONS["who-decides"], folder=folder.path
        )

    async def home(self, request: Request) -> Response:
        self.folder.look()
        count, looked = len(self.folder.names), self.folder.looked
        return self._html("home.html", request.url.path, title="", count=count, looked=looked)

    def answer(self, task: Callable[[Folder, Form, date], Screen]) -> Endpoint:
        """The screen of a task."""

        async def endpoint(request: Request) -> Response:
            form = await _given(request)
            self.folder.look()
            return self._screen(request, form, task(self.folder, form, self.today()))

        return endpoint

    def download(
        self, task: Callable[[Folder, Form, date], Document | None], field: str, ending: str
    ) -> Endpoint:
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
            return HTMLResponse(html.render(document), headers={"Content-Disposition": disposition})

        return endpoint

    def _screen(self, request: Request, form: Form, screen: Screen) -> Response:
        count = len(self.folder.names)
        choices = list(self.folder.choices()) if count <= MOST_LISTED else None
        return self._html(
            screen.template,
            request.url.path,
            form=form,
            document=screen.document,
            sections=list(screen.sections),
            choices=choices,
            count=count,
            title=screen.document.title if screen.document is not None else "",
            **screen.values,
        )

    def _message(self, status: int, form: Form) -> Response:
        return self._html("message.html", "", status, form=form, title="Not possible")

    def _html(self, template: str, path: str, status: int = 200, **values: Any) -> Response:
        form = values.get("form", Form())
        unreadable = [finding_block(finding) for finding in form.unreadable]
        shown = {"path": path, "unreadable": unreadable, **values}
        return HTMLResponse(self.templates.get_template(template).render(shown), status)

    def refusal(self, status: int, message: str, advice: str) -> Response:
        """The answer to a request that the guard stops."""
        return self._message(status, Form(problems=[FormProblem("", message, advice)]))

    async def refused(self, _: Request, error: Exception) -> Response:
        """An address, method or body that is not taken."""
        assert isinstance(error, HTTPException)
        told = {404: "there is no such page", 405: "this page is not asked that way"}
        message = told.get(error.status_code, error.detail)
        return self.refusal(error.status_code, message, "begin with one of the four tasks")

    async def cannot(self, _: Request, error: Exception) -> Response:
        """A folder or settings that cannot be read."""
        form = Form()
        with form.catching(""):
            raise error
        return self._message(200, form)

    async def failed(self, _: Request, error: Exception) -> Response:
        """A fault of ours, in the words of the command line."""
        return self.refusal(500, *_fault(error))


async def _given(request: Request) -> Form:
    """The form in the address, or a file in the body."""
    if request.method != "POST":
        return Form(dict(request.query_params))
    async with request.form(max_files=1, max_fields=4) as data:
        upload = data.get("file")
        if isinstance(upload, UploadFile):
            return Form(dropped=Dropped(upload.filename or "", await upload.read()))
        name, encoded = str(data.get("name", "")), str(data.get("content", ""))
    try:
        return Form(dropped=Dropped(name, base64.b64decode(encoded, validate=True)))
    except ValueError:  # of which binascii.Error is one
        raise HTTPException(400, "this is not the content of a file") from None


def _fault(error: Exception) -> tuple[str, str]:
    return (
        f"limitcheck failed: {type(error).__name__}: {error}",
        "This is a fault of limitcheck; please report it.",
    )


def _complain(error: Exception) -> None:
    message, advice = _fault(error)
    with suppress(OSError):  # nobody listens
        print(f"{safe(message)}\n  Do: {safe(advice)}", file=sys.stderr, flush=True)
