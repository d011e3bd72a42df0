"""`python -m limitcheck` and the `limitcheck` command."""

from __future__ import annotations

import gc
import os
import sys

from .cli.streams import CannotPrint, emit, open_missing, say, settle

COLLECT = 100_000, 20, 20
"""When Python looks for garbage: loading makes many objects and next to none of it."""


class Told(BaseException):
    """A signal told the process to end; `code` is the exit code."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


def main() -> None:
    """Run the command line; ends the process with its exit code."""
    open_missing()
    try:
        code = _run()
    except CannotPrint as error:
        say(f"{error.message}\n  Do: {error.advice}")
        code = 2
    except Told as told:  # at once: worker processes end when this one does
        os._exit(told.code)
    except KeyboardInterrupt:  # before the command line was there to answer it
        say("stopped")
        code = 130
    gc.freeze()  # nothing is to be looked for at the end
    sys.exit(settle(code))


def _run() -> int:
    if sys.argv[1:] == ["--version"]:  # answered without loading anything
        from .version import __version__

        emit(f"limitcheck {__version__}\n")
        return 0
    _end_when_told()
    gc.set_threshold(*COLLECT)
    from .cli.app import run

    return run()


def _end_when_told() -> None:
    """Let SIGTERM and a closed terminal remove unfinished files and end worker processes.

    The exit code is then 128 + the signal, as shells and service managers know it. A second
    signal ends the process whatever it does.
    """
    import signal

    def end(number: int, _: object) -> None:
        signal.signal(number, signal.SIG_DFL)
        raise Told(128 + number)

    for name in ("SIGTERM", "SIGHUP"):  # the second is not there on every system
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, end)


if __name__ == "__main__":
    main()
