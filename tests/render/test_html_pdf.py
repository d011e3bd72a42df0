"""A document as HTML and as PDF: the same words, no network, archival."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import date
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from limitcheck.charts.scale import scale
from limitcheck.checking.file import check_file
from limitcheck.cli.app import run as limitcheck
from limitcheck.documents.blocks import Chapter, Document, Section, Text
from limitcheck.documents.profile import Checked, profile_document
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.render.html import render
from limitcheck.render.pdf import render as render_pdf

from ..needs import need_program
from .runs import ACCEPTED, DAY, GOOD, GRADIENT, HIGH_PSI, NOT_STORABLE


def checked(text, name="tea.toml"):
    file = load_bytes(text.encode(), name)
    return Checked(file, check_file(file, DEFAULT_POLICY, DAY), DEFAULT_POLICY)


def document_of(*texts):
    return profile_document([checked(text) for text in texts], DAY)


class Words(HTMLParser):
    """The words of a page as a reader sees them."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []
        self.quiet = False

    def handle_starttag(self, tag, attrs):
        self.quiet = tag in ("style", "title")

    def handle_endtag(self, tag):
        self.quiet = False

    def handle_data(self, data):
        if not self.quiet:
            self.told.append(data)


def words(page):
    parser = Words()
    parser.feed(page)
    return " ".join(" ".join(parser.told).split())


def strings(value):
    """Every text of a document, drawings apart."""
    if isinstance(value, str):
        yield value
    elif hasattr(value, "kind") and value.kind == "drawing":
        yield value.caption
    elif hasattr(value, "_fields"):
        for name in value._fields:
            if name != "kind":
                yield from strings(getattr(value, name))
    elif isinstance(value, tuple):
        for item in value:
            yield from strings(item)


def test_the_page_holds_what_a_reviewer_needs():
    page = words(render(document_of(HIGH_PSI)))
    item = checked(HIGH_PSI)
    for needed in (
        item.file.sha256,
        "tea.toml",
        "KB-TEA-014 on KB-LC-03",
        "23206.038",
        "160",  # 1600 bar
        "unit-confusion",
        "heater off",
        "Reviewed by",
        "Signature",
        "2026-11-25",
        "Never raise a cutoff above a rating",
        "High cutoff above the expected maximum",
    ):
        assert needed in page, needed


def test_the_page_needs_no_network_and_no_script():
    page = render(document_of(HIGH_PSI, GRADIENT))
    assert "<script" not in page
    assert " src=" not in page
    assert all(target.startswith("#") for target in re.findall(r'href="([^"]*)', page))
    assert "@import" not in page
    assert re.findall(r"https?://[^\"<\s]+", page) == ["http://www.w3.org/2000/svg"] * 6


def test_text_of_a_profile_is_never_markup():
    wicked = GOOD.replace(
        '"Xanthines in tea leaf, isocratic"', "'<script>alert(1)</script> & \"quoted\"'"
    ).replace('label = "column inlet"', "label = '</text><image href=\"http://x\"/>'")
    page = render(document_of(wicked))
    assert "<script" not in page
    assert "<image" not in page
    assert "alert(1)" in words(page)
    file = load_bytes(wicked.encode(), "tea.toml")
    ElementTree.fromstring(scale(file.profile, None, "psi", doubt="").svg)


def test_html_and_pdf_say_the_same(tmp_path):
    """Each text of the model is in both."""
    document = document_of(HIGH_PSI, ACCEPTED)
    (tmp_path / "a.pdf").write_bytes(render_pdf(document))
    told = subprocess.run(
        [need_program("pdftotext"), "-raw", str(tmp_path / "a.pdf"), "-"],
        capture_output=True,
        check=True,
    )
    pdf, page = (re.sub(r"\s", "", t) for t in (told.stdout.decode(), words(render(document))))
    texts = [re.sub(r"\s", "", text) for text in strings(document)]
    assert len(texts) > 200
    # A page break puts the footer inside a text, and a wide drawing line may part one: few.
    assert [text for text in texts if text not in page] == []
    assert len([text for text in texts if text not in pdf]) <= 3


def test_the_pdf_is_archival(tmp_path):
    """PDF/A-2b (ISO 19005-2) says so in its XMP metadata; typst refuses what does not conform."""
    content = render_pdf(document_of(GOOD))
    assert content.startswith(b"%PDF-1.7")
    assert re.search(rb"<pdfaid:part>2</pdfaid:part>", content)
    assert re.search(rb"<pdfaid:conformance>B</pdfaid:conformance>", content)
    (tmp_path / "a.pdf").write_bytes(content)
    info = subprocess.run(
        [need_program("pdfinfo"), str(tmp_path / "a.pdf")],
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    assert "Pressure limits: KB-TEA-014 on KB-LC-03" in info
    assert "A4" in info


def test_the_same_input_gives_the_same_bytes():
    document = document_of(GOOD)
    assert render(document) == render(document_of(GOOD))
    assert render_pdf(document) == render_pdf(document_of(GOOD))


@pytest.mark.parametrize("library", ["jinja2", "typst"])
def test_a_missing_library_is_named_with_what_to_install(library, tmp_path, monkeypatch, capsys):
    from limitcheck.render.html import _template

    _template.cache_clear()
    monkeypatch.setitem(sys.modules, library, None)
    (tmp_path / "tea.toml").write_text(GOOD)
    kind, extra = ("html", "report") if library == "jinja2" else ("pdf", "pdf")
    output = tmp_path / f"tea.{kind}"
    assert limitcheck(["report", str(tmp_path / "tea.toml"), "-o", str(output)]) == 2
    assert f"pip install 'limitcheck[{extra}]'" in capsys.readouterr().err
    assert not output.exists()


def test_a_script_without_font_is_refused_in_words(tmp_path, capsys):
    text = GOOD.replace("Xanthines in tea leaf", "\U00013000")  # an Egyptian hieroglyph
    (tmp_path / "tea.toml").write_text(text)
    output = tmp_path / "tea.pdf"
    assert limitcheck(["report", str(tmp_path / "tea.toml"), "-o", str(output)]) == 2
    assert "write HTML instead" in capsys.readouterr().err
    assert limitcheck(["report", str(tmp_path / "tea.toml"), "-o", f"{output}.html"]) == 0


def test_a_document_of_hostile_texts_is_drawn():
    text = 'a < b & c "d" #set text(red) $x$ @y *z* \\ ]] é'
    document = Document(
        text,
        (Text(text),),
        (Chapter(text, (Section(text, (Text(text),)),)),),
        (text,),
        date(2026, 11, 25).isoformat(),
    )
    assert words(render(document)).count(text) == 6
    assert render_pdf(document).startswith(b"%PDF")


def test_an_unstorable_cutoff_is_shown_as_typed():
    assert "110.5 bar" in words(render(document_of(NOT_STORABLE)))
