"""The words of the trade in the headers of tables, and the keys of the format they stand for.

A closed table: a header is taken only where every word of it is known. Words of one meaning have
one sign (`upper`, `high` and `maximum` are "max"), a key is listed with the sets of signs that
name it. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal, NamedTuple, TypeAlias
from unicodedata import normalize

Kind: TypeAlias = Literal[
    "text", "unit", "number", "percent", "pressure", "band", "flow", "temperature", "length",
    "volume", "dimensions", "gradient",
]  # fmt: skip
SheetKind: TypeAlias = Literal["methods", "instruments", "columns"]

_SAME: Mapping[str, str] = {
    word: sign
    for sign, words in {
        "max": "high upper maximum maximal max hi top highest to obere oberer oberes "
        "maximale maximaler haut haute supérieure",
        "min": "low lower minimum minimal min lo bottom lowest from untere unterer "
        "unteres minimale minimaler bas basse inférieure",
        "limit": "cutoff cutoffs limit limits shutdown trip stop alarm shutoff cut-off "
        "cut-offs grenze grenzwert abschaltgrenze abschaltdruck limite",
        "operating": "operating working",
        "expected": "expected normal typical usual band erwartet erwarteter attendu attendue",
        "rating": "rating ratings rated mawp",
        "id": "id no nr number code ident identifier #",
        "diameter": "bore diameter",
        "method": "method methods procedure sop methode methoden méthode méthodes",
        "instrument": "instrument instruments system apparatus equipment chromatograph "
        "gerät geräte anlage appareil système",
        "guard": "guard precolumn pre-column vorsäule",
        "column": "column columns säule säulen colonne colonnes",
        "title": "title description analysis",
        "name": "name",
        "revision": "revision rev version issue",
        "site": "site laboratory lab location",
        "unit": "unit units einheit unité",
        "shown": "display displayed shown panel front",
        "step": "step resolution increment",
        "entry": "entry field",
        "flow": "flow rate flowrate fluss flussrate débit",
        "temperature": "temperature temp oven temperatur säulentemperatur ofentemperatur "
        "température",
        "ambient": "ambient room",
        "solvent": "solvent eluent phase mobile",
        "a": "a",
        "b": "b",
        "percent": "% percent",
        "injection": "injection inj",
        "volume": "volume vol",
        "length": "length länge longueur",
        "inner": "inner internal inside",
        "particle": "particle particles packing",
        "size": "size",
        "dimensions": "dimensions dimension",
        "serial": "serial",
        "chemistry": "chemistry stationary",
        "frit": "frit",
        "inlet": "inlet",
        "outlet": "outlet",
        "pump": "pump pumps",
        "injector": "injector injectors autosampler autosamplers valve valves",
        "cell": "cell cells",
        "detector": "detector detectors",
        "tubing": "tubing tube tubes capillary capillaries kapillare kapillaren",
        "fitting": "fitting fittings connection connections verschraubung verschraubungen",
        "gradient": "gradient gradients",
        "programme": "programme program programm",
        "dwell": "dwell delay",
        "range": "range",
    }.items()
    for word in words.split()
}
DROPPED = frozenset({
    "pressure", "pressures", "press", "p", "druck", "pression", "de", "du", "la", "the", "of",
    "for", "in", "lc", "hplc", "uhplc", "value", "and",
})  # fmt: skip
"""Words that tell no two keys apart."""


class Key(NamedTuple):
    """A key of the format, or what several of its keys are written as in tables."""

    path: str
    kind: Kind
    names: frozenset[frozenset[str]]
    in_sheet: Mapping[SheetKind, frozenset[frozenset[str]]]
    """Further names, in a sheet of one kind only."""


def _names(text: str) -> frozenset[frozenset[str]]:
    return frozenset(frozenset(name.split()) for name in text.split(", ") if name)


def _key(path: str, kind: Kind, names: str, **in_sheet: str) -> Key:
    more = {name: _names(text) for name, text in in_sheet.items()}
    return Key(path, kind, _names(names), more)  # type: ignore[arg-type]


KEYS: Mapping[str, Key] = {
    key.path: key
    for key in (
        _key("method.id", "text", "method, method id", methods="id"),
        _key("method.title", "text", "title, method title, method name", methods="name"),
        _key("method.revision", "text", "revision, method revision"),
        _key("method.site", "text", "site"),
        _key(
            "instrument.id",
            "text",
            "instrument, instrument id, instrument name",
            instruments="id, name",
        ),
        _key("instrument.pressure_unit", "unit", "unit, unit shown, shown, instrument unit"),
        _key("instrument.display_step", "number", "step, shown step, entry step, instrument step"),
        _key("instrument.entry_max", "number", "entry max, max entry, instrument entry max"),
        _key("instrument.dwell_volume", "volume", "dwell volume, instrument dwell volume"),
        _key("cutoffs.high", "pressure", "max limit, limit", methods="max"),
        _key("cutoffs.low", "pressure", "min limit", methods="min"),
        _key("expected.low", "pressure", "min expected, min operating", methods="min"),
        _key("expected.high", "pressure", "max expected, max operating", methods="max"),
        _key("expected", "band", "expected, expected range, operating, operating range"),
        _key("conditions.flow", "flow", "flow"),
        _key("conditions.temperature", "temperature", "temperature, column temperature"),
        _key("conditions.ambient", "temperature", "ambient, ambient temperature"),
        _key("conditions.solvent_a", "text", "solvent a"),
        _key("conditions.solvent_b", "text", "solvent b"),
        _key("conditions.percent_b", "percent", "percent b, percent solvent b"),
        _key("conditions.percent_a", "percent", ""),  # asked: 100 less it is % B
        _key(
            "conditions.gradient",
            "gradient",
            "gradient, gradient programme, programme gradient percent b, gradient percent b",
        ),
        _key("conditions.injection_volume", "volume", "injection volume"),
        _key(
            "pump.rating",
            "pressure",
            "pump rating, instrument rating, pump max, instrument max, pump max rating, "
            "max operating, pump max operating, instrument max operating",
            instruments="rating, max rating, max, max expected",
        ),
        *(
            _key(
                f"{part}.rating",
                "pressure",
                f"{part} rating, {part} max, {part} max rating, {part} limit, {part} max limit",
            )
            for part in ("injector", "tubing", "fitting")
        ),
        _key(
            "guard column.rating",
            "pressure",
            "guard rating, guard max, guard limit, guard column rating, guard column max, "
            "guard column max rating, guard column limit, guard column max limit",
        ),
        _key(
            "detector cell.rating",
            "pressure",
            "cell rating, detector rating, detector cell rating, cell max, detector cell max, "
            "flow cell rating, flow cell max, flow cell max rating, cell limit, cell max limit, "
            "detector cell limit, flow cell limit",
        ),
        _key(
            "column.label",
            "text",
            "column, column id, column name, column title",
            columns="id, name",
        ),
        _key("column.serial", "text", "serial, serial id, column serial, column serial id"),
        _key("column.chemistry", "text", "chemistry, column chemistry, chemistry solvent"),
        _key("column.length", "length", "column length", columns="length"),
        _key(
            "column.bore",
            "length",
            "column diameter, column inner diameter, column id, diameter, inner diameter",
            columns="id",
        ),
        _key("column.particle_size", "length", "particle size, column particle size, particle"),
        _key("column.inlet_frit", "length", "inlet frit, column inlet frit"),
        _key("column.outlet_frit", "length", "outlet frit, column outlet frit"),
        _key("column.dimensions", "dimensions", "column dimensions, column size, dimensions"),
        _key(
            "column.rating",
            "pressure",
            "column rating, column max, column limit, column max limit, column max rating, "
            "max operating, column max operating",
            columns="rating, max, max rating, limit, max limit, max expected",
        ),
    )
}
"""By path: every key that a table may give."""
QUANTITY = {
    "pressure": "pressure", "band": "pressure", "flow": "flow", "temperature": "temperature",
    "length": "length", "volume": "volume",
}  # fmt: skip
"""By kind of key: the kind of quantity."""
_WORDS = re.compile(r"[%#?~≈<>±≤≥+=]|[^\W_]+(?:-[^\W_]+)*")
LONGEST_HEADER = 200


def can_give(sheet: SheetKind, path: str) -> bool:
    """Whether a sheet of a kind gives a key: cutoffs are of methods, and only their sheet's."""
    return sheet == "methods" or path.partition(".")[0] not in _OF_METHODS


