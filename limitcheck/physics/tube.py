"""Open tubes: laminar, in transition, turbulent, straight or coiled. SI floats in and out.

The pressure drop is that of laminar flow times a factor of the Reynolds number. A smooth wall is
taken for the central value; the wall of drawn tube, an unknown coil and losses where a tube begins
and ends are in the interval.
"""

from __future__ import annotations

from math import exp, hypot, log, log10, pi, pow, sqrt
from typing import TYPE_CHECKING, Literal, NamedTuple

from .density import ERROR
from .uncertainty import of_bound

if TYPE_CHECKING:
    from .liquid import Liquid

LAMINAR_BELOW = 2040.0  # Reynolds number; Avila et al., Science 333 (2011) 192 (from memory)
STILL_LAMINAR = 3100.0
"""Reynolds number up to which the flow stays laminar behind a square-edged entry, as cut tubing has
it; from 3700 it is turbulent. Tam and Ghajar, Exp. Therm. Fluid Sci. 15 (1997) 52 (from memory).
Behind a bell mouth it stays so to 5100: no tube in a fitting has that."""
TURBULENT_ABOVE = 4000.0
ROUGHNESS = 1.5e-6  # m, drawn tubing: Moody, Trans. ASME 66 (1944) 671 (from memory)
BORE_ERROR = 0.05  # usual bore tolerance; 20 % in pressure (common practice, no source)
END_LOSS = 2.24  # of rho v^2 / 2: kinetic-energy correction of capillaries, m = 1.12 (from memory)
USUAL_COIL = 0.05  # m, a tube wound up by hand (common practice, no source)
COIL_ERROR = 0.15  # White's and other correlations of coils; ln (from memory)
WOUND = 0.33  # of what a laminar coil adds in ln: Schmidt's correlation lies so much higher
DENSITY_POWER = 0.75  # of a turbulent drop, by Blasius
FRICTION_ERROR = 0.05  # of friction factors against measurements; ln (from memory)
TURBULENT_ERROR = hypot(FRICTION_ERROR, of_bound(0.75 * BORE_ERROR), DENSITY_POWER * ERROR)
TURBULENT_COIL_ERROR = 0.20  # of correlations of turbulent coils against each other; ln
_SURELY = log(STILL_LAMINAR / LAMINAR_BELOW) / log(TURBULENT_ABOVE / LAMINAR_BELOW)
_SOON = 0.1  # of the way from laminar to turbulent; assumed, no source
_LATE = BORE_ERROR  # of the Reynolds number: so far past its end a tube may be in transition yet
_EVIDENT = 11.6  # Dean number below which a coil does nothing


def tube_resistance(length: float, bore: float) -> float:
    """Resistance of an open tube, dP / (eta F) [1/m^3], by Hagen-Poiseuille.

    R = 128 L / (pi d^4), with length L [m] and bore d [m]

    Range: laminar flow, Reynolds number below about 2000; ``tube_flow`` has the factor beyond. A
    bore 5 % off is 20 % in the pressure. Raises ValueError for a size that is not positive.

    Water at 25 degC, 1 mL/min through 1 m of 0.17 mm tube: 7.24 bar.

    >>> round(1e-5 * tube_resistance(1.0, 0.17e-3) * 0.890023e-3 * 1e-6 / 60, 2)
    7.24

    Source: Bird, Stewart and Lightfoot, Transport Phenomena, 2nd ed., section 2.3.
    """
    if not (length > 0.0 and bore > 0.0):
        raise ValueError("length and bore must be above zero")
    return 128.0 * length / (pi * bore**4)


def reynolds(mass_flow: float, bore: float, viscosity: float) -> float:
    """Reynolds number of the flow in a tube [-].

    Re = 4 m / (pi d eta), with the mass flow m, mass_flow [kg/s], bore d [m] and viscosity
    eta [Pa s]

    Range: any.

    >>> round(reynolds(997.047 * 1e-6 / 60, 0.17e-3, 0.890023e-3), 1)
    139.8

    Source: Bird, Stewart and Lightfoot, Transport Phenomena, 2nd ed., section 2.3.
    """
    return 4.0 * mass_flow / (pi * bore * viscosity)


