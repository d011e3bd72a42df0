"""What makes the record of a transfer a controlled one, and what has changed since it was made.

A record carries SHA-256 over its own content as canonical JSON: keys sorted, no spaces, UTF-8.
Its id is its day and the first twelve digits of that.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, NamedTuple

from ..checking.revisions import OtherRevisions


class UsedFile(NamedTuple):
    """A file that the record rests on."""

    path: str
    sha256: str


class Qualification(NamedTuple):
    """The record of `limitcheck qualify` that was named, and what it says of this installation."""

    file: UsedFile
    verdict: str
    of_this_build: bool

    @property
    def text(self) -> str:
        """In words."""
        if not self.of_this_build:
            return "the record named is of another build: nothing is known of this installation"
        return f"{self.verdict}, as its record says of this build; not run again here"


class Control(NamedTuple):
    """When and with what a record was made."""

    made: datetime
    build_sha256: str
    policies: tuple[UsedFile | None, UsedFile | None]
    qualification: Qualification | None
    other_revisions: OtherRevisions


def sealed(data: Mapping[str, Any], made: datetime) -> dict[str, Any]:
    """The data of a record with its id, its time and the hash over all of it."""
    content = {**data, "record": {"made": made.isoformat(timespec="seconds")}}
    sha256 = content_sha256(content)
    identity = {"id": f"{made.date().isoformat()}-{sha256[:12]}", **content["record"]}
    return {**data, "record": {**identity, "sha256": sha256}}


def content_sha256(record: Mapping[str, Any]) -> str:
    """The hash over a record, without its id and its hash."""
    content = {**record, "record": {"made": record["record"]["made"]}}
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def altered(record: Mapping[str, Any]) -> str | None:
    """What shows that a record is not as it was made; None where nothing does.

    Who alters a record can give it a new hash: then only its values differ from today's files.
    Raises KeyError and TypeError for what has not the form of a record.
    """
    own, sha256 = record["record"], content_sha256(record)
    expected = f"{str(own['made'])[:10]}-{sha256[:12]}"
    if own["sha256"] != sha256 or own["id"] != expected:
        return f"the record itself was altered: its content gives {sha256}, not {own['sha256']}"
    return None


_ABSENT = "not in the record"
"""Stands for a key that one side lacks: null is a value."""
_MOST = 20
"""Differences told of one part of a record."""


def changes(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    """What differs between a record and one made of the same files today, most weighty first.

    Everything in it is compared but its own id, hash and time; its day is that of its time.
    """
    told = list(_told(then, now))
    if not told and _compared(then) != _compared(now):
        told = ["something in it is not what the files of today give"]
    yield from told


def _compared(record: Mapping[str, Any]) -> str:
    content = {key: item for key, item in record.items() if key not in ("record", "day")}
    return json.dumps(content, sort_keys=True)


def _told(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    if then["decision"] != now["decision"]:
        yield f"the decision was {then['decision']}; it is {now['decision']} now"
    for side in ("sending", "receiving"):
        yield from _files(side, then, now)
    yield from _values("tool version", then["tool"]["version"], now["tool"]["version"])
    yield from _rest("tool ", then["tool"], now["tool"], {"version"})
    if then["day"] != then["record"]["made"][:10]:
        yield f"day: {then['day']}, but it was made {then['record']['made']}"
    yield from _control(then["control"], now["control"])
    yield from _rulings(then["rulings"], now["rulings"])
    told = {"decision", "tool", "control", "rulings", "sending", "receiving", "record", "day"}
    yield from _rest("", then, now, told)
    for side in ("sending", "receiving"):
        yield from _rest(f"{side} side: ", then[side], now[side], {"profile"})
        own = {"sha256", "uses"}
        yield from _rest(f"{side} profile: ", then[side]["profile"], now[side]["profile"], own)


def _rest(
    of: str, then: Mapping[str, Any], now: Mapping[str, Any], told: set[str]
) -> Iterator[str]:
    """What differs in the parts of a table that are not told otherwise."""
    for key in dict.fromkeys((*then, *now)):
        if key not in told:
            name = of + key.replace("_", " ")
            found = list(_differences(name, then.get(key, _ABSENT), now.get(key, _ABSENT)))
            yield from found[:_MOST]
            if len(found) > _MOST:
                yield f"{of}{key}: {len(found) - _MOST} more differences"


def _differences(name: str, then: object, now: object) -> Iterator[str]:
    """Where two values differ, each place with both."""
    if isinstance(then, Mapping) and isinstance(now, Mapping):
        for key in dict.fromkeys((*then, *now)):
            yield from _differences(f"{name}.{key}", then.get(key, _ABSENT), now.get(key, _ABSENT))
    elif isinstance(then, list) and isinstance(now, list) and len(then) == len(now):
        for number, (one, other) in enumerate(zip(then, now, strict=True), 1):
            yield from _differences(f"{name}[{number}]", one, other)
    elif isinstance(then, list) and isinstance(now, list):
        yield from (f"{name}: no longer {_brief(item)}" for item in _without(then, now))
        yield from (f"{name}: new {_brief(item)}" for item in _without(now, then))
    elif then != now:
        yield f"{name}: {_brief(then)} then, {_brief(now)} now"


def _without(some: list[Any], others: list[Any]) -> list[Any]:
    """Items of one list that the other has not, or not as often."""
    left, found = list(others), []
    for item in some:
        if item in left:
            left.remove(item)
        else:
            found.append(item)
    return found


def _brief(value: object) -> str:
    """A value on one line, a finding by its check and message."""
    if isinstance(value, Mapping) and "message" in value:
        value = f"{value.get('check', '')}: {value['message']}"
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 200 else f"{text[:200]} ..."


def _files(side: str, then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    before, after = then[side]["profile"], now[side]["profile"]
    pressures = then[side]["pressures"] == now[side]["pressures"]
    same = pressures and then["rulings"] == now["rulings"]
    told = "; every value compared is the same" if same else ""
    if before["sha256"] != after["sha256"]:
        yield f"{after['path']} has other bytes{told}"
    used = {item["path"]: item["sha256"] for item in after["uses"]}
    for item in before["uses"]:
        if item["path"] not in used:
            yield f"{item['path']} is no longer used by the {side} profile"
        elif used[item["path"]] != item["sha256"]:
            yield f"{item['path']} has other bytes{told}"
    known = {item["path"] for item in before["uses"]}
    yield from (f"{path} is used now by the {side} profile" for path in used if path not in known)


def _control(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    yield from _values("build", then["build_sha256"], now["build_sha256"])
    for side in ("sending", "receiving"):
        before, after = then["policies"][side], now["policies"][side]
        yield from _values(f"policy of the {side} side", _named(before), _named(after))
    yield from _rest("", then, now, {"build_sha256", "policies"})


def _named(file: Mapping[str, Any] | None) -> str:
    return "none" if file is None else f"{file['path']} (SHA-256 {file['sha256']})"


def _rulings(then: list[dict[str, str]], now: list[dict[str, str]]) -> Iterator[str]:
    """By field; the same field name may stand for several parts, in order."""
    before, after = _by_field(then), _by_field(now)
    for field in dict.fromkeys((*before, *after)):
        old, new = before.get(field), after.get(field)
        if old == new:
            continue
        if old is None or new is None:
            yield f"{field}: {'ruled now' if old is None else 'no longer ruled'}"
        elif old["ruling"] != new["ruling"]:
            yield f"{field}: {old['ruling']} then, {new['ruling']} now ({new['rule']})"
        else:
            keys = [key for key in {**old, **new} if old.get(key) != new.get(key)]
            values = (", ".join(str(item.get(key, _ABSENT)) for key in keys) for item in (old, new))
            yield f"{field}: {' then, '.join(values)} now"
    if then != now and sorted(before) == sorted(after) and list(before) != list(after):
        yield "rulings: in another order"


def _by_field(rulings: list[dict[str, str]]) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for item in rulings:
        name, number = item["field"], 2
        while name in found:
            name, number = f"{item['field']} ({number})", number + 1
        found[name] = item
    return found


def _values(name: str, then: object, now: object) -> Iterator[str]:
    if then != now:
        yield f"{name}: {then} then, {now} now"
