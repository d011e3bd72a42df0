"""Reading a log: what is worked out, what is ambiguous, and every kind of bad input."""

from __future__ import annotations

import io
import tracemalloc
from datetime import datetime, timedelta
from typing import BinaryIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.history.baseline import find_baseline
from limitcheck.history.layout import Options
from limitcheck.history.lines import LONGEST_LINE, LogError, inert, quoted
from limitcheck.history.log import Choice, Log, Logged
from tests.history.logs import baseline, told


def rows(text: str | bytes, into: str | None = None, **options: object) -> list[Logged]:
    content = text.encode() if isinstance(text, str) else text
    return list(log(io.BytesIO(content), into, **options).rows())


def log(stream: BinaryIO, into: str | None = None, **options: object) -> Log:
    return Log(stream, "runs.csv", into, Options(**options))  # type: ignore[arg-type]


def test_plain_log() -> None:
    (row,) = rows("time,pressure (bar)\n2026-03-09 14:30,286\n")
    assert row == Logged(2, datetime(2026, 3, 9, 14, 30), 286.0, "", "", "")


def test_every_column_and_exact_units() -> None:
    text = (
        "Date;Time;Pressure;Unit;Method ID;Column serial;Phase\n"
        "09.03.2026;14:30;400,5;bar;M-1;C-7;start\n"
        "09.03.2026;15:30;6000;PSI;M-1;C-7;peak\n"
    )
    first, second = rows(text, "bar")
    assert first == Logged(2, datetime(2026, 3, 9, 14, 30), 400.5, "M-1", "C-7", "start")
    assert second.pressure == pytest.approx(413.685438)  # NIST SP 811: 6.894757 kPa a psi


@pytest.mark.parametrize(
    ("text", "delimiter", "decimal", "dates"),
    [
        ("time,pressure (bar)\n2026-01-02,28.6\n", ",", "point", None),
        ("time\tpressure (bar)\n2026-01-02\t28,6\n", "\t", "comma", None),
        ("time;pressure (bar)\n31/01/2026;286\n", ";", "point", "day-first"),
        ("time|pressure (bar)\n01/31/2026|286\n", "|", "point", "month-first"),
        ('time,pressure (bar)\n2026-01-02,"286,5"\n', ",", "comma", None),
        ("time;pressure (bar)\n2026-01-02;1,234\n2026-01-03;1,2\n", ";", "comma", None),
        ("sep=;\ntime;pressure (bar)\n2026-01-02;286\n", ";", "point", None),
        ("# run log\ntime,note;x,pressure (bar)\n2026-01-02,,286\n", ",", "point", None),
    ],
)
def test_layout_is_worked_out(text: str, delimiter: str, decimal: str, dates: str | None) -> None:
    layout = log(io.BytesIO(text.encode())).layout
    assert (layout.delimiter, layout.decimal, layout.dates) == (delimiter, decimal, dates)
    assert "pressure = " in " ".join(layout.describe())


@pytest.mark.parametrize(
    "header",
    [
        "pressure (bar)",
        "Pressure [bar]",
        "pressure_bar",
        "system pressure, bar",
        "Pump pressure in bar",
    ],
)
def test_headers_with_units(header: str) -> None:
    (row,) = rows(f"time;{header}\n2026-01-02;10\n", "MPa")
    assert row.pressure == pytest.approx(1)


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-03-09T14:30:05Z", "2026-03-09T14:30:05+00:00"),
        ("20260309T143005", "2026-03-09T14:30:05"),
        ("9 Mar 2026 2:30 PM", "2026-03-09T14:30:00"),
        ("09-March-2026", "2026-03-09T00:00:00"),
        ("25/3/2026 12:05 am", "2026-03-25T00:05:00"),
        ("3/25/2026, 12:05 pm", "2026-03-25T12:05:00"),
    ],
)
def test_dates(text: str, moment: str) -> None:
    (row,) = rows(f"time;pressure (bar)\n{text};286\n")
    assert row.time.isoformat() == moment


