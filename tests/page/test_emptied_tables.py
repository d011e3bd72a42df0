"""A table that is emptied in the form goes where it could not stay; nothing else does."""

from __future__ import annotations

import pytest

from limitcheck.page.draft import Change, both, changed
from limitcheck.profile.toml import parse

from ..profiles_for_tests import text
from .desk import Desk, fields_of, opened, send

BAND = "\n[expected]  # measured\nlow = 120\nhigh = 180\n"


def shown(fields: dict[str, str]) -> str:
    return fields["text"].replace("\r\n", "\n")


def emptied(fields: dict[str, str], table: str) -> dict[str, str]:
    return {name: "" if name.startswith(f"f.{table}.") else v for name, v in fields.items()}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("a = 1\n\n[expected]  # x\nlow = 1\nhigh = 2  # y\n\n[b]\n", "a = 1\n\n[b]\n"),
        ("a = 1\r\n\r\n[expected]\r\nlow = 1\r\nhigh = 2\r\n", "a = 1\r\n"),
        ("a = 1\n\n# band\n[expected]\nlow = 1\nhigh = 2\n[b]\n", "a = 1\n\n# band\n[b]\n"),
        ("a = 1\n\n[expected]\n# why\nlow = 1\nhigh = 2\n", "a = 1\n\n# why\n"),
        ("\ufeff[expected]\nlow = 1\nhigh = 2\n\n[b]\n", "\ufeff[b]\n"),
        ("expected = { low = 1, high = 2 }  # x\nb = 1\n", "b = 1\n"),
        ("expected.low = 1\nexpected.high = 2\nb = 1\n", "b = 1\n"),
        ("[expected]\nlow = 1\nhigh = 2\nmore = 3\n", "[expected]\nmore = 3\n"),
        ("a = 1\n\n[expected]\nlow = 1\nhigh = 2", "a = 1"),
    ],
)
def test_a_table_goes_with_its_last_value(before: str, after: str) -> None:
    changes = [Change(("expected", key), "number", "", alone=True) for key in ("low", "high")]
    assert changed(before, changes) == (after, {})
    assert changed(before, changes[::-1]) == (after, {})


def test_a_table_that_may_be_empty_keeps_its_header() -> None:
    before = "[cutoffs]  # x\nhigh = 2\n"
    assert changed(before, [Change(("cutoffs", "high"), "number", "")]).text == "[cutoffs]  # x\n"


@pytest.mark.parametrize("line", ['resistance_at.pressure = "6 bar"', 'resistance_at."x" = 1'])
def test_the_only_dotted_key_of_a_table_is_emptied(line: str) -> None:
    before = f"[[flow_path]]\npart = 'pump'\n{line}  # x\n"
    path = ("flow_path", 0, "resistance_at", "pressure" if "pressure" in line else "x")
    assert changed(before, [Change(path, "text", "")]).text == "[[flow_path]]\npart = 'pump'\n"
    before = 'format = 1\nconditions.flow = "1 mL/min"\n'
    assert changed(before, [Change(("conditions", "flow"), "text", "")]).text == "format = 1\n"


def test_the_band_is_emptied_and_typed_again(desk: Desk) -> None:
    own = text().rstrip("\n") + "\n"
    (desk.folder / "kestrel.toml").write_text(own)
    fields = opened(desk)
    assert "expected" in parse(own)
    answer = send(desk.page, emptied(fields, "expected"), "check")
    now = fields_of(answer)
    assert "[expected]" not in now["text"]
    assert "Not readable" not in answer.words
    back = {name: v for name, v in fields.items() if name.startswith("f.expected.")}
    assert shown(fields_of(send(desk.page, now | back, "check"))) == own


@pytest.mark.parametrize("act", ["add measured 0", "add flow_path 1"])
@pytest.mark.parametrize(
    "typed",
    [
        {"f.flow_path.1.certificate.pressure": "6 bar"},
        {"f.margins.high": "20 %"},
        {"f.conditions.flow": "1 mL/min"},
        {"f.expected.swing": "2"},
    ],
)
def test_typed_arranged_and_emptied_leaves_no_trace(
    desk: Desk, act: str, typed: dict[str, str]
) -> None:
    before = opened(desk)
    now = fields_of(send(desk.page, before | typed, "check"))
    assert now["text"] != before["text"]
    _, name, place = act.split()
    now = fields_of(send(desk.page, now, act))
    if "flow_path" in act:
        typed = {key.replace("flow_path.1", "flow_path.2"): value for key, value in typed.items()}
    now = fields_of(send(desk.page, now | dict.fromkeys(typed, ""), "check"))
    now = fields_of(send(desk.page, now, f"remove {name} {place}"))
    assert shown(now) == shown(before)


