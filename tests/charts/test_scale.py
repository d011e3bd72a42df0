"""The pressure scale of a profile: places, axes, words."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from limitcheck.charts.scale import scale
from limitcheck.physics.predict import predict
from limitcheck.profile.load import load_bytes

from ..render.runs import GOOD, HIGH_PSI

SVG = "{http://www.w3.org/2000/svg}"


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
