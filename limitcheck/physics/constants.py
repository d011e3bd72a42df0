"""Viscosity of the solvents and their mixtures: constants, range, error and source.

Pure: liquid viscosity at saturation or 0.1 MPa (the difference is below 0.1 %) as
``ln(eta / Pa s) = c1 + c2 / T + c3 ln T``, T in kelvin. Water has its own standard and only
its range and error are here. Mixtures: the excess term of ``viscosity.viscosity``, fitted to
the measured values in tests/reference/mixture_viscosity.csv (their DOIs are in its rows).
"""

from __future__ import annotations

from typing import NamedTuple

from ..units.tables import TEMPERATURE_UNITS

ZERO_CELSIUS = float(TEMPERATURE_UNITS["degC"].offset)
"""0 degC [K]; the definition stands in the table of units."""
ROOM = ZERO_CELSIUS + 25.0
"""25 degC [K], at which mixtures, densities and heat capacities are tabulated."""
PRESSURE_MAX = 100e6
"""End of the figures on what pressure does to viscosity and density [Pa]: ``PressureCoefficients``
and ``heat.COMPRESSION`` are fitted up to here, and stay beyond."""
WATER_RANGE = 253.15, 383.15
"""Range of the standard for water [K], IAPWS SR6-08(2011); no liquid is predicted beyond it."""


def celsius(kelvin: float) -> float:
    """A temperature kelvin [K] on the scale that people read [degC].

    >>> celsius(298.15)
    25.0
    """
    return kelvin - ZERO_CELSIUS


MEASURED_RISE = 0.1
"""Half-width of a measured rise of viscosity with pressure, as a share of it [-]."""

RISE_FROM, RISE_TO = 293.15, 338.15
"""Temperatures [K] over which the rise is used without a word: those of its figures, and 5 K."""
RISE_GROWTH = 0.003
"""Growth of its error [1/K] beyond them."""


class PressureCoefficients(NamedTuple):
    """ln(eta(p) / eta(0)) = p (a + a_t t) + b p^2, p gauge in MPa, t = T - 298.15 K.

    ``error`` is the half-width as a share of that exponent [-].
    """

    a: float
    a_t: float
    b: float
    error: float = MEASURED_RISE


class Solvent(NamedTuple):
    """One solvent; ``error`` is the half-width in ln(eta) inside [t_min, t_max] (K).

    ``boils`` is its boiling point at 101.325 kPa (K).
    """

    constants: tuple[float, float, float] | None
    t_min: float
    t_max: float
    error: float
    pressure: PressureCoefficients | None
    boils: float


class Mixture(NamedTuple):
    """Excess coefficients of two solvents.

    ``a`` are A0..A3 [-]; ``b`` is B [1000 K] and ``b_error`` its half-width [1000 K];
    ``error`` is the half-width in ln(eta) within ``NEAR_25`` [-]; ``b_measured`` is False where
    B rests on an assumption. ``a_error`` is the half-width of A0 [-], where no measurement was
    found.
    """

    error: float
    a: tuple[float, float, float, float]
    b: float
    b_error: float
    b_measured: bool = True
    a_error: float = 0.0

    @property
    def measured(self) -> bool:
        """Whether measurements stand behind ``a``."""
        return not self.a_error


