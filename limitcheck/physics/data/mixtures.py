"""Viscosity of the mixtures with water: constants, range, stated error and source.

The excess term of the model in ``limitcheck.physics.viscosity``, fitted to the measured
values in tests/reference/mixture_viscosity.csv (their DOIs are in its rows).
"""

from __future__ import annotations

from typing import NamedTuple


class Mixture(NamedTuple):
    """Excess coefficients of one organic solvent with water.

    ``a`` are A0..A3 [-]; ``b`` is B [1000 K] and ``b_error`` its half-width [1000 K];
    ``error`` is the half-width in ln(eta) within ``NEAR_25`` [-]; ``b_measured`` is False where
    B rests on an assumption.
    """

    organic: str
    error: float
    a: tuple[float, float, float, float]
    b: float
    b_error: float
    source: str
    b_source: str
    b_measured: bool = True


# Stated half-width in ln(eta) away from 25 degC, from comparisons with independent data (mean
# 4 % at 38-50 degC, worst 7 %). Outside 20-50 degC the model is extrapolated.
ERROR_IN_RANGE = 0.07
NEAR_25 = 2.5  # kelvin around 25 degC
T_MIN = 293.15
T_MAX = 323.15
# Growth outside a range. Assumed, no source.
ERROR_PER_KELVIN = 0.004

MIXTURES = {
    mixture.organic: mixture
    for mixture in (
        Mixture(
            "acetonitrile",
            0.03,
            (1.5449, 0.1388, -0.2403, 1.2428),
            0.0,
            0.0,
            "fitted at 25 degC to Grande et al. 2006, doi 10.1016/j.jct.2005.08.009",
            "0 agrees with independent data at 38-50 degC within the stated error",
        ),
        Mixture(
            "methanol",
            0.03,
            (3.1985, -0.5236, 0.5858, 0.0),
            3.4819,
            0.2,
            "fitted at 20-30 degC to Gonzalez et al. 2007, doi 10.1016/j.jct.2007.05.004",
            "same data; Melinder's tables (CoolProp MMA, 20-40 degC) give 3.1-3.6",
        ),
        Mixture(
            "ethanol",
            0.05,
            (3.5428, 0.4318, 0.0079, -1.1925),
            5.0,
            0.6,
            "fitted at 25 degC to Gonzalez et al. 2007, doi 10.1016/j.jct.2007.05.004",
            "Melinder's tables (CoolProp 8.0.0 MEA, 20-40 degC) give 4.5-5.7",
        ),
        Mixture(
            "2-propanol",
            0.03,
            (3.2812, 0.4094, -0.5548, 0.7234),
            4.2,
            2.5,
            "fitted at 25 degC, doi 10.1021/je700700f",
            "not measured: the mean of methanol and ethanol is assumed",
            b_measured=False,
        ),
    )
}
