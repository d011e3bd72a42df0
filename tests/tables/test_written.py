"""Files put in place: all or none, none over another; and the command as people run it."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.profile.atomic import CannotWrite
from limitcheck.tables.named import FileNames, file_name
from limitcheck.tables.written import write_files

TABLE = """\
Method;Instrument;High cutoff (bar);Low cutoff (bar);Pump rating (bar);Column rating (bar)
KB-1;LC-3;260;60;400;400
KB-2;LC-3;280;60;400;400
"""


@pytest.fixture
def table(tmp_path: Path) -> str:
    path = tmp_path / "methods.csv"
    path.write_text(TABLE, "utf-8")
    return str(path)


def listed(folder: Path) -> list[str]:
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


WRITTEN = ["instruments/lc-3.toml", "kb-1-lc-3.toml", "kb-2-lc-3.toml"]


def test_a_dry_run_writes_nothing(table: str, tmp_path: Path, capsys) -> None:
    assert run(["import", table]) == 0
    assert "Nothing is written" in capsys.readouterr().out
    assert listed(tmp_path) == ["methods.csv"]


def test_what_is_written_is_read_by_check(table: str, tmp_path: Path, capsys) -> None:
    folder = tmp_path / "profiles"
    assert run(["import", table, "--write", str(folder)]) == 0
    assert listed(folder) == WRITTEN
    run(["check", str(folder)])
    assert "2 profiles" in capsys.readouterr().out


def test_the_same_again_changes_nothing_and_another_content_is_refused(
    table: str, tmp_path: Path, capsys
) -> None:
    folder = tmp_path / "profiles"
    run(["import", table, "--write", str(folder)])
    before = {path: (folder / path).stat().st_mtime_ns for path in WRITTEN}
    assert run(["import", table, "--write", str(folder)]) == 0
    assert "3 stood there already" in " ".join(capsys.readouterr().out.split())
    assert {path: (folder / path).stat().st_mtime_ns for path in WRITTEN} == before
    (folder / "kb-2-lc-3.toml").write_text("mine", "utf-8")
    (folder / "kb-1-lc-3.toml").unlink()
    assert run(["import", table, "--write", str(folder)]) == 2
    assert "exists already with another content" in capsys.readouterr().err
    assert not (folder / "kb-1-lc-3.toml").exists()
    assert (folder / "kb-2-lc-3.toml").read_text("utf-8") == "mine"


def test_a_failure_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = {"a.toml": 'format = 1\n[method]\nid = "A"\n', "b.toml": "x"}
    with pytest.raises(CannotWrite, match="would not be read"):
        write_files(str(tmp_path / "new" / "deep"), files, {"shared/c.toml": "y"})
    assert os.listdir(tmp_path) == []
    linked: list[str] = []

    def refuse(source: str, target: str) -> None:
        if linked:
            raise PermissionError(13, "Permission denied")
        linked.append(target)
        os.rename(source, target)

    monkeypatch.setattr(os, "link", refuse)
    with pytest.raises(CannotWrite, match="nothing is written"):
        write_files(str(tmp_path / "new"), {}, {"shared/c.toml": "y", "d.toml": "z"})
    assert linked
    assert os.listdir(tmp_path) == []


def test_json_has_what_was_understood_and_what_is_open(table: str, tmp_path: Path, capsys) -> None:
    Path(table).write_text(TABLE + "KB-3;LC-3;4000;60;400;400\n", "utf-8")
    assert run(["import", table, "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["rows"] == 3
    assert data["waiting"] == 1
    assert [q["cell"] for q in data["questions"]] == ["C4"]
    assert data["sheets"][0]["columns"][2]["key"] == "cutoffs.high"
    assert data["written"] is None


def test_questions_are_written_and_answers_used(table: str, tmp_path: Path, capsys) -> None:
    Path(table).write_text(TABLE + "KB-3;LC-3;4000;60;400;400\n", "utf-8")
    asked = tmp_path / "open.csv"
    assert run(["import", table, "--questions", str(asked)]) == 1
    text = asked.read_text("utf-8")
    asked.write_text(text.rstrip("\r\n")[:-1] + "275,\r\n", "utf-8")
    folder = tmp_path / "out"
    assert run(["import", table, "--answers", str(asked), "--write", str(folder)]) == 0
    assert "high = 275" in (folder / "kb-3-lc-3.toml").read_text("utf-8")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--decimal", "dot"], "--decimal point or --decimal comma"),
        (["--questions", "q.txt"], "FILE.csv or FILE.xlsx"),
        (["--delimiter", "ab"], "cannot separate cells"),
        (["--map", "none.toml"], "cannot be read"),
        (["--answers", "none.csv"], "is not a file"),
    ],
)
def test_what_cannot_be_used_is_refused(table: str, more: list[str], words: str, capsys) -> None:
    assert run(["import", table, *more]) == 2
    assert words in " ".join(capsys.readouterr().err.split())


def test_the_table_is_not_written_over(table: str, capsys) -> None:
    assert run(["import", table, "--questions", table]) == 2
    assert Path(table).read_text("utf-8") == TABLE


def test_names_of_files_are_safe_and_each_has_one() -> None:
    assert file_name("../../etc", "..") == "etc"
    assert file_name("a" * 500).__len__() == 120
    names = FileNames()
    assert names.give("", "KB 1", "L") == "kb-1-l.toml"
    assert names.give("", "KB/1", "L") == "kb-1-l-2.toml"
    assert names.give("", "KB 1", "L") == "kb-1-l.toml"


@pytest.mark.parametrize("more", [[], ["--answers", "kestrel-bay-answers.csv", "--write", "OUT"]])
def test_json_keeps_to_its_schema(more: list[str], tmp_path: Path, capsys) -> None:
    from importlib.resources import files

    from jsonschema import Draft202012Validator

    examples = Path(__file__).parents[2] / "examples/tables"
    given = [str(tmp_path / "out") if word == "OUT" else word for word in more]
    given = [str(examples / word) if word.endswith(".csv") else word for word in given]
    table = str(examples / "kestrel-bay.csv")
    assert run(["import", table, *given, "--format", "json"]) == (0 if more else 1)
    schema = files("limitcheck").joinpath("schemas/import.schema.json").read_text("utf-8")
    data = json.loads(capsys.readouterr().out)
    validator = Draft202012Validator(json.loads(schema))
    assert [error.message for error in validator.iter_errors(data)] == []
    assert (data["written"] is None) is not bool(more)
    data["another"] = 1
    assert list(validator.iter_errors(data))


def test_each_profile_is_read_again_also_those_that_use_the_same(
    table: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    """What is wrong in one file alone is found, though the files it uses are read once."""
    folder = tmp_path / "profiles"
    run(["import", table, "--write", str(folder)])
    texts = {path: (folder / path).read_text("utf-8") for path in WRITTEN}
    shared = {WRITTEN[0]: texts.pop(WRITTEN[0])}
    for at, (old, new, words) in enumerate(
        (
            ("high = 280", 'high = "280 psi"', "on an instrument that shows bar"),
            ("high = 280", "high = -280", "negative"),
            ("high = 280", "high = 280\nhigh = 280", "twice"),
            ('id = "KB-2"', 'id = ""', "empty"),
            ("format = 1", "format = 2", "format"),
            ("instruments/lc-3.toml#pump", "instruments/lc-4.toml#pump", "cannot be read"),
        )
    ):
        broken = {**texts, WRITTEN[2]: texts[WRITTEN[2]].replace(old, new)}
        assert broken != texts
        with pytest.raises(CannotWrite, match=f"^kb-2-lc-3.toml: would not be read.*{words}"):
            write_files(str(tmp_path / f"again-{at}"), broken, shared)
        assert not (tmp_path / f"again-{at}").exists()
