"""Whatever a file or a form holds: one field changed on the page leaves every other byte."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from limitcheck.page.draft import Change, changed, fingerprint, from_a_box, in_a_box
from limitcheck.page.profile_form import groups
from limitcheck.profile.places import Source
from limitcheck.profile.starting import starting_profiles
from limitcheck.profile.toml import TomlError, parse

from ..profiles_for_tests import WITH_GEOMETRY, text
from .desk import Desk, bytes_of, fields_of, opened, saved, send

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
    assert answer.status == (200 if 'id="text"' in answer.text else 409)
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
         "before": ""},
    ],
)  # fmt: skip
@pytest.mark.parametrize("act", ["check", "save", "write", "nonsense"])
def test_forged_forms_are_plain_pages(desk: Desk, fields: dict[str, str], act: str) -> None:
    answer = send(desk.page, fields, act)
    assert answer.status in (200, 400, 409)
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


@settings(max_examples=300)
@given(st.data())
def test_one_changed_field_leaves_every_other_byte(data: st.DataObject) -> None:
    before = PROFILES[data.draw(st.sampled_from(sorted(PROFILES)))]
    source = Source(before)
    fields = [field for group in groups(parse(before), source) for field in group.all]
    field = data.draw(st.sampled_from([field for field in fields if field.value]))
    typed = data.draw(st.text(min_size=1, max_size=20).map(str.strip).filter(bool))
    typed = typed.rstrip("%") or "x"  # the unit of a field may be typed
    try:
        typed.encode()
    except UnicodeEncodeError:
        return
    after, refused = changed(before, [Change(field.path, field.kind, typed)])
    if refused:  # digits with separators, as TOML has none, or as only programs write them
        separated = r"[+-]?[0-9.][0-9., '\u2019\u00a0\u202f]*"
        programs = r"[+-]?[0-9][0-9a-fA-FxXoO_.eE+-]*"
        assert re.fullmatch(f"{separated}|{programs}", typed)
        assert after == before
        return
    span = source.value_span(field.path)
    assert span is not None
    assert after.startswith(before[: span.start])
    assert after.endswith(before[span.end :])
    value = parse(after)
    for step in field.path:
        value = value[step]
    assert value == meant(field.kind, typed)
    assert type(value) is type(meant(field.kind, typed))


def meant(kind: str, typed: str) -> Any:
    """The value of what is typed into a field of a kind, by the standard library's TOML."""
    if kind == "truth" and typed in ("true", "false"):
        return typed == "true"
    if kind == "number":
        try:
            found = tomllib.loads(f"v = {typed}", parse_float=Decimal)
        except tomllib.TOMLDecodeError:
            found = {}
        value = found.get("v") if list(found) == ["v"] else None
        if type(value) in (int, Decimal) and Decimal(value).is_finite():
            return value
        if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", typed):
            return Decimal(typed.replace(",", "."))
    return typed


@pytest.mark.parametrize(
    ("kind", "typed", "written"),
    [
        ("number", "7", "7"), ("number", "7.50", "7.50"), ("number", "1e3", "1e3"),
        ("number", "-2", "-2"), ("number", "x", '"x"'), ("number", "true", '"true"'),
        ("number", "nan", '"nan"'), ("number", "+5", "+5"),
        ("number", "120 bar", '"120 bar"'), ("number", "7,5", "7.5"), ("truth", "true", "true"),
        ("truth", "1", '"1"'), ("text", "7", '"7"'), ("text", "true", '"true"'),
    ],
)  # fmt: skip
def test_what_is_typed_is_written_as_its_kind(kind: str, typed: str, written: str) -> None:
    assert changed("v = 'x'\n", [Change(("v",), kind, typed)]).text in (
        f"v = {written}\n",
        f"v = {written}\n".replace('"', "'"),
    )


@settings(max_examples=200)
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


def test_needed_numbers_and_choices_are_written_as_such(desk: Desk) -> None:
    fields = opened(desk)
    fields |= {"f.expected.low": "118", "f.expected.high": "205 bar", "f.instrument.id": "1"}
    fields["f.instrument.pressure_unit"] = "psi"
    now = fields_of(send(desk.page, fields, "check"))["text"]
    for line in ("low = 118", 'high = "205 bar"', 'id = "1"', 'pressure_unit = "psi"'):
        assert f"{line}\r\n" in now
    page = desk.page.get("/edit", profile="kestrel.toml").text
    assert '<span class="unit" id="f.expected.low-unit">bar</span>' in page
    assert '<select id="f.instrument.pressure_unit"' in page


def test_what_is_not_toml_has_no_fields(desk: Desk) -> None:
    fields = opened(desk)
    fields["text"] = "format = 1\n[[["
    answer = send(desk.page, fields, "check")
    assert "it has no fields" in answer.words
    assert "cannot be saved" in answer.words
    with pytest.raises(TomlError):
        parse(fields_of(answer)["text"])


def test_the_line_ends_of_a_large_text_box_are_quickly_kept() -> None:
    """Every line of it is the same, which compared each with each would never end."""
    for before in ("x=1\r\n" * 100_000, "x=1\r\nx=1\n" * 50_000):
        kept = from_a_box(in_a_box(before).removeprefix("x=1\n"), before)
        assert kept == before.removesuffix("\n").removesuffix("\r").removesuffix("x=1")


def test_in_mixed_line_ends_a_line_keeps_its_own() -> None:
    before = "a\r\nb\nc\r\nd\ne\r\n"
    assert from_a_box("a\nnew\nb\nd\ne\n", before) == "a\r\nnew\r\nb\nd\ne\r\n"


def test_a_table_takes_what_is_typed_while_its_only_value_is_emptied() -> None:
    part = PROFILES[min(PROFILES)].partition("[[flow_path]]")[0]
    before = part + '[[flow_path]]\npart = "column"\nresistance_at.pressure = "3 bar"\n'
    path = ("flow_path", 0, "resistance_at")
    emptied = Change((*path, "pressure"), "text", "", alone=True)
    after, refused = changed(before, [emptied, Change((*path, "solvent_b"), "text", "water")])
    assert not refused
    assert parse(after)["flow_path"] == [
        {"part": "column", "resistance_at": {"solvent_b": "water"}}
    ]
