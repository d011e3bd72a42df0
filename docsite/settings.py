"""The settings of a policy and the published schemas."""

from __future__ import annotations

import ast
import inspect
from itertools import pairwise

from limitcheck import policy
from limitcheck.policy import DEFAULT_POLICY, settings
from limitcheck.schemas import with_schema

from .text import code, plain, prose, table


def settings_table() -> str:
    """Every setting with its default and what it is."""
    told = _told()
    rows = [
        (code(setting.name), plain(setting.default), prose(told.get(setting.name, "")))
        for setting in settings(DEFAULT_POLICY)
    ]
    own = "grade a check `error`, `warning`, `note`, or turn it `off`: [checks](checks/index.md)"
    return table(
        ("Setting", "Default", "What it is"), [*rows, ("`severity.CHECK`", "its own", own)]
    )


def schemas_table() -> str:
    """The commands whose JSON has a schema."""
    rows = [(code(name), code(f"limitcheck schema {name}")) for name in with_schema()]
    head = ("JSON of", "its schema")
    return table(head, [("the profile", "`limitcheck schema`"), *rows])


def _told() -> dict[str, str]:
    """Setting to the text under its field in the program."""
    told = {
        f"{group}.{name}": text
        for group, kind in (
            ("margins", policy.Margins),
            ("acceptances", policy.AcceptanceRules),
            ("transfer", policy.AdjustmentLimits),
        )
        for name, text in _field_texts(kind).items()
    }
    own = _field_texts(policy.Policy)
    return told | {
        "exclude": own["exclude"],
        "require.checks": own["require"],
        "fail_on": "The lowest grade that fails a run: error, warning, note; never.",
    }


def _field_texts(kind: type) -> dict[str, str]:
    """The text under each field of a class."""
    body = ast.parse(inspect.getsource(kind)).body[0].body  # type: ignore[attr-defined]
    found = {}
    for field, text in pairwise(body):
        if isinstance(field, ast.AnnAssign) and isinstance(text, ast.Expr):
            assert isinstance(field.target, ast.Name)
            found[field.target.id] = inspect.cleandoc(ast.literal_eval(text.value))
    return found
