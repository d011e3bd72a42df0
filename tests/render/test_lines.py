from __future__ import annotations

import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.documents.blocks import FindingBlock
from limitcheck.render.lines import caret_lines, safe, wrap

WORDS = st.text(st.sampled_from("ab-é.\n"), max_size=70)
TEXTS = st.lists(st.one_of(WORDS, st.sampled_from(["", " ", "word"])), max_size=40).map(" ".join)
INDENTS = st.sampled_from(["", "  ", "  Do: "])


@given(TEXTS, INDENTS, INDENTS)
def test_lines_are_those_of_the_standard_library(text: str, first: str, rest: str) -> None:
    """Python's textwrap is the reference: wrap is a faster road to the same lines."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("COLUMNS", raising=False)
        assert wrap(text, first, rest) == textwrap.wrap(
            safe(text),
            80,
            initial_indent=first,
            subsequent_indent=rest,
            break_on_hyphens=False,
            break_long_words=False,
        )


@pytest.mark.parametrize("code", [0x00, 0x1B, 0x7F, 0x80, 0x90, 0x9B, 0x9F])
def test_no_control_character_reaches_a_terminal(code: int) -> None:
    """C0, DEL and C1: ECMA-48, 5; 9B alone begins a sequence on a terminal of 8 bits."""
    assert safe(f"a{chr(code)}2J") == f"a\\x{code:02x}2J"


@pytest.mark.parametrize("start", [0, 5, 200])
@pytest.mark.parametrize("marked", [1, 30, 400])
@pytest.mark.parametrize("width", [60, 80, 100])
def test_a_marked_line_and_its_carets_fit(start: int, marked: int, width: int) -> None:
    line = "k" * start + "v" * marked + "  # why"
    block = FindingBlock(
        *("error", "unit-confusion", "", "a.toml:7:1", "m"),
        line=7,
        source_line=line,
        marked=(start, start + marked),
    )
    shown, carets = ("".join(text for _, text in pieces) for pieces in caret_lines(block, width))
    assert max(len(shown), len(carets)) <= width
    assert {shown[at] for at, sign in enumerate(carets) if sign == "^"} == {"v"}
    assert carets.count("^") == shown.count("v")
