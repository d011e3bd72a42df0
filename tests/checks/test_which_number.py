"""What was judged of a number, as findings: words, confidence, what was meant, rivals."""

from __future__ import annotations

import re
from datetime import date

import pytest

from limitcheck.checking.file import check_file
from limitcheck.checks.bench import left_as_typed
from limitcheck.checks.subject import Subject
from limitcheck.findings import Confidence, Finding, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from tests.meant.test_search import sized
from tests.profiles_for_tests import profile_file, text

TODAY = date(2026, 11, 25)
PUMP = ("flow_path", 0, "rating")
PSI = '"6500 psi"'


def findings(**values: str) -> tuple[Finding, ...]:
    return check_file(profile_file(**values), DEFAULT_POLICY, TODAY).findings


def found(check: str, **values: str) -> Finding:
    return next(f for f in findings(**values) if f.check == check)


@pytest.mark.parametrize(
    ("values", "message", "advice"),
    [
        (
            {"high": "25"},
            "stops the run as soon as the pump starts: normal is 120 bar to 200 bar",
            "Check the number at its origin (method, label, instrument).",
        ),
        (
            {"high": "3626"},
            "protects nothing: the pump gives way first, 3226 bar lower",
            "Check the number at its origin (method, label, instrument).",
        ),
        (
            {"pump": '"400 psi"'},
            "The rating of the pump, 400 psi (27.6 bar, 2.76 MPa)",
            "Read the label or plate again, with its unit.",
        ),
        (
            {"high": "3620", "low": "870", "expected_low": "1740", "expected_high": "2900"},
            "Read as psi, what was typed at this instrument fits the hardware",
            "Look which unit the front panel shows.",
        ),
        (
            {"expected_low": "1740", "expected_high": "2900"},
            "Read as psi it is about 119.97 bar to",
            "Check the number at its origin (method, label, instrument).",
        ),
        (
            {"expected_low": "1740"},
            "Read as 1740 psi its minimum is about 119.97 bar",
            "Check the number at its origin (method, label, instrument).",
        ),
        (
            {"step": "1\nentry_max = 60"},
            "The largest entry of the field, 60 bar, does not fit the rest",
            "Look at the instrument what the field takes, and in which unit.",
        ),
    ],
)
def test_what_a_wrong_unit_does_and_where_to_look(
    values: dict[str, str], message: str, advice: str
) -> None:
    finding = found("unit-confusion", **values)
    assert message in finding.message
    assert finding.advice.startswith(advice)


def test_without_a_normal_pressure_nobody_knows_whether_it_acts_late() -> None:
    """Attack on issue 18, 7: 11 bar, where 111 was meant, was said to act late."""
    for values in ({"high": "11", "low": "22"}, {"high": "2500", "low": "60"}, {"low": "3"}):
        given = text(expected_low="", expected_high="", **values).replace("[expected]\n\n", "")
        file = load_bytes(given.encode(), "x.toml")
        for finding in check_file(file, DEFAULT_POLICY, TODAY).findings:
            assert "acts late" not in finding.message
            assert "never acts" not in finding.message
        subject = Subject(file.profile, DEFAULT_POLICY, TODAY)
        told = [left_as_typed(subject, ("cutoffs", end)) for end in ("high", "low")]
        assert not any("acts" in words for words in told)


@pytest.mark.parametrize(
    ("values", "confidence", "words"),
    [
        (
            {"expected_low": "1740", "expected_high": "2900", "column": PSI},
            Confidence.CERTAIN,
            "psi was meant, not bar.",
        ),
        ({"high": "25"}, Confidence.LIKELY, "MPa was probably meant, not bar."),
        ({"low": "160"}, Confidence.POSSIBLE, "psi may have been meant, not bar."),
    ],
)
def test_the_words_follow_the_confidence(
    values: dict[str, str], confidence: Confidence, words: str
) -> None:
    finding = found("unit-confusion", **values)
    assert finding.confidence is confidence
    assert words in finding.message
    worst = Severity.WARNING if confidence is Confidence.POSSIBLE else Severity.ERROR
    assert finding.severity is worst


def test_no_advice_offers_a_number() -> None:
    """What to type is decided in one place, from all findings."""
    for values in ({"high": "25"}, {"high": "2500"}, {"low": "870"}, {"pump": '"400 psi"'}):
        for finding in findings(**values):
            if finding.suggestion is not None:
                without_odds = re.sub(r"\(odds 1 to \d+\)", "", finding.advice)
                assert not re.search(r"\d", without_odds)


def test_rivals_are_named_with_their_odds_and_what_settles_it() -> None:
    finding = found("unit-confusion", low="870")
    assert "It may also be: the low cutoff in kPa (odds 1 to" in finding.advice
    assert finding.advice.endswith("with its unit, settles it.")
    (rival,) = finding.data["rivals"]
    assert rival["paths"] == ["cutoffs.low"]
    assert (rival["kind"], rival["meant_unit"]) == ("unit", "kPa")
    assert 0 < rival["probability"] < finding.data["probability"] < 1


def test_a_digit_that_would_do_the_same_is_said() -> None:
    assert (
        "A misplaced decimal point would give the same"
        in found("unit-confusion", high="25").message
    )
    assert "decimal point" not in found("unit-confusion", high="3626").message


def test_a_unit_that_would_do_the_same_as_a_typing_error_is_said() -> None:
    """A hundred times the number, or kPa: 200 bar either way."""
    assert (
        "200 bar was probably meant. Another unit would give the same number."
        in found("mistyped-number", expected_high="20000").message
    )
    assert "Another unit" not in found("mistyped-number", high="2500").message


