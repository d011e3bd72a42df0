"""The command line: one table of commands, each in a module of its own, loaded when called."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from errno import EPIPE
from importlib import import_module
from typing import Any, NamedTuple

import typer
from typer.core import TyperCommand, TyperGroup, TyperOption

from .terminal import color_option, forget

_TRACEBACK = "LIMITCHECK_TRACEBACK"


class Entry(NamedTuple):
    """A command: its name (and module), the group it is listed under, one line of help."""

    name: str
    group: str
    help: str
    module: str = ""
    """Where it is not the name: `import` is a word of Python."""


COMMANDS: tuple[Entry, ...] = (
    Entry("check", "Profiles", "Check profiles: cutoffs, units, ratings, expected pressure."),
    Entry("fleet", "Profiles", "All methods and instruments in one table, by nearness to harm."),
    Entry("predict", "Profiles", "Predict the pressure a method should make."),
    Entry("faults", "Profiles", "What each fault does to the pressure, and what stops it."),
    Entry("accept", "Profiles", "Answer for a finding, with a reason and until a day."),
    Entry("new", "Profiles", "Begin a profile from a starting profile."),
    Entry("import", "Profiles", "Make profiles from a table: CSV or XLSX.", "table_import"),
    Entry("propose", "Profiles", "Propose cutoffs, and write them into the profile."),
    Entry("entry", "At the instrument", "May this number be typed as a cutoff?"),
    Entry("convert", "At the instrument", "Convert a pressure exactly."),
    Entry("export", "At the instrument", "What to type at each instrument, in large print."),
    Entry("reading", "At the instrument", "Is this pressure normal, and if not, why?"),
    Entry("isolate", "At the instrument", "Where a restriction sits, step by step."),
    Entry("page", "At the instrument", "The same in a browser, for this computer only."),
    Entry("baseline", "History", "Normal pressure, drift and mixed units from a log."),
    Entry("transfer", "Between laboratories", "Move a method: every field ruled, accept or not."),
    Entry("fit", "Between laboratories", "Which instruments can run which methods, safely."),
    Entry("report", "Between laboratories", "A report on profiles to read, print and sign."),
    Entry("explain", "Reference", "What a check means, and what to do about it."),
    Entry("qualify", "Reference", "Verify this installation and compute known answers again."),
    Entry("schema", "Reference", "The profile format as JSON Schema, for editors."),
)


_HYPHEN = "\u2011"
"""Stands for a hyphen while a help text is broken into lines: at that sign none is broken."""


def _whole_words(formatter: Any) -> None:
    """Have a help formatter break lines at spaces only: no name of an option ends in a hyphen."""
    write_text, write_dl = formatter.write_text, formatter.write_dl
    put, write = str.replace, formatter.write
    formatter.write_text = lambda text: write_text(put(text, "-", _HYPHEN))
    formatter.write_dl = lambda rows: write_dl(
        [(put(name, "-", _HYPHEN), put(told, "-", _HYPHEN)) for name, told in rows]
    )
    formatter.write = lambda text: write(put(text, _HYPHEN, "-"))


class Command(TyperCommand):
    """Refuses an option given twice: the parser goes by the last one, and says nothing."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the help, with words whole."""
        _whole_words(formatter)
        super().format_help(ctx, formatter)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Parse; raises Refused for an option that is given more often than it is read."""
        if not _asks_for_help(args):
            _each_once(self.make_parser(ctx).parse_args(list(args))[2])
        return super().parse_args(ctx, args)


def _each_once(given: Iterable[object]) -> None:
    seen = set()
    for option in given:
        if not isinstance(option, TyperOption) or option.multiple:
            continue
        if option in seen and (not option.is_flag or option.secondary_opts):
            from ..errors import Refused

            name = " or ".join([option.opts[0], *option.secondary_opts])
            raise Refused(f"{name} is given twice", f"give {name} once, as it is meant")
        seen.add(option)


class CommandTable(TyperGroup):
    """Lists commands by who needs them, and imports only the one that is called."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write the help, with words whole."""
        _whole_words(formatter)
        super().format_help(ctx, formatter)

    def list_commands(self, ctx: Any) -> list[str]:
        """Names in the order of the table."""
        return [entry.name for entry in COMMANDS]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command, built from its module; None for an unknown name."""
        entry = next((entry for entry in COMMANDS if entry.name == cmd_name), None)
        if entry is None:
            return None
        module = import_module(f".{entry.module or entry.name}", __package__)
        single = typer.Typer(add_completion=False, rich_markup_mode=None)
        single.command(entry.name, cls=Command, no_args_is_help=False)(module.command)
        command = typer.main.get_command(single)
        command.params.append(color_option())
        return command

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """One section a group."""
        for group in dict.fromkeys(entry.group for entry in COMMANDS):
            with formatter.section(group):
                formatter.write_dl(
                    [(entry.name, entry.help) for entry in COMMANDS if entry.group == group]
                )


app = typer.Typer(
    cls=CommandTable,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    invoke_without_command=True,
    no_args_is_help=True,
)


@app.callback()
def _root() -> None:
    """Pressure cutoffs in the right unit, checked against hardware and method.

    limitcheck is an aid to review, not a safety device: the maker's manual, the
    site's procedures and qualified staff decide. `limitcheck --version` prints
    the version.

    \b
    Example: limitcheck check profiles/
    """


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; no traceback for bad input."""
    from .output import undelivered

    undelivered()
    forget()
    command = typer.main.get_command(app)
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        _refuse_undecoded(given)
        result = command.main(args=given, prog_name="limitcheck", standalone_mode=False)
    except KeyboardInterrupt as stopped:
        return _stopped(stopped)
    except SystemExit:  # what the parser makes of a reader that left
        if _asks_for_help(given):
            return 0
        return _report(BrokenPipeError(EPIPE, os.strerror(EPIPE)), given)
    except Exception as error:
        return _report(error, given)
    except BaseException as ended:  # by a signal
        from .failure import replace_stale

        replace_stale(ended)
        raise
    if result == 130:  # what typer makes of an interrupt
        return _stopped(KeyboardInterrupt())
    return result if isinstance(result, int) else 0


