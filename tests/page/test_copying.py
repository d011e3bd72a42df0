"""A new profile from one of the folder: what holds for the first alone does not go along."""

from __future__ import annotations

import pytest

from limitcheck.errors import Refused
from limitcheck.profile.starting import copied
from limitcheck.profile.toml import parse

from ..profiles_for_tests import text
from .desk import Desk, bytes_of, fields_of, saved

EVIDENCE = (
    text()
    .replace('"KB-TEA-014"', '"KB-TEA-014"\nrevision = "B"  # of March')
    .replace("low = 120\nhigh = 200", 'low = 120\nhigh = 200\nbasis = "measured"')
    .replace('rating = "450 bar"', 'rating = "450 bar"\nserial = "C-0417"\nplate_number = 9000')
    + """
[flow_path.certificate]
pressure = "80 bar"
flow = "1.0 mL/min"

# read in March
[[measured]]
pressure = "150 bar"
flow = "1.0 mL/min"

[[measured]]
pressure = "75 bar"
flow = "0.5 mL/min"

[[accepted]]
check = "high-cutoff-above-rating"
at = "cutoffs.high"
reason = "relief valve"
by = "method owner"
until = 2030-01-01

[[source]]
gave = "method"
path = "x.toml"
"""
)
TOLD = (
    "accepted findings ([[accepted]])",
    "measured pairs ([[measured]])",
    "what it was made from ([[source]])",
    "that the expected pressure was measured: it is declared now",
    "revision B",
)
PIECES = "of part 2 (column): serial, certificate, plate number"


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(("method", "instrument"), [("A", ""), ("", "B"), ("A", "B")])
def test_evidence_is_left_out_and_told(method: str, instrument: str, newline: str) -> None:
    new = copied(EVIDENCE.replace("\n", newline), method, instrument)
    assert new.left == ((*TOLD, PIECES) if instrument else TOLD)
    data, before = parse(new.text), parse(EVIDENCE)
    assert data["method"] == {"id": method or "KB-TEA-014"}
    assert data["instrument"]["id"] == (instrument or "KB-LC-03")
    assert data["expected"] == before["expected"] | {"basis": "declared"}
    assert not {"accepted", "measured", "source"} & set(data)
    bare = {key: before["flow_path"][1][key] for key in ("part", "rating")}
    assert data["flow_path"][1] == (bare if instrument else before["flow_path"][1])
    assert data["cutoffs"] == before["cutoffs"]
    assert (newline == "\r\n") == ("\r\n" in new.text)
    assert "read in March" not in new.text


@pytest.mark.parametrize("ids", [("", ""), ("KB-TEA-014", ""), ("KB-TEA-014", "KB-LC-03")])
def test_a_copy_for_the_same_is_the_same(ids: tuple[str, str]) -> None:
    assert copied(EVIDENCE, *ids) == (EVIDENCE, ())


@pytest.mark.parametrize(
    "written",
    [
        'measured = [{ pressure = "1 bar", flow = "1 mL/min" }, { pressure = "2 bar" }]\n',
        'accepted = [\n  { check = "x" },  # why\n  { check = "y" }\n]\n',
    ],
)
def test_lists_on_a_line_are_left_out_too(written: str) -> None:
    new = copied(written + text(), "A", "")
    assert parse(new.text) == parse(text(method='"A"'))
    assert len(new.left) == 1


@pytest.mark.parametrize("more", ["measured = [1]\n", "accepted = [{ a = 1 }, 2]\n"])
def test_what_cannot_be_left_out_is_no_copy(more: str) -> None:
    with pytest.raises(Refused, match="the profile cannot be copied"):
        copied(more + text(), "A", "")


def test_the_form_of_a_copy_tells_what_was_left_out(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(EVIDENCE)
    answer = desk.page.get(
        "/new", like="file:kestrel.toml", id="A", instrument="KB-LC-09", name="copy"
    )
    assert "Left out of the copy" in answer.words
    assert all(told in answer.words for told in (*TOLD, PIECES))
    assert "Accepted" not in answer.words
    assert "Made: copy.toml" in saved(desk, fields_of(answer)).words
    assert bytes_of(desk, "copy.toml").decode() == copied(EVIDENCE, "A", "KB-LC-09").text
    plain = desk.page.get("/new", like="conventional-400-bar", id="A", name="plain")
    assert "Left out of the copy" not in plain.words
