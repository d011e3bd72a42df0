"""Pressure drop along an open tube. SI floats in and out."""

from __future__ import annotations

from math import pi

LAMINAR_BELOW = 2000.0  # Reynolds number
BORE_ERROR = 0.05  # usual bore tolerance; 20 % in pressure (common practice, no source)
HIGHEST_DENSITY = 1000.0  # kg/m3: no liquid here is denser, so Reynolds numbers err high


def tube_resistance(length: float, bore: float) -> float:
    """Hydraulic resistance of an open tube, dP / (eta F), by Hagen-Poiseuille.

    R = 128 L / (pi d^4)

    Parameters
    ----------
    length : float
        Length, L [m]
    bore : float
        Inner diameter, d [m]

    Returns
    -------
    resistance : float
        Pressure drop for each unit of viscosity times flow [1/m^3]

    Raises
    ------
    ValueError
        A dimension is not positive.

    Notes
    -----
    Laminar flow, Reynolds number below about 2000: ``reynolds``. A bore 5 % off is 20 % in
    the pressure.

    Examples
    --------
    Water at 25 degC, 1 mL/min through 1 m of 0.17 mm tube: 7.24 bar.

    >>> round(1e-5 * tube_resistance(1.0, 0.17e-3) * 0.890023e-3 * 1e-6 / 60, 2)
    7.24

    References
    ----------
    Bird, Stewart and Lightfoot, Transport Phenomena, 2nd ed., section 2.3.
    """
    if not (length > 0.0 and bore > 0.0):
        raise ValueError("length and bore must be above zero")
    return 128.0 * length / (pi * bore**4)


def reynolds(flow: float, bore: float, viscosity: float, density: float = HIGHEST_DENSITY) -> float:
    """Reynolds number of the flow in a tube.

    Re = 4 rho F / (pi d eta)

    Parameters
    ----------
    flow : float
        Volume flow, F [m^3/s]
    bore : float
        Inner diameter, d [m]
    viscosity : float
        Dynamic viscosity, eta [Pa s]
    density : float
        Density, rho [kg/m^3]

    Returns
    -------
    re : float
        Reynolds number [-]

    Notes
    -----
    The default density is that of water, the densest liquid here, so the number errs high.

    Examples
    --------
    >>> round(reynolds(1e-6 / 60, 0.17e-3, 0.890023e-3, 997.047), 1)
    139.8

    References
    ----------
    Bird, Stewart and Lightfoot, Transport Phenomena, 2nd ed., section 2.3.
    """
    return 4.0 * density * flow / (pi * bore * viscosity)