def _refuse_undecoded(given: Sequence[str]) -> None:
    """Raise Refused for an argument that is no text: only the name of a file may be that."""
    for number, argument in enumerate(given, 1):
        undecoded = any("\ud800" <= letter <= "\udfff" for letter in argument)
        names = (argument, argument.partition("=")[2])
        if "\0" in argument or (undecoded and not any(map(os.path.lexists, filter(None, names)))):
            from ..errors import Refused
            from .failure import name_stale

            name_stale(given)
            raise Refused(
                f"argument {number}, {argument}, is not UTF-8 text, and no file has that name",
                "type it again, or correct the name of the file",
            )


def _asks_for_help(given: Sequence[str]) -> bool:
    return "--help" in given or not given


def _stopped(error: BaseException) -> int:
    from .failure import replace_stale
    from .streams import say

    replace_stale(error)
    say("stopped")
    return 130


def _report(error: Exception, given: Sequence[str]) -> int:
    from typer import Abort, Exit

    from .failure import name_stale, replace_stale
    from .output import complain, show_usage_error
    from .streams import stopped_by_system

    if isinstance(error, Exit):
        return error.exit_code
    if isinstance(error, Abort):
        return _stopped(KeyboardInterrupt())
    if isinstance(error, (OSError, MemoryError)) and not os.environ.get(_TRACEBACK):
        error = stopped_by_system(error, printing=_asks_for_help(given))
    if hasattr(error, "show"):  # the parser's: no command has begun
        name_stale(given)
    replace_stale(error)
    shown = show_usage_error(error, given)
    if shown is not None:
        return shown
    if os.environ.get(_TRACEBACK):
        raise error
    complain(
        f"limitcheck failed: {type(error).__name__}: {error}",
        f"This is a fault of limitcheck; please report it. {_TRACEBACK}=1 shows where.",
    )
    return 3
