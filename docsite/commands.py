"""The pages of the commands, from the table of commands, their docstrings and their options."""

from __future__ import annotations

import re
from inspect import cleandoc
from typing import Any

import typer

from limitcheck.cli.app import COMMANDS, app
from limitcheck.page.addresses import EDIT, TASKS

from .text import code, plain, prose, table


def usage(name: str) -> str:
    """What a command does, what it takes, and its exit codes."""
    group: Any = typer.main.get_command(app)
    command = group.get_command(typer.Context(group), name)
    summary, *rest = _paragraphs(command.help or "")
    arguments = [item for item in command.params if item.param_type_name == "argument"]
    options = [item for item in command.params if item.param_type_name == "option"]
    pieces = [f"**{prose(summary)}**", *map(prose, rest)]
    if examples := re.findall(r"^Example: (.+(?:\n {2,}.+)*)", command.help or "", re.MULTILINE):
        shown = "\n".join(" ".join(line.split()) for line in examples)
        pieces.append(f"```sh\n{shown}\n```")
    if arguments:
        rows = [(code(item.metavar or item.name), plain(item.help or "")) for item in arguments]
        pieces.append("## Arguments\n\n" + table(("Argument", "What"), rows))
    pieces.append("## Options\n\n" + table(("Option", "What", "Without it"), map(_row, options)))
    return "\n\n".join(pieces)


def index() -> str:
    """All commands by who needs them."""
    pieces = []
    for group in dict.fromkeys(entry.group for entry in COMMANDS):
        rows = [
            (f"[{entry.name}]({entry.name}.md)", plain(entry.help))
            for entry in COMMANDS
            if entry.group == group
        ]
        pieces.append(f"## {group}\n\n{table(('Command', 'What it does'), rows)}")
    return "\n".join(pieces)


def screens() -> str:
    """What the page at the instrument has, by the labels that lead there."""
    rows = [(plain(task.label), plain(task.purpose)) for task in TASKS]
    rows.append((plain(EDIT.label), f"{plain(EDIT.purpose)} Only with `--edit`."))
    return table(("Screen", "What for"), rows)


def _paragraphs(text: str) -> list[str]:
    without = re.sub(r"\x08?\n?^Example: .*\Z", "", cleandoc(text), flags=re.MULTILINE | re.DOTALL)
    return [
        paragraph for paragraph in without.replace("\x08", "").split("\n\n") if paragraph.strip()
    ]


def _row(option: Any) -> tuple[str, str, str]:
    names = ", ".join([*option.opts, *option.secondary_opts])
    value = "" if option.is_flag else f" {option.metavar or ''}"
    default = option.default
    shown = default is not None and not option.is_flag and default != () and option.show_default
    return code(names + value), plain(option.help or ""), code(str(default)) if shown else ""
