"""The words that say of something in a table that it is out of use."""

from __future__ import annotations

import re

OUT_OF_USE = re.compile(
    r"\b(?:withdrawn|obsolete|retired|superseded|replaced by|discontinued|inactive|deprecated|"
    r"decommissioned|cancelled|canceled|archived|void|invalid|expired|suspended|on hold|"
    r"(?:do|does|must) not (?:be )?used?|don['’]t use|not (?:in|for) use|not used|"
    r"out of (?:use|order|service)|"
    r"no longer (?:in use|used|valid)|not valid|zurückgezogen|veraltet|ungültig|stillgelegt|"
    r"außer betrieb|ausser betrieb|nicht (?:mehr )?(?:verwenden|gültig)|retirée?|obsolète|annulée?|"
    r"hors service|ne pas utiliser)\b",
    re.IGNORECASE,
)
"""Common practice, no source."""


def is_out_of_use(text: str) -> bool:
    """Whether a text says of something that it is not to be used.

    >>> is_out_of_use("Withdrawn 2024"), is_out_of_use("in use since 2024")
    (True, False)
    """
    return OUT_OF_USE.search(text) is not None


_NOT_YET = re.compile(
    r"\b(?:draft|proposed|proposal|pending|planned|unapproved|not (?:yet )?(?:approved|released|"
    r"effective|in force)|to be (?:approved|reviewed|released)|(?:for|under|in) review|"
    r"in preparation|template|entwurf|vorschlag|brouillon|projet)\b",
    re.IGNORECASE,
)
_OLD = re.compile(
    r"\b(?:old|older|former|previous|archive|backup|history|historic|historical|example|"
    r"alt|archiv|ancien|anciens)\b",
    re.IGNORECASE,
)
"""Of a sheet's name alone: a sentence says of much that it is old. Common practice, no source."""


def is_not_yet(text: str) -> bool:
    """Whether a status says of something that it is not in force yet."""
    return _NOT_YET.search(text) is not None


def is_not_in_force(text: str) -> bool:
    """Whether a title says of what is under it that it is not in force.

    >>> is_not_in_force("DRAFT - for comment"), is_not_in_force("Register of methods")
    (True, False)
    """
    return is_out_of_use(text) or is_not_yet(text)


def is_old(name: str) -> bool:
    """Whether a sheet's name says that its tables are kept for the record only.

    >>> is_old("Archive_2023"), is_old("Methods")
    (True, False)
    """
    return _OLD.search(name.replace("_", " ")) is not None
