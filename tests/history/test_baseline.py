"""The normal band from a log: interval, drift, steps, mixed units, notes."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random
from statistics import fmean, stdev

import pytest

from limitcheck.history.autocorrelation import remember
from limitcheck.history.baseline import find_baseline
from limitcheck.history.layout import Options
from limitcheck.history.lines import LogError
from limitcheck.history.log import Choice, Log
from limitcheck.history.phase import find_other_units
from limitcheck.history.summaries import MOST_LISTED
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure
from tests.cli.test_baseline import BAD_LOGS
from tests.history.baseline_study import clean, study
from tests.history.logs import baseline, runs, told
from tests.history.test_summaries import tally
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

PROFILE = with_geometry().profile
PSI = with_geometry(
    WITH_GEOMETRY.replace('"bar"\ndisplay_step = 1', '"psi"\ndisplay_step = 1')
    .replace("high = 260\nlow = 30", "high = 3800\nlow = 400")
    .replace("low = 145\nhigh = 172", "low = 2700\nhigh = 3100")
).profile


def values(text: str) -> list[float]:
    return [float(line.split(",")[1]) for line in text.splitlines()[1:]]


def test_normal_interval_of_few_readings() -> None:
    text = runs(30)
    (phase,) = baseline(text).phases
    mean, deviation = fmean(values(text)), stdev(values(text))
    assert phase.interval is not None
    assert phase.interval.kind == "normal"
    # k for n = 30: tests/reference/tolerance_factors.csv
    assert phase.interval.low == pytest.approx(mean - 2.5549 * deviation, abs=0.001)
    assert phase.interval.high == pytest.approx(mean + 2.5549 * deviation, abs=0.001)
    assert "fewer than the 93" in phase.interval.why


def test_distribution_free_interval_of_many() -> None:
    text = runs(93)
    (phase,) = baseline(text).phases
    assert phase.interval is not None
    assert phase.interval.kind == "distribution-free"
    assert (phase.interval.low, phase.interval.high) == (min(values(text)), max(values(text)))


def test_coverage_and_confidence_are_options() -> None:
    choice = Choice(coverage=0.9, confidence=0.9)
    assert baseline(runs(38), choice=choice).phases[0].interval.kind == "distribution-free"  # type: ignore[union-attr]
    normal = Choice(interval="normal")
    assert baseline(runs(200), choice=normal).phases[0].interval.kind == "normal"  # type: ignore[union-attr]
    free = Choice(interval="distribution-free")
    few = baseline(runs(60), choice=free)
    assert few.expected is None
    assert any("at least 5 readings" in note for note in few.notes)


def test_expected_table_is_rounded_outward_in_the_instruments_unit() -> None:
    found = baseline(runs(30), of=PROFILE)
    (phase,) = found.phases
    assert phase.interval is not None
    assert found.expected is not None
    low, high = (float(p) / 1e5 for p in (found.expected.low, found.expected.high))
    assert phase.interval.low - 1 < low <= phase.interval.low
    assert phase.interval.high <= high < phase.interval.high + 1


def test_a_bound_that_the_display_can_show_is_kept() -> None:
    in_tenths = with_geometry(
        WITH_GEOMETRY.replace("display_step = 1", "display_step = 0.1")
    ).profile
    log = "time,pressure (bar)\n" + "2026-01-02,20.3\n" * 60 + "2026-01-02,28.6\n" * 60
    found = baseline(log, of=in_tenths)
    assert found.expected is not None
    assert str(found.expected) == "20.3 to 28.6 bar"


def test_unit_of_the_log_is_converted() -> None:
    psi = runs(
        30, header="time,pressure (psi)", row=lambda t, p, i: f"{t:%Y-%m-%d},{p * 14.503774:.1f}"
    )
    found = baseline(psi, of=PROFILE)
    assert found.unit == "bar"
    assert found.phases[0].median == pytest.approx(158, abs=1.5)


def test_too_few_readings() -> None:
    found = baseline(runs(4))
    assert found.expected is None
    assert found.phases[0].interval is None
    assert found.phases[0].trend is None


def test_one_reading() -> None:
    found = baseline(runs(1), of=PROFILE)
    assert found.phases[0].deviation == 0


def test_drift_and_the_day_the_cutoff_is_reached() -> None:
    """A rise of 0.5 bar a run (a day) from run 40 on: 158 + 0.5 x 204 = 260 bar 244 runs in."""
    found = baseline(runs(110, lambda i: max(0, i - 40) * 0.5), of=PROFILE)
    trend = found.phases[0].trend
    assert trend is not None
    assert trend.first_out is not None
    assert 40 < trend.first_out.line - 2 < 55
    assert trend.direction == "rising"
    assert trend.slope == pytest.approx(0.5, abs=0.05)
    assert trend.reaches_cutoff is not None
    days = (trend.reaches_cutoff - datetime(2026, 1, 12)).days
    assert days == pytest.approx(244, abs=15)
    assert not found.steady


def test_falling_towards_the_low_cutoff() -> None:
    trend = baseline(runs(90, lambda i: -0.8 * i), of=PROFILE).phases[0].trend
    assert trend is not None
    assert trend.direction == "falling"
    assert trend.reaches_cutoff is not None


def test_a_column_change_is_a_step() -> None:
    text = runs(
        80,
        lambda i: 20 if i >= 50 else 0,
        header="time,pressure (bar),column serial",
        row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},{'C-1' if i < 50 else 'C-2'}",
    )
    found = baseline(text)
    trend = found.phases[0].trend
    assert trend is not None
    (step,) = trend.steps
    assert step.line == 52
    assert step.height == pytest.approx(20, abs=3)
    assert step.column == "C-1 to C-2"
    assert found.columns == ("C-1", "C-2")
    alone = baseline(text, choice=Choice(column="C-2"))
    assert alone.phases[0].readings == 30
    assert alone.steady


def test_steady_log_says_so() -> None:
    found = baseline(runs(100, seed=2), of=PROFILE)
    assert found.steady
    assert found.notes == ()


def test_outliers_are_kept_and_listed() -> None:
    found = baseline(runs(40, lambda i: 60 if i in (7, 30) else 0))
    phase = found.phases[0]
    assert phase.readings == 40
    assert phase.highest > 210
    assert [place.line for place in phase.outliers] == [9, 32]
    assert any("2 readings far from the neighbours (first in line 9)" in d for d in found.doubts)
    assert "Delete" not in told(found)


def test_mixed_units_are_found_and_left_out() -> None:
    text = runs(60, row=lambda t, p, i: f"{t:%Y-%m-%d},{p * (14.503774 if i % 20 == 5 else 1):.0f}")
    found = baseline(text, of=PROFILE)
    (other,) = found.phases[0].other_units
    assert (other.unit, other.readings) == ("psi", 3)
    assert other.low > 2000
    assert found.phases[0].readings == 57
    assert len(found.doubts) == 1
    assert "3 readings from 2" in found.doubts[0]
    assert not found.steady


@pytest.mark.parametrize(
    ("unit", "other", "value"),
    [
        ("bar", "psi", 2900),
        ("bar", "MPa", 20),
        ("bar", "kPa", 20000),
        ("psi", "bar", 200),
        ("MPa", "psi", 29000),
        ("MPa", "bar", 2000),
        ("kPa", "psi", 29),
    ],
)
def test_every_pair_of_units(unit: str, other: str, value: float) -> None:
    usual = float(Pressure.of(str(value), other).to(unit))
    log = tally([usual * (1 + i / 1000) for i in range(-30, 31)] + [float(value)] * 4)
    (found,) = find_other_units(log, unit)
    assert (found.unit, found.readings) == (other, 4)


@pytest.mark.parametrize("order", ["in a row", "in turn"])
@pytest.mark.parametrize("every", [2, 4, 10])
@pytest.mark.parametrize(
    ("own", "other"),  # kPa in a log of MPa are refused: no pump makes 16,000 MPa
    [
        (o, a)
        for o in ("bar", "MPa", "psi")
        for a in ("MPa", "psi", "kPa")
        if (o, a) != ("MPa", "kPa")
    ],
)
def test_clusters_a_units_factor_apart_are_told(
    own: str, other: str, order: str, every: int
) -> None:
    """Attack on issue 18, 24: half of the rows in bar, half in MPa, and no word of it.

    The log says one unit; one row in `every` is in another, and as many the other way round.
    """
    if own == other:
        other = "bar"
    for few, many in ((own, other), (other, own)):

        def row(t: object, p: float, i: int, few: str = few, many: str = many) -> str:
            turn = i % every == 1 if order == "in turn" else i < 40 // every
            number = Pressure.of(str(p), "bar").to(few if turn else many)
            return f"{t:%Y-%m-%d},{float(number):.3f}"

        found = baseline(runs(40, header=f"time,pressure ({own})", row=row))
        assert not found.steady
        unit = "in " + (other if other != own else own)
        assert any(unit in doubt and "column called unit" in doubt for doubt in found.doubts)


def test_rows_are_not_chosen_by_a_column_that_the_log_does_not_have() -> None:
    """Attack on issue 18, 23: the method asked for was dropped without a word."""
    for choice in (Choice(method="XX"), Choice(column="K-1")):
        with pytest.raises(LogError, match="no column of the log says the") as caught:
            find_baseline(io.BytesIO(runs(30).encode()), "log.csv", Options(), choice)
        assert "leave --" in caught.value.advice


def test_what_no_unit_explains_is_an_outlier() -> None:
    assert find_other_units(tally([200.0] * 30 + [210.0] * 30 + [50.0, 0.0]), "bar") == ()


def test_a_whole_log_in_another_unit_is_said() -> None:
    found = baseline(
        runs(
            30,
            header="time,pressure (bar)",
            row=lambda t, p, i: f"{t:%Y-%m-%d},{p * 14.503774:.0f}",
        ),
        of=PROFILE,
    )
    assert any("inside it if the log is in psi" in doubt for doubt in found.doubts)


def test_readings_that_depend_on_each_other_are_said() -> None:
    twice = runs(60, row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f}\n{t:%Y-%m-%d},{p:.0f}")
    found = baseline(twice)
    assert found.phases[0].correlation == pytest.approx(0.5, abs=0.15)
    assert any("neighbouring readings are alike" in note for note in found.notes)


def test_phases_have_bands_of_their_own() -> None:
    text = runs(
        40,
        lambda i: 40 if i % 2 else 0,
        header="time,pressure (bar),phase",
        row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},{'peak' if i % 2 else 'start'}",
    )
    found = baseline(text, of=PROFILE)
    assert [phase.phase for phase in found.phases] == ["start", "peak"]
    assert [phase.readings for phase in found.phases] == [20, 20]
    assert found.expected is not None
    assert float(found.expected.low) < 158e5
    assert float(found.expected.high) > 198e5


TWO_METHODS = runs(
    20,
    header="time,pressure (bar),method",
    row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},{'KB-TEA-014' if i % 2 else 'KB-COFFEE-2'}",
)


def test_the_profiles_method_is_taken() -> None:
    found = baseline(TWO_METHODS, of=PROFILE)
    assert (found.method, found.phases[0].readings) == ("KB-TEA-014", 10)


def test_a_method_must_be_chosen() -> None:
    with pytest.raises(LogError, match="2 methods"):
        baseline(TWO_METHODS)
    assert baseline(TWO_METHODS, choice=Choice(method="kb-coffee-2")).phases[0].readings == 10
    with pytest.raises(LogError, match='no reading is of method "X"'):
        baseline(TWO_METHODS, choice=Choice(method="X"))


def test_another_method_is_said() -> None:
    text = runs(
        20, header="time,pressure (bar),method", row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},HM-9"
    )
    assert any('method "HM-9"' in doubt for doubt in baseline(text, of=PROFILE).doubts)


def test_since_and_until() -> None:
    choice = Choice(since=datetime(2026, 1, 20), until=datetime(2026, 1, 29, 23, 59))
    assert baseline(runs(60), choice=choice).phases[0].readings == 10
    with pytest.raises(LogError, match="no reading is left"):
        baseline(runs(60), choice=Choice(since=datetime(2030, 1, 1)))


def test_a_wrong_phase_column_is_said() -> None:
    text = runs(
        60, header="time,pressure (bar),phase", row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},run {i}"
    )
    with pytest.raises(LogError, match="more than 50 different"):
        baseline(text)


def test_band_beyond_the_cutoffs_is_said() -> None:
    high = baseline(runs(30, lambda i: 100), of=PROFILE)
    assert any("reaches the high cutoff" in doubt for doubt in high.doubts)
    low = baseline(runs(30, lambda i: -128), of=PROFILE)
    assert any("reaches down to the low cutoff" in doubt for doubt in low.doubts)


def test_all_readings_zero() -> None:
    found = baseline("time,pressure (bar)\n" + "2026-01-02,0\n" * 30)
    assert found.expected is not None
    assert str(found.expected) == "0 to 0 bar"


def test_zeros_are_left_out_and_said() -> None:
    found = baseline(BAD_LOGS["zeros"])
    (phase,) = found.phases
    assert phase.off is not None
    assert (phase.off.readings, phase.off.line, phase.off.high) == (3, 7, 0.0)
    assert phase.lowest > 140
    assert not found.steady
    assert "3 readings from 0 to 0 bar (first in line 7): the pump was off" in found.doubts[0]


def test_two_levels_are_two_bands() -> None:
    found = baseline(BAD_LOGS["levels"])
    (phase,) = found.phases
    assert phase.levels is not None
    low, high = phase.levels
    assert (low.readings, high.readings) == (30, 30)
    assert low.high < 170 < 205 < high.low
    assert not found.steady
    assert "two levels" in found.doubts[0]
    assert "column called phase" in found.doubts[0]
    assert baseline(runs(60)).phases[0].levels is None


def test_a_growing_swing_is_not_steady() -> None:
    found = baseline(BAD_LOGS["swing"])
    scatter = found.phases[0].scatter
    assert scatter is not None
    assert scatter.signal is not None
    assert 33 <= scatter.signal.line <= 40
    assert scatter.latest > 3 * scatter.usual
    assert "scatter more since" in found.doubts[0]


@pytest.mark.parametrize(
    ("cells", "options", "of", "read"),
    [
        (("2.938", "2.901", "987"), Options(), PSI, (2938, 2901, 987)),
        (("2.938", "2.901", "2950"), Options(), PSI, (2.938, 2.901, 2950)),
        (("2.938", "2.9", "2950"), Options(), None, (2.938, 2.9, 2950)),
        (("2.938", "987,5"), Options(), None, (2938, 987.5)),
        (("1.002.938", "987,5"), Options(unit="kPa"), None, (1002938, 987.5)),
        (("2,938", "2,901"), Options(), PSI, (2938, 2901)),
        (("2.938", "2.901"), Options(decimal="comma"), None, (2938, 2901)),
        (("2.938", "2.901"), Options(decimal="point"), None, (2.938, 2.901)),
        (("2,938.5", "2,901"), Options(), None, (2938.5, 2901)),
    ],
)
def test_thousands_are_told_from_decimals_by_the_column(
    cells: tuple[str, ...], options: Options, of: Profile | None, read: tuple[float, ...]
) -> None:
    unit = options.unit or "psi"
    rows = [f"2026/01/{i + 2:02d};{cell}" for i, cell in enumerate(cells)]
    text = "\n".join([f"time;pressure ({unit})", *rows]) + "\n"
    scale = None if of is None else (float(of.expected.low), float(of.expected.high))  # type: ignore[union-attr]
    found = Log(io.BytesIO(text.encode()), "runs.csv", unit, replace(options, scale=scale))
    assert [row.pressure for row in found.rows()] == pytest.approx(read)


@pytest.mark.parametrize("cells", [("2.938", "2.901"), ("2,938", "987"), ("2.938", "2,938")])
def test_thousands_are_asked_where_nothing_decides(cells: tuple[str, ...]) -> None:
    text = "time;pressure (psi)\n" + "".join(f"2026-01-02;{cell}\n" for cell in cells)
    with pytest.raises(LogError, match=r"thousands") as caught:
        baseline(text)
    assert "--decimal comma" in caught.value.advice
    assert caught.value.column == 12


def test_a_spreadsheets_utf_16_is_read() -> None:
    text = runs(30).replace(",", "\t")
    for encoding in ("utf-16", "utf-16-le", "utf-16-be", "utf-8-sig"):
        mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(encoding, b"")
        assert baseline(mark + text.encode(encoding)).phases == baseline(text).phases


def test_no_wrong_band_is_written() -> None:
    """baseline_study.py, 1,000 logs: none; 96 % of clean logs are taken."""
    for defect, counted in study(80, seed=7).items():
        assert counted["written wrong"] == counted["part wrong"] == 0, defect
        assert counted["refused"] + counted["not written"] >= 8, defect
    assert clean(20)["written"] >= 17


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        (runs(60, lambda i: 300, seed=2), "reaches the high cutoff"),
        (runs(60, lambda i: 110, seed=2), "reaches the high cutoff"),
        (runs(60, lambda i: -158, row=lambda t, p, i: f"{t:%Y-%m-%d},0"), "every reading is zero"),
        (runs(60, lambda i: -135, seed=2), "reaches down to the low cutoff"),
        (runs(60, lambda i: 10 * math.sin(i / 8), seed=2), "tell about as much as"),
        (runs(60, lambda i: 8 * 2 * (i * 7919 % 13 > 6), seed=2), "two levels"),
    ],
    ids=["over a rating", "over a cutoff", "zeros", "under a cutoff", "wandering", "two levels"],
)
def test_what_is_no_normal_is_in_doubt(text: str, doubt: str) -> None:
    found = baseline(text, of=PROFILE)
    assert not found.steady
    assert any(doubt in told for told in found.doubts), found.doubts


def test_too_few_to_tell_are_not_called_steady() -> None:
    assert not baseline(runs(8, seed=2)).steady
    assert baseline(runs(8, seed=2)).expected is not None


def test_many_wild_readings_are_taken_out_wherever_they_are_counted() -> None:
    """More than are listed, and more distinct values than are counted exactly."""
    rng = Random(3)
    start = datetime(2026, 1, 1)

    def wild() -> float:
        return rng.choice((-60, 60)) if rng.random() < 0.06 else 0.0

    rows = [
        f"{start + timedelta(seconds=9 * i)},{rng.gauss(286, 3) + wild():.6f}"
        for i in range(30_000)
    ]
    found = baseline("time,pressure (bar)\n" + "\n".join(rows) + "\n")
    (phase,) = found.phases
    assert phase.outlier_count > MOST_LISTED
    assert phase.without_outliers is not None
    assert phase.without_outliers.high - phase.without_outliers.low < 20
    assert any("far from the neighbours" in doubt for doubt in found.doubts)
    assert not found.steady


def test_ten_readings_with_a_step_are_not_steady() -> None:
    assert not baseline(runs(10, lambda i: 16 * (i > 4))).steady


def test_values_alike_remember_nothing() -> None:
    for values in ([286.0] * 60, [0.0] * 60, [float(i % 2) for i in range(60)]):
        assert remember(values, 0.3).phi <= 0.05
    assert remember([286.0] * 60, 0.0).steps == ()
