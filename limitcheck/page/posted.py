"""The text under way that a form sends back, with what was changed in its fields and in itself."""

from __future__ import annotations

import base64
from collections.abc import Mapping

from ..checking.typed import OFF
from ..errors import Refused
from ..profile.places import Source
from ..profile.toml import TomlError, parse
from ..profile.write import same_values
from .draft import Change, both, changed, fingerprint, from_a_box, in_a_field, says
from .edit_values import PREFIX, Draft
from .form_fields import Group
from .profile_form import field_of_any_part, groups

LARGEST = 60_000
"""Bytes of a text that can be changed here: a profile is a few thousand."""
MOST_CHECKED = 400_000
"""Bytes of a text that is still looked at; a larger one is given back as it is."""
Values = Mapping[str, str]


def draft_of(values: Values) -> Draft:
    """The text that a form carries, with what was changed in it.

    Fields that were changed together with the text are taken where the text still has there what
    they were drawn from.
    """
    name, was = values.get("profile", ""), values.get("was", "")
    try:
        base = _decoded(values.get("base", ""))
        before = _decoded(values["before"]) if "before" in values else base
    except ValueError:
        if "text" not in values:
            raise Refused("this form is damaged", "open the profile again") from None
        return Draft(name, was, values["text"], values["text"])
    if "text" not in values:
        return Draft(name, was, base, base)
    fields = {key.removeprefix(PREFIX): v for key, v in values.items() if key.startswith(PREFIX)}
    if fingerprint(values["text"]) == fingerprint(before):
        outcome = changed(base, _changes(base, fields))
        return Draft(name, was, base, outcome.text, outcome.refused)
    typed = from_a_box(values["text"], before)
    taken, left = both(before, typed, _changes(before, fields))
    outcome = changed(typed, taken)
    told = tuple(says(left, before, typed))
    return Draft(name, was, typed, outcome.text, outcome.refused, told, by_hand=True)


def _decoded(encoded: str) -> str:
    return base64.b64decode(encoded, validate=True).decode("utf-8", "surrogatepass")


def settled(draft: Draft, form: tuple[Group, ...]) -> Draft:
    """The text with a base that the fields of its form give the text again from.

    The base stays while it can be: a value that was taken out then keeps its place. A key that has
    no field any more would come back from it.
    """
    again = changed(draft.base, _since(draft, form))
    return draft if again.text == draft.text else draft._replace(base=draft.text)


def rebased(draft: Draft, base: str, form: tuple[Group, ...]) -> Draft | None:
    """The same values as changes of the fields of another base; None where they are not."""
    again = changed(base, _since(draft._replace(base=base), form))
    if again.refused or not same_values(parse(again.text), parse(draft.text)):
        return None
    return draft._replace(base=base, text=again.text)


def with_what_was_emptied(draft: Draft, form: tuple[Group, ...]) -> str:
    """The text with those values still in it that its fields were emptied of since the base."""
    return changed(draft.base, [change for change in _since(draft, form) if change.typed]).text


def _since(draft: Draft, form: tuple[Group, ...]) -> list[Change]:
    """The fields of a text's form that its base says otherwise."""
    drawn = {field.name: field.value for group in form for field in group.all}
    return [change._replace(from_text=True) for change in _changes(draft.base, drawn)]


def _changes(base: str, fields: Values) -> list[Change]:
    """The fields that do not say what the text says, in the order of the form."""
    try:
        data, source = parse(base), Source(base)
    except TomlError:
        return []
    known = {field.name: field for group in groups(data, source) for field in group.all}
    order = {name: number for number, name in enumerate(known)}
    found = []
    for name, typed in sorted(fields.items(), key=lambda item: order.get(item[0], len(order))):
        field = known.get(name) or field_of_any_part(name)
        if field is None:
            continue
        off = field.may_be_off and typed.strip().casefold() == OFF
        if (OFF if off else in_a_field(typed)) != in_a_field(field.value):
            written = "0" if off else typed.strip()
            found.append(Change(field.path, field.kind, written, field.alone))
    return found


def text_of(content: bytes, name: str) -> str:
    """The text of a file, whatever it says; raises Refused."""
    within(LARGEST, content, name)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        raise Refused(f"{name} is not UTF-8 text", "save the file as UTF-8") from None


def within(most: int, content: bytes, name: str) -> None:
    """Raises Refused for a text of more bytes."""
    if len(content) > most:
        raise Refused(
            f"{name} has {len(content):,} bytes: too large to be changed here",
            "change it in a text editor",
        )
