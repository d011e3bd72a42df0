"""Viscosity of a mobile phase: water, an organic solvent, or both mixed. SI floats."""

from __future__ import annotations

from functools import lru_cache
from math import exp, hypot, log

from .constants import ERROR_IN_RANGE, ERROR_PER_KELVIN, MIXTURES, NEAR_25, T_MAX, T_MIN
from .solvents import ROOM, StatedError, solvent_error, solvent_viscosity


def has_data(organic: str, fraction: float) -> bool:
    """Whether ``viscosity`` covers this liquid: pure, or with a fitted mixture model.

    ``fraction`` is a volume fraction [-].

    >>> has_data("tetrahydrofuran", 1.0), has_data("tetrahydrofuran", 0.5)
    (True, False)
    """
    return organic == "water" or fraction in (0.0, 1.0) or organic in MIXTURES


def viscosity(organic: str, fraction: float, temperature: float) -> float:
    """Viscosity of an organic solvent mixed with water, at low pressure.

    ln eta = phi ln eta_organic(T) + (1 - phi) ln eta_water(T)
    + phi (1 - phi) [A0 + A1 z + A2 z^2 + A3 z^3 + 1000 B (1/T - 1/298.15)], z = 1 - 2 phi

    Parameters
    ----------
    organic : str
        Name of the solvent mixed with water, or "water" [-]
    fraction : float
        Its volume fraction before mixing, phi, from 0 to 1 [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    eta : float
        Dynamic viscosity [Pa s]

    Raises
    ------
    KeyError
        No such solvent, or no data on its mixtures (``has_data`` says so).
    ValueError
        The fraction is outside 0 to 1, or the temperature is not positive.

    Notes
    -----
    Exactly the pure solvent at either end, at every temperature. Fitted at 25 degC
    (methanol 20-30 degC), used over 20-50 degC, extrapolated outside: ``viscosity_error``.
    Buffers and additives are not covered.

    Examples
    --------
    The highest viscosity of acetonitrile in water (measured: 0.985 mPa s at phi 0.136):

    >>> round(1e3 * viscosity("acetonitrile", 0.1358, 298.15), 3)
    0.988

    References
    ----------
    Grande et al., J. Chem. Thermodyn. 38 (2006) 760, doi 10.1016/j.jct.2005.08.009;
    Gonzalez et al., J. Chem. Thermodyn. 39 (2007) 1578, doi 10.1016/j.jct.2007.05.004;
    doi 10.1021/je700700f (2-propanol).
    """
    if not 0.0 <= fraction <= 1.0:
        raise ValueError(f"volume fraction must be from 0 to 1, got {fraction}")
    if fraction == 0.0 or organic == "water":
        return solvent_viscosity("water", temperature)
    pure = solvent_viscosity(organic, temperature)
    if fraction == 1.0:
        return pure
    mixture = MIXTURES[organic]
    a0, a1, a2, a3 = mixture.a
    z = 1.0 - 2.0 * fraction
    excess = a0 + z * (a1 + z * (a2 + z * a3)) + 1000.0 * mixture.b * (1 / temperature - 1 / ROOM)
    water = solvent_viscosity("water", temperature)
    return water * exp(fraction * (log(pure / water) + (1.0 - fraction) * excess))


@lru_cache(maxsize=1024)
def viscosity_error(organic: str, fraction: float, temperature: float) -> StatedError:
    """Stated error of ``viscosity``.

    Parameters
    ----------
    organic : str
        Name of the solvent mixed with water, or "water" [-]
    fraction : float
        Its volume fraction before mixing, phi [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    error : StatedError
        Half-width in ln(eta) [-], and whether the temperature is outside the data

    Notes
    -----
    Mixtures: 3 % (ethanol 5 %) within 2.5 K of 25 degC, 7 % over 20-50 degC, growing by
    0.4 % a kelvin outside (assumed, no source); it falls to the error of the pure liquid
    below phi 0.1 and above 0.9. An uncertain B adds phi (1 - phi) 1000 dB |1/T - 1/298.15|,
    in quadrature.

    Examples
    --------
    >>> round(viscosity_error("acetonitrile", 0.5, 298.15).half_width, 3)
    0.036
    >>> viscosity_error("acetonitrile", 0.5, 333.15).extrapolated
    True

    References
    ----------
    Deviations from the reference rows: ``python tests/reference/print_deviations.py``.
    """
    water = solvent_error("water", temperature)
    if fraction == 0.0 or organic == "water":
        return water
    pure = solvent_error(organic, temperature)
    if fraction == 1.0:
        return pure
    beyond = max(T_MIN - temperature, temperature - T_MAX, 0.0)
    mixture = MIXTURES[organic]
    stated = mixture.error if abs(temperature - ROOM) <= NEAR_25 else ERROR_IN_RANGE
    product = fraction * (1.0 - fraction)
    slope = 1000.0 * mixture.b_error * abs(1 / temperature - 1 / ROOM)
    half_width = hypot(
        (stated + ERROR_PER_KELVIN * beyond) * min(1.0, product / 0.09),
        product * slope,
        fraction * pure.half_width + (1.0 - fraction) * water.half_width,
    )
    return StatedError(half_width, beyond > 0.0 or pure.extrapolated or water.extrapolated)


@lru_cache(maxsize=256)
def peak_fraction(organic: str, temperature: float) -> float | None:
    """Composition of the highest viscosity of a mixture with water.

    Parameters
    ----------
    organic : str
        Name of the solvent mixed with water [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    phi : float or None
        Volume fraction before mixing [-]; None where no mixture is more viscous than
        both pure liquids

    Notes
    -----
    Found on a grid of 0.01 and refined by golden section to 1e-6.

    Examples
    --------
    >>> round(peak_fraction("methanol", 298.15), 3)
    0.455

    References
    ----------
    As for ``viscosity``; highest values in the data near phi 0.14 (acetonitrile) and
    0.45-0.49 (methanol).
    """
    best = max(range(1, 100), key=lambda i: viscosity(organic, i / 100, temperature))
    low, high = (best - 1) / 100, (best + 1) / 100
    ratio = 0.6180339887498949
    while high - low > 1e-6:
        step = ratio * (high - low)
        left, right = high - step, low + step
        if viscosity(organic, left, temperature) < viscosity(organic, right, temperature):
            low = left
        else:
            high = right
    peak = 0.5 * (low + high)
    ends = max(solvent_viscosity("water", temperature), solvent_viscosity(organic, temperature))
    return peak if viscosity(organic, peak, temperature) > ends else None
