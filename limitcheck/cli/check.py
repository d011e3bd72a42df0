"""`limitcheck check`: profiles against their hardware, their method and each other."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from ..findings import Severity


def command(
    paths: Annotated[
        list[str],
        typer.Argument(metavar="PATH...", help="Profiles or folders; - for standard input."),
    ],
    format: Annotated[
        str, typer.Option(metavar="NAME", help="What to print: text, json, sarif or junit.")
    ] = "text",
    output: Annotated[
        list[str] | None,
        typer.Option(metavar="FORMAT=FILE", help="Also write a file; may be repeated."),
    ] = None,
    fail_on: Annotated[
        str | None,
        typer.Option(metavar="GRADE", help="Lowest grade that fails: error, warning, note."),
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
        bool, typer.Option("--diff", help="Show what --fix would change; write nothing.")
    ] = False,
    skip_others: Annotated[
        bool, typer.Option("--skip-others", help="Pass over named files that are no profiles.")
    ] = False,
    jobs: Annotated[
        int | None, typer.Option(metavar="N", min=1, help="Processes; default: one a processor.")
    ] = None,
    stdin_name: Annotated[
        str, typer.Option(metavar="NAME", help="What to call standard input.")
    ] = "standard-input.toml",
) -> int:
    """Check profiles: cutoffs, units, ratings, expected pressure.

    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 a file or argument
    that cannot be used, 3 a fault of limitcheck.

    \b
    Example: limitcheck check profiles/ --output json=findings.json
    """
    from dataclasses import replace
    from datetime import date
    from os.path import isdir
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..checking.run import check_content, check_targets
    from .gather import targets
    from .output import Refused, emit
    from .outputs import parse_outputs, render_checked, write_outputs
    from .progress import progress_line

    outputs = parse_outputs(output or [])
    render = render_checked(format)
    grade = _grade(fail_on)
    today = date.today()
    if paths == ["-"]:
        policy = policy_for(Path(stdin_name))
        result = check_content(sys.stdin.buffer.read(), stdin_name, policy, today)
    else:
        found = list(targets(paths, skip_others=skip_others))
        result = check_targets(found, policy_for, today, jobs=jobs, progress=progress_line())
        policy = policy_for(Path(paths[0], "any") if isdir(paths[0]) else Path(paths[0]))
    result = replace(result, fail_on=grade or policy.fail_on)
    if diff or fix or fix_likely:
        from .fix import show_fixes, write_fixes

        if paths == ["-"]:
            raise Refused("standard input cannot be corrected", "name the file")
        if diff and format != "text":
            raise Refused(f"--diff is text, not {format}", "leave --format out; use --output")
        if diff:
            show_fixes(result, policy_for, today, likely=fix_likely)
        else:
            result = write_fixes(result, policy_for, today, likely=fix_likely)
    if write_known is not None:
        from .known import write_known_file

        write_known_file(result, write_known)
        known = write_known
    if known is not None:
        from .known import mark_known

        result = mark_known(result, known)
    emit(render(result))
    write_outputs(outputs, result)
    return result.exit_code


def _grade(name: str | None) -> Severity | None:
    from .output import Refused

    try:
        return Severity(name) if name is not None else None
    except ValueError:
        raise Refused(
            f"--fail-on {name}: there is no such grade", "write error, warning or note"
        ) from None
