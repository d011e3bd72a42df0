"""`limitcheck check`: profiles against their hardware, their method and each other.

Annotations are evaluated once here: the parser would evaluate their texts several times.
"""

from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from ..checking.contradictions import PolicyFor
    from ..checking.looked import Looked
    from ..checking.narrowing import Narrowing
    from ..checking.run import Run


def command(
    paths: Annotated[
        list[str],
        typer.Argument(
            metavar="PATH...", help="Profiles, folders, tables (CSV, XLSX); - for standard input."
        ),
    ],
    format: Annotated[
        str,
        typer.Option(
            metavar="NAME",
            help="What to print: text, json, sarif, junit, remarks-text or remarks-json.",
        ),
    ] = "text",
    output: Annotated[
        list[str] | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            help="Also write FILE.json, .sarif, .xml (JUnit) or .txt, or FORMAT=FILE; may be repeated.",
        ),
    ] = None,
    fail_on: Annotated[
        str | None,
        typer.Option(metavar="GRADE", help="Lowest grade that fails: error, warning, note; never."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="CHECK", help="Turn every other check off; may be repeated."),
    ] = None,
    without: Annotated[
        list[str] | None, typer.Option(metavar="CHECK", help="Turn a check off; may be repeated.")
    ] = None,
    quiet: Annotated[
        bool, typer.Option("--quiet", "-q", help="Print only what fails, and the counts.")
    ] = False,
    summary: Annotated[
        bool, typer.Option("--summary", help="Print one line a profile, and counts by check.")
    ] = False,
    verbose: Annotated[
        bool,
        typer.Option(
            "--verbose", "-v", help="Details of every profile, and why each file was skipped."
        ),
    ] = False,
    settings: Annotated[
        bool,
        typer.Option(
            "--settings", help="Check nothing: print the settings in force, and from where."
        ),
    ] = False,
    require: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CHECK",
            help="Check that must be decided, all, or core (the default); may be repeated.",
        ),
    ] = None,
    known: Annotated[
        str | None, typer.Option(metavar="FILE", help="Findings in this file do not fail.")
    ] = None,
    write_known: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write the findings to FILE, known from now on."),
    ] = None,
    fix: Annotated[
        bool, typer.Option("--fix", help="Correct mistyped numbers where that is certain.")
    ] = False,
    fix_likely: Annotated[
        bool, typer.Option("--fix-likely", help="As --fix, and where it is likely.")
    ] = False,
    diff: Annotated[
        bool,
        typer.Option("--diff", help="Print what --fix would change, for git apply; write nothing."),
    ] = False,
    skip_others: Annotated[
        bool, typer.Option("--skip-others", help="Skip named files that are no profiles.")
    ] = False,
    tracked: Annotated[
        bool,
        typer.Option(
            "--tracked",
            help="Of a folder, check only files that git tracks or that are newly staged, as they "
            "are in the working tree; it is said where that differs from what is staged.",
        ),
    ] = False,
    changed_since: Annotated[
        str | None,
        typer.Option(
            metavar="REV",
            help="As --tracked, and only profiles that changed since this commit of git, or whose "
            "shared descriptions, sources or policy changed, moved or went.",
        ),
    ] = None,
    allow_empty: Annotated[
        bool, typer.Option("--allow-empty", help="Finding no profile at all is not an error.")
    ] = False,
    map: Annotated[
        str | None,
        typer.Option(
            "--map", metavar="FILE", help="Of tables: which header is which key, as for import."
        ),
    ] = None,
    answers: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Of a table: the questions of import, filled in."),
    ] = None,
    jobs: Annotated[
        int | None, typer.Option(metavar="N", min=1, help="Processes; default: one a processor.")
    ] = None,
    stdin_name: Annotated[
        str, typer.Option(metavar="NAME", help="What to call standard input.")
    ] = "standard-input.toml",
) -> int:
    """Check profiles: cutoffs, units, ratings, expected pressure.

    A table (CSV, XLSX) is checked row by row as it stands, without writing profiles;
    a row whose meaning is a question is not decided, and fails. Tables in a folder are
    not checked, which is said.
    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 a file or argument
    that cannot be used, 3 a fault of limitcheck. Each profile fails by its own
    policy; what a policy or an option turns off or regrades is said in every output.

    \b
    Example: limitcheck check profiles/ -o findings.json
    """
    from ..checking.selection import select
    from ..errors import Refused
    from ..render import FORMATS
    from .checked import checked, policy_of
    from .gate import (
        command_line,
        deliver_nothing,
        deliver_run,
        form_of,
        known_file_of,
        refuse_beside_settings,
        show_settings,
    )
    from .output import PRINTED, asked
    from .tables import tables_of

    if settings:
        refuse_beside_settings(
            known=known, write_known=write_known, fix=fix, fix_likely=fix_likely, diff=diff
        )
        refuse_beside_settings(
            tracked=tracked, changed_since=changed_since, quiet=quiet, summary=summary
        )
        plain = asked(format, output, printed=PRINTED, written=PRINTED)
        show_settings(paths, command_line(fail_on, only, without, require), plain)
        return 0
    read_table = tables_of(paths, stdin_name, map, answers, fixes=diff or fix or fix_likely)
    wanted = asked(
        format,
        output,
        inputs=[*paths, *(file for file in (known, map, answers) if file is not None)],
        others=[("--write-known", write_known)] if write_known is not None else [],
        printed=FORMATS,
        written=FORMATS,
        of_run=True,
    )
    if "-" in paths and len(paths) > 1:
        raise Refused("- is standard input, which is checked alone", "leave the other paths out")
    form = form_of(format, quiet=quiet, summary=summary, verbose=verbose)
    if diff and format != "text":
        raise Refused(f"--diff is text, not {format}", "leave --format out; use --output")
    if (file := known_file_of(known, write_known)) is not None:
        from .known_file import mark_known, read_known
        from .known_file import write_known as write

        known_file = read_known(file, may_be_new=write_known is not None)
    policy_for = partial(policy_of, command_line(fail_on, only, without, require))
    narrowing = None
    if tracked or changed_since is not None:
        narrowing = _narrowed(paths, changed_since, known)
    found = None if paths == ["-"] else select(paths, skip_others=skip_others, narrowing=narrowing)
    result, written = checked(found, policy_for, stdin_name, read_table, jobs=jobs), True
    if narrowing is not None:
        result = _elsewhere(result, narrowing)
    if diff or fix or fix_likely:
        result, written = _corrected(result, paths, policy_for, diff=diff, likely=fix_likely)
    if file is not None:
        entries = known_file.entries
        if write_known is not None:
            entries = write(result, file, known_file, paths)
        result = mark_known(result, file, entries)
    if result.summary.profiles == 0:
        unchanged = changed_since is not None and _unchanged(result.looked)
        if not (unchanged or allow_empty or skip_others):
            return deliver_nothing(result, wanted, form, aside=diff)
    deliver_run(result, wanted, form, aside=diff)
    if result.summary.profiles == 0 and changed_since is not None:
        from .output import complain

        complain(f"nothing that changed since {changed_since} concerns a profile")
    return result.exit_code if written else 2


