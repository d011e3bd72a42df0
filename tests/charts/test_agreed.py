"""The band that was agreed on and the band of a log are told apart by form, without colour."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from limitcheck.charts.agreed import agreed_chart
from limitcheck.charts.baseline import baseline_chart
from limitcheck.charts.svg import Drawing
from tests.history.logs import baseline
from tests.history.test_agreed import PROFILE, STEADY, agreed, judged, later

SVG = "{http://www.w3.org/2000/svg}"
Form = tuple[str | None, str | None]


def forms(svg: str) -> dict[str, set[Form]]:
    """By the first word of its label: dashes and width of each line across the frame."""
    root = ET.fromstring(svg)
    lines = [path for path in root.iter(f"{SVG}path") if "H" in path.get("d", "").split("V")[0]]
    labels = [t.text or "" for t in root.iter(f"{SVG}text") if t.get("font-size") == "12"]
    assert len(lines) == len(labels)
    found: dict[str, set[Form]] = {}
    for line, label in zip(lines, labels, strict=True):
        form = (line.get("stroke-dasharray"), line.get("stroke-width"))
        found.setdefault(label.split()[0], set()).add(form)
    return found


def charts() -> tuple[Drawing, Drawing]:
    """The chart of a log, and that of later readings against what was agreed from it."""
    found = baseline(STEADY, of=PROFILE)
    result, _ = judged(later(20, creep=0.5), agreed())
    return baseline_chart(found.phases[0], found), agreed_chart(result.phases[0], result, PROFILE)


def test_each_line_has_a_form_and_a_label_of_its_own() -> None:
    own, later_ = charts()
    for one, other in ((own.svg, later_.svg), (own.narrow, later_.narrow)):
        here, there = forms(one), forms(other)
        assert "band" in here.keys() - there.keys()
        assert "agreed" in there.keys() - here.keys()
        assert not there["agreed"] & set().union(*here.values())
        for found in (here, there):
            every = [form for found_forms in found.values() for form in found_forms]
            assert len(every) == len(set(every)) == len(found), found


def test_the_words_say_which_band_it_is() -> None:
    own, later_ = charts()
    assert "band of this log" in own.caption
    assert "the agreed band (long thick dashes)" in later_.caption


def test_the_sketch_has_a_sign_of_its_own_for_what_was_agreed() -> None:
    own, later_ = charts()
    assert "= agreed band" in later_.sketch[-1]
    assert sum("==" in line for line in later_.sketch) == 2
    assert not any("=" in line for line in own.sketch)
