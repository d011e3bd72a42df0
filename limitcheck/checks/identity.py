"""What makes a finding the same finding tomorrow: its place and its two numbers.

The place names parts of the flow path by what they are, not by where they stand, so that a part
put in elsewhere moves nothing. The numbers are texts with their units: what was found, and what
it is compared with. An acceptance or a known finding holds while neither moved the wrong way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from fractions import Fraction
from hashlib import sha256
from typing import Any

from pydantic import BaseModel

from ..findings import Compared, Finding, KeyPath, Limit, Worse, path_text
from ..profile.answered import AcceptedFinding
from ..profile.hardware import RatedPart
from ..profile.model import Part, Profile
from ..units import QUANTITIES, Quantity, UnitError, exact, plain_or_rounded


def above(value: object, limit: object = "") -> Compared:
    """Numbers of a finding that gets worse as `value` rises, or as `limit` falls."""
    return _compared(value, limit, "above")


def below(value: object, limit: object = "") -> Compared:
    """Numbers of a finding that gets worse as `value` falls, or as `limit` rises."""
    return _compared(value, limit, "below")


def changed(value: object, limit: object = "") -> Compared:
    """Numbers of a finding that is another one as soon as either moves at all."""
    return _compared(value, limit, "changed")


def _compared(value: object, limit: object, worse: Worse) -> Compared:
    if isinstance(limit, Mapping):
        by_name = {str(name): str(number) for name, number in limit.items()}
        return Compared(str(value), by_name or "", worse)
    return Compared(str(value), str(limit), worse)


def by_part(parts: Iterable[RatedPart]) -> dict[str, str]:
    """What each part holds, by its name; of parts with one name the lowest, and how many."""
    listed = sorted(parts, key=lambda part: part.pressure)
    often = Counter(part.name for part in listed)
    held: dict[str, str] = {}
    for part in listed:
        number = often[part.name]
        name = f"{number} x {part.name}" if number > 1 else part.name
        held.setdefault(name, str(part.pressure))
    return held


def with_identity(finding: Finding, profile: Profile) -> Finding:
    """The finding with its place and fingerprint, and the value there as its number if it has none.

    The file is no part of the fingerprint: it may move and be renamed. Nor are the numbers: they
    stand beside it, so that a finding that got worse can be told from one that got better.
    """
    compared = finding.compared
    if not compared.value:
        compared = changed(shown(found_at(profile, finding.path)) or "none")
    place = place_text(profile, finding.path)
    mark = digest(finding.check, profile.method.id, profile.instrument.id, place)
    return finding._replace(place=place, fingerprint=mark, compared=compared)


def digest(*texts: str) -> str:
    """32 hexadecimal digits that stand for these texts."""
    return sha256("\0".join(texts).encode("utf-8", "backslashreplace")).hexdigest()[:32]


def place_text(profile: Profile, path: KeyPath) -> str:
    """The key path with parts of the flow path by name: `flow_path[fitting (inlet)].rating`."""
    value: Any = profile
    text = ""
    for step in path:
        value = _step(value, step)
        if isinstance(value, Part):
            text += f"[{value.name}]"
        elif isinstance(value, AcceptedFinding):
            text += f"[{value.check} at {value.at}]" if value.at else f"[{value.check}]"
        else:
            text += path_text((step,)) if isinstance(step, int) or not text else f".{step}"
    return text


def found_at(profile: Profile, path: KeyPath) -> Any:
    """The value at a key path of a profile; None where there is none."""
    value: Any = profile
    for step in path:
        value = _step(value, step)
    return value


def _step(value: Any, step: str | int) -> Any:
    if isinstance(step, int):
        return value[step] if isinstance(value, tuple) and step < len(value) else None
    return getattr(value, step, None) if isinstance(value, BaseModel) else None


def shown(value: object) -> str:
    """A value as text; a table has none."""
    if isinstance(value, Fraction):
        return plain_or_rounded(value)
    return str(value) if isinstance(value, str | int | Quantity) else ""


def holds(given: Compared, now: Compared) -> bool:
    """Whether what was given for some numbers holds for those of today: none moved for the worse.

    What limits must have been there, and be no nearer; a number that cannot be compared with the
    old one has moved for the worse. What limits no more is no change for the worse.
    """
    old, new = _by_name(given.limit), _by_name(now.limit)
    if now.worse == "changed":
        return new.keys() <= old.keys() and all(
            _moved(one, other) == 0
            for one, other in [(given.value, now.value), *((old[name], new[name]) for name in new)]
        )
    up = 1 if now.worse == "above" else -1
    return (
        new.keys() <= old.keys()
        and _moved(given.value, now.value) in (0, -up)
        and all(_moved(old[name], new[name]) in (0, up) for name in new)
    )


def same_numbers(one: Compared, other: Compared) -> bool:
    """Whether two findings have the same numbers, however they are written."""
    return canonical(one)[:2] == canonical(other)[:2]


def canonical(compared: Compared) -> Compared:
    """The numbers written in one way: `24.00 bar` as `24 bar`; the unit stays."""
    limit = compared.limit
    if isinstance(limit, str):
        return compared._replace(value=_plain(compared.value), limit=_plain(limit))
    by_name = {name: _plain(text) for name, text in sorted(limit.items())}
    return compared._replace(value=_plain(compared.value), limit=by_name)


def _by_name(limit: Limit) -> Mapping[str, str]:
    return {"": limit} if isinstance(limit, str) else limit


def _moved(before: str, after: str) -> int | None:
    """1 where a number rose, -1 where it fell, 0 where it is the same; None where unknown."""
    if before == after:
        return 0
    one, other = _number(before), _number(after)
    if one is None or type(one) is not type(other):
        return None
    if one == other:
        return 0
    return 1 if other > one else -1


def _number(text: str) -> Any:
    """The quantity or bare number a text is; None for words."""
    for kind in QUANTITIES:
        try:
            return kind.parse(text)
        except UnitError:
            continue
    try:
        return exact(text)
    except (UnitError, ArithmeticError):
        return None


def _plain(text: str) -> str:
    number = _number(text)
    if isinstance(number, Quantity):
        return f"{plain_or_rounded(number.to(number.unit), 12)} {number.unit}"
    return text if number is None else plain_or_rounded(number, 12)