# Fitted to CoolProp 8.0.0 over 25-60 degC, 0.1-100 MPa (tests/reference/pressure_viscosity.csv);
# worst residual 0.3 % (water, by IAPWS R12-08), 0.8 % (methanol), 0.9 % (ethanol), 1.7 %
# (n-hexane).
_WATER = PressureCoefficients(-7.15e-5, 1.5266e-5, 1.0055e-6)
_METHANOL = PressureCoefficients(5.8084e-3, 2.3146e-6, -1.5947e-5)
_ETHANOL = PressureCoefficients(6.0040e-3, 1.9439e-5, -1.8004e-5)
# No measurement was found for these: Lucas, Chem. Ing. Tech. 53 (1981) 959, by chemicals 1.5.2, 25
# and 60 degC, to 100 MPa. Of non-associating liquids it is off by up to 26 % of the exponent
# from 40 MPa on (hexane, heptane, toluene, benzene against CoolProp); of alcohols by half, so it is
# not used for those.
_ACETONITRILE = PressureCoefficients(8.151e-3, 1.2e-5, -3.24e-5, 0.35)
_TETRAHYDROFURAN = PressureCoefficients(8.970e-3, 1.2e-5, -3.27e-5, 0.35)
# n-Hexane, n-heptane: CoolProp 8.0.0, 25-60 degC, to 100 MPa, within 1.7 %.
_HEXANE = PressureCoefficients(1.0146e-2, 1.3472e-5, -2.8505e-5)
_HEPTANE = PressureCoefficients(1.0490e-2, 7.4294e-6, -2.6406e-5)
# No figure was found for 2-propanol: from no rise at all to 15 % more than n-hexane, 2.3 times at
# 100 MPa, which covers branched alcohols (2.1 to 2.3 times, from memory).
PRESSURE_BOUND = PressureCoefficients(1.167e-2, 1.549e-5, -3.278e-5)

# Water: IAPWS SR6-08(2011); its uncertainty as recalled (from memory): 1 % or better.
# Acetonitrile, 2-propanol, tetrahydrofuran: DIPPR constants in Perry's Chemical Engineers'
# Handbook, 8th ed., table 2-313. Methanol, ethanol: three constants fitted to CoolProp 8.0.0
# (saturated liquid, 0-80 degC), within 0.07 % and 0.04 %; n-hexane and n-heptane so
# over 0-60 degC, within 0.05 %.
# Errors: the largest spread at 10-60 degC against the compilations and measurements in
# tests/reference/solvent_viscosity.csv, rounded up (for methanol without Perry's form, 4.6 % off
# the other three at 60 degC).
# Boiling points: CoolProp 8.0.0; acetonitrile, 2-propanol, tetrahydrofuran: CRC Handbook, as held
# in chemicals 1.5.2.
SOLVENTS = {
    "water": Solvent(None, *WATER_RANGE, 0.01, _WATER, 373.12),
    "acetonitrile": Solvent((-10.906, 872.02, 0.0), 229.32, 436.4, 0.03, _ACETONITRILE, 354.8),
    "methanol": Solvent(
        (-6.802978674468467, 1065.6112353568933, -0.7525955668876569),
        273.15, 353.15, 0.03, _METHANOL, 337.6,
    ),
    "ethanol": Solvent(
        (0.3024157682481191, 1142.8044983779425, -1.9243333141103263),
        273.15, 353.15, 0.03, _ETHANOL, 351.6,
    ),
    "2-propanol": Solvent((-8.8918, 2357.6, -0.91376), 185.26, 355.3, 0.03, None, 355.4),
    "tetrahydrofuran": Solvent(
        (-10.321, 900.92, -0.069128), 164.65, 373.15, 0.05, _TETRAHYDROFURAN, 339.1,
    ),
    "hexane": Solvent(
        (4.051016571, 205.571764, -2.256903197), 273.15, 333.15, 0.065, _HEXANE, 341.9,
    ),
    "heptane": Solvent(
        (-3.385014314, 623.792051, -1.150704444), 273.15, 333.15, 0.02, _HEPTANE, 371.5,
    ),
}  # fmt: skip

# Stated half-width in ln(eta) away from 25 degC, from comparisons with independent data (mean
# 4 % at 38-50 degC, worst 7 %). Outside 20-50 degC the model is extrapolated.
ERROR_IN_RANGE = 0.07
NEAR_25 = 2.5  # kelvin from 25 degC, over which the error grows to that
T_MIN = 293.15
T_MAX = 323.15
# Growth outside a range. Assumed, no source.
ERROR_PER_KELVIN = 0.004

