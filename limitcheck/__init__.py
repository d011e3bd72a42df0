"""limitcheck: exact units and safe pressure cutoffs for liquid chromatography."""

__version__ = "0.1.0"
