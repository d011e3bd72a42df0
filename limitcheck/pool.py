"""Work over many items in several processes, results in the order of the items."""

from __future__ import annotations

import os
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")

CHUNK = 50
"""Items a worker takes at a time."""
PAYS_FROM = 200
"""Fewer items than this are done before worker processes have started."""


def processors() -> int:
    """How many processors this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def map_in_order(work: Callable[[T], R], items: Sequence[T], jobs: int | None) -> Iterator[R]:
    """`work` of each item in order, in `jobs` processes (default: all processors) if that pays.

    With several processes `work`, items and results travel between them by pickle. An exception
    that `work` raises is raised here, and the workers end.
    """
    workers = processors() if jobs is None else jobs
    if workers < 2 or len(items) < PAYS_FROM:
        yield from map(work, items)
        return
    from concurrent.futures import Future, ProcessPoolExecutor
    from multiprocessing import get_context

    context = get_context("fork" if sys.platform == "linux" else "spawn")
    executor = ProcessPoolExecutor(workers, mp_context=context, initializer=_leave_interrupts)
    waiting: deque[Future[list[R]]] = deque()
    try:
        for start in range(0, len(items), CHUNK):
            waiting.append(executor.submit(_work_on, work, items[start : start + CHUNK]))
            if len(waiting) > 2 * workers:
                yield from waiting.popleft().result()
        while waiting:
            yield from waiting.popleft().result()
    finally:
        executor.shutdown(cancel_futures=True)


def _work_on(work: Callable[[T], R], items: Sequence[T]) -> list[R]:
    return [work(item) for item in items]


def _leave_interrupts() -> None:
    """Ctrl-C reaches every process of the terminal; only the parent answers it."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