def test_that_all_numbers_agree_is_said_only_where_they_do() -> None:
    """The band contradicts the prediction for particles of 1.7 um, whatever the cutoff is."""
    column = sized(particle="1.7 um")
    unit = found("unit-confusion", high="3626", column=column)
    assert "and all numbers but the predicted pressure agree: psi" in unit.message
    digit = found("mistyped-number", high="2500", column=column)
    assert "A typing error explains all but the predicted pressure: 250 bar" in digit.message


def test_rivals_that_read_alike_are_said_once_with_their_odds_together() -> None:
    finding = found("geometry-implausible", column='"450 bar"\nlength = "1 mm"')
    assert len(finding.data["rivals"]) > 1
    assert finding.advice.count("another length of the column") == 1


def test_a_long_range_is_written_without_an_exponent() -> None:
    tube = '"400 bar"\n\n[[flow_path]]\npart = "tubing"\nlength = "1 mm"'
    finding = found("geometry-implausible", pump=tube)
    assert "is outside what is made: 4 mm to 60000 mm." in finding.message


def test_the_near_unit_is_said() -> None:
    finding = found(
        "unit-confusion",
        unit='"MPa"',
        step="0.1",
        low="6",
        high="250",
        expected_low="12",
        expected_high="20",
    )
    assert "(kgf/cm2 would fit as well: 2 % apart)" in finding.message


def test_two_numbers_in_another_unit() -> None:
    values = {"low": "870", "expected_low": "1740", "expected_high": "2900"}
    low, band = [f for f in findings(**values) if f.check == "unit-confusion"]
    for finding in (low, band):
        assert "Two numbers must be read so for all to agree; see the other" in finding.message
        assert finding.data["meant_unit"] == "psi"
        assert finding.data["rivals"] == []
    assert [(r.path, r.message) for r in low.related] == [
        (("expected", "high"), "expected 1740 bar to 2900 bar"),
        (PUMP, "weakest: pump, 400 bar"),
    ]
    assert [r.path for r in band.related] == [PUMP]
    assert [(s.path, s.enter) for s in band.also] == [(("expected", "low"), "120")]
    assert "Two numbers" not in found("unit-confusion", high="3626").message


def test_what_was_meant_as_it_belongs_in_the_field() -> None:
    def meant(check: str = "unit-confusion", **values: str) -> tuple[object, ...]:
        suggestion = found(check, **values).suggestion
        assert suggestion is not None
        return suggestion.enter, suggestion.unit, suggestion.meant_unit, suggestion.kind

    assert meant(high="3629") == ("250", "bar", "psi", "unit")  # 250.2 bar, rounded down
    assert meant(low="873") == ("61", "bar", "psi", "unit")  # 60.2 bar, rounded up
    assert meant(expected_high="2901") == ("200", "bar", "psi", "one end")
    assert meant(expected_high='"2901 bar"') == ("200", "bar", "psi", "one end")
    assert meant(expected_low="1750") == ("120.7", "bar", "psi", "one end")
    assert meant(step="1\nentry_max = 60") == ("600", "bar", "MPa", "entry field")
    assert meant(pump='"400 psi"') == ("400", "bar", "bar", "unit")
    assert meant("mistyped-number", high="2500") == ("250", "bar", "bar", "typing")


def test_a_step_that_moves_the_number_is_not_exact() -> None:
    coarse = found("unit-confusion", high="25.7", step="10").suggestion
    fine = found("unit-confusion", high="25.7").suggestion
    assert coarse is not None
    assert fine is not None
    assert (coarse.enter, coarse.exact) == ("250", False)
    assert (fine.enter, fine.exact) == ("257", True)


def test_a_typing_error() -> None:
    finding = found("mistyped-number", high="2500")
    assert "A typing error explains it: 250 bar was probably meant." in finding.message
    assert finding.path == ("cutoffs", "high")


@pytest.mark.parametrize(
    ("column", "message", "meant"),
    [
        (
            sized(particle="5 mm"),
            "The particle size of the column, 5 mm, is outside what is made: 0.4 um to 150 um. "
            "5 um was meant.",
            ("5", "um"),
        ),
        (
            sized(bore="46 mm"),
            "A flow of 1.0 mL/min does not go with a bore of 46 mm. 4.6 mm may have been meant.",
            ("4.6", "mm"),
        ),
        (
            sized(flow="1000 L/min"),
            "The flow, 1000 L/min, is outside what is made: 0.0003 uL/min to 10 L/min. "
            "1000 uL/min was meant.",
            ("1000", "uL/min"),
        ),
    ],
)
def test_a_size_that_cannot_be_right(column: str, message: str, meant: tuple[str, str]) -> None:
    finding = found("geometry-implausible", column=column)
    assert finding.message == message
    assert finding.suggestion is not None
    assert (finding.suggestion.enter, finding.suggestion.unit) == meant
    assert finding.severity is Severity.WARNING
    assert not any(f.check == "unit-confusion" for f in findings(column=column))


def test_a_size_that_nothing_explains_is_said_all_the_same() -> None:
    finding = found("geometry-implausible", column='"450 bar"\nlength = "0.00001 mm"')
    assert finding.suggestion is None
    assert "outside what is made: 3 mm to 1200 mm." in finding.message


def test_a_radius_in_place_of_the_bore() -> None:
    values = {"expected_low": "80", "expected_high": "105", "low": "30", "high": "140"}
    finding = found("geometry-implausible", column=sized(bore="2.3 mm"), **values)
    assert "with 4.6 mm the two agree" in finding.message
    assert finding.suggestion is not None
    assert finding.suggestion.kind == "geometry"
