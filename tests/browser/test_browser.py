"""The report pages in headless Chromium: WCAG AA by axe-core, HTML validity, width, network."""

from __future__ import annotations

import subprocess
from pathlib import Path

from limitcheck.cli.app import run as limitcheck
from limitcheck.documents.blocks import Chapter, Document, Section, Table
from limitcheck.render.html import render

from ..needs import need_program
from ..render.runs import ACCEPTED, GRADIENT, HIGH_PSI
from .run import run_script

EXAMPLES = Path(__file__).parents[2] / "examples"
VIEWS = ("phone", "desktop-dark")


def look(tmp_path: Path, *pages: Path) -> dict[str, dict]:
    seen = run_script("look.mjs", str(tmp_path), *map(str, pages))
    assert len(seen) == len(pages)
    return seen


def printed(pdf: Path) -> list[str]:
    """The text of each page of a print."""
    told = subprocess.run(
        [need_program("pdftotext"), "-layout", str(pdf), "-"], capture_output=True, check=True
    )
    return told.stdout.decode().split("\f")


def test_every_page_is_accessible_valid_and_fits(tmp_path):
    for name, text in (("good", GRADIENT), ("bad", HIGH_PSI), ("accepted", ACCEPTED)):
        (tmp_path / f"{name}.toml").write_text(text)
    profiles = [str(tmp_path / f"{name}.toml") for name in ("good", "bad", "accepted")]
    good, transfer = profiles[0], EXAMPLES / "transfer"
    names = ("one", "three", "transfer", "reading", "plan", "entry")
    pages = [tmp_path / f"{name}.html" for name in names]
    commands = (
        ["report", good, "-o", str(pages[0])],
        ["report", *profiles, "-o", str(pages[1])],
        [
            "transfer",
            str(transfer / "kestrel-bay.toml"),
            str(transfer / "harrow-mill-copied.toml"),
            "--output",
            f"html={pages[2]}",
        ],
        ["reading", "140 bar", "--profile", good, "--output", f"html={pages[3]}"],
        ["isolate", good, "--reading", "all=140", "--output", f"html={pages[4]}"],
        ["entry", "900", "--profile", good, "--output", f"html={pages[5]}"],
    )
    for command in commands:
        assert limitcheck(command) in (0, 1)
    seen = look(tmp_path, *pages)
    for page, found in seen.items():
        assert found["validator"] == [], page
        for view in VIEWS:
            assert found["views"][view]["told"] == [], (page, view)
            assert found["views"][view]["passed"] > 10, (page, view)
    for paper in ("A4", "Letter"):
        sheets = printed(tmp_path / f"three.html-{paper}.pdf")
        starts = [sheet.lstrip()[:2] for sheet in sheets]
        assert "2." in starts  # a chapter begins on a new sheet
        assert "3." in starts


def test_a_long_table_repeats_its_heading_on_every_sheet(tmp_path):
    rows = tuple((f"row {n}", "figure") for n in range(150))
    table = Table("Many rows", ("The heading", "Value"), rows)
    section = Section("Section", (table,))
    page = tmp_path / "long.html"
    chapters = (Chapter("Chapter", (section,)),)
    page.write_text(render(Document("Title", (), chapters, (), "2026-11-25")))
    look(tmp_path, page)
    for paper in ("A4", "Letter"):
        sheets = [s for s in printed(tmp_path / f"long.html-{paper}.pdf") if "row " in s]
        assert len(sheets) > 1
        assert all("The heading" in sheet for sheet in sheets)


def test_a_bad_page_is_caught(tmp_path):
    page = tmp_path / "bad.html"
    page.write_text(
        "<!DOCTYPE html><html><head><title>x</title></head><body><p style='color:#aaa;"
        "background:#bbb;width:900px'>hardly legible<img src='http://127.0.0.1:9/x.png'></body>"
    )
    (found,) = look(tmp_path, page).values()
    assert found["validator"]
    told = " ".join(found["views"]["phone"]["told"])
    for fault in (
        "color-contrast",
        "html-has-lang",
        "image-alt",
        "wider than the screen",
        "request: http://127.0.0.1:9/x.png",
    ):
        assert fault in told
