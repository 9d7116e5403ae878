"""Writes a respiratory protection program from a description of a workplace, and says what is missing."""

__version__ = "0.1.0"
