"""A repository's policy: `limitcheck.toml`, or `[tool.limitcheck]` in pyproject.toml.

The nearest one upward from a profile holds for it, whole. Unknown keys are errors.
"""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path

from ..policy import DEFAULT_POLICY, NOTHING_ASKED, CommandLine, Policy
from .misread_policies import policies_in

KEYS = ("fail_on", "exclude", "margins", "acceptances", "severity", "require", "transfer")
"""Of a policy file, at its top."""


def policy_for(path: Path, command: CommandLine = NOTHING_ASKED) -> Policy:
    """The policy that holds for a file, with what the command line sets over it.

    It is looked for from the real folder of the file upward, however its path was typed. Raises
    UnreadableProfile for a policy in error.
    """
    return _policy_under(command, real_folder(str(path.parent), os.getcwd()))


@lru_cache(maxsize=4096)
def real_folder(folder: str, here: str) -> Path:
    """A folder without links and dots; one that is relative is so to `here`."""
    return Path(os.path.realpath(os.path.join(here, folder)))


def forget_policies() -> None:
    """Read every policy again, in a process that outlives an edit."""
    real_folder.cache_clear()
    _policy_under.cache_clear()
    _policy_of_folder.cache_clear()
    _read_folder.cache_clear()


@lru_cache(maxsize=4096)
def _policy_under(command: CommandLine, folder: Path) -> Policy:
    return _policy_of_folder(folder)._replace(command=command)


@lru_cache(maxsize=4096)
def _policy_of_folder(folder: Path) -> Policy:
    found = (_read_folder(each) for each in (folder, *folder.parents))  # folders may nest deeply
    return next((policy for policy in found if policy is not None), DEFAULT_POLICY)


@lru_cache(maxsize=4096)
def _read_folder(folder: Path) -> Policy | None:
    """The policy of one folder; raises UnreadableProfile for one in error, and for two."""
    found = policies_in(folder, KEYS)
    if not found:
        return None
    from .policy_tables import read_policy  # most files have no policy over them

    return read_policy(found[0])
