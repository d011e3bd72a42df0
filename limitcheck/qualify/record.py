"""The qualification record: the installation and every known-answer run."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from .installation import Installation, check_installation
from .known_answers import known_answers, second_source
from .profiles import RenderJson, faulty_profiles, schemas
from .results import Group, Result, Verdict, worst


@dataclass(frozen=True, slots=True)
class Record:
    """What was installed, what it computed, and when."""

    made: datetime
    installation: Installation
    groups: tuple[Group, ...]

    @property
    def verdict(self) -> Verdict:
        """Fail where anything failed; not run where anything could not be compared."""
        return worst([self.installation.verdict, *(group.verdict for group in self.groups)])


def qualify(render_json: RenderJson, made: datetime) -> Record:
    """Check the installation and make every run; `render_json` is the JSON report under test."""
    runs: dict[str, Callable[[], Iterable[Group]]] = {
        "known answers": known_answers,
        "every unit against pint": second_source,
        "faulty profiles": faulty_profiles,
        "schemas": partial(schemas, render_json),
    }
    groups = tuple(group for name, run in runs.items() for group in _to_its_end(name, run))
    return Record(made, check_installation(), groups)


def _to_its_end(name: str, run: Callable[[], Iterable[Group]]) -> Iterator[Group]:
    """The groups of a run; a crash is a failure on record, and the other runs are still made."""
    try:
        yield from run()
    except Exception as error:
        crash = f"{type(error).__name__}: {error}"
        result = Result.of(name, "a run to its end", crash, passed=False)
        yield Group(f"Crashed: {name}", "limitcheck", "exact", (result,))
