"""The answer to a number about to be typed, as text and as JSON."""

from __future__ import annotations

import json
from typing import Any

from ...checking.entry import Answer
from ...findings import Finding
from ...render.lines import wrap
from ...units import TRADE_UNITS, show
from ..cautions import CAUTIONS
from ..findings import finding_data


def render_text(answer: Answer) -> str:
    """The verdict first, then why, then what to type."""
    blocks = [verdict_text(answer), units_text(answer)]
    blocks += [finding_text(finding) for finding in answer.findings]
    blocks += [closing_text(answer), CAUTIONS["who-decides"]]
    return "\n".join(line for block in blocks for line in wrap(block, "", "  ")) + "\n"


def verdict_text(answer: Answer) -> str:
    """Whether the number may be typed."""
    verdict = "may be typed" if answer.may_be_typed else "do not type it"
    return f"{answer.pressure} as the {answer.field} cutoff: {verdict}."


def units_text(answer: Answer) -> str:
    """The pressure in the other units of the trade."""
    pressure = answer.pressure
    return f"It is {', '.join(show(pressure, u) for u in TRADE_UNITS if u != pressure.unit)}."


def finding_text(finding: Finding) -> str:
    """What a check says of the number."""
    return f"{finding.severity.value}: {finding.message} ({finding.check})"


def closing_text(answer: Answer) -> str:
    """What to type instead, or what was not looked at; empty where there is nothing to say."""
    if answer.enter is not None and (not answer.may_be_typed or answer.findings):
        word = "Better" if answer.may_be_typed else "Type"
        return f"{word} {answer.enter.enter} ({answer.enter.enter} {answer.enter.unit})."
    if answer.may_be_typed and answer.profile.expected is None:
        return "No expected pressure is known: only the ratings were looked at."
    return ""


def render_json(answer: Answer) -> str:
    """The answer as one JSON document."""
    return json.dumps(answer_dict(answer), indent=1, ensure_ascii=False) + "\n"


def answer_dict(answer: Answer) -> dict[str, Any]:
    """The answer as plain dictionaries; pressures in every unit of the trade, as printed."""
    return {
        "field": answer.field,
        "typed": str(answer.pressure),
        "pressure": {unit: show(answer.pressure, unit) for unit in TRADE_UNITS},
        "may_be_typed": answer.may_be_typed,
        "enter": None if answer.enter is None else answer.enter.enter,
        "unit": None if answer.enter is None else answer.enter.unit,
        "findings": [finding_data(finding) for finding in answer.findings],
    }
