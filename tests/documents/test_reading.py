"""A reading as a document and as data."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.diagnosis.reading import read
from limitcheck.diagnosis.telling import Told
from limitcheck.documents.blocks import Bullets, Document, Table
from limitcheck.documents.cautions import CAUTIONS
from limitcheck.documents.reading import reading_data, reading_document
from limitcheck.physics.system import Change
from limitcheck.render import text as terminal
from limitcheck.units import Pressure
from tests.documents.schemas import violations
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

BARE = (
    WITH_GEOMETRY[: WITH_GEOMETRY.index("[expected]")]
    + WITH_GEOMETRY[WITH_GEOMETRY.index("[[flow_path]]") :]
)


def document(text: str, of: str = WITH_GEOMETRY) -> Document:
    file = with_geometry(of)
    return reading_document(
        file, read(file.profile, Pressure.parse(text), in_doubt=False), date(2026, 5, 1), doubt=""
    )


def printed(text: str, of: str = WITH_GEOMETRY) -> str:
    return " ".join(terminal.render(document(text, of)).split())


def test_above_normal() -> None:
    told = printed("286 bar")
    assert told.startswith(
        "Stop the flow. 286 bar is 114 bar (66 %) above normal for KB-TEA-014 on KB-LC-03: "
        "145 to 172 bar"
    )
    assert "Pressure can't tell these apart" in told
    assert told.index(CAUTIONS["eye-protection"]) < told.index("What to look at")


def test_causes_of_one_kind_are_told_once() -> None:
    sections = document("286 bar").chapters[0].sections
    listed = next(b for s in sections for b in s.blocks if isinstance(b, Bullets)).items
    kinds = [item.partition(" (")[0] for item in listed]
    assert len(set(kinds)) == len(kinds)
    assert kinds[0] == "A restriction"
    assert "inlet frit; " in listed[0]
    record = next(s for s in sections if s.heading == "All causes")
    assert record.in_record
    causes = record.blocks[0]
    assert isinstance(causes, Table)
    assert causes.rows[0][3] == "fits best, often seen"
    assert all(row[4].endswith(")") for row in causes.rows)


def test_all_causes_when_asked_for() -> None:
    file = with_geometry()
    found = read(file.profile, Pressure.parse("286 bar"), in_doubt=False)
    told = terminal.render(
        reading_document(file, found, date(2026, 5, 1), all_causes=True, doubt="")
    )
    assert "All causes\n" in told
    assert "of the cross-section of the bed is closed" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 80


def test_stop_comes_first_then_cautions_then_causes() -> None:
    lines = terminal.render(document("286 bar")).splitlines()
    assert lines[0] == "Stop the flow."
    told = " ".join(lines)
    places = [told.index(text) for text in ("above normal", "Never raise", "1. A restriction")]
    assert places == sorted(places)


def test_normal() -> None:
    told = printed("160 bar")
    assert told.startswith("160 bar is normal for KB-TEA-014 on KB-LC-03: 145 to 172 bar")
    assert "These also give a normal pressure: " in told
    assert "only A" in told
    assert "What to look at" not in told


def test_nothing_known_of_normal() -> None:
    told = printed("286 bar", BARE)
    assert "can't be judged: no normal pressure is known of KB-TEA-014 on KB-LC-03" in told
    assert [section.heading for section in document("286 bar", BARE).chapters[0].sections] == [
        "What would tell",
        "Inputs",
    ]
    assert "What a prediction lacks, given in the profile (" in told
    assert "limitcheck isolate" not in told  # with nothing to compare a step with


@pytest.mark.parametrize("doubt", ["", "unit-confusion"])
def test_what_would_tell_is_said_where_the_pressure_can_not(doubt: str) -> None:
    """A band that is only predicted: nothing is shown to be wrong, so there are no causes."""
    file = with_geometry(WITH_GEOMETRY.replace("high = 172\n", 'high = 172\nbasis = "predicted"\n'))
    positions = {}
    for text in ("160 bar", "390 bar"):
        found = read(file.profile, Pressure.parse(text), in_doubt=bool(doubt))
        told = terminal.render(reading_document(file, found, date(2026, 5, 1), doubt=doubt))
        data = reading_data(file, found, doubt=doubt)
        assert violations("reading", data) == []
        unknown = found.position == "unknown"
        positions[text] = found.position
        assert bool(data["would_tell"]) is unknown
        assert ("What would tell" in told) is unknown
        assert bool(data["causes"]) is not unknown
        assert ("limitcheck check says" in told) is (unknown and bool(doubt))
        in_one = " ".join(told.split())
        assert (": the expected pressure, 145 to 172 bar (pred" in in_one) is bool(doubt)
        assert ("(limitcheck isolate)" in in_one) is (unknown and not doubt)
        assert (data["normal"] is None, data["open"] is None) == (bool(doubt), bool(doubt))
        assert max(map(len, told.splitlines())) <= 80
    above = "unknown" if doubt else "above normal"
    assert positions == {"160 bar": "unknown", "390 bar": above}


@pytest.mark.parametrize("of", [WITH_GEOMETRY, BARE], ids=["known", "unknown"])
@pytest.mark.parametrize("text", ["160 bar", "255 bar", "110 bar", "2300 bar", "0 bar", "3001 psi"])
def test_text_fits_and_data_keep_to_the_schema(text: str, of: str) -> None:
    for record in (False, True):
        shown = terminal.render(document(text, of), record=record)
        assert max(map(len, shown.splitlines())) <= 80
    file = with_geometry(of)
    found = read(file.profile, Pressure.parse(text), in_doubt=False)
    data = reading_data(file, found, doubt="")
    assert violations("reading", data) == []
    assert violations("reading", data | {"more": 1})
    assert data["position"] == found.position
    assert data["pressure"]["value"] == text.split(maxsplit=1)[0]


def test_conditions_are_said() -> None:
    file = with_geometry()
    found = read(file.profile, Pressure.parse("80 bar"), Change(flow=0.5e-6 / 60), in_doubt=False)
    told = reading_document(file, found, date(2026, 5, 1), "flow=0.5 mL/min", doubt="")
    assert terminal.render(told).startswith("80 bar at flow=0.5 mL/min is normal")
    data = reading_data(file, found, "flow=0.5 mL/min", doubt="")
    assert violations("reading", data) == []
    assert data["changed"] == "flow=0.5 mL/min"


def test_a_leak_that_is_seen_brings_the_caution_on_solvents() -> None:
    file = with_geometry()
    for seen in (True, False):
        found = read(
            file.profile, Pressure.parse("110 bar"), told=Told(leak_seen=seen), in_doubt=False
        )
        cautions = reading_data(file, found, doubt="")["cautions"]
        assert (CAUTIONS["solvents"] in cautions) == seen
        assert cautions[-1] == CAUTIONS["who-decides"]


@pytest.mark.parametrize(
    ("read_at", "told"),
    [
        ("2900 psi", "2900 psi, about 200 bar on its display, is"),
        ("20 MPa", "20 MPa, 200 bar on its display, is"),
        ("200.4 bar", "200.4 bar is"),
    ],
)
def test_a_pressure_in_another_unit_at_the_step_of_the_display(read_at: str, told: str) -> None:
    assert told in printed(read_at)
