"""Reports written to a file: HTML or PDF, by the file's name or by --output html=FILE."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ..documents.blocks import Document
from ..profile.write import CannotWrite, replace_file
from ..render.html import MissingExtra
from .output import Refused


def page_writer(path: str) -> Callable[[Document], None]:
    """What writes a document to FILE.html or FILE.pdf; raises Refused for another ending."""
    kind = path.rpartition(".")[2].lower()
    if kind not in ("html", "pdf"):
        raise Refused(f"{path} is neither .html nor .pdf", "write as in -o tea.html")
    return _writer(kind, path)


def page_writers(outputs: Iterable[str]) -> list[Callable[[Document], None]]:
    """The same for texts such as html=FILE."""
    writers = []
    for text in outputs:
        kind, _, path = text.partition("=")
        if kind not in ("html", "pdf") or not path:
            raise Refused(f"--output {text} is not known here", "write html=FILE or pdf=FILE")
        writers.append(_writer(kind, path))
    return writers


def _writer(kind: str, path: str) -> Callable[[Document], None]:
    def write(document: Document) -> None:
        try:
            replace_file(path, _content(kind, document))
        except MissingExtra as error:
            raise Refused(str(error), "then run the same command again") from None
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None

    return write


def _content(kind: str, document: Document) -> bytes:
    if kind == "pdf":
        from ..render.pdf import CannotDraw
        from ..render.pdf import render as render_pdf

        try:
            return render_pdf(document)
        except CannotDraw as error:
            raise Refused(
                f"no PDF: {error}", "install a font that has it, or write HTML instead"
            ) from None
    from ..render.html import render

    return render(document).encode()
