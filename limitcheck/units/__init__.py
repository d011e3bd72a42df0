"""Exact quantities: text to and from `Fraction` in SI units. Nothing here is a float.

The second, independent source of the factors (pint) is used by `limitcheck convert`,
`limitcheck qualify` and the tests.
"""

from __future__ import annotations

from .numbers import UnitError as UnitError
from .numbers import exact as exact
from .numbers import plain as plain
from .numbers import plain_or_rounded as plain_or_rounded
from .numbers import round_down as round_down
from .numbers import round_safely as round_safely
from .numbers import round_up as round_up
from .printing import as_typed as as_typed
from .printing import is_all as is_all
from .printing import is_in as is_in
from .printing import percent as percent
from .printing import show as show
from .printing import show_all as show_all
from .quantities import QUANTITIES as QUANTITIES
from .quantities import Flow as Flow
from .quantities import Length as Length
from .quantities import Permeability as Permeability
from .quantities import Pressure as Pressure
from .quantities import Quantity as Quantity
from .quantities import Ratio as Ratio
from .quantities import Temperature as Temperature
from .quantities import Volume as Volume
from .tables import COMMON_UNITS as COMMON_UNITS
from .tables import PRESSURE_UNITS as PRESSURE_UNITS
from .tables import TRADE_UNITS as TRADE_UNITS
from .tables import USUAL_STEP as USUAL_STEP
from .tables import Unit as Unit
from .text import RefusedUnit as RefusedUnit
from .text import ask_about_thousands as ask_about_thousands
from .text import find_unit as find_unit
from .text import how_read as how_read
from .text import refuse_program_number as refuse_program_number
from .text import split_quantity as split_quantity
