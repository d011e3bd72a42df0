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
    gc.set_threshold(100_000, 20, 20)  # loading makes many objects and next to no garbage
    from .cli.app import run

    code = run()
    gc.freeze()  # nor is there anything to look for at the end
    sys.exit(code)


if __name__ == "__main__":
    main()
