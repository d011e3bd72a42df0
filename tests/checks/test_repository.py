"""Checks across the files of one run: what contradicts, what does not, in one process or two."""

from __future__ import annotations

import pickle
from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.contradictions import conflicts as conflicts_of
from limitcheck.checking.run import CHUNK, Target, check_targets
from limitcheck.checks.repository import REPOSITORY_CHECKS, Claim, Ledger, claims, stated_about
from limitcheck.findings import Finding
from limitcheck.policy import DEFAULT_POLICY, Policy
from limitcheck.profile.load import load

TODAY = date(2026, 11, 25)


def no_policy(path: Path) -> Policy:
    """A function of a module, as worker processes need it."""
    return DEFAULT_POLICY


def write(folder: Path, name: str, **changes: str) -> Path:
    values = {
        "method": "KB-TEA-014",
        "revision": 'revision = "B"\n',
        "instrument": "KB-LC-03",
        "unit": "bar",
        "pump": "400 bar",
        "serial": "0117",
        "column": "450 bar",
        "accepted": "",
    } | changes
    path = folder / name
    path.write_text(
        f"""format = 1
[method]
id = "{values["method"]}"
{values["revision"]}
[instrument]
id = "{values["instrument"]}"
pressure_unit = "{values["unit"]}"
[[flow_path]]
part = "pump"
rating = "{values["pump"]}"
[[flow_path]]
part = "column"
serial = "{values["serial"]}"
rating = "{values["column"]}"
{values["accepted"]}
""",
        encoding="utf-8",
    )
    return path


def conflicts(*paths: Path, jobs: int = 1, policy=no_policy) -> list[tuple[str, Finding]]:  # type: ignore[no-untyped-def]
    run = check_targets([Target(str(path)) for path in paths], policy, TODAY, jobs=jobs)
    return [
        (Path(report.path).name, finding)
        for report in run.reports
        for finding in report.findings
        if finding.check in REPOSITORY_CHECKS
    ]


def both(check: str) -> list[tuple[str, str]]:
    return [("a.toml", check), ("b.toml", check)]


def named(*paths: Path) -> list[tuple[str, str]]:
    return [(file, finding.check) for file, finding in conflicts(*paths)]


def test_one_instrument_two_units(tmp_path: Path) -> None:
    first = write(tmp_path, "a.toml")
    second = write(tmp_path, "b.toml", method="KB-TEA-015", unit="psi")
    (before, _), (file, finding) = conflicts(first, second)
    assert before == "a.toml"  # said of both: nobody knows which of them is wrong
    assert (file, finding.check) == ("b.toml", "instrument-unit-conflict")
    assert finding.location is not None
    assert (finding.location.file, finding.location.line) == (str(second), 8)
    (there,) = finding.related
    assert there.location is not None
    assert (there.location.file, there.location.line) == (str(first), 8)
    assert "psi here, but bar in" in finding.message


def test_one_method_on_two_instruments_is_no_duplicate(tmp_path: Path) -> None:
    first = write(tmp_path, "a.toml")
    assert named(first, write(tmp_path, "b.toml", instrument="KB-LC-04")) == []
    assert named(first, write(tmp_path, "b.toml", revision='revision = "C"')) == []
    again = write(tmp_path, "b.toml")
    assert named(first, again) == both("duplicate-method-revision")
    unrevised = [write(tmp_path, name, revision="") for name in ("a.toml", "b.toml")]
    assert named(*unrevised) == both("duplicate-method-revision")


@pytest.mark.parametrize(
    ("change", "conflict"),
    [
        ({"column": "300 bar"}, True),
        ({"column": "300 bar", "serial": "0118"}, False),
        ({"column": "6527 psi"}, False),  # 450.02 bar: one rating, printed in psi
        ({"column": "452.2 bar"}, False),  # within 0.5 %: one rating, rounded
        ({"column": "452.3 bar"}, True),
        ({"column": "300 bar", "instrument": "KB-LC-04"}, True),
        ({"pump": "600 bar"}, True),
        ({"pump": "600 bar", "instrument": "KB-LC-04"}, False),
    ],
)
def test_one_part_two_ratings(tmp_path: Path, change: dict[str, str], conflict: bool) -> None:
    first = write(tmp_path, "a.toml")
    second = write(tmp_path, "b.toml", method="KB-TEA-015", **change)
    assert named(first, second) == (both("part-rating-conflict") if conflict else [])


def test_parts_of_one_name_on_one_instrument_are_not_compared(tmp_path: Path) -> None:
    path = write(tmp_path, "a.toml")
    more = '[[flow_path]]\npart = "pump"\nrating = "200 bar"\n'
    path.write_text(path.read_text(encoding="utf-8") + more, encoding="utf-8")
    stated = claims(load(path).profile)
    assert [claim.about for claim in stated if claim.check == "part-rating-conflict"] == [
        ("column with serial number 0117",)
    ]


