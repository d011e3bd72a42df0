"""The pressure scale of a profile: places, axes, words, in both widths."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from limitcheck.charts.palette import INKS
from limitcheck.charts.scale import NARROW, WIDE, profile_scale, scale
from limitcheck.charts.svg import Axis, Drawing
from limitcheck.physics.predict import predict
from limitcheck.profile.load import load_bytes
from limitcheck.render.scale_text import scale_lines
from limitcheck.units import Pressure

from ..render.runs import GOOD, HIGH_PSI

SVG = "{http://www.w3.org/2000/svg}"


class Seen:
    """An image, read back from its shapes and words."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        self.words = [(t.text or "", float(t.get("x", 0))) for t in self.root.iter(f"{SVG}text")]

    @property
    def text(self) -> str:
        return " ".join(text for text, _ in self.words)

    def place(self, number: float) -> float:
        """Where an amount is, from the ticks of the upper axis."""
        zero = next(x for text, x in self.words if text == "0")
        hundred = next(x for text, x in self.words if text == "100")
        return zero + number / 100 * (hundred - zero)

    def shapes(self, meaning: str) -> list[ElementTree.Element]:
        """The groups of shapes of one meaning, in drawing order."""
        return self.root.findall(f"{SVG}g[@class='ink-{meaning}']")


def drawn(text: str, **options: object) -> Drawing:
    profile = load_bytes(text.encode(), "tea.toml").profile
    return scale(profile, options.pop("prediction", None), "psi", **{"doubt": "", **options})


def stops(group: ElementTree.Element) -> list[float]:
    """Where the stops of a range stand."""
    paths = [p.get("d", "") for p in group.iter(f"{SVG}path") if p.get("stroke-width") == "3"]
    return [float(re.match(r"M([\d.]+)", path)[1]) for path in paths]


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_the_scale_places_cutoffs_bands_and_ratings_in_flow_order(width):
    profile = load_bytes(GOOD.encode(), "tea.toml").profile
    found = predict(profile)
    drawing = scale(profile, found, "psi", doubt="")
    seen = Seen(drawing.svg if width == "wide" else drawing.narrow)
    assert seen.root.get("viewBox").split()[2] == str(WIDE if width == "wide" else NARROW)
    names = ["pump", "tubing (pump to injector)", "injector", "fitting (column inlet)", "column"]
    places = [seen.text.index(f"{name}: rated ") for name in [*names, "detector cell"]]
    assert places == sorted(places)
    (band,) = seen.shapes("normal")
    (box,) = band.iter(f"{SVG}rect")
    left = float(box.get("x"))
    assert left == pytest.approx(seen.place(60), abs=0.2)
    assert left + float(box.get("width")) == pytest.approx(seen.place(85), abs=0.2)
    (cutoffs,) = seen.shapes("permitted")
    assert stops(cutoffs) == pytest.approx([seen.place(30), seen.place(110)], abs=0.2)
    (predicted,) = seen.shapes("predicted")
    (box,) = predicted.iter(f"{SVG}rect")
    assert float(box.get("x")) == pytest.approx(seen.place(found.low / 1e5), abs=0.2)


def test_the_axes_of_the_scale_agree():
    """6000 psi and 413.6854 bar are one place (exact factor: NIST SP 811)."""
    seen = Seen(drawn(GOOD).svg)
    psi = next(x for text, x in seen.words if text.startswith("6000"))
    assert psi == pytest.approx(seen.place(413.6854), abs=0.2)


def test_what_is_far_off_the_scale_is_said_and_leaves_the_rest_readable():
    seen = Seen(drawn(HIGH_PSI.replace("1600", "16000")).svg)
    assert "high cutoff 16000 bar (over the weakest rating), far off this scale" in seen.text
    assert seen.place(400) > WIDE / 2
    (cutoffs,) = seen.shapes("permitted")
    assert stops(cutoffs) == pytest.approx([seen.place(30)], abs=0.2)


