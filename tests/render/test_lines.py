from __future__ import annotations

import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.render.lines import safe, wrap

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