def test_options_settle_what_is_ambiguous() -> None:
    (row,) = rows(
        "when;p;other\n03/04/2026;1,234;7\n",
        "MPa",
        unit="MPa",
        decimal="comma",
        dates="day-first",
        columns={"time": "when", "pressure": "p"},
    )
    assert row.time == datetime(2026, 4, 3)
    assert row.pressure == pytest.approx(1.234)


def test_rows_without_a_pressure_are_counted() -> None:
    read = log(io.BytesIO(b"time,pressure (bar)\n2026-01-02,\n2026/01/03,286\n\n,n/a\n,NaN\n,\n"))
    assert [(row.pressure, row.time.day) for row in read.rows()] == [(286, 3)]
    assert read.without == {"": (2, 2), "n/a": (1, 5), "NaN": (1, 6)}


H = "time,pressure (bar)\n"
R = "2026-01-02,286\n"
BAD: list[tuple[str, str | bytes, tuple[int, int], str, str]] = [
    ("empty", "", (1, 1), "the log is empty", "header line"),
    ("blank lines only", "\n\n  \n", (1, 1), "the log is empty", "header line"),
    ("header only", H, (1, 1), "header and no readings", "reading a line"),
    ("one column", "pressure\n286\n", (1, 1), "one column only", "separate the columns"),
    ("no header", R + R, (1, 1), "no time column", "--use time"),
    ("text", H + R + "2026-01-03,high\n", (3, 12), '"high" is not a pressure', "286.5"),
    ("negative", H + "2026-01-03,-3\n", (2, 12), "below zero", "zero of the pressure sensor"),
    ("no pump", H + "2026-01-03,99999999\n", (2, 12), "more than any pump", "unit"),
    ("too many digits", H + "2026-01-03," + "9" * 60 + "\n", (2, 12), "not a pressure", ""),
    ("unknown unit", H + "2026-01-03,286 foo\n", (2, 12), "foo", ""),
    ("millipascal", "time,pressure (mPa)\n" + R, (1, 6), "millipascal", "MPa"),
    ("mixed delimiters", H + R + "2026-01-03;287\n", (3, 1), "separated by semicolon", "alike"),
    (
        "decimal comma in a comma log",
        H + "2026-01-03,286,5\n",
        (2, 12),
        "3 cells, the header 2",
        "quotation marks",
    ),
    ("short row", "time,method,pressure (bar)\n2026-01-03,286\n", (2, 12), "2 cells", "a cell for"),
    (
        "thousands",
        "time;pressure (bar)\n2026-01-03;286,5\n2026-01-03;1,286.5\n",
        (3, 12),
        "between thousands",
        "alike",
    ),
    ("thousands by space", H + "2026-01-03,1 286\n", (2, 12), "between thousands", "1286"),
    ("thousands by apostrophe", H + "2026-01-03,1'286\n", (2, 12), "between thousands", "1286"),
    (
        "thousands or decimal",
        "time;pressure (bar)\n2026-01-03;1,286\n",
        (2, 12),
        "between thousands, or decimal?",
        "--decimal comma",
    ),
    (
        "two decimal signs",
        "time;pressure (bar)\n2026-01-02;286,5\n2026-01-03;286.5\n",
        (3, 12),
        "decimal comma",
        "alike",
    ),
    (
        "both dates possible",
        "time;pressure (bar)\n03/04/2026;286\n",
        (2, 1),
        "day or the month first",
        "--dates day-first",
    ),
    (
        "two orders",
        "time;pressure (bar)\n25/04/2026;286\n04/26/2026;287\n",
        (3, 1),
        "dates in two orders",
        "2026-03-09",
    ),
    ("no such date", "time;pressure (bar)\n31/02/2026;286\n", (2, 1), "calendar", "2026-03-09"),
    ("no such hour", "time;pressure (bar)\n3 Feb 2026 27:00;286\n", (2, 1), "calendar", ""),
    (
        "dates change their form",
        H + "2026-01-02,286\n" * 201 + "03/04/2026,287\n",
        (203, 1),
        "in another way than the dates before",
        "--dates",
    ),
    ("two-digit year", "time;pressure (bar)\n31.01.26;286\n", (2, 1), "year of 2 digits", "four"),
    ("minutes", "time (min);pressure (bar)\n12.5;286\n", (2, 1), "not a date", "minutes since"),
    ("backwards", H + R + "2026-01-01,286\n", (3, 1), "comes after", "oldest first"),
    ("two kinds of time", H + R + "2026-01-03T00:00Z,286\n", (3, 1), "time zone", "alike"),
    ("NUL", H + "2026-01-03,2\x0086\n", (2, 13), "NUL byte", "export the log again"),
    ("not UTF-8", H.encode() + b"2026-01-03,286\xb0\n", (2, 15), "0xb0 is not UTF-8", "UTF-8"),
    (
        "UTF-16",
        "time,pressure\n2026-01-03,\ud800".encode("utf-16", "surrogatepass"),
        (2, 12),
        "UTF-16",
        "UTF-8",
    ),
    ("workbook", b"PK\x03\x04xxxxxxxx", (1, 1), "workbook", "save the sheet as CSV"),
    ("formula", H + "2026-01-03,=cmd|' /C calc'!A0\n", (2, 12), "is not a pressure", ""),
    ("open quote", H + '"2026-01-03,286\n' + R, (2, 1), "quotation mark", "same line"),
    (
        "two pressures",
        "time,pressure,pump pressure\n2026-01-02,1,2\n",
        (1, 15),
        "2 columns could be the pressure",
        "--use pressure=",
    ),
    ("two delimiters fit", "time;x,pressure;y\n", (1, 1), "could be separated", "--delimiter"),
    ("no unit in a row", "time,pressure,unit\n2026-01-02,286,\n", (2, 12), "no unit", "--unit"),
]


