"""Exceptions: our own faults and the file system's. What a user can mend is a `Diagnostic`, never raised."""

__all__ = ["DomainError", "ProgdocError", "ResourceError"]


class ProgdocError(Exception):
    """Base of everything progdoc raises on purpose."""


class DomainError(ProgdocError):
    """A number outside the range in which a calculation means anything."""


class ResourceError(ProgdocError):
    """A file that ships with progdoc is missing or cannot be read."""
