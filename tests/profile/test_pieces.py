"""Profiles validated in pieces are those that are validated whole."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError

from limitcheck.profile.model import Profile, validate_profile
from limitcheck.profile.pieces import Pieces
from tests.detection.generator import generate


def test_generated_profiles_are_the_same() -> None:
    pieces = Pieces()
    for index in range(60):
        document = generate(3, index).document
        assert pieces.profile(document) == validate_profile(document)
        assert pieces.profile(document) == validate_profile(document)  # now remembered


def test_a_number_keeps_its_own_text_and_unit() -> None:
    pieces, document = Pieces(), dict(generate(3, 1).document)
    for number, unit in ((Decimal("5.0"), "bar"), (5, "bar"), (5, "psi")):
        document["instrument"] = document["instrument"] | {"pressure_unit": unit}
        document["cutoffs"] = {"low": number}
        low = pieces.profile(document).cutoffs.low
        assert low is not None
        assert (low.number, low.unit) == (str(number), unit)


def test_what_is_refused_is_named_where_it_stands() -> None:
    document = dict(generate(3, 2).document)
    document["cutoffs"] = {"high": -5}
    document["flow_path"] = [*document["flow_path"][:-1], {"part": "column", "length": "3 psi"}]
    errors = []
    for validate in (validate_profile, Pieces().profile):
        with pytest.raises(ValidationError) as caught:
            validate(document)
        errors.append([(e["loc"], e["msg"]) for e in caught.value.errors()])
    assert errors[0] == errors[1]
    assert len(errors[0]) == 2


def test_profiles_of_one_flow_path_are_the_same_as_whole() -> None:
    pieces = Pieces()
    document = dict(generate(3, 1).document)
    instrument, parts = document["instrument"], document["flow_path"]
    shared = {key: document[key] for key in ("format", "conditions") if key in document}
    refused = 0
    for at in range(40):
        other = generate(3, at).document
        data = {
            **shared,
            **{key: other[key] for key in ("method", "cutoffs", "expected") if key in other},
            "instrument": instrument,
            "flow_path": parts,
        }
        wanted = _refused(validate_profile, data)
        if isinstance(wanted, str):
            assert _refused(pieces.profile, data) == wanted
            refused += 1
            continue
        made = pieces.profile(data)
        assert made == wanted
        assert made.model_dump() == wanted.model_dump()
        assert made.model_fields_set == wanted.model_fields_set
        assert made.cutoffs.with_unit == wanted.cutoffs.with_unit
    assert refused < 30


def _refused(validate: Callable[[dict[str, Any]], Profile], data: dict[str, Any]) -> Profile | str:
    """The profile, or what is said of one that is refused."""
    try:
        return validate(data)
    except ValidationError as error:
        return str(error)


@pytest.mark.parametrize(
    ("table", "value"),
    [("method", {"id": ""}), ("method", {}), ("format", 2), ("format", None), ("other", {})],
)
def test_what_one_of_them_alone_has_wrong_is_refused(table: str, value: object) -> None:
    pieces, document = Pieces(), dict(generate(3, 1).document)
    pieces.profile(document)
    with pytest.raises(ValidationError):
        pieces.profile({**document, table: value})


def test_a_second_profile_without_a_format_is_refused() -> None:
    pieces, document = Pieces(), dict(generate(3, 1).document)
    pieces.profile(document)
    del document["format"]
    with pytest.raises(ValidationError):
        pieces.profile(document)