def turbulent_friction(reynolds: float, roughness: float = 0.0) -> float:
    """Darcy friction factor of turbulent flow in a straight tube [-], by Colebrook and White.

    1 / sqrt(f) = -2 log10(k / 3.7 + 2.51 / (Re sqrt(f))), with Re, reynolds [-], and k, roughness
    over bore [-]; solved to 1e-10

    Range: Reynolds number from 4000 to 1e8, roughness up to 0.05 of the bore. Stated error 5 %.

    Smooth tube at Re 10,000 (Moody's diagram: 0.031).

    >>> round(turbulent_friction(1e4), 4)
    0.0309

    Source: Colebrook, J. Inst. Civ. Eng. 11 (1939) 133.
    """
    root = 1.0 / sqrt(0.3164 / reynolds**0.25)  # 1 / sqrt(f), from Blasius
    for _ in range(50):
        before = root
        inner = roughness / 3.7 + 2.51 * root / reynolds
        value = root + 2.0 * log10(inner)
        root -= value / (1.0 + 2.0 * 2.51 / (reynolds * inner * log(10.0)))
        if abs(root - before) < 1e-10 * root:
            break
    return 1.0 / (root * root)


def coil_factor(reynolds: float, bore_over_coil: float) -> float:
    """Pressure drop of a coiled tube over that of a straight one in laminar flow [-].

    1 / (1 - (1 - (11.6 / De)^0.45)^(1/0.45)), De = Re sqrt(d / D), with Re, reynolds [-], and
    d / D, bore_over_coil [-]; 1 for a Dean number De under 11.6

    Range: laminar, Dean number under 2000. Stated error 15 %; above, a third of what the coil adds
    in ln where that is more (Schmidt, Chem.-Ing.-Tech. 39 (1967) 781, is higher for a tight coil).

    >>> round(coil_factor(1000.0, 0.01), 2)
    1.53

    Source: C. M. White, Proc. R. Soc. Lond. A 123 (1929) 645.
    """
    dean = reynolds * sqrt(bore_over_coil)
    if dean <= _EVIDENT:
        return 1.0
    return 1.0 / (1.0 - pow(1.0 - pow(_EVIDENT / dean, 0.45), 1.0 / 0.45))


def turbulent_coil_factor(reynolds: float, bore_over_coil: float) -> float:
    """Pressure drop of a coiled tube over that of a straight one in turbulent flow [-].

    1 + 0.03 De^0.27, De = Re sqrt(d / D), with Re, reynolds [-], and d / D, bore_over_coil [-]

    Range: turbulent, Reynolds number up to 50,000, d / D up to 0.05. Stated error 20 %: the
    correlations of Mori and Nakayama (1967), Schmidt (1967), Prasad et al. (1989) and, from
    Reynolds number 20,000 and for d / D up to 0.02, Czop et al. (1994) lie within that of it.

    >>> round(turbulent_coil_factor(1e4, 0.01), 2)
    1.19

    Source: Mandal and Nigam, Ind. Eng. Chem. Res. 48 (2009) 9318.
    """
    return 1.0 + 0.03 * pow(reynolds * sqrt(bore_over_coil), 0.27)


def laminar_limit(bore_over_coil: float) -> float:
    """Reynolds number up to which the flow in a tube is laminar [-]; a coil keeps it so longer.

    2040 (1 + 8.6 (d / D)^0.45), with bore over coil d / D, bore_over_coil [-], 0 for a straight
    tube

    Range: d / D up to 0.2.

    >>> round(laminar_limit(0.0)), round(laminar_limit(0.01))
    (2040, 4249)

    Source: Schmidt, Chem.-Ing.-Tech. 39 (1967) 781, with 2300 for a straight tube (from memory).
    """
    return LAMINAR_BELOW * (1.0 + 8.6 * pow(bore_over_coil, 0.45))


class OpenTube(NamedTuple):
    """Bore, length and diameter of the coil [m] of a tube; a coil of None is not known."""

    bore: float
    length: float
    coil: float | None = None
    ends: float = 0.0  # losses at both ends that are counted, of rho v^2 / 2


class TubeFlow(NamedTuple):
    """How the drop over a tube differs from laminar flow in a straight one.

    ``factor`` [-] times the laminar drop; ``below`` and ``above`` are half-widths in ln of it.
    ``straight`` is ``above`` without a coil that nobody tells of; None where that is the same.
    ``laminar`` and ``turbulent`` are how far in ln the factor lies above that of laminar and
    below that of turbulent flow, where it may be either; else zero.
    """

    reynolds: float
    factor: float
    below: float
    above: float
    regime: Literal["laminar", "in transition", "turbulent"]
    straight: float | None = None
    laminar: float = 0.0
    turbulent: float = 0.0

    @property
    def regimes(self) -> tuple[float, float]:
        """``laminar`` and ``turbulent`` [-]."""
        return self.laminar, self.turbulent


