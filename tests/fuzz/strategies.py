"""Profiles that are right or spoiled, and bytes that are TOML or nearly."""

from __future__ import annotations

from copy import deepcopy
from decimal import Decimal
from itertools import chain
from random import Random
from typing import Any

from hypothesis import strategies as st

from limitcheck.profile.write import dump_profile

from ..detection.generator import generate
from ..profile.documents import DATA, SCALARS, StyledWriter

# ---- numbers and quantities

NUMBERS = st.one_of(
    st.integers(0, 1500),
    st.decimals(0, 2000, places=2),
    st.sampled_from([0, 1, 60, 120, 200, 250, 300, 345, 400, 600, 1000, 3625, 5000, 6000]),
)
EXTREMES = st.one_of(
    st.decimals(allow_nan=False, allow_infinity=False),
    st.integers(-(10**25), 10**25),
    st.sampled_from(
        [
            Decimal("1e-30"),
            Decimal("1e39"),
            Decimal("0.000"),
            Decimal("-0.0"),
            Decimal("1e400"),
            -1,
            10**18,
            10**39,
        ]
    ),
)
UNITS = {
    "pressure": ["bar", "psi", "MPa", "kPa", "kgf/cm2", "PSI", "barg", "kg/cm²"],
    "length": ["mm", "um", "cm", "m", "nm", "in", "µm"],
    "flow": ["mL/min", "uL/min", "nL/min", "L/min"],
    "temperature": ["degC", "K", "degF", "°C"],
    "volume": ["uL", "mL"],
    "permeability": ["m2", "um2", "cm2", "µm²"],
    "percentage": ["%"],
}
USUAL = {
    "pressure": ["400 bar", "345 bar", "6000 psi", "40 MPa", "60 bar", "1000 bar", "4.9 kgf/cm2"],
    "length": ["150 mm", "4.6 mm", "5 um", "2 um", "0.17 mm", "100 mm", "2.1 mm", "1.7 um"],
    "flow": ["1.0 mL/min", "0.3 mL/min", "300 uL/min", "5 mL/min"],
    "temperature": ["25 degC", "35 degC", "60 degC", "300 K", "77 degF", "-5 degC"],
    "volume": ["10 uL"],
    "permeability": ["8e-14 m2", "0.02 um2"],
    "percentage": ["25 %", "10 %", "0.5 %", "99 %"],
}


def quantities(kind: str) -> st.SearchStrategy[str]:
    """Texts that are quantities of a kind, usual three times in four."""
    usual = st.sampled_from(USUAL[kind])
    free = st.builds("{} {}".format, NUMBERS, st.sampled_from(UNITS[kind]))
    return st.one_of(usual, usual, usual, free)


