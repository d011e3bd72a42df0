"""An isolation as a document and as data."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.diagnosis.isolation import Isolation
from limitcheck.documents.blocks import Section
from limitcheck.documents.cautions import CAUTIONS
from limitcheck.documents.isolation import isolation_data, isolation_document
from limitcheck.render import text as terminal
from tests.diagnosis.test_isolation import GOOD, blocked, run, twice
from tests.documents.schemas import violations
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

NO_GEOMETRY = WITH_GEOMETRY.replace('particle_size = "3 um"\n', "")
FOUND: dict[str, Isolation] = {
    "plan": run({}),
    "behind the column": run(twice(blocked("column-outlet", 60)), GOOD),
    "valve": run(blocked("valve-load", 60)),
    "normal": run(GOOD),
    "rise": run({"all": 200, "column-outlet": 240}),
    "unknown": run(blocked("column-inlet", 60), of=NO_GEOMETRY),
    "reversed": run({**blocked("column-inlet", 60), "column-reversed": 214}),
}


def sections(found: Isolation, *, record: bool = False) -> dict[str, Section]:
    chapters = isolation_document(with_geometry(), found, date(2026, 5, 1), doubt="").chapters
    every = [section for chapter in chapters for section in chapter.sections]
    return {s.heading: s for s in every if record or not s.in_record}


def test_what_to_do_stands_before_why_and_cautions_before_both() -> None:
    assert list(sections(FOUND["behind the column"])) == [
        "Before you open anything",
        "If it is the tubing (column to detector), in this order",
        "If it is the detector cell, in this order",
        "When it is done",
        "To tell these parts apart",
        "Why",
    ]
    assert "Steps" in sections(FOUND["behind the column"], record=True)


@pytest.mark.parametrize("name", FOUND)
def test_every_answer_has_the_cautions(name: str) -> None:
    told = repr(sections(FOUND[name])["Before you open anything"])
    assert all(caution in told for caution in CAUTIONS.values())


def test_each_step_begins_with_the_flow_off() -> None:
    steps = repr(sections(FOUND["plan"])["Steps"])
    assert steps.count("Flow off, display at zero.") == len(FOUND["plan"].plan)


def test_a_contradiction_is_not_computed_through() -> None:
    assert "Why" not in sections(FOUND["rise"])


@pytest.mark.parametrize("name", FOUND)
def test_text_fits_and_data_keep_to_the_schema(name: str) -> None:
    found, file = FOUND[name], with_geometry()
    for record in (False, True):
        document = isolation_document(file, found, date(2026, 5, 1), "flow=1.0 mL/min", doubt="")
        shown = terminal.render(document, record=record)
        assert max(map(len, shown.splitlines())) <= 80
    data = isolation_data(file, found, doubt="")
    assert violations("isolate", data) == []
    assert violations("isolate", isolation_data(file, found, "flow=1.0 mL/min", doubt="")) == []
    assert violations("isolate", data | {"more": 1})
    assert data["verdict"] == found.verdict


def test_readings_stay_exact() -> None:
    data = isolation_data(with_geometry(), run({"all": 218.3, "column-inlet": 12}), doubt="")
    read = {step["name"]: step["reading"] for step in data["plan"]}
    assert read["all"] == {"value": "218.3", "unit": "bar", "pascal": "21830000"}
    assert read["valve-load"] is None
