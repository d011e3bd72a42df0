"""Which comments went with what was taken out of a text, or stand by something else."""

from __future__ import annotations

import pytest

from limitcheck.profile.remarks import moved

BAND = "[a]\nx = 1\n\n# of the band\n[b]  # head\nlow = 1  # one\n# two\nhigh = 2\n# end\n\n[c]\n"
HIGH = ("b", "high")


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (BAND, BAND.replace("low = 1", "low = 7"), []),
        (BAND, BAND.replace("high = 2\n", "high = 2\nmore = 3\n"), [("# end", HIGH, False)]),
        (BAND, BAND.replace("low = 1  # one\n", ""), [("# one", ("b", "low"), True)]),
        (BAND, BAND.replace("high = 2\n", ""), [("# two", HIGH, False), ("# end", HIGH, False)]),
        (
            BAND,
            "[a]\nx = 1\n\n# of the band\n# two\n# end\n\n[c]\n",
            [
                ("# of the band", ("b",), False),
                ("# head", ("b",), True),
                ("# one", ("b", "low"), True),
                ("# two", HIGH, False),
                ("# end", HIGH, False),
            ],
        ),
        # A comment written twice: one of them went.
        ("a = 1  # x\nb = 2  # x\n", "b = 2  # x\n", [("# x", ("a",), True)]),
        # What only looks like one does not count, nor does a place that another row moved to.
        ('a = "# x"\nb = 1  # y\n', "b = 1  # y\n", []),
        # In a list over lines, and behind the end of one.
        (
            "g = [  # open\n  { m = 1 },  # first\n  { m = 2 },\n]  # shut\n",
            "g = [  # open\n  {  },  # first\n  { m = 2 },\n]\n",
            [("# shut", ("g",), True)],
        ),
        ('t = """\n# no\n"""  # yes\n', "\n", [("# yes", ("t",), True)]),
        (
            "\ufeff# top\r\na = 1\r\n\r\n# alone\r\n\r\nb = 2\r\n",
            "\ufeff# top\r\nb = 2\r\n",
            [("# top", ("a",), False), ("# alone", (), True)],
        ),
        ("a = 1 # x", "a = ", []),  # no TOML has no places
    ],
)
def test_comments_that_went_or_moved(
    before: str, after: str, told: list[tuple[str, tuple[str, ...], bool]]
) -> None:
    assert [tuple(one) for one in moved(before, after)] == told
