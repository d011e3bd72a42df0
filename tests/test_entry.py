"""One number about to be typed."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.checking.entry import Answer, Field, UnusableEntry, ask, described
from limitcheck.checking.file import check_file
from limitcheck.checking.from_another_unit import stored
from limitcheck.documents.entry import entry_data, entry_document
from limitcheck.findings import Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.render.text import render
from limitcheck.units import Pressure
from tests.profiles_for_tests import profile_file, text

TODAY = date(2026, 11, 25)


def answer(value: str, field: Field = "high", **profile: str) -> Answer:
    wanted = {"expected_low": "180", "expected_high": "230"} | profile
    return ask(profile_file(**wanted).profile, value, field, DEFAULT_POLICY, TODAY)


def test_35_on_a_bar_instrument_was_meant_in_megapascal() -> None:
    found = answer("35")
    assert not found.may_be_typed
    assert found.findings[0].check == "unit-confusion"
    assert found.enter is not None
    assert (found.enter.enter, found.enter.unit, found.enter.basis) == ("350", "bar", "slip")
    text = " ".join(render(entry_document(found, TODAY)).split())
    assert "stops the run as soon as the pump starts" in text
    assert "Type: high = 350 (bar)" in text


def test_a_number_finer_than_the_display_is_rounded_not_proposed_anew() -> None:
    found = answer("260.5")
    assert found.enter is not None
    assert (found.enter.enter, found.may_be_typed) == ("260", False)


def test_an_untouched_default_may_be_typed_and_is_named() -> None:
    found = answer("400")
    assert found.may_be_typed
    assert [finding.check for finding in found.findings] == ["high-cutoff-untouched"]


def test_a_unit_that_would_not_be_right_either_is_not_advised() -> None:
    """35 MPa would be under every rating, but four times normal: the proposal is better."""
    found = answer("35", expected_low="41", expected_high="85", low="")
    assert found.findings[0].check == "unit-confusion"
    assert found.enter is not None
    assert (found.enter.enter, found.enter.basis) == ("106", "proposal")


def test_a_good_number_may_be_typed() -> None:
    found = answer("285")
    assert found.may_be_typed
    assert "may be typed" in render(entry_document(found, TODAY))
    assert "285 bar" in render(entry_document(found, TODAY))


def test_only_this_number_is_judged() -> None:
    """The profile's own low cutoff and its acceptances have no say."""
    assert answer("285", low="5").may_be_typed


def test_a_low_cutoff() -> None:
    assert answer("90", "low").may_be_typed
    too_high = answer("200", "low")
    assert not too_high.may_be_typed
    assert too_high.enter is not None


def test_a_number_over_the_rating_gets_the_proposal() -> None:
    found = answer("420")
    assert not found.may_be_typed
    assert found.enter is not None
    assert found.enter.enter == "287"


def test_the_unit_may_be_written_if_it_is_the_instruments_own() -> None:
    assert answer("285 bar").may_be_typed


@pytest.mark.parametrize(
    ("value", "field", "enter", "off"),
    [  # 1 psi = 6894.757 293 168 Pa (NIST SP 811, App. B.8); the rest by hand
        ("4061 psi", "high", "279", "0.996094"),
        ("1450 psi", "low", "100", "0.026019"),
        ("28 MPa", "high", "280", ""),
        ("28 N/mm2", "high", "280", ""),
        ("285 kgf/cm2", "high", "279", "0.489525"),
        ("95 at", "low", "94", "0.836825"),
        ("2,8 kgf/mm2", "high", "274", "0.5862"),
    ],
)
def test_a_number_in_another_unit_is_rounded_the_safe_way(
    value: str, field: Field, enter: str, off: str
) -> None:
    found = answer(value, field)
    assert found.may_be_typed
    assert found.enter is not None
    assert (found.enter.enter, found.enter.unit, found.enter.basis) == (enter, "bar", "rounding")
    text = " ".join(render(entry_document(found, TODAY)).split())
    assert f"Type: {field} = {enter} (bar)" in text
    assert (off or "nothing was rounded") in text


