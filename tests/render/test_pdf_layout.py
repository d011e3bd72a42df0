"""What stands on a page of a PDF: words in their order, none over another, none off the paper."""

from __future__ import annotations

import re
import subprocess
from datetime import date
from pathlib import Path

import pytest

from limitcheck.documents.blocks import Block, Chapter, Document, Facts, Section, Table
from limitcheck.documents.settings import settings_in_words
from limitcheck.policy import DEFAULT_POLICY, settings
from limitcheck.render.pdf import PAPERS, render

from ..needs import need_program

LONG = "transfer/harrow-mill-copied-from-kestrel-bay.toml"
HASH = "2e13212ebfd5eabbe3958e10305061d61eb698b158f2ce9970cd31086877aa01"
WORD = re.compile(
    r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>'
)
SIDE = 16 / 25.4 * 72
"""The margin at each side [points]: 16 mm."""
Word = tuple[float, float, float, float, str]


def words_of(tmp_path: Path, paper: str, *blocks: Block) -> tuple[list[Word], float]:
    """The words of a document of these blocks with their boxes, and the width of its page."""
    chapter = Chapter("Record", (Section("All", blocks),))
    made = render(Document("Made", (), (chapter,), (), date(2026, 11, 25).isoformat()), paper)
    (tmp_path / "made.pdf").write_bytes(made)
    command = [need_program("pdftotext"), "-bbox", str(tmp_path / "made.pdf"), "-"]
    told = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    page = re.search(r'<page width="([\d.]+)"', told)
    assert page is not None
    found = [(*map(float, item[:4]), item[4]) for item in WORD.findall(told)]
    return found, float(page[1])  # type: ignore[return-value]


SETTINGS = settings_in_words("Settings used", settings(DEFAULT_POLICY, None))
OF_FIGURES = Table(
    "Figures, and a text among them",
    ("What it is", "How much", "From"),
    (("A name of four words", "25 %", "default"), ("Another", "many words " * 12, "default")),
    (1,),
)
NAMED = Facts((("Profile", LONG), ("SHA-256", HASH), ("Unit", "bar"), ("Checks", "none")))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("block", [SETTINGS, OF_FIGURES, NAMED], ids=lambda block: block.kind)
def test_no_word_is_over_another_or_off_the_paper(block: Block, paper: str, tmp_path: Path) -> None:
    words, width = words_of(tmp_path, paper, block)
    assert len(words) > 15
    for left, top, right, bottom, text in words:
        assert left >= SIDE - 1, text
        assert right <= width - SIDE + 1, text
        for other in words:
            across = min(right, other[2]) - max(left, other[0])
            down = min(bottom, other[3]) - max(top, other[1])
            if other[:4] != (left, top, right, bottom):
                assert across < 1 or down < 3, (text, other[4])


@pytest.mark.parametrize("paper", PAPERS)
def test_a_name_beside_a_long_text_keeps_to_one_line(paper: str, tmp_path: Path) -> None:
    words, _ = words_of(tmp_path, paper, OF_FIGURES)
    lines = {round(top) for _, top, _, _, text in words if text in ("name", "four")}
    assert len(lines) == 1


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_name_begins_below_its_label_and_reads_on(paper: str, tmp_path: Path) -> None:
    words, _ = words_of(tmp_path, paper, NAMED)
    told = "".join(text for *_, text in words)
    assert LONG in told
    top = {text: top for _, top, _, _, text in words}
    assert next(top[text] for text in top if text.startswith("transfer/")) > top["Profile"] + 5
