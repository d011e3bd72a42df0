"""The version, where every module can read it without importing the package's public names."""

__version__ = "0.1.0"
