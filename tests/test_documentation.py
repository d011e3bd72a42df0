"""What the documentation shows is what the tool prints: every ```console block is run."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.profile.load import load

from .documentation import DOCUMENTS, ROOT, fits, real_runs, refreshed, runs

FAULTY = sorted(ROOT.glob("examples/cutoffs/*.toml"))


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_run_prints_what_is_shown(document: Path) -> None:
    """To renew the outputs: python -m tests.refresh_documentation"""
    for shown, printed in real_runs(document.read_text("utf-8")):
        assert fits(shown.output, printed), f"{shown.command} now prints:\n{printed}"


def test_every_example_of_a_cutoff_is_shown() -> None:
    commands = " ".join(
        run.command for run in runs(ROOT.joinpath("examples/README.md").read_text())
    )
    assert len(FAULTY) > 6
    for path in FAULTY:
        assert load(path).profile.method.site == "Harrow Mill"
        assert str(path.relative_to(ROOT)) in commands


TEXT = """
```console
$ limitcheck convert '400 bar' --to psi
...
$ limitcheck explain no-such-check
```

```sh
$ limitcheck is not run here
```
"""


def test_outputs_are_put_in_place() -> None:
    new = refreshed(TEXT)
    assert new.startswith("\n```console\n$ limitcheck convert '400 bar' --to psi\n...\n$ limit")
    assert 'there is no check "no-such-check"' in new
    assert refreshed(new) == new


def test_dots_stand_for_whole_lines() -> None:
    assert fits("a\n...\nd\n", "a\nb\nc\nd\n")
    assert fits("...\n", "")
    assert not fits("a\n...\nd\n", "a\nb\n")
    assert not fits("a\n", "a\nb\n")
    assert not fits("", "a\n")
