"""Making and changing profiles on the page: what is written, and what is refused without loss."""

from __future__ import annotations

import base64
import os
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from limitcheck.cli.app import run
from limitcheck.page.draft import Change, changed, fingerprint, from_a_box, in_a_box
from limitcheck.page.profile_form import groups
from limitcheck.page.saving import Writing
from limitcheck.page.words import WORDS, usual
from limitcheck.profile.model import Profile
from limitcheck.profile.places import Source
from limitcheck.profile.plausible import FLOWS
from limitcheck.profile.problems import part_models
from limitcheck.profile.starting import starting_profiles
from limitcheck.profile.toml import TomlError, parse
from limitcheck.units import Flow

from ..profiles_for_tests import WITH_GEOMETRY, text, write
from .server import Answer, Client, served


class Desk(NamedTuple):
    """A page for editing and its folder."""

    page: Client
    folder: Path


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    folder = tmp_path / "profiles"
    folder.mkdir()
    write(folder)
    with served(folder, Writing.EDIT) as page:
        yield Desk(page, folder)


def fields_of(answer: Answer) -> dict[str, str]:
    """What a browser would send of the form in an answer, unchanged."""
    found = {}
    for tag in re.findall(r"<input [^>]*>", answer.text):
        marks = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        found[unescape(marks["name"])] = unescape(marks.get("value", ""))
    for name, inner in re.findall(
        r'<select id="[^"]*" name="([^"]*)".*?>(.*?)</select>', answer.text, re.S
    ):
        chosen = re.search(r"<option(?: value=\"([^\"]*)\")? selected>(.*?)</option>", inner)
        found[unescape(name)] = unescape(chosen[1] or chosen[2]) if chosen else ""
    if box := re.search(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', answer.text, re.S):
        found["text"] = unescape(box[1]).replace("\n", "\r\n")
    return found


def send(page: Client, fields: dict[str, str], act: str, **headers: str | None) -> Answer:
    """Press a button of the form."""
    body = b"".join(
        b'--x\r\nContent-Disposition: form-data; name="%s"\r\n\r\n%s\r\n'
        % (name.encode(), value.encode("utf-8", "surrogatepass"))
        for name, value in {**fields, "act": act}.items()
    )
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    return page.post("/edit", body + b"--x--\r\n", "multipart/form-data; boundary=x", sent)


def opened(desk: Desk, name: str = "kestrel.toml") -> dict[str, str]:
    return fields_of(desk.page.get("/edit", profile=name))


def saved(desk: Desk, fields: dict[str, str]) -> Answer:
    """Go through the confirmation."""
    shown = send(desk.page, fields, "save")
    return send(desk.page, fields_of(shown), "write")


def bytes_of(desk: Desk, name: str = "kestrel.toml") -> bytes:
    return (desk.folder / name).read_bytes()


@pytest.mark.parametrize("writing", [Writing.OFF, Writing.READ_ONLY])
def test_without_edit_nothing_can_be_changed(tmp_path: Path, writing: Writing) -> None:
    write(tmp_path)
    with served(tmp_path, writing) as page:
        for answer in (
            page.get("/edit", profile="kestrel.toml"),
            page.get("/new"),
            send(page, {"profile": "x.toml", "base": "", "was": ""}, "write"),
        ):
            assert answer.status == 403
            assert "nothing can be changed here" in answer.words
            assert ("--read-only" in answer.words) == (writing is Writing.READ_ONLY)
        told = page.get("/profile", profile="kestrel.toml")
        assert "Nothing is written" in told.words
        assert "/edit" not in told.text
    assert [path.name for path in tmp_path.iterdir()] == ["kestrel.toml"]


def test_the_footer_says_that_profiles_can_be_changed(desk: Desk) -> None:
    told = desk.page.ask("/").words
    assert "only after you have seen the change and confirmed it" in told
    assert "Nothing is written" not in told


def test_edit_and_read_only_contradict(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["page", str(tmp_path), "--edit", "--read-only", "--no-browser"]) == 2
    assert "--edit and --read-only contradict each other" in capsys.readouterr().err


def test_one_value_is_changed_and_saved(desk: Desk) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    assert fields["f.cutoffs.high"] == "250"
    assert fields["f.flow_path.1.rating"] == "450 bar"
    fields["f.cutoffs.high"] = "240"
    shown = send(desk.page, fields, "save")
    assert "-high = 250" in shown.text
    assert "+high = 240" in shown.text
    assert bytes_of(desk) == before
    assert "Saved: kestrel.toml" in send(desk.page, fields_of(shown), "write").words
    assert bytes_of(desk) == before.replace(b"high = 250", b"high = 240")


def test_findings_stand_at_the_field_and_in_the_list(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "500"
    answer = send(desk.page, fields, "check")
    at = re.search(r'id="f.cutoffs.high-found".*?</div>', answer.text, re.S)
    assert at is not None
    assert "Error:" in at[0]
    assert 'href="#f.cutoffs.high"' in answer.text
    assert "high-cutoff-above-rating" in answer.words
    assert "high = 500" in fields_of(answer)["text"]
    field = re.search(r'<input id="f.cutoffs.high"[^>]*>', answer.text)
    assert field is not None
    assert 'aria-invalid="true"' in field[0]


def test_errors_are_saved_only_after_they_are_shown(desk: Desk) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    wrong = base64.b64encode(before.replace(b"high = 250", b"high = 500")).decode()
    hidden = {"profile": "kestrel.toml", "was": fields["was"], "base": wrong}
    for seen in ("", "0" * 64):
        answer = send(desk.page, {**hidden, "seen": seen}, "write")
        assert "in what you save" in answer.words
        assert bytes_of(desk) == before
    assert "Saved" in send(desk.page, fields_of(answer), "write").words
    assert b"high = 500" in bytes_of(desk)


@pytest.mark.parametrize(
    ("old", "new"),
    [("format = 1", "format = 2"), ("high = 250", "high = "), ('"KB-TEA-014"', "5"), ("[[", "[[[")],
)
def test_what_is_no_profile_is_not_saved(desk: Desk, old: str, new: str) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    fields["text"] = fields["text"].replace(old, new, 1)
    answer = send(desk.page, fields, "save")
    assert "Not saved: It is not readable as a profile yet." in answer.words
    assert new in fields_of(answer)["text"]
    whole = {key: fields[key] for key in ("profile", "was")}
    body = base64.b64encode(fields["text"].encode()).decode()
    send(desk.page, {**whole, "base": body, "seen": "x"}, "write")
    assert bytes_of(desk) == before


def test_a_file_changed_meanwhile_is_not_written_over(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    other = bytes_of(desk).replace(b"low = 60", b"low = 50")
    (desk.folder / "kestrel.toml").write_bytes(other)
    for answer in (send(desk.page, confirmation, "write"), send(desk.page, fields, "save")):
        assert "was changed by somebody else since you opened it" in answer.words
        assert "high = 240" in answer.text
        assert bytes_of(desk) == other
    compared = send(desk.page, fields_of(answer), "save")
    assert "-low = 50" in compared.text
    assert "Saved" in send(desk.page, fields_of(compared), "write").words
    assert b"high = 240" in bytes_of(desk)


def test_a_file_that_is_gone_is_said_and_the_text_kept(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    (desk.folder / "kestrel.toml").unlink()
    answer = send(desk.page, confirmation, "write")
    assert "no longer in this folder" in answer.words
    assert "high = 240" in answer.text
    assert list(desk.folder.iterdir()) == []


def test_the_text_counts_where_both_were_changed(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    fields["text"] = fields["text"].replace("low = 60", "low = 50")
    answer = send(desk.page, fields, "check")
    assert "You changed the text and fields at once" in answer.words
    assert "cutoffs.high = 240" in answer.words
    now = fields_of(answer)
    assert (now["f.cutoffs.high"], now["f.cutoffs.low"]) == ("250", "50")
    assert "Not saved" in send(desk.page, fields, "save").words


def test_an_emptied_field_keeps_its_place_until_it_is_saved(desk: Desk) -> None:
    before = (desk.folder / "kestrel.toml").read_text().replace("high = 250", "high = 250  # why")
    (desk.folder / "kestrel.toml").write_text(before)
    fields = opened(desk)
    fields["f.cutoffs.high"] = ""
    emptied = fields_of(send(desk.page, fields, "check"))
    assert "high = 250" not in emptied["text"]
    emptied["f.cutoffs.high"] = "245"
    saved(desk, emptied)
    assert bytes_of(desk).decode() == before.replace("250  #", "245  #")


def test_a_new_profile_is_written_only_at_the_end(desk: Desk) -> None:
    begun = desk.page.get(
        "/new", like="conventional-400-bar", id="KB-NEW-001", instrument="KB-LC-03", name="new"
    )
    assert "New profile: new.toml" in begun.words
    assert not (desk.folder / "new.toml").exists()
    fields = fields_of(begun)
    fields["f.method.title"] = "Ours"
    assert "Made: new.toml" in saved(desk, fields).words
    assert run(["check", str(desk.folder / "new.toml")]) == 0
    assert b'title = "Ours"' in bytes_of(desk, "new.toml")
    again = desk.page.get("/new", like="conventional-400-bar", id="A", name="new.toml")
    assert "new.toml exists already" in again.words


def test_a_copy_keeps_the_text_and_has_its_own_id(desk: Desk) -> None:
    begun = desk.page.get("/new", like="file:kestrel.toml", id="KB-TEA-015", name="copy.toml")
    assert "Made" in saved(desk, fields_of(begun)).words
    assert bytes_of(desk, "copy.toml") == bytes_of(desk).replace(b"KB-TEA-014", b"KB-TEA-015")


@pytest.mark.parametrize(
    "name",
    [
        "../x.toml", "/tmp/x.toml", "a/../../x.toml", "..\\x.toml", "C:\\x.toml", ".x.toml",
        "-o.toml", "x.toml\x00", "x\r\n.toml", "con.toml", "NUL", "limitcheck.toml",
        "pyproject.toml", "nowhere/x.toml", "", " ", "x" * 400, "x.txt/", "turned\u202e.toml",
        "~/x.toml", "link/x.toml", "./x.toml", "a//b.toml", "kestrel.toml", "x.", "Limitcheck.TOML",
    ],
)  # fmt: skip
def test_hostile_names_are_refused(desk: Desk, name: str) -> None:
    outside = desk.folder.parent / "outside"
    outside.mkdir()
    (desk.folder / "link").symlink_to(outside)
    answer = desk.page.get("/new", like="conventional-400-bar", id="A", name=name)
    assert answer.status == 200
    assert "Not begun yet" in answer.words
    content = base64.b64encode(text(high="240").encode()).decode()
    forged = {"profile": name, "was": "", "base": content}
    shown = send(desk.page, forged, "save")
    send(desk.page, {**forged, **fields_of(shown)}, "write")
    assert sorted(path.name for path in desk.folder.iterdir()) == ["kestrel.toml", "link"]
    assert list(outside.iterdir()) == []
    assert bytes_of(desk) == text().encode()


def test_no_link_is_written_through(desk: Desk) -> None:
    outside = desk.folder.parent / "outside.toml"
    outside.write_text(text())
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    (desk.folder / "kestrel.toml").unlink()
    (desk.folder / "kestrel.toml").symlink_to(outside)
    answer = send(desk.page, confirmation, "write")
    assert "Not saved" in answer.words
    assert outside.read_text() == text()
    inside = desk.folder / "real.toml"
    inside.write_text(text())
    (desk.folder / "kestrel.toml").unlink()
    (desk.folder / "kestrel.toml").symlink_to(inside)
    send(desk.page, confirmation, "write")
    assert inside.read_text() == text()


def test_other_sites_and_gets_write_nothing(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    foreign = send(desk.page, confirmation, "write", Origin="http://limits.example")
    assert foreign.status == 403
    assert desk.page.get("/edit", **confirmation, act="write").status == 200
    assert bytes_of(desk) == text().encode()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission_is_said(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    desk.folder.chmod(0o500)
    answer = saved(desk, fields)
    desk.folder.chmod(0o700)
    assert "cannot be written" in answer.words
    assert "high = 240" in answer.text


@pytest.mark.parametrize(
    "error", [OSError(28, "No space left on device"), PermissionError(13, "no")]
)
def test_a_disk_that_fails_loses_nothing(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, error: OSError
) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"

    def failing(*_: object) -> None:
        raise error

    monkeypatch.setattr("limitcheck.profile.atomic._write_through", failing)
    answer = saved(desk, fields)
    assert "cannot be written" in answer.words
    assert "high = 240" in answer.text
    assert bytes_of(desk) == text().encode()
    assert [path.name for path in desk.folder.iterdir()] == ["kestrel.toml"]


HOSTILE = {
    "line ends": text().replace("\n", "\r\n"),
    "mixed line ends": text().replace("\n", "\r\n", 7),
    "mark": "\ufeff" + text(),
    "inline": text().replace('[method]\nid = "KB-TEA-014"\n', 'method = {id = "KB-TEA-014"}\n'),
    "dotted": text()
    .replace("[cutoffs]\nhigh = 250\nlow = 60\n", "", 1)
    .replace("format = 1\n", "format = 1\ncutoffs.high = 250\ncutoffs.low = 60\n"),
    "literal": text().replace('"450 bar"', "'450 bar'"),
    "no last line end": text().rstrip("\n"),
    "unicode": text().replace("KB-TEA-014", "KB-Tée-茶") + "# \u200bunseen \U0001f375\n",
    "unknown key": text() + "colour = 'red'\n",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_every_spelling_keeps_its_other_bytes(desk: Desk, name: str) -> None:
    content = HOSTILE[name].encode()
    (desk.folder / "kestrel.toml").write_bytes(content)
    fields = opened(desk)
    assert "Nothing is changed" in send(desk.page, fields, "save").words or name == "unknown key"
    if name == "unknown key":
        fields["f.flow_path.1.colour"] = ""
        content = text().encode()
    fields["f.cutoffs.high"] = "240"
    assert "Saved" in saved(desk, fields).words
    assert bytes_of(desk) == content.replace(b"high = 250", b"high = 240")


@pytest.mark.parametrize("name", HOSTILE)
def test_a_line_changed_in_the_text_keeps_the_others(desk: Desk, name: str) -> None:
    content = HOSTILE[name].replace("colour = 'red'\n", "").encode()
    (desk.folder / "kestrel.toml").write_bytes(content)
    fields = opened(desk)
    fields["text"] = fields["text"].replace("high = 250", "high = 240", 1)
    assert "Saved" in saved(desk, fields).words
    low, now = content.replace(b"high = 250", b"high = 240"), bytes_of(desk)
    assert now.replace(b"\r", b"") == low.replace(b"\r", b"")
    if b"\r" in content:
        assert now.count(b"\r") >= content.count(b"\r") - 1


@pytest.mark.parametrize(
    "content",
    [
        b"", b"\x00\x01", b"\xff\xfe\x00", b"[[[", b"format = 1\nformat = 1\n",
        b"flow_path = 5\nmethod = []\ninstrument = 'x'\nconditions = {gradient = {a = 1}}\n",
        b"[[method]]\nid = 1\n[[cutoffs]]\nhigh = 1\n", b"a = " + b"[" * 500,
        b"[instrument]\npressure_unit = [1]\n[[flow_path]]\npart = {a = 1}\n",
        b"[instrument]\nuse = '../../../etc/passwd'\n", b"x = " + b"9" * 20000, b"a=1\rb=2",
        text().encode() + b"[[measured]]\nflow = 3\n[[measured]]\n",
    ],
)  # fmt: skip
def test_any_file_opens_without_a_fault(desk: Desk, content: bytes) -> None:
    (desk.folder / "kestrel.toml").write_bytes(content)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    assert answer.status == 200
    assert "limitcheck failed" not in answer.words
    if 'id="text"' in answer.text:
        fields = fields_of(answer)
        for name in [name for name in fields if name.startswith("f.")][:5]:
            fields[name] = "5"
        assert "limitcheck failed" not in send(desk.page, fields, "save").words
    assert bytes_of(desk) == content


@pytest.mark.parametrize(
    "typed",
    ["x" * 60_000, '"', "'", "\\", '"\nhigh = 9\n#', "\x00", "é\u202e", "]]", "nan", "1e9999999",
     "{}", "9" * 5000, "0x", "1_", "true", "2026-01-01", "<b>"],
)  # fmt: skip
@pytest.mark.parametrize("name", ["f.cutoffs.high", "f.method.id", "f.flow_path.1.part"])
def test_whatever_is_typed_stays_one_value(desk: Desk, name: str, typed: str) -> None:
    fields = opened(desk)
    fields[name] = typed
    answer = send(desk.page, fields, "check")
    assert answer.status == 200
    assert "limitcheck failed" not in answer.words
    assert "<b>" not in answer.text
    assert set(parse(in_a_box(fields_of(answer)["text"]))) == set(parse(text()))


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"base": "%%%"},
        {"base": "AAAA", "profile": "x"},
        {"base": "/w==", "profile": "x", "text": "a"},
        {"profile": "x.toml", "base": "", "was": "", "f.": "1", "f.flow_path.9999999.part": "x",
         "f.flow_path.-1.bore": "2", "f.flow_path.\u0663.bore": "2", "f.a.b.c.d": "1", "text": "",
         "shown": fingerprint("")},
    ],
)  # fmt: skip
@pytest.mark.parametrize("act", ["check", "save", "write", "nonsense"])
def test_forged_forms_are_plain_pages(desk: Desk, fields: dict[str, str], act: str) -> None:
    answer = send(desk.page, fields, act)
    assert answer.status in (200, 400)
    assert "limitcheck failed" not in answer.words
    assert [path.name for path in desk.folder.iterdir()] == ["kestrel.toml"]


def test_a_field_given_twice_is_refused(desk: Desk) -> None:
    body = b'--x\r\nContent-Disposition: form-data; name="was"\r\n\r\na\r\n' * 2 + b"--x--\r\n"
    answer = desk.page.post("/edit", body, "multipart/form-data; boundary=x")
    assert answer.status == 400
    assert "given twice" in answer.words


def test_a_table_that_is_not_there_yet_is_made(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.conditions.flow"] = "1.0 mL/min"
    fields["f.conditions.temperature"] = "35 degC"
    answer = send(desk.page, fields, "check")
    assert (
        '[conditions]\r\nflow = "1.0 mL/min"\r\ntemperature = "35 degC"'
        in fields_of(answer)["text"]
    )
    fields["f.flow_path.1.certificate.pressure"] = "80 bar"
    fields["f.flow_path.1.certificate.flow"] = "1.0 mL/min"
    answer = send(desk.page, fields, "check")
    told = 'certificate = { pressure = "80 bar", flow = "1.0 mL/min" }'
    assert told in fields_of(answer)["text"]
    assert "Not written" not in answer.words


def test_another_kind_of_part_asks_for_what_that_has(desk: Desk) -> None:
    fields = opened(desk)
    assert "f.flow_path.0.bore" not in fields
    text_ = fields["text"].replace(
        'part = "column"', 'part = "tubing"\r\n\r\n[[flow_path]]\r\npart = "column"'
    )
    fields["text"] = text_
    fields = fields_of(send(desk.page, fields, "check"))
    assert "f.flow_path.1.coil_diameter" in fields
    fields["f.flow_path.1.part"] = "guard column"
    fields = fields_of(send(desk.page, fields, "check"))
    fields["f.flow_path.1.particle_size"] = "5 um"
    told = fields_of(send(desk.page, fields, "check"))
    assert told["f.flow_path.1.particle_size"] == "5 um"
    assert 'particle_size = "5 um"' in told["text"]


PROFILES = {
    "small": text(),
    "geometry": WITH_GEOMETRY,
    "crlf": WITH_GEOMETRY.replace("\n", "\r\n"),
    **{name: path.read_text("utf-8") for name, path in starting_profiles().items()},
}


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_one_changed_field_leaves_every_other_byte(data: st.DataObject) -> None:
    before = PROFILES[data.draw(st.sampled_from(sorted(PROFILES)))]
    source = Source(before)
    fields = [field for group in groups(parse(before), source) for field in group.all]
    field = data.draw(st.sampled_from([field for field in fields if field.value]))
    typed = data.draw(st.text(min_size=1, max_size=20).map(str.strip).filter(bool))
    try:
        typed.encode()
    except UnicodeEncodeError:
        return
    after, refused = changed(before, [Change(field.path, field.kind, typed)])
    assert not refused
    span = source.value_span(field.path)
    assert span is not None
    assert after.startswith(before[: span.start])
    assert after.endswith(before[span.end :])
    value = parse(after)
    for step in field.path:
        value = value[step]
    assert str(value) == typed or field.kind != "text"


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_an_emptied_field_takes_its_line_alone(data: st.DataObject) -> None:
    before = PROFILES[data.draw(st.sampled_from(sorted(PROFILES)))]
    source = Source(before)
    fields = [f for g in groups(parse(before), source) for f in g.all if f.value]
    field = data.draw(st.sampled_from(fields))
    after, refused = changed(before, [Change(field.path, field.kind, "")])
    assert not refused
    if len(field.path) > 3:  # in {...}: the pair and a comma
        assert before.count("\n") == after.count("\n")
        assert parse(before) != parse(after)
        return
    lines, left = before.splitlines(True), after.splitlines(True)
    assert len(lines) == len(left) + 1
    at = next(i for i, line in enumerate([*left, ""]) if line != lines[i])
    assert left == lines[:at] + lines[at + 1 :]


@settings(max_examples=1000)
@example("\ufeff\ufeff\r\r")
@example("a\r\n\nb\n\r\n")
@given(st.text(alphabet="ab=#\n\r\ufeff", max_size=40))
def test_a_text_box_gives_back_what_it_was_given(text_: str) -> None:
    box = in_a_box(text_)
    assert fingerprint(box.replace("\n", "\r\n")) == fingerprint(text_)
    assert in_a_box(from_a_box(box, text_)) == box
    alone = text_.replace("\r\n", "")
    if "\ufeff" not in text_ and "\r" not in alone:
        assert from_a_box(box, text_) == text_


def test_every_key_of_the_format_has_a_field() -> None:
    shown = {
        f.path[0] for g in groups({"flow_path": [{"part": "pump"}]}, Source("")) for f in g.all
    }
    apart = {"format", "measured", "accepted", "source"}  # in the text, or one for each entry
    assert shown | apart == set(Profile.model_fields)


def test_what_is_not_toml_has_no_fields(desk: Desk) -> None:
    fields = opened(desk)
    fields["text"] = "format = 1\n[[["
    answer = send(desk.page, fields, "check")
    assert "it has no fields" in answer.words
    assert "cannot be saved" in answer.words
    with pytest.raises(TomlError):
        parse(fields_of(answer)["text"])


def test_every_key_has_words_and_usual_flows_are_those_of_the_checks() -> None:
    data = {
        "flow_path": [
            {"part": part, "certificate": {}, "resistance_at": {}} for part in part_models()
        ]
    }
    for group in groups(data, Source("")):
        for field in group.all:
            assert str(field.path[-1]) in WORDS, field.path
    least, most = (Flow.parse(text) for text in usual(("conditions", "flow")).split(" to "))
    assert (float(least), float(most)) == pytest.approx(FLOWS)
    assert usual(("flow_path", 0, "rating"), "pump") == "15 to 2500 bar"
    assert usual(("flow_path", 0, "length"), "tubing") == "4 mm to 60 m"
    assert usual(("conditions", "temperature")) == "0 to 200 degC"
    assert usual(("method", "id")) == ""
