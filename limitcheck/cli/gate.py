"""What a gate asks of `check`: options over the policy, forms of the text, settings in force."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import Refused
from ..findings import Severity
from ..policy import CommandLine, FailOn, Policy
from ..render.screen import PAPER, Screen
from .output import Asked, deliver, listed

if TYPE_CHECKING:
    from ..checking.run import Run


def command_line(
    fail_on: str | None,
    only: Sequence[str] | None,
    without: Sequence[str] | None,
    require: Sequence[str] | None,
) -> CommandLine:
    """What the options set over every policy; raises Refused for a name that there is not."""
    found = CommandLine(_grade(fail_on), *(tuple(n or ()) for n in (only, without, require)))
    if not (found.only or found.without or found.require):
        return found
    from ..checking.policy_tables import check_problem, require_problem
    from ..checks.required import required

    for option, names, problem_of in (
        ("--only", found.only, check_problem),
        ("--without", found.without, check_problem),
        ("--require", found.require, require_problem),
    ):
        for name in names:
            if problem := problem_of(name):
                raise Refused(f"{option} {name}: {problem[0]}", problem[1])
    for name in found.only:
        if name in found.without:
            raise Refused(f"--without {name}: another option asks for it", "leave one out")
    asked = Policy(command=found)
    for name in found.require:
        for check in sorted(required((name,))):
            if option := asked.off_by_command(check):
                told = f"--require {name}: {option} turns {check} off"
                raise Refused(told, "leave one out, or require less by name")
    return found


def _grade(name: str | None) -> FailOn | None:
    if name is None:
        return None
    if name == "never":
        return "never"
    if name in (*Severity,):
        return Severity(name)
    advice = f"write {listed((*Severity, 'never'))}"
    raise Refused(f"--fail-on {name}: there is no such grade", advice)


def form_of(format: str, **asked: bool) -> str:
    """The form of the text on the screen; raises Refused for two, and for another format."""
    forms = [name for name, wanted in asked.items() if wanted]
    if len(forms) > 1:
        raise Refused(f"--{forms[0]} and --{forms[1]} are two forms", "leave one out")
    if forms and format != "text":
        told = f"--{forms[0]} is a form of text, not of {format}"
        raise Refused(told, f"leave --{forms[0]} out")
    return forms[0] if forms else "full"


def draw(run: Run, format: str, form: str, screen: Screen = PAPER) -> Iterator[str]:
    """A run in one of its formats; `form` is that of the text, drawn for that screen."""
    if format == "text":
        from ..render import run_text

        return run_text.FORMS[form](run, screen)
    from ..render import renderer

    return renderer(format)(run)


def refuse_beside_settings(**given: object) -> None:
    """Raise Refused for an option that has nothing to do where nothing is checked."""
    for name, value in given.items():
        if value not in (None, False):
            option = f"--{name.replace('_', '-')}"
            raise Refused(
                f"--settings checks nothing, so {option} would do nothing", "leave one out"
            )


def known_file_of(known: str | None, write_known: str | None) -> str | None:
    """The known-findings file; raises Refused for two, of which one would not be read."""
    if known is None or write_known is None:
        return known if write_known is None else write_known
    if known and write_known and os.path.realpath(known) != os.path.realpath(write_known):
        told = f"--known {known} and --write-known {write_known} are two files"
        raise Refused(told, "leave one out: --write-known reads its file, too")
    return write_known


def show_settings(paths: Sequence[str], command: CommandLine, wanted: Asked) -> None:
    """Print the settings in force for each path, a profile or a folder, and where each is from."""
    from ..checking.policy_file import policy_for
    from ..documents.settings import InForce, settings_data, settings_document
    from ..profile.load import load
    from .output import show

    found = []
    for path in paths:
        folder = os.path.isdir(path)
        profile = None if folder or path == "-" else load(path).profile
        policy = policy_for(Path(path, "any") if folder else Path(path), command)
        found.append(InForce(path, policy, profile))
    show(wanted, settings_document(found, date.today()), settings_data(found))


def deliver_run(run: Run, wanted: Asked, form: str, *, aside: bool) -> None:
    """Print and write a run; with `aside` its text goes to standard error."""

    def drawn(format: str, screen: Screen | None) -> Iterator[str]:
        return draw(run, format, *((form, screen) if screen is not None else ("verbose",)))

    deliver(wanted, drawn, aside=aside)


def deliver_nothing(run: Run, wanted: Asked, form: str, *, aside: bool) -> int:
    """Print and write a run that found no profile, as one that failed; its exit code.

    On a screen that reads the text it is said once, to standard error.
    """
    from ..checking.looked import NOTHING_SKIPPED, no_profile
    from ..checking.run import Failure
    from ..findings import Finding
    from .output import complain

    advice = "name profiles, or use --allow-empty"
    short = no_profile(NOTHING_SKIPPED, advice)
    found = Finding(Severity.ERROR, short.message, short.advice, check="failed-run")
    failed = run._replace(failure=Failure(2, (found,)))

    def drawn(format: str, screen: Screen | None) -> Iterator[str]:
        if screen is None:
            return draw(failed, format, "verbose")
        return draw(run if format == "text" else failed, format, form, screen)

    deliver(wanted, drawn, aside=aside)
    told = short if wanted.format == "text" else no_profile(run.looked, advice)
    complain(told.message, told.advice)
    return failed.exit_code
