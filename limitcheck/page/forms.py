"""What was typed into a form, and what is wrong with it."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from ..checking import typed
from ..diagnosis.swings import seconds
from ..diagnosis.telling import AFTER, CAME, Told, days_since, one_of
from ..errors import LimitcheckError, Refused
from ..findings import Finding
from ..physics.system import Change
from ..profile.text import UnreadableProfile
from ..units import Pressure

CONDITIONS = ("flow", "temperature", "ambient", "percent-b")
"""Those of `--at` that a reading can be taken under."""
TOLD = ("swing", "period", "came", "since", "after", "leak")
"""What else was seen of a pressure."""
LEAK = ("yes", "no")


@dataclass(frozen=True, slots=True)
class FormProblem:
    """Why a form can't be answered; `field` is the one to correct, empty for none."""

    field: str
    message: str
    advice: str


@dataclass(frozen=True)
class Dropped:
    """A file that was given to the page instead of chosen from the folder."""

    name: str
    content: bytes

    @property
    def encoded(self) -> str:
        """The bytes as text that a form gives back unchanged."""
        return b64encode(self.content).decode()


@dataclass
class Form:
    """The fields of a form as typed, or a file dropped on it, and the problems found so far."""

    values: Mapping[str, str] = field(default_factory=dict)
    dropped: Dropped | None = None
    problems: list[FormProblem] = field(default_factory=list)
    unreadable: list[Finding] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """Whether nothing is wrong so far."""
        return not self.problems and not self.unreadable

    def value(self, name: str) -> str:
        """A field without blanks around it, empty where it was left out."""
        return self.values.get(name, "").strip()

    def problem_of(self, name: str) -> FormProblem | None:
        """What is wrong with a field."""
        return next((problem for problem in self.problems if problem.field == name), None)

    def given(self, name: str) -> str | None:
        """The same, None where it was left empty."""
        return self.value(name) or None

    def refuse(self, name: str, message: str, advice: str) -> None:
        """Note what is wrong with a field."""
        self.problems.append(FormProblem(name, message, advice))

    def catching(self, name: str) -> Catching:
        """Turns what the functions of limitcheck refuse into problems of a field."""
        return Catching(self, name)

    def pressure(self, name: str, unit: str, what: str) -> Pressure | None:
        """The pressure in a field, bare or with its unit; None where it is no pressure."""
        with self.catching(name):
            return typed.pressure(self.value(name), unit, what)
        return None

    def pressures(self, prefix: str, unit: str) -> dict[str, Pressure]:
        """The pressures in all fields whose name begins with `prefix`, by the rest of the name."""
        found: dict[str, Pressure] = {}
        for name in self.values:
            step = name.removeprefix(prefix)
            if step != name and self.value(name):
                pressure = self.pressure(name, unit, step)
                if pressure is not None:
                    found[step] = pressure
        return found

    def change(self) -> Change:
        """The conditions in the fields of CONDITIONS."""
        values: dict[str, float] = {}
        for key in CONDITIONS:
            if self.value(key):
                with self.catching(key):
                    values[typed.CONDITIONS[key]], _ = typed.condition(key, self.value(key), key)
        return Change(**values)

    def told(self, today: date) -> Told:
        """The answers in the fields of TOLD."""
        came = since = after = leak = None
        with self.catching("came"):
            came = one_of(text, CAME, "came") if (text := self.value("came")) else None
        with self.catching("since"):
            since = days_since(text, today, "since") if (text := self.value("since")) else None
        with self.catching("after"):
            after = one_of(text, AFTER, "after") if (text := self.value("after")) else None
        with self.catching("leak"):
            leak = one_of(text, LEAK, "leak") == "yes" if (text := self.value("leak")) else None
        return Told(came, since, after, leak)

    def told_anything(self) -> bool:
        """Whether a field of TOLD was filled in."""
        return any(self.value(name) for name in TOLD)

    def period(self) -> float | None:
        """The period of a swing [s]; None where none was typed, or no time."""
        text = self.value("period")
        if not text:
            return None
        with self.catching("period"):
            if not self.value("swing"):
                raise Refused("period: without a swing", "give the swing too")
            return seconds(text, "period")
        return None

    def changes_text(self) -> str:
        """The same as the command line names them."""
        return ",".join(f"{key}={self.value(key)}" for key in CONDITIONS if self.value(key))


class Catching(NamedTuple):
    """A context that a refusal leaves early, noted in the form."""

    form: Form
    name: str

    def __enter__(self) -> None:
        """Nothing to prepare."""

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> bool:
        """Whether the error was a refusal."""
        if isinstance(error, UnreadableProfile):
            self.form.unreadable.extend(error.findings)
        elif isinstance(error, LimitcheckError):
            advice = error.advice or "complete the profile's [conditions]"
            self.form.problems.append(FormProblem(self.name, error.message, advice))
        return isinstance(error, LimitcheckError)
