"""What a reading advises, over generated profiles: nothing that can hurt someone.

The cautions themselves: common practice, no source.
"""

from __future__ import annotations

import re
from datetime import date

from hypothesis import given, settings

from limitcheck.diagnosis.catalogue import KNOWN
from limitcheck.diagnosis.reading import STOP
from limitcheck.documents.cautions import CAUTIONS
from limitcheck.documents.reading import LINES, reading_data, reading_document
from limitcheck.profile.hardware import under_pressure
from limitcheck.render import text as terminal
from tests.diagnosis.readings import Case, cases
from tests.documents.schemas import violations

OPENS = re.compile(r"\b(open|opens|loosen|undo|disconnect|take|remove|purge|isolate)\b")
CLOSED = re.compile(r"\bopen (?:purge|inlet)|purge valve (?:open|closed)|in plain sight")
RAISES = re.compile(r"\b(?:raise|increase|lift)\b(?! a cutoff above a rating)|higher cutoff")
TIGHTENS = re.compile(r"\btighten\b(?! nothing)")
MANY = settings(max_examples=150, derandomize=True)


def lines_of(case: Case, *, everything: bool = False) -> list[str]:
    document = reading_document(
        case.file, case.reading, date(2026, 5, 1), all_causes=everything, doubt=""
    )
    return terminal.render(document).splitlines()


@MANY
@given(cases())
def test_the_short_answer_fits_a_screen_and_keeps_the_first_causes(case: Case) -> None:
    lines = lines_of(case)
    # Without a cause to list, what would tell follows even on a verdict that fills the screen.
    telling = lines.index("What would tell") if "What would tell" in lines else len(lines)
    assert telling <= LINES
    assert len(lines) - telling <= 8
    listed = any(line.startswith("  1. ") for line in lines)
    assert not (listed and any("No causes are listed" in line for line in lines))
    assert max(map(len, lines)) <= 80
    groups = case.reading.groups
    if case.reading.position != "normal" and groups:
        assert groups[0].words in " ".join(" ".join(lines).split()).lower()
    if not case.reading.good:
        told = " ".join(" ".join(lines).split())
        assert all(CAUTIONS[name] in told for name in ("zero-pressure", "eye-protection"))


@MANY
@given(cases())
def test_no_advice_opens_raises_or_reverses(case: Case) -> None:
    told = " ".join(" ".join(lines_of(case, everything=True)).split())
    assert not RAISES.search(told)
    assert not TIGHTENS.search(told)
    assert "reverse" not in told
    assert "backflush" not in told.lower()


@MANY
@given(cases())
def test_the_flow_is_stopped_first(case: Case) -> None:
    """Past a cutoff or a rating, or with a leak: the first line."""
    profile, pressure = case.file.profile, case.pressure
    high, low = profile.cutoffs.high, profile.cutoffs.low
    past = (
        (high is not None and high.value > 0 and pressure >= high)
        or (low is not None and low.value > 0 and pressure <= low)
        or any(pressure > part.pressure for part in under_pressure(profile))
        or bool(case.told.leak_seen)
    )
    lines = lines_of(case)
    assert (lines[0] == STOP) == past
    text = " ".join(lines)
    if past and "What to look at" in text:
        assert text.index(CAUTIONS["zero-pressure"][:40]) < text.index("What to look at")


@MANY
@given(cases())
def test_data_keep_to_the_schema_and_name_every_source(case: Case) -> None:
    data = reading_data(case.file, case.reading, doubt="")
    assert violations("reading", data) == []
    for cause in data["causes"]:
        assert cause["source"]
        assert cause["test_source"]
    assert case.reading.good or data["first_act"] or data["position"] != "normal" or data["swing"]


def test_every_opening_is_preceded_by_no_flow_and_no_pressure() -> None:
    for name, known in KNOWN.items():
        test = CLOSED.sub("", known.test.text)
        if OPENS.search(test):
            assert known.test.text.startswith("flow off, zero pressure, then "), name
