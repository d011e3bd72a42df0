"""The yardstick of scale: read, parse and validate every profile below a folder, one process."""

from __future__ import annotations

import sys
from pathlib import Path

from limitcheck.profile.load import load
from limitcheck.profile.text import NotAProfile

if __name__ == "__main__":
    for path in sorted(Path(sys.argv[1]).rglob("*.toml")):
        try:
            load(path, only_profiles=True)
        except NotAProfile:
            continue
