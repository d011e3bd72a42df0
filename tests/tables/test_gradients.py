"""Gradients in cells, and ratings of tubing and fittings: read, or asked, never dropped."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.tables.gradients import read_gradient
from limitcheck.tables.numbers import CellError
from tests.tables.imports import answered, imported, tables

_HEADER = "Method;Instrument;High cutoff (bar)"


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("5-95 % B in 10 min", [0, 5, 10, 95]),
        ("5 to 95% B over 20 min.", [0, 5, 20, 95]),
        ("10 % B → 90 % B, 15 min", [0, 10, 15, 90]),
        ("5% bis 60,5% in 7,5 min", [0, 5, 7.5, 60.5]),
        ("0 min 5 %, 10 min 95 %, 12 min 95 % B", [0, 5, 10, 95, 12, 95]),
        ("0 min: 5 %; 2.5 min: 5 %; 10 min: 60 %", [0, 5, 2.5, 5, 10, 60]),
    ],
)
def test_gradients_as_tables_have_them(text: str, points: list[float]) -> None:
    found = read_gradient(text)
    assert found is not None
    assert [float(amount.number) for amount in found] == points


@pytest.mark.parametrize("text", ["isocratic", "Isokratisch", "no"])
def test_what_is_isocratic_has_none(text: str) -> None:
    assert read_gradient(text) is None


@pytest.mark.parametrize(
    "text",
    [
        *("5-95", "5-95 in 10", "5-95 in 10 min", "0/5, 10/95", "steep", "yes", "5 % B"),
        *("10 min 95 %, 5 min 5 %", "5-195 % B in 10 min", "5-95 % B in 1,250 min", "12"),
        "5-95 % B in 10 min, then 95 %",
    ],
)
def test_what_may_be_read_otherwise_is_asked(text: str) -> None:
    with pytest.raises(CellError):
        read_gradient(text)


def test_a_gradient_is_written_and_a_cell_that_is_none_is_asked() -> None:
    rows = ("K1;LC;280;5-95 % B in 10 min", "K2;LC;280;isocratic", "K3;LC;280;steep, 5 %")
    found = imported(rows, f"{_HEADER};Gradient")
    assert [one.data.get("conditions") for one in found.ready] == [
        {"gradient": [{"minute": 0, "percent_b": 5}, {"minute": 10, "percent_b": 95}]},
        None,
    ]
    assert [question.cell for question in found.questions] == ["D4"]


def test_a_gradient_beside_percent_b_is_asked() -> None:
    found = imported(("K1;LC;280;5-95 % B in 10 min;18",), f"{_HEADER};Gradient;% B")
    assert not found.ready
    assert found.questions


@pytest.mark.parametrize(
    ("header", "cell"),
    [("Gradient time (min)", "10"), ("Gradient", "yes"), ("Gradient start (% B)", "5")],
)
def test_what_a_gradient_is_described_by_is_asked_once(header: str, cell: str) -> None:
    rows = tuple(f"K{n};LC;280;{cell}" for n in range(3))
    found = imported(rows, f"{_HEADER};{header}")
    assert [(q.cell, q.about) for q in found.questions] == [("D1", "header")]
    assert not found.ready


def test_a_delay_volume_is_no_gradient() -> None:
    found = imported(("K1;LC;280;0.8",), f"{_HEADER};Gradient delay volume (mL)")
    assert not found.questions


def test_ratings_of_tubing_fittings_and_flow_cell_are_parts_in_their_order() -> None:
    header = f"{_HEADER};Flow cell max pressure (bar);Fittings rating (psi);Tubing rating (bar)"
    found = imported(("K1;LC;280;60;5000;400", "K2;LC;280;60;5000;400"), header)
    assert tables(found, "instruments/lc.toml")["flow_path"] == [
        {"part": "pump"},
        {"part": "tubing", "rating": "400 bar"},
        {"part": "fitting", "rating": "5000 psi"},
        {"part": "detector cell", "rating": "60 bar"},
    ]
    assert [part.part for part in found.ready[0].profile.flow_path] == [  # type: ignore[union-attr]
        *("pump", "tubing", "fitting", "column", "detector cell")
    ]


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("Gradient (% A)", "95-5 % in 10 min"),
        ("Gradient (min, %A)", "0 min 95 %, 10 min 5 %"),
        ("Gradient (MeCN)", "5-95 % in 10 min"),
        ("Gradient programme (% organic)", "0 min 95 %, 10 min 5 %"),
    ],
)
def test_percentages_of_another_solvent_are_asked(header: str, cell: str, tmp_path: Path) -> None:
    whole, rows = f"{_HEADER};{header}", (f"K1;LC;280;{cell}",)
    found = imported(rows, whole)
    assert [(q.cell, q.about) for q in found.questions] == [("D2", "cell")]
    for vague in ("as it stands", "5-95 % in 10 min"):
        assert not imported(rows, whole, answered(found, tmp_path, vague)).ready
    told = imported(rows, whole, answered(found, tmp_path, "5-95 % B in 10 min"))
    (ready,) = told.ready
    assert ready.data["conditions"]["gradient"][-1] == {"minute": 10, "percent_b": 95}


@pytest.mark.parametrize("header", ["Gradient (% B)", "Gradient (min, % B)", "Gradient programme"])
def test_percentages_of_b_are_read(header: str) -> None:
    found = imported(("K1;LC;280;5-95 % in 10 min",), f"{_HEADER};{header}")
    assert not found.questions


def test_a_header_of_another_solvent_stays_one_when_its_key_is_answered(tmp_path: Path) -> None:
    whole, rows = f"{_HEADER};Gradient A", ("K1;LC;280;95-5 % in 10 min",)
    key = answered(imported(rows, whole), tmp_path, "conditions.gradient")
    found = imported(rows, whole, key)
    assert [(q.cell, q.about) for q in found.questions] == [("D2", "cell")]


@pytest.mark.parametrize("header", ["% B end", "Final % B", "% B at 10 min"])
def test_an_end_beside_percent_b_is_asked(header: str) -> None:
    found = imported(("K1;LC;280;5;95",), f"{_HEADER};% B;{header}")
    assert [(q.cell, q.about) for q in found.questions] == [("E1", "header")]
    assert not found.ready


@pytest.mark.parametrize(
    "text",
    [
        "20 % - 15 min",
        "5 % to 95 min",
        "5 %-95,10 min",
        "5% to 95,15 min",
        "5 % - 12.5 min",
        "100 % - 10 min",
    ],
)
def test_no_number_is_cut_in_two(text: str) -> None:
    """A hold, or something else: it is asked, never 20 % falling to 1 % at 5 min."""
    with pytest.raises(CellError, match="is not read as a gradient"):
        read_gradient(text)
