"""What friction does to the liquid in a packed bed: it warms it; and pressure compresses it.

Both lower the pressure drop: a warm liquid is less viscous, a compressed one takes less volume. How
much of the heat stays in the bed depends on its walls, so this is an interval: from none (walls
that stay at the oven's temperature) to all of it (walls that let no heat through). What surrounds
the column narrows it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import exp, expm1, log, log1p, pi
from typing import NamedTuple

from .blend import Blend
from .constants import PRESSURE_MAX, ROOM
from .density import density
from .viscosity import viscosity


class Thermal(NamedTuple):
    """Heat capacity cp [J/(kg K)] at 25 degC and low pressure, and its change [J/(kg K2)]."""

    capacity: float
    slope: float


# Water, methanol, ethanol: CoolProp 8.0.0, 25 to 60 degC. Acetonitrile, 2-propanol: Zabransky's
# tables by chemicals 1.5.2. Tetrahydrofuran: 124 J/(mol K) (from memory). Hexane, heptane (n-):
# CoolProp 8.0.0, 25 to 60 degC.
THERMAL = {
    "water": Thermal(4181.0, 0.1),
    "acetonitrile": Thermal(2230.0, 1.6),
    "methanol": Thermal(2534.0, 7.2),
    "ethanol": Thermal(2434.0, 8.8),
    "2-propanol": Thermal(2578.0, 13.6),
    "tetrahydrofuran": Thermal(1720.0, 3.0),
    "hexane": Thermal(2272.5, 4.3),
    "heptane": Thermal(2240.5, 3.9),
}
# ln(rho(p) / rho(0)) = a p - b p^2 [1/Pa, 1/Pa^2], to 1000 bar at 25 degC, CoolProp 8.0.0: water;
# the alkanes; methanol, which stands for the other organic solvents (ethanol and acetone lie within
# 8 % of it).
WATER_COMPRESSION = (4.49e-10, 4.75e-19)
ORGANIC_COMPRESSION = (1.145e-9, 3.13e-18)
_ALKANE = (1.56e-9, 5.7e-18)
COMPRESSION = {"water": WATER_COMPRESSION, "hexane": _ALKANE, "heptane": _ALKANE}
COMPRESSION_SLOPE = 0.006  # of an organic solvent's, 1/K above 25 degC; same source, 5 to 80 degC
FILM: Mapping[str, tuple[float, float]] = {
    "still air": (2.0, 25.0),
    "forced air": (25.0, 250.0),
    "water jacket": (100.0, 20e3),
}
"""Heat transfer from a surface [W/(m2 K)]: free and forced convection of gases, forced
convection of liquids; Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table 1.1
(from memory)."""
KEEPS_MOST = "still air"  # of all ovens
# Of ``heat_drop``: alcohols in water are 26 % high, hexane at 1150 bar 22 % low (tests).
HEAT_ERROR = 0.30
_WALL = 4e-3  # m, outer over inner diameter of a steel column; common practice, no source
_BED_CONDUCTIVITY = 0.5  # W/(m K), 0.3 to 0.7 of silica and liquid (from memory)
_STEP = 5.0  # K, for the slope of the viscosity


@lru_cache(maxsize=1024)
def heat_capacity(solvents: Blend, temperature: float) -> float:
    """Heat capacity of solvents by their volume fractions [J/(m3 K)].

    sum of phi_i rho_i cp_i at volume fractions phi [-] and a temperature [K]

    Range: 10 to 60 degC, low pressure. Stated error 20 %: water and alcohols together take more.

    >>> round(1e-6 * heat_capacity((("water", 1.0),), 298.15), 2)
    4.17

    Source: as in ``THERMAL`` and ``density``.
    """
    above, found = temperature - ROOM, 0.0
    for name, share in solvents:
        data = THERMAL[name]
        found += share * density(((name, 1.0),), temperature) * (data.capacity + data.slope * above)
    return found


@lru_cache(maxsize=1024)
def warming(solvents: Blend, temperature: float) -> tuple[float, float]:
    """Rise of temperature [K/Pa] where no heat is lost, and -d ln eta / dT [1/K].

    (1 - alpha T) / (rho cp), alpha the expansion; of solvents by their volume fractions [-], at a
    temperature T [K]; heat capacities add up by mass

    Range: 10 to 60 degC, low pressure. Stated error 30 %.

    Water at 25 degC, 1000 bar: 21 K.

    >>> round(1e8 * warming((("water", 1.0),), 298.15)[0])
    21

    Source: enthalpy is kept in adiabatic flow through a bed (any textbook of thermodynamics); the
    figures as in ``THERMAL`` and ``density``.
    """
    rho = density(solvents, temperature)
    expansion = (density(solvents, temperature - 1.0) - rho) / rho
    kelvin = (1.0 - expansion * temperature) / heat_capacity(solvents, temperature)
    slope = log(viscosity(solvents, temperature) / viscosity(solvents, temperature + _STEP))
    return kelvin, slope / _STEP


def heat_drop(solvents: Blend, temperature: float, pressure: float) -> float:
    """How far heat of friction may lower the pressure drop over a bed, in ln [-].

    -ln(ln(1 + x) / x), x = P s k, for an isothermal drop pressure P [Pa] of a liquid (volume
    fractions [-], temperature [K]), s and k by ``warming``: the axial balance of heat without any
    loss, eta = eta0 exp(-s (T - T0))

    Range: the heat of the whole bed; as far as ``warming``.

    >>> round(heat_drop((("water", 1.0),), 298.15, 400e5), 3)
    0.086

    Source: integral of Darcy's law with that balance; checked by integration in the tests.
    """
    kelvin, slope = warming(solvents, temperature)
    x = pressure * kelvin * slope
    return 0.0 if x < 1e-9 else -log(log1p(x) / x)


def heat_kept(oven: str, length: float, bore: float, heat_flow: float) -> tuple[float, float]:
    """Least and greatest share of the heat of friction that stays in a bed [-].

    f = 2 (1 - (1 - e^-a) / a) / a, a = g L / C, 1 / g = 1 / (8 pi k) + 1 / (h pi D): the mean rise
    of temperature over that without any loss, by the axial balance of heat with a loss through bed
    and wall; oven a key of ``FILM`` with its range of h, length L and bore [m], D the bore and 4 mm
    of wall, k 0.5 W/(m K) of the bed, heat_flow C [W/K] mass flow times heat capacity

    Range: liquid that enters at the oven's temperature. Heat along the steel is left out; it only
    levels the profile.

    50 x 2.1 mm, 0.5 mL/min of water:

    >>> for oven in FILM:
    ...     print(oven, *(f"{share:.2f}" for share in heat_kept(oven, 0.05, 2.1e-3, 0.035)))
    still air 0.81 0.98
    forced air 0.32 0.81
    water jacket 0.11 0.52

    Source: as ``FILM``; a uniformly heated cylinder is q / (8 pi k) warmer in its mean than at its
    wall, q the heat per length (Bird, Stewart and Lightfoot, Transport Phenomena, section 10.2).
    """
    worst, best = FILM[oven]
    of_bed = length, bore, heat_flow
    return share_kept(best, *of_bed), share_kept(worst, *of_bed)


def share_kept(film: float, length: float, bore: float, heat_flow: float) -> float:
    """The share of ``heat_kept`` [-] at one heat transfer, film [W/(m2 K)].

    For a bed of length and bore [m] and heat_flow [W/K].
    """
    a = _loss(film, length, bore, heat_flow)
    return 1.0 - a / 3.0 if a < 1e-6 else 2.0 * (1.0 + expm1(-a) / a) / a


def heat_passed(oven: str, length: float, bore: float, heat_flow: float) -> tuple[float, float]:
    """Greatest shares of heat that are left in the liquid at a bed's outlet [-].

    Of the heat of friction (1 - e^-a) / a, of what the liquid brought along e^-a, a as in
    ``heat_kept``, with its oven, length and bore [m] and heat_flow [W/K]. In the mean over the bed
    as much is left of what was brought as of the friction's at the outlet.

    Range: as ``heat_kept``.

    >>> [round(share, 2) for share in heat_passed("still air", 0.05, 2.1e-3, 0.035)]
    [0.97, 0.95]

    Source: as ``heat_kept``; checked by integration in the tests.
    """
    a = _loss(FILM[oven][0], length, bore, heat_flow)
    return (1.0 if a < 1e-9 else -expm1(-a) / a), exp(-a)


def _loss(film: float, length: float, bore: float, heat_flow: float) -> float:
    inside = 1.0 / (8.0 * pi * _BED_CONDUCTIVITY)
    return length / (heat_flow * (inside + 1.0 / (film * pi * (bore + _WALL))))


def compression(solvents: Blend, temperature: float, pressure: float) -> float:
    """ln of the density at a mean gauge pressure [Pa] over that at none [-].

    a p - b p^2, of solvents by their volume fractions [-]; that of organic solvents grows by 0.6 %
    for a kelvin of the temperature [K] above 25 degC

    Range: to 1000 bar, the value there beyond, 5 to 80 degC. Stated error 20 %, acetonitrile,
    tetrahydrofuran and 2-propanol 30 %: taken to act like methanol.

    >>> [round(compression(((name, 1.0),), 298.15, 1e8), 3) for name in ("methanol", "water")]
    [0.083, 0.04]

    Source: CoolProp 8.0.0, doi 10.1021/ie4033999.
    """
    first, second = _compressing(solvents, temperature)
    at = min(pressure, PRESSURE_MAX)
    return at * (first - second * at)


@lru_cache(maxsize=1024)
def _compressing(solvents: Blend, temperature: float) -> tuple[float, float]:
    warmer = max(1.0 + COMPRESSION_SLOPE * (temperature - ROOM), 0.0)
    first = second = 0.0
    for name, share in solvents:
        by = share if name == "water" else share * warmer
        own = COMPRESSION.get(name, ORGANIC_COMPRESSION)
        first, second = first + by * own[0], second + by * own[1]
    return first, second
