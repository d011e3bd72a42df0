"""Random acts in the form for changing a profile, over random texts: nothing is lost by any.

    python -m tests.page.form_acts --seconds 120

A text is drawn with every spelling (comments, CR LF, byte-order mark, {...}, dotted keys, lists on
one line or several, [[tables]], empty ones). Fields are set and emptied, elements added, removed
and moved, as a browser would send it. After each act: the text is TOML, and a profile or refused
with what to do; the file is as it was; a comment that goes, or stands by another key, is told;
values that no act is about are as they were. Then everything is undone: the values are those of
the beginning.
"""

from __future__ import annotations

import base64
import re
import sys
import tempfile
import time
import traceback
from collections import Counter
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

from limitcheck.findings import KeyPath
from limitcheck.page.draft import in_a_field
from limitcheck.page.editing import Editor
from limitcheck.page.folder import Folder
from limitcheck.page.screens import Screen
from limitcheck.profile.element_places import comments
from limitcheck.profile.toml import BOM, parse
from limitcheck.profile.write import same_values

DAY = date(2026, 11, 27)
TYPED = ("7", "7.50", "x y", "400 bar", "5 mL/min", 'a"b', "it's", "# no", "1,5", "007", "é")
PARTS = ("pump", "tubing", "column", "detector cell", "fitting")


class Drawn:
    """A text with comments that all differ, drawn from a seed."""

    def __init__(self, random: Random) -> None:
        self.random, self.number = random, 0

    def chance(self, of: float) -> bool:
        return self.random.random() < of

    def comment(self, of: float = 0.2, end: str = "") -> str:
        if not self.chance(of):
            return ""
        self.number += 1
        extra = self.random.choice(["", ' "q', " [a]", " {b}", ", c,", " = 3"])
        return f"{'' if end else '  '}# {self.number}{extra}{end}"

    def pairs(self, **given: str) -> str:
        kept = [key for key in given if self.chance(0.7)]
        lines = (f"{key} = {given[key]}{self.comment()}\n" for key in kept)
        return "".join(self.comment(0.1, "\n") + line for line in lines)

    def table(self, header: str, pairs: str) -> str:
        gap = self.random.choice(["\n", "\n", ""])
        return f"{gap}{self.comment(end=chr(10))}{header}{self.comment()}\n{pairs}"

    def braces(self, **given: str) -> str:
        inner = ", ".join(f"{key} = {value}" for key, value in given.items() if self.chance(0.8))
        return f"{{ {inner} }}" if inner else "{}"

    def listed(self, **given: str) -> str:
        items = [self.braces(**given) for _ in range(self.random.randrange(4))]
        if self.chance(0.5):
            return f"[{', '.join(items)}]"
        lines = (f"  {item},{self.comment()}\n{self.comment(0.1, chr(10))}" for item in items)
        return f"[{self.comment()}\n{''.join(lines)}]"

    def within(self, place: int) -> str:
        """What a part has besides plain values."""
        rated = {"flow": '"5 mL/min"', "rating": '"300 bar"'}
        measured = {"pressure": '"6 bar"', "flow": '"1 mL/min"'}
        header = f"[[flow_path.rating_at_flow]]{self.comment()}\n"
        return self.random.choice(
            [
                "",
                f"rating_at_flow = {self.listed(**rated)}{self.comment()}\n",
                f"resistance_at = {self.braces(**measured)}{self.comment()}\n",
                f'resistance_at.pressure = "{place} bar"{self.comment()}\n',
                f"{header}{self.pairs(**rated)}" * self.random.randrange(3),
                f"[flow_path.resistance_at]{self.comment()}\n{self.pairs(**measured)}",
            ]
        )

    def text(self) -> str:
        shown = '"bar"'
        gradient = self.listed(minute="3", percent_b="5")
        conditions = self.pairs(flow='"1 mL/min"', temperature='"30 degC"', solvent_a="'water'")
        if self.chance(0.4):
            conditions += f"gradient = {gradient}{self.comment()}\n"
        elif self.chance(0.3):
            conditions += self.table("[[conditions.gradient]]", self.pairs(minute="0")) * 2
        top = f"{self.comment(end=chr(10))}format = 1{self.comment()}\n"
        if self.chance(0.2):
            top += f'conditions.flow = "1 mL/min"{self.comment()}\n'
        elif self.chance(0.6):
            conditions = self.table("[conditions]", conditions)
        else:
            conditions = ""
        tables = [
            self.table("[method]", 'id = "KB-1"\n' + self.pairs(title='"a"', site="'b'")),
            self.table("[instrument]", f'id = "KB-LC-1"\npressure_unit = {shown}\n'),
            self.table("[cutoffs]", self.pairs(high="250", low="60")),
            conditions if conditions.lstrip("\n").startswith(("#", "[")) else "",
        ]
        if self.chance(0.7):
            band = self.pairs(low="100", high="200", swing="2")
            tables.append(self.table("[expected]", band))
        parts = ""
        for place, kind in enumerate(self.random.sample(PARTS, self.random.randrange(1, 5))):
            pairs = f'part = "{kind}"\n' + self.pairs(rating='"400 bar"', label=f'"l{place}"')
            parts += self.table("[[flow_path]]", pairs + self.within(place))
        tables.append(parts)
        if self.chance(0.3):
            tables.append(self.table("[[measured]]", self.pairs(pressure='"9 bar"')))
        self.random.shuffle(tables)
        text = top + "".join(tables) + self.comment(end="\n")
        if self.chance(0.2):
            text = text.rstrip("\n")
        if self.chance(0.3):
            text = text.replace("\n", "\r\n")
        return (BOM if self.chance(0.2) else "") + text