def table(required: dict[str, Any], optional: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    """A table with its required keys and some of the optional ones."""
    others = {key: value for key, value in optional.items() if key not in required}
    return st.fixed_dictionaries(required, optional=others)


# ---- profiles

NAMES = st.sampled_from(["KB-TEA-014", "HM-2", "é ß", "x" * 300, "a`b|c", "[red]", "<b>&amp;"])
SOLVENTS = st.sampled_from(
    [
        "water",
        "acetonitrile",
        "methanol",
        "ethanol",
        "2-propanol",
        "tetrahydrofuran",
        "dichloromethane",
        "Water",
        "acetonitril",
    ]
)
PERCENT = st.one_of(st.integers(0, 100), st.decimals(0, 100, places=1))
RESISTANCE = table(
    {"pressure": quantities("pressure"), "flow": quantities("flow")},
    {
        "temperature": quantities("temperature"),
        "solvent_b": SOLVENTS,
        "percent_b": PERCENT,
        "solvent_a": SOLVENTS,
    },
)
RATED: dict[str, Any] = {
    "label": NAMES,
    "serial": NAMES,
    "rating": quantities("pressure"),
    "rating_at_flow": st.lists(
        table({"flow": quantities("flow"), "rating": quantities("pressure")}, {}), max_size=3
    ),
    "rating_at_temperature": st.lists(
        table({"temperature": quantities("temperature"), "rating": quantities("pressure")}, {}),
        max_size=3,
    ),
}
DEVICES = ["mixer", "filter", "injector", "fitting", "detector cell", "restrictor", "waste"]
DEVICE = table({"part": st.sampled_from(DEVICES)}, {**RATED, "resistance_at": RESISTANCE})
PUMP = table({"part": st.just("pump"), "rating": quantities("pressure")}, RATED)
TUBE = table(
    {"part": st.sampled_from(["tubing", "loop"])},
    {
        **RATED,
        "length": quantities("length"),
        "bore": quantities("length"),
        "resistance_at": RESISTANCE,
    },
)
COLUMN = table(
    {
        "part": st.just("column"),
        "length": st.sampled_from(["150 mm", "50 mm", "250 mm"]),
        "bore": st.sampled_from(["4.6 mm", "2.1 mm"]),
        "particle_size": st.sampled_from(["5 um", "3 um", "1.7 um"]),
        "rating": quantities("pressure"),
    },
    {
        **RATED,
        "chemistry": NAMES,
        "inlet_frit": quantities("length"),
        "outlet_frit": quantities("length"),
        "certificate": RESISTANCE,
        "particle": st.sampled_from(
            ["fully porous", "superficially porous", "irregular", "monolith"]
        ),
    },
)
GUARD = table(
    {"part": st.just("guard column")},
    {
        **RATED,
        "length": quantities("length"),
        "bore": quantities("length"),
        "particle_size": quantities("length"),
        "certificate": RESISTANCE,
    },
)
FLOW_PATHS = st.builds(
    lambda pump, before, column, after: [pump, *before, column, *after],
    PUMP,
    st.lists(st.one_of(DEVICE, TUBE, GUARD), max_size=3),
    COLUMN,
    st.lists(st.one_of(DEVICE, TUBE), max_size=2),
)
GRADIENT = st.lists(PERCENT, min_size=2, max_size=4).map(
    lambda percents: [{"minute": 4 * i, "percent_b": p} for i, p in enumerate(percents)]
)
CONDITIONS = st.one_of(
    table(
        {
            "flow": quantities("flow"),
            "solvent_a": SOLVENTS,
            "temperature": quantities("temperature"),
        },
        {
            "ambient": quantities("temperature"),
            "solvent_b": SOLVENTS,
            "injection_volume": quantities("volume"),
            "injection_minute": NUMBERS,
            **programme,
        },
    )
    for programme in ({"percent_b": PERCENT}, {"gradient": GRADIENT})
)
PRESSURES = st.one_of(NUMBERS, NUMBERS, quantities("pressure"))
FREE: st.SearchStrategy[dict[str, Any]] = table(
    {
        "format": st.just(1),
        "method": table({"id": NAMES}, {"title": NAMES, "revision": NAMES, "site": NAMES}),
        "instrument": table(
            {
                "id": NAMES,
                "pressure_unit": st.sampled_from(UNITS["pressure"]),
                "display_step": st.sampled_from([1, 10, Decimal("0.1"), Decimal("0.001"), 7, 1000]),
            },
            {"entry_max": st.integers(1, 20000), "dwell_volume": st.just("0.9 mL")},
        ),
        "cutoffs": table({"high": NUMBERS, "low": NUMBERS}, {}),
        "expected": table(
            {"low": PRESSURES, "high": PRESSURES},
            {"basis": st.sampled_from(["measured", "predicted", "declared"])},
        ),
        "conditions": CONDITIONS,
        "flow_path": FLOW_PATHS,
    },
    {
        "margins": table({}, dict.fromkeys(("high", "low", "headroom"), quantities("percentage"))),
        "measured": st.lists(
            st.builds(
                lambda pair, column: pair | column, RESISTANCE, table({}, {"column": st.booleans()})
            ),
            max_size=4,
        ),
        "accepted": st.lists(
            table(
                {
                    "check": st.sampled_from(["low-cutoff-off", "unit-confusion", "no-such"]),
                    "reason": NAMES,
                    "by": NAMES,
                },
                {"until": st.dates(), "where": NAMES},
            ),
            max_size=2,
        ),
    },
)
"""Tables filled freely."""
CLEAN = st.integers(0, 10**6).map(lambda index: dict(generate(1, index).document))
"""Realistic profiles in order (tests/detection)."""


@st.composite
def profiles(draw: st.DrawFn) -> bytes:
    """The bytes of a profile, in order or with up to three things spoiled."""
    document = deepcopy(draw(st.one_of(FREE, CLEAN)))
    for _ in range(draw(st.sampled_from([0, 1, 2, 3]))):
        _spoil(document, draw)
    return dump_profile(document).encode()


def _spoil(document: dict[str, Any], draw: st.DrawFn) -> None:
    """Take a key away, put another value at it, or add a key, somewhere in the document."""
    place: Any = document
    while True:
        steps = list(place) if isinstance(place, dict) else list(range(len(place)))
        if not steps:
            return
        step = draw(st.sampled_from(steps))
        inside = place[step]
        if isinstance(inside, dict | list) and draw(st.integers(0, 4)):
            place = inside
            continue
        match draw(st.sampled_from(["take", "put", "add"])):
            case "take":
                del place[step]
            case "put":
                place[step] = draw(_another(inside))
            case "add" if isinstance(place, dict):
                place["hihg"] = draw(SCALARS)
        return


def _another(value: Any) -> st.SearchStrategy[Any]:
    """Another value, three times in four of the same kind."""
    if isinstance(value, str):
        kinds = [quantities(kind) for kind in UNITS]
        extreme = st.builds("{} {}".format, EXTREMES, st.sampled_from([*chain(*UNITS.values())]))
        same: st.SearchStrategy[Any] = st.one_of(*kinds, extreme, NAMES, SOLVENTS)
    elif isinstance(value, dict | list):
        same = st.sampled_from([[], {}, [value, value] if isinstance(value, dict) else value * 2])
    else:
        same = st.one_of(NUMBERS, EXTREMES)
    return st.one_of(same, same, same, SCALARS)


# ---- settings

SETTINGS = table(
    {},
    {
        "fail_on": st.sampled_from(["error", "warning", "note"]),
        "exclude": st.lists(st.sampled_from(["old/*", "[", "**", ""]), max_size=2),
        "margins": table(
            {},
            dict.fromkeys(
                ("high", "low", "headroom", "high_thin", "high_wide", "low_thin", "low_wide"),
                quantities("percentage"),
            ),
        ),
        "severity": st.dictionaries(
            st.sampled_from(["low-cutoff-off", "high-cutoff-margin-wide", "rating-missing"]),
            st.sampled_from(["error", "warning", "note", "off"]),
        ),
    },
)


@st.composite
def settings(draw: st.DrawFn) -> bytes:
    """The bytes of a repository's settings, in order or with up to three things spoiled."""
    document = deepcopy(draw(SETTINGS))
    for _ in range(draw(st.integers(0, 3))):
        _spoil(document, draw)
    return dump_profile(document).encode()


# ---- TOML


def documents() -> st.SearchStrategy[bytes]:
    """TOML in every style, the same cut, joined and salted, and plain bytes."""
    styled = st.builds(
        lambda data, seed: StyledWriter(Random(seed)).write(data).encode(), DATA, st.integers()
    )
    return st.one_of(styled, styled.flatmap(mangled), profiles().flatmap(mangled), st.binary())


def mangled(content: bytes) -> st.SearchStrategy[bytes]:
    """The content with a stretch of it replaced by something short."""
    salt = st.one_of(
        st.binary(max_size=4),
        st.sampled_from(
            [
                b"\r",
                b"\x00",
                b"\xff",
                b"\xef\xbb\xbf",
                b'"""',
                b"'''",
                b"[[",
                b"=",
                b"\\u00",
                b"#",
                b",",
            ]
        ),
    )
    place = st.integers(0, len(content))
    return st.builds(
        lambda at, end, new: content[:at] + new + content[max(at, end) :], place, place, salt
    )