@given(
    st.decimals(min_value=1, max_value=9000, places=3),
    st.sampled_from(["psi", "MPa", "kPa", "kgf/cm2", "kgf/mm2"]),
    st.sampled_from(["high", "low"]),
)
def test_rounding_is_never_unsafe(number: Decimal, unit: str, field: Field) -> None:
    """Within a step, never above the exact value for high, never below it for low."""
    exact = Pressure.of(number, unit)
    path = ("cutoffs", field)
    found = stored(path, exact, profile_file().profile.instrument)
    off = found.to("bar") - exact.to("bar")
    assert -1 < off <= 0 if field == "high" else 0 <= off < 1


@pytest.mark.parametrize("value", ["35 psi", "4000 kPa", "28 psi"])
def test_nothing_to_type_rests_on_a_number_that_may_be_a_slip(value: str) -> None:
    """It is neither rounded nor read in another unit: the proposal rests on band and rating."""
    found = answer(value)
    assert not found.may_be_typed
    assert found.enter is None or found.enter.basis == "proposal"
    assert all(finding.check != "unit-confusion" for finding in found.findings)
    assert answer("4000 kPa").doubted


def test_the_digits_of_a_converted_number_are_not_read_in_other_units() -> None:
    """7 bar is 90 psi rounded up: nobody typed a 7 that could be megapascal."""
    (finding,) = answer("90 psi", "low").findings
    assert finding.check == "low-cutoff-margin-wide"
    assert "may have been meant" not in finding.message
    assert finding.confidence == "certain"
    assert "may have been meant" in answer("7", "low").findings[0].message


def test_what_was_read_is_said() -> None:
    for value, note in (
        ("280", "280 is read as 280 bar, in the instrument's unit."),
        ("2,8e2", "2,8e2 is read as 280 bar, in the instrument's unit."),
        ("280 barg", "barg is gauge pressure, which instruments show."),
        ("287.40", "287.40 is read as 287.40 bar, in the instrument's unit."),
        ("20.000 MPa", ""),
        ("28 N/mm2", '"28 N/mm2" is read as 28 MPa.'),
        ("280 bar", ""),
    ):
        found = answer(value)
        assert found.typed is not None
        assert found.typed.note == note
        assert note in " ".join(render(entry_document(found, TODAY)).split())


def test_off_is_a_cutoff_that_stops_nothing() -> None:
    for field, check in (("low", "low-cutoff-off"), ("high", "high-cutoff-missing")):
        found = answer("off", field)  # type: ignore[arg-type]
        assert not found.may_be_typed
        assert check in [finding.check for finding in found.findings]
        assert entry_document(found, TODAY).title == f"off as the {field} cutoff: do not type it."


@given(st.text(max_size=30), st.sampled_from(["bar", "psi", "MPa"]))
def test_any_text_gets_an_answer_or_advice(text: str, unit: str) -> None:
    refused = ""
    try:
        entry_document(
            ask(
                described(unit, None, None, ["400 bar"]),
                text,
                "high",
                DEFAULT_POLICY,
                TODAY,
                only=True,
            ),
            TODAY,
        )
    except UnusableEntry as error:
        refused = error.advice
        assert refused


@pytest.mark.parametrize("value", ["", "abc", "1,500", "6 000", "-3", "nan", "28 mPa", "1e999"])
def test_what_is_no_number_is_refused_with_advice(value: str) -> None:
    with pytest.raises(UnusableEntry) as caught:
        answer(value)
    assert caught.value.message
    assert caught.value.advice


def test_without_a_profile() -> None:
    profile = described("bar", "180", "230", ["400 bar", "6000 psi"])
    found = ask(profile, "35", "high", DEFAULT_POLICY, TODAY, only=True)
    assert found.enter is not None
    assert found.enter.enter == "350"
    right = ask(profile, "300", "high", DEFAULT_POLICY, TODAY, only=True)
    assert right.may_be_typed
    assert entry_document(right, TODAY).title == (
        "300 bar as the high cutoff: may be typed, if no part from pump to column is rated lower "
        "than 400 bar."
    )
    alone = described("bar", None, None, ["400 bar"])
    only_rating = ask(alone, "380", "high", DEFAULT_POLICY, TODAY, only=True)
    assert not only_rating.may_be_typed
    assert only_rating.not_compared == ("a normal pressure",)
    assert "--expected-low" in render(entry_document(only_rating, TODAY))
    in_psi = described("psi", "120 bar", "200 bar", [])
    assert in_psi.expected is not None
    assert in_psi.expected.low.unit == "bar"


