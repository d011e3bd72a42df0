"""The baseline as a document and as data: what the bench, the record and a program get."""

from __future__ import annotations

import hashlib
from datetime import date
from fractions import Fraction

import pytest

from limitcheck.documents.baseline import baseline_data, baseline_document
from limitcheck.documents.blocks import Document, Table, ToType
from limitcheck.history.baseline import Baseline
from limitcheck.history.log import Choice
from limitcheck.render import text as terminal
from tests.documents.schemas import violations
from tests.history.logs import baseline, runs
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

FILE = with_geometry()
MIXED = runs(60, row=lambda t, p, i: f"{t:%Y-%m-%d},{p * (14.5 if i == 5 else 1):.0f}")
DRIFT = runs(60, lambda i: (60 if i == 9 else 0) + 0.5 * max(0, i - 30))
PHASES = runs(
    40,
    lambda i: 40 if i % 2 else 0,
    header="time,pressure (bar),phase",
    row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},{'peak' if i % 2 else 'start'}",
)
CHANGED = runs(
    80,
    lambda i: 20 if i >= 50 else 0,
    header="time,pressure (bar),column serial",
    row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},{'C-1' if i < 50 else 'C-2'}",
)


def document(found: Baseline) -> Document:
    return baseline_document(found, FILE, date(2026, 5, 1))


def printed(found: Baseline) -> str:
    return " ".join(terminal.render(document(found)).split())


def to_type(found: Baseline) -> list[tuple[str, str, str]]:
    summary = document(found).summary
    return [(b.label, b.number, b.unit) for b in summary if isinstance(b, ToType)]


def test_steady() -> None:
    found = baseline(runs(100), of=FILE.profile)
    assert found.expected is not None
    assert printed(found).startswith(f"runs.csv: steady; normal is {found.expected}.")
    assert to_type(found) == [
        ("low", found.expected.low.number, "bar"),
        ("high", found.expected.high.number, "bar"),
    ]


def test_drifting() -> None:
    """A moving pressure gives no band to type."""
    found = baseline(DRIFT, of=FILE.profile)
    assert printed(found).startswith("runs.csv: not steady: now rising by 0.4")
    assert to_type(found) == []
    record = document(found)
    tables = [b for c in record.chapters for s in c.sections for b in s.blocks]
    outliers = next(b for b in tables if isinstance(b, Table))
    assert outliers.rows[0][0] == "11"
    told = repr(record)
    assert "<svg" in told
    assert all(text in told for text in (FILE.sha256, found.sha256, "Signature"))
    assert len(record.cautions) == 2


def test_a_step_with_a_change_of_column() -> None:
    text = printed(baseline(CHANGED))
    assert "not steady: step of 20" in text
    assert "the column was changed, C-1 to C-2" in text


def test_when_a_cutoff_is_reached() -> None:
    assert "at this slope it reaches the high cutoff, 260 bar, about 2026-" in printed(
        baseline(DRIFT, of=FILE.profile)
    )
    over = baseline(runs(90, lambda i: 1.5 * i), of=FILE.profile)
    assert "already at the high cutoff" in printed(over)
    far = with_geometry(WITH_GEOMETRY.replace("high = 260", "high = 1400")).profile
    slow = baseline(runs(90, lambda i: 0.2 * i), of=far)
    assert "is more than ten years off" in printed(slow)


def test_doubtful() -> None:
    found = baseline(MIXED)
    assert printed(found).startswith("runs.csv: do not use the band of this log as it is.")
    assert to_type(found) == []


def test_too_few() -> None:
    assert printed(baseline(runs(3))).startswith("runs.csv: too few readings for a band.")
    some = baseline(runs(8))
    assert "too few readings to tell whether the pressure was steady" in printed(some)
    assert to_type(some) == []


def test_phases_are_chapters() -> None:
    found = baseline(PHASES)
    assert "Phase start" in printed(found)
    assert "Phase peak" in printed(found)
    assert "All readings" not in printed(found)


def test_outliers_are_listed_by_line() -> None:
    found = baseline(runs(300, lambda i: 60 if i % 17 == 0 else 0))
    assert "kept: 18 (line 2, 19, 36," in printed(found)
    assert "and 6 more)" in printed(found)


LOGS = {
    "steady": runs(100),
    "mixed units": MIXED,
    "drift": DRIFT,
    "phases": PHASES,
    "column change": CHANGED,
    "one reading": runs(1),
    "falling": runs(90, lambda i: -0.8 * i),
    "at the cutoff": runs(90, lambda i: 1.5 * i),
    "names to disarm": runs(
        120,
        header="time,pressure (bar),column serial",
        row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.1f},{'=cmd|calc' * 3}",
    ),
}


@pytest.mark.parametrize("name", LOGS)
def test_text_fits_and_data_keep_to_the_schema(name: str) -> None:
    choice = Choice(interval="normal" if name == "drift" else "auto")
    found = baseline(LOGS[name], choice=choice, of=FILE.profile)
    for record in (False, True):
        assert max(map(len, terminal.render(document(found), record=record).splitlines())) <= 80
    data = baseline_data(found, FILE)
    assert violations("baseline", data) == []
    assert violations("baseline", baseline_data(found, None)) == []
    assert violations("baseline", data | {"more": 1})
    assert data["sha256"] == hashlib.sha256(LOGS[name].encode()).hexdigest()
    assert (
        data["phases"][0]["first"] == "2026-01-12T00:00:00"[:11] + data["phases"][0]["first"][11:]
    )


def test_pressures_are_in_the_unit_of_the_log_and_in_pascal() -> None:
    log = "time,pressure (psi)\n" + "2026-01-02,2900\n" * 30 + "2026-01-03,3000\n" * 30
    (phase,) = baseline_data(baseline(log), None)["phases"]
    # NIST SP 811: 6894.757 Pa a psi
    assert (phase["lowest"]["value"], phase["lowest"]["unit"]) == ("2900", "psi")
    assert float(Fraction(phase["lowest"]["pascal"])) == pytest.approx(2900 * 6894.757, rel=1e-5)
    assert phase["correlation"] > 0.9
