"""The documents for HTML and PDF say what the text says."""

from __future__ import annotations

from limitcheck.diagnosis.isolate import isolate
from limitcheck.documents.readings import baseline_page, isolation_page, reading_page

from limitcheck.diagnosis.reading import read
from limitcheck.documents.blocks import Document, Table
from limitcheck.documents.cautions import CAUTIONS
from limitcheck.units import Pressure
from tests.readings.logs import PROFILE, baseline, profile, profile_file, runs
from tests.readings.test_isolate import GOOD, bar, blocked


def everything(document: Document) -> str:
    return repr(document)


def table(document: Document) -> Table:
    blocks = [b for c in document.chapters for s in c.sections for b in s.blocks]
    return next(block for block in blocks if isinstance(block, Table))


def test_baseline() -> None:
    found = baseline(runs(60, lambda i: (60 if i == 9 else 0) + 0.5 * max(0, i - 30)), of=profile())
    document = baseline_page(found, profile_file(), "today")
    told = everything(document)
    assert found.expected is not None
    assert f"Expected: {found.expected.low} to {found.expected.high} bar" in told
    assert "now rising by" in told
    assert "<svg" in told
    assert table(document).rows[0][0] == "11"
    assert len(document.cautions) == 2
    assert "tea.toml" in told
    assert found.sha256 in told
    assert "Signature" in told


def test_doubtful_baseline() -> None:
    mixed = runs(60, row=lambda t, p, i: f"{t:%Y-%m-%d},{p * (14.5 if i == 5 else 1):.0f}")
    told = everything(baseline_page(baseline(mixed), None, "today"))
    assert "Do not use the band as it is" in told
    assert "Expected:" not in told


def test_reading() -> None:
    file = profile_file()
    document = reading_page(file, read(file.profile, Pressure.parse("286 bar")), "today")
    causes = table(document)
    assert causes.rows[0][3] == "fits best"
    assert all(len(row) == len(causes.columns) for row in causes.rows)
    assert "Above normal by 114 bar (66%)" in everything(document)
    normal = reading_page(file, read(file.profile, Pressure.parse("160 bar")), "today")
    assert "Normal: normal is 145 to 172 bar" in everything(normal)


def test_reading_without_normal() -> None:
    bare = PROFILE[: PROFILE.index("[expected]")] + PROFILE[PROFILE.index("[[flow_path]]") :]
    file = profile_file(bare)
    document = reading_page(file, read(file.profile, Pressure.parse("286 bar")), "today")
    assert "No normal pressure to hold it against" in everything(document)
    assert [section.heading for section in document.chapters[0].sections] == ["Inputs"]


def test_isolation() -> None:
    file = profile_file()
    made = file.profile
    found = isolate(made, bar(blocked("column-outlet", 60)), normal=bar(GOOD))
    document = isolation_page(file, found, "today")
    told = everything(document)
    assert "The restriction is in one of: tubing (column to detector), detector cell" in told
    assert "part-7" in told
    assert told.count("Flow off, display at zero.") == len(found.plan) + len(found.further)
    assert document.cautions == tuple(CAUTIONS.values())
    rise = isolate(made, bar({"all": 100, "column-outlet": 200}))
    assert "Drop over parts" not in everything(isolation_page(file, rise, "today"))
