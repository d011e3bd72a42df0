from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from datetime import date
from functools import partial
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import policy_for
from limitcheck.checking.pool import PAYS_FROM, map_in_order
from limitcheck.checking.results import FileReport
from limitcheck.checking.run import CHUNK, Target, check_targets
from limitcheck.checking.store import ReportStore, packed
from limitcheck.cli.progress import progress_bar
from limitcheck.profile.load import UnreadableProfile
from limitcheck.render.run_json import render

from .performance.repository import write_repository

DAY = date(2026, 11, 25)


def square_or_fail(limit: int, number: int) -> int:
    if number >= limit:
        raise UnreadableProfile(f"{number}.toml", ())
    return number * number


@pytest.mark.parametrize("jobs", [1, 2])
@pytest.mark.parametrize("count", [0, 1, PAYS_FROM, 5 * PAYS_FROM + 1])
def test_results_come_in_the_order_of_the_items(jobs, count):
    work = partial(square_or_fail, count)
    assert list(map_in_order(work, range(count), jobs)) == [n * n for n in range(count)]


@pytest.mark.parametrize("jobs", [1, 2])
def test_an_exception_of_a_worker_arrives_whole(jobs):
    results = map_in_order(partial(square_or_fail, 17), range(5 * PAYS_FROM), jobs)
    with pytest.raises(UnreadableProfile) as caught:
        list(results)
    assert caught.value.path == "17.toml"


def test_workers_give_the_same_run(tmp_path):
    write_repository(tmp_path, PAYS_FROM * CHUNK)
    targets = [Target(str(path), named=False) for path in sorted(tmp_path.rglob("*.toml"))]
    one, two = (check_targets(targets, policy_for, DAY, jobs=jobs) for jobs in (1, 2))
    assert "".join(render(one)) == "".join(render(two))
    assert one.summary == two.summary
    assert one.summary.skipped == 1
    assert one.summary.errors > 0


@pytest.mark.parametrize("packs", [True, False])
def test_a_store_gives_everything_again_and_again(packs):
    reports = [FileReport(f"{n}.toml", None, None, None, "ok", ()) for n in range(2 * CHUNK + 3)]
    store = ReportStore()
    for start in range(0, len(reports), CHUNK):
        some = reports[start : start + CHUNK]
        store.keep(packed(some) if packs else some)
    assert list(store) == list(store) == reports


@pytest.fixture
def at_a_terminal(monkeypatch):
    monkeypatch.setattr("limitcheck.cli.progress.is_terminal", lambda _: True)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv("CI", raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    return monkeypatch


def test_progress_waits_a_second_then_shows_and_goes_away(at_a_terminal, capsys):
    now = iter([0.0, 0.5, 1.1, 1.2, 2.0, 3.0])
    at_a_terminal.setattr("limitcheck.cli.progress.monotonic", lambda: next(now))
    progress = progress_bar()
    assert progress is not None
    progress(1, 5)
    assert capsys.readouterr().err == ""
    progress(2, 5)
    assert "2/5 files" in capsys.readouterr().err
    progress(3, 5)
    assert capsys.readouterr().err == ""
    progress(4, 5)
    assert "4/5 files" in capsys.readouterr().err
    progress(5, 5)
    assert capsys.readouterr().err.endswith("\x1b[2K")  # erased: ECMA-48, EL


@pytest.mark.parametrize(("name", "value"), [("CI", "true"), ("TERM", "dumb"), ("", "")])
def test_no_progress_where_nobody_looks(at_a_terminal, name, value):
    assert progress_bar() is not None
    if name:
        at_a_terminal.setenv(name, value)
    else:
        at_a_terminal.setattr("limitcheck.cli.progress.is_terminal", lambda stream: stream.isatty())
    assert progress_bar() is None


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="children are read from /proc")
def test_an_interrupt_ends_everything_and_leaves_no_half_written_file(tmp_path):
    write_repository(tmp_path / "repository", 2500)
    # A suite started in the background ignores interrupts, and the process would inherit that.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "limitcheck",
            "check",
            "repository",
            "--jobs",
            "2",
            "--output",
            "json=out.json",
        ],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    listed = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    while len(workers := listed.read_text().split()) < 2:
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does
    out, err = process.communicate(timeout=30)
    assert (process.returncode, out, err) == (130, "", "stopped\n")
    assert not (tmp_path / "out.json").exists()
    assert not [pid for pid in workers if Path(f"/proc/{pid}").exists()]
