"""Documents of every kind of block, for hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

from limitcheck.charts.svg import Drawing
from limitcheck.documents.blocks import (
    Blanks,
    Block,
    Bullets,
    Chapter,
    Document,
    Facts,
    FindingBlock,
    Section,
    Table,
    Text,
    ToType,
)

_SIGNS = st.characters(
    max_codepoint=0x17F, categories=("L", "N", "P", "S", "Cc")
) | st.sampled_from("流動相バー\u0301\u202e\u2028")
"""Latin, wide and combining signs, and such as would steer a terminal."""
WORDS = st.lists(st.text(_SIGNS, min_size=1, max_size=12), min_size=1, max_size=20).map(" ".join)
FIGURES = st.decimals(0, 99999, places=2).map(str)
NUMBERS = st.builds("{} {}".format, FIGURES, st.sampled_from(["bar", "psi", "MPa", "mL/min", "%"]))


@st.composite
def tables(draw: st.DrawFn) -> Table:
    """A table of one to five columns, some of them of figures."""
    width = draw(st.integers(1, 5))
    figures = tuple(number for number in range(1, width) if draw(st.booleans()))
    cells = [FIGURES if number in figures else WORDS | NUMBERS for number in range(width)]
    rows = draw(st.lists(st.tuples(*cells), min_size=1, max_size=4))
    columns = draw(st.tuples(*([WORDS] * width)))
    places = st.tuples(st.integers(0, len(rows) - 1), st.integers(0, width - 1))
    marked = tuple(draw(st.lists(places, max_size=2)))
    return Table(draw(st.just("") | WORDS), columns, tuple(rows), figures, marked)


TO_TYPE = st.builds(
    ToType,
    st.sampled_from(["high", "low"]),
    FIGURES,
    st.just("bar"),
    st.sampled_from(["", "likely"]),
    st.just("to type"),
)
FINDINGS = st.builds(
    FindingBlock,
    st.sampled_from(["error", "warning", "note", "accepted", "known"]),
    st.just("unit-confusion"),
    st.sampled_from(["", "likely"]),
    WORDS,
    WORDS,
    st.just("") | WORDS,
    st.lists(TO_TYPE, max_size=2).map(tuple),
    st.lists(WORDS, max_size=2).map(tuple),
    st.integers(1, 9999),
    st.text(max_size=120),
    st.tuples(st.integers(0, 60), st.integers(0, 130)).map(lambda ends: (min(ends), max(ends))),
)
TEXTS = st.lists(WORDS, min_size=1, max_size=4).map(tuple)
BLOCKS: st.SearchStrategy[Block] = st.one_of(
    st.builds(Text, WORDS | NUMBERS, st.booleans()),
    TO_TYPE,
    st.builds(Bullets, TEXTS, st.booleans()),
    st.builds(Facts, st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=4).map(tuple)),
    tables(),
    st.builds(
        Drawing,
        st.just("<svg/>"),
        WORDS,
        WORDS,
        st.lists(WORDS, max_size=2).map(tuple),
        marks=st.none(),
    ),
    FINDINGS,
    st.builds(Blanks, TEXTS),
)
SECTIONS = st.builds(
    Section, st.just("") | WORDS, st.lists(BLOCKS, max_size=3).map(tuple), st.booleans()
)
CHAPTERS = st.builds(Chapter, WORDS, st.lists(SECTIONS, max_size=2).map(tuple))
DOCUMENTS = st.builds(
    Document,
    WORDS,
    st.lists(BLOCKS, max_size=2).map(tuple),
    st.lists(CHAPTERS, max_size=2).map(tuple),
    st.lists(WORDS, max_size=2).map(tuple),
    st.just("2026-11-25"),
    st.just("0.1.0"),
)
