"""Names that look like others, and texts with characters that nobody sees, are refused."""

from __future__ import annotations

import pytest

from limitcheck.profile.load import load_bytes
from limitcheck.profile.text import UnreadableProfile
from tests.profiles_for_tests import text

UNSEEN = [
    *range(0x200B, 0x2010),
    *range(0x202A, 0x202F),
    *range(0x2060, 0x2065),
    0xFEFF,
    0x00AD,
    0x034F,
    0x3164,
    0xE0041,
]


def refused(content: str) -> str:
    with pytest.raises(UnreadableProfile) as error:
        load_bytes(content.encode(), "bad.toml")
    (finding,) = error.value.findings
    assert finding.location is not None
    return f"{finding.location.line}: {finding.message} -> {finding.advice}"


@pytest.mark.parametrize("code", UNSEEN, ids=hex)
@pytest.mark.parametrize("escaped", [True, False])
def test_what_does_not_show_is_refused_by_its_code(code: int, escaped: bool) -> None:
    written = f"\\U{code:08x}" if escaped else chr(code)
    for table, name in (("method", "KB-TEA-014"), ("instrument", "KB-LC-03")):
        assert text().count(f'"{name}"') == 1
        content = text().replace(f'"{name}"', f'"KB{written}-TEA"')
        line = content[: content.index(f"KB{written}")].count("\n") + 1
        said = refused(content)
        assert said.startswith(f"{line}: {table}.id: ")
        assert f"a character that does not show, U+{code:04X}, at character 3" in said
        assert "type the text again" in said
        assert said.isascii()


@pytest.mark.parametrize("key", ["title", "revision", "site"])
def test_other_texts_too(key: str) -> None:
    content = text().replace("[method]\n", f'[method]\n{key} = "Tea\u200b"\n', 1)
    assert "U+200B, at character 4" in refused(content)


@pytest.mark.parametrize("letters", ["\u0301", "\u0301A", " \u0301"])
def test_an_accent_with_no_letter_under_it(letters: str) -> None:
    assert "begins with an accent, U+0301" in refused(text(method=f'"{letters}"'))


def test_a_letter_and_its_accent_are_one() -> None:
    assert 'type it as one letter: "Caf\xe9"' in refused(text(method='"Cafe\u0301"'))
    load_bytes(text(method='"Caf\xe9"').encode(), "good.toml")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("KB-\u0422EA", "U+0422, at character 4, among Latin letters: it looks like T"),
        ("KB-TE\u0391", "U+0391, at character 6, among Latin letters: it looks like A"),
    ],
)
def test_letters_of_another_script_that_look_alike(name: str, said: str) -> None:
    told = refused(text(method=f'"{name}"'))
    assert said in told
    assert "write all letters in one script" in told


@pytest.mark.parametrize(
    "name",
    ["\u0427\u0410\u0419-014", "\u03b1-Tocopherol", "5 \xb5m C18", "M\xe9thode 3", "\u8336-014"],
)
def test_names_in_other_scripts_are_names(name: str) -> None:
    profile = load_bytes(text(method=f'"{name}"').encode(), "good.toml").profile
    assert profile.method.id == name


def test_a_key_or_unit_that_hides_a_character_shows_it(capsys: pytest.CaptureFixture[str]) -> None:
    from limitcheck.render.lines import safe

    key = refused(text().replace("[method]\n", '[method]\n"ti\u200btle" = "x"\n', 1))
    assert "unknown key ti\\u200btle" in safe(key)
    unit = refused(text(unit='"b\u200bar"'))
    assert "b\\u200bar" in safe(unit)
