"""The tables among the paths of a command: what reads them, and what cannot be asked of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, partial
from typing import TYPE_CHECKING

from ..checking.kinds import is_table
from ..checking.table_rows import TableReader, no_table
from ..errors import Refused

if TYPE_CHECKING:
    from ..checking.table_rows import ReadTable
    from ..tables.checked import Given


def tables_of(
    paths: Sequence[str],
    stdin_name: str = "",
    mapping: str | None = None,
    answers: str | None = None,
    *,
    fixes: bool = False,
) -> TableReader:
    """What reads the tables among the paths, with a mapping file and a table of answers.

    Raises Refused for options that hold for tables alone where there is none, for answers beside
    more than one table, and for corrections of a table.
    """
    names = [stdin_name if path == "-" else path for path in paths]
    tables = list(dict.fromkeys(filter(is_table, names)))
    if not tables:
        for option, value in (("--map", mapping), ("--answers", answers)):
            if value is not None:
                raise Refused(f"{option} {value}: no table is named", "name a CSV or XLSX file")
        return no_table
    if fixes:
        raise Refused(
            f"{tables[0]} is a table: corrections are written into profiles only",
            "leave --fix, --fix-likely and --diff out, and correct the cells that findings name",
        )
    if answers is not None and len(tables) > 1:
        raise Refused(
            f"--answers {answers}: answers are to the questions of one table, and "
            f"{len(tables)} are named",
            "check the tables one by one",
        )
    from ..tables.answers import read_answers
    from ..tables.checked import Given, read_table
    from ..tables.mapping import NOTHING, read_mapping

    given = Given(
        NOTHING if mapping is None else read_mapping(mapping),
        None if answers is None else read_answers(answers),
    )
    if "-" in paths:
        return cache(partial(_from_stdin, given))
    return partial(read_table, given=given)


def _from_stdin(given: Given, name: str) -> ReadTable:
    from ..tables.checked import read_bytes
    from ..tables.grid import LARGEST_FILE
    from .streams import read_input

    content = read_input(LARGEST_FILE, "standard input")
    if len(content) > LARGEST_FILE:
        raise Refused("standard input is too large for a table of methods", "check it in parts")
    return read_bytes(content, name, given)