@pytest.mark.parametrize(
    ("unit", "low", "high", "ratings", "says"),
    [
        (None, "1", "2", [], "the instrument's unit is needed"),
        ("bar", "1", None, [], "only one of"),
        ("bar", None, None, [], "nothing to compare"),
        ("barr", "1", "2", [], "--unit"),
        ("bar", "x", "2", [], "--expected-low"),
        ("bar", None, None, ["400"], "--rating"),
        ("bar", "2", "1", [], "--expected-low 2 bar is above --expected-high 1 bar"),
    ],
)
def test_what_is_missing_or_wrong_is_named(
    unit: str | None, low: str | None, high: str | None, ratings: list[str], says: str
) -> None:
    with pytest.raises(UnusableEntry, match=says):
        described(unit, low, high, ratings)


def test_as_plain_data() -> None:
    schema = json.loads(
        files("limitcheck.schemas").joinpath("entry.schema.json").read_text(encoding="utf-8")
    )
    for value in ("35", "400", "0", "260.5", "9000", "off", "4061 psi", "4000 kPa", "28 N/mm2"):
        data = json.loads(json.dumps(entry_data(answer(value))))
        assert [e.message for e in Draft202012Validator(schema).iter_errors(data)] == []
    data = entry_data(answer("35"))
    assert data["typed"] == {"value": "35", "unit": "bar", "pascal": "3500000"}
    assert (data["may_be_typed"], data["recommendation"]["enter"]) == (False, "350")
    assert data["findings"][0]["check"] == "unit-confusion"


def test_what_was_not_looked_at_is_said() -> None:
    """Attack on issue 18, 1 and 30: a column without a rating, no normal pressure, an injector."""
    column = {"column": ""}
    no_band = {"expected_low": "", "expected_high": ""}
    begin = "285 bar as the high cutoff: not decided: not above a rating that is given, but not "
    for without, told, rest in (
        (column, "the rating of the column", "rating of the column"),
        (no_band, "a normal pressure", "low and high in [expected]"),
        (column | no_band, "a normal pressure or the rating of the column", "[expected]"),
    ):
        text_of = text(**({"expected_low": "180", "expected_high": "230"} | without))
        profile = load_bytes(text_of.replace("[expected]\n\n", "").encode(), "x.toml").profile
        found = ask(profile, "285", "high", DEFAULT_POLICY, TODAY)
        assert not found.may_be_typed
        assert entry_document(found, TODAY).title == f"{begin}compared with {told}."
        words = " ".join(render(entry_document(found, TODAY)).split())
        assert f"Not compared with {told}: none is given." in words
        assert rest in words
        assert entry_data(found)["not_compared"] == told


def test_a_part_that_no_check_asks_a_rating_of_is_named() -> None:
    injector = '[[flow_path]]\npart = "injector"\n\n[[flow_path]]\npart = "column"'
    given = text().replace('[[flow_path]]\npart = "column"', injector)
    found = ask(load_bytes(given.encode(), "x.toml").profile, "250", "high", DEFAULT_POLICY, TODAY)
    assert found.may_be_typed
    assert entry_document(found, TODAY).title == (
        "250 bar as the high cutoff: not above a rating that is given, but not compared with the "
        "rating of the injector."
    )


def test_a_cell_that_the_number_would_break_is_named() -> None:
    """Unless somebody answers for its protection, which holds for every lower number too."""
    cell = '\n[[flow_path]]\npart = "detector cell"\nrating = "60 bar"\n'
    for accepted, said in (("", True), (_PROTECTED, False)):
        profile = load_bytes((text() + cell + accepted).encode(), "x.toml").profile
        found = ask(profile, "240", "high", DEFAULT_POLICY, TODAY)
        words = " ".join(render(entry_document(found, TODAY)).split())
        assert ("if its outlet blocks" in words) is said
        assert not ask(profile, "60", "low", DEFAULT_POLICY, TODAY).exposes


def test_what_a_number_exposes_keeps_its_word_and_its_mark() -> None:
    """Also that the acceptance, given for a lower cutoff, holds no more: as `check` says it."""
    cell = '\n[[flow_path]]\npart = "detector cell"\nrating = "60 bar"\n'
    profile = load_bytes((text() + cell + _PROTECTED).encode(), "x.toml").profile
    found = ask(profile, "260", "high", DEFAULT_POLICY, TODAY)
    words = " ".join(render(entry_document(found, TODAY)).split())
    assert "warning: part-exposed-downstream" in words
    assert "warning: acceptance-lapsed" in words
    within = ask(profile, "240", "high", DEFAULT_POLICY, TODAY)
    assert within.exposes == ()