def test_a_part_after_one_that_nothing_names_is_compared(tmp_path: Path) -> None:
    """Tubing of no label stands before the column of a serial number."""
    tubing = '[[flow_path]]\npart = "tubing"\nrating = "300 bar"\n'
    one, two = write(tmp_path, "a.toml", revision=""), write(tmp_path, "b.toml", column="600 bar")
    for path in (one, two):
        text = path.read_text("utf-8")
        path.write_text(
            text.replace(
                '[[flow_path]]\npart = "column"', f'{tubing}[[flow_path]]\npart = "column"'
            ),
            "utf-8",
        )
    found = [finding.path for _, finding in conflicts(one, two)]
    assert found == [("flow_path", 2, "rating")] * 2


def test_an_accepted_conflict_and_a_grade(tmp_path: Path) -> None:
    first = write(tmp_path, "a.toml")
    entry = (
        '[[accepted]]\ncheck = "instrument-unit-conflict"\nat = "instrument.pressure_unit"\n'
        'value = "psi"\nlimit = "bar"\nuntil = 2027-06-30\nreason = "panel was changed"\n'
        'by = "site"\n'
    )
    second = write(tmp_path, "b.toml", method="KB-TEA-015", unit="psi", accepted=entry)
    (_, open_still), (_, finding) = conflicts(first, second)
    assert open_still.accepted is None
    assert finding.accepted is not None
    off = Policy(severities={"instrument-unit-conflict": None})
    assert conflicts(first, second, policy=lambda path: off) == []
    # Alone, the entry is not called unused: the other file was not looked at.
    run = check_targets([Target(str(second))], no_policy, TODAY)
    assert all(f.check != "acceptance-unused" for r in run.reports for f in r.findings)


def test_unreadable_files_say_nothing(tmp_path: Path) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_text("format = 1\n", encoding="utf-8")
    assert named(broken, write(tmp_path, "a.toml")) == []


def test_claims_travel_between_processes(tmp_path: Path) -> None:
    stated = claims(load(write(tmp_path, "a.toml")).profile)
    assert pickle.loads(pickle.dumps(stated)) == stated
    assert len(stated) == 4


def test_the_same_in_worker_processes(tmp_path: Path) -> None:
    paths = [write(tmp_path, f"{n:03}.toml", method=f"KB-{n}", serial=str(n)) for n in range(210)]
    paths.append(write(tmp_path, "last.toml", method="KB-7", serial="a", unit="psi"))
    found = [(file, finding.check) for file, finding in conflicts(*paths, jobs=2)]
    assert (
        found
        == named(*paths)
        == [
            ("000.toml", "instrument-unit-conflict"),
            ("007.toml", "duplicate-method-revision"),
            ("last.toml", "instrument-unit-conflict"),
            ("last.toml", "duplicate-method-revision"),
        ]
    )


def test_a_file_named_twice_does_not_contradict_itself() -> None:
    ledger = Ledger()
    claim = Claim("duplicate-method-revision", ("KB-TEA-014", "B", "KB-LC-03"), "", ("method",))
    assert ledger.against("a.toml", [claim]) == ()
    assert ledger.against("a.toml", [claim]) == ()
    assert ledger.against("b.toml", [claim]) == ((claim, "a.toml"),)


def test_two_things_of_one_hash_are_not_confused(tmp_path: Path) -> None:
    first = load(write(tmp_path, "a.toml"))
    claim = Claim("instrument-unit-conflict", ("KB-LC-99",), "psi", ("instrument",))
    assert stated_about(first, (claim.check, claim.about)) == ()


class CountedPath(str):
    """A path that counts how often one is compared with another."""

    compared = 0

    def __eq__(self, other: object) -> bool:
        CountedPath.compared += 1
        return str.__eq__(self, other)  # type: ignore[arg-type]

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = str.__hash__


def test_the_work_grows_with_the_number_of_copies_and_no_faster(tmp_path: Path) -> None:
    one = load(write(tmp_path, "a.toml"))
    counts = []
    for number in (100, 200):
        CountedPath.compared = 0
        files = [one._replace(path=CountedPath(f"{n}.toml")) for n in range(number)]
        found = conflicts_of(files)
        assert len(found) == number
        assert all(f"is in {number} files" in told.message for (told,) in found.values())
        counts.append(CountedPath.compared)
    assert counts[1] <= 2.2 * counts[0]


def test_the_reports_of_a_run_are_the_same_when_gone_through_again(tmp_path: Path) -> None:
    paths = [write(tmp_path, f"{n:02}.toml") for n in range(CHUNK + 5)]
    run = check_targets([Target(str(path)) for path in paths], no_policy, TODAY)
    first = list(run.reports)
    assert sum(len(report.findings) > 0 for report in first) == len(paths)
    for path in paths:
        path.unlink()
    assert list(run.reports) == first
