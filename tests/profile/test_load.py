"""Loading a profile: what is read, and errors with place, what was seen and what to write."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.findings import Finding
from limitcheck.profile.hardware import rated_parts, under_pressure, weakest
from limitcheck.profile.load import load_bytes, load_parsed
from limitcheck.profile.model import Column, Profile, Tube, validate_profile
from limitcheck.profile.text import NotAProfile, UnreadableProfile, parsed
from limitcheck.units import Pressure

WHOLE = """\
#:schema ../limitcheck/profile/profile.schema.json
format = 1

[method]
id = "KB-TEA-014"
title = "Xanthines in tea leaf, isocratic"
revision = "B"
site = "Kestrel Bay"

[instrument]
id = "KB-LC-03"
pressure_unit = "BAR"
display_step = 0.1
entry_max = 600

[cutoffs]
high = 260.10
low = "30 bar"

[expected]
low = 120
high = "2900 psi"
basis = "measured"

[conditions]
flow = "1.0 mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
gradient = [{minute = 0, percent_b = 5}, {minute = 12.5, percent_b = 60}]
injection_volume = "10 uL"

[[flow_path]]
part = "pump"
rating = "400 bar"
rating_at_flow = [{flow = "5 mL/min", rating = "400 bar"}, {flow = "10 mL/min", rating = "200 bar"}]

[[flow_path]]
part = "tubing"
label = "pump to injector"
length = "600 mm"
bore = "0.17 mm"
rating = "7000 psi"

