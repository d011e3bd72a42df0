"""What the form says of a text is no more than was checked, and the fields give back all."""

from __future__ import annotations

import re

import pytest

from limitcheck.page import folder, trial

from ..profiles_for_tests import text, write
from .desk import Desk, bytes_of, fields_of, opened, saved, send
from .server import Answer

CELL = '\n[[flow_path]]\npart = "detector cell"\nrating = "150 bar"\n'
ACCEPTED = """
[[accepted]]
check = "part-exposed-downstream"
at = "flow_path[detector cell].rating"
value = "250 bar"
limit = "150 bar"
reason = "relief valve at 100 bar before the cell"
by = "method owner"
until = 2030-12-31
"""
COMPARED = "Not compared with other files"


def heading(answer: Answer) -> str:
    found = re.search(r'<section class="verdict".*?<h2[^>]*>(.*?)</h2>', answer.text, re.S)
    return found[1] if found else ""


def at_field(answer: Answer, name: str) -> str:
    found = re.search(rf'<div class="found" id="f.{name}-found".*?</div>', answer.text, re.S)
    return found[0] if found else ""


def test_what_is_not_decided_is_told_as_on_the_profile_screen(desk: Desk) -> None:
    answer = desk.page.get("/edit", profile="kestrel.toml")
    profile = desk.page.get("/profile", profile="kestrel.toml")
    told = re.search(r"no findings; \d+ checks not decided", profile.words)
    assert told is not None
    assert heading(answer) == told[0].capitalize()
    assert "Nothing found" not in answer.words
    table = re.search(r"<caption>Checks not decided</caption>.*?</table>", profile.text, re.S)
    assert table is not None
    assert table[0] in answer.text
    fields = fields_of(answer)
    fields["f.method.title"] = "Tea"
    shown = send(desk.page, fields, "save")
    assert told[0].capitalize() in shown.words
    assert table[0] in shown.text


def test_other_files_of_the_folder_are_compared(desk: Desk) -> None:
    fields = fields_of(desk.page.get("/new", like="file:kestrel.toml", id="", name="copy"))
    answer = send(desk.page, fields, "check")
    assert "duplicate-method-revision" in answer.words
    assert "KB-TEA-014 (no revision) on KB-LC-03 is in 2 files: " in at_field(answer, "method.id")
    shown = send(desk.page, fields, "save")
    assert "duplicate-method-revision" in shown.words
    assert "Save it with its errors" in shown.words
    fields["f.method.revision"] = "C"
    assert "duplicate-method-revision" not in send(desk.page, fields, "check").words
    write(desk.folder, "third.toml")
    assert "duplicate" in desk.page.get("/edit", profile="kestrel.toml").words
    (desk.folder / "third.toml").write_text("[[")
    assert "duplicate" not in desk.page.get("/edit", profile="kestrel.toml").words
    (desk.folder / "third.toml").write_text("[tool]\na = 1\n")
    assert "duplicate" not in desk.page.get("/edit", profile="kestrel.toml").words
    write(desk.folder, "third.toml", unit='"psi"', method='"Other"')
    told = desk.page.get("/edit", profile="kestrel.toml")
    assert "KB-LC-03 shows bar here, but psi in" in told.words
    (desk.folder / "third.toml").unlink()
    assert "shows bar here" not in desk.page.get("/edit", profile="kestrel.toml").words


