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
