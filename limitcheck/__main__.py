"""`python -m limitcheck` and the `limitcheck` command."""

from __future__ import annotations

import gc
import sys


def main() -> None:
    """Run the command line; ends the process with its exit code."""
    if sys.argv[1:] == ["--version"]:  # answered without loading anything
        from .version import __version__

        print(f"limitcheck {__version__}")
        return
    _end_when_told()
    gc.set_threshold(100_000, 20, 20)  # loading makes many objects and next to no garbage
    from .cli.app import run

    code = run()
    gc.freeze()  # nor is there anything to look for at the end
    sys.exit(code)


def _end_when_told() -> None:
    """Let SIGTERM and a closed terminal end worker processes and remove unfinished files first.

    The exit code is then 128 + the signal, as shells and service managers know it.
    """
    import signal

    def end(number: int, _: object) -> None:
        signal.signal(number, signal.SIG_IGN)
        sys.exit(128 + number)

    for name in ("SIGTERM", "SIGHUP"):  # the second is not there on every system
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, end)


if __name__ == "__main__":
    main()
