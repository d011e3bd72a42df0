"""Profiles validated in pieces are those that are validated whole."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pydantic import ValidationError

from limitcheck.profile.model import validate_profile
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
