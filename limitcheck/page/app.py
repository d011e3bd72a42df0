"""The page as an ASGI application: which address is answered by what."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from ..errors import LimitcheckError
from . import blockage, moving, numbers, overview, pressures, profiles
from .answers import Answers, complain
from .editing import Editor
from .folder import Folder
from .guard import Guard
from .saving import Writing
from .secret import Secret

SCRIPTS = ("live.js", "asking.js", "edit.js")


def create_app(
    folder: str,
    secret: Secret,
    today: Callable[[], date] = date.today,
    writing: Writing = Writing.OFF,
) -> Guard:
    """The application for the profiles below a folder, for whoever has the secret."""
    answers = Answers(Folder(folder), today, writing)
    editor = Editor(answers.folder)
    both = ["GET", "POST"]
    routes = [
        Route("/", answers.answer(overview.overview)),
        Route("/profile", answers.answer(profiles.profile), methods=both),
        Route("/report", answers.download(profiles.report, "profile", "report"), methods=both),
        Route("/entry", answers.answer(numbers.entry)),
        Route("/convert", answers.answer(numbers.conversion)),
        Route("/reading", answers.answer(pressures.reading), methods=both),
        Route("/blockage", answers.answer(blockage.find)),
        Route("/transfer", answers.answer(moving.compare)),
        Route("/record", answers.download(moving.record, "to", "transfer")),
        Route("/edit", answers.edit(editor.opened)),
        Route("/edit", answers.edit(editor.acted), methods=["POST"]),
        Route("/new", answers.edit(editor.begin)),
        *_fixed(),
    ]
    handlers: Any = {
        HTTPException: answers.refused,
        LimitcheckError: answers.cannot,
        Exception: answers.failed,
    }
    app = Starlette(routes=routes, exception_handlers=handlers)
    return Guard(app, answers.refusal, complain, secret)


def _fixed() -> list[Route]:
    """What is the same on every screen: the style, the icon and the script."""
    page, render = files("limitcheck.page"), files("limitcheck.render")
    style = render.joinpath("templates/report.css").read_text("utf-8")
    style += page.joinpath("templates/page.css").read_text("utf-8")
    icon = page.joinpath("templates/icon.svg").read_text("utf-8")
    routes = [
        Route("/page.css", Response(style, media_type="text/css")),
        Route("/icon.svg", Response(icon, media_type="image/svg+xml")),
    ]
    for name in SCRIPTS:
        script = page.joinpath(f"scripts/{name}").read_text("utf-8")
        routes.append(Route(f"/{name}", Response(script, media_type="text/javascript")))
    return routes
