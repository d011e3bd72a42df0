"""What the documentation shows is what the tool prints: every ```console block is run."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from limitcheck.profile.load import load

from .documentation import DOCUMENTS, ROOT, fits, real_runs, refreshed, runs
from .pictures import pictures

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


def test_the_readme_is_short_and_has_its_two_commands() -> None:
    text = ROOT.joinpath("README.md").read_text("utf-8")
    assert len(text.split()) < 900
    commands = [line for line in text.splitlines() if line.startswith("python3 -m venv")]
    assert len(commands) == 2
    assert commands[0].endswith("limitcheck check profiles examples")
    assert commands[1].endswith("python -m pytest")


def test_the_readme_names_the_page_and_what_each_extra_is_for() -> None:
    """Attack on issue 18, 25 and 27: the way of work without a terminal was not in it."""
    text = ROOT.joinpath("README.md").read_text("utf-8")
    extras = set(
        tomllib.loads(ROOT.joinpath("pyproject.toml").read_text())["project"][
            "optional-dependencies"
        ]
    )
    for extra in extras - {"docs", "test", "reference", "fuzz", "mutation", "lint"}:
        assert f"`{extra}` " in text
    line = next(line for line in text.splitlines() if "limitcheck page profiles" in line)
    assert line.startswith(".venv/bin/pip install -q '.[page,report]' && .venv/bin/limitcheck page")
    assert "docs/commands/page.md" in text


def test_pictures_are_what_the_commands_draw() -> None:
    """To renew them: python -m tests.refresh_documentation"""
    for path, drawn in pictures().items():
        assert path.read_text("utf-8") == drawn, path.name
        assert "https:" not in drawn
        assert any(path.name in document.read_text("utf-8") for document in DOCUMENTS)


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
