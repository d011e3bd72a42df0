"""The lines of a diff as the form shows them."""

from __future__ import annotations

from limitcheck.page.edit_values import diff


def shown(before: str, after: str) -> list[str]:
    return [line for kind, line in diff(before, after, "a.toml") if kind in ("in", "out", "same")]


def test_a_line_end_that_stays_is_not_shown() -> None:
    assert shown("a = 1\r\nb = 2\r\n", "a = 1\r\nb = 3\r\n") == [" a = 1", "-b = 2", "+b = 3"]


def test_a_line_end_that_changes_is_said() -> None:
    told = shown("a = 1\r\nb = 2\n", "a = 1\nb = 2\n")
    assert told == ["-a = 1 (line end CR LF)", "+a = 1", " b = 2"]


def test_a_last_line_end_is_no_blank_line() -> None:
    assert shown("a = 1\nb = 2", "a = 1\nb = 2\n") == [" a = 1", "-b = 2 (no line end)", "+b = 2"]
    assert shown("a = 1\n", "a = 1\n\n") == [" a = 1", "+"]
    assert shown("", "a = 1\n") == ["+a = 1"]