def test_comments_of_what_is_emptied_are_told_where_it_was(desk: Desk) -> None:
    """Until it is typed again: then all of them stand where they stood."""
    band = "# by RS\n[expected]  # see QA-17\nlow = 180  # first week\n# over 14 runs\nhigh = 230\n"
    before, _, rest = text().partition("[expected]")
    own = before + band + rest[rest.index("\n[") :]
    (desk.folder / "kestrel.toml").write_text(own)
    fields = opened(desk)
    answer = send(desk.page, emptied(fields, "expected"), "check")
    went, stayed = (
        "Comments that went with it: ",
        "see that they still stand by what they are about: ",
    )
    for told in (f"{went}# see QA-17", f"{went}# first week", f"{stayed}# over 14 runs"):
        assert answer.words.count(told) == 1
    assert (
        f"{went}# see QA-17 Comments that stayed where they were: {stayed}# by RS" in answer.words
    )
    back = {name: v for name, v in fields.items() if name.startswith("f.expected.")}
    again = send(desk.page, fields_of(answer) | back, "check")
    assert shown(fields_of(again)) == own
    assert "Comments that" not in again.words


def test_a_list_written_empty_keeps_its_remark(desk: Desk) -> None:
    own = text() + "\n[conditions]\ngradient = []  # see QA-17\n"
    (desk.folder / "kestrel.toml").write_text(own)
    now = fields_of(send(desk.page, opened(desk), "add conditions.gradient 0"))
    assert "gradient = [{}]  # see QA-17" in now["text"]
    answer = send(desk.page, now, "remove conditions.gradient 0")
    assert "Comments that stayed where they were" in answer.words
    assert "# see QA-17" in answer.words
    assert shown(fields_of(answer)) == text() + "\n[conditions]\n# see QA-17\n"


def test_an_empty_table_may_be_taken_out_it_says(desk: Desk) -> None:
    for own, told in (
        (text().partition("[expected]")[0] + "[expected]\n\n[[flow_path]]", "take out expected"),
        (text() + "certificate = {}\n", "or take out certificate"),
        (text() + "\n[conditions]\ngradient = []\n", "give 2 or more, or take out gradient"),
        (text() + "\n[conditions]\ngradient = [{minute = 1, percent_b = 2}]\n", "give 2 or more"),
    ):
        (desk.folder / "kestrel.toml").write_text(own)
        words = send(desk.page, opened(desk), "check").words
        assert told in words
        assert ("take out" in words) == ("take out" in told)


def test_many_parts_changed_by_hand_are_not_compared_with_each_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import limitcheck.page.same_place as module

    calls = 0

    def counted(one: object, other: object) -> bool:
        nonlocal calls
        calls += 1
        return same(one, other)

    same = module.same_values
    monkeypatch.setattr(module, "same_values", counted)
    counts = []
    for parts in (50, 400):
        lines = "[[flow_path]]\npart = 'tubing'\nlength = '{}'\nlabel = '{}'\n"
        old = "".join(lines.format(n, n) for n in range(parts))
        new = "".join(lines.format(f"{n} mm", n) for n in range(parts))
        wanted = [Change(("flow_path", n, "label"), "text", "x") for n in range(10)]
        calls = 0
        taken, left = both(old, new, wanted)
        assert (taken, left) == ((wanted, []) if parts == 50 else ([], wanted))
        counts.append(calls)
    assert counts[1] < counts[0]


def test_a_band_is_needed_only_where_one_is_given(desk: Desk) -> None:
    fields = opened(desk)
    for table, needed in ((fields, True), (emptied(fields, "expected"), False)):
        answer = send(desk.page, table, "check")
        for key in ("low", "high"):
            label = answer.text.partition(f'<label for="f.expected.{key}">')[2].partition("</la")[0]
            assert ("(needed)" in label) == needed, key
    half = send(desk.page, emptied(fields, "expected") | {"f.expected.low": "120"}, "check")
    assert half.text.count('aria-required="true"') > answer.text.count('aria-required="true"')
