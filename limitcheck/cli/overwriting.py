"""Nothing is written over an input: outputs are looked at before anything runs."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from contextlib import suppress
from itertools import combinations

from ..checking.misread_policies import OWN_FILE, SHARED_FILE
from ..errors import Refused
from ..profile.text import open_regular

_MARKS = (b"pressure_unit", b"flow_path", b"[method]", b"instrument")
"""One of these stands in every profile, description of parts and policy of ours."""
_KNOWN = re.compile(rb'(\xef\xbb\xbf)?\s*\{\s*"format"\s*:\s*[0-9]+\s*,\s*"known"\s*:')
_BEGINNING = 200
_ANOTHER = "name another file"


def refuse_overwriting(outputs: Iterable[tuple[str, str]], inputs: Iterable[str] = ()) -> None:
    """Raise Refused where an output, given as (option, path), must not be written.

    Such is a file that is an input of the run under any name or link, that another output goes to
    as well, or that is a profile, a description, a policy or known findings, read here or not.
    """
    wanted, read = list(outputs), list(inputs)
    for option, path in wanted:
        kind = kind_of_file(path)
        if not kind and os.path.basename(path) == OWN_FILE:
            raise Refused(f"{option} {path}: the next run would read it as its policy", _ANOTHER)
        if option == "--write-known" and kind == "a known-findings file":
            continue
        named = next((given for given in read if same_file(given, path)), None)
        if named is not None:
            also = "" if named == path else f", which is {named}"
            raise Refused(f"{option} {path} is an input of this run{also}", _ANOTHER)
        if kind:
            advice = _ANOTHER
            if option == "--write-known":
                advice = "put the name of the known-findings file after --write-known"
            raise Refused(f"{option} {path} would be written over: it is {kind}", advice)
    for (_, one), (option, other) in combinations(wanted, 2):
        if same_file(one, other):
            raise Refused(f"{option} {other}: two outputs go to this file", _ANOTHER)


def refuse_filled_in(path: str) -> None:
    """Raise Refused where a table of questions would go over answers, or over another table."""
    from ..errors import LimitcheckError
    from ..tables.answers import read_answers

    if not os.path.exists(path) or not os.path.getsize(path):
        return
    advice = "name another file; answers given with --answers are taken along into it"
    try:
        answers = read_answers(path).given
    except LimitcheckError:
        raise Refused(
            f"--questions {path} would be written over: it is another file", advice
        ) from None
    if answers:
        told = f"answers in it: {len(answers)}"
        raise Refused(f"--questions {path} would be written over: {told}", advice)


def same_file(one: str, other: str) -> bool:
    """Whether two paths lead to one file, through links or in other letters."""
    try:
        return os.path.samefile(one, other)
    except (OSError, ValueError):
        return os.path.realpath(one) == os.path.realpath(other)


def kind_of_file(path: str) -> str:
    """What a file is that people or other runs rely on; empty for none and for any other."""
    from ..profile.text import UnreadableProfile, read_file

    if not os.path.isfile(path):
        return ""
    if _is_known_file(path):
        return "a known-findings file"
    try:
        content = read_file(path)
    except UnreadableProfile:  # too large for any of these, or not to be read
        return "a TOML file" if _is_toml(path) else ""
    if not _is_toml(path) and not any(mark in content for mark in _MARKS):
        return ""
    return _kind_of_toml(content, path)


def _is_toml(path: str) -> bool:
    return path.lower().endswith(".toml")


def _is_known_file(path: str) -> bool:
    """By its beginning: it may be far longer than a profile."""
    with suppress(OSError), open_regular(path) as file:
        return _KNOWN.match(file.read(_BEGINNING)) is not None
    return False


def _kind_of_toml(content: bytes, path: str) -> str:
    from ..profile.text import UnreadableProfile, is_description, parsed

    if os.path.basename(path) in (OWN_FILE, SHARED_FILE):
        return "a policy" if os.path.basename(path) == OWN_FILE else "a TOML file"
    try:
        data = parsed(content, path).data
    except UnreadableProfile:
        return "a TOML file" if _is_toml(path) else ""
    if is_description(data):
        return "a description of instruments or parts"
    if "instrument" in data and "format" in data:
        return "a profile"
    return "a TOML file" if _is_toml(path) else ""
