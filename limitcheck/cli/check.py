"""`limitcheck check`: profiles against their hardware, their method and each other."""

from __future__ import annotations

import sys
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Annotated

import typer

from ..findings import Severity

if TYPE_CHECKING:
    from ..checking.run import PolicyFor, Progress

_QUIET, _EVERY = 1.0, 0.2
"""Seconds before the first line of progress, and between two."""


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
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            help="Also write FILE.json, .sarif, .xml (JUnit) or .txt, or FORMAT=FILE; may be repeated.",
        ),
    ] = None,
    fail_on: Annotated[
        str | None,
        typer.Option(metavar="GRADE", help="Lowest grade that fails: error, warning, note."),
    ] = None,
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
        bool, typer.Option("--diff", help="Show what --fix would change; write nothing.")
    ] = False,
    skip_others: Annotated[
        bool, typer.Option("--skip-others", help="Skip named files that are no profiles.")
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
    Example: limitcheck check profiles/ -o findings.json
    """
    from datetime import date
    from os.path import isdir

    from ..checking.policy_file import policy_for
    from ..checking.run import check_content, check_targets
    from ..checking.selection import targets
    from ..errors import Refused
    from ..render import FORMATS, renderer
    from .output import asked, complain, deliver

    wanted = asked(
        format,
        output,
        inputs=[*paths, *([known] if known is not None else [])],
        others=[("--write-known", write_known)] if write_known is not None else [],
        printed=FORMATS,
        written=FORMATS,
    )
    grade = _grade(fail_on)
    if (file := known if write_known is None else write_known) is not None:
        from .known_file import mark_known, read_known
        from .known_file import write_known as write

        known_file = read_known(file, may_be_new=write_known is not None)
    rules = _rules(require)
    today = date.today()
    if paths == ["-"]:
        policy = rules(Path(stdin_name))
        result = check_content(sys.stdin.buffer.read(), stdin_name, policy, today)
    else:
        found = list(targets(paths, skip_others=skip_others, complain=complain))
        result = check_targets(found, rules, today, jobs=jobs, progress=progress_line())
        policy = policy_for(Path(paths[0], "any") if isdir(paths[0]) else Path(paths[0]))
    result = result._replace(fail_on=grade or policy.fail_on)
    written = True
    if diff or fix or fix_likely:
        from .fix import show_fixes, write_fixes

        if paths == ["-"]:
            raise Refused("standard input cannot be corrected", "name the file")
        if diff and format != "text":
            raise Refused(f"--diff is text, not {format}", "leave --format out; use --output")
        if diff:
            show_fixes(result, rules, today, likely=fix_likely)
        else:
            result, written = write_fixes(result, rules, today, likely=fix_likely)
    if file is not None:
        entries = known_file.entries
        if write_known is not None:
            entries = write(result, file, known_file, paths)
        result = mark_known(result, file, entries)
    deliver(wanted, lambda name, _: renderer(name)(result))
    return result.exit_code if written else 2


def _rules(require: list[str] | None) -> PolicyFor:
    """The policy for a file, with what the command line requires in its place."""
    from functools import partial

    from ..checking.policy_file import policy_for, policy_requiring
    from ..checks.required import may_be_required
    from ..errors import Refused
    from ..profile.problems import near

    if not require:
        return policy_for
    names = may_be_required()
    for name in require:
        if name not in names:
            raise Refused(f"--require {name}: there is no such check", near(name, names, "checks"))
    return partial(policy_requiring, tuple(require))


def _grade(name: str | None) -> Severity | None:
    from ..errors import Refused

    try:
        return Severity(name) if name is not None else None
    except ValueError:
        raise Refused(
            f"--fail-on {name}: there is no such grade", "write error, warning or note"
        ) from None


def progress_line() -> Progress | None:
    """A line on standard error that rewrites itself, gone when done; None without a terminal."""
    if not sys.stderr.isatty():
        return None
    start = monotonic()
    shown = 0.0

    def progress(done: int, total: int) -> None:
        nonlocal shown
        now = monotonic()
        if done == total:
            text = "\r\x1b[K" if shown else ""
        elif now - start > _QUIET and now - shown > _EVERY:
            shown = now
            text = f"\r{done} of {total} files checked"
        else:
            return
        sys.stderr.write(text)
        sys.stderr.flush()

    return progress
