"""A failed command leaves no output of an earlier one as if it were its own.

Each file that was asked for says then that this run failed, and why.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import date
from typing import TYPE_CHECKING

from ..errors import LimitcheckError
from ..findings import Finding, Severity
from .output import Asked, Drawn, complain, draw_document, undelivered, write_file
from .streams import CannotPrint, emit

if TYPE_CHECKING:
    from ..checking.run import Run


def replace_stale(error: BaseException) -> None:
    """Write the failure into every file that was asked for and is not written yet.

    A run that was stopped makes no new file.
    """
    stopped = not isinstance(error, Exception)
    for wanted in undelivered():
        failed = Failed(error)
        for format, path in wanted.files:
            if os.path.exists(path) or not stopped:
                _replace(path, format, failed, wanted)
        if wanted.of_run and wanted.format != "text" and not stopped:
            with suppress(CannotPrint):
                emit(failed.run_text(wanted.format))


def name_stale(arguments: Sequence[str]) -> None:
    """Name outputs of an earlier run where the arguments themselves could not be read."""
    for at, argument in enumerate(arguments):
        option, equals, value = argument.partition("=")
        if option == "--output" and equals:
            _name_stale(value)
        elif argument in ("-o", "--output"):
            _name_stale(arguments[at + 1] if at + 1 < len(arguments) else "")
        elif argument.startswith("-o"):
            _name_stale(argument[2:])


def _name_stale(output: str) -> None:
    for path in (output, output.partition("=")[2]):
        if os.path.isfile(path):
            complain(f"{path}: what stands there is of an earlier run: this one did not begin")


class Failed:
    """The failure of a command in every format."""

    def __init__(self, error: BaseException) -> None:
        self.code, self.findings = _told(error)

    @property
    def run(self) -> Run:
        """As a run of `check` that was not done."""
        from ..checking.results import Summary
        from ..checking.run import Failure, Run

        return Run((), Summary(), failure=Failure(self.code, self.findings))

    def run_text(self, format: str) -> Iterator[str]:
        """In a format of a run."""
        from ..render import renderer

        return renderer(format)(self.run)

    def document(self, format: str, paper: str) -> Drawn:
        """In a format of the other commands."""
        from ..documents.blocks import Block, Document, Text
        from ..documents.data import frame
        from ..documents.findings import finding_blocks, finding_data

        told = "This run failed: it has no result."
        if format == "csv":
            return f"{told}\n"
        if format == "xlsx":
            from ..tables.spreadsheet import WrittenTable, workbook

            rows = [(finding.message, finding.advice) for finding in self.findings]
            return workbook(WrittenTable("Failed", ((told, 60), ("What to do", 60)), rows))
        blocks: tuple[Block, ...] = (Text(told, strong=True), *finding_blocks(self.findings))
        document = Document("A run that failed", blocks, (), (), date.today().isoformat())
        data = frame(failure=list(map(finding_data, self.findings)), exit_code=self.code)
        return draw_document(format, document, data, paper=paper)


def _told(error: BaseException) -> tuple[int, tuple[Finding, ...]]:
    from ..profile.text import UnreadableProfile

    if isinstance(error, UnreadableProfile):
        return 2, error.findings
    if isinstance(error, LimitcheckError):
        code, told, advice = 2, error.message, error.advice or "see the message"
    elif isinstance(error, Exception):
        code, told = 3, f"limitcheck failed: {type(error).__name__}: {error}"
        advice = "This is a fault of limitcheck; please report it."
    else:
        code = getattr(error, "code", 130)
        told, advice = "The run was stopped before its end.", "run it again"
    return code, (Finding(Severity.ERROR, told, advice, check="failed-run"),)


def _replace(path: str, format: str, failed: Failed, wanted: Asked) -> None:
    earlier = os.path.exists(path)
    try:
        if wanted.of_run:
            write_file(path, failed.run_text(format))
        else:
            write_file(path, failed.document(format, wanted.paper))
    except Exception as error:  # whatever it is, the failure of the run itself is still to be said
        if earlier:
            complain(f"{path}: what stands there is of an earlier run: {error}")
    else:
        was = "replaced: it was of an earlier run, and this one" if earlier else "written: this run"
        complain(f"{path}: {was} failed")
