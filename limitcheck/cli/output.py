"""What commands print and write: one way to ask for it, safe text, plain errors, whole files."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from ..errors import LimitcheckError, Refused
from ..render.screen import Screen
from .streams import CannotPrint, emit, on_stderr, say
from .terminal import screen_of

if TYPE_CHECKING:
    from ..documents.blocks import Document

ENDINGS = {
    "text": ".txt",
    "json": ".json",
    "markdown": ".md",
    "html": ".html",
    "pdf": ".pdf",
    "csv": ".csv",
    "xlsx": ".xlsx",
    "animl": ".animl",
    "svg": ".svg",
    "png": ".png",
    "sarif": ".sarif",
    "junit": ".xml",
}
"""By format: the ending of a file's name that asks for it; others are asked for by name."""
PRINTED = ("text", "json", "markdown")
"""What a command prints, by --format."""
WRITTEN = ("html", "pdf", *PRINTED)
"""What a command writes, by --output."""
PICTURES = ("svg", "png")
"""What a command writes of its charts, by --picture."""
Drawn: TypeAlias = str | bytes | Iterable[str]


class Asked(NamedTuple):
    """Which format to print, and which to write to which file."""

    format: str
    files: tuple[tuple[str, str], ...] = ()
    verbose: bool = False
    of_run: bool = False
    """Whether the formats are those of a run of `check`, not of a document."""
    paper: str = "a4"
    """The paper of a PDF."""

    @property
    def formats(self) -> tuple[str, ...]:
        """Every format that is printed or written."""
        return self.format, *(name for name, _ in self.files)


_undelivered: list[Asked] = []
"""What was asked for by the command that runs now, until it is delivered."""


def undelivered() -> tuple[Asked, ...]:
    """What was asked for and not delivered, to be forgotten now."""
    found = tuple(_undelivered)
    _undelivered.clear()
    return found


def asked(
    format: str,
    output: Iterable[str] | None = None,
    verbose: bool = False,
    *,
    inputs: Iterable[str] = (),
    others: Iterable[tuple[str, str]] = (),
    pictures: Iterable[str] = (),
    printed: Collection[str] = PRINTED,
    written: Collection[str] = WRITTEN,
    of_run: bool = False,
    paper: str = "a4",
) -> Asked:
    """What --format, --output, --picture, --verbose and --paper ask for; raises Refused before anything runs.

    No output may be one of the `inputs` or a file that others rely on; nor may those of `others`,
    given as (option, path).
    """
    if format not in printed:
        advice = f"write {listed(printed)}"
        if of_run and format in WRITTEN:
            advice += f"; limitcheck report writes {format}"
        raise Refused(f'there is no format "{format}" here', advice)
    files = tuple(_file("--output", text, written) for text in output or ())
    drawn = tuple(_file("--picture", text, PICTURES) for text in pictures)
    outputs = [*(("--output", path) for _, path in files), *others]
    outputs += [("--picture", path) for _, path in drawn]
    files += drawn
    if paper.lower() != "a4":
        _refuse_paper(paper, files)
    if outputs:
        from .overwriting import refuse_overwriting

        refuse_overwriting(outputs, inputs)
    _undelivered.append(wanted := Asked(format, files, verbose, of_run, paper))
    return wanted


def _refuse_paper(paper: str, files: Iterable[tuple[str, str]]) -> None:
    from ..render.pdf import paper_of

    paper_of(paper)
    if not any(format == "pdf" for format, _ in files):
        raise Refused(f"--paper {paper}: no PDF is asked for", "write it with -o FILE.pdf")


def _file(option: str, text: str, written: Collection[str]) -> tuple[str, str]:
    name, _, path = text.partition("=")
    if name in written and path:
        return name, path
    ended = [format for format in written if format in ENDINGS]
    for format in ended:
        if text.lower().endswith(ENDINGS[format]) and "=" not in text:
            return format, text
    endings = listed([ENDINGS[format] for format in ended])
    raise Refused(f"{option} {text}: no known format", f"write FILE{endings}, or FORMAT=FILE")


def listed(names: Iterable[str]) -> str:
    """Names as in "text, json or markdown"."""
    *most, last = names
    return f"{', '.join(most)} or {last}" if most else last


def near(name: str, known: Iterable[str], otherwise: str) -> str:
    """Advice for an unknown name: the nearest that is known, if there is one."""
    from difflib import get_close_matches

    close = get_close_matches(name, known, n=1)
    return f"did you mean {close[0]}?" if close else otherwise


