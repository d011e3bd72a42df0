"""One number on its way from a file to every output: what is converted, predicted and inferred.

python -m tests.performance.trace PROFILE

Counts the calls of a whole `limitcheck check` with all its outputs, by the function that asked,
and how many of them are about the high cutoff.
"""

from __future__ import annotations

import contextlib
import io
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType

import limitcheck
from limitcheck.cli.app import run
from limitcheck.profile.load import load

OUTPUTS = ("json", "sarif", "junit")
PACKAGE = Path(limitcheck.__file__).parent
READ, CONVERTED = "numbers read from text", "exact amounts converted to a unit"
COUNTED = {
    ("units/numbers.py", "ratio"): READ,
    ("units/quantities.py", "Quantity.to"): CONVERTED,
    ("physics/predict.py", "predict_system"): "predictions",
    ("meant/relations.py", "read"): "readings of the evidence",
}
_HELPERS = ("units/", "profile/fields.py")
Asked = Counter[tuple[str, str, bool]]
"""Calls by kind, the function that asked, and whether they are about the high cutoff."""


def trace(path: str) -> Asked:
    """The calls of one check of a profile, with every output."""
    high = load(path).profile.cutoffs.high
    asked: Asked = Counter()

    def count(frame: FrameType, event: str, argument: object) -> None:
        kind = COUNTED.get(_function(frame)) if event == "call" else None
        if kind is not None:
            values = frame.f_locals
            number = getattr(values.get("self"), "number", values.get("number"))
            asked[kind, _asker(frame), high is not None and str(number) == high.number] += 1

    with TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
        written = [f"--output={name}={folder}/{name}" for name in OUTPUTS]
        run(["check", path, *written])  # warm: constants that are made when modules load
        sys.setprofile(count)
        try:
            run(["check", path, *written])
        finally:
            sys.setprofile(None)
    return asked


def _function(frame: FrameType) -> tuple[str, str]:
    """File below the package, and qualified name."""
    file = Path(frame.f_code.co_filename)
    if not file.is_relative_to(PACKAGE):
        return "", ""
    return file.relative_to(PACKAGE).as_posix(), frame.f_code.co_qualname


def _asker(frame: FrameType | None) -> str:
    """The nearest function of ours that is no helper of numbers and fields."""
    while frame is not None:
        file, name = _function(frame)
        if file and not file.startswith(_HELPERS):
            return f"{file} {name}"
        frame = frame.f_back
    return "?"


def main(path: str) -> None:
    """Print the counts for one profile."""
    asked = trace(path)
    print(f"{path}: check, printed as text and written as {', '.join(OUTPUTS)}")
    print(f"{'all':>6} {'high':>6}")
    for kind in COUNTED.values():
        of_kind = {key: times for key, times in asked.items() if key[0] == kind}
        high = sum(times for (_, _, is_high), times in of_kind.items() if is_high)
        print(f"{sum(of_kind.values()):6} {high:6}  {kind}")
        if kind in (READ, CONVERTED):
            for asker in sorted({asker for _, asker, _ in of_kind}):
                high = asked[kind, asker, True]
                print(f"{high + asked[kind, asker, False]:6} {high:6}    {asker}")


if __name__ == "__main__":
    main(sys.argv[1])