def posted(screen: Screen) -> dict[str, str]:
    """What a browser would send of a form, unchanged."""
    draft = screen.values["draft"]
    fields = {"profile": draft["name"], "was": draft["was"], "base": draft["base"]}
    fields |= {"before": draft["whole"], "text": draft["box"].unescape().replace("\n", "\r\n")}
    for group in screen.values["groups"]:
        for field in group.all:
            fields[f"f.{field.name}"] = field.value if field.options else in_a_field(field.value)
    return fields


def text_of(screen: Screen) -> str:
    """The text that a form carries."""
    return base64.b64decode(screen.values["draft"]["whole"]).decode()


def standing(text: str) -> dict[str, str]:
    """By each comment, the key or header of its line; of an own line, of that below, or above it.

    A blank line parts it from what is below or above.
    """
    lines = [line.strip() for line in text.removeprefix(BOM).splitlines()]
    bare = [re.sub(r"\s*#.*", "", line) if comments(line) else line for line in lines]
    found = {}
    for number, line in enumerate(lines):
        for comment in comments(line):
            ways = bare[number:], bare[number::-1]
            for way, full in zip(ways, (lines[number:], lines[number::-1]), strict=True):
                at = next((n for n, one in enumerate(way) if one or not full[n]), None)
                if at is not None and way[at]:
                    break
            beside = way[at] if at is not None else ""
            found[comment] = re.match(r"\{|[^={]*", beside)[0]
    return found


def same_elsewhere(one: Any, other: Any, path: KeyPath) -> bool:
    """Whether two values say the same but at a path, and in tables that only it is in."""
    if not path or not (isinstance(one, dict) or isinstance(other, dict)):
        if path and isinstance(one, list) and isinstance(other, list):
            at = int(path[0])
            rest = [*one[:at], *one[at + 1 :]], [*other[:at], *other[at + 1 :]]
            return same_values(*rest) and same_elsewhere(one[at], other[at], path[1:])
        return True
    one, other = dict(one or {}), dict(other or {})
    inner = one.pop(path[0], None), other.pop(path[0], None)
    return same_values(one, other) and same_elsewhere(*inner, path[1:])


