"""Spadework: how well a grain legume is nodulated, and how sure that verdict is."""

__all__ = ["__version__"]

__version__ = "0.1.0"
