"""What the format refuses of the profile that a row gives, asked at the cell it came from."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationError

from ..findings import KeyPath
from ..profile.model import Profile, validate_profile
from ..profile.pieces import Pieces
from ..profile.problems import Problem, explain
from .planned import Planned
from .questions import Question
from .rows import Given


def validate(planned: Planned, pieces: Pieces | None = None) -> Iterator[Question]:
    """Validate a profile as it will be read; a refusal is a question about the value's cell."""
    try:
        made = pieces.profile if pieces is not None else validate_profile
        planned.profile = made(planned.whole)
    except ValidationError as error:
        planned.record.open = True
        for problem in explain(error, Profile):
            yield _question(planned, problem)


def _question(planned: Planned, problem: Problem) -> Question:
    """At the cell of the value; of one that is missing, at the cell where it would stand."""
    record, path = planned.record, _missing_end(planned, problem.path)
    sheet, names = record.header.sheet, (record.text("instrument.id"), record.text("method.id"))
    given, advice = planned.cells.get(path), problem.advice
    column = record.header.of(".".join(map(str, path)))
    if given is None and column is not None:
        cell, text = sheet.cell_name(record.row, column.at), sheet.at(record.row, column.at)
        advice = "answer with what belongs in this cell, or correct the table"
        return Question(sheet.name, cell, "cell", str(text), problem.message, advice, "", *names)
    given = given or _beside(planned, path) or record.given["method.id"]
    return Question(
        *(sheet.name, given.cell, "cell", given.text, problem.message, advice, "", *names)
    )


def _missing_end(planned: Planned, path: KeyPath) -> KeyPath:
    """The end that a band lacks, where a problem is that of the band; else the path as it is."""
    band = planned.whole.get("expected", {})
    lacking = [end for end in ("low", "high") if end not in band]
    return (*path, *lacking) if path == ("expected",) and len(lacking) == 1 else path


def _beside(planned: Planned, path: KeyPath) -> Given | None:
    """Another value of the same table, as the other end of a band."""
    same = (given for at, given in planned.cells.items() if at[:-1] == path[:-1])
    return next(same, None) if path[:1] == ("expected",) else None
