"""limitcheck: exact units and safe pressure cutoffs for liquid chromatography.

The public names are listed in `__all__`; each is loaded when first used.
"""

from __future__ import annotations

TYPE_CHECKING = False  # as typing has it, without its time at every start
if TYPE_CHECKING:
    from .api import CheckedProfile as CheckedProfile
    from .api import baseline as baseline
    from .api import check as check
    from .api import convert as convert
    from .api import isolate as isolate
    from .api import load_profile as load_profile
    from .api import predict as predict
    from .api import propose as propose
    from .api import reading as reading
    from .checking.proposed import Proposed as Proposed
    from .diagnosis.measurements import ReadingError as ReadingError
    from .errors import LimitcheckError as LimitcheckError
    from .findings import Finding as Finding
    from .history.layout import Options as Options
    from .history.lines import LogError as LogError
    from .history.log import Choice as Choice
    from .physics.liquid import CannotPredict as CannotPredict
    from .physics.predict import Prediction as Prediction
    from .physics.system import Change as Change
    from .policy import Margins as Margins
    from .policy import Policy as Policy
    from .profile.load import ProfileFile as ProfileFile
    from .profile.model import Profile as Profile
    from .profile.text import UnreadableProfile as UnreadableProfile
    from .units import Pressure as Pressure
    from .units import UnitError as UnitError
    from .version import __version__ as __version__

_HOMES = {
    "api": (
        "CheckedProfile",
        "baseline",
        "check",
        "convert",
        "isolate",
        "load_profile",
        "predict",
        "propose",
        "reading",
    ),
    "errors": ("LimitcheckError",),
    "findings": ("Finding",),
    "checking.proposed": ("Proposed",),
    "physics.liquid": ("CannotPredict",),
    "physics.predict": ("Prediction",),
    "physics.system": ("Change",),
    "policy": ("Margins", "Policy"),
    "profile.load": ("ProfileFile",),
    "profile.model": ("Profile",),
    "profile.text": ("UnreadableProfile",),
    "diagnosis.measurements": ("ReadingError",),
    "history.layout": ("Options",),
    "history.lines": ("LogError",),
    "history.log": ("Choice",),
    "units": ("Pressure", "UnitError"),
    "version": ("__version__",),
}
__all__ = [name for names in _HOMES.values() for name in names]


def __getattr__(name: str) -> object:
    """Load a public name when it is first used."""
    from importlib import import_module

    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f".{home}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