def _unchanged(looked: "Looked") -> bool:
    """Whether something that may be a profile was left out because nothing changed about it."""
    from ..checking.kinds import may_be_profile
    from ..checking.looked import UNCHANGED

    return any(may_be_profile(item.path) for item in looked.skipped if item.reason == UNCHANGED)


def _narrowed(paths: list[str], changed_since: str | None, known: str | None) -> "Narrowing":
    """What git says of the paths; what has to be said of that is printed."""
    from ..checking.narrowing import Narrowing
    from ..errors import Refused
    from .output import complain

    if paths == ["-"]:
        raise Refused("standard input is no file that git could track", "name a folder")
    narrowing = Narrowing(paths, changed_since, [] if known is None else [known])
    for remark in narrowing.remarks:
        complain(remark)
    return narrowing


def _elsewhere(run: "Run", narrowing: "Narrowing") -> "Run":
    """The run as with tracked files alone; a policy in force that is not tracked is printed."""
    from ..checking.elsewhere import as_elsewhere, untracked_policies
    from .output import complain

    for policy in untracked_policies(run, narrowing):
        complain(f"{policy} holds here, but git does not track it", narrowing.advice(policy))
    return as_elsewhere(run, narrowing)


def _corrected(
    run: "Run", paths: list[str], policy_for: "PolicyFor", *, diff: bool, likely: bool
) -> "tuple[Run, bool]":
    """With --diff the run as it is, its corrections printed; else the run with them written.

    And whether all could be written.
    """
    from datetime import date

    from ..errors import Refused
    from .fix import show_fixes, write_fixes

    if paths == ["-"]:
        raise Refused("standard input cannot be corrected", "name the file")
    if not diff:
        return write_fixes(run, policy_for, date.today(), likely=likely)
    show_fixes(run, policy_for, date.today(), likely=likely)
    return run, True
