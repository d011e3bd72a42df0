"""What the record of a transfer is made with: build, policies, qualification, other revisions."""

from __future__ import annotations

import hashlib
import json
import os
from datetime import datetime

from ..checking.revisions import other_revisions
from ..errors import Refused
from ..policy import Policy
from ..profile.text import open_regular
from ..transfer import Transfer
from ..transfer.control import Control, Qualification, UsedFile
from .installation import build_sha256
from .results import Verdict, worst

LARGEST_RECORD = 50_000_000
"""Bytes; a record with every hash has under a million."""


def control_of(found: Transfer, made: datetime, qualification: str | None) -> Control:
    """When and with what a record is made; raises Refused for a qualification it cannot use."""
    build = build_sha256()
    return Control(
        made,
        build,
        (_policy_file(found.sending.policy), _policy_file(found.receiving.policy)),
        None if qualification is None else _qualification(qualification, build),
        other_revisions(found.sending.file),
    )


def _policy_file(policy: Policy) -> UsedFile | None:
    if policy.source is None or policy.sha256 is None:
        return None
    return UsedFile(os.path.relpath(policy.source), policy.sha256)


def _qualification(path: str, build: str) -> Qualification:
    """What a qualification record says; raises Refused for one without results or at odds.

    It carries no signature: whoever alters its results as well is not found out here.
    """
    content = record_content(path)
    try:
        data = json.loads(content)
        verdict, installation = Verdict(data["verdict"]), data["installation"]
        results = [item for group in data["groups"] for item in group["results"]]
        found = worst(Verdict(item["verdict"]) for item in (installation, *results))
        theirs = installation["build_sha256"]
        if not all(group["results"] for group in data["groups"]) or not results:
            raise KeyError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise Refused(
            f"{path}: not a qualification record", "write one: limitcheck qualify -o FILE.json"
        ) from None
    if verdict is not found:
        raise Refused(
            f'{path}: its verdict is "{verdict}", but its results come to "{found}"',
            "write it again: limitcheck qualify -o FILE.json",
        )
    file = UsedFile(path, hashlib.sha256(content).hexdigest())
    return Qualification(file, verdict, theirs == build)


def record_content(path: str) -> bytes:
    """The bytes of a record; raises Refused."""
    try:
        with open_regular(path) as file:
            return file.read(LARGEST_RECORD)
    except OSError as error:
        raise Refused(f"{path}: cannot be read: {error.strerror}", "check the name") from None
