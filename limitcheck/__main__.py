"""`python -m limitcheck` and the `limitcheck` command."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line; ends the process with its exit code."""
    if sys.argv[1:] == ["--version"]:  # answered without loading anything
        from . import __version__

        print(f"limitcheck {__version__}")
        return
    from .cli.app import run

    sys.exit(run())


if __name__ == "__main__":
    main()
