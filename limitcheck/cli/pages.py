"""Reports written to a file: HTML or PDF, by the file's name or by --output html=FILE."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ..documents.blocks import Document
from ..profile.write import CannotWrite, replace_file
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
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None

    return write


def _content(kind: str, document: Document) -> bytes:
    if kind == "pdf":
        from ..render.pdf import render as render_pdf

        return render_pdf(document)
    from ..render.html import render

    return render(document).encode()
