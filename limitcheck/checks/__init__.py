"""Every check, in report order. Adding one: write its function, add its line here, add cases.

A check takes a `Subject` and yields findings: no files, no printing, no clock. It raises
`Skip` with a reason when the profile lacks what it needs. Its docstring is its documentation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

from ..findings import Finding
from .entry_field import (
    entry_beyond_field,
    entry_not_storable,
    rounded_over_rating,
    rule_of_thumb_conversion,
)
from .expected import expected_above_rating, expected_inverted
from .expected_and_predicted import expected_against_prediction, gradient_peak_outside_expected
from .frits import frit_not_finer_than_particles
from .high_cutoff import (
    high_cutoff_above_rating,
    high_cutoff_below_expected,
    high_cutoff_margin_thin,
    high_cutoff_margin_wide,
    high_cutoff_missing,
    high_cutoff_untouched,
)
from .low_cutoff import (
    low_cutoff_above_expected,
    low_cutoff_margin_thin,
    low_cutoff_margin_wide,
    low_cutoff_not_below_high,
    low_cutoff_off,
)
from .measured import measured_against_geometry
from .ratings import (
    part_exposed_downstream,
    rating_derated,
    rating_implausible,
    rating_missing,
    rating_raised_over_shared,
)
from .subject import Skip, Subject
from .unseen_faults import fault_unseen
from .usual_amounts import amount_implausible
from .which_number import geometry_implausible, mistyped_number, unit_confusion

Check = Callable[[Subject], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    unit_confusion,
    mistyped_number,
    geometry_implausible,
    amount_implausible,
    rounded_over_rating,
    rule_of_thumb_conversion,
    entry_beyond_field,
    entry_not_storable,
    high_cutoff_missing,
    high_cutoff_above_rating,
    high_cutoff_below_expected,
    high_cutoff_margin_thin,
    high_cutoff_margin_wide,
    high_cutoff_untouched,
    low_cutoff_off,
    low_cutoff_above_expected,
    low_cutoff_margin_thin,
    low_cutoff_margin_wide,
    low_cutoff_not_below_high,
    expected_inverted,
    expected_above_rating,
    expected_against_prediction,
    gradient_peak_outside_expected,
    measured_against_geometry,
    rating_missing,
    rating_implausible,
    rating_raised_over_shared,
    rating_derated,
    part_exposed_downstream,
    frit_not_finer_than_particles,
    fault_unseen,
)


@cache
def check_name(check: Callable[..., object]) -> str:
    """The name users see: the function's, with hyphens."""
    return check.__name__.replace("_", "-")


__all__ = ["CHECKS", "Check", "Skip", "Subject", "check_name"]
