"""The report on profiles and its drawings; what the HTML and the PDF say."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from limitcheck.charts.gradient import gradient_curve
from limitcheck.charts.scale import scale
from limitcheck.checking.file import check_file
from limitcheck.cli.app import run as limitcheck
from limitcheck.documents.blocks import Chapter, Document, Section, Text
from limitcheck.documents.profile import Checked, profile_document
from limitcheck.physics.predict import predict
from limitcheck.physics.system import system
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.render.html import render
from limitcheck.render.pdf import render as render_pdf

from ..needs import need_program
from .runs import ACCEPTED, DAY, GOOD, HIGH_PSI, NOT_STORABLE

SVG = "{http://www.w3.org/2000/svg}"
GRADIENT = GOOD.replace(
    "percent_b = 18", "gradient = [{minute = 0, percent_b = 5}, {minute = 12, percent_b = 60}]"
)


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
    elif isinstance(value, tuple):
        for item in value:
            yield from strings(item)
    elif hasattr(value, "kind") and value.kind == "drawing":
        yield value.caption
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            if name != "kind":
                yield from strings(getattr(value, name))


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
    assert re.findall(r"https?://[^\"<\s]+", page) == ["http://www.w3.org/2000/svg"] * 3


def test_text_of_a_profile_is_never_markup():
    wicked = GOOD.replace(
        '"Xanthines in tea leaf, isocratic"', "'<script>alert(1)</script> & \"quoted\"'"
    ).replace('label = "column inlet"', "label = '</text><image href=\"http://x\"/>'")
    page = render(document_of(wicked))
    assert "<script" not in page
    assert "<image" not in page
    assert "alert(1)" in words(page)
    file = load_bytes(wicked.encode(), "tea.toml")
    ElementTree.fromstring(scale(file.profile, None, "psi").svg)


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


@pytest.mark.parametrize("output", ["tea.txt", "tea", "no/folder.html"])
def test_an_output_that_cannot_be_is_refused(output, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(GOOD)
    assert limitcheck(["report", "tea.toml", "-o", output]) == 2
    assert output in capsys.readouterr().err


def test_several_profiles_stand_in_one_report_with_a_table_of_results():
    document = document_of(GOOD, HIGH_PSI)
    assert [len(c.sections) for c in document.chapters] == [7, 7]
    table = document.summary[0]
    assert [row[-1] for row in table.rows] == ["No findings.", "Findings: 3 errors, 2 warnings."]


# --- the pressure scale ---


def shapes(drawing):
    root = ElementTree.fromstring(drawing.svg)
    texts = [(t.text, float(t.get("x"))) for t in root.iter(f"{SVG}text")]
    return root, texts


def position(root, texts, number):
    """The place of an amount on the scale, from the ticks of its upper axis."""
    zero = next(x for text, x in texts if text == "0")
    hundred = next(x for text, x in texts if text == "100")
    return zero + number / 100 * (hundred - zero)


def test_the_scale_places_band_cutoffs_and_ratings_in_flow_order():
    profile = load_bytes(GOOD.encode(), "tea.toml").profile
    drawing = scale(profile, predict(profile), "psi")
    root, texts = shapes(drawing)
    labels = [text for text, _ in texts]
    rated = [text for text in labels if ": rated " in text]
    assert [text.partition(":")[0] for text in rated] == [
        "pump",
        "tubing (pump to injector)",
        "injector",
        "fitting (column inlet)",
        "column",
        "detector cell",
    ]
    assert any(text.startswith("predicted ") for text in labels)
    (band, *_) = root.iter(f"{SVG}rect")
    left = float(band.get("x"))
    assert left == pytest.approx(position(root, texts, 60), abs=0.2)
    assert left + float(band.get("width")) == pytest.approx(position(root, texts, 85), abs=0.2)
    paths = [p.get("d") for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "2"]
    starts = sorted(float(path[1:].split()[0]) for path in paths)
    assert starts == pytest.approx([position(root, texts, n) for n in (30, 110)], abs=0.2)


def test_the_axes_of_the_scale_agree():
    """6000 psi and 413.6854 bar are one place (exact factor: NIST SP 811)."""
    profile = load_bytes(GOOD.encode(), "tea.toml").profile
    root, texts = shapes(scale(profile, None, "psi"))
    psi = next(x for text, x in texts if text.startswith("6000"))
    assert psi == pytest.approx(position(root, texts, 413.6854), abs=0.2)


def test_what_is_far_off_the_scale_is_said_and_leaves_the_rest_readable():
    profile = load_bytes(HIGH_PSI.replace("1600", "16000").encode(), "tea.toml").profile
    root, texts = shapes(scale(profile, None, "psi"))
    assert any(text == "high cutoff 16000 bar, far off this scale" for text, _ in texts)
    assert position(root, texts, 400) > 250


def test_a_scale_without_pressures_can_be_drawn():
    bare = 'format = 1\n[method]\nid = "a"\n[instrument]\nid = "b"\npressure_unit = "MPa"\n'
    bare += '[[flow_path]]\npart = "pump"\n[[flow_path]]\npart = "column"\n'
    profile = load_bytes(bare.encode(), "tea.toml").profile
    ElementTree.fromstring(scale(profile, None, "psi").svg)
    assert "Not predicted" in words(render(document_of(bare)))


def test_the_gradient_curve_has_its_peak_where_the_prediction_has():
    profile = load_bytes(GRADIENT.encode(), "tea.toml").profile
    drawing = gradient_curve(profile, system(profile))
    root = ElementTree.fromstring(drawing.svg)
    points = [
        tuple(map(float, pair.split(",")))
        for pair in root.find(f"{SVG}polyline").get("points").split()
    ]
    minute = next(float(t.get("x")) for t in root.iter(f"{SVG}text") if t.text == "10")
    zero = min(x for x, _ in points)
    highest = [x for x, y in points if y == min(y for _, y in points)]
    peak = sum(highest) / len(highest)  # flat there, to a tenth of a pixel
    assert (peak - zero) / (minute - zero) * 10 == pytest.approx(
        predict(profile).peak_minute, abs=0.2
    )


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
