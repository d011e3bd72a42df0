"""The rows of the fleet: what they say of a profile, and their order."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from limitcheck.checking.fleet import FleetRow, Nearness, by_harm, fleet_of
from limitcheck.checking.policy_file import policy_for
from limitcheck.checking.results import worst_of
from limitcheck.checking.run import Target, check_targets
from limitcheck.page.states import States, stamp
from tests.profiles_for_tests import write

ROOT = Path(__file__).parents[2]
CASES, STARTING = ROOT / "tests/cases", ROOT / "profiles"
DAY = date(2026, 11, 27)
DETECTOR = '[[flow_path]]\npart = "detector cell"\nrating = "400 bar"\n'
ACCEPTED = """
[[accepted]]
check = "high-cutoff-above-rating"
at = "cutoffs.high"
value = "420 bar"
limit = { pump = "400 bar" }
reason = "a relief valve"
by = "method owner"
until = 2099-01-01
"""


def rows_of(*paths: Path, jobs: int = 1) -> list[FleetRow]:
    targets = [Target(str(path)) for path in paths]
    return fleet_of(check_targets(targets, policy_for, DAY, facts=True, jobs=jobs).reports)


def row_of(path: Path) -> FleetRow:
    (row,) = rows_of(path)
    return row


def test_a_profile_in_psi_worked_out_by_hand() -> None:
    row = row_of(STARTING / "conventional-400-bar-in-psi.toml")
    facts = row.facts
    assert facts is not None
    psi = Fraction(8896443230521, 129032 * 10**4)  # Pa: 4.4482216152605 N on 0.00064516 m2
    assert facts.high is not None
    assert facts.high.value == 1703 * psi
    assert (facts.part, str(facts.weakest), facts.unit) == ("pump", "400 bar", "psi")
    headroom, above, under = (
        facts.margins.headroom,
        facts.margins.over_band,
        facts.margins.under_band,
    )
    assert headroom is not None
    assert headroom.share == (40_000_000 - 1703 * psi) / 40_000_000
    assert float(headroom.room("bar")) == pytest.approx(282.5823, abs=1e-4)
    assert above is not None
    assert (above.share, above.room("psi")) == (Fraction(340, 1363), 340)
    assert under is not None
    assert (under.share, under.room("psi")) == (Fraction(311, 623), 311)
    assert (facts.rated, facts.headroom_is, facts.derated) == (True, "decided", False)


def test_a_rating_lowered_by_flow_is_the_one_in_force() -> None:
    row = row_of(CASES / "rating-derated-by-flow.toml")
    facts = row.facts
    assert facts is not None
    assert (facts.part, str(facts.weakest), facts.derated) == ("pump", "200 bar", True)
    assert facts.headroom == Fraction(-1, 4)
    assert (row.nearness, row.state) == (Nearness.BEYOND, "error")


def test_beyond_the_end_of_a_table_headroom_is_at_most_so_much() -> None:
    row = row_of(CASES / "rating-derated-beyond-table.toml")
    facts = row.facts
    assert facts is not None
    assert (str(facts.weakest), facts.rated) == ("300 bar", False)
    assert facts.unrated == ("column at a temperature of 70 degC",)
    assert (facts.headroom, facts.headroom_is) == (Fraction(1, 6), "at most")
    assert "high-cutoff-above-rating" in row.left_open


def test_no_band_no_rating_and_cutoffs_that_are_off(tmp_path: Path) -> None:
    bare = write(tmp_path, "bare.toml", pump="", column="")
    bare.write_text(bare.read_text("utf-8").replace("[expected]\nlow = 120\nhigh = 200\n", ""))
    facts = row_of(bare).facts
    assert facts is not None
    assert (facts.band, facts.weakest, facts.part, facts.headroom) == (None, None, "", None)
    assert facts.headroom_is == "not known"
    assert facts.unrated == ("pump", "column")
    assert facts.margins.known == ()
    off = row_of(write(tmp_path, "off.toml", high="0", low="0")).facts
    assert off is not None
    assert (off.stops, off.warns, off.headroom) == (False, False, None)


def test_the_newest_day_of_what_was_measured(tmp_path: Path) -> None:
    path = write(tmp_path)
    assert facts_of_file(path) == (0, None)
    pair = '[[measured]]\nflow = "1 mL/min"\npressure = "150 bar"\n'
    path.write_text(path.read_text("utf-8") + pair, "utf-8")
    assert facts_of_file(path) == (1, None)
    days = "".join(f"{pair}day = {day}\n" for day in ("2026-03-02", "2026-11-27", "2025-12-31"))
    path.write_text(path.read_text("utf-8") + days, "utf-8")
    assert facts_of_file(path) == (4, date(2026, 11, 27))


def facts_of_file(path: Path) -> tuple[int, date | None]:
    facts = row_of(path).facts
    assert facts is not None
    return facts.pairs, facts.last_measured


def ordered(tmp_path: Path) -> list[Path]:
    """One file for each place in the order."""
    broken = tmp_path / "j-broken.toml"
    broken.write_text('format = 1\n[instrument]\nid = "x"\n', "utf-8")
    accepted = write(tmp_path, "g-accepted.toml", high="420", method='"KB-1"')
    accepted.write_text(accepted.read_text("utf-8") + ACCEPTED, "utf-8")
    return [
        broken,
        write(tmp_path, "i-none.toml", high="", method='"KB-2"'),
        write(tmp_path, "h-far-over.toml", high="600", method='"KB-3"'),
        accepted,
        write(tmp_path, "f-by-a-hair.toml", high="400.1", method='"KB-4"', step="0.1"),
        write(tmp_path, "e-at-the-rating.toml", high="400", method='"KB-5"'),
        write(tmp_path, "d-little.toml", high="390", method='"KB-6"'),
        write(tmp_path, "c-no-low.toml", low="", method='"KB-7"'),
        write(tmp_path, "b-no-rating.toml", pump="", column="", method='"KB-8"'),
        write(tmp_path, "b-one-rating.toml", column="", method='"KB-9"'),
        write(tmp_path, "a-well-less.toml", high="260", method='"KB-10"'),
        write(tmp_path, "a-well.toml", high="245", method='"KB-11"'),
    ]


def test_what_is_nearest_to_harm_comes_first(tmp_path: Path) -> None:
    (tmp_path / "limitcheck.toml").write_text("[acceptances]\nnever = []\n", "utf-8")
    wanted = ordered(tmp_path)
    rows = rows_of(*reversed(wanted))
    assert [row.path for row in rows] == [str(path) for path in wanted]
    assert [row.nearness.name for row in rows] == [
        "UNREADABLE",
        *["BEYOND"] * 4,
        *["NEAR"] * 3,
        *["NOT_DECIDED"] * 4,
    ]
    # All is rated, and checks that are not required are open.
    assert [row.state for row in rows][-2:] == ["not decided"] * 2
    # An acceptance answers for a finding; the cutoff is over the rating as before.
    assert ("accepted", 1) in rows[3].counts


def test_an_error_is_near_to_harm_whatever_is_known_of_the_ratings(tmp_path: Path) -> None:
    """No rating, and a low cutoff above the high one: the run stops at once."""
    wrong = write(tmp_path, "z.toml", high="28", low="30", pump="", column="", method='"KB-1"')
    well = write(tmp_path, "a.toml", high="245", method='"KB-2"')
    first, second = rows_of(well, wrong)
    assert (first.path, first.nearness.name) == (str(wrong), "NEAR")
    assert second.path == str(well)


def test_headroom_as_it_is_to_be_kept_is_kept(tmp_path: Path) -> None:
    path = write(tmp_path, "kept.toml", high="260")
    told = path.read_text("utf-8")
    rating = row_of(path).facts
    assert rating is not None
    assert rating.weakest is not None
    assert str(rating.weakest) == "400 bar"
    for share, place in (("35 %", "NOT_DECIDED"), ("35.1 %", "NEAR")):
        path.write_text(f'{told}[margins]\nheadroom = "{share}"\n', "utf-8")
        assert row_of(path).nearness.name == place


def test_the_order_is_total_and_the_same_from_any_order() -> None:
    paths = sorted(CASES.glob("*.toml"))
    rows = rows_of(*paths)
    assert [row.path for row in rows_of(*reversed(paths))] == [row.path for row in rows]
    for one, other in pairwise(map(by_harm, rows)):
        assert one < other


def test_workers_give_the_same_rows(tmp_path: Path) -> None:
    paths = [write(tmp_path, f"{n}.toml", method=f'"KB-{n}"') for n in range(220)]
    assert rows_of(*paths, jobs=2) == rows_of(*paths)


@pytest.mark.parametrize(
    ("taken_out", "place", "state"),
    [("", "WELL", "nothing open"), (DETECTOR, "NOT_DECIDED", "not decided")],
)
def test_well_is_only_what_has_no_check_open(
    taken_out: str, place: str, state: str, tmp_path: Path
) -> None:
    """Attack on issue 18: "nothing open" beside a check that said "not decided"."""
    clean = (ROOT / "examples/cutoffs/clean.toml").read_text("utf-8")
    assert taken_out in clean
    path = tmp_path / "clean.toml"
    path.write_text(clean.replace(taken_out, ""), "utf-8")
    row = row_of(path)
    assert (row.nearness.name, row.state) == (place, state)
    assert (row.undecided > 0) == (place == "NOT_DECIDED")


def test_the_overview_of_the_page_gives_the_same_states() -> None:
    paths = [*CASES.glob("*.toml"), *STARTING.glob("*.toml")]
    found = {row.path: row.state for row in rows_of(*paths)}
    stamps = {str(path): stamp([str(path)]) for path in paths}
    assert {one.path: one.state for one in States().of(stamps, DAY)} == found


def test_states_and_counts_are_those_of_a_check() -> None:
    paths = [*CASES.glob("*.toml"), *STARTING.glob("*.toml"), *(ROOT / "examples").rglob("*.toml")]
    targets = [Target(str(path), named=False) for path in paths]
    run = check_targets(targets, policy_for, DAY)
    reports = {report.path: report for report in run.reports}
    rows = fleet_of(check_targets(targets, policy_for, DAY, facts=True).reports)
    assert {row.path for row in rows} == set(reports)
    assert len(rows) > 90
    for row in rows:
        report = reports[row.path]
        worst = worst_of(report)
        assert row.counts == report.counts
        assert row.undecided == len(report.undecided)
        if worst is None:
            assert row.state in ("not decided", "nothing open")
        else:
            assert (row.state, row.worst) == (worst.grade, worst.told)
    summed = [sum(dict(row.counts)[g] for row in rows) for g in ("error", "warning", "note")]
    assert summed == [run.summary.errors, run.summary.warnings, run.summary.notes]