@pytest.mark.parametrize(
    ("text", "place", "message", "advice"), [case[1:] for case in BAD], ids=[c[0] for c in BAD]
)
def test_bad_input(text: str | bytes, place: tuple[int, int], message: str, advice: str) -> None:
    with pytest.raises(LogError) as caught:
        rows(text, "bar")
    assert (caught.value.line, caught.value.column) == place
    assert message in caught.value.message
    assert advice in caught.value.advice
    assert str(caught.value).startswith("runs.csv:")
    assert len(str(caught.value)) < 300


def test_unknown_column_and_unit() -> None:
    with pytest.raises(LogError, match='no column is called "Run"'):
        rows(H + R, columns={"time": "Run"})
    with pytest.raises(LogError, match="no unit to give the result in"):
        rows("time,pressure,unit\n2026-01-02,286,bar\n")
    with pytest.raises(LogError, match="is not a delimiter"):
        rows(H + R, delimiter="x")


class Endless(io.RawIOBase):
    """A file without a line end, two gigabytes long; nothing of it is kept."""

    def __init__(self) -> None:
        self.at = 0

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, position: int, whence: int = 0) -> int:
        self.at = position
        return position

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        n = min(len(buffer), 2 * 1024**3 - self.at)
        buffer[:n] = b"9" * n
        self.at += n
        return n


@pytest.mark.parametrize(
    ("text", "column"),
    [
        (f"time,pressure (bar),{'x' * 400}\n2026-01-01,5,y\n", 21),
        (f"time,pressure (bar)\n2026-01-01,{'5' * 400}\n", 12),
        (f"time,pressure (bar)\n{'2' * 400},5\n", 1),
        (f"time,pressure (bar),method\n2026-01-01,5,{'m' * 400}\n", 14),
    ],
)
def test_a_cell_far_longer_than_any_name(text: str, column: int) -> None:
    with pytest.raises(LogError, match="a cell of 400 characters") as refused:
        rows(text)
    assert refused.value.column == column


def test_a_note_may_be_long() -> None:
    assert len(rows(f"time,pressure (bar),note\n2026-01-01,5,{'m' * 4000}\n")) == 1


def test_a_header_of_thousands_of_names_is_told_in_part() -> None:
    with pytest.raises(LogError) as refused:
        rows(",".join(f"c{i}" for i in range(9000)) + "\n1\n", delimiter=",")
    assert '"c19", ...' in refused.value.message
    assert len(refused.value.message) < 400


