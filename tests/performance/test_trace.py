"""The trace counts functions by name: each of them must be there under that name."""

from __future__ import annotations

import re
from functools import reduce
from importlib import import_module
from pathlib import Path

import pytest

from .trace import COUNTED, READ, trace


@pytest.mark.parametrize(("file", "name"), COUNTED)
def test_what_is_counted_exists(file: str, name: str) -> None:
    module = import_module("limitcheck." + file.removesuffix(".py").replace("/", "."))
    assert callable(reduce(getattr, name.split("."), module))


def test_each_number_of_a_file_is_read_once_and_one_prediction_made() -> None:
    path = "examples/units/megapascal-on-bar.toml"
    read_once, _, _ = Path(path).read_text("utf-8").partition("[[accepted]]")  # texts after that
    lines = read_once.splitlines()
    numbers = [line for line in lines if re.match(r'\w+ = "?[0-9][^-]*$', line)]
    asked = trace(path)
    read = (n for (kind, asker, _), n in asked.items() if kind == READ and "model.py" in asker)
    assert sum(read) == len(numbers) - 1  # not the number of the format
    assert sum(times for (kind, _, _), times in asked.items() if kind == "predictions") == 1