def test_the_weakest_rating_is_named_and_what_is_over_it_is_crossed():
    calm, over = drawn(GOOD), drawn(GOOD.replace("high = 110", "high = 400"))
    for drawing in (calm, over):
        assert drawing.description.count("the weakest up to the column") == 1
        assert "fitting (column inlet): rated 345 bar, the weakest" in drawing.description
        assert "detector cell: rated 120 bar, behind the column" in drawing.description
    assert "over the weakest" not in calm.description
    assert "high cutoff 400 bar (over the weakest rating)" in over.description
    # the cutoff, and the cell behind the column, which holds less than it
    assert len(Seen(over.svg).shapes("over")) == len(Seen(calm.svg).shapes("over")) + 2
    crosses = Seen(over.svg).shapes("over")[1].find(f"{SVG}path").get("d")
    starts = [float(x) for x in re.findall(r"M([\d.]+)", crosses)]
    assert min(starts) == pytest.approx(Seen(over.svg).place(345), abs=0.2)
    assert max(starts) < Seen(over.svg).place(400)


def crossed(drawing: Drawing) -> list[tuple[float, float]]:
    """From where to where the picture is crossed, without the zone and the rating itself."""
    found = []
    for group in Seen(drawing.svg).shapes("over"):
        path = group.find(f"{SVG}path").get("d")
        places = [float(x) for x in re.findall(r"M([\d.]+) [\d.]+l7", path)]
        found += [(min(places), max(places))] if places else []
    return found


def test_a_part_without_a_rating_is_named():
    """Attack on issue 18, 2: "the weakest up to the column", where the column has no rating."""
    text = GOOD.replace(
        'part = "column"', 'part = "fitting"\nlabel = "bare"\n\n[[flow_path]]\npart = "column"'
    )
    drawing = drawn(text)
    assert "No rating given, so not compared: fitting (bare)" in drawing.description
    assert "rated 345 bar, the weakest given up to the column" in drawing.description
    assert "No rating given" in Seen(drawing.svg).text
    assert "No rating given" in Seen(drawing.narrow).text
    assert any("? no rating given: fitting (bare)" in line for line in scale_lines(drawing.marks))
    assert "No rating given" not in drawn(GOOD).description
    assert not any("no rating given" in line for line in scale_lines(drawn(GOOD).marks))


@pytest.mark.parametrize("high", ["high = 0", ""])
def test_without_a_high_cutoff_all_over_the_weakest_rating_is_crossed(high):
    """Attack on issue 18, 16: the range ran through the zone over the rating without a mark."""
    drawing = drawn(GOOD.replace("high = 110", high))
    assert "no high cutoff (nothing stops it at the weakest rating)" in drawing.description
    assert "behind the column (no high cutoff keeps the pressure under this)" in drawing.description
    starts = [start for start, _ in crossed(drawing)]
    seen = Seen(drawing.svg)
    assert starts == pytest.approx([seen.place(345), seen.place(120)], abs=0.2)
    band = drawn(GOOD.replace("high = 110", high).replace("high = 85", "high = 370"))
    assert "(over the weakest rating)" in band.description
    assert len(crossed(band)) == 3


def test_a_part_behind_the_column_that_holds_less_than_the_cutoff_is_crossed():
    """Attack on issue 18, 16: a cell of 35 bar under a high cutoff of 110 was not marked."""
    drawing = drawn(GOOD.replace('rating = "120 bar"', 'rating = "35 bar"'))
    told = "behind the column (less than the high cutoff, which is on it if its outlet blocks)"
    assert told in drawing.description
    ((start, end),) = crossed(drawing)
    seen = Seen(drawing.svg)
    assert start == pytest.approx(seen.place(35), abs=0.2)
    assert seen.place(100) < end < seen.place(110)
    assert crossed(drawn(GOOD)) == []
    then = drawn(
        GOOD.replace("high = 110", "high = 100"), typed={"high": Pressure.parse("130 bar")}
    )
    assert "(less than the high cutoff to type, which" in then.description


