"""Coverage-guided fuzzing of one target with atheris, in a process that atheris ends.

`python -m tests.fuzz.guided TARGET SECONDS`; what breaks is kept among the cases.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .targets import Target

OPTIONS = ("-max_len=20000", "-len_control=0", "-timeout=20", "-verbosity=1")


def main() -> None:
    """Fuzz; does not return."""
    import atheris

    with atheris.instrument_imports(include=["limitcheck"]):
        package = import_module("limitcheck")
        for module in walk_packages(package.__path__, "limitcheck."):
            if module.name != "limitcheck.__main__":
                import_module(module.name)
    from .targets import REPOSITORY, TARGETS

    target, seconds = TARGETS[sys.argv[1]], sys.argv[2]
    corpus = Path(tempfile.mkdtemp(prefix="limitcheck-corpus-"))
    for pattern in target.seeds:
        for file in REPOSITORY.glob(pattern):
            (corpus / file.name).write_bytes(file.read_bytes())
    atheris.Setup(
        [
            sys.argv[0],
            str(corpus),
            f"-max_total_time={seconds}",
            f"-artifact_prefix={corpus}/",
            *OPTIONS,
        ],
        _keeping(target) if target.raw else _structured(target),
    )
    atheris.Fuzz()


def _keeping(target: Target) -> Callable[[bytes], None]:
    """The target's invariants; an input that breaks them is kept."""
    from .targets import keep

    def hold(content: bytes) -> None:
        try:
            target.hold(content)
        except Exception:
            print(f"{target.name}: broken; kept as {keep(target, content)}", flush=True)
            raise

    return hold


def _structured(target: Target) -> Callable[[bytes], object]:
    """Bytes choose among what the strategy can make, so that hardly any are wasted."""
    from hypothesis import given, settings

    @settings(database=None)
    @given(target.inputs)
    def test(content: bytes) -> None:
        _keeping(target)(content)

    fuzz_one_input: Callable[[bytes], object] = test.hypothesis.fuzz_one_input  # type: ignore[attr-defined]
    return fuzz_one_input


if __name__ == "__main__":
    main()
