"""`limitcheck import`: profiles from a laboratory's table of methods."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Output, Paper, Verbose


def command(
    table: Annotated[str, typer.Argument(metavar="TABLE", help="A CSV or XLSX file.")],
    write: Annotated[
        str | None,
        typer.Option("--write", metavar="FOLDER", help="Write what is ready into this folder."),
    ] = None,
    map: Annotated[
        str | None, typer.Option("--map", metavar="FILE", help="Which header is which key (TOML).")
    ] = None,
    write_map: Annotated[
        str | None,
        typer.Option("--write-map", metavar="FILE", help="Write what was understood, for --map."),
    ] = None,
    questions: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write what is open to a CSV or XLSX to fill in."),
    ] = None,
    answers: Annotated[
        str | None, typer.Option(metavar="FILE", help="The questions, filled in.")
    ] = None,
    decimal: Annotated[
        str | None,
        typer.Option(metavar="SIGN", help="point or comma, where columns do not decide."),
    ] = None,
    delimiter: Annotated[
        str | None, typer.Option(metavar="SIGN", help="What separates the cells of a CSV.")
    ] = None,
    format: Annotated[
        str, typer.Option(metavar="NAME", help="What to print: text, json or markdown.")
    ] = "text",
    output: Output = None,
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Make profiles from a table: one row a method on an instrument.

    Shows what was understood and writes nothing without --write. Units come from
    headers, cells, a column of units or a title, or from all rows of an instrument
    together; what is doubtful is asked and not written. Values only: formulas,
    macros and links are never followed. Exit code: 0 every row gives a profile,
    1 something is open, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck import methods.csv
    Example: limitcheck import methods.xlsx --questions open.csv
    Example: limitcheck import methods.xlsx --answers open.csv --write profiles/
    """
    from datetime import date

    from ..documents.table_import import import_data, import_document
    from ..errors import Refused
    from ..tables.answers import Answers, read_answers, to_fill_in
    from ..tables.grid import read_grid
    from ..tables.importing import import_grid
    from ..tables.mapping import NOTHING, mapping_text, read_mapping
    from ..tables.numbers import Sign
    from ..tables.questions import questions_csv, questions_xlsx
    from ..tables.written import write_files
    from .output import asked, show, write_file
    from .overwriting import refuse_filled_in

    if decimal not in (None, "point", "comma"):
        raise Refused(f"--decimal {decimal}", "write --decimal point or --decimal comma")
    if questions is not None and not questions.lower().endswith((".csv", ".xlsx")):
        raise Refused(f"--questions {questions}: no known format", "write FILE.csv or FILE.xlsx")
    for option, path, ending in (
        ("--write", write, "a folder"),
        ("--questions", questions, "FILE.csv"),
    ):
        if path == "":
            raise Refused(f"{option} is given without a name", f"write {option} and {ending}")
    given = (("--write-map", write_map), ("--questions", questions))
    others = [(option, path) for option, path in given if path is not None]
    inputs = [path for path in (table, map, answers) if path is not None]
    wanted = asked(format, output, verbose, inputs=inputs, others=others, paper=paper)
    if questions is not None:
        refuse_filled_in(questions)
    mapping = NOTHING if map is None else read_mapping(map)
    told = Answers() if answers is None else read_answers(answers)
    sign: Sign | None = None
    if decimal is not None:
        sign = "comma" if decimal == "comma" else "point"
    separator = "\t" if delimiter == "tab" else delimiter or mapping.delimiter
    found = import_grid(read_grid(table, separator), mapping, told, sign)
    if write_map is not None:
        headers = [read.header for read in found.reads]
        write_file(write_map, mapping_text(headers, sign or mapping.decimal, separator))
    if questions is not None:
        workbook = questions.lower().endswith(".xlsx")
        make = questions_xlsx if workbook else questions_csv
        write_file(questions, make(to_fill_in(found.questions, told)))
    written = None
    if write is not None and found.ready:
        written = write_files(write, dict(found.profiles()), dict(found.shared()), jobs=None)
    folder = write or ""
    show(
        wanted,
        import_document(found, date.today(), written, folder),
        import_data(found, written, folder),
    )
    return 0 if not found.questions and found.ready else 1
