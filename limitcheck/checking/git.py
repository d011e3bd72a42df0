"""What git knows of a working tree: the files it tracks, and what changed since a revision.

git itself is asked, and writes nothing. Names come separated by NUL, as the bytes they are. What
the environment of a hook says of the repository and of its index holds for the files in it.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping
from functools import cached_property

from ..errors import LimitcheckError, Refused

_NAMING = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_COMMON_DIR", "GIT_OBJECT_DIRECTORY")
"""Variables by which git tells a hook of which repository, and of which index, it speaks."""
_ALWAYS = {"GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
_SETTINGS = ("core.fsmonitor=false", "diff.relative=false", "diff.ignoreSubmodules=none")
_NOT_BORN = ("HEAD", "@")


class NoGit(LimitcheckError):
    """git cannot be asked about a folder; the message says why."""


class WorkingTree:
    """The working tree around a folder; raises NoGit where there is none, or no git.

    `files` are those tracked, newly staged ones too, without those staged for deletion.
    """

    def __init__(self, folder: str) -> None:
        self.top, self._environment = _repository(os.path.realpath(folder))
        self.files = self._names("ls-files", "-z", "--cached", "--recurse-submodules")

    @cached_property
    def folders(self) -> frozenset[str]:
        """The folders that hold tracked files."""
        found = {self.top}
        for name in self.files:
            folder = os.path.dirname(name)
            while folder not in found:
                found.add(folder)
                folder = os.path.dirname(folder)
        return frozenset(found)

    @cached_property
    def unstaged(self) -> frozenset[str]:
        """The tracked files that are otherwise, or missing, than they are staged."""
        return self._changed()

    def commit(self, revision: str) -> str | None:
        """The commit of a revision; None for HEAD before the first commit. Raises Refused.

        A revision may not begin with "-".
        """
        found = self._run("rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}")
        if found.returncode == 0:
            return os.fsdecode(found.stdout.strip())
        if revision in _NOT_BORN and self._run("symbolic-ref", "-q", "HEAD").returncode == 0:
            return None
        raise Refused(
            f'--changed-since: git knows no revision "{revision}" in {self.top}',
            "name a commit, branch or tag; a shallow clone has to fetch it first",
        )

    def changed(self, commit: str) -> frozenset[str]:
        """What differs from a commit, staged or not; of a file that was moved, both names."""
        return self._changed(commit) | self._changed("--cached", commit)

    def commits(self, name: str, most: int) -> tuple[tuple[str, str], ...]:
        """The commits of a file, the latest first, each with the file's name then.

        A file that was renamed is followed; a new one has none. Raises NoGit.
        """
        if self.commit("HEAD") is None:
            return ()
        told = ("--format=%H", f"--max-count={most}", "--follow", "--name-only", "-z")
        below = os.path.relpath(name, self.top).replace(os.sep, "/")
        found = self._run("--literal-pathspecs", "log", *told, "--", below)
        if found.returncode != 0:
            raise NoGit(_reason(found))
        parts = [part.lstrip("\n") for part in os.fsdecode(found.stdout).split("\0") if part]
        pairs = zip(parts[::2], parts[1::2], strict=True)
        return tuple((commit, os.path.join(self.top, *then.split("/"))) for commit, then in pairs)

    @property
    def shallow(self) -> bool:
        """Whether earlier commits were not fetched."""
        return self._run("rev-parse", "--is-shallow-repository").stdout.strip() == b"true"

    def content(self, commit: str, name: str) -> bytes | None:
        """The bytes of a file as it was in a commit; None where it was not there."""
        below = os.path.relpath(name, self.top).replace(os.sep, "/")
        found = self._run("cat-file", "blob", f"{commit}:{below}")
        return found.stdout if found.returncode == 0 else None

    def _changed(self, *arguments: str) -> frozenset[str]:
        told = ("--name-only", "-z", "--no-renames", "--no-ext-diff", *arguments, "--")
        return self._names("diff", *told)

    def _names(self, *arguments: str) -> frozenset[str]:
        found = self._run(*arguments)
        if found.returncode != 0:
            raise NoGit(_reason(found))
        names = os.fsdecode(found.stdout).split("\0")
        return frozenset(os.path.join(self.top, *name.split("/")) for name in names if name)

    def _run(self, *arguments: str) -> subprocess.CompletedProcess[bytes]:
        return _run(arguments, self.top, self._environment)


def _repository(folder: str) -> tuple[str, Mapping[str, str]]:
    """The top of the working tree that a folder lies in, and the environment to ask it in."""
    environment = dict(os.environ) | _ALWAYS
    if any(name in environment for name in _NAMING):
        here = os.getcwd()
        top = _top(here, environment)
        if top is not None and os.path.commonpath([top, folder]) == top:
            if "GIT_DIR" in environment:
                named = os.path.join(here, environment["GIT_DIR"])
                environment |= {"GIT_DIR": named, "GIT_WORK_TREE": top}
            return top, environment
        environment = {name: text for name, text in environment.items() if name not in _NAMING}
    top = _top(folder, environment)
    if top is None:
        raise NoGit(_reason(_run(("rev-parse", "--show-toplevel"), folder, environment)))
    return top, environment


def _top(folder: str, environment: Mapping[str, str]) -> str | None:
    found = _run(("rev-parse", "--show-toplevel"), folder, environment)
    name = os.fsdecode(found.stdout.removesuffix(b"\n"))
    return os.path.realpath(name) if found.returncode == 0 and name else None


def _run(
    arguments: tuple[str, ...], folder: str, environment: Mapping[str, str]
) -> subprocess.CompletedProcess[bytes]:
    settings = (part for setting in _SETTINGS for part in ("-c", setting))
    try:
        return subprocess.run(
            ["git", *settings, *arguments],
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
        )
    except OSError as error:
        raise NoGit(f"git cannot be started ({error.strerror})") from None


def _reason(failed: subprocess.CompletedProcess[bytes]) -> str:
    told = failed.stderr.decode("utf-8", "backslashreplace").strip().partition("\n")[0]
    return told.removeprefix("fatal: ") or "git does not answer"
