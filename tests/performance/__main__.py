"""Every budget of speed in one run: python -m tests.performance [FILES]"""

from __future__ import annotations

import sys

from . import hostile, scale, start

kept = [
    start.measure(),
    hostile.measure(),
    scale.measure(int(sys.argv[1]) if sys.argv[1:] else 10_000),
]
sys.exit(0 if all(kept) else 1)