class Walk:
    """A form opened on a drawn text, and what must hold after each act in it."""

    def __init__(self, seed: int, folder: Path) -> None:
        self.random = Random(seed)
        self.text = Drawn(self.random).text()
        self.seed, self.file = seed, folder / "a.toml"
        self.file.write_bytes(self.text.encode())
        self.editor = Editor(Folder(str(folder)))
        self.screen = self.editor.opened({"profile": "a.toml"}, DAY)
        self.done: list[str] = []
        self.count: Counter[str] = Counter()
        self.told: set[str] = set()
        """The comments of which the form said last that they went, or stand by something else."""

    def acted(self, act: str, typed: dict[str, str]) -> None:
        """Press a button with fields typed in; whatever comes, nothing is lost."""
        before = text_of(self.screen)
        self.done.append(f"{act} {typed}")
        screen = self.editor.acted({**posted(self.screen), **typed, "act": act}, DAY)
        assert isinstance(screen, Screen), self
        assert screen.template == "edit.html", (self, screen.values.get("why"))
        after = text_of(screen)
        parse(after)
        if not screen.values["readable"]:
            assert screen.values["told"], self
            assert all(block.message and block.advice for block, _ in screen.values["told"]), self
        assert self.file.read_bytes() == self.text.encode(), self
        assert [path.name for path in self.file.parent.iterdir()] == ["a.toml"], self
        assert after.startswith(BOM) == self.text.startswith(BOM), self
        if "\r\n" in self.text:
            assert "\n" not in after.replace("\r\n", ""), self
        else:
            assert "\r" not in after, self
        assert not Counter(comments(after)) - Counter(comments(self.text)), self
        gone = Counter(comments(before)) - Counter(comments(after))
        if act == "check":
            said = [one.comment for some in screen.values["remarks"].values() for one in some]
            was, now = standing(before), standing(after)
            lost = {comment for comment in was if was[comment] != now.get(comment)}
            assert lost <= set(said) | self.told, (lost, said, self)
            self.told = set(said)
        if done := screen.values["done"]:
            moved = act.startswith(("up", "down"))
            assert gone == (Counter() if moved else Counter(done.along)), self
            assert not Counter(done.left) - Counter(comments(after)), self
        self.screen = screen

    def typing(self) -> None:
        """One field is set or emptied, and set back: the same bytes."""
        before, sent = text_of(self.screen), posted(self.screen)
        field = self.random.choice([f for g in self.screen.values["groups"] for f in g.all])
        name, was = f"f.{field.name}", sent[f"f.{field.name}"]
        typed = self.random.choice(field.options or TYPED) if self.random.random() < 0.6 else ""
        self.acted("check", {name: typed})
        after, refused = text_of(self.screen), self.screen.values["refused"]
        self.count["refused" if refused else "set" if typed else "emptied"] += 1
        assert same_elsewhere(parse(before), parse(after), field.path), self
        if refused:
            assert after == before, self
            assert all(one.message and one.advice for one in refused.values()), self
        elif typed and was:
            gone = Counter(comments(before)) - Counter(comments(after))
            assert not gone, self
        if refused or self.random.random() < 0.5:
            kept = name in posted(self.screen)
            self.acted("check", {name: was})
            assert not kept or text_of(self.screen) == before, self
            self.count["set back"] += 1

    def arranging(self) -> None:
        """An element is added and taken out again, moved there and back, or taken out."""
        before = text_of(self.screen)
        groups = self.screen.values["groups"]
        acts = [button.act for g in groups for button in (*g.buttons, *g.first)]
        act = self.random.choice(acts)
        verb, name, place = act.split()
        self.acted(act, {})
        if told := self.screen.values["not_done"]:
            self.count["not done"] += 1
            assert told, self
            assert text_of(self.screen) == before, self
            return
        self.count[verb] += 1
        back = {"add": f"remove {name} {place}", "up": f"down {name} {int(place) - 1}"}
        back["down"] = f"up {name} {int(place) + 1}"
        if verb == "remove" or self.random.random() < 0.3:
            return
        self.acted(back[verb], {})
        assert not self.screen.values["not_done"], self
        after = text_of(self.screen)
        if after != before:  # an empty list goes with what was put into it, its comments stay
            assert verb == "add", self
            assert Counter(comments(after)) == Counter(comments(before)), self
            old, new = _without_empty(parse(before)), _without_empty(parse(after))
            assert same_values(old, new), self

    def undone(self) -> None:
        """Fields set and tables begun, an element added beside: emptied, and the same values."""
        self.screen = self.editor.opened({"profile": "a.toml"}, DAY)
        sent = posted(self.screen)
        names = self.random.sample(sorted(n for n in sent if n.startswith("f.")), 3)
        self.acted("check", {name: self.random.choice(["7", "", "6 bar"]) for name in names})
        adds = [b.act for g in self.screen.values["groups"] for b in g.first]
        adds = [act for act in adds if act.split()[1].startswith("measured")]
        if adds and not self.screen.values["refused"]:
            self.acted(adds[0], {})
            self.acted("remove measured 0", {})
        now = posted(self.screen)
        if not all(name in now for name in names):
            return  # another kind of part has other fields
        self.acted("check", {name: sent[name] for name in names})
        old, new = _without_empty(parse(self.text)), _without_empty(parse(text_of(self.screen)))
        assert same_values(old, new), self
        self.count["undone"] += 1

    def __repr__(self) -> str:
        return f"seed {self.seed}: {self.text!r}\n{self.done}\nnow: {text_of(self.screen)!r}"


def _without_empty(data: Any) -> Any:
    """Values without empty tables and lists of the profile or a part, which say nothing."""
    if isinstance(data, list):
        return [_without_empty(one) if one else one for one in data]
    if isinstance(data, dict):
        plain = {key: _without_empty(one) for key, one in data.items()}
        return {key: one for key, one in plain.items() if one not in ({}, [])}
    return data


def walk(seed: int) -> Counter[str]:
    """Some acts on the text of a seed; how many of each. Fails on the first thing lost."""
    with tempfile.TemporaryDirectory() as folder:
        walked = Walk(seed, Path(folder))
        for _ in range(6):
            walked.random.choice([walked.typing, walked.typing, walked.arranging])()
        walked.undone()
        return walked.count


if __name__ == "__main__":
    start, seed, total = time.monotonic(), 1000, Counter[str]()
    failed: list[int] = []
    while time.monotonic() - start < float(sys.argv[-1]):
        seed += 1
        try:
            total += walk(seed)
        except AssertionError:
            failed.append(seed)
            if len(failed) < 4:
                traceback.print_exc()
    print(f"{seed - 1000} texts", dict(total), f"failed: {failed}")
