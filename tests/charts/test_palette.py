"""The colours of charts and reports, as colour-blind eyes and dark screens have them."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import combinations

import pytest

from limitcheck.charts.palette import INKS

from ..reference.colour import MACHADO, contrast, distance, linear, rgb, seen

CSS = files("limitcheck.render").joinpath("templates/report.css").read_text("utf-8")
LIGHT, DARK, *_ = (
    dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6});", block))
    for block in re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
)
APART = 15.0
"""Least distance of two colours; about 2.3 is just noticed, 15 is seen at a glance."""


def test_the_matrices_leave_grey_as_it_is() -> None:
    for rows in MACHADO.values():
        for row in rows:
            assert sum(row) == pytest.approx(1.0, abs=2e-6)


def test_the_published_contrasts_are_met() -> None:
    """WCAG 2.2, 1.4.3, note and G18: black on white is 21; #777 on white is 4.48."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast(rgb("#777777"), (255, 255, 255)) == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("screen", ["paper", "dark"])
@pytest.mark.parametrize("meaning", INKS)
def test_every_shape_stands_out_from_its_ground(meaning, screen) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for shapes."""
    ground = LIGHT["paper"] if screen == "paper" else DARK["paper"]
    assert contrast(rgb(getattr(INKS[meaning], screen)), rgb(ground)) >= 3.0


@pytest.mark.parametrize("screen", ["paper", "dark"])
@pytest.mark.parametrize("eyes", [None, *MACHADO])
def test_every_two_colours_are_told_apart_by_all_eyes(eyes, screen) -> None:
    for one, other in combinations([rgb(getattr(ink, screen)) for ink in INKS.values()], 2):
        lights = [linear(c) if eyes is None else seen(c, eyes) for c in (one, other)]
        assert distance(*lights) >= APART


def test_the_test_of_colours_sees_a_bad_pair() -> None:
    """Red and green of one lightness: the usual example of what cannot be told apart."""
    red, green = rgb("#c03020"), rgb("#707000")
    assert distance(linear(red), linear(green)) > 40
    assert distance(seen(red, "deuteranopia"), seen(green, "deuteranopia")) < APART


@pytest.mark.parametrize("name", ["ink", "quiet", "over", "doubt", "typed"])
def test_every_text_of_a_report_can_be_read(name) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text, on the page and on a panel."""
    for colours in (LIGHT, DARK):
        for ground in ("paper", "panel"):
            assert contrast(rgb(colours[name]), rgb(colours[ground])) >= 4.5


def test_the_style_sheet_has_the_dark_colours_of_the_palette() -> None:
    rules = dict(re.findall(r"\.ink-(\w+) \{ color: (#[0-9a-f]{6}); \}", CSS))
    assert rules == {name: ink.dark for name, ink in INKS.items()}
