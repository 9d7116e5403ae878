"""The version of progdoc, for whatever says what it was made by."""

__all__ = ["__version__"]

__version__ = "0.1.0"
