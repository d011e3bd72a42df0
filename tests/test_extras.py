"""Every message of something not installed names an extra that installs it."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import limitcheck
from limitcheck.cli.app import run

ROOT = Path(__file__).parents[1]
SOURCES = Path(limitcheck.__file__).parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
ABSENT = {"ImportError", "ModuleNotFoundError"}
BROUGHT = {"markupsafe": "jinja2", "pydantic_core": "pydantic"}
"""Modules of what another requirement brings along."""


def names(requirements: list[str]) -> set[str]:
    """The modules of requirements."""
    found = (re.match(r"[A-Za-z0-9-]+", text) for text in requirements)
    return {match[0].lower().replace("-", "_") for match in found if match}


CORE = names(PROJECT["dependencies"])
EXTRAS = {name: names(wanted) for name, wanted in PROJECT["optional-dependencies"].items()}


def imported(node: ast.AST) -> Iterator[str]:
    """The libraries imported in a piece of code, neither Python's own nor the core's."""
    for item in ast.walk(node):
        modules: list[str] = []
        if isinstance(item, ast.Import):
            modules = [alias.name for alias in item.names]
        elif isinstance(item, ast.ImportFrom) and not item.level:
            modules = [item.module or ""]
        for module in (name.partition(".")[0] for name in modules):
            name = BROUGHT.get(module, module)
            if name not in sys.stdlib_module_names and name not in CORE | {"limitcheck"}:
                yield name


def refusals() -> Iterator[tuple[str, ast.Try, ast.ExceptHandler, str]]:
    """Every place that says what to install: its file, and the extra it names."""
    for path in sorted(SOURCES.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Try):
                continue
            for handler in node.handlers:
                if isinstance(handler.type, ast.Name) and handler.type.id in ABSENT:
                    said = ast.unparse(handler)
                    extra = re.search(r"MissingExtra\([^)]*'(\w+)'\)|limitcheck\[(\w+)\]", said)
                    named = extra.group(extra.lastindex or 0) if extra else ""
                    yield path.relative_to(SOURCES).as_posix(), node, handler, named


def test_each_names_an_extra_that_has_what_is_missing() -> None:
    found = list(refusals())
    assert {file for file, *_ in found} >= {
        "cli/page.py",
        "qualify/profiles.py",
        "render/html.py",
        "render/pdf.py",
        "render/png.py",
        "tables/spreadsheet.py",
    }
    for file, tried, _, extra in found:
        assert extra in EXTRAS, f"{file} names no extra of pyproject.toml: {extra!r}"
        body = ast.Module(tried.body, [])
        needed = set(imported(body))
        if not needed:  # what it calls in its own file imports it
            needed = set(imported(ast.parse((SOURCES / file).read_text("utf-8"))))
        if file == "cli/page.py":
            pages = (SOURCES / "page").glob("*.py")
            needed |= {name for page in pages for name in imported(ast.parse(page.read_text()))}
        assert needed, file
        assert needed <= EXTRAS[extra], f"{file}: {extra} lacks {needed - EXTRAS[extra]}"


def test_every_advice_in_the_sources_and_documents_names_an_extra_that_exists() -> None:
    texts = [*SOURCES.rglob("*.py"), ROOT / "README.md", *ROOT.glob("docs/**/*.md")]
    found = [
        (path.name, name)
        for path in texts
        for names in re.findall(r"limitcheck\[([\w,]+)\]", path.read_text("utf-8"))
        for name in names.split(",")
    ]
    assert len(found) > 3
    assert [(file, name) for file, name in found if name not in EXTRAS] == []


@pytest.mark.parametrize(
    ("output", "library", "made", "extra"),
    [
        ("a.html", "jinja2", "a report", "report"),
        ("a.pdf", "typst", "a PDF", "pdf"),
        ("a.png", "typst", "a PNG", "pdf"),
    ],
)
def test_what_is_asked_for_is_named_with_its_extra(
    output: str,
    library: str,
    made: str,
    extra: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    from limitcheck.render import html

    monkeypatch.setitem(sys.modules, library, None)
    html._template.cache_clear()
    moved = (
        str(ROOT / f"examples/transfer/{name}.toml") for name in ("kestrel-bay", "harrow-mill-11")
    )
    flag = "--picture" if output.endswith("png") else "--output"
    assert run(["transfer", *moved, flag, str(tmp_path / output)]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert f"{made} needs more than the core" in told
    assert f"pip install 'limitcheck[{extra}]'" in told
    assert not (tmp_path / output).exists()