def tube_flow(reynolds: float, tube: OpenTube) -> TubeFlow:
    """The flow in a tube at a Reynolds number reynolds [-].

    Laminar under ``laminar_limit``, turbulent from twice that (4000 in a straight tube); between
    them the factor is a straight line in the logarithms, and the interval reaches up to turbulent,
    and down to laminar as far as ``STILL_LAMINAR``, in a coil as much later. Where no coil is
    given, the interval above covers one of 50 mm. Above too: a wall of drawn tube, and losses at
    both ends.

    >>> tube_flow(140.0, OpenTube(0.17e-3, 0.6)).regime
    'laminar'
    """
    if tube.ends:
        return _with_ends(reynolds, tube)
    bore, coil = tube.bore, tube.coil
    if coil is None:
        if reynolds * sqrt(bore / USUAL_COIL) <= _EVIDENT:  # nearly always
            return TubeFlow(reynolds, 1.0, 0.0, _ends(reynolds, tube, 1.0), "laminar")
        bend, unsure, wound, own = 0.0, 0.0, 0.0, 1.0
        winding = log(coil_factor(reynolds, bore / USUAL_COIL))
    else:
        bend, winding = bore / coil, 0.0
        own = coil_factor(reynolds, bend)
        # Of what the coil adds: no coil takes less than the straight tube.
        unsure = min(COIL_ERROR, log(own))
        wound = max(unsure, WOUND * log(own))
    limit = laminar_limit(bend) if bend else LAMINAR_BELOW
    if reynolds <= limit:
        straight = hypot(wound, _ends(reynolds, tube, own))
        return TubeFlow(reynolds, own, unsure, hypot(straight, winding), "laminar", straight)
    smooth, rough = (
        reynolds / 64.0 * turbulent_friction(reynolds, wall) for wall in (0.0, ROUGHNESS / bore)
    )
    wall = log(rough / smooth)
    coiled = turbulent_coil_factor(reynolds, bend or bore / USUAL_COIL)
    # One that nobody tells of is in the interval, one that is given in the value.
    bent, doubt = log(coiled), 0.0
    if coil is not None:
        smooth, bent, doubt = smooth * coiled, 0.0, min(TURBULENT_COIL_ERROR, log(coiled))
    smooth = max(smooth, own)
    height = log(smooth / own)
    full = TURBULENT_ABOVE / LAMINAR_BELOW * limit
    if reynolds >= full:
        below = hypot(TURBULENT_ERROR, doubt)
        straight = hypot(below, wall, _ends(reynolds, tube, smooth))
        above = hypot(straight, bent)
        still = height * min(1.0, max(0.0, 2.0 - (reynolds / full - 1.0) / _LATE))
        return TubeFlow(reynolds, smooth, below, above, "turbulent", straight, still)
    share = log(reynolds / limit) / log(full / limit)
    factor = own * exp(share * height)
    # Down to laminar as long as it may be, up to turbulent all the way; no jump at either end.
    laminar = min(1.0, (1.0 - share) / (1.0 - _SURELY)) * share * height
    soon = min(1.0, share / _SOON)
    turbulent = soon * (1.0 - share) * height
    reach = max(turbulent + soon * doubt, (1.0 - share) * wound)
    below = hypot(laminar, share * TURBULENT_ERROR, unsure + share * (doubt - unsure))
    left = hypot(share * TURBULENT_ERROR, share * wall, _ends(reynolds, tube, factor))
    hidden = (1.0 - share) * max(winding - share * height, 0.0)
    above = hypot(left, max(reach, hidden), share * bent)
    straight = hypot(left, reach)
    return TubeFlow(
        reynolds, factor, below, above, "in transition", straight, share * height, turbulent
    )


def flow_of(tube: OpenTube, flow: float, liquid: Liquid, temperature: float) -> TubeFlow:
    """``tube_flow`` of a liquid at a flow [m^3/s] and a temperature [K]."""
    mass_flow = flow * liquid.density(temperature)
    return tube_flow(reynolds(mass_flow, tube.bore, liquid.viscosity(temperature)), tube)


def _with_ends(reynolds: float, tube: OpenTube) -> TubeFlow:
    """The same where losses at both ends are more than an error: in a short stretch."""
    found = tube_flow(reynolds, tube._replace(ends=0.0))
    all_lost = _ends(reynolds, tube, found.factor)
    lost = log(1.0 + tube.ends / END_LOSS * (exp(all_lost) - 1.0))

    def above(of_all: float) -> float:
        return sqrt(max(of_all**2 - all_lost**2, 0.0) + (all_lost - lost) ** 2)

    return found._replace(
        factor=found.factor * exp(lost),
        below=hypot(found.below, 0.5 * lost),
        above=above(found.above),
        straight=None if found.straight is None else above(found.straight),
    )


def _ends(reynolds: float, tube: OpenTube, factor: float) -> float:
    """What losses at both ends add to the drop, in ln [-]."""
    return log(1.0 + END_LOSS * reynolds * tube.bore / (64.0 * tube.length * factor))