MIXTURES = {
    # Fitted at 25 degC to Grande et al. 2006, doi 10.1016/j.jct.2005.08.009. B: no measurement
    # at another temperature is held here; none is assumed, to a third of methanol's.
    "acetonitrile": Mixture(0.03, (1.5449, 0.1388, -0.2403, 1.2428), 0.0, 1.0, b_measured=False),
    # Fitted at 20-30 degC to Gonzalez et al. 2007, doi 10.1016/j.jct.2007.05.004. B: same data;
    # Melinder's tables (CoolProp MMA, 20-40 degC) give 3.1-3.6.
    "methanol": Mixture(0.03, (3.1985, -0.5236, 0.5858, 0.0), 3.4819, 0.2),
    # Fitted at 25 degC to Gonzalez et al. 2007. B: Melinder's tables (CoolProp 8.0.0 MEA,
    # 20-40 degC) give 4.5-5.7; tables at 60 and 80 degC about 4 (from memory).
    "ethanol": Mixture(0.05, (3.5428, 0.4318, 0.0079, -1.1925), 5.0, 1.0),
    # Fitted at 25 degC, doi 10.1021/je700700f. B is not measured: the mean of methanol and
    # ethanol is assumed.
    "2-propanol": Mixture(0.03, (3.2812, 0.4094, -0.5548, 0.7234), 4.2, 2.5, b_measured=False),
    # Tables for chromatography, from memory: 1.2 to 1.3 mPa s at 20 %, 1.6 to 1.8 at 40 %, about
    # 0.9 at 80 %, 25 degC. B as of 2-propanol.
    "tetrahydrofuran": Mixture(
        0.07, (3.6, -0.5, 0.0, 0.0), 3.5, 2.5, b_measured=False, a_error=0.9,
    ),
}  # fmt: skip
"""Each organic solvent with water."""

UNMEASURED = Mixture(0.07, (-0.8, 0.0, 0.0, 0.0), 0.0, 1.0, b_measured=False, a_error=1.3)
"""Two organic solvents, of which no measurement is held here: most are thinner than the mean of
their logarithms by volume, none among them far thicker (assumed; ethanol and 2-propanol with
hexane, methanol with acetonitrile between 0 and -0.9, 2-propanol with acetonitrile about -2, from
memory)."""
THREE_ERROR = 0.10
"""Half-width in ln(eta) [-] of a sum of pairs for equal parts of three solvents; assumed."""

DO_NOT_MIX = tuple(
    frozenset({alkane, other})
    for alkane in ("hexane", "heptane")
    for other in ("water", "methanol", "acetonitrile")
)
"""Pairs that form two layers over most of their range at 25 degC (solubility tables of any
handbook, from memory)."""
LOWEST_BOILING = {
    frozenset({"acetonitrile", "water"}): 349.7,
    frozenset({"ethanol", "water"}): 351.3,
    frozenset({"2-propanol", "water"}): 353.5,
    frozenset({"tetrahydrofuran", "water"}): 336.8,
    frozenset({"hexane", "ethanol"}): 331.8,
    frozenset({"hexane", "2-propanol"}): 335.9,
    frozenset({"heptane", "ethanol"}): 344.1,
    frozenset({"heptane", "2-propanol"}): 349.5,
    frozenset({"methanol", "acetonitrile"}): 336.6,
    frozenset({"methanol", "tetrahydrofuran"}): 332.4,
    frozenset({"ethanol", "acetonitrile"}): 345.7,
    frozenset({"2-propanol", "acetonitrile"}): 347.9,
}
"""Lowest boiling points of two solvents mixed [K], where that is below those of both: tables of
azeotropes in any handbook (from memory)."""
TWO_LAYERS_ABOVE = 345.0
"""Temperature [K] from which tetrahydrofuran and water form two layers over part of their range:
72 degC, the lower consolute point in any handbook (from memory)."""
BETWEEN = ("ethanol", "2-propanol", "tetrahydrofuran")
"""Solvents that hold an alkane and methanol or acetonitrile in one phase; common practice, no
source."""
TRACE = 0.01
"""Volume fraction [-] of one of them below which the rest may still dissolve it; common practice,
no source."""