def test_a_line_of_two_gigabytes() -> None:
    endless = Endless()
    with pytest.raises(LogError, match=f"longer than {LONGEST_LINE}"):
        log(io.BufferedReader(endless))  # type: ignore[arg-type]
    assert endless.at < 1024**2


class Generated(io.RawIOBase):
    """A log of `count` rows that is made while it is read."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.seek(0)

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, position: int, whence: int = 0) -> int:
        assert position == 0
        self.row = -1
        self.rest = b""
        return 0

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        if not self.rest and self.row < self.count:
            self.rest = b"".join(self._line() for _ in range(min(500, self.count - self.row)))
        n = min(len(buffer), len(self.rest))
        buffer[:n] = self.rest[:n]
        self.rest = self.rest[n:]
        return n

    def _line(self) -> bytes:
        self.row += 1
        if self.row == 0:
            return b"time,pressure (bar)\n"
        time = datetime(2026, 1, 1) + timedelta(seconds=self.row)
        return f"{time:%Y-%m-%d %H:%M:%S},{200 + self.row % 97 / 10}\n".encode()


def test_memory_does_not_grow_with_the_log() -> None:
    peaks = []
    for count in (10_000, 30_000):
        tracemalloc.start()
        stream = io.BufferedReader(Generated(count))  # type: ignore[arg-type]
        found = find_baseline(stream, "runs.csv", Options(), Choice())  # type: ignore[arg-type]
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert found.phases[0].readings == count
    # 20,000 rows more; what fitting 100 points takes depends on the steps in them.
    assert peaks[1] < peaks[0] + 400_000


@pytest.mark.parametrize(
    ("cell", "kept"),
    [
        ("C-4471", "C-4471"),
        ("=cmd|' /C calc'!A0", "'=cmd|' /C calc'!A0"),
        ("@SUM(1)", "'@SUM(1)"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        (" a\x07b ", "ab"),
    ],
)
def test_formulas_are_disarmed(cell: str, kept: str) -> None:
    assert inert(cell) == kept
    (row,) = rows(f"time;pressure (bar);column serial\n2026-01-02;286;{cell}\n")
    assert row.column == kept


def test_quoted_is_printable_and_short() -> None:
    assert quoted("a\x1b[2J" + "x" * 100) == '"a\\x1b[2J' + "x" * 32 + '..."'


CELLS = st.sampled_from(
    [
        "286",
        "286,5",
        "286.5",
        "1,234",
        "1.234.5",
        "-1",
        "nan",
        "=1+1",
        "",
        " ",
        "bar",
        "psi",
        "x",
        "2026-01-02",
        "03/04/2026",
        "31/01/2026",
        "31.01.26",
        "2026-01-02T10:00Z",
        "\x00",
        "\ufeff",
        '"',
        '"a;b"',
        "9" * 30,
        "0",
        "1e5",
        "\u0661",
        "286 bar",
        "286 mPa",
        "\r",
        "\u2028",
    ]
)
LINES = st.lists(st.lists(CELLS, max_size=4), max_size=6)


@settings(max_examples=300)
@given(st.sampled_from([",", ";", "\t"]), LINES, st.booleans())
def test_any_table_is_read_or_refused(delimiter: str, table: list[list[str]], headed: bool) -> None:
    header = [["time", "pressure (bar)", "unit", "phase"]] if headed else []
    text = "\n".join(delimiter.join(line) for line in header + table)
    _read_or_refuse(text.encode())


@settings(max_examples=200)
@given(st.binary(max_size=80))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    _read_or_refuse(content)
    _read_or_refuse(b"time,pressure (bar)\n2026-01-02,286\n" + content)


def _read_or_refuse(content: bytes) -> None:
    refused = None
    try:
        shown = told(baseline(content))
    except LogError as error:
        refused = error
    if refused is not None:
        assert refused.line >= 1
        assert refused.column >= 1
        assert refused.advice
    else:
        assert max(map(len, shown.splitlines())) <= 80