def test_too_many_files_are_not_compared_and_it_says_so(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(desk.folder, "copy.toml")
    assert COMPARED not in desk.page.get("/edit", profile="kestrel.toml").words
    for module in (trial, folder):
        monkeypatch.setattr(module, "MOST_LISTED", 1)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    assert COMPARED in answer.words
    assert "duplicate-method-revision" not in answer.words
    fields = fields_of(answer) | {"f.method.title": "Tea"}
    assert COMPARED in send(desk.page, fields, "save").words


def test_an_accepted_finding_is_shown_as_accepted_at_its_field(desk: Desk) -> None:
    path = desk.folder / "kestrel.toml"
    name = "flow_path.2.rating"

    def shown(own: str) -> tuple[str, bool]:
        path.write_text(own)
        answer = desk.page.get("/edit", profile="kestrel.toml")
        field = re.search(rf'<input id="f.{name}"[^>]*>', answer.text)
        assert field is not None
        assert ("accepted" in heading(answer)) == (ACCEPTED in own)
        return at_field(answer, name), "aria-invalid" in field[0]

    told, marked = shown(text() + CELL)
    assert marked
    assert "<strong>Do:</strong>" in told
    told, marked = shown(text() + CELL + ACCEPTED)
    assert not marked
    assert '<p class="held"><strong>Accepted:</strong>' in told
    assert "method owner" in told
    assert "<strong>Do:</strong>" not in told


UNSEEN = [
    "a\tb", "soft\u00adhyphen", "zero\u200bwidth", "right\u202eto left", "\u00a0 blank \u00a0",
    "two\nlines", "line\r\nend", "nul\x00", "control\x1b[2J", "  around  ", "a  b", "\u2028",
]  # fmt: skip


@pytest.mark.parametrize("title", UNSEEN)
def test_a_text_that_cannot_be_seen_is_not_rewritten(desk: Desk, title: str) -> None:
    written = '"' + "".join(f"\\u{ord(c):04x}" for c in title) + '"'
    own = text().replace('"KB-TEA-014"', f'"KB-TEA-014"\ntitle = {written}')
    own = own.replace('part = "column"', f'part = "column"\nchemistry = {written}')
    own = own.replace('pressure_unit = "bar"', f'pressure_unit = "bar"\noven = {written}')
    (desk.folder / "kestrel.toml").write_text(own)
    fields = opened(desk)
    for name, value in fields.items():  # as a browser does
        if name.startswith("f."):
            fields[name] = re.sub(r"[\r\n]", "", value).replace("\0", "\ufffd")
    fields["f.cutoffs.high"] = "240"
    for _ in range(2):
        fields = fields_of(send(desk.page, fields, "check"))
    assert fields["text"].replace("\r\n", "\n") == own.replace("high = 250", "high = 240")


def test_what_cannot_be_seen_is_told(desk: Desk) -> None:
    own = text().replace('"KB-TEA-014"', '"KB-TEA-014"\ntitle = "soft\u00adhyphen"')
    (desk.folder / "kestrel.toml").write_text(own)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    assert "has characters that are not seen here: soft\\xadhyphen" in answer.words
    assert fields_of(answer)["f.method.title"] == "soft\u00adhyphen"


def test_keys_with_points_and_blanks_are_fields_of_their_own(desk: Desk) -> None:
    own = text() + (
        '"certificate.flow" = "1"\n"a b" = "2"\n"%2E" = "3"\n"" = "4"\n"<i>" = "5"\n'
        '[flow_path.certificate]\nflow = "1.0 mL/min"\npressure = "80 bar"\n'
    )
    (desk.folder / "kestrel.toml").write_text(own)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    ids = re.findall(r' id="([^"]*)"', answer.text)
    assert len(ids) == len(set(ids))
    assert not [id for id in ids if " " in id or "<" in id]
    fields = fields_of(answer)
    assert fields["f.flow_path.1.certificate.flow"] == "1.0 mL/min"
    assert fields["f.flow_path.1.certificate%2Eflow"] == "1"
    assert send(desk.page, fields, "check").status == 200
    for key in ("certificate%2Eflow", "a%20b", "%252E", "", "%3Ci%3E"):
        fields[f"f.flow_path.1.{key}"] = ""
    fields["f.flow_path.1.certificate.flow"] = "2.0 mL/min"
    assert "Saved" in saved(desk, fields).words
    assert bytes_of(desk).decode() == text() + (
        '[flow_path.certificate]\nflow = "2.0 mL/min"\npressure = "80 bar"\n'
    )


def test_more_elements_than_have_fields_are_told(desk: Desk) -> None:
    more = '\n[[flow_path]]\npart = "fitting"\n' * 60
    (desk.folder / "kestrel.toml").write_text(text() + more)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    assert "Fields for 60 of 62 are above: change the others in the text." in answer.words
    fields = fields_of(answer)
    assert "f.flow_path.59.part" in fields
    assert "f.flow_path.60.part" not in fields
    fields["f.cutoffs.high"] = "240"
    assert "Saved" in saved(desk, fields).words
    assert bytes_of(desk).decode() == text(high="240") + more
    (desk.folder / "kestrel.toml").write_text(text() + more[: len(more) // 60 * 58])
    assert "are above" not in desk.page.get("/edit", profile="kestrel.toml").words


def test_the_policy_of_the_files_own_folder_holds(desk: Desk) -> None:
    (desk.folder / "limitcheck.toml").write_text("")
    (desk.folder / "site").mkdir()
    own = '[severity]\nduplicate-method-revision = "note"\n'
    (desk.folder / "site" / "limitcheck.toml").write_text(own)
    write(desk.folder / "site")
    for name, grade in (("kestrel.toml", "1 error"), ("site/kestrel.toml", "1 note")):
        answer = desk.page.get("/edit", profile=name)
        assert heading(answer).startswith(f"Found: {grade};")
        fields = fields_of(answer) | {"f.method.title": "Tea"}
        assert f"Found: {grade};" in send(desk.page, fields, "save").words


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("cutoffs.high", "0117", "write 117"),
        ("cutoffs.high", ".5", "write 0.5"),
        ("cutoffs.high", "5.", "write 5"),
        ("cutoffs.high", "007.50", "write 7.50"),
        ("cutoffs.high", "1,117", "write 1117, or 1.117, whichever is meant"),
    ],
)
def test_a_number_as_no_file_has_it_is_told_how_to_write(
    desk: Desk, field: str, typed: str, told: str
) -> None:
    fields = opened(desk)
    fields[f"f.{field}"] = typed
    answer = send(desk.page, fields, "check")
    assert told in answer.words
    assert "no unit" not in answer.words
    assert fields_of(answer)[f"f.{field}"] == typed


def test_the_unit_that_a_field_shows_may_be_typed(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.conditions.percent_b"] = "40 %"
    now = fields_of(send(desk.page, fields, "check"))
    assert now["f.conditions.percent_b"] == "40"
    assert "percent_b = 40\r\n" in now["text"]


def test_nothing_told_of_a_field_is_folded_shut(desk: Desk) -> None:
    """A high cutoff that is missing: its field is a further one, and its error stands at it."""
    fields = opened(desk)
    told = fields["text"].replace("high = 250\r\n", "# why it is off\r\n", 1)
    shown = send(desk.page, {**fields, "text": told}, "check").text
    group = shown[shown.index('id="f.cutoffs"') : shown.index('id="f.expected"')]
    further = group[group.index("<details") :]
    assert further.startswith("<details open>")
    assert "There is no high cutoff" in further
    assert "<details open>" not in shown[shown.index('id="f.expected"') :]


@pytest.mark.parametrize("typed", ["28.", ".5", "1,500", "0x75", "1_000"])
def test_a_number_that_is_not_written_is_said_in_the_verdict(desk: Desk, typed: str) -> None:
    shown = send(desk.page, {**opened(desk), "f.cutoffs.high": typed}, "check").text
    heading = re.search(r'id="found-heading">([^<]*)<', shown)
    now = re.search(r'id="now">([^<]*)<', shown)
    assert heading is not None
    assert now is not None
    assert heading[1].startswith("Not written: High. What is written: ")
    assert now[1] == heading[1]
    assert '<p class="wrong error"><strong>Not written:</strong>' in shown


_PROGRAMS = "is a number as programs write it"


@pytest.mark.parametrize(
    ("typed", "message", "write_"),
    [
        ("0x75", _PROGRAMS, "write 117, if hexadecimal is meant, or 75"),
        ("0X75", _PROGRAMS, "write 117, if hexadecimal is meant, or 75"),
        ("0x75 bar", _PROGRAMS, "write 117 bar, if hexadecimal is meant, or 75 bar"),
        ("0b11", _PROGRAMS, "write 3, if binary is meant, or 11"),
        ("0o17", _PROGRAMS, "write 15, if octal is meant, or 17"),
        ("-0x1_f", _PROGRAMS, "write -31, if hexadecimal is meant"),
        ("0b2", _PROGRAMS, "write it in the digits 0 to 9"),
        ("1_000", '"1_000" has a separator inside the number', "write 1000"),
        ("1_0.2_5", '"1_0.2_5" has a separator inside the number', "write 10.25"),
        ("1__000", '"1__000" has a separator inside the number', "write 1000"),
    ],
)
@pytest.mark.parametrize(
    "field", ["cutoffs.high", "expected.low", "conditions.percent_b", "instrument.display_step"]
)
def test_a_number_of_programs_is_refused_with_what_to_write(
    desk: Desk, field: str, typed: str, message: str, write_: str
) -> None:
    """Nobody reads a pressure in hexadecimal: it was written as typed, and meant another."""
    before = opened(desk)
    shown = send(desk.page, {**before, f"f.{field}": typed}, "check")
    assert message in shown.words
    assert f"Do: {write_}" in shown.words
    assert fields_of(shown)["text"] == before["text"]
    assert fields_of(shown)[f"f.{field}"] == typed


def test_a_number_of_programs_that_the_text_has_stays(desk: Desk) -> None:
    fields = opened(desk)
    fields["text"] = re.sub("low = [0-9]+", "low = 0x14", fields["text"])
    fields = fields_of(send(desk.page, fields, "check"))
    arranged = send(desk.page, {**fields, "f.method.id": "TEA-9"}, "add:flow_path")
    assert "low = 0x14" in fields_of(arranged)["text"]
    assert "TEA-9" in fields_of(arranged)["text"]
    assert "Not written" not in arranged.words


@pytest.mark.parametrize("typed", ["off", " OFF "])
@pytest.mark.parametrize("end", ["high", "low"])
def test_off_in_a_cutoff_field_is_zero_in_the_text_and_shown_as_off(
    desk: Desk, end: str, typed: str
) -> None:
    """As the hint beside a number to type says; the format has 0 for a cutoff that is off."""
    shown = send(desk.page, {**opened(desk), f"f.cutoffs.{end}": typed}, "check")
    fields = fields_of(shown)
    assert f"\n{end} = 0\r\n" in fields["text"]
    assert fields[f"f.cutoffs.{end}"] == "off"
    assert "Or: off." in shown.words
    saved(desk, fields)
    assert f"\n{end} = 0\n".encode() in bytes_of(desk)
    again = opened(desk)
    assert again[f"f.cutoffs.{end}"] == "off"
    assert fields_of(send(desk.page, again, "check"))["text"] == again["text"]


def test_off_in_another_field_is_no_number(desk: Desk) -> None:
    shown = send(desk.page, {**opened(desk), "f.expected.low": "off"}, "check")
    assert 'low = "off"' in fields_of(shown)["text"]
    assert '"off" is not a pressure' in shown.words


def test_a_zero_that_is_no_cutoff_of_this_instrument_is_shown_as_it_is(desk: Desk) -> None:
    fields = opened(desk)
    fields["text"] = re.sub("low = [0-9]+", 'low = "0 psi"', fields["text"], count=1)
    fields = fields_of(send(desk.page, fields, "check"))
    assert fields["f.cutoffs.low"] == "0 psi"


def test_without_script_it_is_said_when_the_units_follow(desk: Desk) -> None:
    """Chosen without script, a unit stands beside the fields after the next check only."""
    raw = desk.page.get("/edit", profile="kestrel.toml").text
    (note,) = re.findall(r"<noscript><p[^>]*>([^<]*)</p></noscript>", raw)
    assert note.startswith("When you choose another, the units and hints")
    fields = opened(desk)
    fields["f.instrument.pressure_unit"] = "psi"
    checked = send(desk.page, fields, "check").text
    assert re.search(r'id="f.cutoffs.high-unit">psi<', checked)
    assert re.search(r'id="f.instrument.entry_max-hint">[^<]*Usual: 150 to 44000 psi\.', checked)