def show(
    asked: Asked, document: Document, data: dict[str, Any], *, aside: bool = False, **others: str
) -> None:
    """Print and write an answer as asked for; `others` are further formats, such as csv.

    Raises LimitcheckError for a file that cannot be written.
    """

    def draw(format: str, screen: Screen | None) -> Drawn:
        if format in others:
            return others[format]
        return draw_document(
            format, document, data, screen=screen, verbose=asked.verbose, paper=asked.paper
        )

    deliver(asked, draw, aside=aside)


def draw_document(
    format: str,
    document: Document,
    data: dict[str, Any],
    *,
    screen: Screen | None = None,
    verbose: bool = False,
    paper: str = "a4",
) -> str | bytes:
    """An answer in one format, for a screen, or for a file where there is none."""
    if format == "json":
        from ..documents.data import json_text

        return json_text(data)
    if format == "text":
        from ..render import text

        if screen is None:
            return text.render(document, record=True)
        return text.render(document, screen, record=verbose)
    if format == "pdf":
        from ..render import pdf

        return pdf.render(document, paper)
    from importlib import import_module

    drawn: str | bytes = import_module(f"..render.{format}", __package__).render(document)
    return drawn


def deliver(
    asked: Asked, draw: Callable[[str, Screen | None], Drawn], *, aside: bool = False
) -> None:
    """Print and write what `draw` makes of a format, for the screen or for a file (None).

    With `aside` it is printed to standard error, where something else is the command's output.
    Everything is tried; raises CannotPrint or CannotWrite for the first that could not be written.
    """
    stream = sys.stderr if aside else sys.stdout
    printed = draw(asked.format, screen_of(stream))
    assert not isinstance(printed, bytes)
    failed: list[LimitcheckError] = []
    try:
        emit(printed, stream)
    except CannotPrint as error:
        failed.append(error)
    _undelivered.clear()
    if asked.files:
        failed += _not_written(asked.files, draw)
    if failed:
        raise failed[0]


def _not_written(
    files: Iterable[tuple[str, str]], draw: Callable[[str, Screen | None], Drawn]
) -> Iterator[LimitcheckError]:
    from ..profile.atomic import CannotWrite

    for format, path in files:
        try:
            write_file(path, draw(format, None))
        except LimitcheckError as error:
            if isinstance(error, CannotWrite) and os.path.exists(path):
                error.advice += f"; what stands in {path} is not of this run"
            yield error


def write_file(path: str, content: Drawn, *, was: str | None = None) -> None:
    """Write a file whole or not at all; with `was` as `replace_file`. Raises CannotWrite."""
    from ..profile.atomic import replace_file

    if isinstance(content, bytes):
        replace_file(path, content, was=was)
    else:
        pieces = [content] if isinstance(content, str) else content
        encoded = (piece.encode("utf-8", "backslashreplace") for piece in pieces)
        replace_file(path, encoded, was=was)


def complain(message: str, advice: str = "") -> None:
    """Print an error to standard error, with what to do."""
    from ..render.lines import wrap

    screen = screen_of(sys.stderr)
    lines = wrap(message, "", "  ", width=screen.width)
    if advice:
        told = wrap(advice, "  Do: ", "  ", width=screen.width)
        lines += [told[0].replace("Do:", screen.paint("strong", "Do:"), 1), *told[1:]]
    say("\n".join(lines))


def show_usage_error(error: Exception, given: Sequence[str]) -> int | None:
    """Print an error that comes of what the user gave, and return its exit code; else None."""
    from ..profile.text import UnreadableProfile

    option = getattr(error, "option_name", None)
    if isinstance(error, UnreadableProfile):
        from ..documents.findings import finding_block
        from ..render.finding_text import finding_text

        for finding in error.findings:
            say(finding_text(finding_block(finding), screen_of(sys.stderr)))
    elif isinstance(error, LimitcheckError):
        complain(error.message, error.advice)
    elif option is not None and option[1:2].isdigit():
        # the parser names no more than a sign and a digit
        number = next((text for text in given if text.startswith(option[:2])), option)
        sign = "is below zero" if any("1" <= digit <= "9" for digit in number) else "has a sign"
        complain(f"{number} {sign}", "write the number as displayed, without a sign")
    elif hasattr(error, "show") and hasattr(error, "exit_code"):  # a usage error of the parser
        with on_stderr():
            error.show()
    else:
        return None
    return 2
