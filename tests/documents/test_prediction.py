"""The parts of a predicted gradient, beside the pressure that the column sees of it."""

from __future__ import annotations

import pytest

from limitcheck.documents.prediction import prediction_sections
from limitcheck.physics.predict import predict
from limitcheck.profile.model import Profile
from tests.physics.profiles import GRADIENT, profile
from tests.physics.test_run_ends import pulse


@pytest.mark.parametrize(
    ("made", "whole"), [(pulse(), False), (profile(conditions=GRADIENT), True)]
)
def test_parts_that_add_up_to_more_than_the_run_makes_say_why(made: Profile, whole: bool) -> None:
    found = predict(made)
    title = next(s.heading for s in prediction_sections(made, found) if "by part" in s.heading)
    assert "% B throughout" in title
    assert title.endswith(", which never fills the column whole") is not whole
