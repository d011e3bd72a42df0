"""The run over what a command selected, for every command that checks."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..checking.contradictions import PolicyFor
    from ..checking.run import Run
    from ..checking.selection import Selection
    from ..checking.table_rows import TableReader
    from ..policy import CommandLine, Policy


def policy_of(command: "CommandLine", path: Path) -> "Policy":
    """The policy for a file under the command line; a function of a module, for the workers."""
    from ..checking.policy_file import policy_for

    return policy_for(path, command)


def checked(
    found: "Selection | None",
    policy_for: "PolicyFor",
    stdin_name: str,
    read_table: "TableReader",
    *,
    jobs: int | None,
    facts: bool = False,
) -> "Run":
    """The run over what was selected; None: over standard input."""
    from datetime import date

    from ..checking.kinds import is_table
    from ..checking.run import Target, check_content, check_targets
    from ..profile.text import LARGEST_FILE
    from .progress import progress_bar
    from .streams import read_input

    today = date.today()
    if found is None and is_table(stdin_name):
        table = [Target(stdin_name, table=True)]
        return check_targets(table, policy_for, today, facts=facts, read_table=read_table)
    if found is None:
        policy = policy_for(Path(stdin_name))
        content = read_input(LARGEST_FILE, "standard input")
        return check_content(content, stdin_name, policy, today, facts=facts)
    return check_targets(
        found.targets,
        policy_for,
        today,
        looked=found.looked,
        jobs=jobs,
        progress=progress_bar(),
        lost=_lost,
        facts=facts,
        read_table=read_table,
    )


def _lost() -> None:
    from .output import complain

    complain(
        "a worker process was ended by the system (out of memory?): the rest is checked in one "
        "process",
        "check with --jobs 1 if it happens again",
    )
