"""The page as an ASGI application: addresses, templates, downloads and errors."""

from __future__ import annotations

import base64
import re
from collections.abc import Awaitable, Callable
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

from .. import __version__
from ..cli.output import Refused, complain
from ..profile.load import UnreadableProfile
from ..report import html
from ..report.cautions import CAUTIONS
from ..report.lines import safe
from ..report.model import Document
from ..report.pages.parts import flaw
from ..settings import forget_policies
from . import tasks
from .folder import MOST_LISTED, Folder
from .forms import Form
from .guard import Guard
from .tasks import Dropped, Screen

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
    style = files("limitcheck.report").joinpath("templates/report.css").read_text("utf-8")
    style += files("limitcheck.page").joinpath("templates/page.css").read_text("utf-8")
    icon = files("limitcheck.page").joinpath("templates/icon.svg").read_text("utf-8")
    routes = [
        Route("/", pages.home),
        Route("/entry", pages.answer(tasks.entry)),
        Route("/check", pages.check, methods=["GET", "POST"]),
        Route("/report", pages.report, methods=["GET", "POST"]),
        Route("/transfer", pages.answer(tasks.compare)),
        Route("/record", pages.record),
        Route("/reading", pages.answer(lambda folder, form, _: tasks.wrong_pressure(folder, form))),
        Route("/page.css", Response(style, media_type="text/css")),
        Route("/icon.svg", Response(icon, media_type="image/svg+xml")),
    ]
    handlers: Any = {
        HTTPException: pages.refused,
        Refused: pages.cannot,
        UnreadableProfile: pages.cannot,
        Exception: pages.failed,
    }
    app = Starlette(routes=routes, exception_handlers=handlers)
    return Guard(app, pages.refusal, _complain)


class _Pages:
    def __init__(self, folder: Folder, today: Callable[[], date]) -> None:
        self.folder, self.today = folder, today
        packages = ("limitcheck.page", "limitcheck.report")
        self.templates = Environment(
            loader=ChoiceLoader([PackageLoader(name) for name in packages]),
            autoescape=True,
            undefined=StrictUndefined,
            finalize=lambda value: safe(value) if type(value) is str else value,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.templates.globals.update(
            tasks=TASKS, version=__version__, decide=CAUTIONS["who-decides"], folder=folder.path,
            most_listed=MOST_LISTED,
        )  # fmt: skip

    async def home(self, request: Request) -> Response:
        forget_policies()
        names = self.folder.names()
        return self._html("home.html", request, title="", count=len(names))

    def answer(self, task: Callable[[Folder, Form, date], Screen]) -> Endpoint:
        """The screen of a task whose form is in the address."""

        async def endpoint(request: Request) -> Response:
            form = Form(dict(request.query_params))
            forget_policies()
            return self._screen(request, form, task(self.folder, form, self.today()))

        return endpoint

    async def check(self, request: Request) -> Response:
        form, dropped = await _given(request)
        return self._screen(request, form, tasks.check(self.folder, form, self.today(), dropped))

    async def report(self, request: Request) -> Response:
        form, dropped = await _given(request)
        document = tasks.report(self.folder, form, self.today(), dropped)
        name = dropped.name if dropped is not None else form.value("profile")
        return self._download(request, form, document, f"{name}-report")

    async def record(self, request: Request) -> Response:
        form = Form(dict(request.query_params))
        forget_policies()
        document = tasks.record(self.folder, form, self.today())
        return self._download(request, form, document, f"{form.value('to')}-transfer")

    def _screen(self, request: Request, form: Form, screen: Screen) -> Response:
        names = self.folder.names()
        choices = list(self.folder.choices(names)) if len(names) <= MOST_LISTED else None
        return self._html(
            screen.template, request, form=form, answer=screen.answer, choices=choices,
            count=len(names), query=str(request.url.query), title=screen.answer,
            unreadable=[flaw(finding) for finding in form.unreadable], **screen.values,
        )  # fmt: skip

    def _download(
        self, request: Request, form: Form, document: Document | None, name: str
    ) -> Response:
        if document is None:
            problems = [(problem.message, problem.advice) for problem in form.problems]
            return self._message(request, 404, problems, form)
        kept = re.sub(r"[^A-Za-z0-9._-]+", "-", name.replace(".toml", "")).strip("-.")
        disposition = f'attachment; filename="{kept or "limitcheck"}.html"'
        return HTMLResponse(html.render(document), headers={"Content-Disposition": disposition})

    def _html(self, template: str, request: Request, status: int = 200, **values: Any) -> Response:
        path = request.url.path
        text = self.templates.get_template(template).render(path=path, **values)
        return HTMLResponse(text, status)

    def _message(
        self, request: Request, status: int, problems: list[tuple[str, str]], form: Form
    ) -> Response:
        unreadable = [flaw(finding) for finding in form.unreadable]
        return self._html(
            "message.html", request, status, title="Not possible", problems=problems,
            unreadable=unreadable,
        )  # fmt: skip

    def refusal(self, status: int, message: str, advice: str) -> Response:
        """The answer to a request that the guard stops."""
        template = self.templates.get_template("message.html")
        text = template.render(
            path="", title="Not possible", problems=[(message, advice)], unreadable=[]
        )
        return HTMLResponse(text, status)

    async def refused(self, request: Request, error: Exception) -> Response:
        """An address, method or body that is not taken."""
        assert isinstance(error, HTTPException)
        told = {404: "there is no such page", 405: "this page is not asked that way"}
        message = told.get(error.status_code, error.detail)
        return self._message(
            request, error.status_code, [(message, "begin with one of the four tasks")], Form({})
        )

    async def cannot(self, request: Request, error: Exception) -> Response:
        """A folder or settings that cannot be read."""
        form = Form({})
        with form.catching(""):
            raise error
        problems = [(problem.message, problem.advice) for problem in form.problems]
        return self._message(request, 200, problems, form)

    async def failed(self, request: Request, error: Exception) -> Response:
        """A fault of ours, in the words of the command line."""
        return self.refusal(500, *_fault(error))


async def _given(request: Request) -> tuple[Form, Dropped | None]:
    """The form of a check: in the address, or with a file in the body."""
    forget_policies()
    if request.method != "POST":
        return Form(dict(request.query_params)), None
    async with request.form(max_files=1, max_fields=4) as data:
        upload = data.get("file")
        if isinstance(upload, UploadFile):
            return Form({}), Dropped(upload.filename or "", await upload.read())
        name, encoded = str(data.get("name", "")), str(data.get("content", ""))
    try:
        return Form({}), Dropped(name, base64.b64decode(encoded, validate=True))
    except ValueError:  # of which binascii.Error is one
        raise HTTPException(400, "this is not the content of a file") from None


def _fault(error: Exception) -> tuple[str, str]:
    return (
        f"limitcheck failed: {type(error).__name__}: {error}",
        "This is a fault of limitcheck; please report it.",
    )


def _complain(error: Exception) -> None:
    complain(*_fault(error))
