"""Every word of a header is understood or asked: none is dropped, wherever it stands."""

from __future__ import annotations

from itertools import product

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

_PLAIN = {
    "High cutoff": "250 bar",
    "Upper pressure limit": "250 bar",
    "Low cutoff": "30 bar",
    "Expected low": "90 bar",
    "Normal max": "190 bar",
    "Expected band": "100-180 bar",
    "Pump rating": "600 bar",
    "Column max. pressure": "400 bar",
    "Detector cell rating": "300 bar",
    "Flow rate": "1 mL/min",
    "Column temperature": "40 °C",
    "% B": "40",
    "Eluent B": "acetonitrile",
    "Gradient": "5-95 % B in 10 min",
    "Injection volume": "10 µL",
    "Column length": "150 mm",
    "Particle size": "5 µm",
    "Column dimensions": "150 x 4.6 mm, 5 µm",
    "Dwell volume": "1 mL",
    "Display step": "1",
    "Pressure unit": "bar",
    "Serial no.": "0815",
}
"""Trade words of headers, each with a cell that could stand under it."""
_QUALIFIERS = (
    *("old", "previous", "proposed", "start", "at end", "wash", "test", "spare", "before", "after"),
    *("alarm off", "n/a", "site 2", "2019", "not used", "draft", "of LC-9", "?", "+10 %", "≈"),
    *("until March", "SST", "QC", "rev. 3", "warning", "observed", "if above 40 °C", "x 2"),
)
_STYLES = (
    *("{} ({})", "{} [{}]", "{}, {}", "{} / {}", "{} - {}", "{}: {}", '"{}\n{}"', "{1} {0}"),
    *("({1}) {0}", "{} {}"),
)


def imported(text: str) -> Import:
    return import_grid(grid_of(text.encode(), "table.csv", ";"))


@pytest.mark.parametrize("plain", _PLAIN)
def test_a_word_of_a_header_that_is_not_understood_is_asked_or_told(plain: str) -> None:
    headers = [style.format(plain, word) for style, word in product(_STYLES, _QUALIFIERS)]
    cells = ";".join(_PLAIN[plain] for _ in headers)
    found = imported(
        f"Method;Instrument;High limit (bar);{';'.join(headers)}\nA;LC-1;260;{cells}\n"
    )
    read = found.reads[0].header
    columns = [column for column in read.columns if column.at >= 3]
    assert len(columns) == len(headers)
    assert not [column.text for column in columns if column.key is not None]
    asked = {question.value for question in found.questions if question.about == "header"}
    told = "\n".join(found.not_looked_at())
    for column in columns:
        assert column.text in asked or f'"{column.text}"' in told
    if KEYS_OF_PRESSURE & set(plain.casefold().split()):
        assert {column.text for column in columns} <= asked
    assert not found.ready


KEYS_OF_PRESSURE = {"cutoff", "limit", "rating"}


@pytest.mark.parametrize("plain", sorted(_PLAIN))
def test_the_same_headers_without_more_words_are_read(plain: str) -> None:
    found = imported(f"Method;Instrument;Site;{plain}\nA;LC-1;Kestrel Bay;{_PLAIN[plain]}\n")
    (column,) = (c for c in found.reads[0].header.columns if c.at == 3)
    assert column.key is not None


@pytest.mark.parametrize(
    ("header", "cell", "key"),
    [
        ("Eluent B (wash)", "methanol", "conditions.solvent_b"),
        ("% B (start)", "5", "conditions.gradient"),
        ("Gradient (old)", "5-95 % B in 10 min", "conditions.gradient"),
        ("Flow (wash)", "1 mL/min", "conditions.flow"),
        ("Temperature [storage]", "40 °C", "conditions.temperature"),
        ("High limit (previous)", "250", "cutoffs.high"),
        ("Pressure (2019)", "250", "cutoffs.high"),
        ("Pressure (bar)", "250", "cutoffs.high"),
        ("High (proposed)", "250", "cutoffs.high"),
        ("Old flow", "1 mL/min", "conditions.flow"),
        ("High-limit-old", "250", "cutoffs.high"),
        ("Max. pressure at pump (bar)", "250", "pump.rating"),
        ("Pump and column max. (bar)", "250", "column.rating"),
    ],
)
def test_what_would_be_a_key_without_its_remark_is_asked(header: str, cell: str, key: str) -> None:
    found = imported(f"Method;Instrument;Pressure unit;{header}\nA;LC-1;bar;{cell}\n")
    (question,) = (one for one in found.questions if one.cell == "D1")
    assert question.about == "header"
    assert key in question.text
    assert not found.ready


@pytest.mark.parametrize(
    ("header", "cell", "key"),
    [
        ("Method (SOP no.)", "A", "method.id"),
        ("Flow rate (mL/min, set)", "1", "conditions.flow"),
        ("High cutoff (gauge) [bar]", "250", "cutoffs.high"),
        ("% B (v/v)", "40", "conditions.percent_b"),
        ("High cutoff (bar g)", "250", "cutoffs.high"),
        ("Site (optional)", "Kestrel Bay", "method.site"),
        ("High cutoff *", "250 bar", "cutoffs.high"),
        ("High-limit", "250 bar", "cutoffs.high"),
    ],
)
def test_remarks_that_change_nothing(header: str, cell: str, key: str) -> None:
    found = imported(f"{header};Instrument;Note\n{cell};LC-1;\n" if key == "method.id" else
                     f"Method;Instrument;{header}\nA;LC-1;{cell}\n")  # fmt: skip
    assert key in {column.key for column in found.reads[0].header.columns}


@pytest.mark.parametrize("unit", ["mbar", "hPa", "torr", "psia", "mPa", "bar/psi", "lb", "atm"])
def test_a_unit_that_is_not_taken_is_asked_as_a_unit(unit: str) -> None:
    found = imported(f"Method;Instrument;High cutoff ({unit})\nA;LC-1;250\n")
    assert [(q.cell, q.about) for q in found.questions if q.about != "cell"] == [("C1", "unit")]


def test_a_second_column_of_names_is_told_and_not_asked() -> None:
    found = imported("Method;Method (old);Instrument;High cutoff (bar)\nA;B;LC-1;250\n")
    assert not [q for q in found.questions if q.about == "header"]
    assert any('"Method (old)"' in line for line in found.not_looked_at())


@pytest.mark.parametrize("above", ["Old", "Proposed", "Until 2019"])
def test_a_word_above_some_columns_is_one_of_their_header(above: str) -> None:
    found = imported(f";;{above};;\nMethod;Instrument;High cutoff (bar);Low cutoff (bar);Site\n"
                     "A;LC-1;250;30;KB\n")  # fmt: skip
    assert {q.cell for q in found.questions if q.about == "header"} >= {"C2"}
    assert not found.ready
