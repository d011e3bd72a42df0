"""Whatever is done in the form, nothing is lost, and what is undone leaves the same values."""

from __future__ import annotations

from collections import Counter

from .form_acts import walk


def test_no_act_loses_anything() -> None:
    done: Counter[str] = Counter()
    for seed in range(40):
        done += walk(seed)
    kinds = {"set", "emptied", "refused", "set back", "add", "remove", "up", "down", "undone"}
    assert kinds <= set(done)