[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
outlet_frit = "2 um"
rating = "400 bar"
certificate = {pressure = "88 bar", flow = "1.0 mL/min", temperature = "25 degC"}

[[flow_path]]
part = "detector cell"
rating = "60 bar"

[margins]
high = "30 %"

[[accepted]]
check = "part-exposed-downstream"
at = "flow_path[detector cell].rating"
value = "280 bar"
limit = "150 bar"
reason = "relief valve before the cell"
by = "method owner"
until = 2027-06-30
"""


def loaded(text: str) -> Profile:
    return load_bytes(text.encode(), "a.toml").profile


def errors(text: str) -> tuple[Finding, ...]:
    with pytest.raises(UnreadableProfile) as caught:
        loaded(text)
    return caught.value.findings


@pytest.mark.parametrize(
    "rating",
    ["6 N/mm2", "6,0 MPa", "6e1 bar", "60 barg", "60\u00a0bar", "\uff16\uff10 bar", "6.000 MPa"],
)
def test_a_rating_is_read_as_on_the_command_line(rating: str) -> None:
    """But for a point, which is a decimal point as everywhere in TOML."""
    profile = loaded(WHOLE.replace('rating = "60 bar"', f'rating = "{rating}"', 1))
    assert Pressure.parse("60 bar") in [part.rating for part in profile.flow_path]


def test_everything_in_the_format_is_read_exactly() -> None:
    profile = loaded(WHOLE)
    assert profile.instrument.pressure_unit == "bar"
    assert profile.cutoffs.high == Pressure.of("260.1", "bar")
    assert str(profile.cutoffs.high) == "260.10 bar"
    assert profile.expected is not None
    assert profile.expected.high == Pressure.parse("2900 psi")
    assert profile.conditions is not None
    assert profile.conditions.gradient is not None
    assert profile.conditions.gradient[1].minute == Fraction(25, 2)
    tube, column = profile.flow_path[1], profile.flow_path[2]
    assert isinstance(tube, Tube)
    assert tube.name == "tubing (pump to injector)"
    assert isinstance(column, Column)
    assert column.particle == "fully porous"
    assert column.certificate is not None


@pytest.mark.parametrize(
    ("old", "new", "says", "advises"),
    [
        ('rating = "7000 psi"', "rating = >>7000", "7000 has no unit", '"400 bar"'),
        ('bore = "0.17 mm"', 'bore = >>"0.17"', "has no unit", '"150 mm"'),
        ('bore = "0.17 mm"', 'bore = >>"0 mm"', "not above zero", "above zero"),
        ('bore = "0.17 mm"', '>>boree = "0.17 mm"', "unknown key boree", "did you mean bore?"),
        ('rating = "60 bar"', 'rating = >>"60 mPa"', "millipascal", "MPa"),
        ('rating = "60 bar"', 'rating = >>"6,000 bar"', "comma", '"6000 bar" or "6 bar"'),
        ('rating = "60 bar"', 'rating = >>"60 psia"', "absolute", "gauge"),
        ('rating = "60 bar"', 'rating = >>"6 mpa"', "neither", '"6 MPa"'),
        ('rating = "60 bar"', 'rating = >>"50-60 bar"', "more than one", "that is meant"),
        ('rating = "60 bar"', 'rating = >>"≈60 bar"', "no single number", '"60 bar"'),
        ('rating = "60 bar"', 'rating = >>"60 atm"', "not a known unit", 'convert "60 atm" --to'),
        ('pressure_unit = "BAR"', 'pressure_unit = >>"kgf/mm2"', "no instrument", "write one of"),
        ('rating = "60 bar"', "rating = >>2027-06-30", "a date or time", '"400 bar"'),
        ("high = 260.10", 'high = >>"3600 psi"', "shows bar", "248.2"),
        ("high = 260.10", 'high = >>"260"', "has no unit", "with its unit"),
        ("high = 260.10", "high = >>true", "true or false where a number", "bare number"),
        ("high = 260.10", "high = >>-1", "negative", "zero or more"),
        ("high = 260.10", "high = >>nan", "not a number that can be set", "finite"),
        ("high = 260.10", "high = >>-inf", "not a number that can be set", "finite"),
        ("high = 260.10", "high = >>1e999", "10^999", "displayed"),
        ("high = 260.10", "high = >>" + "9" * 400, "digits", "displayed"),
        ("high = 260.10", "high = >>[260]", "a list where a number", "bare number"),
        ("high = 260.10", "high = >>07:32:00", "a date or time", "bare number"),
        ("display_step = 0.1", "display_step = >>0", "zero", "above zero"),
        ('pressure_unit = "BAR"', 'pressure_unit = >>"barr"', "not a known unit", "bar?"),
        ('pressure_unit = "BAR"', "pressure_unit = >>1", "a number where a unit", '"bar"'),
        ('part = "tubing"', 'part = >>"tubbing"', 'no part "tubbing"', "tubing?"),
        ('part = "tubing"', "part = >>3", 'no part "3"', "parts: "),
        ('basis = "measured"', 'basis = >>"measurd"', "not one of its values", "measured?"),
        ("percent_b = 60", "percent_b = >>160", "more than 100", "0 to 100"),
        ("minute = 12.5", "minute = >>-2", "negative", "zero or more"),
        ('flow = "1.0 mL/min"\n', 'flow = >>"1.0 bar"\n', "unit of pressure", "1.0 mL/min"),
        ("until = 2027-06-30", 'until = >>"2027-06-30"', "text where a date", "2027-06-30"),
        ('id = "KB-LC-03"', "id = >>3", "a number where text", "quotes"),
        ('id = "KB-LC-03"', 'id = >>"a\\u001b[2J"', "control character", "one line"),
        ('id = "KB-LC-03"', 'id = >>""', "empty text", "leave the key out"),
        ('id = "KB-LC-03"', f'id = >>"{"x" * 301}"', "301 characters", "at most 300"),
        ("format = 1", "format = >>2", "is not known", "format = 1"),
        ('[method]\nid = "KB-TEA-014"\n', ">>[method]\n", "id is missing", "id ="),
        ('high = "30 %"', "high = >>0.3", "no unit", '"25 %"'),
    ],
)
def test_an_error_says_where_what_and_what_to_write(
    old: str, new: str, says: str, advises: str
) -> None:
    """`>>` stands before the place that the error must name."""
    assert old in WHOLE
    marked = WHOLE.replace(old, new, 1)
    before = marked[: marked.index(">>")]
    (finding,) = errors(marked.replace(">>", "", 1))
    assert finding.location is not None
    assert finding.location.line == before.count("\n") + 1
    assert finding.location.column == len(before) - before.rfind("\n")
    assert says in finding.message
    assert advises in finding.advice


def test_everything_wrong_is_said_at_once_in_order_of_lines() -> None:
    text = WHOLE.replace("high = 260.10", "high = true").replace('id = "KB-TEA-014"', "idd = 1")
    found = errors(text.replace('rating = "60 bar"', "rating = 60"))
    lines = [f.location.line for f in found if f.location]
    assert lines == sorted(lines)
    assert len(found) == 3  # not, too, that `id` is missing: it is misspelt


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (WHOLE.replace('part = "pump"', 'part = "mixer"'), "begins with a mixer"),
        (WHOLE.replace('part = "column"', 'part = "filter"'), "unknown key"),
        ('format = 1\n[method]\nid = "a"\n', "instrument is missing"),
        (WHOLE.replace("gradient = [{minute = 0, percent_b = 5}, ", "gradient = ["), "too few"),
        (WHOLE.replace("minute = 0,", "minute = 20,"), "go backwards"),
        (WHOLE.replace("gradient =", "percent_b = 3\ngradient ="), "both percent_b and gradient"),
        (WHOLE.replace("[margins]\n", "[[margins]]\n"), "a list where a table"),
        (WHOLE.replace("[method]\n", "[[method]]\n"), "a list where a table"),
        (WHOLE.replace("[conditions]", "[condition]"), "unknown key condition"),
        (WHOLE.replace('part = "tubing"\n', ""), "has no part"),
        ('title = "something else"\n', "not a profile"),
    ],
)
def test_shape_errors(text: str, says: str) -> None:
    assert any(says in finding.message for finding in errors(text))


def test_a_flow_path_needs_a_column() -> None:
    text = 'format = 1\n[method]\nid = "a"\n[instrument]\nid = "b"\npressure_unit = "psi"\n'
    (finding,) = errors(text + '[[flow_path]]\npart = "pump"\n')
    assert "no column" in finding.message


def test_another_toml_file_is_told_apart_from_a_broken_profile() -> None:
    with pytest.raises(NotAProfile):
        load_parsed(parsed(b'title = "other"\n', "a.toml"), only_profiles=True)
    with pytest.raises(UnreadableProfile):
        load_parsed(parsed(b"format = 1\n", "a.toml"), only_profiles=True)


@given(st.decimals(min_value=0, max_value=10**6, places=3))
def test_a_number_keeps_the_digits_that_were_typed(number: Decimal) -> None:
    high = loaded(WHOLE.replace("260.10", f"{number:f}")).cutoffs.high
    assert high is not None
    assert (high.number, high.to("bar")) == (f"{number:f}", Fraction(number))


def test_python_callers_may_give_floats() -> None:
    """A float means its shortest decimal text."""
    data = {
        "format": 1,
        "method": {"id": "a"},
        "cutoffs": {"high": 26.1},
        "instrument": {"id": "b", "pressure_unit": "MPa"},
        "flow_path": [{"part": "pump"}, {"part": "column"}],
    }
    high = validate_profile(data).cutoffs.high
    assert high is not None
    assert high.to("MPa") == Fraction(261, 10)


def test_written_and_read_again_is_the_same_profile() -> None:
    import tomllib

    again = tomli_w.dumps(tomllib.loads(WHOLE))
    assert loaded(again).flow_path == loaded(WHOLE).flow_path


@pytest.mark.parametrize(
    ("flow", "holds", "on_a_line", "beyond"),
    [
        ("1 mL/min", 400, 400, False),
        ("5 mL/min", 400, 400, False),
        ("5.001 mL/min", 200, "399.96", False),
        ("8 mL/min", 200, 280, False),
        ("10 mL/min", 200, 200, False),
        ("12 mL/min", 200, 200, True),
    ],
)
def test_derating_is_read_as_steps_unless_a_line_is_stated(
    flow: str, holds: int, on_a_line: int | str, beyond: bool
) -> None:
    """Worked by hand: 400 bar at 5 mL/min, 200 bar at 10 mL/min; 8 mL/min is 3/5 of the way."""
    text = WHOLE.replace('flow = "1.0 mL/min"\n', f'flow = "{flow}"\n', 1)
    for told, rating in (("", holds), ("interpolate = true\n", on_a_line)):
        pump = rated_parts(loaded(text.replace("rating_at_flow", f"{told}rating_at_flow", 1)))[0]
        assert pump.pressure == Pressure.of(rating, "bar")
        assert pump.deratings[0].beyond is beyond
        assert pump.deratings[0].step is (not told and holds != on_a_line)


def test_a_table_that_rises_holds_the_lower_of_both_between_its_points() -> None:
    """A plate of 200 bar to 5 mL/min and 400 bar to 10 mL/min: at 8 mL/min, 200 bar."""
    text = WHOLE.replace('rating = "400 bar"}, {flow = "10', 'rating = "200 bar"}, {flow = "10')
    text = text.replace('"10 mL/min", rating = "200 bar"', '"10 mL/min", rating = "400 bar"')
    text = text.replace('flow = "1.0 mL/min"\n', 'flow = "8 mL/min"\n', 1)
    pump = rated_parts(loaded(text))[0]
    assert pump.pressure == Pressure.of(200, "bar")


def test_the_weakest_part_is_found_from_pump_to_column() -> None:
    """Worked by hand: 400 bar pump, 7000 psi = 482.6 bar tubing, 400 bar column; the cell is
    after the column and does not count."""
    parts = under_pressure(loaded(WHOLE))
    found = weakest(parts)
    assert [part.part.part for part in parts] == ["pump", "tubing", "column"]
    assert found is not None
    assert found.place == 0
    assert weakest(()) is None


def test_a_rating_may_be_given_by_its_table_alone() -> None:
    text = WHOLE.replace('part = "pump"\nrating = "400 bar"\n', 'part = "pump"\n')
    assert rated_parts(loaded(text))[0].pressure == Pressure.of(400, "bar")
