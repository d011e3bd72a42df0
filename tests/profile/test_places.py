"""Places that stand for tables, and the nearest place; values are placed in test_toml."""

from __future__ import annotations

import pytest

from limitcheck.profile.places import Source

TEXT = (
    "format = 1\r\n[ cutoffs ] # set\r\nhigh = 260\r\n"
    "[[flow_path]]\r\npart = 'pump'\r\n[[flow_path]]\r\nat.flow = {rate = 1, unit = 'ml'}\r\n"
)


def test_headers_stand_for_tables() -> None:
    source = Source(TEXT)
    at = {
        path: TEXT[s.start : s.end]
        for path in [("cutoffs",), ("flow_path",), ("flow_path", 1), ("flow_path", 1, "at")]
        if (s := source.key_span(path))
    }
    assert at == {
        ("cutoffs",): "[ cutoffs ]",
        ("flow_path",): "[[flow_path]]",
        ("flow_path", 1): "[[flow_path]]",
        ("flow_path", 1, "at"): "at",
    }
    second = source.key_span(("flow_path", 1))
    assert second is not None
    assert (second.line, second.column, second.end_column) == (6, 1, 14)
    assert source.value_span(("cutoffs",)) is None


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (("cutoffs", "high"), "260"),
        (("cutoffs", "low"), "[ cutoffs ]"),
        (("flow_path", 0, "rating", "unit"), "[[flow_path]]"),
        (("flow_path", 1, "at", "flow"), "{rate = 1, unit = 'ml'}"),
        (("flow_path", 1, "at", "pressure"), "at"),
        (("margins", "high"), "format = 1"),
        ((), "format = 1"),
    ],
)
def test_nearest_climbs_to_what_is_written(path: tuple[str | int, ...], expected: str) -> None:
    span = Source(TEXT).nearest(path)
    assert TEXT[span.start : span.end] == expected


def test_lines_are_given_without_their_ends() -> None:
    text = "\ufeffa = 1\r\n\r\nb = 2"
    source = Source(text)
    lines = {at: source.line_around(at) for at in range(len(text) + 1)}
    assert lines[0] == lines[1] == lines[text.index("\r")] == "a = 1"
    assert lines[text.index("\n\r") + 1] == ""
    assert lines[text.index("b")] == lines[len(text)] == "b = 2"
    assert source.nearest(("a",)).column == 5
