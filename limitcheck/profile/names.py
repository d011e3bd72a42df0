"""Texts of the format: what may stand in them, and names, which must not look like others."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ..errors import UNSEEN, cut
from .fields import Info, ProfileField, kind_of, refuse

_CONTROL = rf"\u0000-\u001f\u007f-\u009f{UNSEEN}"
_NOT_SHOWN = re.compile(rf"[{_CONTROL}\U000e0000-\U000e007f]")
_LOOK_ALIKE = dict(
    zip(
        "АВЕКМНОРСТУХІЈЅаеорсухіјѕΑΒΕΖΗΙΚΜΝΟΡΤΥΧο",
        "ABEKMHOPCTYXIJSaeopcyxijsABEZHIKMNOPTYXo",
        strict=True,
    )
)
"""Cyrillic and Greek letters that look like a Latin one (from memory, no source)."""
_LONGEST_TEXT = 300


class TextField(ProfileField):
    """Text of one line without control characters, 1 to 300 characters or what is given."""

    def __init__(self, longest: int = _LONGEST_TEXT) -> None:
        self.longest = longest
        self.json_schema = {
            "type": "string",
            "minLength": 1,
            "maxLength": longest,
            "pattern": rf"^[^{_CONTROL}]*[^\s{_CONTROL}][^{_CONTROL}]*$",
        }

    def read(self, value: object, info: Info) -> Any:
        if not isinstance(value, str):
            raise refuse(f"{kind_of(value)} where text belongs", 'write text in quotes: "..."')
        if not value.strip():
            raise refuse("empty text", "write something, or leave the key out")
        if not value.isascii() or not value.isprintable():
            _refuse_unseen(value)
        if len(value) > self.longest:
            raise refuse(
                f"text of {len(value)} characters", f"write at most {self.longest} characters"
            )
        return value


def _refuse_unseen(value: str) -> None:
    """Raise for what does not show, or stands on no letter of its own."""
    import unicodedata

    found = _NOT_SHOWN.search(value)
    if found is not None:
        code = f"U+{ord(found[0]):04X}, at character {found.start() + 1}"
        if unicodedata.category(found[0]) == "Cc":
            kind, advice = f"a control character, {code}", "write plain text on one line"
        else:
            kind = f"a character that does not show, {code}"
            advice = "delete that character, or type the text again"
        raise refuse(f"{cut(value)!a} holds {kind}", advice)
    if unicodedata.category(value.strip()[0]).startswith("M"):
        code = f"U+{ord(value.strip()[0]):04X}"
        raise refuse(
            f"{cut(value)!a} begins with an accent, {code}, and no letter under it",
            "delete it, or type the text again",
        )


class NameField(TextField):
    """A text by which things are told apart: it must not look like another."""

    def read(self, value: object, info: Info) -> Any:
        text: str = super().read(value, info)
        if text.isascii():
            return text
        import unicodedata

        if text != unicodedata.normalize("NFC", text):
            raise refuse(
                f'"{cut(text)}" has an accent as a character of its own',
                f'type it as one letter: "{cut(unicodedata.normalize("NFC", text))}"',
            )
        foreign = next((letter for letter in text if letter in _LOOK_ALIKE), None)
        if foreign is not None and re.search("[A-Za-z]", text):
            code = f"U+{ord(foreign):04X}, at character {text.index(foreign) + 1}"
            raise refuse(
                f'"{cut(text)}" holds {code}, among Latin letters: it looks like '
                f"{_LOOK_ALIKE[foreign]}",
                "write all letters in one script",
            )
        return text


class LimitField(TextField):
    """What a number is compared with: a text, or what parts hold, by the part's name."""

    def __init__(self, longest: int) -> None:
        super().__init__(longest)
        text = dict(self.json_schema)
        self.json_schema = {"anyOf": [text, {"type": "object", "additionalProperties": text}]}

    def read(self, value: object, info: Info) -> Any:
        if isinstance(value, Mapping):
            return {key: super(LimitField, self).read(text, info) for key, text in value.items()}
        return super().read(value, info)
