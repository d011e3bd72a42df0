"""Reports of a run, kept in order; in a long run as packed by workers, in a temporary file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import IO

from .results import FileReport


def packed(reports: Sequence[FileReport]) -> bytes:
    """Reports as they travel and wait."""
    import pickle

    return pickle.dumps(reports, pickle.HIGHEST_PROTOCOL)


class ReportStore:
    """Keep reports, then go through them again and again; packed ones take no memory."""

    def __init__(self) -> None:
        self._file: IO[bytes] | None = None
        self._offsets: list[int] = []
        self._at_hand: list[FileReport] = []

    def keep(self, reports: bytes | Sequence[FileReport]) -> None:
        """Keep what `packed` gave, or reports as they are: a run has one or the other."""
        if not isinstance(reports, bytes):
            self._at_hand += reports
            return
        if self._file is None:
            from tempfile import TemporaryFile
            from weakref import finalize

            self._file = TemporaryFile()  # noqa: SIM115 - lives as long as the store
            finalize(self, self._file.close)
        self._offsets.append(self._file.seek(0, 2))
        self._file.write(reports)

    def __iter__(self) -> Iterator[FileReport]:
        if self._file is not None:
            import pickle

            for offset in self._offsets:
                self._file.seek(offset)
                yield from pickle.load(self._file)
        yield from tuple(self._at_hand)
