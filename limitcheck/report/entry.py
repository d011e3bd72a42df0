"""The answer to a number about to be typed, as text and as JSON."""

from __future__ import annotations

import json
from typing import Any

from ..entry import Answer
from ..units import TRADE_UNITS, show
from .json import finding_dict
from .lines import wrap


def render_text(answer: Answer) -> str:
    """The verdict first, then why, then what to type."""
    pressure, field = answer.pressure, answer.field
    others = ", ".join(show(pressure, u) for u in TRADE_UNITS if u != pressure.unit)
    verdict = "may be typed" if answer.may_be_typed else "do not type it"
    blocks = [f"{pressure} as the {field} cutoff: {verdict}.", f"It is {others}."]
    blocks += [f"{f.severity.value}: {f.message} ({f.check})" for f in answer.findings]
    if answer.enter is not None and (not answer.may_be_typed or answer.findings):
        blocks.append(f"Type {answer.enter.enter} ({answer.enter.enter} {answer.enter.unit}).")
    elif answer.may_be_typed and answer.profile.expected is None:
        blocks.append("No expected pressure is known: only the ratings were looked at.")
    blocks.append(
        "The maker's manual, the site's procedures and qualified staff decide; this is an aid "
        "to review, not a safety device."
    )
    return "\n".join(line for block in blocks for line in wrap(block, "", "  ")) + "\n"


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
        "findings": [finding_dict(finding) for finding in answer.findings],
    }