_PROTECTED = """
[[accepted]]
check = "part-exposed-downstream"
at = "flow_path[detector cell].rating"
value = "250 bar"
limit = "60 bar"
reason = "relief valve before the cell"
until = 2030-12-31
by = "method owner"
"""


@settings(max_examples=60)
@given(st.data())
def test_the_answer_never_says_more_than_check(data: st.DataObject) -> None:
    """Over profiles with parts, band, conditions and derating left out: what `check` leaves open
    or finds wrong of the number is never "may be typed"."""
    unrated, given = [], []
    for kind in ("pump", "injector", "fitting", "column", "detector cell"):
        rating = data.draw(st.sampled_from(["", "400 bar", "200 bar", "6000 psi"]), label=kind)
        table = data.draw(st.sampled_from(["", "", _DERATED]), label="derated")
        given.append({"kind": kind, "rating": rating, "table": table})
        unrated += [kind] if not (rating or table) and kind != "detector cell" else []
    field: Field = data.draw(st.sampled_from(["high", "low"]))
    value = str(data.draw(st.sampled_from([0, 20, 60, 110, 250, 300, 390, 420])))
    band = data.draw(st.sampled_from(["", "[expected]\nlow = 120\nhigh = 200\n"]))
    flow = data.draw(st.sampled_from(["", '[conditions]\nflow = "1 mL/min"\n', _BEYOND]))
    other = data.draw(st.sampled_from(["", "low = 60" if field == "high" else "high = 250"]))
    source = _profile(given, f"[cutoffs]\n{other}\n{field} = {value}\n{band}{flow}")
    file = load_bytes(source.encode(), "x.toml")
    found = ask(file.profile, value, field, DEFAULT_POLICY, TODAY)
    report = check_file(file, DEFAULT_POLICY, TODAY)
    against = [
        finding
        for finding in report.findings
        if (finding.path == ("cutoffs", field) and finding.severity is not Severity.NOTE)
        or any(name.startswith(field) for name in finding.data.get("checks", ()))
        or "unit-confusion" in finding.data.get("checks", ())
    ]
    title = entry_document(found, TODAY).title
    assert not (found.may_be_typed and against), [finding.message for finding in against]
    if field == "high" and unrated:
        assert "may be typed" not in title
        assert "type " not in title or "do not type" in title


_DERATED = 'rating_at_flow = [{flow = "2 mL/min", rating = "380 bar"}]'
_BEYOND = '[conditions]\nflow = "3 mL/min"\n'


def _profile(parts: list[dict[str, str]], rest: str) -> str:
    told = [
        f'[[flow_path]]\npart = "{part["kind"]}"\n{part["table"]}\n'
        + (f'rating = "{part["rating"]}"\n' if part["rating"] else "")
        for part in parts
    ]
    head = 'format = 1\n[method]\nid = "M"\n[instrument]\nid = "I"\npressure_unit = "bar"\n'
    return head + rest + "".join(told)


def test_nothing_is_said_of_a_number_where_the_band_is_in_doubt() -> None:
    found = answer("260", expected_low="230", expected_high="180")
    assert not found.may_be_typed
    assert found.enter is None
    assert "cannot be decided" in entry_document(found, TODAY).title


@pytest.mark.parametrize(
    ("number", "first"), [("400.5", "error"), ("281.5", "cell"), ("281", "cell")]
)
def test_the_worst_is_said_first(number: str, first: str) -> None:
    """A cell behind the column is exposed, a warning: an error of the number is said before it."""
    own = (Path(__file__).parents[1] / "examples/units/kestrel-bay.toml").read_text("utf-8")
    profile = load_bytes(own.encode(), "a.toml").profile
    answer = ask(profile, number, "high", DEFAULT_POLICY, TODAY)
    said = render(entry_document(answer, TODAY))
    assert "The detector cell after the column holds 150 bar" in said
    cell, error = said.index("The detector cell after"), said.find("error: ")
    assert (error >= 0) == (first == "error")
    assert first == "cell" or error < cell