def test_what_is_recommended_is_drawn_beside_what_is_typed():
    drawing = drawn(HIGH_PSI, typed={"high": Pressure.parse("110 bar")})
    seen = Seen(drawing.svg)
    assert "The pump runs: low cutoff 30 bar, high cutoff 1600 bar" in drawing.description
    told = "With the cutoffs to type it runs: low cutoff 30 bar, high cutoff 110 bar"
    assert told in drawing.description
    now, then = seen.shapes("permitted")
    assert stops(then) == pytest.approx([seen.place(30), seen.place(110)], abs=0.2)
    assert "stroke-dasharray" not in ElementTree.tostring(now, "unicode")
    assert "stroke-dasharray" in ElementTree.tostring(then, "unicode")
    same = drawn(GOOD, typed={"high": Pressure.parse("110 bar")})
    assert "With the cutoffs to type" not in same.description


def test_a_prediction_without_an_end_is_drawn_without_one():
    """A restrictor without a resistance may take any pressure: no interval is closed above it."""
    with_restrictor = f'{GOOD}\n[[flow_path]]\npart = "restrictor"\nrating = "400 bar"\n'
    closed, drawing = (
        profile_scale(load_bytes(text.encode(), "tea.toml").profile, doubt="")
        for text in (GOOD, with_restrictor)
    )
    assert "bar or more, without what the restrictor adds" in drawing.description
    assert "nothing stops it at the weakest rating" not in drawing.description
    assert crossed(drawing) == []
    for told, arrows in ((closed, 0), (drawing, 1)):
        for picture in (told.svg, told.narrow):
            (predicted,) = Seen(picture).shapes("predicted")
            heads = [e for e in predicted if "l10 6l-10 6z" in e.get("d", "")]
            assert len(heads) == arrows


def test_a_number_exactly_at_its_limit_is_not_over_it():
    at_rating = drawn(GOOD.replace("high = 110", "high = 345").replace('"120 bar"', '"345 bar"'))
    assert "over the weakest rating" not in at_rating.description
    assert "less than the high cutoff" not in at_rating.description
    assert crossed(at_rating) == []
    cell = drawn(GOOD.replace('"120 bar"', '"110 bar"'))
    assert "less than the high cutoff" not in cell.description
    assert crossed(cell) == []
    just_over = drawn(GOOD.replace('"120 bar"', '"109.999 bar"'))
    assert len(crossed(just_over)) == 1


def test_nothing_is_drawn_beyond_the_ends_of_an_axis():
    axis = Axis(0.0, 100.0, 10.0, 90.0)
    assert [axis.at(amount) for amount in (-50, 0, 25, 100, 250)] == [10, 10, 30, 90, 90]


@pytest.mark.parametrize("high", [28, 30])
def test_cutoffs_that_leave_no_room_are_said_to(high):
    told = drawn(GOOD.replace("high = 110", f"high = {high}")).description
    assert f"The pump never runs: low cutoff 30 bar, high cutoff {high} bar" in told
    assert "low cutoff off" in drawn(GOOD.replace("low = 30", "low = 0")).description


@pytest.mark.parametrize("width", ["svg", "narrow"])
def test_no_word_is_wider_than_the_image(width):
    """A bold letter of a wide sans-serif font takes 0.62 of its height, on average (measured)."""
    seen = Seen(getattr(drawn(HIGH_PSI.replace("1600", "16000")), width))
    most = float(seen.root.get("viewBox").split()[2])
    for node in seen.root.iter(f"{SVG}text"):
        if node.get("text-anchor") is None:
            letters = 8.0 if node.get("font-weight") else 7.0
            assert float(node.get("x")) + letters * len(node.text) <= most


def test_every_colour_of_the_scale_is_of_the_palette():
    svg = drawn(HIGH_PSI).svg
    assert set(re.findall(r"#[0-9a-f]{6}", svg)) <= {ink.paper for ink in INKS.values()}


def test_a_scale_without_pressures_can_be_drawn():
    bare = 'format = 1\n[method]\nid = "a"\n[instrument]\nid = "b"\npressure_unit = "MPa"\n'
    bare += '[[flow_path]]\npart = "pump"\n[[flow_path]]\npart = "column"\n'
    drawing = drawn(bare)
    ElementTree.fromstring(drawing.svg)
    assert "no high cutoff" in drawing.description
    assert list(scale_lines(drawing.marks)) == []
