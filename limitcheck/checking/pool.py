"""Work over many items in several processes, results in the order of the items."""

from __future__ import annotations

import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

T = TypeVar("T")
R = TypeVar("R")

PAYS_FROM = 4
"""Fewer chunks of files than this are done before worker processes have started."""
_ENDING = {getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)}


def processors() -> int:
    """How many processors this process may use."""
    usable = getattr(os, "sched_getaffinity", None)  # not there on every system
    return len(usable(0)) if usable is not None else os.cpu_count() or 1


def map_in_order(
    work: Callable[[T], R],
    items: Sequence[T],
    jobs: int | None,
    lost: Callable[[], None] | None = None,
) -> Iterator[R]:
    """`work` of each item in order, in `jobs` processes (default: all processors) if that pays.

    With several processes `work`, items and results travel between them by pickle. An exception
    that `work` raises is raised here, and the workers end. Where the system ends a worker, `lost`
    is told, and what is left is done in this process.
    """
    workers = processors() if jobs is None else jobs
    if workers < 2 or len(items) < PAYS_FROM:
        yield from map(work, items)
        return
    from concurrent.futures import Future, ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    context = get_context("fork" if sys.platform == "linux" else "spawn")
    executor = ProcessPoolExecutor(workers, mp_context=context, initializer=_leave_signals)
    waiting: deque[Future[R]] = deque()
    done = 0
    try:
        for item in items:
            with _signals_held():  # the first one starts the workers
                waiting.append(executor.submit(work, item))
            if len(waiting) > 2 * workers:
                result = waiting.popleft().result()
                done += 1
                yield result
        while waiting:
            result = waiting.popleft().result()
            done += 1
            yield result
    except BrokenProcessPool:
        executor.shutdown(wait=False, cancel_futures=True)
        if lost is not None:
            lost()
        yield from map(work, items[done:])
        return
    except BaseException:  # a worker that was killed may never answer: do not wait for it
        executor.shutdown(wait=False, cancel_futures=True)
        raise
    executor.shutdown()


@contextmanager
def _signals_held() -> Iterator[None]:
    """Signals that end the run wait while workers are started, which must not stop half way.

    Ctrl-C never reaches workers started here: the parent answers it.
    """
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, *_ENDING})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _leave_signals() -> None:
    """In a worker: Ctrl-C is answered by the parent, other signals end it, and so does its end."""
    from multiprocessing import parent_process
    from threading import Thread

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for number in _ENDING:
        signal.signal(number, signal.SIG_DFL)
    if sys.platform != "win32":
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _ENDING)
    if (parent := parent_process()) is not None:
        Thread(target=_end_with, args=[parent], daemon=True).start()


def _end_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)
