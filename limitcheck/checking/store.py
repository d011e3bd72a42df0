"""Reports of a run, kept in order: in memory while few, in a temporary file beyond that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import IO

from .results import FileReport

BATCH = 500
"""Reports that stay in memory."""


class ReportStore:
    """Keep reports, then go through them as often as needed; memory does not grow with them."""

    def __init__(self) -> None:
        self._file: IO[bytes] | None = None
        self._offsets: list[int] = []
        self._recent: list[FileReport] = []

    def keep(self, reports: Iterable[FileReport]) -> Iterator[FileReport]:
        """Keep each report, and pass it on."""
        for report in reports:
            self._recent.append(report)
            if len(self._recent) == BATCH:
                self._put_away()
            yield report

    def __iter__(self) -> Iterator[FileReport]:
        if self._file is not None:
            import pickle

            for offset in self._offsets:
                self._file.seek(offset)
                yield from pickle.load(self._file)
        yield from tuple(self._recent)

    def _put_away(self) -> None:
        import pickle

        if self._file is None:
            from tempfile import TemporaryFile
            from weakref import finalize

            self._file = TemporaryFile()  # noqa: SIM115 - lives as long as the store
            finalize(self, self._file.close)
        self._file.seek(0, 2)
        self._offsets.append(self._file.tell())
        pickle.dump(self._recent, self._file, pickle.HIGHEST_PROTOCOL)
        self._recent = []
