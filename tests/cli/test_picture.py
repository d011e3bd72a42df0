"""--picture: the charts of an answer alone, as SVG and as PNG."""

from __future__ import annotations

import struct
import sys
import zlib
from pathlib import Path
from xml.etree import ElementTree

import pytest

from limitcheck.cli.app import run
from limitcheck.render.png import DOTS
from tests.history.logs import runs
from tests.profiles_for_tests import WITH_GEOMETRY
from tests.render.runs import GRADIENT

Capture = pytest.CaptureFixture[str]
SVG = "{http://www.w3.org/2000/svg}"
COMMANDS = [
    "report tea.toml",
    "entry 250 --profile tea.toml",
    "predict gradient.toml",
    "transfer tea.toml tea.toml",
    "baseline runs.csv --profile tea.toml",
]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(WITH_GEOMETRY, "utf-8")
    Path("gradient.toml").write_text(GRADIENT, "utf-8")

    Path("runs.csv").write_text(runs(100), "utf-8")
    return tmp_path


def size_of_png(content: bytes) -> tuple[int, int]:
    """Width and height of the header, whose checksum is right (PNG, W3C Recommendation, 11.2.2)."""
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    length, kind = struct.unpack(">I4s", content[8:16])
    assert (length, kind) == (13, b"IHDR")
    assert struct.unpack(">I", content[29:33])[0] == zlib.crc32(content[12:29])
    width, height = struct.unpack(">II", content[16:24])
    return width, height


@pytest.mark.parametrize("command", COMMANDS)
def test_the_charts_of_an_answer_are_written_as_svg_and_png(command: str, capsys: Capture) -> None:
    pictures = ["--picture", "one.svg", "--picture", "one.png"]
    assert run([*command.split(), *pictures]) in (0, 1)
    root = ElementTree.fromstring(Path("one.svg").read_text("utf-8"))
    assert root.tag == f"{SVG}svg"
    assert root.find(f"{SVG}title") is not None
    assert root.findall(f"{SVG}svg")
    _, _, width, height = map(float, root.get("viewBox", "").split())
    assert size_of_png(Path("one.png").read_bytes()) == pytest.approx(
        (width * DOTS / 96, height * DOTS / 96), abs=2
    )


def test_a_picture_has_an_ending_and_its_own_file(capsys: Capture) -> None:
    assert run(["report", "tea.toml", "--picture", "one.jpg"]) == 2
    assert "--picture one.jpg: no known format" in capsys.readouterr().err
    assert run(["report", "tea.toml", "--picture", "tea.toml"]) == 2
    assert Path("tea.toml").read_text("utf-8") == WITH_GEOMETRY
    same = ["-o", "one.svg", "--picture", "one.svg"]
    assert run(["report", "tea.toml", *same]) == 2
    assert not Path("one.svg").exists()


def test_an_answer_without_a_chart_says_so_and_writes_the_rest(capsys: Capture) -> None:
    asked = ["--picture", "one.svg", "-o", "one.json"]
    assert run(["predict", "tea.toml", *asked]) == 2
    assert "no picture: this answer has no chart" in capsys.readouterr().err
    assert Path("one.json").exists()
    assert not Path("one.svg").exists()


def test_a_png_needs_the_extra(monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    assert run(["report", "tea.toml", "--picture", "one.png", "--picture", "one.svg"]) == 2
    assert "pip install 'limitcheck[pdf]'" in " ".join(capsys.readouterr().err.split())
    assert not Path("one.png").exists()
    assert Path("one.svg").exists()


@pytest.mark.parametrize(
    ("command", "whose"),
    [
        ("report tea.toml gradient.toml", ["tea.toml", "gradient.toml", "gradient.toml"]),
        ("transfer tea.toml tea.toml", ["Receiving: ", "Sending: ", "Receiving: "]),
    ],
)
def test_every_scale_says_whose_it_is(command: str, whose: list[str], capsys: Capture) -> None:
    assert run([*command.split(), "--picture", "one.svg"]) in (0, 1)
    root = ElementTree.fromstring(Path("one.svg").read_text("utf-8"))
    told = "".join(root.find(f"{SVG}desc").itertext())  # type: ignore[union-attr]
    heads = [one.text or "" for one in root.findall(f"{SVG}text") if ".toml)" in (one.text or "")]
    assert len(heads) == len(root.findall(f"{SVG}svg")) == len(whose)
    for head, words in zip(heads, whose, strict=True):
        assert words in head
        assert " on KB-LC-" in head
        assert f"{head}:" in told