_OF_METHODS = frozenset({"method", "cutoffs", "expected", "conditions"})


def signs_of_any(text: str) -> frozenset[str]:
    """The signs of those words of a text that are known."""
    words = words_of(text[:LONGEST_HEADER])
    return frozenset(_SAME[word] for word in words if word in _SAME and word not in DROPPED)


def is_known(word: str) -> bool:
    """Whether a word, in small letters, is one of the trade's, or tells no two keys apart."""
    return word in _SAME or word in DROPPED


def words_of(text: str) -> list[str]:
    """The words of a text, in small letters."""
    folded = re.sub(r"\bi\.\s?d\.?", "inner diameter", normalize("NFKC", text).casefold())
    folded = re.sub(r"\bcut[ -]off(s?)\b", r"cutoff\1", folded).replace("_", " ")
    found = _WORDS.findall(re.sub(r"\bp(max|min)\b", r"\1", folded))
    return [piece for word in found for piece in ([word] if word in _SAME else word.split("-"))]


def signs_of(text: str) -> frozenset[str]:
    """The signs of the words of a text; empty where one is not known."""
    words = [word for word in words_of(text) if word not in DROPPED]
    if not words or any(word not in _SAME for word in words):
        return frozenset()
    return frozenset(_SAME[word] for word in words)
