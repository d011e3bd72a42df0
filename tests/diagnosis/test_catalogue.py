"""The catalogue of causes is whole: each that a reading can have, with its test and sources."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from limitcheck.diagnosis.catalogue import FAMILIES, KNOWN, PRACTICE, known
from limitcheck.diagnosis.swings import _CAUSES
from limitcheck.physics.faults.changes import FAULTS
from tests.diagnosis.readings import Case, cases

SOURCES = ("common practice, no source", "exact factors of the units")


@settings(max_examples=100)
@given(cases())
def test_every_cause_is_known(case: Case) -> None:
    for cause in case.reading.causes:
        assert cause.known.family in FAMILIES
        assert cause.words


@pytest.mark.parametrize("name", [*KNOWN, *FAULTS, "display-in-psi", "solvent-a-is-methanol"])
def test_test_and_sources_are_stated(name: str) -> None:
    cause = known(name)
    assert cause.test.text
    assert cause.test.effort in (1, 2, 3)
    assert cause.came
    for source in (cause.source, cause.test.source):
        assert any(text in source for text in SOURCES)


def test_causes_of_a_swing_have_sources() -> None:
    assert set(_CAUSES) & set(KNOWN) == {
        "air-in-pump-head", "bubbles", "check-valve", "leak", "worn-seal"
    }  # fmt: skip
    for words, test, speeds in _CAUSES.values():
        assert words
        assert test.source == PRACTICE
        assert speeds
