"""What commands print and write: one way to ask for it, safe text, plain errors, whole files."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Collection, Iterable
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from ..errors import LimitcheckError, Refused

if TYPE_CHECKING:
    from ..documents.blocks import Document

ENDINGS = {
    "text": ".txt",
    "json": ".json",
    "markdown": ".md",
    "html": ".html",
    "pdf": ".pdf",
    "csv": ".csv",
    "sarif": ".sarif",
    "junit": ".xml",
}
"""By format: the ending of a file's name that asks for it."""
PRINTED = ("text", "json", "markdown")
"""What a command prints, by --format."""
WRITTEN = ("html", "pdf", *PRINTED)
"""What a command writes, by --output."""
Drawn: TypeAlias = str | bytes | Iterable[str]


class Asked(NamedTuple):
    """Which format to print, and which to write to which file."""

    format: str
    files: tuple[tuple[str, str], ...] = ()
    verbose: bool = False


def asked(
    format: str,
    output: Iterable[str] | None = None,
    verbose: bool = False,
    *,
    printed: Collection[str] = PRINTED,
    written: Collection[str] = WRITTEN,
) -> Asked:
    """What --format, --output and --verbose ask for; raises Refused before anything runs."""
    if format not in printed:
        raise Refused(f'there is no format "{format}" here', f"write {listed(printed)}")
    return Asked(format, tuple(_file(text, written) for text in output or ()), verbose)


def _file(text: str, written: Collection[str]) -> tuple[str, str]:
    name, _, path = text.partition("=")
    if name in written and path:
        return name, path
    for format in written:
        if text.lower().endswith(ENDINGS[format]) and "=" not in text:
            return format, text
    endings = listed([ENDINGS[format] for format in written])
    raise Refused(f"--output {text}: no known format", f"write FILE{endings}, or FORMAT=FILE")


def listed(names: Iterable[str]) -> str:
    """Names as in "text, json or markdown"."""
    *most, last = names
    return f"{', '.join(most)} or {last}" if most else last


def near(name: str, known: Iterable[str], otherwise: str) -> str:
    """Advice for an unknown name: the nearest that is known, if there is one."""
    from difflib import get_close_matches

    close = get_close_matches(name, known, n=1)
    return f"did you mean {close[0]}?" if close else otherwise


def show(asked: Asked, document: Document, data: dict[str, Any], **others: str) -> None:
    """Print and write an answer as asked for; `others` are further formats, such as csv.

    Raises LimitcheckError for a file that cannot be written.
    """

    def draw(format: str, file: bool) -> Drawn:
        if format in others:
            return others[format]
        if format == "json":
            from ..documents.data import json_text

            return json_text(data)
        if format == "text":
            from ..render import text
            from ..render.lines import terminal_width

            if file:
                return text.render(document, record=True)
            return text.render(document, width=terminal_width(), record=asked.verbose)
        from importlib import import_module

        drawn: str | bytes = import_module(f"..render.{format}", __package__).render(document)
        return drawn

    deliver(asked, draw)


def deliver(asked: Asked, draw: Callable[[str, bool], Drawn]) -> None:
    """Print and write what `draw` makes of a format, for the screen or for a file."""
    printed = draw(asked.format, False)
    assert not isinstance(printed, bytes)
    emit(printed)
    for format, path in asked.files:
        write_file(path, draw(format, True))


def write_file(path: str, content: Drawn) -> None:
    """Write a file whole or not at all; raises CannotWrite."""
    from ..profile.write import replace_file

    if isinstance(content, bytes):
        replace_file(path, content)
    else:
        pieces = [content] if isinstance(content, str) else content
        replace_file(path, (piece.encode("utf-8", "backslashreplace") for piece in pieces))


def emit(text: str | Iterable[str]) -> None:
    """Print a text, whole or in pieces, to standard output; a reader that left is no error."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        for piece in [text] if isinstance(text, str) else text:
            sys.stdout.write(piece.encode(encoding, "backslashreplace").decode(encoding))
        sys.stdout.flush()
    except BrokenPipeError:
        # Python flushes standard output again at exit; give it somewhere to go.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(message: str, advice: str = "") -> None:
    """Print an error to standard error, with what to do."""
    from ..render.lines import wrap

    lines = [*wrap(message, "", "  "), *(wrap(advice, "  Do: ", "  ") if advice else [])]
    print("\n".join(lines), file=sys.stderr)


def show_usage_error(error: Exception) -> int | None:
    """Print an error that comes of what the user gave, and return its exit code; else None."""
    from ..profile.text import UnreadableProfile

    option = getattr(error, "option_name", None)
    if isinstance(error, UnreadableProfile):
        from ..documents.findings import finding_block
        from ..render.run_text import finding_text

        for finding in error.findings:
            print(finding_text(finding_block(finding)), file=sys.stderr)
    elif isinstance(error, LimitcheckError):
        complain(error.message, error.advice)
    elif option is not None and option[1:2].isdigit():
        complain(f"{option} is below zero", "write the number as displayed, without a sign")
    elif hasattr(error, "show") and hasattr(error, "exit_code"):  # a usage error of the parser
        error.show()
    else:
        return None
    return 2
