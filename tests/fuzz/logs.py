"""Pressure logs: plausible rows, odd cells, any separator, line end and encoding."""

from __future__ import annotations

from hypothesis import strategies as st

from .strategies import mangled

CELLS = st.one_of(
    st.decimals(0, 6000, places=1).map(str),
    st.sampled_from(["", "212,4", "1.234,5", "-3", "nan", "inf", "1e400", "212 bar", "3000 psi",
                     "n/a", '"', "KB-TEA-014", "2026-03-04 08:00", "04/03/2026", "31.12.26 7:05",
                     "2026-03-04T08:00:00+01:00", "bar", "psi", "=1+1", "é", "9" * 50]),
    st.datetimes().map(str),
)  # fmt: skip
HEADS = st.lists(
    st.sampled_from(["time", "pressure", "pressure [bar]", "unit", "method", "column", "phase",
                     "Date", "Pressure (psi)", "", "time", "remark"]),
    max_size=6,
)  # fmt: skip


@st.composite
def logs(draw: st.DrawFn) -> bytes:
    """A log with plausible rows, odd cells, and whatever separator and line end."""
    comma = draw(st.sampled_from([",", ";", "\t", "|"]))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    if draw(st.booleans()):
        head = ["time", "pressure", *draw(HEADS)]
        rows = [
            [str(draw(st.datetimes())), draw(CELLS), *draw(st.lists(CELLS, max_size=4))]
            for _ in range(draw(st.integers(0, 12)))
        ]
    else:
        head = draw(HEADS)
        rows = draw(st.lists(st.lists(CELLS, max_size=6), max_size=12))
    lines = [comma.join(cells) for cells in [head, *rows]]
    text = draw(st.sampled_from(["", "\ufeff", "# remark\n"])) + end.join(lines)
    content = text.encode(draw(st.sampled_from(["utf-8", "utf-8", "utf-16", "latin-1"])), "replace")
    return draw(mangled(content)) if draw(st.booleans()) else content
